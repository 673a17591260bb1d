// The line-up: every piece as a silhouette on one rule of distance, nearest left; past its end the wings.
import { h } from "../../vendor/preact.js";
import { useState } from "../../vendor/hooks.js";
import { choose as chooseFiles, free, standIn, take } from "../parts/drop.js";
import { Phrase } from "../parts/phrase.js";
import { steady } from "../parts/steady.js";
import { say } from "../store/link.js";
import { choose, chosen, isAsked, stands } from "../store/view.js";
import { along, at, figure, ruled } from "./places.js";
/** Stand-ins, with the height that each is likely to have. */
const STAND_INS = [
	["", "stand in"],
	["figure 1.7m", "a figure, 1.7 m"],
	["figure 1.1m", "a child, 1.1 m"],
	["seated 1.3m", "someone seated, 1.3 m"],
	["post 1.5m", "a post, 1.5 m"],
	["box 0.5m", "a box, 0.5 m"],
	["ball 0.3m", "a ball, 0.3 m"]
];
/** Room for the wings at the rule's end. */
const WINGS = .14;
export function LineUp({ box, views, depths: d, cards }) {
	const [wanted, want] = useState("");
	const base = box.height - 20;
	const foot = () => free([views.width_px / 2, views.height_px * .8], views.width_px);
	const rule = box.width * (1 - WINGS);
	const x = (metres) => Math.min(rule, rule * along(d, metres));
	return /* @__PURE__ */ h("div", { style: at(box) }, /* @__PURE__ */ h("h2", { class: "above" }, "Line-up", /* @__PURE__ */ h("input", {
		class: "filter",
		"aria-label": "Show only pieces whose name has",
		placeholder: "find a piece",
		value: wanted,
		onInput: (e) => want(e.currentTarget.value),
		onKeyDown: (e) => {
			const found = e.key === "Enter" && wanted !== "" && cards.find((c) => c.name.toLowerCase().includes(wanted.toLowerCase()));
			if (found) choose(found.piece);
		}
	}), /* @__PURE__ */ h("button", {
		class: "word",
		onClick: () => chooseFiles((files) => void take(files, foot()))
	}, "bring shots"), /* @__PURE__ */ h(Phrase, {
		name: "Stand a grey figure or solid in",
		value: "",
		others: STAND_INS,
		onReplace: (word) => word && void standIn(word.split(" ")[0] ?? "figure", word.split(" ")[1] ?? "1.7m", foot())
	})), /* @__PURE__ */ h("svg", {
		width: box.width,
		height: box.height,
		"aria-hidden": "true"
	}, /* @__PURE__ */ h("path", {
		class: "bold",
		d: `M0 ${base}H${rule}`
	}), /* @__PURE__ */ h("path", {
		class: "line dash",
		d: `M${rule + 10} ${base - 40}v46`
	}), /* @__PURE__ */ h("text", {
		class: "soft",
		x: rule + 16,
		y: base + 18
	}, "wings"), ruled(d, .06).filter((m) => x(m) < rule - 20).map((m) => /* @__PURE__ */ h("g", { key: m }, /* @__PURE__ */ h("path", {
		class: "line",
		d: `M${x(m)} ${base}v5`
	}), /* @__PURE__ */ h("text", {
		x: x(m),
		y: base + 18,
		"text-anchor": "middle"
	}, figure(m, 1))))), /* @__PURE__ */ h(Lined, {
		base,
		rule,
		depths: d,
		cards,
		wanted: wanted.toLowerCase()
	}));
}
/** Those that stand there, and behind them those in the wings. */
function Lined({ base, rule, depths: d, cards, wanted }) {
	const isChosen = new Set(chosen.value);
	const tallest = Math.max(.1, ...stands.value.map((p) => p.height_m));
	const standing = [...stands.value].sort((a, b) => a.depth_m - b.depth_m);
	const places = fanned(standing.map((p) => rule * along(d, p.depth_m)), rule);
	const spots = standing.map((p, i) => ({
		piece: p.piece,
		height: p.height_m,
		x: places[i] ?? 0
	}));
	const wings = cards.filter((c) => c.hidden).map((c, i) => ({
		piece: c.piece,
		height: c.height_m ?? tallest * .6,
		x: rule + 24 + i * 14
	}));
	const named = new Map(cards.filter((c) => c.name.toLowerCase().includes(wanted)).map((c) => [c.piece, c]));
	return /* @__PURE__ */ h("div", {
		class: "lined",
		role: "listbox",
		"aria-label": "Pieces, nearest first; then those in the wings",
		"aria-multiselectable": "true"
	}, [...spots, ...wings].map((spot) => {
		const card = named.get(spot.piece);
		const up = Math.max(9, spot.height / tallest * (base - 4));
		return card && /* @__PURE__ */ h(Spot, {
			key: spot.piece,
			card,
			x: spot.x,
			base,
			up,
			isChosen: isChosen.has(spot.piece)
		});
	}));
}
/** Pixels between two that stand side by side. */
const APART = 11;
/** Places in rising order where many would stand at one: fanned out, as near to their own as can be, and none beyond `most` (isotonic regression by pooling adjacent violators; from memory). */
export function fanned(own, most) {
	const apart = Math.min(APART, most / Math.max(1, own.length));
	// Those that touch move together, to the mean of where each would have the first of them.
	const groups = [];
	own.forEach((x, i) => {
		let last = {
			sum: x - i * apart,
			count: 1
		};
		for (let before = groups.at(-1); before && before.sum / before.count >= last.sum / last.count; before = groups.at(-1)) {
			groups.pop();
			last = {
				sum: last.sum + before.sum,
				count: last.count + before.count
			};
		}
		groups.push(last);
	});
	const first = groups.flatMap(({ sum, count }) => Array(count).fill(sum / count));
	return first.map((x, i) => Math.min(Math.max(x, 0), most - (own.length - 1) * apart) + i * apart);
}
const Spot = steady(({ card, x, base, up, isChosen }) => /* @__PURE__ */ h("button", {
	class: "silhouette" + (isChosen ? " chosen" : ""),
	role: "option",
	"aria-selected": isChosen,
	"aria-label": card.hidden ? `${card.name}, in the wings` : `${card.name}, ${figure(card.depth_m ?? card.z_m, 1)} metres away`,
	title: card.name,
	style: {
		left: `${x}px`,
		height: `${up}px`,
		top: `${base - up}px`
	},
	onClick: (e) => isAsked(card.piece) || choose(card.piece, e.shiftKey),
	onDblClick: () => void say("place", card.hidden ? "show" : "hide", `#${card.piece}`)
}, /* @__PURE__ */ h(Silhouette, {
	cutout: card.cutout,
	isMirrored: card.mirrored
})));
/** What a cut-out covers, in ink. */
export function Silhouette({ cutout, isMirrored }) {
	const image = `url("/silhouette/${cutout}")`;
	return /* @__PURE__ */ h("span", {
		class: isMirrored ? "ink mirrored" : "ink",
		style: {
			maskImage: image,
			webkitMaskImage: image
		}
	});
}
