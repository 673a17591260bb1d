// The sheet of the stage: the picture, the plan under it, the section beside it, the line-up and the mark card.
import { Fragment, h } from "../../vendor/preact.js";
import type { Sheet } from "../../gen/wire.js";
import { layGlass } from "../draw/loupe.js";
import { nearer } from "../draw/lens.js";
import { LineUp } from "../draw/lineup.js";
import { at, depths, type Places } from "../draw/places.js";
import { Plan } from "../draw/plan.js";
import { Section } from "../draw/section.js";
import { Threads } from "../draw/threads.js";
import { MarkCard } from "../parts/card.js";
import { choose as chooseFiles, take } from "../parts/drop.js";
import { first, views as shown, zoom, type Views } from "../store/view.js";
import { Outline } from "./cutouts.js";

export function Staging({ picture, places }: { picture: Sheet; places: Places }) {
  const views = shown.value;
  if (!views) return <p class="lost">The stage's camera cannot be: say on the backdrop's sheet how it stands.</p>;
  const subject = picture.pieces.find((p) => p.is_subject)?.piece ?? null;
  // What the views share is told by where the pieces stand at rest: while one is moved, the rules lie still.
  const stands = picture.projection?.pieces ?? [];
  const near = stands.find((p) => p.piece === first.value) ?? stands.find((p) => p.piece === subject) ?? stands[0];
  const level = near?.depth_m ?? 5;
  const d = depths(stands);
  const foot = near ? near.foot_px[1] * places.scale + (near.at_m[1] * views.focal_px * places.scale) / level : places.picture.height;
  return (
    <Fragment>
      {picture.pieces.length === 0 && <Empty picture={picture} places={places} />}
      <Scales places={places} views={views} />
      <Plan box={places.plan} scale={places.scale} views={views} level={level} depths={d} subject={subject} />
      <Section box={places.section} scale={places.scale} views={views} level={level} foot={foot} depths={d} />
      <LineUp box={places.lineUp} views={views} depths={d} cards={picture.pieces} />
      {!zoom.value && <Threads places={places} views={views} level={level} depths={d} />}
      <MarkCard box={places.card} />
    </Fragment>
  );
}

/** Nothing stands there yet: a dotted figure on a mark, and what to do next. */
function Empty({ picture, places }: { picture: Sheet; places: Places }) {
  const { x, y, width, height } = places.picture;
  const foot: [number, number] = [width / 2 / places.scale, (height * 0.8) / places.scale];
  const says = picture.reading?.backdrop ? "Stand a piece here: drop a shot" : "Lay a photograph here: everything will stand in it";
  return (
    <button class="first" style={at({ x: x + width / 2 - 130, y: y + height * 0.3, width: 260, height: height * 0.62 })} onClick={() => chooseFiles((files) => void take(files, foot))}>
      <Outline />
      <span>{says}</span>
    </button>
  );
}

/** How near the lens is, in words, and a counting glass to be laid down. */
function Scales({ places, views }: { places: Places; views: Views }) {
  const { x, y, width, height } = places.picture;
  const shape = { width: views.width_px, height: views.height_px };
  const whole = Math.min(width / shape.width, height / shape.height);
  const toPixel = () => {
    zoom.value = null;
    nearer(places.picture, shape, 1 / devicePixelRatio / whole);
  };
  return (
    <p class="scales" style={at({ x: x + width - 360, y: y + height + 6, width: 360, height: 20 })}>
      <button class={zoom.value ? "word" : "word chosen"} aria-pressed={!zoom.value} onClick={() => (zoom.value = null)} aria-keyshortcuts="Home">whole</button>
      <button class="word" onClick={toPixel} aria-keyshortcuts="x">pixel for pixel</button>
      <button class="word" onClick={() => layGlass(zoom.value?.at ?? [shape.width / 2, shape.height / 2], x + width / 2, y + height / 3)} aria-keyshortcuts="g">lay a counting glass</button>
    </p>
  );
}
