// The mark card: each quantity as computed, the artist's nudge, the result; and a line to write on it.
import { h } from "../../vendor/preact.js";
import type { Card } from "../../gen/wire.js";
import { carryOut } from "../store/link.js";
import { card, chosen, said } from "../store/view.js";
import { at, figure, type Box } from "../draw/places.js";

type Row = { letter: string; name: string; computed: string; nudge: string; result: string };

const signed = (v: number, digits: number) => (v > 0 ? "+" : "") + figure(v, digits);
const percent = (factor: number) => (factor === 1 ? "" : `${signed((factor - 1) * 100, 1)} %`);

/** The nudge's column: what the artist adds, or where the value comes from instead. */
const held = (basis: string, nudge: string) => (basis === "computed" ? nudge : basis);

/** A card's rows, in the order and by the letters of its keys. */
export function rows(c: Card): Row[] {
  const out: Row[] = [];
  const row = (letter: string, name: string, computed: string, nudge: string, result: string) =>
    out.push({ letter, name, computed, nudge, result });
  const z = `${figure(c.depth_m ?? c.z_m)} m`;
  row("d", "distance", z, "", z);
  if (c.height_m !== null) {
    const height = `${figure(c.height_m)} m`;
    row("h", "height", height, c.is_height_assumed ? "assumed" : "", height);
  }
  if (c.size) {
    row("s", "size", `${figure(c.size.computed_px_per_m, 0)} px/m`, held(c.size.basis, percent(c.size.nudge_factor)), `${figure(c.size.result_px_per_m, 0)} px/m`);
  }
  if (c.defocus) {
    row("f", "defocus", `${figure(c.defocus.computed_px, 1)} px`, held(c.defocus.basis, percent(c.defocus.nudge_factor)), `${figure(c.defocus.result_px, 1)} px`);
  }
  if (c.light) {
    const nudge = c.light.nudge_stops === 0 ? "" : signed(c.light.nudge_stops, 2);
    row("e", "light", `${signed(c.light.computed_stops, 2)} stop`, held(c.light.basis, nudge), `${signed(c.light.result_stops, 2)} stop`);
  }
  if (c.warmth) {
    const kelvin = (k: number | null) => (k === null ? "off the scale" : `${figure(k, 0)} K`);
    const nudge = c.warmth.nudge_mired === 0 ? "" : `${signed(c.warmth.nudge_mired, 0)} mired`;
    row("w", "warmth", kelvin(c.warmth.computed_k), held(c.warmth.basis, nudge), kelvin(c.warmth.result_k));
  }
  if (c.haze) {
    row("a", "haze", `${figure(c.haze.computed_share * 100, 1)} %`, held(c.haze.basis, percent(c.haze.nudge_factor)), `${figure(c.haze.result_share * 100, 1)} %`);
  }
  if (c.facing_missed_by_deg !== null) {
    const miss = `${figure(c.facing_missed_by_deg, 0)}° off`;
    row("v", "view", miss, "", miss);
  }
  if (c.shadow) {
    row("k", "shadow", `${figure(c.shadow.computed_share * 100, 0)} %`, held(c.shadow.basis, percent(c.shadow.nudge_factor)), `${figure(c.shadow.result_share * 100, 0)} %`);
  }
  return out;
}

export function MarkCard({ box }: { box: Box }) {
  const c = card.value;
  const place = at(box);
  if (!c) {
    return (
      <section class="card" aria-label="Mark card" style={place}>
        <p>Click a piece, in the picture or on the plan: its card lies here. Drag it along the ground; hold Shift to drag finely.</p>
      </section>
    );
  }
  const where = [`shows ${c.shows}`, c.level ? `on ${c.level}` : "", c.attached_to ? `held by ${c.attached_to}` : ""];
  const write = (e: Event) => {
    e.preventDefault();
    const line = (e.currentTarget as HTMLFormElement).elements.namedItem("says") as HTMLInputElement;
    const says = line.value.trim();
    if (!says) return;
    carryOut({ deed: "card", pieces: [c.piece], says }, (isDone) => {
      if (isDone) line.value = "";
    });
  };
  return (
    <section class="card" aria-label="Mark card" style={place}>
      <h3>
        {c.name}
        <small>{where.filter((w) => w).join(", ")}</small>
      </h3>
      <table>
        <thead>
          <tr>
            <th />
            <th>computed</th>
            <th>nudge</th>
            <th>result</th>
          </tr>
        </thead>
        <tbody>
          {rows(c).map((r) => (
            <tr key={r.letter}>
              <td><span class="key">{r.letter}</span>{r.name}</td>
              <td>{r.computed}</td>
              <td class="nudge">{r.nudge}</td>
              <td class="result">{r.result}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <form onSubmit={write}>
        <label for="says">write, as d 4.5 or e +0.3</label>
        <input id="says" name="says" autocomplete="off" spellcheck={false} key={chosen.value} />
      </form>
      <p class="why" role="status">{said.value}</p>
    </section>
  );
}
