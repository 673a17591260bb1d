// What a pen draws: its path with its pressure, and the strokes file that is made of it (docs/formats/strokes.md).

/** Places with the pressure there: 1 where a thing has none. */
export type Path = [number, number, number][];

/** Follows a pen from where it went down. `place` says which place lies under it; `drawn` is told the path so far, `over` the whole, or none where it was taken away. */
export function trace(e: PointerEvent, place: (p: PointerEvent) => [number, number], drawn: (path: Path) => void, over: (path: Path | null) => void): void {
  const held = e.currentTarget as Element;
  held.setPointerCapture(e.pointerId);
  const dot = (p: PointerEvent): Path[number] => [...place(p), p.pointerType === "pen" ? Math.max(0.05, p.pressure) : 1];
  let path: Path = [dot(e)];
  drawn(path);
  const moved = (p: Event) => {
    // Between two frames a pen tells of several places.
    const all = (p as PointerEvent).getCoalescedEvents?.() ?? [];
    path = [...path, ...(all.length > 0 ? all : [p as PointerEvent]).map(dot)];
    drawn(path);
  };
  const end = (p: Event) => {
    held.removeEventListener("pointermove", moved);
    held.removeEventListener("pointerup", end);
    held.removeEventListener("pointercancel", end);
    over(p.type === "pointerup" ? path : null);
  };
  held.addEventListener("pointermove", moved);
  held.addEventListener("pointerup", end);
  held.addEventListener("pointercancel", end);
}

/** The corners of what was drawn: none where it stays so near to the way between its neighbours (Ramer, Douglas and Peucker's thinning; from memory). */
export function corners(path: Path, near: number): [number, number][] {
  const [a, b] = [path[0], path.at(-1)];
  if (!a || !b || path.length < 3) return path.map(([x, y]) => [x, y]);
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const long = Math.hypot(dx, dy);
  const off = ([x, y]: Path[number]) => (long > 0 ? Math.abs((x - a[0]) * dy - (y - a[1]) * dx) / long : Math.hypot(x - a[0], y - a[1]));
  let farthest = 0;
  path.forEach((p, i) => {
    if (off(p) > off(path[farthest] ?? a)) farthest = i;
  });
  if (farthest === 0 || off(path[farthest] ?? a) <= near) return [[a[0], a[1]], [b[0], b[1]]];
  return [...corners(path.slice(0, farthest + 1), near).slice(0, -1), ...corners(path.slice(farthest), near)];
}

/** What a stroke says, and with what nib it is drawn: its width in pixels of what lies under it, shares of softness and strength. */
export type Drawn = { says: string; width: number; soft: number; strength: number };

/** A stroke as the text of a strokes file over something of this size. */
export function written(size: { width: number; height: number }, stroke: Drawn, path: Path): string {
  const round = (v: number) => Number(v.toFixed(2));
  const told = { ...stroke, width: round(stroke.width), path: path.map((p) => p.map(round)) };
  return JSON.stringify({ setpiece_strokes: 1, size: [size.width, size.height], strokes: [told] });
}
