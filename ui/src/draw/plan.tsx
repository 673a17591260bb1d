// The ground plan: under the picture, its left and right the picture's own at one distance.
import { h } from "../../vendor/preact.js";
import type { LampStand, Projection, Stand } from "../../gen/wire.js";
import { drag, drop, letGo } from "../store/link.js";
import { pull } from "../parts/pull.js";
import { chosen } from "../store/view.js";
import { along, at, distance, figure, ruled, type Box, type Depths } from "./places.js";

type Props = { box: Box; scale: number; views: Projection; level: number; depths: Depths; subject: number | null };

/** Across and down for metres right and away. */
export function scales({ box, scale, views, level, depths: d }: Omit<Props, "subject">) {
  const middle = (-views.field[0] / (views.field[1] - views.field[0])) * box.width;
  const across = (views.focal_px * scale) / level;
  return {
    x: (metres: number) => middle + metres * across,
    y: (metres: number) => box.height * (1 - along(d, metres)),
    metres: (x: number) => (x - middle) / across,
    away: (y: number) => distance(d, 1 - y / box.height),
  };
}

export function Plan(props: Props) {
  const { box, views, depths: d, level, subject } = props;
  const { x, y } = scales(props);
  const rows = ruled(d, 0.09);
  const shares = [...Array(33).keys()].map((i) => distance(d, i / 32));
  const edge = (slope: number) => "M" + shares.map((z) => `${x(slope * z)} ${y(z)}`).join("L");
  const top = Math.max(0, y(Math.min(views.sharp.to_m ?? d.far, d.far)));
  const bottom = Math.min(box.height, y(Math.max(views.sharp.from_m, d.near)));
  return (
    <div style={at(box)}>
      <h2 class="above">
        Ground plan<small>across 1:1 with the picture at {figure(level, 1)} m, distance compressed</small>
      </h2>
      <div class="frame whole">
        <svg width={box.width} height={box.height} role="group" aria-label="Ground plan">
          {bottom > top && <rect class="sharp" x={0} y={top} width={box.width} height={bottom - top} />}
          {rows.map((m) => (
            <g key={m}>
              <path class="rule" d={`M0 ${y(m)}H${box.width}`} />
              <text class="soft" x={box.width - 6} y={y(m) - 4} text-anchor="end">{figure(m, 1)} m</text>
            </g>
          ))}
          <path class="line dash" d={edge(views.field[0])} />
          <path class="line dash" d={edge(views.field[1])} />
          {views.lamps.map((lamp) => <Lamp key={lamp.lamp} lamp={lamp} x={x(lamp.at_m[0])} y={y(lamp.at_m[2])} />)}
          {views.pieces.map((p) => (
            <circle
              key={p.piece}
              class={"mark" + (p.piece === chosen.value ? " chosen" : p.piece === subject ? " subject" : "")}
              cx={x(p.at_m[0])}
              cy={y(p.at_m[2])}
              r={p.piece === subject ? 7 : 5}
              onPointerDown={(e: PointerEvent) => begin(e, p, props)}
            />
          ))}
        </svg>
      </div>
    </div>
  );
}

function Lamp({ lamp, x, y }: { lamp: LampStand; x: number; y: number }) {
  const rays = [...Array(12).keys()].map((i) => {
    const [c, s] = [Math.cos((i * Math.PI) / 6), Math.sin((i * Math.PI) / 6)];
    return `M${x + 8 * c} ${y + 8 * s}L${x + 12 * c} ${y + 12 * s}`;
  });
  return (
    <g>
      <path class="line" d={rays.join("")} />
      <circle class="mark" cx={x} cy={y} r={5.5} />
      <title>{lamp.name}</title>
    </g>
  );
}

/** Drags a mark along the ground. */
function begin(e: PointerEvent, stand: Stand, props: Props): void {
  chosen.value = stand.piece;
  if (stand.is_attached) return;
  const s = scales(props);
  const [x, y] = [s.x(stand.at_m[0]), s.y(stand.at_m[2])];
  const moved = (across: number, down: number) =>
    drag(stand.piece, { on: "ground", x_m: s.metres(x + across), z_m: s.away(y + down), lift_m: null });
  pull(e, moved, (isDropped) => (isDropped ? drop() : letGo()));
}
