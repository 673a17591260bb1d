// The section: beside the picture, its heights the picture's own at one distance.
import { h } from "../../vendor/preact.js";
import { arrows } from "../parts/arrows.js";
import { pull } from "../parts/pull.js";
import { steady } from "../parts/steady.js";
import { keep, letGo, trySaying, tryOut } from "../store/link.js";
import { sheet } from "../store/scene.js";
import { choose, chosen, isAsked, lamps, stands } from "../store/view.js";
import { along, at, distance, figure, ruled } from "./places.js";
import { shifted } from "./plan.js";
/** Room for the camera, left of the nearest distance. */
const LEFT = 34;
/** Across for metres away. */
export function across(box, d, metres) {
	return LEFT + (box.width - LEFT) * along(d, metres);
}
export const Section = steady(({ box, scale, views, level, foot, depths: d }) => {
	const left = LEFT;
	const x = (metres) => across(box, d, metres);
	const up = views.focal_px * scale / level;
	const y = (metres) => foot - metres * up;
	const lens = y(views.camera_height_m);
	const from = Math.max(left, x(views.sharp.from_m));
	const to = Math.min(box.width, x(views.sharp.to_m ?? d.far));
	const sharp = `sharp ${figure(views.sharp.from_m, 1)}${views.sharp.to_m ? ` to ${figure(views.sharp.to_m, 1)}` : " m to the horizon"}`;
	return /* @__PURE__ */ h("div", {
		class: "section",
		style: at(box)
	}, /* @__PURE__ */ h("h2", { class: "above" }, "Section", /* @__PURE__ */ h("small", null, "heights true at ", figure(level, 1), " m")), /* @__PURE__ */ h("svg", {
		width: box.width,
		height: box.height,
		role: "group",
		"aria-label": "Section"
	}, /* @__PURE__ */ h("clipPath", { id: "within" }, /* @__PURE__ */ h("rect", {
		x: 0,
		y: 0,
		width: box.width,
		height: Math.max(0, box.height)
	})), /* @__PURE__ */ h("g", { "clip-path": "url(#within)" }, to > from && /* @__PURE__ */ h("rect", {
		class: "sharp",
		x: from,
		y: 0,
		width: to - from,
		height: Math.max(0, foot)
	}), views.sharp.at_m !== null && /* @__PURE__ */ h("g", {
		class: "pulled",
		onPointerDown: (e) => focus(e, views.sharp.at_m ?? 5, {
			box,
			depths: d,
			up
		})
	}, /* @__PURE__ */ h("path", {
		class: "line",
		d: `M${x(views.sharp.at_m)} 18V${Math.max(18, foot)}`
	}), /* @__PURE__ */ h("rect", {
		x: x(views.sharp.at_m) - 7,
		y: 0,
		width: 14,
		height: Math.max(18, Math.min(foot, 60)),
		fill: "transparent"
	}), /* @__PURE__ */ h("title", null, "What the lens is focused at: pull it nearer or farther")), to > from && /* @__PURE__ */ h("text", {
		class: "soft",
		x: Math.min(box.width, Math.max(LEFT + 60, (from + to) / 2 + 40)),
		y: foot + 36 <= box.height ? foot + 36 : foot - 8,
		"text-anchor": "end"
	}, sharp), /* @__PURE__ */ h("path", {
		class: "bold",
		d: `M0 ${foot}H${box.width}`
	}), [...Array(Math.ceil(box.width / 9)).keys()].map((i) => /* @__PURE__ */ h("path", {
		key: i,
		class: "rule",
		d: `M${i * 9 + 6} ${foot + 1}l-6 6`
	})), views.levels.map((level) => /* @__PURE__ */ h("g", { key: level.name }, /* @__PURE__ */ h("path", {
		class: "line dash",
		d: `M${left} ${y(level.height_m)}H${box.width}`
	}), /* @__PURE__ */ h("text", {
		class: "soft",
		x: left + 4,
		y: y(level.height_m) - 4
	}, level.name, " ", figure(level.height_m), " m"))), /* @__PURE__ */ h("path", {
		class: "line chain",
		d: `M16 ${lens}H${box.width}`
	}), /* @__PURE__ */ h("text", {
		class: "soft",
		x: 24,
		y: lens - 5
	}, "camera height ", figure(views.camera_height_m), " m"), /* @__PURE__ */ h("path", {
		class: "bold",
		d: `M2 ${lens - 7}h12v14h-12zM14 ${lens}l7 -5v10zM6 ${lens + 7}L0 ${foot}M10 ${lens + 7}L16 ${foot}`
	}), ruled(d, .1).map((m) => /* @__PURE__ */ h("g", { key: m }, /* @__PURE__ */ h("path", {
		class: "line",
		d: `M${x(m)} ${foot}v6`
	}), /* @__PURE__ */ h("text", {
		x: x(m),
		y: foot + 20,
		"text-anchor": "middle"
	}, figure(m, 1)))), /* @__PURE__ */ h(Staffs, { scales: {
		box,
		depths: d,
		up,
		foot
	} }), /* @__PURE__ */ h(Lamps, { scales: {
		box,
		depths: d,
		up,
		foot
	} }))));
});
function Lamps({ scales }) {
	const { box, depths: d, up, foot } = scales;
	return /* @__PURE__ */ h("g", null, lamps.value.map((lamp) => /* @__PURE__ */ h("circle", {
		key: lamp.lamp,
		class: "mark pulled",
		cx: across(box, d, lamp.at_m[2]),
		cy: foot - lamp.at_m[1] * up,
		r: 6,
		role: "button",
		tabindex: 0,
		"aria-label": `${lamp.name}: arrows raise it, and move it nearer and farther`,
		onPointerDown: (e) => raise(e, lamp, scales),
		onKeyDown: arrows((x, y) => shifted(lamp.lamp, [
			0,
			-y / 10,
			x / 10
		]))
	}, /* @__PURE__ */ h("title", null, lamp.name, ": pull it up or down, nearer or farther"))));
}
/** How tall the pieces stand. */
function Staffs({ scales }) {
	const isChosen = new Set(chosen.value);
	return /* @__PURE__ */ h("g", null, stands.value.map((p) => /* @__PURE__ */ h(Staff, {
		key: p.piece,
		stand: p,
		scales,
		isChosen: isChosen.has(p.piece)
	})));
}
const Staff = steady(({ stand: p, scales, isChosen }) => {
	const x = across(scales.box, scales.depths, p.depth_m);
	const base = scales.foot - p.at_m[1] * scales.up;
	const top = base - p.height_m * scales.up;
	return /* @__PURE__ */ h("g", { onPointerDown: (e) => begin(e, p, scales) }, /* @__PURE__ */ h("rect", {
		x: x - 5,
		y: top - 4,
		width: 10,
		height: Math.max(8, base - top + 4),
		fill: "transparent"
	}), /* @__PURE__ */ h("path", {
		class: isChosen ? "spike" : "line",
		d: `M${x} ${base}V${top}M${x - 4} ${top}h8`
	}));
});
const over = (isDropped) => isDropped ? keep() : letGo();
/** A distance, pulled across. */
const pulled = (from, x, { box, depths: d }) => distance(d, along(d, from) + x / (box.width - LEFT));
/** Pulls what the lens is focused at. */
function focus(e, from, scales) {
	pull(e, (x) => trySaying("read", "--focus", `${pulled(from, x, scales).toFixed(3)}m`), over);
}
/** Moves a lamp up and down, nearer and farther. */
function raise(e, lamp, scales) {
	const told = sheet.value?.lamps.find((l) => l.lamp === lamp.lamp);
	if (!told) return;
	const moved = (x, y) => {
		const [up, z] = [told.at_m[1] - y / scales.up, told.at_m[2] + pulled(lamp.at_m[2], x, scales) - lamp.at_m[2]];
		trySaying("light", "change", `#${lamp.lamp}`, "--at", `${told.at_m[0]},${up.toFixed(3)},${z.toFixed(3)}`);
	};
	pull(e, moved, over);
}
/** Lifts a piece, or moves it nearer and farther: whichever way it is pulled first. */
function begin(e, stand, scales) {
	if (isAsked(stand.piece)) return;
	choose(stand.piece, e.shiftKey);
	const lift = sheet.value?.pieces.find((p) => p.piece === stand.piece)?.lift_m ?? 0;
	let isLift = null;
	const moved = (x, y) => {
		isLift ??= Math.abs(y) > Math.abs(x);
		const to = isLift ? {
			x_m: null,
			z_m: null,
			lift_m: lift - y / scales.up
		} : {
			x_m: null,
			z_m: pulled(stand.at_m[2], x, scales),
			lift_m: null
		};
		if (isLift || !stand.is_attached) tryOut({
			deed: "move",
			piece: stand.piece,
			to: {
				on: "ground",
				...to
			}
		});
	};
	pull(e, moved, over);
}
