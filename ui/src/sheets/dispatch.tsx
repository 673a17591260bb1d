// The dispatch sheet: the leaf on top as a file that leaves the house.
import { Fragment, h } from "../../vendor/preact.js";
import { useState } from "../../vendor/hooks.js";
import type { Sheet } from "../../gen/wire.js";
import { useFinest } from "../draw/finest.js";
import { useGlass } from "../draw/glass.js";
import { at, figure, type Box, type Places } from "../draw/places.js";
import { arrows } from "../parts/arrows.js";
import { LastPages } from "../parts/book.js";
import { choose as chooseFiles, take } from "../parts/drop.js";
import { Phrase } from "../parts/phrase.js";
import { pull } from "../parts/pull.js";
import { print, say } from "../store/link.js";
import { going } from "../store/view.js";

const FORMS: [string, string][] = [
  ["tif", "TIFF, 16 bits"],
  ["png", "PNG, 16 bits"],
  ["jpg", "JPEG"],
  ["exr", "OpenEXR, linear"],
];

/** What a normal eye tells apart: one minute of arc (ISO 8596, visual acuity 1.0; from memory). */
const ACUITY = Math.PI / 180 / 60;

/** From how far off, in metres, pixels of a print are too small to be told apart. */
const sharpFrom = (ppi: number) => 0.0254 / ppi / Math.tan(ACUITY);

/** How large the file will be, in words: by its samples; a JPEG by three bits a pixel (common practice, no source). */
function weighed(form: string, pixels: number): string {
  const bytes = pixels * (form === "jpg" ? 3 / 8 : 6);
  const told = bytes < 1e6 ? `${figure(Math.ceil(bytes / 1e3), 0)} kB` : `${figure(bytes / 1e6, bytes < 1e7 ? 1 : 0)} MB`;
  return form === "jpg" ? `about ${told}` : `at most ${told}`;
}

/** A CSS pixel is the 96th part of an inch (CSS Values and Units 4, 6.1). */
const CSS_PPI = 96;
/** The docket's crop among the glasses. */
const CROP = 8;

/** A part of the picture as large as it is printed: first where the subject's edge is finest. */
function Crop({ box, picture, ppi }: { box: Box; picture: Sheet; ppi: number | null }) {
  const [moved, move] = useState<[number, number] | null>(null);
  const finest = useFinest(picture);
  const at = moved ?? finest;
  const scale = ppi ? CSS_PPI / ppi : 1 / devicePixelRatio;
  const [width, height] = [box.width - 34, Math.min(220, box.height * 0.3)];
  const canvas = useGlass(CROP, { what: "top" }, { scale, x: at[0] * scale - width / 2, y: at[1] * scale - height / 2 }, width, height);
  const shift = (x: number, y: number) => move([at[0] - x / scale, at[1] - y / scale]);
  return (
    <Fragment>
      <h4>{ppi ? "as large as it is printed" : "pixel for pixel"}</h4>
      <div
        class="crop pulled"
        style={{ width: `${width}px`, height: `${height}px` }}
        role="img"
        tabIndex={0}
        aria-label="A part of the picture as large as it is printed: pull it, or arrows, to see another"
        onPointerDown={(e: PointerEvent) => pull(e, shift, () => {})}
        onKeyDown={arrows((x, y) => shift(-20 * x, -20 * y))}
      >
        <canvas ref={canvas} />
        <p class="drawing">It is being drawn</p>
      </div>
    </Fragment>
  );
}

/** Receipts, licences and releases that are kept with the picture. */
function Papers({ picture }: { picture: Sheet }) {
  const size = (bytes: number) => (bytes < 10_000 ? `${bytes} bytes` : bytes < 1e7 ? `${figure(bytes / 1000, 0)} kB` : `${figure(bytes / 1e6, 0)} MB`);
  return (
    <Fragment>
      <h4>papers</h4>
      <p class="row">
        <button class="word" onClick={() => chooseFiles((files) => void take(files, null), "")}>lay receipts, licences, releases here</button> They are kept byte for byte. A record, no legal advice.
      </p>
      {picture.papers.length > 0 && (
        <ul class="papers">
          {picture.papers.map((p) => (
            <li key={p.file}>{p.name}<small>{size(p.bytes)}{p.note ? `, ${p.note}` : ""}</small> <button class="word" onClick={() => void say("rights", "remove", p.file)}>remove</button></li>
          ))}
        </ul>
      )}
    </Fragment>
  );
}

export function Dispatch({ picture, places }: { picture: Sheet; places: Places }) {
  const r = picture.reading;
  const leaf = picture.takes.find((t) => t.take === picture.take)?.name;
  const plainName = [picture.name, leaf].filter((s) => s).join(" ").replace(/[^\p{L}\p{N} ._-]+/gu, "-").replaceAll(" ", "-");
  const [form, choose] = useState("tif");
  const [typed, type] = useState<string | null>(null);
  const [width, widen] = useState("whole");
  const [isOver, replace] = useState(false);
  const name = typed ?? plainName;
  const { beside } = places;
  if (!r) return null;
  const isEmpty = !r.backdrop && picture.pieces.every((p) => p.hidden);
  const wide = width === "whole" ? r.width_px : Math.min(Number(width), r.width_px);
  const tall = Math.round((wide * r.height_px) / r.width_px);
  const ppi = r.ppi && (r.ppi * wide) / r.width_px;
  const cm = r.ppi && width === "whole" ? `${figure((r.width_px / r.ppi) * 2.54, 1)} × ${figure((r.height_px / r.ppi) * 2.54, 1)} cm at ${figure(r.ppi, 0)} ppi` : "";
  const widths: [string, string][] = [["whole", `${r.width_px} px wide, full size`], ["3000", "3000 px wide"], ["2048", "2048 px wide, for a screen"], ["1200", "1200 px wide, for a letter"]];
  const send = (e: Event) => {
    e.preventDefault();
    void print(`${name}.${form}`, width === "whole" ? null : wide, isOver);
  };
  return (
    <Fragment>
      <LastPages box={places.below} picture={picture} />
      <section class="card docket" aria-label="Docket" style={at(beside)}>
        <h3>Docket<small>{leaf ? `take ${leaf}` : "the picture itself"}</small></h3>
        {isEmpty ? <p>There is nothing to print yet: lay a photograph on sheet 1, or stand a piece on sheet 4.</p> : (
        <form onSubmit={send}>
          <p class="manner">
            To <Phrase name="Form of the file" value={form} others={FORMS} onReplace={choose} />, <Phrase name="Width of the file" value={width} others={widths.filter(([w]) => w === "whole" || Number(w) < r.width_px)} onReplace={widen} />.
          </p>
          <p class="row">
            <label for="called">called</label>{" "}
            <input id="called" value={name} spellcheck={false} autocomplete="off" onInput={(e: Event) => type((e.currentTarget as HTMLInputElement).value)} onKeyDown={(e: KeyboardEvent) => e.stopPropagation()} /> .{form}, in the picture's folder “out”
          </p>
          <p class="row">{wide} × {tall} px{cm ? `, ${cm}` : ""}, {weighed(form, wide * tall)}{ppi ? `; finer than the eye sees from ${figure(sharpFrom(ppi), 1)} m on` : ""}</p>
          <p class="row">
            <label><input type="checkbox" checked={isOver} onChange={(e: Event) => replace((e.currentTarget as HTMLInputElement).checked)} /> replace a file of this name</label>
          </p>
          <p class="row"><button class="word act" disabled={going.value !== null}>write the file</button>{going.value && " when what is being done now is done"}</p>
        </form>
        )}
        {!isEmpty && <Crop box={beside} picture={picture} ppi={ppi} />}
        <Papers picture={picture} />
      </section>
    </Fragment>
  );
}
