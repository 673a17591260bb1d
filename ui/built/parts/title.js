// The title block, as on a technical drawing.
import { h } from "../../vendor/preact.js";
import { carryOut } from "../store/link.js";
import { at } from "../draw/places.js";
export function TitleBlock({ box, picture }) {
	const standing = picture.log.filter((line) => line.turn === "do");
	const last = [...standing].reverse().find((line) => line.stands);
	const undone = standing.some((line) => !line.stands);
	const snags = picture.pieces.reduce((n, p) => n + p.snags.length, 0);
	return /* @__PURE__ */ h("section", {
		class: "title",
		"aria-label": "Title block",
		style: at(box)
	}, /* @__PURE__ */ h("h1", null, picture.name), /* @__PURE__ */ h("dl", null, /* @__PURE__ */ h("dt", null, "4 Staging"), /* @__PURE__ */ h("dd", null, picture.pieces.length, " pieces, ", snags, " ", snags === 1 ? "snag" : "snags"), /* @__PURE__ */ h("dt", null, "last"), /* @__PURE__ */ h("dd", null, last ? last.says : "nothing yet")), /* @__PURE__ */ h("button", {
		disabled: !last,
		onClick: () => carryOut({
			deed: "undo",
			times: 1
		})
	}, "take back"), " ", /* @__PURE__ */ h("button", {
		disabled: !undone,
		onClick: () => carryOut({
			deed: "redo",
			times: 1
		})
	}, "do again"));
}
