// The section: beside the picture, its heights the picture's own at one distance.
import { h } from "../../vendor/preact.js";
import type { LampStand, Stand } from "../../gen/wire.js";
import { arrows } from "../parts/arrows.js";
import { pull } from "../parts/pull.js";
import { steady } from "../parts/steady.js";
import { keep, letGo, trySaying, tryOut } from "../store/link.js";
import { sheet } from "../store/scene.js";
import { choose, chosen, isAsked, lamps, stands, type Views } from "../store/view.js";
import { along, at, distance, figure, ruled, type Box, type Depths } from "./places.js";
import { shifted } from "./plan.js";

type Props = { box: Box; scale: number; views: Views; level: number; foot: number; depths: Depths };

/** Room for the camera, left of the nearest distance. */
const LEFT = 34;

/** Across for metres away. */
export function across(box: Box, d: Depths, metres: number): number {
  return LEFT + (box.width - LEFT) * along(d, metres);
}

export const Section = steady(({ box, scale, views, level, foot, depths: d }: Props) => {
  const left = LEFT;
  const x = (metres: number) => across(box, d, metres);
  const up = (views.focal_px * scale) / level;
  const y = (metres: number) => foot - metres * up;
  const lens = y(views.camera_height_m);
  const from = Math.max(left, x(views.sharp.from_m));
  const to = Math.min(box.width, x(views.sharp.to_m ?? d.far));
  const sharp = `sharp ${figure(views.sharp.from_m, 1)}${views.sharp.to_m ? ` to ${figure(views.sharp.to_m, 1)}` : " m to the horizon"}`;
  return (
    <div class="section" style={at(box)}>
      <h2 class="above">
        Section<small>heights true at {figure(level, 1)} m</small>
      </h2>
      <svg width={box.width} height={box.height} role="group" aria-label="Section">
        <clipPath id="within"><rect x={0} y={0} width={box.width} height={Math.max(0, box.height)} /></clipPath>
        <g clip-path="url(#within)">
        {to > from && <rect class="sharp" x={from} y={0} width={to - from} height={Math.max(0, foot)} />}
        {views.sharp.at_m !== null && (
          <g class="pulled" onPointerDown={(e: PointerEvent) => focus(e, views.sharp.at_m ?? 5, { box, depths: d, up })}>
            <path class="line" d={`M${x(views.sharp.at_m)} 18V${Math.max(18, foot)}`} />
            <rect x={x(views.sharp.at_m) - 7} y={0} width={14} height={Math.max(18, Math.min(foot, 60))} fill="transparent" />
            <title>What the lens is focused at: pull it nearer or farther</title>
          </g>
        )}
        {to > from && <text class="soft" x={Math.min(box.width, Math.max(LEFT + 60, (from + to) / 2 + 40))} y={foot + 36 <= box.height ? foot + 36 : foot - 8} text-anchor="end">{sharp}</text>}
        <path class="bold" d={`M0 ${foot}H${box.width}`} />
        {[...Array(Math.ceil(box.width / 9)).keys()].map((i) => (
          <path key={i} class="rule" d={`M${i * 9 + 6} ${foot + 1}l-6 6`} />
        ))}
        {views.levels.map((level) => (
          <g key={level.name}>
            <path class="line dash" d={`M${left} ${y(level.height_m)}H${box.width}`} />
            <text class="soft" x={left + 4} y={y(level.height_m) - 4}>{level.name} {figure(level.height_m)} m</text>
          </g>
        ))}
        <path class="line chain" d={`M16 ${lens}H${box.width}`} />
        <text class="soft" x={24} y={lens - 5}>camera height {figure(views.camera_height_m)} m</text>
        <path class="bold" d={`M2 ${lens - 7}h12v14h-12zM14 ${lens}l7 -5v10zM6 ${lens + 7}L0 ${foot}M10 ${lens + 7}L16 ${foot}`} />
        {ruled(d, 0.1).map((m) => (
          <g key={m}>
            <path class="line" d={`M${x(m)} ${foot}v6`} />
            <text x={x(m)} y={foot + 20} text-anchor="middle">{figure(m, 1)}</text>
          </g>
        ))}
        <Staffs scales={{ box, depths: d, up, foot }} />
        <Lamps scales={{ box, depths: d, up, foot }} />
        </g>
      </svg>
    </div>
  );
});

type Scales = { box: Box; depths: Depths; up: number };
type Footed = Scales & { foot: number };

function Lamps({ scales }: { scales: Footed }) {
  const { box, depths: d, up, foot } = scales;
  return (
    <g>
      {lamps.value.map((lamp) => (
        <circle key={lamp.lamp} class="mark pulled" cx={across(box, d, lamp.at_m[2])} cy={foot - lamp.at_m[1] * up} r={6} role="button" tabindex={0} aria-label={`${lamp.name}: arrows raise it, and move it nearer and farther`} onPointerDown={(e: PointerEvent) => raise(e, lamp, scales)} onKeyDown={arrows((x, y) => shifted(lamp.lamp, [0, -y / 10, x / 10]))}>
          <title>{lamp.name}: pull it up or down, nearer or farther</title>
        </circle>
      ))}
    </g>
  );
}

/** How tall the pieces stand. */
function Staffs({ scales }: { scales: Footed }) {
  const isChosen = new Set(chosen.value);
  return <g>{stands.value.map((p) => <Staff key={p.piece} stand={p} scales={scales} isChosen={isChosen.has(p.piece)} />)}</g>;
}

const Staff = steady(({ stand: p, scales, isChosen }: { stand: Stand; scales: Footed; isChosen: boolean }) => {
  const x = across(scales.box, scales.depths, p.depth_m);
  const base = scales.foot - p.at_m[1] * scales.up;
  const top = base - p.height_m * scales.up;
  return (
    <g onPointerDown={(e: PointerEvent) => begin(e, p, scales)}>
      <rect x={x - 5} y={top - 4} width={10} height={Math.max(8, base - top + 4)} fill="transparent" />
      <path class={isChosen ? "spike" : "line"} d={`M${x} ${base}V${top}M${x - 4} ${top}h8`} />
    </g>
  );
});

const over = (isDropped: boolean) => (isDropped ? keep() : letGo());

/** A distance, pulled across. */
const pulled = (from: number, x: number, { box, depths: d }: Scales) => distance(d, along(d, from) + x / (box.width - LEFT));

/** Pulls what the lens is focused at. */
function focus(e: PointerEvent, from: number, scales: Scales): void {
  pull(e, (x) => trySaying("read", "--focus", `${pulled(from, x, scales).toFixed(3)}m`), over);
}

/** Moves a lamp up and down, nearer and farther. */
function raise(e: PointerEvent, lamp: LampStand, scales: Scales): void {
  const told = sheet.value?.lamps.find((l) => l.lamp === lamp.lamp);
  if (!told) return;
  const moved = (x: number, y: number) => {
    const [up, z] = [told.at_m[1] - y / scales.up, told.at_m[2] + pulled(lamp.at_m[2], x, scales) - lamp.at_m[2]];
    trySaying("light", "change", `#${lamp.lamp}`, "--at", `${told.at_m[0]},${up.toFixed(3)},${z.toFixed(3)}`);
  };
  pull(e, moved, over);
}

/** Lifts a piece, or moves it nearer and farther: whichever way it is pulled first. */
function begin(e: PointerEvent, stand: Stand, scales: Scales): void {
  if (isAsked(stand.piece)) return;
  choose(stand.piece, e.shiftKey);
  const lift = sheet.value?.pieces.find((p) => p.piece === stand.piece)?.lift_m ?? 0;
  let isLift: boolean | null = null;
  const moved = (x: number, y: number) => {
    isLift ??= Math.abs(y) > Math.abs(x);
    const to = isLift
      ? { x_m: null, z_m: null, lift_m: lift - y / scales.up }
      : { x_m: null, z_m: pulled(stand.at_m[2], x, scales), lift_m: null };
    if (isLift || !stand.is_attached) tryOut({ deed: "move", piece: stand.piece, to: { on: "ground", ...to } });
  };
  pull(e, moved, over);
}
