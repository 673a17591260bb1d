// A nib that is moved by keys: arrows move it, Space sets it down and takes it up.
import { useState } from "../../vendor/hooks.js";
import type { Part } from "../draw/glass.js";
import { arrows } from "./arrows.js";
import type { Path } from "./pen.js";

type Held = {
  /** Whether a nib is in the hand. */
  isHeld: boolean;
  /** What it draws on: the part that is seen, in a frame of this size. */
  seen: Part;
  frame: { width: number; height: number };
  /** What is drawn so far, in pixels of what it is drawn on; empty where the nib is up. */
  drawn: Path;
  draw: (path: Path) => void;
  /** Told of a whole stroke. */
  over: (path: Path) => void;
};

/** CSS pixels of a step. */
const STEP = 10;

/** Where the nib is, once keys have moved it, and what sees to the keys. */
export function useNibByKeys({ isHeld, seen, frame, drawn, draw, over }: Held) {
  const [nibAt, point] = useState<[number, number] | null>(null);
  const keys = (e: KeyboardEvent) => {
    if (!isHeld) return;
    const here = nibAt ?? [(frame.width / 2 + seen.x) / seen.scale, (frame.height / 2 + seen.y) / seen.scale];
    if (e.key === " ") {
      e.preventDefault();
      e.stopPropagation();
      point(here);
      if (drawn.length === 0) draw([[...here, 1]]);
      else over(drawn);
      return;
    }
    arrows((x, y) => {
      const to: [number, number] = [here[0] + (x * STEP) / seen.scale, here[1] + (y * STEP) / seen.scale];
      point(to);
      if (drawn.length > 0) draw([...drawn, [...to, 1]]);
    })(e);
  };
  return { nibAt: isHeld ? nibAt : null, keys };
}
