// Cuts that are owed: strokes say what a matte was not cut by yet. Those that were drawn in this window are cut by when the hand rests, whatever
// sheet is turned up; others when it is asked for.
import { effect, signal } from "../../vendor/signals.js";
import { cutAnew, isOpen, putOffCuts, unsketch } from "./link.js";
import { sheet } from "./scene.js";

/** How long a hand rests before a shot is cut by what was drawn. */
const REST = 2500;

/** Whether the hand draws. */
export const isDrawing = signal(false);

// The cut-outs that were drawn on here and not cut since.
const drawn = new Set<number>();

/** Tells that a cut-out is drawn on. */
export function owe(cutout: number): void {
  drawn.add(cutout);
}

// The cut-out that is being cut by its strokes.
const inHand = signal<number | null>(null);

/** Cuts a shot by the strokes it has. */
export async function cutBy(cutout: number): Promise<void> {
  inHand.value = cutout;
  const isCut = await cutAnew(cutout, true);
  // What cannot be cut is not tried again until something else is drawn; what was not heard, or was put off, is.
  if (isCut === null) drawn.add(cutout);
  else if (isCut || isOpen.value) drawn.delete(cutout);
  inHand.value = null;
}

let rest = 0;

/** Sees to it from now on. */
export function seeToCuts(): void {
  effect(() => {
    if (isDrawing.value) putOffCuts();
  });
  effect(() => {
    const picture = sheet.value;
    const isResting = !isDrawing.value && inHand.value === null && isOpen.value;
    clearTimeout(rest);
    const owing = (picture?.cutouts ?? []).filter((_, i) => picture?.handwork[i]?.owes_cut).map((c) => c.cutout);
    if (owing.length === 0) unsketch(0);
    const next = owing.find((cutout) => drawn.has(cutout));
    if (next === undefined || !isResting) return;
    rest = setTimeout(() => void cutBy(next), REST);
  });
}
