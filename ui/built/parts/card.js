// The mark card: each quantity as computed, the artist's nudge, the result; and a line to write on it.
import { h } from "../../vendor/preact.js";
import { carryOut } from "../store/link.js";
import { card, chosen, said } from "../store/view.js";
import { at, figure } from "../draw/places.js";
const signed = (v, digits) => (v > 0 ? "+" : "") + figure(v, digits);
const percent = (factor) => factor === 1 ? "" : `${signed((factor - 1) * 100, 1)} %`;
/** The nudge's column: what the artist adds, or where the value comes from instead. */
const held = (basis, nudge) => basis === "computed" ? nudge : basis;
/** A card's rows, in the order and by the letters of its keys. */
export function rows(c) {
	const out = [];
	const row = (letter, name, computed, nudge, result) => out.push({
		letter,
		name,
		computed,
		nudge,
		result
	});
	const z = `${figure(c.depth_m ?? c.z_m)} m`;
	row("d", "distance", z, "", z);
	if (c.height_m !== null) {
		const height = `${figure(c.height_m)} m`;
		row("h", "height", height, c.is_height_assumed ? "assumed" : "", height);
	}
	if (c.size) {
		row("s", "size", `${figure(c.size.computed_px_per_m, 0)} px/m`, held(c.size.basis, percent(c.size.nudge_factor)), `${figure(c.size.result_px_per_m, 0)} px/m`);
	}
	if (c.defocus) {
		row("f", "defocus", `${figure(c.defocus.computed_px, 1)} px`, held(c.defocus.basis, percent(c.defocus.nudge_factor)), `${figure(c.defocus.result_px, 1)} px`);
	}
	if (c.light) {
		const nudge = c.light.nudge_stops === 0 ? "" : signed(c.light.nudge_stops, 2);
		row("e", "light", `${signed(c.light.computed_stops, 2)} stop`, held(c.light.basis, nudge), `${signed(c.light.result_stops, 2)} stop`);
	}
	if (c.warmth) {
		const kelvin = (k) => k === null ? "off the scale" : `${figure(k, 0)} K`;
		const nudge = c.warmth.nudge_mired === 0 ? "" : `${signed(c.warmth.nudge_mired, 0)} mired`;
		row("w", "warmth", kelvin(c.warmth.computed_k), held(c.warmth.basis, nudge), kelvin(c.warmth.result_k));
	}
	if (c.haze) {
		row("a", "haze", `${figure(c.haze.computed_share * 100, 1)} %`, held(c.haze.basis, percent(c.haze.nudge_factor)), `${figure(c.haze.result_share * 100, 1)} %`);
	}
	if (c.facing_missed_by_deg !== null) {
		const miss = `${figure(c.facing_missed_by_deg, 0)}° off`;
		row("v", "view", miss, "", miss);
	}
	if (c.shadow) {
		row("k", "shadow", `${figure(c.shadow.computed_share * 100, 0)} %`, held(c.shadow.basis, percent(c.shadow.nudge_factor)), `${figure(c.shadow.result_share * 100, 0)} %`);
	}
	return out;
}
export function MarkCard({ box }) {
	const c = card.value;
	const place = at(box);
	if (!c) {
		return /* @__PURE__ */ h("section", {
			class: "card",
			"aria-label": "Mark card",
			style: place
		}, /* @__PURE__ */ h("p", null, "Click a piece, in the picture or on the plan: its card lies here. Drag it along the ground; hold Shift to drag finely."));
	}
	const where = [
		`shows ${c.shows}`,
		c.level ? `on ${c.level}` : "",
		c.attached_to ? `held by ${c.attached_to}` : ""
	];
	const write = (e) => {
		e.preventDefault();
		const line = e.currentTarget.elements.namedItem("says");
		const says = line.value.trim();
		if (!says) return;
		carryOut({
			deed: "card",
			pieces: [c.piece],
			says
		}, (isDone) => {
			if (isDone) line.value = "";
		});
	};
	return /* @__PURE__ */ h("section", {
		class: "card",
		"aria-label": "Mark card",
		style: place
	}, /* @__PURE__ */ h("h3", null, c.name, /* @__PURE__ */ h("small", null, where.filter((w) => w).join(", "))), /* @__PURE__ */ h("table", null, /* @__PURE__ */ h("thead", null, /* @__PURE__ */ h("tr", null, /* @__PURE__ */ h("th", null), /* @__PURE__ */ h("th", null, "computed"), /* @__PURE__ */ h("th", null, "nudge"), /* @__PURE__ */ h("th", null, "result"))), /* @__PURE__ */ h("tbody", null, rows(c).map((r) => /* @__PURE__ */ h("tr", { key: r.letter }, /* @__PURE__ */ h("td", null, /* @__PURE__ */ h("span", { class: "key" }, r.letter), r.name), /* @__PURE__ */ h("td", null, r.computed), /* @__PURE__ */ h("td", { class: "nudge" }, r.nudge), /* @__PURE__ */ h("td", { class: "result" }, r.result))))), /* @__PURE__ */ h("form", { onSubmit: write }, /* @__PURE__ */ h("label", { for: "says" }, "write, as d 4.5 or e +0.3"), /* @__PURE__ */ h("input", {
		id: "says",
		name: "says",
		autocomplete: "off",
		spellcheck: false,
		key: chosen.value
	})), /* @__PURE__ */ h("p", {
		class: "why",
		role: "status"
	}, said.value));
}
