// What only this window knows.
import { computed, signal } from "../../vendor/signals.js";
import { dragged, sheet } from "./scene.js";

/** The window's size in CSS pixels. */
export const room = signal({ width: innerWidth, height: innerHeight });
addEventListener("resize", () => {
  room.value = { width: innerWidth, height: innerHeight };
});

/** The chosen piece's number. */
export const chosen = signal<number | null>(null);

/** What stands on the chosen piece's card: while it is dragged, where it is now. */
export const card = computed(() => {
  const moving = dragged.value?.card;
  if (moving && moving.piece === chosen.value) return moving;
  return sheet.value?.pieces.find((p) => p.piece === chosen.value) ?? null;
});

/** The three views as they are now. */
export const projection = computed(() => dragged.value?.projection ?? sheet.value?.projection ?? null);

/** What was last said to the artist: done or refused. */
export const said = signal<string>("");
