// The sheet of the stage: the picture, the plan under it, the section beside it, the card and the title block.
import { Fragment, h } from "../../vendor/preact.js";
import { useEffect } from "../../vendor/hooks.js";
import { Lens } from "../draw/lens.js";
import { depths, placed } from "../draw/places.js";
import { Plan } from "../draw/plan.js";
import { Section } from "../draw/section.js";
import { LineUp } from "../draw/lineup.js";
import { Threads } from "../draw/threads.js";
import { MarkCard } from "../parts/card.js";
import { TitleBlock } from "../parts/title.js";
import { carryOut, isOpen, letGo } from "../store/link.js";
import { sheet } from "../store/scene.js";
import { chosen, projection, room } from "../store/view.js";
// What signals change is drawn anew.
import "../../vendor/signals.js";

function keys(e: KeyboardEvent): void {
  if (e.target instanceof HTMLInputElement) return;
  if (e.key === "Escape") {
    letGo();
    chosen.value = null;
  }
  if ((e.ctrlKey || e.metaKey) && e.key.toLowerCase() === "z") {
    e.preventDefault();
    carryOut({ deed: e.shiftKey ? "redo" : "undo", times: 1 });
  }
  const pieces = sheet.value?.pieces ?? [];
  if (e.key === "n" || e.key === "p") {
    const at = pieces.findIndex((p) => p.piece === chosen.value);
    const next = pieces[(at + (e.key === "n" ? 1 : pieces.length - 1) + pieces.length) % pieces.length];
    chosen.value = next?.piece ?? null;
  }
  const step = e.shiftKey ? 0.01 : 0.1;
  const steps: Record<string, [number, number]> = {
    ArrowLeft: [-step, 0],
    ArrowRight: [step, 0],
    ArrowUp: [0, step],
    ArrowDown: [0, -step],
  };
  const by = steps[e.key];
  const piece = pieces.find((p) => p.piece === chosen.value);
  if (by && piece) {
    e.preventDefault();
    const to = { on: "ground" as const, x_m: piece.x_m + by[0], z_m: piece.z_m + by[1], lift_m: null };
    carryOut({ deed: "move", piece: piece.piece, to });
  }
}

export function Sheet() {
  useEffect(() => {
    addEventListener("keydown", keys);
    return () => removeEventListener("keydown", keys);
  }, []);
  const views = projection.value;
  const picture = sheet.value;
  if (!views || !picture) {
    return <p class="lost">{isOpen.value ? "The picture is being laid out" : "Waiting for the studio"}</p>;
  }
  const places = placed(room.value, { width: views.width_px, height: views.height_px });
  const subject = picture.pieces.find((p) => p.is_subject)?.piece ?? null;
  const near = views.pieces.find((p) => p.piece === chosen.value) ?? views.pieces.find((p) => p.piece === subject) ?? views.pieces[0];
  const at = near?.depth_m ?? 5;
  const d = depths(views);
  const foot = near ? near.foot_px[1] * places.scale + (near.at_m[1] * views.focal_px * places.scale) / at : places.picture.height;
  const lifts = new Map(picture.pieces.map((p) => [p.piece, p.lift_m]));
  return (
    <Fragment>
      <main id="sheet" aria-label={`${picture.name}: staging`}>
        <Lens box={places.picture} scale={places.scale} views={views} />
        <Plan box={places.plan} scale={places.scale} views={views} level={at} depths={d} subject={subject} />
        <Section box={places.section} scale={places.scale} views={views} level={at} foot={foot} depths={d} lifts={lifts} />
        <LineUp box={places.lineUp} views={views} depths={d} subject={subject} names={picture.pieces} />
        {chosen.value !== null && near && <Threads places={places} views={views} level={at} depths={d} stand={near} />}
        <MarkCard box={places.card} />
        <TitleBlock box={places.title} picture={picture} />
        {!isOpen.value && <p class="lost" role="alert">The studio does not answer. Nothing that was done is lost; it is tried again.</p>}
      </main>
    </Fragment>
  );
}
