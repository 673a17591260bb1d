// What is staked out over the picture: the horizon and distances at its edge, flags, spikes, the tracing of an edge.
import { Fragment, h } from "../../vendor/preact.js";
import type { Card, Stand, StretchReport } from "../../gen/wire.js";
import { pull } from "../parts/pull.js";
import { steady } from "../parts/steady.js";
import { keep, letGo, trySaying } from "../store/link.js";
import { sheet } from "../store/scene.js";
import { choose, chosen, first, isAsked, stands, traced, views as shown, type Views } from "../store/view.js";
import type { Part } from "./glass.js";
import { figure, type Box } from "./places.js";

/** The horizon, the distances at the picture's edge, and the marks of what is chosen. */
export function Staked({ box, seen }: { box: Box; seen: Part }) {
  return (
    <svg width={box.width} height={box.height} aria-hidden="true">
      {shown.value && <Edges box={box} seen={seen} views={shown.value} />}
      <clipPath id="seen"><rect x={0} y={0} width={box.width} height={box.height} /></clipPath>
      <g clip-path="url(#seen)"><Stakes seen={seen} height={box.height} /></g>
    </svg>
  );
}

const Edges = steady(({ box, seen, views }: { box: Box; seen: Part; views: Views }) => {
  const rows = views.horizon_px;
  const row = (v: number) => v * seen.scale - seen.y;
  const isIn = (y: number) => y >= 0 && y <= box.height;
  const left = rows ? row(rows[0]) : -1;
  return (
    <g>
      {isIn(left) && (
        <g>
          <path class="line" d={`M-34 ${left}H10`} />
          <text class="soft" x={-40} y={left - 6} text-anchor="start">horizon</text>
        </g>
      )}
      {views.ticks.filter((t) => isIn(row(t.row_px))).map((tick) => (
        <g key={tick.z_m}>
          <path class="line" d={`M${box.width} ${row(tick.row_px)}h8`} />
          <text x={box.width + 14} y={row(tick.row_px) + 4}>{figure(tick.z_m, 1)}</text>
        </g>
      ))}
      <text class="soft" x={box.width + 14} y={box.height + 14}>m</text>
    </g>
  );
});

/** What is staked out in the picture: flags where something gives it away, spikes where what is chosen stands. */
function Stakes({ seen, height }: { seen: Part; height: number }) {
  const cards = sheet.value?.pieces ?? [];
  const standing = new Map(stands.value.map((p) => [p.piece, p]));
  return (
    <Fragment>
      {cards.filter((c) => c.snags.length > 0).map((c, i) => {
        const stand = standing.get(c.piece);
        return stand && <Flag key={c.piece} card={c} stand={stand} seen={seen} number={i + 1} />;
      })}
      {traced.value && traced.value.of === sheet.value?.number && chosen.value.includes(traced.value.piece) && <Tracing stretches={traced.value.stretches} seen={seen} />}
      {chosen.value.map((piece) => {
        const stand = standing.get(piece);
        return stand && <Spike key={piece} stand={stand} seen={seen} height={height} isFirst={piece === first.value} card={cards.find((c) => c.piece === piece)} />;
      })}
    </Fragment>
  );
}

/** Stretches of an edge, numbered as survey points are: the longer one is, the larger its mark. */
const Tracing = steady(({ stretches, seen }: { stretches: StretchReport[]; seen: Part }) => {
  const numbered: [number, number][] = [];
  // Where they lie close, the worst has its number alone; brought nearer, all have.
  const isNumbered = (u: number, v: number) => {
    const isFree = numbered.every(([x, y]) => Math.abs(x - u) > 18 || Math.abs(y - v) > 13);
    if (isFree) numbered.push([u, v]);
    return isFree;
  };
  return (
  <g>
    {stretches.map((s, i) => {
      const [u, v] = [s.picture_px[0] * seen.scale - seen.x, s.picture_px[1] * seen.scale - seen.y];
      const r = Math.min(Math.max((s.length_px * seen.scale) / 8, 4), 16);
      const mark = `M${u - r} ${v}H${u + r}M${u} ${v - r}V${v + r}`;
      return (
        <g key={i}>
          <path class="halo" d={mark} />
          <path class="spike" d={mark} />
          {isNumbered(u, v) && <text class="over" x={u + 5} y={v - 5}>{i + 1}</text>}
          <title>{`${figure(s.length_px, 0)} px, ${figure(s.contrast_share * 100, 0)} % from what is behind, blurred ${figure(s.blur_px, 1)} px`}</title>
        </g>
      );
    })}
  </g>
  );
});

/** A numbered pencil flag on what gives the picture away. */
const Flag = steady(({ card, stand, seen, number }: { card: Card; stand: Stand; seen: Part; number: number }) => {
  const [u, v] = [stand.foot_px[0] * seen.scale - seen.x, stand.foot_px[1] * seen.scale - seen.y];
  return (
    <g class="flag" onPointerDown={(e: PointerEvent) => { e.stopPropagation(); if (!isAsked(card.piece)) choose(card.piece); }}>
      <path class="halo" d={`M${u} ${v}v-26l14 6l-14 6`} />
      <path class="bold" d={`M${u} ${v}v-26l14 6l-14 6`} />
      <text x={u + 3} y={v - 16}>{number}</text>
      <title>{card.snags.map((s) => s.what).join("; ")}</title>
    </g>
  );
});

/** The taped mark at a piece's foot, its height with the figure, and which way it faces. */
function Spike({ stand, seen, height, isFirst, card }: { stand: Stand; seen: Part; height: number; isFirst: boolean; card: Card | undefined }) {
  const [u, v] = [stand.foot_px[0] * seen.scale - seen.x, stand.foot_px[1] * seen.scale - seen.y];
  const [t, w] = [stand.top_px[0] * seen.scale - seen.x, stand.top_px[1] * seen.scale - seen.y];
  const tape = `M${u - 12} ${v}H${u + 12}M${u} ${v}v9`;
  const staff = `M${u + 18} ${v}L${t + 18} ${w}M${t + 13} ${w}h10`;
  const length = Math.hypot(u - t, v - w);
  const measure = (e: PointerEvent) => {
    e.stopPropagation();
    const tall = (down: number) => `h=${Math.max(0.01, stand.height_m * (1 - down / Math.max(1, length))).toFixed(3)}`;
    pull(e, (_, down) => trySaying("place", "nudge", `#${stand.piece}`, tall(down)), (isDropped) => (isDropped ? keep() : letGo()));
  };
  return (
    <g>
      <path class="halo" d={tape + (isFirst ? staff : "")} />
      <path class="spike" d={tape + (isFirst ? staff : "")} />
      {isFirst && (
        <g class="pulled" onPointerDown={measure}>
          <rect class="note" x={t + 27} y={w - 8} width={card?.is_height_assumed ? 96 : 52} height={17} />
          <text class="chosen" x={t + 31} y={w + 5}>{figure(stand.height_m)} m{card?.is_height_assumed ? ", assumed" : ""}</text>
          <rect x={t + 8} y={w - 10} width={20} height={20} fill="transparent" />
          <title>Pull to say how tall it is</title>
        </g>
      )}
      {isFirst && card?.facing && (
        <text class="over" x={u + 24} y={Math.min(v + 18, height - 8)}>
          faces {card.facing}{card.facing_missed_by_deg !== null ? `, misses by ${figure(card.facing_missed_by_deg, 0)}°` : ""}
        </text>
      )}
    </g>
  );
}
