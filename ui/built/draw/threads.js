// The threads of projection: from a chosen piece's foot down to its mark on the plan and across to its staff in the section.
import { h } from "../../vendor/preact.js";
import { first, stands } from "../store/view.js";
import { scales } from "./plan.js";
import { across } from "./section.js";
export function Threads({ places, views, level, depths }) {
	const stand = stands.value.find((p) => p.piece === first.value);
	if (!stand) return null;
	const { picture, plan, section, scale } = places;
	const [u, v] = [picture.x + stand.foot_px[0] * scale, picture.y + stand.foot_px[1] * scale];
	const mark = scales({
		box: plan,
		scale,
		views,
		level,
		depths
	});
	const [x, y] = [plan.x + mark.x(stand.at_m[0]), plan.y + mark.y(stand.at_m[2])];
	const staff = section.x + across(section, depths, stand.depth_m);
	return /* @__PURE__ */ h("svg", {
		class: "threads",
		"aria-hidden": "true"
	}, /* @__PURE__ */ h("path", {
		class: "thread",
		d: `M${u} ${Math.min(v + 12, picture.y + picture.height)}V${picture.y + picture.height}L${x} ${plan.y}V${y}`
	}), /* @__PURE__ */ h("path", {
		class: "thread",
		d: `M${picture.x + picture.width + 40} ${v}H${staff}`
	}));
}
