// The dispatch sheet: the leaf on top as a file that leaves the house.
import { Fragment, h } from "../../vendor/preact.js";
import { useState } from "../../vendor/hooks.js";
import { at, figure } from "../draw/places.js";
import { LastPages } from "../parts/book.js";
import { Phrase } from "../parts/phrase.js";
import { callOff, print } from "../store/link.js";
import { going } from "../store/view.js";
const FORMS = [
	["tif", "TIFF, 16 bits"],
	["png", "PNG, 16 bits"],
	["jpg", "JPEG"],
	["exr", "OpenEXR, linear"]
];
export function Dispatch({ picture, places }) {
	const r = picture.reading;
	const take = picture.takes.find((t) => t.take === picture.take)?.name;
	const plainName = [picture.name, take].filter((s) => s).join(" ").replace(/[^\p{L}\p{N} ._-]+/gu, "-").replaceAll(" ", "-");
	const [form, choose] = useState("tif");
	const [typed, type] = useState(null);
	const [width, widen] = useState("whole");
	const [isOver, replace] = useState(false);
	const name = typed ?? plainName;
	const { beside } = places;
	if (!r) return null;
	const wide = width === "whole" ? r.width_px : Math.min(Number(width), r.width_px);
	const tall = Math.round(wide * r.height_px / r.width_px);
	const cm = r.ppi && width === "whole" ? `${figure(r.width_px / r.ppi * 2.54, 1)} × ${figure(r.height_px / r.ppi * 2.54, 1)} cm at ${figure(r.ppi, 0)} ppi` : "";
	const widths = [
		["whole", `${r.width_px} px wide, full size`],
		["3000", "3000 px wide"],
		["2048", "2048 px wide, for a screen"],
		["1200", "1200 px wide, for a letter"]
	];
	const send = (e) => {
		e.preventDefault();
		void print(`${name}.${form}`, width === "whole" ? null : wide, isOver);
	};
	return /* @__PURE__ */ h(Fragment, null, /* @__PURE__ */ h(LastPages, {
		box: places.below,
		picture
	}), /* @__PURE__ */ h("section", {
		class: "card docket",
		"aria-label": "Docket",
		style: at(beside)
	}, /* @__PURE__ */ h("h3", null, "Docket", /* @__PURE__ */ h("small", null, take ? `take ${take}` : "the picture itself")), /* @__PURE__ */ h("form", { onSubmit: send }, /* @__PURE__ */ h("p", { class: "manner" }, "To ", /* @__PURE__ */ h(Phrase, {
		name: "Form of the file",
		value: form,
		others: FORMS,
		onReplace: choose
	}), ", ", /* @__PURE__ */ h(Phrase, {
		name: "Width of the file",
		value: width,
		others: widths.filter(([w]) => w === "whole" || Number(w) < r.width_px),
		onReplace: widen
	}), "."), /* @__PURE__ */ h("p", { class: "row" }, /* @__PURE__ */ h("label", { for: "called" }, "called"), " ", /* @__PURE__ */ h("input", {
		id: "called",
		value: name,
		spellcheck: false,
		autocomplete: "off",
		onInput: (e) => type(e.currentTarget.value),
		onKeyDown: (e) => e.stopPropagation()
	}), " .", form, ", in the picture's folder “out”"), /* @__PURE__ */ h("p", { class: "row" }, wide, " × ", tall, " px", cm ? `, ${cm}` : ""), /* @__PURE__ */ h("p", { class: "row" }, /* @__PURE__ */ h("label", null, /* @__PURE__ */ h("input", {
		type: "checkbox",
		checked: isOver,
		onChange: (e) => replace(e.currentTarget.checked)
	}), " replace a file of this name")), /* @__PURE__ */ h("p", { class: "row" }, going.value ? /* @__PURE__ */ h("button", {
		type: "button",
		class: "word",
		onClick: callOff
	}, "call it off") : /* @__PURE__ */ h("button", { class: "word act" }, "write the file")))));
}
