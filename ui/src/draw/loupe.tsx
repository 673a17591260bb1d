// Counting glasses: laid on the sheet and left there, while work goes on elsewhere.
import { Fragment, h } from "../../vendor/preact.js";
import type { Sheet } from "../../gen/wire.js";
import { arrows } from "../parts/arrows.js";
import { pull } from "../parts/pull.js";
import { loupes, type Loupe, type Scale } from "../store/view.js";
import { useGlass } from "./glass.js";

/** Its width on the table. */
const WIDE = 168;
/** A CSS pixel is the 96th part of an inch (CSS Values and Units 4, 6.1). */
const CSS_PPI = 96;
/** From an eye to the table, in metres (trade practice for desk work, no source). */
const EYE = 0.6;

const SCALES: Scale[] = ["pixel for pixel", "as printed", "seen from 1.5 m"];

/** CSS pixels to a picture pixel. */
function scaled(scale: Scale, ppi: number): number {
  if (scale === "pixel for pixel") return 1 / devicePixelRatio;
  const printed = CSS_PPI / ppi;
  return scale === "as printed" ? printed : (printed * EYE) / 1.5;
}

/** Lays a glass on the table, over a place of the picture. */
export function layGlass(at: [number, number], x: number, y: number): void {
  const id = Math.max(9, ...loupes.value.map((l) => l.id)) + 1;
  // One laid on another would not be seen.
  const aside = 28 * (loupes.value.length % 8);
  loupes.value = [...loupes.value, { id, x: x - WIDE / 2 + aside, y: y - WIDE / 2 + aside, at, scale: "pixel for pixel" }];
}

export function Loupes({ picture }: { picture: Sheet }) {
  return <Fragment>{loupes.value.map((l) => <Glass key={l.id} loupe={l} ppi={picture.reading?.ppi ?? 300} />)}</Fragment>;
}

function Glass({ loupe, ppi }: { loupe: Loupe; ppi: number }) {
  const scale = scaled(loupe.scale, ppi);
  const seen = { scale, x: loupe.at[0] * scale - WIDE / 2, y: loupe.at[1] * scale - WIDE / 2 };
  const canvas = useGlass(loupe.id, { what: "top" }, seen, WIDE, WIDE);
  const change = (to: Partial<Loupe>) => {
    loupes.value = loupes.value.map((l) => (l.id === loupe.id ? { ...l, ...to } : l));
  };
  const away = () => {
    loupes.value = loupes.value.filter((l) => l.id !== loupe.id);
  };
  // In its middle it moves over the picture; by its rim it is moved on the table.
  const take = (e: PointerEvent) => {
    e.stopPropagation();
    const frame = (e.currentTarget as HTMLElement).getBoundingClientRect();
    const isRim = Math.hypot(e.clientX - frame.left - WIDE / 2, e.clientY - frame.top - WIDE / 2) > WIDE / 2 - 18;
    const { x, y, at } = loupe;
    const moved = (across: number, down: number) =>
      isRim ? change({ x: x + across, y: y + down }) : change({ at: [at[0] - across / scale, at[1] - down / scale] });
    pull(e, moved, () => {});
  };
  const overPicture = arrows((x, y) => change({ at: [loupe.at[0] + (x * 20) / scale, loupe.at[1] + (y * 20) / scale] }));
  const onTable = arrows((x, y) => change({ x: loupe.x + x * 20, y: loupe.y + y * 20 }));
  return (
    <figure class="loupe" style={{ left: `${loupe.x}px`, top: `${loupe.y}px`, width: `${WIDE}px` }}>
      <div
        class="pane"
        role="img"
        tabIndex={0}
        aria-label={`Counting glass, ${loupe.scale}; arrows move it over the picture, with Alt on the table; Delete takes it away`}
        onPointerDown={take}
        onKeyDown={(e: KeyboardEvent) => {
          if (e.key === "Delete" || e.key === "Backspace") away();
          else (e.altKey ? onTable : overPicture)(e);
        }}
      >
        <canvas ref={canvas} style={{ width: `${WIDE}px`, height: `${WIDE}px` }} />
      </div>
      <figcaption>
        <button class="word" onClick={() => change({ scale: SCALES[(SCALES.indexOf(loupe.scale) + 1) % SCALES.length] ?? "pixel for pixel" })}>{loupe.scale}</button>{" "}
        <button class="word" onClick={away}>take away</button>
      </figcaption>
    </figure>
  );
}
