// The picture through the lens: looked at whole or nearer, its pieces chosen and dragged, and what is drawn over it.
import { Fragment, h, type ComponentChildren } from "../../vendor/preact.js";
import { useEffect, useState } from "../../vendor/hooks.js";
import { signal } from "../../vendor/signals.js";
import type { Stand } from "../../gen/wire.js";
import { handIn, isOpen, keep, letGo, pick, say, trySaying, tryOut } from "../store/link.js";
import { sheet } from "../store/scene.js";
import { choose, chosen, covering, dressed, dressings, isAsked, laying, painting, pointing, said, stands, top, turned, under, washed, zoom, type Laying, type Painting, type Views } from "../store/view.js";
import { useNibByKeys } from "../parts/nib.js";
import { corners, trace, written, type Path } from "../parts/pen.js";
import { pull } from "../parts/pull.js";
import { part, useGlass, type Part } from "./glass.js";
import { at, type Box } from "./places.js";

/** The glass of the lens, and that of the leaf below. */
const LENS = 0;
const BELOW = 1;

type Shape = { width: number; height: number };

/** Brings the lens nearer to a place, or farther from it; the place stays where it is. */
export function nearer(frame: Shape, shape: Shape, by: number, hand: [number, number] = [frame.width / 2, frame.height / 2]): void {
  const was = part(frame, shape, zoom.value);
  const whole = part(frame, shape, null).scale;
  const factor = Math.min(Math.max((was.scale * by) / whole, 1), 64);
  if (factor <= 1.001) {
    zoom.value = null;
    return;
  }
  const scale = whole * factor;
  const place = [(hand[0] + was.x) / was.scale, (hand[1] + was.y) / was.scale] as const;
  const middle = (i: 0 | 1, room: number) => place[i] + (room / 2 - hand[i]) / scale;
  zoom.value = { factor, at: [middle(0, frame.width), middle(1, frame.height)] };
}

/** The lens on the picture, with whatever is drawn over it. */
export function Lens({ box, views, children }: { box: Box; views: Views; children?: (seen: Part) => ComponentChildren }) {
  const shape = { width: views.width_px, height: views.height_px };
  const seen = part(box, shape, zoom.value);
  const wash = turned.value === "toning" && sheet.value?.toning.some((t) => t.treatment === washed.value) ? washed.value : null;
  const canvas = useGlass(LENS, wash === null ? { what: "top" } : { what: "wash", treatment: wash }, seen, box.width, box.height);
  const leaf = below();
  const bed = turned.value === "staging" && dressed.value ? dressings.value.find((d) => d.name === dressed.value?.name) : undefined;
  const [path, draw] = useState<Path>([]);
  const on = painting.value;
  const ink = (drawn: Path) => {
    draw(drawn);
    inked.value = drawn.map(([u, v]) => [u * seen.scale - seen.x, v * seen.scale - seen.y]);
  };
  useEffect(() => {
    if (!on) ink([]);
  }, [on === null]);
  const over = (drawn: Path) => void (on ? painted(shape, on, on.width / seen.scale, drawn) : Promise.resolve()).then(() => ink([]));
  const { nibAt, keys } = useNibByKeys({ isHeld: on !== null, seen, frame: box, drawn: path, draw: ink, over });
  return (
    <div
      class="frame lens"
      role="application"
      aria-label={on ? "The picture, painted on: arrows move the nib, Space sets it down and takes it up" : "The picture. Click a piece to choose it; drag it along the ground; arrows move the chosen piece; wheel or plus and minus bring the lens nearer"}
      tabIndex={0}
      style={at(box)}
      data-nib={on ? "paint" : "none"}
      onKeyDown={keys}
      onPointerDown={(e: PointerEvent) => begin(e, box, shape, seen, views)}
      onWheel={(e: WheelEvent) => {
        e.preventDefault();
        const frame = (e.currentTarget as HTMLElement).getBoundingClientRect();
        nearer(box, shape, Math.exp(-e.deltaY / 400), [e.clientX - frame.left, e.clientY - frame.top]);
      }}
    >
      <canvas ref={canvas} />
      <p class="drawing">The picture is being drawn</p>
      {under.value && <Below box={box} seen={seen} take={under.value.take} fold={under.value.fold} />}
      {children?.(seen)}
      {bed && bed.edge_px.length > 2 && <Outlined box={box} d={`M${bed.edge_px.map(([u, v]) => `${u * seen.scale - seen.x} ${v * seen.scale - seen.y}`).join("L")}Z`} isDashed={true} />}
      {around.value.length > 1 && <Outlined box={box} d={drawn(around.value)} />}
      {inked.value.length > 0 && painting.value && (
        <svg class="whole" width={box.width} height={box.height} aria-hidden="true">
          <path class="ink-bed" d={`M${inked.value.map((p) => p.join(" ")).join("L")}l0.1 0`} style={{ strokeWidth: `${painting.value.width}px` }} />
          <path class={painting.value.rubs ? "ink-remove" : "ink-inside"} d={`M${inked.value.map((p) => p.join(" ")).join("L")}l0.1 0`} style={{ strokeWidth: "2px" }} />
        </svg>
      )}
      {nibAt && on && (
        <svg class="whole" width={box.width} height={box.height} aria-hidden="true">
          <circle class="spike" cx={nibAt[0] * seen.scale - seen.x} cy={nibAt[1] * seen.scale - seen.y} r={Math.max(3, on.width / 2)} />
        </svg>
      )}
      {leaf !== undefined && <Corner take={leaf} />}
    </div>
  );
}

/** A line over the picture, to be seen on whatever it shows. */
function Outlined({ box, d, isDashed = false }: { box: Box; d: string; isDashed?: boolean }) {
  return (
    <svg class="whole" width={box.width} height={box.height} aria-hidden="true">
      <path class="halo" d={d} />
      <path class={isDashed ? "spike dash" : "spike"} d={d} />
    </svg>
  );
}

/** What is being drawn around, or along. */
const drawn = (path: [number, number][]) => `M${path.map((p) => p.join(" ")).join("L")}${laying.value?.isClosed === false ? "" : "Z"}`;

/** The leaf below, where the one on top is peeled back. */
function Below({ box, seen, take, fold }: { box: Box; seen: Part; take: number | null; fold: [number, number] | null }) {
  const canvas = useGlass(BELOW, { what: "leaf", take }, seen, box.width, box.height);
  const name = sheet.value?.takes.find((t) => t.take === take)?.name ?? "the picture itself";
  const [x, y] = fold ?? [0, 0];
  // The crease halves the way from the corner to the place it is folded to, at a right angle.
  const square = x * x + y * y;
  const [across, down] = [square / (2 * Math.max(x, 1)), square / (2 * Math.max(y, 1))];
  return (
    <Fragment>
      <canvas class="below" ref={canvas} style={{ clipPath: fold ? `polygon(0 0, ${across}px 0, 0 ${down}px)` : "none" }} />
      {fold && (
        <svg class="whole" width={box.width} height={box.height} aria-hidden="true">
          <path class="flap" d={`M${across} 0L${x} ${y}L0 ${down}Z`} />
          <path class="crease" d={`M${across} 0L0 ${down}`} />
        </svg>
      )}
      <p class="below-name">leaf below: {name}</p>
    </Fragment>
  );
}

/** The upper leaf's corner, to be peeled back. */
function Corner({ take }: { take: number | null }) {
  const name = sheet.value?.takes.find((t) => t.take === take)?.name ?? "the picture itself";
  return (
    <Fragment>
    <span class="corner-name">under it: {name}</span>
    <button
      class="corner"
      aria-label="Peel the upper leaf back; hold u to look under it"
      title="Peel back; hold u to look under"
      aria-pressed={under.value !== null}
      onClick={(e: MouseEvent) => {
        // By a key: the whole leaf is lifted, and laid down again.
        if (e.detail === 0) under.value = under.value ? null : { take, fold: null };
      }}
      onPointerDown={(e: PointerEvent) => {
        e.stopPropagation();
        const away = () => {
          under.value = null;
        };
        pull(e, (x, y) => {
          under.value = { take, fold: [Math.max(8, x), Math.max(8, y)] };
        }, away);
      }}
    />
    </Fragment>
  );
}

/** The leaf that lies below the one on top: the picture itself, or the first take of it. */
export function below(): number | null | undefined {
  if (top.value !== null) return null;
  return sheet.value?.takes[0]?.take;
}

/** Takes hold of whatever is seen there: a piece is dragged along the ground, lifted (Alt) or drawn by its size (Ctrl); elsewhere the lens is moved. */
function begin(e: PointerEvent, box: Box, shape: Shape, seen: Part, views: Views): void {
  const lens = e.currentTarget as HTMLElement;
  const frame = lens.getBoundingClientRect();
  if (touches(e, box, shape, frame)) return;
  if (covering.value) {
    cover(e, frame, seen, covering.value);
    return;
  }
  if (pointing.value && e.button === 0 && !isSpaceHeld) {
    const at: [number, number] = [(e.clientX - frame.left + seen.x) / seen.scale, (e.clientY - frame.top + seen.y) / seen.scale];
    pick(at, (piece) => {
      if (piece === null) said.value = "Nothing stands there. Click a piece; Escape leaves it as it is.";
      else isAsked(piece);
    });
    return;
  }
  if (laying.value && e.button === 0 && !isSpaceHeld) {
    ground(e, frame, seen, laying.value);
    return;
  }
  if (painting.value && e.button === 0 && !isSpaceHeld) {
    paint(e, frame, shape, seen, painting.value);
    return;
  }
  const hand: [number, number] = [(e.clientX - frame.left + seen.x) / seen.scale, (e.clientY - frame.top + seen.y) / seen.scale];
  const isPan = e.button === 1 || isSpaceHeld;
  const by = { isLift: e.altKey, isSize: e.ctrlKey || e.metaKey, isBeside: e.shiftKey };
  let held: Stand | null = null;
  let isPicked = isPan;
  let far: [number, number] | null = null;
  let isOver = false;
  let isDropped = false;
  const go = () => {
    if (!far || !isPicked) return;
    if (held) drag(held, far, by, seen, views);
    else if (zoom.value) {
      const start = [(seen.x + box.width / 2) / seen.scale, (seen.y + box.height / 2) / seen.scale] as const;
      zoom.value = { factor: zoom.value.factor, at: [start[0] - far[0] / seen.scale, start[1] - far[1] / seen.scale] };
    }
  };
  if (!isPan) {
    pick(hand, (piece) => {
      isPicked = true;
      if (!(piece !== null && chosen.value.includes(piece) && !by.isBeside)) choose(piece, by.isBeside);
      held = stands.value.find((p) => p.piece === piece) ?? null;
      if (isOver && !isDropped) return;
      go();
      // A flick is over before it is known what was taken hold of.
      if (isOver && held && far) keep();
    });
  }
  pull(
    e,
    (across, down) => {
      far = [across, down];
      go();
    },
    (isDone) => {
      isOver = true;
      // Let go of while nobody listens, it stays where it is.
      isDropped = isDone && isOpen.value;
      if (!held) return;
      if (isDone) keep();
      else letGo();
    },
  );
}

/** Draws around what is to stand before a piece, against the order by distance. */
function cover(e: PointerEvent, frame: DOMRect, seen: Part, { piece, what }: { piece: number; what: string }): void {
  const place = (x: number, y: number) => `${((x - frame.left + seen.x) / seen.scale).toFixed(1)},${((y - frame.top + seen.y) / seen.scale).toFixed(1)}`;
  const path = [place(e.clientX, e.clientY)];
  const [x, y] = [e.clientX, e.clientY];
  around.value = [[x - frame.left, y - frame.top]];
  pull(
    e,
    (across, down) => {
      path.push(place(x + across, y + down));
      around.value = [...around.value, [x + across - frame.left, y + down - frame.top]];
    },
    (isDone) => {
      around.value = [];
      covering.value = null;
      if (isDone && path.length >= 3) void say("place", "in-front", `#${piece}`, "--what", what, "--region", ...path);
    },
  );
}

/** Draws ground that is to be dressed. */
function ground(e: PointerEvent, frame: DOMRect, seen: Part, { isClosed, lay }: Laying): void {
  const place = (p: PointerEvent): [number, number] => [p.clientX - frame.left, p.clientY - frame.top];
  trace(
    e,
    place,
    (path) => (around.value = path.map(([x, y]) => [x, y])),
    (path) => {
      around.value = [];
      const drawn = path ? corners(path, 1.5) : [];
      if (drawn.length < (isClosed ? 3 : 2)) return;
      laying.value = null;
      lay(drawn.map(([x, y]) => `${((x + seen.x) / seen.scale).toFixed(1)},${((y + seen.y) / seen.scale).toFixed(1)}`).join(" "), "picture");
    },
  );
}

/** Paints on a dodging card, or rubs off. */
function paint(e: PointerEvent, frame: DOMRect, shape: Shape, seen: Part, on: Painting): void {
  const place = (p: PointerEvent): [number, number] => [(p.clientX - frame.left + seen.x) / seen.scale, (p.clientY - frame.top + seen.y) / seen.scale];
  const show = (path: Path) => {
    inked.value = path.map(([u, v]) => [u * seen.scale - seen.x, v * seen.scale - seen.y]);
  };
  trace(e, place, show, (path) => void (path ? painted(shape, on, on.width / seen.scale, path) : Promise.resolve()).then(() => (inked.value = [])));
}

/** Keeps what was painted. */
async function painted(shape: Shape, on: Painting, width: number, path: Path): Promise<void> {
  const text = written(shape, { says: on.rubs ? "remove" : "add", width, soft: on.soft, strength: on.strength }, path);
  const file = await handIn(new File([text], "card.json"), false);
  if (file) await say("tone", "paint", `#${on.treatment}`, file, ...(on.of === null ? [] : ["--on", `#${on.of}`]));
}

/** What is being painted, on the frame. */
const inked = signal<[number, number][]>([]);

/** What is being drawn around, on the frame. */
const around = signal<[number, number][]>([]);

type By = { isLift: boolean; isSize: boolean };

/** Shows a piece, and those that are chosen beside it, where the hand has dragged it. */
function drag(held: Stand, far: [number, number], by: By, seen: Part, views: Views): void {
  const card = sheet.value?.pieces.find((p) => p.piece === held.piece);
  const metre = (views.focal_px * seen.scale) / held.depth_m;
  const others = chosen.value.filter((p) => p !== held.piece);
  const ids = [held.piece, ...others].map((p) => `#${p}`).join(",");
  if (others.length > 0) {
    // All of them by as much as the one that is held.
    const nearer = by.isSize ? held.depth_m * (Math.exp(-far[1] / 300) - 1) : (-far[1] / metre) * (held.depth_m / views.camera_height_m);
    const moves = by.isLift ? `0,${-far[1] / metre},0` : `${far[0] / metre},${nearer}`;
    trySaying("place", "move", ids, "--by", moves);
    return;
  }
  if (by.isLift) {
    const lift_m = (card?.lift_m ?? 0) - far[1] / metre;
    tryOut({ deed: "move", piece: held.piece, to: { on: "ground", x_m: null, z_m: null, lift_m } });
  } else if (by.isSize && card) {
    const k = Math.exp(-far[1] / 300);
    const x_m = card.x_m * k + far[0] / metre;
    tryOut({ deed: "move", piece: held.piece, to: { on: "ground", x_m, z_m: card.z_m * k, lift_m: null } });
  } else {
    const foot_px: [number, number] = [held.foot_px[0] + far[0] / seen.scale, held.foot_px[1] + far[1] / seen.scale];
    tryOut({ deed: "move", piece: held.piece, to: { on: "picture", foot_px } });
  }
}

let isSpaceHeld = false;
addEventListener("keydown", (e) => {
  if (e.key === " ") isSpaceHeld = true;
});
addEventListener("keyup", (e) => {
  if (e.key === " ") isSpaceHeld = false;
});

// Two fingers bring the lens nearer and move it.
const fingers = new Map<number, [number, number]>();

/** Whether the hand is two fingers, which look and do not touch. */
function touches(e: PointerEvent, box: Box, shape: Shape, frame: DOMRect): boolean {
  if (e.pointerType !== "touch") return false;
  fingers.set(e.pointerId, [e.clientX, e.clientY]);
  const lens = e.currentTarget as HTMLElement;
  const gone = (p: Event) => {
    fingers.delete((p as PointerEvent).pointerId);
    if (fingers.size === 0) lens.removeEventListener("pointermove", moved);
  };
  const moved = (p: Event) => {
    const finger = p as PointerEvent;
    const before = [...fingers.values()];
    if (!fingers.has(finger.pointerId) || before.length !== 2) return;
    fingers.set(finger.pointerId, [finger.clientX, finger.clientY]);
    const after = [...fingers.values()];
    const apart = (f: [number, number][]) => Math.hypot((f[0]?.[0] ?? 0) - (f[1]?.[0] ?? 0), (f[0]?.[1] ?? 0) - (f[1]?.[1] ?? 0));
    const middle = (f: [number, number][]) => [((f[0]?.[0] ?? 0) + (f[1]?.[0] ?? 0)) / 2, ((f[0]?.[1] ?? 0) + (f[1]?.[1] ?? 0)) / 2] as const;
    const [m, was] = [middle(after), middle(before)];
    nearer(box, shape, apart(after) / Math.max(1, apart(before)), [m[0] - frame.left, m[1] - frame.top]);
    const now = part(box, shape, zoom.value);
    if (zoom.value) zoom.value = { factor: zoom.value.factor, at: [zoom.value.at[0] - (m[0] - was[0]) / now.scale, zoom.value.at[1] - (m[1] - was[1]) / now.scale] };
  };
  lens.addEventListener("pointerup", gone, { once: true });
  lens.addEventListener("pointercancel", gone, { once: true });
  if (fingers.size !== 2) return false;
  letGo();
  lens.addEventListener("pointermove", moved);
  return true;
}
