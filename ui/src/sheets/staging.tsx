// The sheet of the stage: the picture, the plan under it, the section beside it, the line-up and the mark card.
import { Fragment, h } from "../../vendor/preact.js";
import type { Sheet } from "../../gen/wire.js";
import { layGlass } from "../draw/loupe.js";
import { nearer } from "../draw/lens.js";
import { LineUp } from "../draw/lineup.js";
import { at, depths, type Box, type Places } from "../draw/places.js";
import { Plan } from "../draw/plan.js";
import { Section } from "../draw/section.js";
import { Threads } from "../draw/threads.js";
import { MarkCard } from "../parts/card.js";
import { DressCard } from "./dressing.js";
import { choose as chooseFiles, take } from "../parts/drop.js";
import { choose, dressed, first, views as shown, zoom, type Views } from "../store/view.js";
import { Outline } from "./cutouts.js";

export function Staging({ picture, places }: { picture: Sheet; places: Places }) {
  const views = shown.value;
  if (!views) return <p class="lost">The stage's camera cannot be: say on the backdrop's sheet how it stands.</p>;
  const subject = picture.pieces.find((p) => p.is_subject)?.piece ?? null;
  // What the views share is told by where the picture's subject stands at rest, whatever is chosen or moved: the rules lie still.
  const stands = picture.projection?.pieces ?? [];
  const focus = views.sharp.at_m ?? 5;
  const near = stands.find((p) => p.piece === subject) ?? [...stands].sort((a, b) => Math.abs(a.depth_m - focus) - Math.abs(b.depth_m - focus))[0];
  const level = near?.depth_m ?? focus;
  const d = depths(stands);
  const metre = (views.focal_px * places.scale) / level;
  // Where nothing stands yet, the lens is level with the horizon.
  const horizon = views.horizon_px ? ((views.horizon_px[0] + views.horizon_px[1]) / 2) * places.scale : 0;
  const foot = near ? near.foot_px[1] * places.scale + near.at_m[1] * metre : horizon + views.camera_height_m * metre;
  return (
    <Fragment>
      {picture.pieces.length === 0 && <Empty picture={picture} places={places} />}
      <Scales places={places} views={views} />
      <Plan box={places.plan} scale={places.scale} views={views} level={level} depths={d} subject={subject} />
      <Section box={places.section} scale={places.scale} views={views} level={level} foot={foot} depths={d} />
      <LineUp box={places.lineUp} views={views} depths={d} cards={picture.pieces} />
      {!zoom.value && <Threads places={places} views={views} level={level} foot={foot} depths={d} />}
      <Snags box={places.snags} picture={picture} />
      {dressed.value ? <DressCard box={places.card} picture={picture} /> : <MarkCard box={places.card} />}
    </Fragment>
  );
}

/** What gives the picture away, by the numbers of the flags; a click chooses the piece. */
function Snags({ box, picture }: { box: Box; picture: Sheet }) {
  const given = picture.pieces.filter((p) => p.snags.length > 0);
  if (given.length === 0) return null;
  return (
    <section class="snags" aria-label="Snags" style={at(box)}>
      <h2>Snags</h2>
      <ol>
        {given.map((p) => (
          <li key={p.piece}>
            <button class={p.piece === first.value ? "word chosen" : "word"} onClick={() => choose(p.piece)}>{p.name}</button> {p.snags.map((s) => s.what).join("; ")}
          </li>
        ))}
      </ol>
    </section>
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
