// The line-up: every piece on one rule of distance, nearest left.
import { h } from "../../vendor/preact.js";
import { chosen } from "../store/view.js";
import { along, at, figure, ruled } from "./places.js";
export function LineUp({ box, views, depths: d, subject, names }) {
	const base = box.height - 20;
	const x = (metres) => box.width * along(d, metres);
	const tallest = Math.max(.1, ...views.pieces.map((p) => p.height_m));
	const all = [...views.pieces].sort((a, b) => a.depth_m - b.depth_m);
	return /* @__PURE__ */ h("div", { style: at(box) }, /* @__PURE__ */ h("h2", { class: "above" }, "Line-up"), /* @__PURE__ */ h("svg", {
		width: box.width,
		height: box.height,
		role: "listbox",
		"aria-label": "Line-up of the pieces, nearest first"
	}, /* @__PURE__ */ h("path", {
		class: "bold",
		d: `M0 ${base}H${box.width}`
	}), ruled(d, .06).map((m) => /* @__PURE__ */ h("g", { key: m }, /* @__PURE__ */ h("path", {
		class: "line",
		d: `M${x(m)} ${base}v5`
	}), /* @__PURE__ */ h("text", {
		x: x(m),
		y: base + 18,
		"text-anchor": "middle"
	}, figure(m, 1)))), all.map((p) => {
		const name = names.find((n) => n.piece === p.piece)?.name ?? "";
		const isChosen = p.piece === chosen.value;
		const up = Math.max(4, p.height_m / tallest * (base - 8));
		return /* @__PURE__ */ h("g", {
			key: p.piece,
			role: "option",
			"aria-label": name,
			"aria-selected": isChosen,
			onPointerDown: () => {
				chosen.value = p.piece;
			}
		}, /* @__PURE__ */ h("rect", {
			x: x(p.depth_m) - 5,
			y: base - up - 4,
			width: 10,
			height: up + 4,
			fill: "transparent"
		}), /* @__PURE__ */ h("path", {
			class: isChosen ? "spike" : p.piece === subject ? "bold" : "line",
			d: `M${x(p.depth_m)} ${base}v${-up}m-3 0h6`
		}), /* @__PURE__ */ h("title", null, name));
	})));
}
