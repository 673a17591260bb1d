// The threads of projection: from a chosen piece's foot down to its mark on the plan and across to its staff in the section.
import { h } from "../../vendor/preact.js";
import { first, stands, type Views } from "../store/view.js";
import type { Depths, Places } from "./places.js";
import { scales } from "./plan.js";
import { across } from "./section.js";

type Props = { places: Places; views: Views; level: number; foot: number; depths: Depths };

export function Threads({ places, views, level, foot, depths }: Props) {
  const stand = stands.value.find((p) => p.piece === first.value);
  if (!stand) return null;
  const { picture, plan, section, scale } = places;
  const [u, v] = [picture.x + stand.foot_px[0] * scale, picture.y + stand.foot_px[1] * scale];
  const mark = scales({ box: plan, scale, views, level, depths });
  const [x, y] = [plan.x + mark.x(stand.at_m[0]), plan.y + mark.y(stand.at_m[2])];
  const staff = section.x + across(section, depths, stand.depth_m);
  const base = picture.y + foot - (stand.at_m[1] * views.focal_px * scale) / level;
  const [right, below] = [picture.x + picture.width, picture.y + picture.height];
  // Where it stands outside the picture, no thread leaves it there.
  const [isAcross, isDown] = [v > picture.y && v < below, u > picture.x && u < right];
  return (
    <svg class="threads" aria-hidden="true">
      {isDown && <path class="thread" d={`M${u} ${Math.min(v + 12, below)}V${below}L${x} ${plan.y}V${y}`} />}
      {isAcross && <path class="thread" d={`M${right + 40} ${v}L${staff} ${Math.min(base, picture.y + section.height)}`} />}
    </svg>
  );
}
