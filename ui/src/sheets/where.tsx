// Where a treatment works: the end of its sentence, clause by clause, and the nib for its dodging card.
import { Fragment, h } from "../../vendor/preact.js";
import { useMemo } from "../../vendor/hooks.js";
import type { Sheet, TreatmentReport } from "../../gen/wire.js";
import { Figure, written } from "../parts/figure.js";
import { useMeant } from "../parts/meant.js";
import { Phrase } from "../parts/phrase.js";
import { letGo, say, trySaying } from "../store/link.js";
import { painting, said, washed, type Painting } from "../store/view.js";

type Choice = [string, string];

/** Takes the nib up for a treatment's dodging card. */
function paint(t: TreatmentReport): void {
  painting.value = { rubs: false, width: 60, soft: 0.6, strength: 1, ...painting.value, treatment: t.treatment, of: t.card ? t.card.of : null };
  washed.value = t.treatment;
  said.value = "Paint in the picture where it is to work. Escape lays the nib down.";
}

/** The nib for a dodging card, and what the card is fixed to. */
export function Nib({ t, on, picture }: { t: TreatmentReport; on: Painting; picture: Sheet }) {
  const change = (to: Partial<Painting>) => {
    painting.value = { ...on, ...to };
  };
  const fixed: Choice[] = [["picture", "the picture"], ...picture.pieces.filter((p) => !p.hidden).map((p) => [String(p.piece), p.name] as Choice)];
  const of = on.of === null ? "picture" : String(on.of);
  return (
    <span class="nib-line">
      <button class={on.rubs ? "word" : "word chosen"} aria-pressed={!on.rubs} onClick={() => change({ rubs: false })}>paint</button>{" "}
      <button class={on.rubs ? "word chosen" : "word"} aria-pressed={on.rubs} onClick={() => change({ rubs: true })}>rub off</button>{" "}
      with a nib <Figure name="Width of the nib, pixels of the table" value={on.width} unit="px wide" step={2} digits={0} least={2} most={600} onTry={(width) => change({ width })} onKeep={(width) => change({ width })} onLeave={() => {}} />
      , <Figure name="Softness of the nib" value={on.soft * 100} unit="% soft" step={5} digits={0} least={0} most={100} onTry={(v) => change({ soft: v / 100 })} onKeep={(v) => change({ soft: v / 100 })} onLeave={() => {}} />
      , <Figure name="Strength of the nib" value={on.strength * 100} unit="% strong" step={5} digits={0} least={1} most={100} onTry={(v) => change({ strength: v / 100 })} onKeep={(v) => change({ strength: v / 100 })} onLeave={() => {}} />
      ; the card is fixed to {t.card ? (fixed.find(([word]) => word === of)?.[1] ?? "the picture") : <Phrase name="What the card is fixed to" value={of} others={fixed} pointed={String} onReplace={(word) => change({ of: word === "picture" ? null : Number(word) })} />}.{" "}
      <button class="word" onClick={() => (painting.value = washed.value = null)}>lay the nib down</button>
    </span>
  );
}

/** What goes but once into a sentence: of each group one. */
const ONCE = [["--on-subject", "--not-on-subject"], ["--on", "--not-on"], ["--behind"], ["--before"], ["--tones"], ["--hues"], ["--gradient"]];

/** Where it works: its clauses, and one more. */
export function Where({ t, picture }: { t: TreatmentReport; picture: Sheet }) {
  const id = `#${t.treatment}`;
  const options = t.where_options;
  const meant = useMeant<string[][]>();
  const words = (clauses: string[][]) => (clauses.length === 0 ? ["--everywhere"] : clauses.flat());
  const write = (step: (clauses: string[][]) => string[][]) => {
    letGo();
    void say("tone", "change", id, ...words(meant(options, step)));
  };
  const pieces = useMemo(() => picture.pieces.map((p) => [`#${p.piece}`, p.name] as Choice), [picture.pieces]);
  const places = useMemo(() => [...picture.lamps.map((l) => [`#${l.lamp}`, l.name] as Choice), ...pieces], [picture.lamps, pieces]);
  const subject = picture.pieces.find((p) => p.is_subject) ?? picture.pieces[0];
  const place = places[0]?.[0];
  // The other end of a span leaves something between.
  const [behind, before] = ["--behind", "--before"].map((end) => {
    const text = options.find(([option]) => option === end)?.[1];
    return text === undefined ? undefined : parseFloat(text);
  });
  const all: (Choice | false | undefined)[] = [
    ["", options.length === 0 ? "everywhere" : "and only where …"],
    !t.card && ["paint", "where I paint it, on a dodging card"],
    ["--on-subject", "on the subject"],
    ["--not-on-subject", "not on the subject"],
    subject && [`--on #${subject.piece}`, "on a piece"],
    subject && [`--not-on #${subject.piece}`, "not on a piece"],
    place !== undefined && [`--within 4m:${place}`, "within a distance of a lamp or piece"],
    place !== undefined && [`--beyond 4m:${place}`, "beyond a distance of a lamp or piece"],
    [`--behind ${before === undefined ? 12 : written(before / 2)}m`, "behind a distance"],
    [`--before ${behind === undefined ? 6 : written(behind * 2)}m`, "before a distance"],
    ["--tones ..-2", "in the shadows"],
    ["--tones 1..", "in the lights"],
    ["--hues 136:80", "in the greens"],
    ["--hues 285:80", "in the blues"],
    ["--hues 40:70", "in the reds"],
    ["--gradient 0.5,1:0.5,0", "towards the top"],
    ["--gradient 0.5,0:0.5,1", "towards the bottom"],
  ];
  const isSaid = (word: string) => ONCE.find((group) => group.includes(word.split(" ")[0] ?? ""))?.some((one) => options.some(([option]) => option === one));
  const more = all.filter((o): o is Choice => !!o && !isSaid(o[0]));
  return (
    <span class="where">
      {options.map((clause, i) => {
        const says = t.where[i] ?? "";
        if (clause[0] === undefined) {
          return (
            <Fragment key={i}>
              <button class="word" title="Take the card away" aria-label={`Lift off: ${says}`} onClick={() => void say("tone", "paint", id, "--clear")}>{says}</button>{" "}
              (<button class="word" onClick={() => paint(t)}>paint on it</button>),{" "}
            </Fragment>
          );
        }
        return (
          <Fragment key={i}>
            <Clause
              does={t.does}
              clause={clause}
              says={says}
              pieces={pieces}
              places={places}
              onLift={() => write((from) => from.filter((_, j) => j !== i))}
              onChange={(rewrite, isTried) => {
                const step = (from: string[][]) => from.map((old, j) => (i === j ? rewrite(old) : old));
                if (isTried) trySaying("tone", "change", id, ...words(step(options)));
                else write(step);
              }}
            />
            ,{" "}
          </Fragment>
        );
      })}
      <Phrase name="Where it works" value="" others={more} onReplace={(word) => word && (word === "paint" ? paint(t) : write((from) => [...from, word.split(" ")]))} />
    </span>
  );
}

type Limits = { least?: number; most?: number; isSigned?: boolean; digits?: number };

/** What a clause becomes. */
type Rewrite = (clause: string[]) => string[];

type ClauseProps = {
  does: string;
  /** The option that says it, and its values. */
  clause: string[];
  /** As it reads, whole. */
  says: string;
  pieces: Choice[];
  places: Choice[];
  onLift: () => void;
  onChange: (rewrite: Rewrite, isTried: boolean) => void;
};

/** A clause: its word lifts it off, its figures are pulled, its names replaced. */
function Clause({ does, clause, says, pieces, places, onLift, onChange }: ClauseProps) {
  const [option = "", text = ""] = clause;
  const parts = text.split(":");
  const soft = parts.at(-1) ?? "0";
  // What was meant a moment ago may leave out what is told by now.
  const rewritten = (i: number, part: (old: string) => string): Rewrite => ([option = "", text = ""]) => {
    const old = text.split(":");
    return [option, parts.map((told, j) => (i === j ? part(old[j] ?? told) : (old[j] ?? told))).join(":")];
  };
  const replaced = (i: number, part: string) => rewritten(i, () => part);
  const lift = (reads: string) => <button class="word" title="Lift this off" aria-label={`Lift off: ${says}`} onClick={onLift}>{reads}</button>;
  const number = (what: string, value: string, unit: string, step: number, rewrite: (v: number) => Rewrite, limits: Limits) => (
    <Figure name={`${does}, ${what}`} value={parseFloat(value)} unit={unit} step={step} {...limits} onTry={(v) => onChange(rewrite(v), true)} onKeep={(v) => onChange(rewrite(v), false)} onLeave={letGo} />
  );
  const fades = (unit: string, step: number, most = Infinity) => (
    <Fragment>, soft over {number("soft over", soft, unit, step, (v) => replaced(parts.length - 1, written(v) + (unit === "m" ? "m" : "")), { least: 0, most })}</Fragment>
  );
  switch (option) {
    case "--on":
    case "--not-on": {
      const reads = option.slice(2).replace("-", " ");
      if (clause.length > 2) return lift(says);
      return <Fragment>{lift(reads)} <Phrase name={`${does}, ${reads}`} value={text} others={pieces} pointed={(piece) => `#${piece}`} onReplace={(piece) => onChange(() => [option, piece], false)} /></Fragment>;
    }
    case "--within":
    case "--beyond": {
      const reads = option.slice(2);
      return (
        <Fragment>
          {lift(reads)} {number(reads, parts[0] ?? "0", "m", 0.1, (v) => replaced(0, `${written(v)}m`), { least: 0.05 })} of{" "}
          <Phrase name={`${does}, ${reads} a distance of`} value={parts[1] ?? ""} others={places} pointed={(piece) => `#${piece}`} onReplace={(place) => onChange(replaced(1, place), false)} />
          {fades("m", 0.1)}
        </Fragment>
      );
    }
    case "--behind":
    case "--before": {
      const reads = option.slice(2);
      return <Fragment>{lift(reads)} {number(reads, parts[0] ?? "0", "m", 0.1, (v) => replaced(0, `${written(v)}m`), { least: 0.05 })}{fades("m", 0.1)}</Fragment>;
    }
    case "--tones": {
      const [from = "", to = ""] = (parts[0] ?? "").split("..");
      const end = (what: string, value: string, range: (v: number, old: string[]) => string, limits: Limits = {}) => number(what, value, "stops", 0.1, (v) => rewritten(0, (old) => range(v, old.split(".."))), { isSigned: true, ...limits });
      return (
        <Fragment>
          {lift("tones")}{" "}
          {from === "" ? <Fragment>below {end("below", to, (v) => `..${written(v)}`)}</Fragment>
            : to === "" ? <Fragment>above {end("above", from, (v) => `${written(v)}..`)}</Fragment>
            : <Fragment>from {end("from", from, (v, old) => `${written(v)}..${old[1] ?? ""}`, { most: parseFloat(to) })} to {end("to", to, (v, old) => `${old[0] ?? ""}..${written(v)}`, { least: parseFloat(from) })}</Fragment>}
          {fades("stops", 0.1)}
        </Fragment>
      );
    }
    case "--hues":
      return (
        <Fragment>
          {lift("hues")} {number("width of the hues", parts[1] ?? "0", "° wide", 5, (v) => replaced(1, written(v)), { least: 1, most: 360, digits: 0 })} around{" "}
          {number("middle of the hues", parts[0] ?? "0", "°", 5, (v) => replaced(0, written(((v % 360) + 360) % 360)), { digits: 0 })}
          {" "}<span class="gel" style={{ background: `lch(65% 45 ${parseFloat(parts[0] ?? "0")})` }} aria-hidden="true" />
          {fades("°", 5, 180)}
        </Fragment>
      );
    case "--gradient":
      return <Fragment>{lift("rising")} between its two ends in the picture</Fragment>;
    default:
      return lift(says);
  }
}
