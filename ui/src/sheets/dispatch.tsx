// The dispatch sheet: the leaf on top as a file that leaves the house.
import { Fragment, h } from "../../vendor/preact.js";
import { useState } from "../../vendor/hooks.js";
import type { Sheet } from "../../gen/wire.js";
import { at, figure, type Places } from "../draw/places.js";
import { LastPages } from "../parts/book.js";
import { Phrase } from "../parts/phrase.js";
import { callOff, print } from "../store/link.js";
import { going } from "../store/view.js";

const FORMS: [string, string][] = [
  ["tif", "TIFF, 16 bits"],
  ["png", "PNG, 16 bits"],
  ["jpg", "JPEG"],
  ["exr", "OpenEXR, linear"],
];

export function Dispatch({ picture, places }: { picture: Sheet; places: Places }) {
  const r = picture.reading;
  const take = picture.takes.find((t) => t.take === picture.take)?.name;
  const plainName = [picture.name, take].filter((s) => s).join(" ").replace(/[^\p{L}\p{N} ._-]+/gu, "-").replaceAll(" ", "-");
  const [form, choose] = useState("tif");
  const [typed, type] = useState<string | null>(null);
  const [width, widen] = useState("whole");
  const [isOver, replace] = useState(false);
  const name = typed ?? plainName;
  const { beside } = places;
  if (!r) return null;
  const wide = width === "whole" ? r.width_px : Math.min(Number(width), r.width_px);
  const tall = Math.round((wide * r.height_px) / r.width_px);
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
        <h3>Docket<small>{take ? `take ${take}` : "the picture itself"}</small></h3>
        <form onSubmit={send}>
          <p class="manner">
            To <Phrase name="Form of the file" value={form} others={FORMS} onReplace={choose} />, <Phrase name="Width of the file" value={width} others={widths.filter(([w]) => w === "whole" || Number(w) < r.width_px)} onReplace={widen} />.
          </p>
          <p class="row">
            <label for="called">called</label>{" "}
            <input id="called" value={name} spellcheck={false} autocomplete="off" onInput={(e: Event) => type((e.currentTarget as HTMLInputElement).value)} onKeyDown={(e: KeyboardEvent) => e.stopPropagation()} /> .{form}, in the picture's folder “out”
          </p>
          <p class="row">{wide} × {tall} px{cm ? `, ${cm}` : ""}</p>
          <p class="row">
            <label><input type="checkbox" checked={isOver} onChange={(e: Event) => replace((e.currentTarget as HTMLInputElement).checked)} /> replace a file of this name</label>
          </p>
          <p class="row">{going.value ? <button type="button" class="word" onClick={callOff}>call it off</button> : <button class="word act">write the file</button>}</p>
        </form>
      </section>
    </Fragment>
  );
}
