// The prompt book: everything that was done, as dated sentences. Going back strikes what follows through.
import { Fragment, h } from "../../vendor/preact.js";
import { say, turn } from "../store/link.js";
import { isBookOpen } from "../store/view.js";
import { at } from "../draw/places.js";
import { Differences, local } from "./title.js";
/** What stands, and what was taken back and can be done again, oldest first. */
function pages(log) {
	const lost = new Set();
	let undone = [];
	for (const line of log) {
		if (line.turn === "do") {
			// Going on from there left what was taken back behind.
			undone.forEach((n) => lost.add(n));
			undone = [];
		} else if (line.turn === "undo" && line.of !== null) undone.push(line.of);
		else undone = undone.filter((n) => n !== line.of);
	}
	return log.filter((l) => l.turn === "do" && !lost.has(l.number)).map((line) => ({
		line,
		stands: line.stands
	}));
}
/** The last pages, where there is room for some. */
export function LastPages({ box, picture }) {
	const room = Math.floor((box.height - 8) / 20);
	const last = pages(picture.log).filter((p) => p.stands).slice(-Math.max(0, room));
	if (room < 1 || last.length === 0) return null;
	return /* @__PURE__ */ h("section", {
		class: "last",
		"aria-label": "What was done last",
		style: at(box)
	}, /* @__PURE__ */ h("h2", { class: "above" }, "Prompt book"), /* @__PURE__ */ h("ol", null, last.map(({ line }, i) => /* @__PURE__ */ h("li", {
		key: line.number,
		class: i === last.length - 1 ? "chosen" : ""
	}, /* @__PURE__ */ h("time", { dateTime: line.at }, local(line.at)), " ", line.says))));
}
export function PromptBook({ box, picture }) {
	const all = pages(picture.log);
	const last = all.map((p) => p.stands).lastIndexOf(true);
	const go = (i) => {
		if (i < last) turn("undo", last - i);
		if (i > last) turn("redo", i - last);
	};
	let day = "";
	return /* @__PURE__ */ h("section", {
		class: "book",
		"aria-label": "Prompt book",
		style: at(box)
	}, /* @__PURE__ */ h("h2", null, "Prompt book", /* @__PURE__ */ h("small", null, "click a line to go back to it, or on again"), /* @__PURE__ */ h("button", {
		class: "word",
		onClick: () => isBookOpen.value = false
	}, "close it")), /* @__PURE__ */ h(Differences, { picture }), /* @__PURE__ */ h("ol", {
		class: "pages",
		ref: (list) => list?.scrollTo(0, list.scrollHeight)
	}, /* @__PURE__ */ h("li", null, /* @__PURE__ */ h("button", {
		class: last < 0 ? "chosen" : "",
		onClick: () => go(-1)
	}, /* @__PURE__ */ h("time", null), " the picture begun")), all.map(({ line, stands }, i) => {
		const date = new Date(line.at).toLocaleDateString([], {
			day: "numeric",
			month: "long"
		});
		const isNew = date !== day;
		day = date;
		return /* @__PURE__ */ h(Fragment, { key: line.number }, isNew && /* @__PURE__ */ h("li", { class: "day" }, date), /* @__PURE__ */ h("li", null, /* @__PURE__ */ h("button", {
			class: i === last ? "chosen" : stands ? "" : "undone",
			onClick: () => go(i)
		}, /* @__PURE__ */ h("time", { dateTime: line.at }, local(line.at)), " ", line.says)));
	})), last < all.length - 1 && /* @__PURE__ */ h("p", { class: "soft" }, "What is struck through was taken back; going on from here leaves it behind.", " ", /* @__PURE__ */ h("button", {
		class: "word",
		onClick: () => void say("take", "aside", `as of ${local(all[all.length - 1]?.line.at ?? "")}`)
	}, "Keep it as a take")));
}
