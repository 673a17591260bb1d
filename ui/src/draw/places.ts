// Where everything lies on the sheet, and the scales that the three views share.
import type { Projection } from "../../gen/wire.js";

export type Box = { x: number; y: number; width: number; height: number };

/** A box as a style. */
export function at(box: Box): { left: string; top: string; width: string; height: string } {
  return { left: `${box.x}px`, top: `${box.y}px`, width: `${box.width}px`, height: `${box.height}px` };
}

export type Places = {
  picture: Box;
  plan: Box;
  section: Box;
  lineUp: Box;
  card: Box;
  title: Box;
  /** CSS pixels to a picture pixel. */
  scale: number;
};

const LEFT = 72;
const TOP = 46;
const BETWEEN = 76;
const EDGE = 36;

/** Lays the sheet out for a window and a picture of some shape. */
export function placed(room: { width: number; height: number }, shape: { width: number; height: number }): Places {
  const right = Math.min(Math.max(350, room.width * 0.29), 560);
  const below = Math.max(250, room.height * 0.34);
  const most = { width: room.width - LEFT - BETWEEN - right - EDGE, height: room.height - TOP - below - EDGE };
  const scale = Math.max(0.001, Math.min(most.width / shape.width, most.height / shape.height));
  const width = Math.round(shape.width * scale);
  const height = Math.round(shape.height * scale);
  // Whatever the picture leaves free goes to the section: it grows to the left, the picture keeps its corner.
  const picture = { x: LEFT, y: TOP, width, height };
  const column = { x: picture.x + width + BETWEEN, width: room.width - EDGE - (picture.x + width + BETWEEN) };
  const planTop = TOP + height + 40;
  const lineUp = { x: LEFT, y: room.height - EDGE - 62, width, height: 62 };
  const plan = { x: LEFT, y: planTop, width, height: Math.max(60, lineUp.y - 34 - planTop) };
  const title = { x: room.width - EDGE - right, y: room.height - EDGE - 98, width: right, height: 98 };
  const cardHeight = 274;
  const card = { x: title.x, y: title.y - 10 - cardHeight, width: right, height: cardHeight };
  const section = { x: column.x, y: TOP, width: column.width, height: Math.max(80, Math.min(height + 30, card.y - TOP - 10)) };
  return { picture, plan, section, lineUp, card, title, scale };
}

/** Distances as the plan, the section and the line-up rule them: compressed, nearest at 0. */
export type Depths = { near: number; far: number };

export function depths(views: Projection): Depths {
  const all = views.pieces.map((p) => p.depth_m);
  const near = Math.min(1, ...all.map((d) => d * 0.8));
  const far = Math.max(12, ...all.map((d) => d * 1.25));
  return { near: Math.max(0.2, near), far: Math.min(far, 400) };
}

/** 0 at the nearest distance that is drawn, 1 at the farthest. */
export function along(d: Depths, metres: number): number {
  return Math.log(Math.max(metres, 1e-3) / d.near) / Math.log(d.far / d.near);
}

/** Back from that. */
export function distance(d: Depths, share: number): number {
  return d.near * Math.pow(d.far / d.near, share);
}

/** Distances that are written at the rules, of few figures and not too close. */
export function ruled(d: Depths, apart: number): number[] {
  const out: number[] = [];
  let last = -1;
  for (const ten of [0.1, 1, 10, 100]) {
    for (const step of [1, 1.5, 2, 3, 4, 5, 6, 8]) {
      const metres = ten * step;
      const at = along(d, metres);
      if (at < 0 || at > 1 || at - last < apart) continue;
      out.push(Math.round(metres * 10) / 10);
      last = at;
    }
  }
  return out;
}

/** A figure as it is written: no more digits than it means. */
export function figure(v: number, digits = 2): string {
  return Number(v.toFixed(digits)).toString().replace("-", "−");
}
