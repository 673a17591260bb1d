// The cut-outs sheet: a cut-out large, laid on a ground that can be changed; nibs to draw on it; its edge and its facts; the shelf of all.
import { Fragment, h } from "../../vendor/preact.js";
import { useEffect, useState } from "../../vendor/hooks.js";
import type { DoubtReport, FactsReport, HandworkReport, On, Sheet, StretchReport } from "../../gen/wire.js";
import { part, useGlass, type Part } from "../draw/glass.js";
import { Silhouette } from "../draw/lineup.js";
import { at, figure, type Box, type Places } from "../draw/places.js";
import { choose as chooseFiles, take } from "../parts/drop.js";
import { Figure } from "../parts/figure.js";
import { useNibByKeys } from "../parts/nib.js";
import { Phrase } from "../parts/phrase.js";
import { trace, written, type Path } from "../parts/pen.js";
import { pull } from "../parts/pull.js";
import { cutAnew, doubts, edge, handIn, letGo, say, sketch, unsketch } from "../store/link.js";
import { cutBy, isDrawing, owe } from "../store/owed.js";
import { cutout, laidOn, said } from "../store/view.js";

const GROUNDS: { on: On; key: string; name: string }[] = [
  { on: "velvet", key: "v", name: "velvet" },
  { on: "grey_card", key: "g", name: "grey card" },
  { on: "white_paper", key: "w", name: "white paper" },
  { on: "lith", key: "l", name: "lith" },
  { on: "shot", key: "o", name: "as shot" },
];

/** What a nib says of what lies under it, and how its line is told apart. */
const NIBS: { says: string; does: string; cuts: boolean }[] = [
  { says: "inside", does: "is the thing", cuts: true },
  { says: "outside", does: "is not", cuts: true },
  { says: "between", does: "is partly: hair, gauze", cuts: true },
  { says: "add", does: "cover it", cuts: false },
  { says: "remove", does: "clear it", cuts: false },
  { says: "soften", does: "make the edge softer", cuts: false },
  { says: "follow", does: "find the edge anew", cuts: false },
  { says: "close", does: "close holes", cuts: false },
  { says: "mend", does: "heal the shot", cuts: false },
];

export function CutOuts({ picture, places }: { picture: Sheet; places: Places }) {
  const all = picture.cutouts;
  const shown = all.find((c) => c.cutout === cutout.value) ?? all[0];
  const hand = shown && picture.handwork[all.indexOf(shown)];
  const [nib, choose] = useState<string | null>(null);
  const [width, widen] = useState(24);
  const [wanted, want] = useState("");
  const found = all.filter((c) => c.name.toLowerCase().includes(wanted.toLowerCase()));
  const [walked, walk] = useState<Walked | null>(null);
  const { large, shelf, beside } = places;
  useEffect(() => walk(null), [shown?.cutout]);
  // The shot is laid out for the first stroke before it is drawn.
  useEffect(() => {
    if (nib && shown) sketch(0, shown.cutout, laidOn.value, null);
  }, [nib, shown?.cutout]);
  return (
    <Fragment>
      {shown?.shot_size_px ? (
        <Table
          key={shown.cutout}
          box={large}
          shown={shown}
          shape={{ width: shown.shot_size_px[0], height: shown.shot_size_px[1] }}
          nib={nib}
          width={width}
          point={walked?.all[walked.at] ?? null}
          number={walked ? walked.at + 1 : 0}
        />
      ) : (
        <button class="frame empty" style={at(large)} onClick={() => chooseFiles((files) => void take(files, null))}>
          <Outline />
          <span>Lay shots here: each is cut out by itself</span>
        </button>
      )}
      <section class="shelf" aria-label="Cut-outs" style={at(shelf)}>
        <h2 class="above">Shelf<input class="filter" aria-label="Show only cut-outs whose name has" placeholder="find a cut-out" value={wanted} onInput={(e: Event) => want((e.currentTarget as HTMLInputElement).value)} onKeyDown={(e: KeyboardEvent) => e.key === "Enter" && wanted !== "" && found[0] && (cutout.value = found[0].cutout)} /><button class="word" onClick={() => chooseFiles((files) => void take(files, null))}>bring shots</button>{all.length > 0 && <small>{all.length === 1 ? "1 cut-out" : `${all.length} cut-outs`}</small>}</h2>
        <div role="listbox" aria-label="Cut-outs">
          {found.map((c) => (
            <button key={c.cutout} role="option" aria-selected={c === shown} class={c === shown ? "standing chosen" : "standing"} onClick={() => (cutout.value = c.cutout)} title={c.name}>
              <Silhouette cutout={c.cutout} />
              <span>{c.name}</span>
            </button>
          ))}
        </div>
      </section>
      <section class="card cutting" aria-label="Cut-out" style={at(beside)}>
        {!shown && <p>Each shot that you bring is cut out from its paper by itself, down to the hair. Then it is looked at here, and corrected with strokes where it is wrong.</p>}
        {shown && (
          <Fragment>
            <h3>{shown.name}<small>{shown.kind === "additive" ? "light alone" : shown.pieces.length > 0 ? `stands as ${shown.pieces.join(", ")}` : "stands nowhere yet"}</small></h3>
            <p class="row">
              laid on{" "}
              {GROUNDS.map((g) => (
                <button key={g.on} class={laidOn.value === g.on ? "word chosen" : "word"} aria-pressed={laidOn.value === g.on} aria-keyshortcuts={g.key} onClick={() => (laidOn.value = g.on)}>{g.name}</button>
              ))}
            </p>
            <Nibs nib={nib} onChoose={choose} width={width} onWiden={widen} />
            {hand && <Edge cutout={shown.cutout} hand={hand} />}
            <Facts c={shown} picture={picture} />
            <Walk c={shown} picture={picture} walked={walked} onWalk={walk} />
            {hand?.owes_cut && (
              <p class="row">
                Not cut by its strokes yet. <button class="word" onClick={() => void cutBy(shown.cutout)}>cut it now</button>
              </p>
            )}
            {hand && hand.strokes.length > 0 && <Strokes cutout={shown.cutout} hand={hand} />}
            {shown.pieces.length === 0 && <p><button class="word" onClick={() => void say("place", "add", shown.name, "--cut-out", shown.name)}>stand it in the picture</button></p>}
          </Fragment>
        )}
      </section>
    </Fragment>
  );
}

/** A dotted figure: here something will stand. */
export function Outline() {
  return (
    <svg class="outline" viewBox="0 0 60 150" aria-hidden="true">
      <path class="line dots" d="M30 4a13 13 0 0 1 0 26a13 13 0 0 1 0 -26M30 30q-20 6 -18 40l6 2l2 70h8l2 -60l2 60h8l2 -70l6 -2q2 -34 -18 -40" />
      <path class="spike" d="M16 144H44M30 144v5" />
    </svg>
  );
}

/** The cut-out, drawn on. */
function Table({ box, shown, shape, nib, width, point: looked, number }: { box: Box; shown: FactsReport; shape: { width: number; height: number }; nib: string | null; width: number; point: Point | null; number: number }) {
  const [near, bring] = useState<{ factor: number; at: [number, number] } | null>(null);
  const [drawn, draw] = useState<Path>([]);
  const whole = part(box, shape, null).scale;
  useEffect(() => {
    // As near as all of it is still seen.
    const near = looked && Math.min(1.5, Math.min(box.width, box.height) / 2.5 / Math.max(1, looked.around_px));
    if (looked && near) bring({ factor: Math.max(1, near / whole), at: looked.at });
  }, [looked]);
  const seen = part(box, shape, near);
  const on = laidOn.value;
  const canvas = useGlass(0, { what: "cut_out", cutout: shown.cutout, on }, seen, box.width, box.height);
  const begin = (e: PointerEvent) => {
    const frame = (e.currentTarget as HTMLElement).getBoundingClientRect();
    if (!nib || e.button !== 0) {
      if (!nib && !near) said.value = "Take a nib first: it says what a stroke does.";
      if (!near) return;
      const start = near.at;
      pull(e, (x, y) => bring({ factor: near.factor, at: [start[0] - x / seen.scale, start[1] - y / seen.scale] }), () => {});
      return;
    }
    isDrawing.value = true;
    const place = (p: PointerEvent): [number, number] => [(p.clientX - frame.left + seen.x) / seen.scale, (p.clientY - frame.top + seen.y) / seen.scale];
    trace(e, place, draw, (path) => over(nib, path));
  };
  const over = (says: string, path: Path | null) => {
    void (path ? stroke(shown, shape, says, width / seen.scale, path) : Promise.resolve()).then(() => {
      isDrawing.value = false;
      draw([]);
    });
  };
  const begun = (path: Path) => {
    isDrawing.value = true;
    draw(path);
  };
  const { nibAt, keys } = useNibByKeys({ isHeld: nib !== null, seen, frame: box, drawn, draw: begun, over: (path) => nib && over(nib, path) });
  const wheel = (e: WheelEvent) => {
    e.preventDefault();
    const frame = (e.currentTarget as HTMLElement).getBoundingClientRect();
    const factor = Math.min(Math.max((seen.scale / whole) * Math.exp(-e.deltaY / 400), 1), 64);
    if (factor <= 1.001) {
      bring(null);
      return;
    }
    const [x, y] = [e.clientX - frame.left, e.clientY - frame.top];
    const scale = whole * factor;
    bring({ factor, at: [(x + seen.x) / seen.scale + (box.width / 2 - x) / scale, (y + seen.y) / seen.scale + (box.height / 2 - y) / scale] });
  };
  return (
    <div class="frame table" role="application" aria-label={`${shown.name}, laid on ${on.replace("_", " ")}. Draw with a nib, or move it with arrows and set it down with Space; wheel brings it nearer`} onKeyDown={keys} tabIndex={0} style={at(box)} data-nib={nib ?? "none"} onPointerDown={begin} onWheel={wheel}>
      <canvas ref={canvas} />
      <p class="drawing">It is being drawn</p>
      <p class="scales below-frame">
        <button class={near ? "word" : "word chosen"} aria-pressed={!near} onPointerDown={(e: PointerEvent) => e.stopPropagation()} onClick={() => bring(null)}>whole</button>
        <button class="word" onPointerDown={(e: PointerEvent) => e.stopPropagation()} onClick={() => bring({ factor: Math.max(1, 1 / devicePixelRatio / whole), at: near?.at ?? [shape.width / 2, shape.height / 2] })}>pixel for pixel</button>
      </p>
      <svg width={box.width} height={box.height} aria-hidden="true">
        {nibAt && <circle class="spike" cx={nibAt[0] * seen.scale - seen.x} cy={nibAt[1] * seen.scale - seen.y} r={Math.max(3, width / 2)} />}
        {drawn.length > 0 && <Ink path={drawn} nib={nib ?? "add"} width={width} seen={seen} />}
        {looked && <Ring x={looked.at[0] * seen.scale - seen.x} y={looked.at[1] * seen.scale - seen.y} r={Math.max(26, looked.around_px * seen.scale * 1.15)} number={number} />}
      </svg>
    </div>
  );
}

/** Around what is looked at. */
function Ring({ x, y, r, number }: { x: number; y: number; r: number; number: number }) {
  return (
    <g>
      <circle class="halo" cx={x} cy={y} r={r} />
      <circle class="spike" cx={x} cy={y} r={r} />
      <text class="over" x={x + r + 6} y={y + 4}>{number}</text>
    </g>
  );
}

/** A stroke as it is drawn: what it says is told apart by its hatch, not by colour. */
function Ink({ path, nib, width, seen }: { path: Path; nib: string; width: number; seen: Part }) {
  const d = "M" + path.map(([u, v]) => `${u * seen.scale - seen.x} ${v * seen.scale - seen.y}`).join("L") + (path.length === 1 ? "l0.1 0" : "");
  return (
    <g>
      <path class="ink-bed" d={d} style={{ strokeWidth: `${width}px` }} />
      <path class={`ink-${nib}`} d={d} style={{ strokeWidth: `${Math.max(2, width / 4)}px` }} />
    </g>
  );
}

/** Draws a stroke over the shot: sketched at once, kept, and cut by as soon as the hand rests. */
async function stroke(shown: FactsReport, shape: { width: number; height: number }, says: string, width: number, path: Path): Promise<void> {
  const text = written(shape, { says, width, soft: 0.3, strength: 1 }, path);
  const isCut = NIBS.some((n) => n.says === says && n.cuts);
  if (isCut) owe(shown.cutout);
  sketch(0, shown.cutout, laidOn.value, text);
  const file = await handIn(new File([text], "strokes.json"), false);
  const isKept = file && (await say("touch-up", "strokes", `#${shown.cutout}`, file, ...(isCut ? ["--later"] : [])));
  if (isKept && isCut) said.value = "Kept; the shot is cut by it when your hand rests.";
  if (!isKept || !isCut) unsketch(0);
}

/** Takes a stroke away; what it was cut by is cut without it. */
async function rubOut(cutout: number, stroke: HandworkReport["strokes"][number]): Promise<void> {
  const isCut = NIBS.some((n) => n.says === stroke.says && n.cuts);
  if (isCut) owe(cutout);
  if ((await say("touch-up", "drop", `#${cutout}`, String(stroke.number))) && isCut) said.value = "Rubbed out; the shot is cut without it when your hand rests.";
}

function Nibs({ nib, onChoose, width, onWiden }: { nib: string | null; onChoose: (nib: string | null) => void; width: number; onWiden: (width: number) => void }) {
  const group = (cuts: boolean) =>
    NIBS.filter((n) => n.cuts === cuts).map((n) => (
      <button key={n.says} class={nib === n.says ? "nib chosen" : "nib"} aria-pressed={nib === n.says} title={n.does} onClick={() => onChoose(nib === n.says ? null : n.says)}>
        <svg width={34} height={10} aria-hidden="true"><path class={`ink-${n.says}`} d="M3 5H31" style={{ strokeWidth: "4px" }} /></svg>
        {n.says}
      </button>
    ));
  return (
    <Fragment>
      <h4>nibs</h4>
      <div class="nibs"><span>say what it is:</span>{group(true)}</div>
      <div class="nibs"><span>touch it up:</span>{group(false).slice(0, 3)}<span />{group(false).slice(3)}</div>
      <p class="row">
        <Figure name="Width of the nib, pixels of the table" value={width} unit="px wide" step={1} digits={0} least={1} most={400} onTry={onWiden} onKeep={onWiden} onLeave={() => {}} />, a pen's pressure widens it
      </p>
    </Fragment>
  );
}

/** How the edge is finished, as a sentence. */
function Edge({ cutout, hand }: { cutout: number; hand: HandworkReport }) {
  const id = `#${cutout}`;
  const told = (option: string, name: string, value: number, unit: string, step: number, digits: number, write: (v: number) => string, least?: number) => (
    <Figure name={name} value={value} unit={unit} step={step} digits={digits} {...(least === undefined ? {} : { least })} onTry={() => {}} onKeep={(v) => void say("touch-up", "edge", id, option, write(v))} onLeave={letGo} />
  );
  const plain = (v: number) => Number(v.toFixed(4)).toString();
  const share = (v: number) => `${plain(Math.min(100, Math.max(0, v)))}%`;
  return (
    <Fragment>
      <h4>edge</h4>
      <p class="manner">
        Margin {told("--margin", "Margin", hand.margin_px, "px", 0.1, 2, plain)} outside the line. Clear at {told("--clear-at", "Clear at", hand.clear_at * 100, "%", 1, 1, share, 0)}, solid at{" "}
        {told("--solid-at", "Solid at", hand.solid_at * 100, "%", 1, 1, share, 0)}. Holes closed up to {told("--holes", "Holes", hand.holes_px, "px", 1, 0, plain, 0)}. Paper cast taken off by {told("--cast", "Paper cast", hand.cast * 100, "%", 5, 0, share, 0)}. Rim{" "}
        {told("--rim", "Rim width", hand.rim_px, "px", 1, 1, plain, 0)} wide calmed by {told("--calm", "Rim calmed", hand.calm * 100, "%", 5, 0, share, 0)}.{" "}
        <button class="word" onClick={() => void cutAnew(cutout, false)}>cut it again, at its finest</button>
      </p>
      <Wedge clear={hand.clear_at} solid={hand.solid_at} />
    </Fragment>
  );
}

/** Clear at and solid at as two ticks on a density wedge. */
function Wedge({ clear, solid }: { clear: number; solid: number }) {
  return (
    <div class="density" aria-hidden="true">
      <span class="tick" style={{ left: `${clear * 100}%` }} />
      <span class="tick" style={{ left: `${solid * 100}%` }} />
    </div>
  );
}

/** What is known of it, as a sentence. */
function Facts({ c, picture }: { c: FactsReport; picture: Sheet }) {
  const id = `#${c.cutout}`;
  const facts = (...words: string[]) => void say("place", "facts", id, ...words);
  const told = (option: string, name: string, value: number, unit: string, step: number, digits: number, suffix: string, least?: number) => (
    <Figure name={name} value={value} unit={unit} step={step} digits={digits} {...(least === undefined ? {} : { least })} onTry={() => {}} onKeep={(v) => facts(option, `${Number(v.toFixed(4))}${suffix}`)} onLeave={letGo} />
  );
  const others = picture.cutouts.filter((o) => o !== c).map((o) => [o.name, `as of ${o.name}`] as [string, string]);
  return (
    <Fragment>
      <h4>facts</h4>
      <p class="manner">
        {told("--height", "Real height", c.seen_height_m ?? 1.7, "m", 0.01, 2, "m", 0.005)} tall, {c.height_from === "assumed" ? <b>assumed: say how tall it is</b> : c.height_from}
        {c.seen_per_metre_px !== null && <Fragment>, {told("--per-metre", "Pixels of its shot to a metre of it", c.seen_per_metre_px, "px to a metre", 1, 1, "", 0.01)}</Fragment>}. Turned {told("--bearing", "Bearing of the view", c.bearing_deg ?? 0, "°", 1, 0, "")} from the lens
        {c.bearing_deg === null ? " (not said)" : ""}. Shot from {told("--camera-distance", "Camera distance", c.camera_distance_m ?? 5, "m", 0.1, 2, "m", 0.1)} away
        {c.camera_distance_m === null ? " (assumed)" : ""}, the lens {told("--eye-height", "Height of the lens above the foot", c.eye_height_m ?? 1.5, "m", 0.05, 2, "m")} above its foot{c.eye_height_m === null ? " (not said)" : ""}.{" "}
        {c.may_mirror ? <button class="word" onClick={() => facts("--never-mirror")}>never mirror it</button> : "Never mirrored."}{" "}
        {others.length > 0 && <Phrase name="Take the facts of another over" value="" others={[["", "take over those of another"], ...others]} onReplace={(word) => word && facts("--like", word)} />}
      </p>
    </Fragment>
  );
}

/** A place of a shot that is worth looking at: its middle, how far around, and why. */
type Point = { at: [number, number]; around_px: number; says: string };
type Walked = { all: Point[]; at: number; general: string[] };

const doubted = (d: DoubtReport): Point[] => {
  if (!d.place_px) return [];
  const [left, top, width, height] = d.place_px;
  return [{ at: [left + width / 2, top + height / 2], around_px: Math.max(width, height) / 2, says: d.what }];
};

const seen = (s: StretchReport): Point => ({
  at: s.shot_px,
  around_px: 0,
  says: `${figure(s.length_px, 0)} px of edge in the picture, ${figure(s.contrast_share * 100, 0)} % from what is behind, blurred ${figure(s.blur_px, 1)} px`,
});

/** What is doubtful since it was cut, and where its edge is seen in the picture, worst first: walked by Enter. */
function Walk({ c, picture, walked, onWalk }: { c: FactsReport; picture: Sheet; walked: Walked | null; onWalk: (to: Walked | null) => void }) {
  const piece = picture.pieces.find((p) => p.cutout === c.cutout && !p.hidden);
  const next = async () => {
    if (walked && walked.all.length > 0) {
      onWalk({ ...walked, at: (walked.at + 1) % walked.all.length });
      return;
    }
    said.value = "Its edge is being looked at …";
    const [unsure, edges] = await Promise.all([doubts(c.cutout), piece ? edge(piece.piece) : []]);
    if (cutout.value !== null && cutout.value !== c.cutout) return;
    const all = [...unsure.flatMap(doubted), ...edges.map(seen)];
    said.value = all.length > 0 ? `${all.length} places to look at` : "No place of it is doubtful";
    onWalk({ all, at: 0, general: unsure.filter((d) => !d.place_px).map((d) => d.what) });
  };
  const now = walked?.all[walked.at];
  return (
    <Fragment>
      <h4>worth a look</h4>
      {walked?.general.map((what) => <p class="row" key={what}>{what}</p>)}
      <p class="row">
        <button class="word" onClick={() => void next()} aria-keyshortcuts="Enter">{walked && walked.all.length > 0 ? "walk on" : "walk what is doubtful, worst first"}</button>
        {now && ` ${(walked?.at ?? 0) + 1} of ${walked?.all.length ?? 0}: ${now.says}`}
      </p>
    </Fragment>
  );
}

function Strokes({ cutout, hand }: { cutout: number; hand: HandworkReport }) {
  return (
    <Fragment>
      <h4>strokes</h4>
      <ol class="strokes">
        {hand.strokes.map((s) => (
          <li key={s.number}>{s.says}, {s.points} {s.points === 1 ? "point" : "points"} <button class="word" onClick={() => void rubOut(cutout, s)}>rub out</button></li>
        ))}
      </ol>
    </Fragment>
  );
}
