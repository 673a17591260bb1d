// Cuts that are owed: strokes say what a matte was not cut by yet. They are carried out when the hand rests, whatever sheet is turned up.
import { effect, signal } from "../../vendor/signals.js";
import type { Sheet } from "../../gen/wire.js";
import { isOpen, say, unsketch } from "./link.js";
import { sheet } from "./scene.js";
import { said } from "./view.js";

/** How long a hand rests before a shot is cut by what was drawn. */
const REST = 2500;

/** Whether the hand draws. */
export const isDrawing = signal(false);

/** The cut-out that is owed a cut first. */
export function owing(picture: Sheet): number | null {
  const at = picture.handwork.findIndex((hand) => hand.owes_cut);
  return picture.cutouts[at]?.cutout ?? null;
}

/** Cuts a shot by the strokes it has. */
export async function cutBy(cutout: number): Promise<void> {
  said.value = "It is being cut by the strokes …";
  await say("touch-up", "again", `#${cutout}`, "--quick");
}

let rest = 0;
// What could not be cut is not tried again until something else is drawn.
let tried = "";

/** Sees to it from now on. */
export function seeToCuts(): void {
  effect(() => {
    const picture = sheet.value;
    clearTimeout(rest);
    const owed = picture && owing(picture);
    if (picture && owed === null) unsketch(0);
    if (!picture || owed === null || isDrawing.value || !isOpen.value) return;
    // Whoever takes a cut back does not want it again.
    if (picture.log.at(-1)?.turn !== "do" || tried === `${owed} ${picture.number}`) return;
    rest = setTimeout(() => {
      tried = `${owed} ${picture.number}`;
      void cutBy(owed);
    }, REST);
  });
}
