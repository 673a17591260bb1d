// Where a treatment works: the end of its sentence, clause by clause, and the nib for its dodging card.
import { Fragment, h } from "../../vendor/preact.js";
import { useMemo } from "../../vendor/hooks.js";
import { Figure, written } from "../parts/figure.js";
import { useMeant } from "../parts/meant.js";
import { Phrase } from "../parts/phrase.js";
import { letGo, say, trySaying } from "../store/link.js";
import { painting, said, washed } from "../store/view.js";
/** Takes the nib up for a treatment's dodging card. */
function paint(t) {
	painting.value = {
		rubs: false,
		width: 60,
		soft: .6,
		strength: 1,
		...painting.value,
		treatment: t.treatment,
		of: t.card ? t.card.of : null
	};
	washed.value = t.treatment;
	said.value = "Paint in the picture where it is to work. Escape lays the nib down.";
}
/** The nib for a dodging card, and what the card is fixed to. */
export function Nib({ t, on, picture }) {
	const change = (to) => {
		painting.value = {
			...on,
			...to
		};
	};
	const fixed = [["picture", "the picture"], ...picture.pieces.filter((p) => !p.hidden).map((p) => [String(p.piece), p.name])];
	const of = on.of === null ? "picture" : String(on.of);
	return /* @__PURE__ */ h("span", { class: "nib-line" }, /* @__PURE__ */ h("button", {
		class: on.rubs ? "word" : "word chosen",
		"aria-pressed": !on.rubs,
		onClick: () => change({ rubs: false })
	}, "paint"), " ", /* @__PURE__ */ h("button", {
		class: on.rubs ? "word chosen" : "word",
		"aria-pressed": on.rubs,
		onClick: () => change({ rubs: true })
	}, "rub off"), " ", "with a nib ", /* @__PURE__ */ h(Figure, {
		name: "Width of the nib, pixels of the table",
		value: on.width,
		unit: "px wide",
		step: 2,
		digits: 0,
		least: 2,
		most: 600,
		onTry: (width) => change({ width }),
		onKeep: (width) => change({ width }),
		onLeave: () => {}
	}), ", ", /* @__PURE__ */ h(Figure, {
		name: "Softness of the nib",
		value: on.soft * 100,
		unit: "% soft",
		step: 5,
		digits: 0,
		least: 0,
		most: 100,
		onTry: (v) => change({ soft: v / 100 }),
		onKeep: (v) => change({ soft: v / 100 }),
		onLeave: () => {}
	}), ", ", /* @__PURE__ */ h(Figure, {
		name: "Strength of the nib",
		value: on.strength * 100,
		unit: "% strong",
		step: 5,
		digits: 0,
		least: 1,
		most: 100,
		onTry: (v) => change({ strength: v / 100 }),
		onKeep: (v) => change({ strength: v / 100 }),
		onLeave: () => {}
	}), "; the card is fixed to ", t.card ? fixed.find(([word]) => word === of)?.[1] ?? "the picture" : /* @__PURE__ */ h(Phrase, {
		name: "What the card is fixed to",
		value: of,
		others: fixed,
		pointed: String,
		onReplace: (word) => change({ of: word === "picture" ? null : Number(word) })
	}), ".", " ", /* @__PURE__ */ h("button", {
		class: "word",
		onClick: () => painting.value = washed.value = null
	}, "lay the nib down"));
}
/** What goes but once into a sentence: of each group one. */
const ONCE = [
	["--on-subject", "--not-on-subject"],
	["--on", "--not-on"],
	["--behind"],
	["--before"],
	["--tones"],
	["--hues"],
	["--gradient"]
];
/** Where it works: its clauses, and one more. */
export function Where({ t, picture }) {
	const id = `#${t.treatment}`;
	const options = t.where_options;
	const meant = useMeant();
	const words = (clauses) => clauses.length === 0 ? ["--everywhere"] : clauses.flat();
	const write = (step) => {
		letGo();
		void say("tone", "change", id, ...words(meant(options, step)));
	};
	const pieces = useMemo(() => picture.pieces.map((p) => [`#${p.piece}`, p.name]), [picture.pieces]);
	const places = useMemo(() => [...picture.lamps.map((l) => [`#${l.lamp}`, l.name]), ...pieces], [picture.lamps, pieces]);
	const subject = picture.pieces.find((p) => p.is_subject) ?? picture.pieces[0];
	const place = places[0]?.[0];
	// The other end of a span leaves something between.
	const [behind, before] = ["--behind", "--before"].map((end) => {
		const text = options.find(([option]) => option === end)?.[1];
		return text === undefined ? undefined : parseFloat(text);
	});
	const all = [
		["", options.length === 0 ? "everywhere" : "and only where …"],
		!t.card && ["paint", "where I paint it, on a dodging card"],
		["--on-subject", "on the subject"],
		["--not-on-subject", "not on the subject"],
		subject && [`--on #${subject.piece}`, "on a piece"],
		subject && [`--not-on #${subject.piece}`, "not on a piece"],
		place !== undefined && [`--within 4m:${place}`, "within a distance of a lamp or piece"],
		place !== undefined && [`--beyond 4m:${place}`, "beyond a distance of a lamp or piece"],
		[`--behind ${before === undefined ? 12 : written(before / 2)}m`, "behind a distance"],
		[`--before ${behind === undefined ? 6 : written(behind * 2)}m`, "before a distance"],
		["--tones ..-2", "in the shadows"],
		["--tones 1..", "in the lights"],
		["--hues 136:80", "in the greens"],
		["--hues 285:80", "in the blues"],
		["--hues 40:70", "in the reds"],
		["--gradient 0.5,1:0.5,0", "towards the top"],
		["--gradient 0.5,0:0.5,1", "towards the bottom"]
	];
	const isSaid = (word) => ONCE.find((group) => group.includes(word.split(" ")[0] ?? ""))?.some((one) => options.some(([option]) => option === one));
	const more = all.filter((o) => !!o && !isSaid(o[0]));
	return /* @__PURE__ */ h("span", { class: "where" }, options.map((clause, i) => {
		const says = t.where[i] ?? "";
		if (clause[0] === undefined) {
			return /* @__PURE__ */ h(Fragment, { key: i }, /* @__PURE__ */ h("button", {
				class: "word",
				title: "Take the card away",
				"aria-label": `Lift off: ${says}`,
				onClick: () => void say("tone", "paint", id, "--clear")
			}, says), " ", "(", /* @__PURE__ */ h("button", {
				class: "word",
				onClick: () => paint(t)
			}, "paint on it"), "),", " ");
		}
		return /* @__PURE__ */ h(Fragment, { key: i }, /* @__PURE__ */ h(Clause, {
			does: t.does,
			clause,
			says,
			pieces,
			places,
			onLift: () => write((from) => from.filter((_, j) => j !== i)),
			onChange: (rewrite, isTried) => {
				const step = (from) => from.map((old, j) => i === j ? rewrite(old) : old);
				if (isTried) trySaying("tone", "change", id, ...words(step(options)));
				else write(step);
			}
		}), ",", " ");
	}), /* @__PURE__ */ h(Phrase, {
		name: "Where it works",
		value: "",
		others: more,
		onReplace: (word) => word && (word === "paint" ? paint(t) : write((from) => [...from, word.split(" ")]))
	}));
}
/** A clause: its word lifts it off, its figures are pulled, its names replaced. */
function Clause({ does, clause, says, pieces, places, onLift, onChange }) {
	const [option = "", text = ""] = clause;
	const parts = text.split(":");
	const soft = parts.at(-1) ?? "0";
	// What was meant a moment ago may leave out what is told by now.
	const rewritten = (i, part) => ([option = "", text = ""]) => {
		const old = text.split(":");
		return [option, parts.map((told, j) => i === j ? part(old[j] ?? told) : old[j] ?? told).join(":")];
	};
	const replaced = (i, part) => rewritten(i, () => part);
	const lift = (reads) => /* @__PURE__ */ h("button", {
		class: "word",
		title: "Lift this off",
		"aria-label": `Lift off: ${says}`,
		onClick: onLift
	}, reads);
	const number = (what, value, unit, step, rewrite, limits) => /* @__PURE__ */ h(Figure, {
		name: `${does}, ${what}`,
		value: parseFloat(value),
		unit,
		step,
		...limits,
		onTry: (v) => onChange(rewrite(v), true),
		onKeep: (v) => onChange(rewrite(v), false),
		onLeave: letGo
	});
	const fades = (unit, step, most = Infinity) => /* @__PURE__ */ h(Fragment, null, ", soft over ", number("soft over", soft, unit, step, (v) => replaced(parts.length - 1, written(v) + (unit === "m" ? "m" : "")), {
		least: 0,
		most
	}));
	switch (option) {
		case "--on":
		case "--not-on": {
			const reads = option.slice(2).replace("-", " ");
			if (clause.length > 2) return lift(says);
			return /* @__PURE__ */ h(Fragment, null, lift(reads), " ", /* @__PURE__ */ h(Phrase, {
				name: `${does}, ${reads}`,
				value: text,
				others: pieces,
				pointed: (piece) => `#${piece}`,
				onReplace: (piece) => onChange(() => [option, piece], false)
			}));
		}
		case "--within":
		case "--beyond": {
			const reads = option.slice(2);
			return /* @__PURE__ */ h(Fragment, null, lift(reads), " ", number(reads, parts[0] ?? "0", "m", .1, (v) => replaced(0, `${written(v)}m`), { least: .05 }), " of", " ", /* @__PURE__ */ h(Phrase, {
				name: `${does}, ${reads} a distance of`,
				value: parts[1] ?? "",
				others: places,
				pointed: (piece) => `#${piece}`,
				onReplace: (place) => onChange(replaced(1, place), false)
			}), fades("m", .1));
		}
		case "--behind":
		case "--before": {
			const reads = option.slice(2);
			return /* @__PURE__ */ h(Fragment, null, lift(reads), " ", number(reads, parts[0] ?? "0", "m", .1, (v) => replaced(0, `${written(v)}m`), { least: .05 }), fades("m", .1));
		}
		case "--tones": {
			const [from = "", to = ""] = (parts[0] ?? "").split("..");
			const end = (what, value, range, limits = {}) => number(what, value, "stops", .1, (v) => rewritten(0, (old) => range(v, old.split(".."))), {
				isSigned: true,
				...limits
			});
			return /* @__PURE__ */ h(Fragment, null, lift("tones"), " ", from === "" ? /* @__PURE__ */ h(Fragment, null, "below ", end("below", to, (v) => `..${written(v)}`)) : to === "" ? /* @__PURE__ */ h(Fragment, null, "above ", end("above", from, (v) => `${written(v)}..`)) : /* @__PURE__ */ h(Fragment, null, "from ", end("from", from, (v, old) => `${written(v)}..${old[1] ?? ""}`, { most: parseFloat(to) }), " to ", end("to", to, (v, old) => `${old[0] ?? ""}..${written(v)}`, { least: parseFloat(from) })), fades("stops", .1));
		}
		case "--hues": return /* @__PURE__ */ h(Fragment, null, lift("hues"), " ", number("width of the hues", parts[1] ?? "0", "° wide", 5, (v) => replaced(1, written(v)), {
			least: 1,
			most: 360,
			digits: 0
		}), " around", " ", number("middle of the hues", parts[0] ?? "0", "°", 5, (v) => replaced(0, written((v % 360 + 360) % 360)), { digits: 0 }), " ", /* @__PURE__ */ h("span", {
			class: "gel",
			style: { background: `lch(65% 45 ${parseFloat(parts[0] ?? "0")})` },
			"aria-hidden": "true"
		}), fades("°", 5, 180));
		case "--gradient": return /* @__PURE__ */ h(Fragment, null, lift("rising"), " between its two ends in the picture");
		default: return lift(says);
	}
}
