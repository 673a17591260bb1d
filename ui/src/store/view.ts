// What only this window knows.
import { computed, signal } from "../../vendor/signals.js";
import type { On, Projection, StretchReport } from "../../gen/wire.js";
import { kept } from "./kept.js";
import { sheet, tried } from "./scene.js";

const measured = () => ({ width: innerWidth, height: innerHeight, dense: devicePixelRatio });

/** The window's size in CSS pixels, and the screen's pixels to one of them. */
export const room = signal(measured());
addEventListener("resize", () => {
  room.value = measured();
});

/** Whether the screen shows more colours than sRGB has: then it is given those of Display P3. */
export const isWide = matchMedia("(color-gamut: p3)").matches;

/** The sheets of the title block. */
export type Turned = "backdrop" | "cutouts" | "staging" | "toning" | "dispatch";
export const turned = signal<Turned>("staging");

/** The take on top; none is the picture itself. */
export const top = signal<number | null>(null);

/** The leaf under it that is looked at: whole, or as far as the upper one's corner is folded back to a place. */
export const under = signal<{ take: number | null; fold: [number, number] | null } | null>(null);

/** The chosen pieces' numbers, the last one chosen first. */
export const chosen = signal<number[]>([]);

/** The one whose card lies there. */
export const first = computed(() => chosen.value[0] ?? null);

/** Chooses a piece alone, or beside the others. */
export function choose(piece: number | null, isBeside = false): void {
  if (piece !== null) dressed.value = null;
  if (piece === null) {
    if (!isBeside) chosen.value = [];
    return;
  }
  const others = chosen.value.filter((p) => p !== piece);
  if (!isBeside) chosen.value = [piece];
  else chosen.value = others.length < chosen.value.length ? others : [piece, ...others];
}

/** What the piece is for that is pointed at next, where it is asked for. */
export const pointing = signal<((piece: number) => void) | null>(null);

/** Asks for a piece to be pointed at. */
export function point(then: (piece: number) => void): void {
  pointing.value = then;
  said.value = "Click it, wherever it is seen. Escape leaves it as it is.";
}

/** Whether a piece that is pointed at was asked for: then it is not chosen. */
export function isAsked(piece: number): boolean {
  const then = pointing.value;
  if (!then) return false;
  pointing.value = null;
  said.value = "";
  then(piece);
  return true;
}

/** What stands on the first chosen piece's card: while something is tried, as it is then. */
export const card = computed(() => {
  const moving = tried.value?.cards.find((c) => c.piece === first.value);
  return moving ?? sheet.value?.pieces.find((p) => p.piece === first.value) ?? null;
});

/** The three views as they are now. */
export const projection = computed(() => tried.value?.projection ?? sheet.value?.projection ?? null);

/** The views without what stands in them: while a piece is moved they lie still. */
export type Views = Omit<Projection, "pieces" | "lamps">;
let seen: Views | null = null;
export const views = computed(() => {
  const now = projection.value;
  if (!now) return (seen = null);
  const { pieces: _, lamps: __, ...rest } = now;
  return (seen = kept(seen, rest));
});

/** What stands in them. */
export const stands = computed(() => projection.value?.pieces ?? []);
export const lamps = computed(() => projection.value?.lamps ?? []);

/** The toning card as it is now. */
export const toning = computed(() => tried.value?.toning ?? sheet.value?.toning ?? []);

/** The set dressings as they are now. */
export const dressings = computed(() => tried.value?.dressings ?? sheet.value?.dressings ?? []);

/** The set dressing whose card lies there: what it is called; of a new one nothing yet. */
export const dressed = signal<{ name: string | null } | null>(null);

/** The ground that is drawn next, on the plan or in the picture, closed or as a line; it is told in the words for where it was drawn. */
export type Laying = { isClosed: boolean; lay: (corners: string, where: "plan" | "picture") => void };
export const laying = signal<Laying | null>(null);

/** What was last said to the artist: done or refused. */
export const said = signal<string>("");

/** Since when something is being carried out. */
export const busy = signal<number | null>(null);

/** What takes its time, and how far it is. */
export const going = signal<{ n: number; share: number } | null>(null);

/** How the lens is brought nearer: a factor on the whole picture's scale, and the picture place in the middle. */
export const zoom = signal<{ factor: number; at: [number, number] } | null>(null);

/** Where a piece's edge is seen, traced over the picture: worst first. It is of the picture as it was then. */
export type Traced = { piece: number; of: number; stretches: StretchReport[] };
export const traced = signal<Traced | null>(null);

/** The cut-out on the cut-outs sheet, and what it is laid on. */
export const cutout = signal<number | null>(null);
export const laidOn = signal<On>("grey_card");

/** A counting glass that was laid on the sheet: where, over which place, and how large it shows it. */
export type Loupe = { id: number; x: number; y: number; at: [number, number]; scale: Scale };
export type Scale = "pixel for pixel" | "as printed" | "seen from 1.5 m";
export const loupes = signal<Loupe[]>([]);

/** The piece that something is being put before, by drawing around it in the picture. */
export const covering = signal<{ piece: number; what: string } | null>(null);

/** The dodging card that is painted in the picture: of which treatment, fixed to which piece or to the picture, and with what nib (its width in pixels of the table). */
export type Painting = { treatment: number; of: number | null; rubs: boolean; width: number; soft: number; strength: number };
export const painting = signal<Painting | null>(null);

/** The treatment whose place is laid over with a wash. */
export const washed = signal<number | null>(null);

/** The treatment whose sentence was touched last. */
export const treated = signal<number | null>(null);

/** Turns another sheet up; the nib is laid down. */
export function turnTo(sheet: Turned): void {
  turned.value = sheet;
  painting.value = null;
  pointing.value = null;
  laying.value = null;
  // What was told belongs to the sheet it was told on.
  said.value = "";
}

/** Whether the prompt book is open. */
export const isBookOpen = signal(false);
