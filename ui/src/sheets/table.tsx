// The drafting table: the sheet that is turned up, the title block, and what lies over all sheets.
import { h } from "../../vendor/preact.js";
import { useEffect, useState } from "../../vendor/hooks.js";
import type { Sheet } from "../../gen/wire.js";
import { Lens, below, nearer } from "../draw/lens.js";
import { Loupes, layGlass } from "../draw/loupe.js";
import { at, placed, type Box, type Places } from "../draw/places.js";
import { Rising } from "../draw/rising.js";
import { Staked } from "../draw/stakes.js";
import { PromptBook } from "../parts/book.js";
import { take } from "../parts/drop.js";
import { TitleBlock, sheets } from "../parts/title.js";
import { isOpen, letGo, say, turn } from "../store/link.js";
import { rack, sheet } from "../store/scene.js";
import { choose, chosen, covering, dressed, first, isBookOpen, laidOn, laying, painting, pointing, room, said, treated, turned, turnTo, under, views, washed, zoom } from "../store/view.js";
import { Backdrop } from "./backdrop.js";
import { CutOuts } from "./cutouts.js";
import { Dispatch } from "./dispatch.js";
import { Rack } from "./rack.js";
import { Staging } from "./staging.js";
import { Toning } from "./toning.js";
// What signals change is drawn anew.
import "../../vendor/signals.js";

const isWritten = (e: Event) => e.target instanceof HTMLInputElement || e.target instanceof HTMLSelectElement || e.target instanceof HTMLTextAreaElement;

/** Keys of the whole table. */
function keys(e: KeyboardEvent): void {
  const picture = sheet.value;
  if (!picture || e.defaultPrevented) return;
  const isBeingWritten = (e.target instanceof HTMLInputElement || e.target instanceof HTMLTextAreaElement) && e.target.value !== "";
  if (isBeingWritten) return;
  if ((e.ctrlKey || e.metaKey) && e.key.toLowerCase() === "z") {
    e.preventDefault();
    turn(e.shiftKey ? "redo" : "undo");
    return;
  }
  const isCalledOff = e.key === "Escape" && e.target instanceof HTMLSelectElement;
  if (e.ctrlKey || e.metaKey || e.altKey || (isWritten(e) && !isCalledOff)) return;
  const to = sheets(picture).find((s) => s.key === e.key);
  if (to) turnTo(to.turned);
  else if (e.key === "Escape" && (pointing.value || laying.value)) {
    pointing.value = null;
    laying.value = null;
    said.value = "";
  } else if (e.key === "Escape") {
    letGo();
    covering.value = null;
    painting.value = null;
    washed.value = null;
    treated.value = null;
    choose(null);
    dressed.value = null;
    isBookOpen.value = false;
  } else if (e.key === "b") isBookOpen.value = !isBookOpen.value;
  else if (e.key === "u") {
    const leaf = below();
    if (leaf !== undefined) under.value = { take: leaf, fold: null };
  } else if (turned.value === "cutouts") grounds(e);
  else staged(e, picture);
}

function grounds(e: KeyboardEvent): void {
  const on = ({ v: "velvet", g: "grey_card", w: "white_paper", l: "lith", o: "shot" } as const)[e.key];
  if (on) laidOn.value = on;
  if (e.key === "Enter" && !(e.target instanceof HTMLButtonElement)) document.querySelector<HTMLButtonElement>("[aria-keyshortcuts=Enter]")?.click();
}

/** Keys of the sheets with the picture. */
function staged(e: KeyboardEvent, picture: Sheet): void {
  const views = picture.projection;
  const places = views && placed(room.value, { width: views.width_px, height: views.height_px });
  if (views && places) {
    const shape = { width: views.width_px, height: views.height_px };
    if (e.key === "+" || e.key === "=") nearer(places.picture, shape, 1.4);
    if (e.key === "-") nearer(places.picture, shape, 1 / 1.4);
    if (e.key === "Home") zoom.value = null;
    if (e.key === "x") {
      zoom.value = null;
      nearer(places.picture, shape, 1 / devicePixelRatio / places.scale);
    }
    if (e.key === "g") layGlass(zoom.value?.at ?? [shape.width / 2, shape.height / 2], places.picture.x + places.picture.width / 2, places.picture.y + places.picture.height / 3);
  }
  if (turned.value !== "staging") return;
  // A letter of the mark card begins a line on it.
  const line = document.querySelector<HTMLInputElement>("#says");
  if (line && /^[dhsfewavk]$/.test(e.key)) {
    e.preventDefault();
    line.value = e.key;
    line.focus();
    return;
  }
  if (e.key === "n" || e.key === "p") {
    const all = picture.pieces;
    const at = all.findIndex((p) => p.piece === first.value);
    choose(all[(at + (e.key === "n" ? 1 : all.length - 1) + all.length) % Math.max(1, all.length)]?.piece ?? null);
  }
  step(e, picture);
}

/** Arrows move the chosen piece. */
function step(e: KeyboardEvent, picture: Sheet): void {
  const far = e.shiftKey ? 0.01 : 0.1;
  const by = ({ ArrowLeft: [-far, 0], ArrowRight: [far, 0], ArrowUp: [0, far], ArrowDown: [0, -far] } as const)[e.key];
  const piece = picture.pieces.find((p) => p.piece === first.value);
  if (!by || !piece) return;
  e.preventDefault();
  // By so much, not to a place: keys may be faster than what they do.
  void say("place", "move", chosen.value.map((p) => `#${p}`).join(","), "--by", `${by[0]},${by[1]}`);
}

const release = (e: KeyboardEvent) => {
  if (e.key === "u") under.value = null;
};

/** The picture's place that lies under the hand, where it is over the picture. */
function underHand(e: DragEvent, places: Places, picture: Sheet): [number, number] | null {
  const { x, y, width, height } = places.picture;
  const [across, down] = [e.clientX - x, e.clientY - y];
  if (turned.value !== "staging" || zoom.value || across < 0 || down < 0 || across > width || down > height || !picture.projection) return null;
  return [across / places.scale, down / places.scale];
}

/** What was last said to the artist. */
function Said({ box }: { box: Box }) {
  return <p class="said" role="status" title={said.value} style={at(box)}>{said.value}</p>;
}

export function Table() {
  const [isOver, hover] = useState(false);
  useEffect(() => {
    addEventListener("keydown", keys);
    addEventListener("keyup", release);
    return () => {
      removeEventListener("keydown", keys);
      removeEventListener("keyup", release);
    };
  }, []);
  const picture = sheet.value;
  if (rack.value) return <Rack pictures={rack.value} />;
  if (!picture) return <p class="lost" role="status">{isOpen.value ? "The picture is being laid out" : "Waiting for the studio"}</p>;
  const shape = { width: picture.reading?.width_px ?? 3, height: picture.reading?.height_px ?? 2 };
  const places = placed(room.value, shape);
  const drop = (e: DragEvent) => {
    e.preventDefault();
    hover(false);
    void take([...(e.dataTransfer?.files ?? [])], underHand(e, places, picture));
  };
  const over = (e: DragEvent) => {
    e.preventDefault();
    hover(true);
  };
  const to = turned.value;
  const shown = views.value;
  // The lens stays where it is while these sheets are turned.
  const isSeen = to === "staging" || to === "toning" || to === "dispatch";
  return (
    <main id="sheet" class={isOver ? "taking" : ""} aria-label={`${picture.name}: ${to}`} onDrop={drop} onDragOver={over} onDragLeave={() => hover(false)}>
      {to === "backdrop" && <Backdrop picture={picture} places={places} />}
      {to === "cutouts" && <CutOuts picture={picture} places={places} />}
      {isSeen && shown && (
        <Lens box={places.picture} views={shown}>
          {(seen) => (to === "staging" ? <Staked box={places.picture} seen={seen} /> : to === "toning" ? <Rising box={places.picture} seen={seen} views={shown} /> : null)}
        </Lens>
      )}
      {to === "staging" && <Staging picture={picture} places={places} />}
      {to === "toning" && <Toning picture={picture} places={places} />}
      {to === "dispatch" && <Dispatch picture={picture} places={places} />}
      <TitleBlock box={places.title} picture={picture} />
      {isBookOpen.value && <PromptBook box={places.beside} picture={picture} />}
      {isSeen && <Loupes picture={picture} />}
      <Said box={places.margin} />
      {!isOpen.value && <p class="lost" role="alert">The studio does not answer. All that it answered for is kept; it is tried again.</p>}
    </main>
  );
}
