// The line-up: every piece on one rule of distance, nearest left.
import { h } from "../../vendor/preact.js";
import type { Card, Projection } from "../../gen/wire.js";
import { chosen } from "../store/view.js";
import { along, at, figure, ruled, type Box, type Depths } from "./places.js";

type Props = { box: Box; views: Projection; depths: Depths; subject: number | null; names: Card[] };

export function LineUp({ box, views, depths: d, subject, names }: Props) {
  const base = box.height - 20;
  const x = (metres: number) => box.width * along(d, metres);
  const tallest = Math.max(0.1, ...views.pieces.map((p) => p.height_m));
  const all = [...views.pieces].sort((a, b) => a.depth_m - b.depth_m);
  return (
    <div style={at(box)}>
      <h2 class="above">Line-up</h2>
      <svg width={box.width} height={box.height} role="listbox" aria-label="Line-up of the pieces, nearest first">
        <path class="bold" d={`M0 ${base}H${box.width}`} />
        {ruled(d, 0.06).map((m) => (
          <g key={m}>
            <path class="line" d={`M${x(m)} ${base}v5`} />
            <text x={x(m)} y={base + 18} text-anchor="middle">{figure(m, 1)}</text>
          </g>
        ))}
        {all.map((p) => {
          const name = names.find((n) => n.piece === p.piece)?.name ?? "";
          const isChosen = p.piece === chosen.value;
          const up = Math.max(4, (p.height_m / tallest) * (base - 8));
          return (
            <g
              key={p.piece}
              role="option"
              aria-label={name}
              aria-selected={isChosen}
              onPointerDown={() => {
                chosen.value = p.piece;
              }}
            >
              <rect x={x(p.depth_m) - 5} y={base - up - 4} width={10} height={up + 4} fill="transparent" />
              <path class={isChosen ? "spike" : p.piece === subject ? "bold" : "line"} d={`M${x(p.depth_m)} ${base}v${-up}m-3 0h6`} />
              <title>{name}</title>
            </g>
          );
        })}
      </svg>
    </div>
  );
}
