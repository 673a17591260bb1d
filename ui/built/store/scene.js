// A mirror of the picture as the program knows it. Nothing is computed here.
import { signal } from "../../vendor/signals.js";
/** The picture at the last line of its journal. */
export const sheet = signal(null);
/** The pictures that can be opened, while none lies open. */
export const rack = signal(null);
/** How it stands while something is tried. */
export const tried = signal(null);
