// Where a treatment rises over the picture: from one end, where it does nothing, to the other, where it works wholly. Both are pulled.
import { h } from "../../vendor/preact.js";
import type { TreatmentReport } from "../../gen/wire.js";
import { arrows } from "../parts/arrows.js";
import { useMeant } from "../parts/meant.js";
import { pull } from "../parts/pull.js";
import { keep, letGo, say, trySaying } from "../store/link.js";
import { painting, toning, treated, type Views } from "../store/view.js";
import type { Part } from "./glass.js";
import type { Box } from "./places.js";

/** Rungs of the staff, and half the width of its widest, in pixels. */
const RUNGS = 8;
const WIDE = 44;

type End = [number, number];

/** The ends of a treatment's rise, as shares of the picture's width and height; none where it does not rise. */
function ends(t: TreatmentReport | undefined): [End, End] | null {
  const text = t?.where_options.find(([option]) => option === "--gradient")?.[1];
  const [from, to] = (text ?? "").split(":").map((end) => end.split(",").map(Number));
  return from?.length === 2 && to?.length === 2 ? [from as End, to as End] : null;
}

/** The words that give a treatment's rise other ends, and leave all else of where it works. */
function told(t: TreatmentReport, [from, to]: [End, End]): string[] {
  const end = ([u, v]: End) => `${u.toFixed(4)},${v.toFixed(4)}`;
  const clauses = t.where_options.map((clause) => (clause[0] === "--gradient" ? ["--gradient", `${end(from)}:${end(to)}`] : clause));
  return ["tone", "change", `#${t.treatment}`, ...clauses.flat()];
}

/** The rise of the treatment whose sentence was touched last. */
export function Rising({ box, seen, views }: { box: Box; seen: Part; views: Views }) {
  const meant = useMeant<[End, End]>();
  const t = toning.value.find((one) => one.treatment === treated.value);
  const both = ends(t);
  // The nib goes before.
  if (!t || !both || painting.value) return null;
  const at = ([u, v]: End): End => [u * views.width_px * seen.scale - seen.x, v * views.height_px * seen.scale - seen.y];
  const within = (share: number) => Math.min(1, Math.max(0, share));
  const moved = (i: number, across: number, down: number, from = both): [End, End] => {
    const by = ([u, v]: End): End => [within(u + across / (views.width_px * seen.scale)), within(v + down / (views.height_px * seen.scale))];
    return i === 0 ? [by(from[0]), from[1]] : [from[0], by(from[1])];
  };
  const [from, to] = both.map(at) as [End, End];
  const long = Math.max(1, Math.hypot(to[0] - from[0], to[1] - from[1]));
  // A staff with rungs as wide as much is done there.
  const [x, y] = [-(to[1] - from[1]) / long, (to[0] - from[0]) / long];
  const rung = (i: number) => {
    const [u, v] = [from[0] + ((to[0] - from[0]) * i) / RUNGS, from[1] + ((to[1] - from[1]) * i) / RUNGS];
    const half = (WIDE * i) / RUNGS;
    return `M${u - x * half} ${v - y * half}L${u + x * half} ${v + y * half}`;
  };
  const staff = `M${from.join(" ")}L${to.join(" ")}` + [...Array(RUNGS + 1).keys()].map(rung).join("");
  return (
    <svg class="whole" width={box.width} height={box.height}>
      <path class="halo" d={staff} />
      <path class="spike" d={staff} />
      {[from, to].map((end, i) => (
        <g
          key={i}
          class="pulled"
          role="slider"
          tabindex={0}
          aria-label={`${t.does}, ${i === 0 ? "where it begins" : "where it works wholly"}: arrows move it`}
          aria-valuenow={Math.round((both[i]?.[1] ?? 0) * 100)}
          onPointerDown={(e: PointerEvent) => {
            e.stopPropagation();
            pull(e, (across, down) => trySaying(...told(t, moved(i, across, down))), (isDropped) => (isDropped ? keep() : letGo()));
          }}
          onKeyDown={arrows((across, down) => void say(...told(t, meant(both, (ends) => moved(i, across * 10, down * 10, ends)))))}
        >
          <circle class={i === 0 ? "mark" : "mark chosen"} cx={end[0]} cy={end[1]} r={7} />
          <circle cx={end[0]} cy={end[1]} r={16} fill="transparent" />
          <title>{i === 0 ? "Here it begins: pull it" : "Here it works wholly: pull it"}</title>
        </g>
      ))}
    </svg>
  );
}
