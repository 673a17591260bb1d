// A colour as a gel of it looks. Pulled across it turns through the hues, pulled up it deepens; how much light it lets through stays.
import { h } from "../../vendor/preact.js";
import { arrows } from "./arrows.js";
import { useMeant } from "./meant.js";
import { pull } from "./pull.js";

/** Linear red, green and blue, in the picture's primaries. */
export type Rgb = [number, number, number];

/** How far apart the densities of a gel lie at most: one that lets a third of a colour through, of another all. Own choice. */
const DEEPEST = 0.5;

/** Least light of a channel: below it a density has no meaning. */
const LEAST = 1e-4;

/** A gel's hue in degrees (0 red, 120 green, 240 blue), its depth (how far its densities lie apart) and its mean density, below 0 where it dims. */
type Dye = { hue: number; depth: number; mean: number };

/** What a colour is dyed with. */
function dyed(rgb: Rgb): Dye {
  const [r, g, b] = rgb.map((v) => Math.log10(Math.max(v, LEAST))) as Rgb;
  const [x, y] = [(2 * r - g - b) / Math.sqrt(6), (g - b) / Math.sqrt(2)];
  return { hue: (Math.atan2(y, x) * 180) / Math.PI, depth: Math.hypot(x, y), mean: (r + g + b) / 3 };
}

/** The colour of a gel. */
function coloured({ hue, depth, mean }: Dye): Rgb {
  const [x, y] = [depth * Math.cos((hue * Math.PI) / 180), depth * Math.sin((hue * Math.PI) / 180)];
  const [a, b] = [x / Math.sqrt(6), y / Math.sqrt(2)];
  return [2 * a, b - a, -a - b].map((v) => Math.pow(10, mean + v)) as Rgb;
}

/** The screen's colour spaces with the picture's primaries, and what their codes are raised to. */
const SPACES: Record<string, [string, number]> = {
  srgb: ["srgb", 2.2],
  p3: ["display-p3", 2.2],
  rec2020: ["rec2020", 2.22],
  romm: ["prophoto-rgb", 1.8],
};

/** How it looks, its brightest channel full. */
function looks(rgb: Rgb, primaries: string): string {
  const most = Math.max(LEAST, ...rgb);
  const [space, power] = SPACES[primaries] ?? ["srgb", 2.2];
  return `color(${space} ${rgb.map((v) => Math.pow(Math.max(0, v) / most, 1 / power).toFixed(4)).join(" ")})`;
}

type Props = { name: string; rgb: Rgb; primaries: string; onTry: (rgb: Rgb) => void; onKeep: (rgb: Rgb) => void; onLeave: () => void };

export function Gel({ name, rgb, primaries, onTry, onKeep, onLeave }: Props) {
  const was = dyed(rgb);
  const meant = useMeant<Dye>();
  const turned = (from: Dye, across: number, up: number): Dye => ({ ...from, hue: from.hue + across, depth: Math.min(DEEPEST, Math.max(0, from.depth + up / 200)) });
  return (
    <span
      class="gel pulled"
      role="slider"
      tabIndex={0}
      aria-label={`${name}: left and right turn its hue, up and down its depth`}
      aria-valuenow={Math.round((was.hue + 360) % 360)}
      aria-valuetext={`hue ${Math.round((was.hue + 360) % 360)}°, depth ${was.depth.toFixed(2)}`}
      title="Pull it across to turn its hue, up to deepen it"
      style={{ background: looks(rgb, primaries) }}
      onPointerDown={(e: PointerEvent) => {
        let last = rgb;
        const moved = (across: number, down: number) => onTry((last = coloured(turned(was, across, -down))));
        pull(e, moved, (isDropped) => (isDropped ? onKeep(last) : onLeave()));
      }}
      onKeyDown={arrows((across, down) => onKeep(coloured(meant(was, (from) => turned(from, across * 10, -down * 10)))))}
    />
  );
}
