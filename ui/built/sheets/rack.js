// The rack: the pictures of a folder, and a new one to begin.
import { h } from "../../vendor/preact.js";
import { useState } from "../../vendor/hooks.js";
import { Phrase } from "../parts/phrase.js";
import { begin, openPicture } from "../store/link.js";
import { said } from "../store/view.js";
const SIZES = [
	["60x40cm", "60 × 40 cm"],
	["40x60cm", "40 × 60 cm"],
	["45x30cm", "45 × 30 cm"],
	["30x45cm", "30 × 45 cm"],
	["50x50cm", "50 × 50 cm"],
	["90x60cm", "90 × 60 cm"]
];
export function Rack({ pictures }) {
	const [name, call] = useState("");
	const [size, choose] = useState("60x40cm");
	const [typed, type] = useState("");
	const submit = (e) => {
		e.preventDefault();
		if (name.trim()) void begin(name.trim(), size === "other" ? typed : size);
	};
	return /* @__PURE__ */ h("main", {
		id: "sheet",
		class: "rack",
		"aria-label": "The rack"
	}, /* @__PURE__ */ h("section", {
		class: "card",
		"aria-label": "A new picture"
	}, /* @__PURE__ */ h("h1", null, "Setpiece"), /* @__PURE__ */ h("form", { onSubmit: submit }, /* @__PURE__ */ h("p", { class: "manner" }, "Begin a picture called", " ", /* @__PURE__ */ h("input", {
		"aria-label": "What it is called",
		value: name,
		placeholder: "name",
		spellcheck: false,
		autocomplete: "off",
		onInput: (e) => call(e.currentTarget.value)
	}), ", printed", " ", /* @__PURE__ */ h(Phrase, {
		name: "Size of the print",
		value: size,
		others: [...SIZES, ["other", "another size"]],
		onReplace: choose
	}), " ", size === "other" && /* @__PURE__ */ h("input", {
		"aria-label": "Size, as 70x50cm or 6000x4000 pixels",
		placeholder: "70x50cm, or 6000x4000",
		value: typed,
		onInput: (e) => type(e.currentTarget.value)
	}), ". ", /* @__PURE__ */ h("button", { class: "word act" }, "begin it"))), /* @__PURE__ */ h("h2", null, "Pictures in this folder"), pictures.length === 0 && /* @__PURE__ */ h("p", { class: "soft" }, "None yet. What you begin is a folder here, which you can read, copy and keep."), /* @__PURE__ */ h("ul", null, pictures.map((p) => /* @__PURE__ */ h("li", { key: p.folder }, /* @__PURE__ */ h("button", {
		class: "picture",
		disabled: p.title === null,
		onClick: () => void openPicture(p.folder)
	}, /* @__PURE__ */ h("b", null, p.title ?? p.folder), /* @__PURE__ */ h("span", null, p.title === null ? "cannot be read: look at it with setpiece check" : `${p.width_px} × ${p.height_px} px, ${p.pieces} ${p.pieces === 1 ? "piece" : "pieces"}`), /* @__PURE__ */ h("small", null, p.kept ? `kept ${new Date(p.kept).toLocaleDateString([], {
		day: "numeric",
		month: "long"
	})}` : ""))))), /* @__PURE__ */ h("p", {
		class: "said",
		role: "status"
	}, said.value)));
}
