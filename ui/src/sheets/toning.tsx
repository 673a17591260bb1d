// The toning sheet: the picture, the characteristic curve over its step wedge, and the toning card in the order of the light's way.
import { Fragment, h } from "../../vendor/preact.js";
import { useEffect, useRef, useState } from "../../vendor/hooks.js";
import type { Share, Sheet, TreatmentReport } from "../../gen/wire.js";
import { useFinest } from "../draw/finest.js";
import { useGlass } from "../draw/glass.js";
import { at, figure, fitted, type Box, type Places } from "../draw/places.js";
import { Figure, written } from "../parts/figure.js";
import { Gel, type Rgb } from "../parts/gel.js";
import { useMeant } from "../parts/meant.js";
import { Phrase } from "../parts/phrase.js";
import { pull } from "../parts/pull.js";
import { keep, letGo, say, trySaying, wedge } from "../store/link.js";
import { lamps, painting, toning, treated, views, washed } from "../store/view.js";
import { Nib, Where } from "./where.js";

const STEPS = [
  { step: "lens", reads: "at the lens", kinds: ["veil", "halation", "edge-fall-off"] },
  { step: "film", reads: "on the film", kinds: ["exposure", "balance", "grain"] },
  { step: "print", reads: "in the print", kinds: ["characteristic-curve", "saturation", "split-toning", "flashing", "edge-burn", "sharpness"] },
];

export function Toning({ picture, places }: { picture: Sheet; places: Places }) {
  const chosen = treated.value;
  const all = toning.value;
  const curve = all.find((t) => t.treatment === chosen && t.curve.length > 0) ?? all.find((t) => t.curve.length > 0) ?? null;
  const { beside, below } = places;
  // The curve lies under the picture, and beside it, where there is room, the picture at other strengths.
  const isRoomy = below.width >= 760;
  const curved = { ...below, width: isRoomy ? below.width * 0.58 : below.width };
  const side = { ...below, x: below.x + below.width * 0.58 + 28, width: below.width * 0.42 - 28 };
  const strength = all.find((t) => t.treatment === chosen) ?? all[0];
  return (
    <Fragment>
      <Curve box={curved} treatment={curve} number={picture.number} take={picture.take} />
      <section class="card toning" aria-label="Toning card" style={at(beside)}>
        <h3>Toning card<small>the light's way: pull a figure, replace a phrase, drag a sentence in its group</small></h3>
        <div class="sentences">
          <Dusk picture={picture} />
          {STEPS.map(({ step, reads, kinds }) => {
            const own = all.filter((t) => t.step === step);
            return (
              <Fragment key={step}>
                <h4>{reads}</h4>
                {own.map((t) => <Sentence key={t.treatment} t={t} among={own.length} picture={picture} isChosen={t.treatment === chosen} onChoose={() => (treated.value = t.treatment)} />)}
                <p class="adding">
                  <Phrase name={`Add a treatment ${reads}`} value="" others={[["", "add"], ...kinds.map((k) => [k, k.replaceAll("-", " ")] as [string, string])]} onReplace={(kind) => void (kind && say("tone", "add", kind))} />
                </p>
              </Fragment>
            );
          })}
        </div>
      </section>
      {strength && isRoomy && <Strengths box={side} t={strength} picture={picture} places={places} />}
    </Fragment>
  );
}

/** The daylight taken down, so that the lamps have the picture. */
function Dusk({ picture }: { picture: Sheet }) {
  const [down, cooler] = picture.reading?.dusk ?? [0, 0];
  const words = (down: number, cooler: number): string[] => ["light", "dusk", `${written(down)},${written(cooler)}`];
  const pulled = (name: string, value: number, unit: string, step: number, digits: number, least: number, most: number, to: (v: number) => string[]) => (
    <Figure
      name={name}
      value={value}
      unit={unit}
      step={step}
      digits={digits}
      least={least}
      most={most}
      isSigned={true}
      onTry={(v) => trySaying(...to(v))}
      onKeep={(v) => {
        letGo();
        void say(...to(v));
      }}
      onLeave={letGo}
    />
  );
  return (
    <Fragment>
      <h4>on the set</h4>
      <p class="setting">
        Dusk: the daylight {pulled("Daylight down, stops", down, "stops", 0.1, 2, -4, 12, (v) => words(v, cooler))} down and{" "}
        {pulled("Daylight cooler, mired", cooler, "mired", 1, 0, -200, 200, (v) => words(down, v))} cooler; the lamps shine as they did.
        {(down !== 0 || cooler !== 0) && <button class="word" onClick={() => void say("light", "dusk", "none")}>as it was photographed</button>}
      </p>
    </Fragment>
  );
}

/** What a figure of a treatment is called, how it reads, and how it is told. */
type Read = { before: string; unit: string; by: number; step: number; digits: number; isSigned?: boolean };

const READS: Record<string, Read> = {
  amount: { before: "", unit: "%", by: 100, step: 0.5, digits: 1 },
  radius: { before: "within", unit: "px", by: 1, step: 1, digits: 1 },
  stops: { before: "", unit: "stop", by: 1, step: 0.1, digits: 2 },
  warmth: { before: "", unit: "mired", by: 1, step: 1, digits: 0, isSigned: true },
  tint: { before: "with tint", unit: "", by: 1, step: 0.5, digits: 1, isSigned: true },
  size: { before: "of grains", unit: "px wide", by: 1, step: 0.1, digits: 1 },
  toe: { before: "toe below −", unit: "stops", by: 1, step: 0.1, digits: 1 },
  slope: { before: "of slope", unit: "", by: 1, step: 0.05, digits: 2 },
  shoulder: { before: "shoulder above +", unit: "stops", by: 1, step: 0.1, digits: 1 },
  factor: { before: "", unit: "%", by: 100, step: 1, digits: 0 },
  start: { before: "from", unit: "% of the way to the corner", by: 100, step: 1, digits: 0 },
  end: { before: "to", unit: "%", by: 100, step: 1, digits: 0 },
};

const NAMES: Record<string, string> = { "characteristic curve": "Curve" };

function Sentence({ t, among, picture, isChosen, onChoose }: { t: TreatmentReport; among: number; picture: Sheet; isChosen: boolean; onChoose: () => void }) {
  const id = `#${t.treatment}`;
  const name = NAMES[t.does] ?? t.does.charAt(0).toUpperCase() + t.does.slice(1);
  const tell = (option: string, value: number): string[] => {
    if (option !== "warmth" && option !== "tint") return [`--${option}`, written(value)];
    const of = (o: string) => t.figures.find((f) => f.option === o)?.value ?? 0;
    const [warmth, tint] = option === "warmth" ? [value, of("tint")] : [of("warmth"), value];
    return ["--warmth", `${written(warmth)}/${written(tint)}`];
  };
  const pulled = <Value,>(words: (v: Value) => string[]) => ({
    onTry: (v: Value) => trySaying("tone", "change", id, ...words(v)),
    onKeep: (v: Value) => {
      letGo();
      void say("tone", "change", id, ...words(v));
    },
    onLeave: letGo,
  });
  return (
    <p class={isChosen ? "sentence chosen" : "sentence"} onPointerDown={onChoose} onFocusCapture={onChoose}>
      <Handle t={t} among={among} />
      <b>{name}</b>{" "}
      {t.figures.map((f) => {
        const r = READS[f.option] ?? { before: f.option, unit: f.unit, by: 1, step: 0.1, digits: 2 };
        const isSigned = (r.isSigned ?? false) || t.does === "exposure";
        return (
          <Fragment key={f.option}>
            {r.before && <Fragment>{r.before} </Fragment>}
            <Figure name={`${name}, ${f.option}`} value={f.value * r.by} unit={r.unit} step={r.step} digits={r.digits} isSigned={isSigned} {...pulled((v: number) => tell(f.option, v / r.by))} />
            {", "}
          </Fragment>
        );
      })}
      {t.colours.map((c) => (
        <Fragment key={c.option}>
          {c.option === "colour" ? "" : `${c.option === "highlight" ? "lights" : c.option} `}
          <Gel name={`${name}, ${c.option}`} rgb={c.rgb} primaries={picture.reading?.primaries ?? "srgb"} {...pulled((rgb: Rgb) => [`--${c.option}`, rgb.map(written).join(",")])} />
          {c.rgb.map((v, i) => (
            <Fragment key={i}>
              {" "}
              <Figure
                name={`${name}, ${c.option}, ${["red", "green", "blue"][i]}`}
                value={v}
                step={t.does === "flashing" ? 0.001 : 0.01}
                digits={3}
                {...pulled((w: number) => [`--${c.option}`, c.rgb.map((old, j) => written(j === i ? Math.max(0, w) : old)).join(",")])}
              />
            </Fragment>
          ))}
          {", "}
        </Fragment>
      ))}
      <Figure name={`${name}, strength`} value={t.strength_share * 100} unit="% strong" step={5} digits={0} least={0} most={100} {...pulled((v: number) => ["--strength", `${written(v)}%`])} />
      {", "}
      <Where t={t} picture={picture} />
      .{" "}
      <span class="deeds">
        {t.where.length > 0 && (
        <button class="word" aria-pressed={washed.value === t.treatment} title="A green wash over the picture, as much of it as this works there" onClick={() => (washed.value = washed.value === t.treatment ? null : t.treatment)}>
          {washed.value === t.treatment ? "lift the wash" : "lay a wash where it works"}
        </button>
      )}
        <button class="word" onClick={() => void say("tone", "remove", id)}>strike out</button>
      </span>
      {painting.value?.treatment === t.treatment && <Nib t={t} on={painting.value} picture={picture} />}
    </p>
  );
}

/** By it a sentence is moved among those of its step. */
function Handle({ t, among }: { t: TreatmentReport; among: number }) {
  const move = (to: number) => {
    const place = Math.min(Math.max(1, to), among);
    if (place !== t.place) void say("tone", "move", `#${t.treatment}`, String(place));
  };
  const drag = (e: PointerEvent) => {
    const tall = (e.currentTarget as HTMLElement).closest("p")?.clientHeight ?? 22;
    let by = 0;
    pull(e, (_, down) => (by = Math.round(down / tall)), (isDropped) => isDropped && move(t.place + by));
  };
  return (
    <button
      class="handle"
      aria-label={`${t.does}, ${t.place} of ${among}: move with the arrows`}
      onPointerDown={drag}
      onKeyDown={(e: KeyboardEvent) => {
        if (e.key !== "ArrowUp" && e.key !== "ArrowDown") return;
        e.preventDefault();
        e.stopPropagation();
        move(t.place + (e.key === "ArrowUp" ? -1 : 1));
      }}
    >
      {t.place}
    </button>
  );
}

/** Steps of the wedge before it is told how much of the picture lies at each. */
const UNCOUNTED: Share[] = Array.from({ length: 10 }, (_, i) => ({ at_stops: i - 6, share: NaN }));

/** The characteristic curve, its parts named, over the wedge as the scene has it and as the print shows it. */
function Curve({ box, treatment: t, number, take }: { box: Box; treatment: TreatmentReport | null; number: number; take: number | null }) {
  const [shares, took] = useState<Share[]>(UNCOUNTED);
  useEffect(() => void wedge().then((counted) => took(counted.length > 0 ? counted : UNCOUNTED)), [number, take]);
  const [stop, point] = useState<number | null>(null);
  const w = box.width;
  const [from, to] = [-6.5, 3.5];
  const wide = w / (to - from);
  const top = 44;
  const tall = Math.max(40, box.height - top - 118);
  const x = (stops: number) => (stops - from) * wide;
  const y = (stops: number) => top + tall * (1 - (Math.min(Math.max(stops, from), to) - from) / (to - from));
  if (!t) {
    return (
      <section class="curve" aria-label="Characteristic curve" style={at(box)}>
        <h2 class="above">Characteristic curve</h2>
        <p>The print follows the scene as it is. <button class="word" onClick={() => void say("tone", "add", "characteristic-curve", "--slope", "1", "--toe", "3", "--shoulder", "1.2")}>draw a curve</button></p>
        <Wedge {...{ w, wide, top: 60, t: null, shares, stop, point }} />
      </section>
    );
  }
  const of = (option: string) => t.figures.find((f) => f.option === option)?.value ?? 0;
  const [toe, shoulder] = [-of("toe"), of("shoulder")];
  const seen = t.curve.filter((p) => p.at_stops >= from && p.at_stops <= to);
  const line = "M" + seen.map((p) => `${x(p.at_stops)} ${y(p.prints_stops)}`).join("L");
  const here = seen.find((p) => p.at_stops === stop);
  const part = (a: number, b: number, name: string) => (
    <g key={name}>
      <path class="line" d={`M${x(a) + 1} 18v8M${x(a) + 1} 22H${x(b) - 1}M${x(b) - 1} 18v8`} />
      <text class="soft" x={(x(a) + x(b)) / 2} y={14} text-anchor="middle">{name}</text>
    </g>
  );
  return (
    <section class="curve" aria-label="Characteristic curve" style={at(box)}>
      <h2 class="above">Characteristic curve<small>{t.where.length === 0 ? "everywhere" : t.where.join(", ")}</small></h2>
      <svg width={w} height={top + tall + 4} aria-hidden="true">
        {part(from, Math.max(from, toe), "toe")}
        {part(Math.max(from, toe), Math.min(to, shoulder), "straight line")}
        {part(Math.min(to, shoulder), to, "shoulder")}
        {[-6, -4, -2, 0, 2].map((s) => <path key={s} class="rule" d={`M0 ${y(s)}H${w}`} />)}
        <path class="bold" d={line} />
        {here && (
          <g>
            <path class="thread" d={`M${x(here.at_stops)} ${y(here.prints_stops)}V${top + tall + 4}`} />
            <circle class="mark chosen" cx={x(here.at_stops)} cy={y(here.prints_stops)} r={5} />
            <text class="chosen" x={Math.min(x(here.at_stops) + 10, w - 130)} y={y(here.prints_stops) + 18}>slope {figure(here.slope)}, prints {here.prints_stops > 0 ? "+" : ""}{figure(here.prints_stops)} stops</text>
          </g>
        )}
      </svg>
      <Wedge {...{ w, wide, top: top + tall + 8, t, shares, stop, point }} />
    </section>
  );
}

type WedgeProps = { w: number; wide: number; top: number; t: TreatmentReport | null; shares: Share[]; stop: number | null; point: (stop: number | null) => void };

const counted = (share: number) => (Number.isNaN(share) ? "… %" : `${figure(share * 100, 0)} %`);

/** Steps of the wedge, and by how many stops they are pulled. */
type Pulled = [number, number][];

/** The steps: a patch is pulled up to print lighter, down to print darker. */
function Wedge({ wide, top, t, shares, point }: WedgeProps) {
  const last = useRef(0);
  const meant = useMeant<Pulled>();
  const told = t?.pulled_stops ?? [];
  const of = (all: Pulled, at: number) => all.find(([a]) => a === at)?.[1] ?? 0;
  const put = (all: Pulled, at: number, by: number): Pulled => [...all.filter(([a]) => a !== at), [at, by]];
  const words = (all: Pulled) => all.flatMap(([a, b]) => ["--pull", `${a}=${b < 0 ? "" : "+"}${written(b)}`]);
  const was = (at: number) => of(told, at);
  return (
    <div class="wedge" style={{ top: `${top}px` }}>
      {shares.map(({ at_stops: s, share }) => {
        const tone = t?.curve.find((p) => p.at_stops === s);
        const grey = (code: number | undefined) => ({ background: `rgb(${code ?? 0},${code ?? 0},${code ?? 0})` });
        const plain = Math.round(255 * Math.pow(Math.min(1, 0.18 * Math.pow(2, s)), 1 / 2.2));
        const change = (by: number) => void say("tone", "change", `#${t?.treatment}`, ...words(meant(told, (from) => put(from, s, of(from, s) + by))));
        return (
          <button
            key={s}
            class="step"
            style={{ width: `${wide}px` }}
            disabled={!t}
            aria-label={`${s > 0 ? `+${s}` : figure(s)} ${counted(share)}: step in stops and share of the picture, pulled ${figure(was(s))} stops; arrows pull it lighter or darker`}
            onPointerEnter={() => point(s)}
            onFocus={() => point(s)}
            onPointerDown={(e: PointerEvent) => {
              const start = was(s);
              last.current = start;
              pull(
                e,
                (_, down) => {
                  last.current = start - down / 60;
                  trySaying("tone", "change", `#${t?.treatment}`, ...words(put(told, s, last.current)));
                },
                (isDropped) => (isDropped ? keep() : letGo()),
              );
            }}
            onKeyDown={(e: KeyboardEvent) => {
              if (e.key !== "ArrowUp" && e.key !== "ArrowDown") return;
              e.preventDefault();
              e.stopPropagation();
              change(e.key === "ArrowUp" ? 0.1 : -0.1);
            }}
          >
            <span class="patch" style={grey(tone?.code ?? plain)} />
            <span class="patch" style={grey(tone?.prints_code ?? plain)} />
            <span>{s > 0 ? `+${s}` : figure(s)}</span>{" "}
            <small>{counted(share)}</small>
          </button>
        );
      })}
      <p class="soft">above the scene, below the print; stops from mid-grey, and share of the picture</p>
    </div>
  );
}

/** What shows only pixel for pixel. */
const CLOSE = ["grain", "sharpness"];
/** What shows around a light. */
const GLOWS = ["halation", "veil"];

type StrengthsProps = { box: Box; t: TreatmentReport; picture: Sheet; places: Places };

/** The picture with a treatment at other strengths, side by side, of a fine one the part where it shows; a click takes one. */
function Strengths({ box, t, picture, places }: StrengthsProps) {
  const shape = { width: places.picture.width, height: places.picture.height };
  const each = fitted({ x: 0, y: 0, width: (box.width - 14) / 2, height: (box.height - 14) / 2 - 24 }, shape);
  const finest = useFinest(picture);
  const whole = each.width / (views.value?.width_px ?? shape.width);
  const light = lamps.value.find((l) => l.at_px)?.at_px;
  const [scale, close] = CLOSE.includes(t.does) ? [1 / devicePixelRatio, finest] : GLOWS.includes(t.does) && light ? [whole * 3, light] : [whole, null];
  const seen = close ? { scale, x: close[0] * scale - each.width / 2, y: close[1] * scale - each.height / 2 } : { scale, x: 0, y: 0 };
  const now = Math.round(t.strength_share * 100);
  const all = [["none", 0], ["half", Math.round(now / 2)], ["as written", now], ["and a half", Math.min(100, Math.round(now * 1.5))]] as const;
  return (
    <section class="strengths" aria-label="Strengths" style={at(box)}>
      <h2 class="above">Strengths<small>of {t.does}{close ? ", a part of the picture" : ""}</small></h2>
      <div>
        {all.filter(([name, p]) => name === "as written" || p !== now).map(([name, percent], i) => (
          <button key={name} class={name === "as written" ? "chosen" : ""} onClick={() => void say("tone", "change", `#${t.treatment}`, "--strength", `${percent}%`)}>
            <Small glass={2 + i} treatment={t.treatment} percent={percent} box={each} seen={seen} />
            <span>{name}</span>
          </button>
        ))}
      </div>
    </section>
  );
}

function Small({ glass, treatment, percent, box, seen }: { glass: number; treatment: number; percent: number; box: Box; seen: { scale: number; x: number; y: number } }) {
  const canvas = useGlass(glass, { what: "strength", treatment, percent }, seen, box.width, box.height);
  return <canvas ref={canvas} style={{ width: `${box.width}px`, height: `${box.height}px` }} />;
}
