// The ground plan: under the picture, its left and right the picture's own at one distance.
import { h } from "../../vendor/preact.js";
import { drag, drop, letGo } from "../store/link.js";
import { pull } from "../parts/pull.js";
import { chosen } from "../store/view.js";
import { along, at, distance, figure, ruled } from "./places.js";
/** Across and down for metres right and away. */
export function scales({ box, scale, views, level, depths: d }) {
	const middle = -views.field[0] / (views.field[1] - views.field[0]) * box.width;
	const across = views.focal_px * scale / level;
	return {
		x: (metres) => middle + metres * across,
		y: (metres) => box.height * (1 - along(d, metres)),
		metres: (x) => (x - middle) / across,
		away: (y) => distance(d, 1 - y / box.height)
	};
}
export function Plan(props) {
	const { box, views, depths: d, level, subject } = props;
	const { x, y } = scales(props);
	const rows = ruled(d, .09);
	const shares = [...Array(33).keys()].map((i) => distance(d, i / 32));
	const edge = (slope) => "M" + shares.map((z) => `${x(slope * z)} ${y(z)}`).join("L");
	const top = Math.max(0, y(Math.min(views.sharp.to_m ?? d.far, d.far)));
	const bottom = Math.min(box.height, y(Math.max(views.sharp.from_m, d.near)));
	return /* @__PURE__ */ h("div", { style: at(box) }, /* @__PURE__ */ h("h2", { class: "above" }, "Ground plan", /* @__PURE__ */ h("small", null, "across 1:1 with the picture at ", figure(level, 1), " m, distance compressed")), /* @__PURE__ */ h("div", { class: "frame whole" }, /* @__PURE__ */ h("svg", {
		width: box.width,
		height: box.height,
		role: "group",
		"aria-label": "Ground plan"
	}, bottom > top && /* @__PURE__ */ h("rect", {
		class: "sharp",
		x: 0,
		y: top,
		width: box.width,
		height: bottom - top
	}), rows.map((m) => /* @__PURE__ */ h("g", { key: m }, /* @__PURE__ */ h("path", {
		class: "rule",
		d: `M0 ${y(m)}H${box.width}`
	}), /* @__PURE__ */ h("text", {
		class: "soft",
		x: box.width - 6,
		y: y(m) - 4,
		"text-anchor": "end"
	}, figure(m, 1), " m"))), /* @__PURE__ */ h("path", {
		class: "line dash",
		d: edge(views.field[0])
	}), /* @__PURE__ */ h("path", {
		class: "line dash",
		d: edge(views.field[1])
	}), views.lamps.map((lamp) => /* @__PURE__ */ h(Lamp, {
		key: lamp.lamp,
		lamp,
		x: x(lamp.at_m[0]),
		y: y(lamp.at_m[2])
	})), views.pieces.map((p) => /* @__PURE__ */ h("circle", {
		key: p.piece,
		class: "mark" + (p.piece === chosen.value ? " chosen" : p.piece === subject ? " subject" : ""),
		cx: x(p.at_m[0]),
		cy: y(p.at_m[2]),
		r: p.piece === subject ? 7 : 5,
		onPointerDown: (e) => begin(e, p, props)
	})))));
}
function Lamp({ lamp, x, y }) {
	const rays = [...Array(12).keys()].map((i) => {
		const [c, s] = [Math.cos(i * Math.PI / 6), Math.sin(i * Math.PI / 6)];
		return `M${x + 8 * c} ${y + 8 * s}L${x + 12 * c} ${y + 12 * s}`;
	});
	return /* @__PURE__ */ h("g", null, /* @__PURE__ */ h("path", {
		class: "line",
		d: rays.join("")
	}), /* @__PURE__ */ h("circle", {
		class: "mark",
		cx: x,
		cy: y,
		r: 5.5
	}), /* @__PURE__ */ h("title", null, lamp.name));
}
/** Drags a mark along the ground. */
function begin(e, stand, props) {
	chosen.value = stand.piece;
	if (stand.is_attached) return;
	const s = scales(props);
	const [x, y] = [s.x(stand.at_m[0]), s.y(stand.at_m[2])];
	const moved = (across, down) => drag(stand.piece, {
		on: "ground",
		x_m: s.metres(x + across),
		z_m: s.away(y + down),
		lift_m: null
	});
	pull(e, moved, (isDropped) => isDropped ? drop() : letGo());
}
