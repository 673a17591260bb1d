// The line-up: every piece as a silhouette on one rule of distance, nearest left; past its end the wings.
import { h } from "../../vendor/preact.js";
import { useState } from "../../vendor/hooks.js";
import type { Card } from "../../gen/wire.js";
import { choose as chooseFiles, free, standIn, take } from "../parts/drop.js";
import { Phrase } from "../parts/phrase.js";
import { steady } from "../parts/steady.js";
import { say } from "../store/link.js";
import { choose, chosen, isAsked, stands, type Views } from "../store/view.js";
import { along, at, figure, ruled, type Box, type Depths } from "./places.js";

type Props = { box: Box; views: Views; depths: Depths; cards: Card[] };

/** Stand-ins, with the height that each is likely to have. */
const STAND_INS: [string, string][] = [
  ["", "stand in"],
  ["figure 1.7m", "a figure, 1.7 m"],
  ["figure 1.1m", "a child, 1.1 m"],
  ["seated 1.3m", "someone seated, 1.3 m"],
  ["post 1.5m", "a post, 1.5 m"],
  ["box 0.5m", "a box, 0.5 m"],
  ["ball 0.3m", "a ball, 0.3 m"],
];

/** Room for the wings at the rule's end. */
const WINGS = 0.14;

export function LineUp({ box, views, depths: d, cards }: Props) {
  const [wanted, want] = useState("");
  const base = box.height - 20;
  const foot = () => free([views.width_px / 2, views.height_px * 0.8], views.width_px);
  const rule = box.width * (1 - WINGS);
  const x = (metres: number) => Math.min(rule, rule * along(d, metres));
  return (
    <div style={at(box)}>
      <h2 class="above">
        Line-up
        <input
          class="filter"
          aria-label="Show only pieces whose name has"
          placeholder="find a piece"
          value={wanted}
          onInput={(e: Event) => want((e.currentTarget as HTMLInputElement).value)}
          onKeyDown={(e: KeyboardEvent) => {
            const found = e.key === "Enter" && wanted !== "" && cards.find((c) => c.name.toLowerCase().includes(wanted.toLowerCase()));
            if (found) choose(found.piece);
          }}
        />
        <button class="word" onClick={() => chooseFiles((files) => void take(files, foot()))}>bring shots</button>
        <Phrase name="Stand a grey figure or solid in" value="" others={STAND_INS} onReplace={(word) => word && void standIn(word.split(" ")[0] ?? "figure", word.split(" ")[1] ?? "1.7m", foot())} />
      </h2>
      <svg width={box.width} height={box.height} aria-hidden="true">
        <path class="bold" d={`M0 ${base}H${rule}`} />
        <path class="line dash" d={`M${rule + 10} ${base - 40}v46`} />
        <text class="soft" x={rule + 16} y={base + 18}>wings</text>
        {ruled(d, 0.06).filter((m) => x(m) < rule - 20).map((m) => (
          <g key={m}>
            <path class="line" d={`M${x(m)} ${base}v5`} />
            <text x={x(m)} y={base + 18} text-anchor="middle">{figure(m, 1)}</text>
          </g>
        ))}
      </svg>
      <Lined base={base} rule={rule} depths={d} cards={cards} wanted={wanted.toLowerCase()} />
    </div>
  );
}

/** Those that stand there, and behind them those in the wings. */
function Lined({ base, rule, depths: d, cards, wanted }: { base: number; rule: number; depths: Depths; cards: Card[]; wanted: string }) {
  const isChosen = new Set(chosen.value);
  const tallest = Math.max(0.1, ...stands.value.map((p) => p.height_m));
  const standing = [...stands.value].sort((a, b) => a.depth_m - b.depth_m);
  const places = fanned(standing.map((p) => rule * along(d, p.depth_m)), rule);
  const spots = standing.map((p, i) => ({ piece: p.piece, height: p.height_m, x: places[i] ?? 0 }));
  const wings = cards.filter((c) => c.hidden).map((c, i) => ({ piece: c.piece, height: c.height_m ?? tallest * 0.6, x: rule + 24 + i * 14 }));
  const named = new Map(cards.filter((c) => c.name.toLowerCase().includes(wanted)).map((c) => [c.piece, c]));
  return (
    <div class="lined" role="listbox" aria-label="Pieces, nearest first; then those in the wings" aria-multiselectable="true">
      {[...spots, ...wings].map((spot) => {
        const card = named.get(spot.piece);
        const up = Math.max(9, (spot.height / tallest) * (base - 4));
        return card && <Spot key={spot.piece} card={card} x={spot.x} base={base} up={up} isChosen={isChosen.has(spot.piece)} />;
      })}
    </div>
  );
}

/** Pixels between two that stand side by side. */
const APART = 11;

/** Places in rising order where many would stand at one: fanned out, as near to their own as can be, and none beyond `most` (isotonic regression by pooling adjacent violators; from memory). */
export function fanned(own: number[], most: number): number[] {
  const apart = Math.min(APART, most / Math.max(1, own.length));
  // Those that touch move together, to the mean of where each would have the first of them.
  const groups: { sum: number; count: number }[] = [];
  own.forEach((x, i) => {
    let last = { sum: x - i * apart, count: 1 };
    for (let before = groups.at(-1); before && before.sum / before.count >= last.sum / last.count; before = groups.at(-1)) {
      groups.pop();
      last = { sum: last.sum + before.sum, count: last.count + before.count };
    }
    groups.push(last);
  });
  const first = groups.flatMap(({ sum, count }) => Array<number>(count).fill(sum / count));
  return first.map((x, i) => Math.min(Math.max(x, 0), most - (own.length - 1) * apart) + i * apart);
}

const Spot = steady(({ card, x, base, up, isChosen }: { card: Card; x: number; base: number; up: number; isChosen: boolean }) => (
  <button
    class={"silhouette" + (isChosen ? " chosen" : "")}
    role="option"
    aria-selected={isChosen}
    aria-label={card.hidden ? `${card.name}, in the wings` : `${card.name}, ${figure(card.depth_m ?? card.z_m, 1)} metres away`}
    title={card.name}
    style={{ left: `${x}px`, height: `${up}px`, top: `${base - up}px` }}
    onClick={(e: MouseEvent) => isAsked(card.piece) || choose(card.piece, e.shiftKey)}
    onDblClick={() => void say("place", card.hidden ? "show" : "hide", `#${card.piece}`)}
  >
    <Silhouette cutout={card.cutout} isMirrored={card.mirrored} />
  </button>
));

/** What a cut-out covers, in ink. */
export function Silhouette({ cutout, isMirrored }: { cutout: number; isMirrored?: boolean }) {
  const image = `url("/silhouette/${cutout}")`;
  return <span class={isMirrored ? "ink mirrored" : "ink"} style={{ maskImage: image, webkitMaskImage: image }} />;
}
