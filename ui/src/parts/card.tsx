// The mark card: each quantity as computed, the artist's nudge, the result; how the piece stands, as a sentence; and a line to write on.
import { Fragment, h } from "../../vendor/preact.js";
import { useMemo, useState } from "../../vendor/hooks.js";
import type { Card, Sheet } from "../../gen/wire.js";
import { edge, letGo, say, trySaying } from "../store/link.js";
import { sheet } from "../store/scene.js";
import { card, chosen, covering, first, said, traced } from "../store/view.js";
import { at, figure, type Box } from "../draw/places.js";
import { choose as chooseFiles, recast, take } from "./drop.js";
import { Figure, typing } from "./figure.js";
import { Phrase } from "./phrase.js";

/** A row of the card. */
type Row = {
  /** The letter that a line begins with which is written about it, and its name. */
  letter: string;
  name: string;
  computed: string;
  result: string;
  /** Where its value comes from: `computed`, `pinned`, `as photographed`. */
  basis: string;
  /** What the artist adds, and how it is pulled and written. */
  nudge: Nudge | null;
};

type Nudge = { value: number; unit: string; step: number; digits: number; isSigned: boolean; write: (v: number) => string };

const signed = (v: number, digits: number) => (v > 0 ? "+" : "") + figure(v, digits);
const written = (v: number, digits: number) => Number(v.toFixed(digits)).toString();

/** A nudge by a factor, in per cent. */
const percent = (letter: string, factor: number): Nudge => ({
  value: (factor - 1) * 100,
  unit: "%",
  step: 1,
  digits: 1,
  isSigned: true,
  write: (v) => `${letter}=x${written(Math.max(0, 1 + v / 100), 5)}`,
});

/** A card's rows, in the order and by the letters of its keys. */
export function rows(c: Card): Row[] {
  const out: Row[] = [];
  const row = (letter: string, name: string, computed: string, result: string, basis: string, nudge: Nudge | null) =>
    out.push({ letter, name, computed, result, basis, nudge });
  const away = c.depth_m ?? c.z_m;
  row("d", "distance", "", `${figure(away)} m`, "computed", { value: away, unit: "m", step: 0.1, digits: 2, isSigned: false, write: (v) => `d=${written(Math.max(0.05, v), 4)}` });
  if (c.height_m !== null) {
    const tall = c.height_m;
    row("h", "height", c.is_height_assumed ? "assumed" : "", `${figure(tall)} m`, "computed", { value: tall, unit: "m", step: 0.01, digits: 2, isSigned: false, write: (v) => `h=${written(Math.max(0.005, v), 4)}` });
  }
  if (c.size) row("s", "size", `${figure(c.size.computed_px_per_m, 0)} px/m`, `${figure(c.size.result_px_per_m, 0)} px/m`, c.size.basis, percent("s", c.size.nudge_factor));
  if (c.defocus) row("f", "defocus", `${figure(c.defocus.computed_px, 1)} px`, `${figure(c.defocus.result_px, 1)} px`, c.defocus.basis, percent("f", c.defocus.nudge_factor));
  if (c.light) {
    const nudge = { value: c.light.nudge_stops, unit: "stop", step: 0.1, digits: 2, isSigned: true, write: (v: number) => `e=${v < 0 ? "" : "+"}${written(v, 4)}` };
    row("e", "light", `${signed(c.light.computed_stops, 2)} stop`, `${signed(c.light.result_stops, 2)} stop`, c.light.basis, nudge);
  }
  if (c.warmth) {
    const kelvin = (k: number | null) => (k === null ? "off the scale" : `${figure(k, 0)} K`);
    const nudge = { value: c.warmth.nudge_mired, unit: "mired", step: 1, digits: 0, isSigned: true, write: (v: number) => `w=${v < 0 ? "" : "+"}${written(v, 2)}` };
    row("w", "warmth", kelvin(c.warmth.computed_k), kelvin(c.warmth.result_k), c.warmth.basis, nudge);
  }
  const share = (v: number, digits: number) => `${figure(v * 100, digits)} %`;
  if (c.haze) row("a", "haze", share(c.haze.computed_share, 1), share(c.haze.result_share, 1), c.haze.basis, percent("a", c.haze.nudge_factor));
  if (c.shadow && c.casts_shadow) row("k", "shadow", share(c.shadow.computed_share, 0), share(c.shadow.result_share, 0), c.shadow.basis, percent("k", c.shadow.nudge_factor));
  return out;
}

/** The chosen pieces, as the command line names them. */
const named = () => chosen.value.map((p) => `#${p}`).join(",");

export function MarkCard({ box }: { box: Box }) {
  const c = card.value;
  if (!c && sheet.value?.pieces.length === 0) {
    const isLaid = sheet.value.reading?.backdrop != null;
    return (
      <section class="card" aria-label="Mark card" style={at(box)}>
        <p>{isLaid ? "Nothing stands in the picture yet. Drop a shot on it where it is to stand: it is cut out, and sized, lit and blurred as that place asks." : "First the photograph that everything will stand in. Drop it on the window."}</p>
        <p><button class="word" onClick={() => chooseFiles((files) => void take(files, null))}>{isLaid ? "bring shots" : "bring a photograph"}</button></p>
        {isLaid && <p>No shot yet? Stand a grey figure in from the line-up, compose with it, and give its place to a shot later.</p>}
      </section>
    );
  }
  if (!c) {
    return (
      <section class="card" aria-label="Mark card" style={at(box)}>
        <p>Click a piece, in the picture, on the plan, in the section or in the line-up: its card lies here.</p>
        <p>Drag it along the ground. Shift goes finely, Alt lifts, Ctrl draws it by its size. Drop a shot on the picture, and it stands there, cut out.</p>
      </section>
    );
  }
  const others = chosen.value.length - 1;
  return (
    <section class="card mark-card" aria-label="Mark card" style={at(box)}>
      <h3>
        <Name key={c.piece} piece={c.piece} name={c.name} />
        <small>{others > 0 ? `and ${others} more: what is changed here is changed of all` : `shows ${c.shows}`}</small>
      </h3>
      <table>
        <thead>
          <tr>
            <th scope="col"><span class="unseen">quantity</span></th>
            <th scope="col">computed</th>
            <th scope="col">nudge</th>
            <th scope="col">result</th>
            <th scope="col"><span class="unseen">rule</span></th>
          </tr>
        </thead>
        <tbody>{rows(c).map((r) => <RowLine key={r.letter} row={r} />)}</tbody>
      </table>
      <Manner c={c} />
      {c.is_height_assumed && c.height_m !== null && <p class="snag">Nobody said how tall it is: {figure(c.height_m)} m is assumed, and its size follows from that. Pull the height, or write h and its metres.</p>}
      {[...c.snags, ...c.remarks].map((s) => <p class="snag" key={s.what}>{s.what}: {s.remedy}</p>)}
      <Write />
    </section>
  );
}

function RowLine({ row: r }: { row: Row }) {
  const rowName = r.name;
  const isAbsolute = r.letter === "d" || r.letter === "h";
  const pull = r.nudge && {
    step: r.nudge.step,
    digits: r.nudge.digits,
    isSigned: r.nudge.isSigned,
    onTry: (v: number) => trySaying("place", "nudge", named(), r.nudge?.write(v) ?? ""),
    onKeep: (v: number) => {
      letGo();
      void say("place", "nudge", named(), r.nudge?.write(v) ?? "");
    },
    onLeave: letGo,
  };
  const nudged = r.nudge && !isAbsolute && r.basis === "computed";
  return (
    <tr>
      <th scope="row"><span class="key">{r.letter}</span>{r.name}</th>
      <td>{r.computed}</td>
      <td class="nudge">
        {r.basis !== "computed" && <button class="word" onClick={() => void say("place", "release", named(), rowName)} title="Let it follow from the mark again">{r.basis}</button>}
        {nudged && r.nudge && pull && <Figure name={`${r.name}, nudge`} value={r.nudge.value} unit={r.nudge.value === 0 ? "" : r.nudge.unit} {...pull} />}
      </td>
      <td class="result">
        {isAbsolute && r.nudge && pull ? <Figure name={r.name} value={r.nudge.value} unit={r.nudge.unit} {...pull} /> : r.result}
      </td>
      <td class="rule">
        <Rule value={r.nudge && !isAbsolute && r.basis === "computed" ? r.nudge.value / (r.nudge.step * 30) : 0} />
        {!isAbsolute && r.basis === "computed" && (
          <span class="ways">
            <button class="word" onClick={() => void say("place", "pin", `#${first.value}`, rowName)} title={`Hold the ${r.name} as it is now`}>pin</button>
            <button class="word" onClick={() => void say("place", "as-photographed", named(), rowName)} title={`Leave the ${r.name} as it was photographed`}>as shot</button>
          </span>
        )}
      </td>
    </tr>
  );
}

/** A ruled scale with a cursor: nothing added in its middle. */
function Rule({ value }: { value: number }) {
  const x = 28 + 26 * Math.max(-1, Math.min(1, value));
  const marks = [...Array(9).keys()].map((i) => `M${2 + i * 6.5} 6v${i % 4 === 0 ? -5 : -3}`).join("");
  return (
    <svg class="ruled" width={56} height={16} aria-hidden="true">
      <path class="line" d={`M2 6H54${marks}`} />
      <path class={value === 0 ? "cursor" : "cursor chosen"} d={`M${x} 7l4 7h-8z`} />
    </svg>
  );
}

function Name({ piece, name }: { piece: number; name: string }) {
  const [isTyped, setTyped] = useState(false);
  if (!isTyped) return <button class="name" title="Call it otherwise" onClick={() => setTyped(true)}>{name}</button>;
  const done = (text: string | null) => {
    const to = text?.trim();
    setTyped(false);
    if (to && to !== name) void say("place", "rename", `#${piece}`, to);
  };
  return (
    <input
      class="name"
      aria-label="What it is called"
      defaultValue={name}
      {...typing(done)}
    />
  );
}

const STANCES: [string, string][] = [
  ["upright", "Upright"],
  ["facing-lens", "Facing the lens"],
  ["lying", "Lying"],
  ["hanging", "Hanging"],
  ["wall", "On a wall"],
];

const WAYS: [string, string][] = [["--no-mirror", "as shot"], ["--mirror", "mirrored"]];

/** What a piece's phrases may be replaced by, at rest. */
function phrases(c: Card, s: Sheet | null) {
  const others = (s?.pieces ?? []).filter((p) => p.piece !== c.piece);
  const own = (name: string): [string, string] => [name, name];
  const faces: [string, string][] = [["none", "nothing"], ["lens", "the lens"], ["away", "away"], ...(s?.lamps ?? []).map((l) => own(l.name)), ...others.map((p) => own(p.name))];
  const carriers: [string, string][] = [["none", "nothing"], ...others.filter((p) => p.attached_to !== c.name).map((p) => [`#${p.piece}`, p.name] as [string, string])];
  const levels: [string, string][] = [["ground", "the ground"], ...(s?.reading?.levels ?? []).map((l) => own(l.name))];
  const covers: [string, string][] = [["", "bring something in front of it"], ["backdrop", "the backdrop there"], ...others.map((p) => [`#${p.piece}`, p.name] as [string, string])];
  return { others, faces, carriers, levels, covers, views: (s?.cutouts ?? []).map((v) => own(v.name)) };
}

/** How the piece stands, as a sentence whose phrases are replaced. */
function Manner({ c }: { c: Card }) {
  const s = sheet.value;
  const { others, faces, carriers, levels, covers, views } = useMemo(() => phrases(c, s), [c.piece, s]);
  const stand = (...words: string[]) => void say("place", "stand", named(), ...words);
  const angle = (option: string, name: string, value: number) => (
    <Figure
      name={name}
      value={value}
      unit="°"
      step={1}
      digits={1}
      onTry={(v) => trySaying("place", "stand", named(), option, written(v, 2))}
      onKeep={(v) => {
        letGo();
        stand(option, written(v, 2));
      }}
      onLeave={letGo}
    />
  );
  const carrier = others.find((p) => p.name === c.attached_to);
  return (
    <p class="manner">
      <Phrase name="How it stands" value={c.stance} others={STANCES} onReplace={(word) => stand("--stance", word)} />
      , leaning {angle("--lean", "Lean, degrees", c.lean_deg)}, turned {angle("--turn", "Turn, degrees", c.turn_deg)},{" "}
      <Phrase name="Which way round" value={c.mirrored ? "--mirror" : "--no-mirror"} others={WAYS} onReplace={(word) => stand(word)} />
      {" "}on <Phrase name="Its level" value={c.level ?? "ground"} others={levels} onReplace={(word) => void say("place", "move", `#${c.piece}`, "--level", word)} />
      , lifted{" "}
      <Figure
        name="Lift, metres"
        value={c.lift_m}
        unit="m"
        step={0.01}
        digits={2}
        onTry={(v) => trySaying("place", "move", `#${c.piece}`, "--lift", `${written(v, 4)}m`)}
        onKeep={(v) => {
          letGo();
          void say("place", "move", `#${c.piece}`, "--lift", `${written(v, 4)}m`);
        }}
        onLeave={letGo}
      />
      . Faces <Phrase name="What it faces" value={c.facing ?? "none"} others={faces} pointed={(piece) => others.find((p) => p.piece === piece)?.name ?? c.facing ?? "none"} onReplace={(word) => stand("--facing", word)} />
      {c.facing_missed_by_deg !== null && <Fragment>, misses by {figure(c.facing_missed_by_deg, 0)}°</Fragment>}
      {c.height_of_view_missed_by_deg !== null && Math.abs(c.height_of_view_missed_by_deg) >= 0.5 && <Fragment>, seen {figure(Math.abs(c.height_of_view_missed_by_deg), 0)}° too {c.height_of_view_missed_by_deg > 0 ? "high" : "low"}</Fragment>}
      . Held by{" "}
      <Phrase
        name="What holds it"
        value={carrier ? `#${carrier.piece}` : "none"}
        others={carriers}
        pointed={(piece) => `#${piece}`}
        onReplace={(word) => void (word === "none" ? say("place", "detach", `#${c.piece}`) : say("place", "attach", `#${c.piece}`, word))}
      />
      . Shows <Phrase name="The cut-out it shows" value={c.shows} others={views} onReplace={(word) => void say("place", "swap", named(), word)} />.{" "}
      <span class="deeds">
        <button class="word" onClick={() => void say("place", c.hidden ? "show" : "hide", named())}>{c.hidden ? "bring it out of the wings" : "into the wings"}</button>
        <Phrase name="Put something before it, by drawing around it" value="" others={covers} pointed={(piece) => `#${piece}`} onReplace={(what) => what && cover(c, what)} />
        {c.in_front.length > 0 && <button class="word" title={`In front of it: ${c.in_front.join(", ")}`} onClick={() => void say("place", "in-front", `#${c.piece}`, "--lift-off")}>nothing in front of it any more</button>}
        <button class="word" onClick={() => void say("place", "subject", c.is_subject ? "none" : `#${c.piece}`)}>{c.is_subject ? "no longer the subject" : "make it the subject"}</button>
        <button class="word" onClick={() => chooseFiles((files) => files[0] && void recast(c.piece, files[0]))}>stand a shot in its place</button>
        <button class="word" onClick={() => void another(c)}>another like it</button>
        <button class="word" aria-pressed={isTraced(c.piece)} onClick={() => traceEdge(c.piece)}>{isTraced(c.piece) ? "lift the tracing" : "trace where its edge is seen"}</button>
        <button class="word" onClick={() => void say("place", "remove", named())}>remove it</button>
      </span>
    </p>
  );
}

/** Asks for it to be drawn around. */
function cover(c: Card, what: string): void {
  covering.value = { piece: c.piece, what };
  said.value = `Draw around what is to stand before ${c.name}, in the picture.`;
}

/** Stands the same cut-out beside a piece once more. */
function another(c: Card): Promise<boolean> {
  const names = new Set((sheet.value?.pieces ?? []).map((p) => p.name));
  const stem = c.name.replace(/[ -]?\d+$/, "");
  let n = 2;
  while (names.has(`${stem} ${n}`)) n += 1;
  const place = `${written(c.x_m + (c.height_m ?? 1) * 0.5, 4)},${written(c.z_m, 4)}`;
  return say("place", "add", `${stem} ${n}`, "--cut-out", c.shows, "--at", place);
}

/** On the line keys write; Escape leaves it, and where nothing is written yet, taking back is not about the writing. */
function keys(e: KeyboardEvent): void {
  const line = e.currentTarget as HTMLInputElement;
  if (e.key === "Escape") line.blur();
  else if (!(line.value === "" && (e.ctrlKey || e.metaKey))) e.stopPropagation();
}

/** The line that is written on: about the chosen pieces, or any words of the command line. */
function Write() {
  const write = (e: Event) => {
    e.preventDefault();
    const line = (e.currentTarget as HTMLFormElement).elements.namedItem("says") as HTMLInputElement;
    const says = line.value.trim();
    if (!says) return;
    void say("place", "nudge", named(), says).then((isDone) => {
      if (isDone) line.value = "";
    });
  };
  return (
    <form onSubmit={write}>
      <label for="says">write, as d 4.5 or e +0.3</label>
      <input id="says" name="says" autocomplete="off" spellcheck={false} key={first.value} onKeyDown={keys} />
    </form>
  );
}

/** Whether the edge of a piece lies traced over the picture as it is. */
const isTraced = (piece: number) => traced.value?.piece === piece && traced.value.of === sheet.value?.number;

/** Traces where its edge is seen, or lifts the tracing. */
function traceEdge(piece: number): void {
  const of = sheet.value?.number ?? 0;
  if (isTraced(piece)) {
    traced.value = null;
    return;
  }
  said.value = "Its edge is being looked at …";
  void edge(piece).then((stretches) => {
    traced.value = { piece, of, stretches };
    said.value = stretches.length > 0 ? `${stretches.length} stretches of its edge are seen, worst first` : "Its edge is not seen anywhere";
  });
}
