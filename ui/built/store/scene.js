// A mirror of the picture as the program knows it. Nothing is computed here.
import { signal } from "../../vendor/signals.js";
/** The picture at the last line of its journal. */
export const sheet = signal(null);
/** How it stands while something is tried. */
export const tried = signal(null);
