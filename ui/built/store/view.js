// What only this window knows.
import { computed, signal } from "../../vendor/signals.js";
import { kept } from "./kept.js";
import { sheet, tried } from "./scene.js";
const measured = () => ({
	width: innerWidth,
	height: innerHeight,
	dense: devicePixelRatio
});
/** The window's size in CSS pixels, and the screen's pixels to one of them. */
export const room = signal(measured());
addEventListener("resize", () => {
	room.value = measured();
});
/** Whether the screen shows more colours than sRGB has: then it is given those of Display P3. */
export const isWide = matchMedia("(color-gamut: p3)").matches;
export const turned = signal("staging");
/** The take on top; none is the picture itself. */
export const top = signal(null);
/** The leaf under it that is looked at: whole, or as far as the upper one's corner is folded back to a place. */
export const under = signal(null);
/** The chosen pieces' numbers, the last one chosen first. */
export const chosen = signal([]);
/** The one whose card lies there. */
export const first = computed(() => chosen.value[0] ?? null);
/** Chooses a piece alone, or beside the others. */
export function choose(piece, isBeside = false) {
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
export const pointing = signal(null);
/** Asks for a piece to be pointed at. */
export function point(then) {
	pointing.value = then;
	said.value = "Click it, wherever it is seen. Escape leaves it as it is.";
}
/** Whether a piece that is pointed at was asked for: then it is not chosen. */
export function isAsked(piece) {
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
let seen = null;
export const views = computed(() => {
	const now = projection.value;
	if (!now) return seen = null;
	const { pieces: _, lamps: __, ...rest } = now;
	return seen = kept(seen, rest);
});
/** What stands in them. */
export const stands = computed(() => projection.value?.pieces ?? []);
export const lamps = computed(() => projection.value?.lamps ?? []);
/** The toning card as it is now. */
export const toning = computed(() => tried.value?.toning ?? sheet.value?.toning ?? []);
/** The set dressings as they are now. */
export const dressings = computed(() => tried.value?.dressings ?? sheet.value?.dressings ?? []);
/** The set dressing whose card lies there: what it is called; of a new one nothing yet. */
export const dressed = signal(null);
export const laying = signal(null);
/** What was last said to the artist: done or refused. */
export const said = signal("");
/** Since when something is being carried out. */
export const busy = signal(null);
/** What takes its time, and how far it is. */
export const going = signal(null);
/** How the lens is brought nearer: a factor on the whole picture's scale, and the picture place in the middle. */
export const zoom = signal(null);
export const traced = signal(null);
/** The cut-out on the cut-outs sheet, and what it is laid on. */
export const cutout = signal(null);
export const laidOn = signal("grey_card");
export const loupes = signal([]);
/** The piece that something is being put before, by drawing around it in the picture. */
export const covering = signal(null);
export const painting = signal(null);
/** The treatment whose place is laid over with a wash. */
export const washed = signal(null);
/** The treatment whose sentence was touched last. */
export const treated = signal(null);
/** Turns another sheet up; the nib is laid down. */
export function turnTo(sheet) {
	turned.value = sheet;
	painting.value = null;
	pointing.value = null;
	laying.value = null;
	// What was told belongs to the sheet it was told on.
	said.value = "";
}
/** Whether the prompt book is open. */
export const isBookOpen = signal(false);
