// A mirror of the picture as the program knows it. Nothing is computed here.
import { signal } from "../../vendor/signals.js";
import type { Card, DressingReport, Projection, Racked, Sheet, TreatmentReport } from "../../gen/wire.js";

/** The picture at the last line of its journal. */
export const sheet = signal<Sheet | null>(null);

/** The pictures that can be opened, while none lies open. */
export const rack = signal<Racked[] | null>(null);

/** How it stands while something is tried. */
export const tried = signal<{ cards: Card[]; projection: Projection | null; toning: TreatmentReport[]; dressings: DressingReport[] } | null>(null);
