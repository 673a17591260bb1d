// The card of a set dressing: the rule as a sentence whose figures are pulled and whose phrases are replaced; its ground is drawn.
import { Fragment, h } from "../../vendor/preact.js";
import { useMemo, useState } from "../../vendor/hooks.js";
import { letGo, say, trySaying } from "../store/link.js";
import { chosen, dressed, dressings, laying, said } from "../store/view.js";
import { at, figure } from "../draw/places.js";
import { Figure, typing, written } from "../parts/figure.js";
import { Phrase } from "../parts/phrase.js";
export function DressCard({ box, picture }) {
	const name = dressed.value?.name ?? null;
	const rule = dressings.value.find((d) => d.name === name);
	return /* @__PURE__ */ h("section", {
		class: "card mark-card",
		"aria-label": "Set dressing",
		style: at(box)
	}, rule ? /* @__PURE__ */ h(Rule, {
		key: rule.dressing,
		d: rule,
		picture
	}) : name === null ? /* @__PURE__ */ h(New, { picture }) : /* @__PURE__ */ h("p", null, name, " is being laid …"));
}
/** Asks for ground to be drawn, and tells it in words. */
function draw(isClosed, tell) {
	const width = isClosed ? [] : ["--width", "1m"];
	laying.value = {
		isClosed,
		lay: (corners, where) => {
			const option = isClosed ? {
				plan: "--outline",
				picture: "--seen"
			} : {
				plan: "--band",
				picture: "--seen-band"
			};
			tell(option[where], corners, ...width);
		}
	};
	said.value = `Draw ${isClosed ? "round the ground" : "the line"}, in the picture or on the plan. Escape leaves it.`;
}
/** The words for ground around a piece, so wide as goes with how tall it is. */
function around(picture, piece) {
	const tall = picture.pieces.find((p) => `#${p.piece}` === piece)?.height_m ?? 1.7;
	return [
		"--around",
		piece,
		"--width",
		`${written(Math.round(tall * 32) / 10)}m`,
		"--depth",
		`${written(Math.round(tall * 11) / 10)}m`,
		"--opening",
		"70"
	];
}
const choices = (picture) => {
	const pieces = picture.pieces.filter((p) => !p.hidden).map((p) => [`#${p.piece}`, p.name]);
	const lamps = picture.lamps.map((l) => [`#${l.lamp}`, l.name]);
	const faces = [
		["none", "whatever they do"],
		["lens", "the lens"],
		["away", "away"],
		...lamps,
		...pieces
	];
	const subject = picture.pieces.find((p) => p.is_subject) ?? null;
	return {
		pieces,
		lamps,
		faces,
		subject
	};
};
/** What a new dressing is to be. */
function New({ picture }) {
	const { pieces, faces, subject } = useMemo(() => choices(picture), [picture]);
	const cutouts = picture.cutouts;
	const first = () => {
		const shown = new Set(chosen.value.flatMap((p) => picture.pieces.find((c) => c.piece === p)?.shows ?? []));
		const own = cutouts.filter((c) => shown.has(c.name)).map((c) => c.cutout);
		const others = cutouts.filter((c) => c.name !== subject?.shows).map((c) => c.cutout);
		const likely = others.length > 0 ? others : cutouts.map((c) => c.cutout);
		return own.length > 0 ? own : likely.length <= 4 ? likely : [];
	};
	const [of, choose] = useState(first);
	const [number, count] = useState(60);
	const [where, go] = useState(subject ? `#${subject.piece}` : "round");
	const [facing, face] = useState("none");
	const places = [
		["round", "where I draw round it"],
		["along", "along a line I draw"],
		...pieces.map(([word, name]) => [word, `around ${name}`])
	];
	const names = new Set(dressings.value.map((d) => d.name));
	let n = 1;
	while (names.has(`Dressing ${n}`)) n += 1;
	const lay = (...ground) => {
		const name = `Dressing ${n}`;
		const words = [
			"dress",
			"lay",
			name,
			"--of",
			...of.map((c) => `#${c}`),
			"--pieces",
			String(Math.round(number)),
			...facing === "none" ? [] : ["--facing", facing],
			...ground
		];
		void say(...words).then((isDone) => {
			if (isDone) dressed.value = { name };
		});
	};
	const isReady = of.length > 0;
	const act = () => where === "round" || where === "along" ? draw(where === "round", lay) : lay(...around(picture, where));
	return /* @__PURE__ */ h(Fragment, null, /* @__PURE__ */ h("h3", null, "Dress the ground", /* @__PURE__ */ h("small", null, "a rule lays pieces; each stays a piece like any other")), cutouts.length === 0 && /* @__PURE__ */ h("p", null, "Nothing is cut out yet. Drop the shots of what is to stand there on the picture first."), /* @__PURE__ */ h("p", { class: "manner chosen-from" }, "Of", " ", cutouts.map((c) => /* @__PURE__ */ h("button", {
		key: c.cutout,
		class: of.includes(c.cutout) ? "word chosen" : "word",
		"aria-pressed": of.includes(c.cutout),
		onClick: () => choose(of.includes(c.cutout) ? of.filter((o) => o !== c.cutout) : [...of, c.cutout])
	}, c.name))), /* @__PURE__ */ h("p", { class: "manner" }, /* @__PURE__ */ h(Figure, {
		name: "How many pieces",
		value: number,
		unit: "pieces",
		step: 1,
		digits: 0,
		least: 1,
		most: 2e3,
		onTry: count,
		onKeep: count,
		onLeave: () => {}
	}), ", ", /* @__PURE__ */ h(Phrase, {
		name: "Where they are laid",
		value: where,
		others: places,
		pointed: (piece) => `#${piece}`,
		onReplace: go
	}), ", facing ", /* @__PURE__ */ h(Phrase, {
		name: "What they face",
		value: facing,
		others: faces,
		pointed: (piece) => `#${piece}`,
		onReplace: face
	}), "."), subject && /* @__PURE__ */ h("p", null, "The face of ", subject.name, ", the lamps and 25 cm around the feet of others stay clear; say otherwise when it lies there."), /* @__PURE__ */ h("p", null, /* @__PURE__ */ h("button", {
		class: "word act",
		disabled: !isReady,
		onClick: act
	}, where === "round" || where === "along" ? "draw its ground" : "lay it")), !isReady && cutouts.length > 0 && /* @__PURE__ */ h("p", null, "Choose what it is made of: click the names."), chosen.value.length > 1 && /* @__PURE__ */ h("p", { class: "deeds" }, "Or take the ", chosen.value.length, " chosen pieces for a pattern:", " ", /* @__PURE__ */ h("button", {
		class: "word",
		onClick: () => void say("dress", "like", `Dressing ${n}`, chosen.value.map((p) => `#${p}`).join(",")).then((isDone) => isDone && (dressed.value = { name: `Dressing ${n}` }))
	}, "dress like these")));
}
const WAYS = [
	["drift", "In a drift"],
	["clumps", "In clumps"],
	["ranks", "In ranks"]
];
const m = (v) => `${written(Math.round(v * 1e4) / 1e4)}m`;
const percent = (share) => `${written(Math.round(share * 1e4) / 100)}%`;
/** A rule, as a sentence. */
function Rule({ d, picture }) {
	const { pieces, lamps, faces, subject } = useMemo(() => choices(picture), [picture]);
	const id = `#${d.dressing}`;
	const change = (...words) => {
		letGo();
		void say("dress", "change", id, ...words);
	};
	const number = (name, value, unit, step, words, limits = {}) => /* @__PURE__ */ h(Figure, {
		name,
		value,
		unit,
		step,
		...limits,
		onTry: (v) => trySaying("dress", "change", id, ...words(v)),
		onKeep: (v) => change(...words(v)),
		onLeave: letGo
	});
	const range = (name, [least, most], unit, step, option, text, limits = {}) => /* @__PURE__ */ h(Fragment, null, number(`${name}, least`, least, "", step, (v) => [option, `${text(v)}..${text(Math.max(v, most))}`], limits), " to", " ", number(`${name}, most`, most, unit, step, (v) => [option, `${text(Math.min(v, least))}..${text(v)}`], limits));
	const made = (of) => change("--of", ...of.map((c) => `#${c.cutout}${c.share === 1 ? "" : `=${written(c.share)}`}`));
	const cutouts = useMemo(() => [["", "and …"], ...picture.cutouts.map((c) => [String(c.cutout), c.name])], [picture.cutouts]);
	const more = cutouts.filter(([word]) => !d.of.some((c) => String(c.cutout) === word));
	const a = d.arrangement;
	const least = a.way === "clumps" ? a.within_m : a.spacing_m;
	const arranged = (way) => change(...way === "clumps" ? ["--clumps", `${m(least * 4)},${m(least * 2.5)},${m(least)}`] : way === "ranks" ? ["--ranks", `${m(least)},${m(least * 1.5)},0,20%`] : ["--drift", m(least)]);
	const near = {
		least: .03,
		most: 200,
		isRatio: true
	};
	const ranks = (part) => {
		if (a.way !== "ranks") return [];
		const r = {
			...a,
			...part
		};
		return ["--ranks", `${m(r.spacing_m)},${m(r.between_m)},${written(r.bearing_deg)},${percent(r.jitter)}`];
	};
	const clumps = (part) => {
		if (a.way !== "clumps") return [];
		const c = {
			...a,
			...part
		};
		return ["--clumps", `${m(c.spacing_m)},${m(c.width_m)},${m(c.within_m)}`];
	};
	const g = d.ground;
	const arc = (part) => {
		if (g.what !== "around") return [];
		const r = {
			...g,
			...part
		};
		return [
			"--around",
			`#${r.piece}`,
			"--width",
			m(r.width_m),
			"--depth",
			m(Math.min(r.depth_m, r.width_m)),
			"--opening",
			written(r.opening_deg)
		];
	};
	const lies = [
		g.what === "around" ? [`#${g.piece}`, `around ${picture.pieces.find((p) => p.piece === g.piece)?.name ?? "a piece"}`] : ["", g.what === "band" ? "along the line that was drawn" : "on the ground that was drawn"],
		["round", "where I draw round it"],
		["along", "along a line I draw"],
		...pieces.filter(([word]) => g.what !== "around" || word !== `#${g.piece}`).map(([word, name]) => [word, `around ${name}`])
	];
	const laid = (word) => {
		if (word === "round" || word === "along") draw(word === "round", change);
		else if (word) change(...around(picture, word));
	};
	const far = d.thin_far;
	const edge = d.thin_edge;
	const thinned = (to) => {
		const t = {
			far,
			edge,
			...to
		};
		return [
			"--thin-nowhere",
			...t.far ? ["--thin-far", `${m(t.far[0])},${m(Math.max(t.far[0], t.far[1]))},${percent(t.far[2])}`] : [],
			...t.edge ? ["--thin-edge", `${m(t.edge[0])},${percent(t.edge[1])}`] : []
		];
	};
	const thinner = [
		["", far || edge ? "and thinner …" : "nowhere thinner"],
		...far ? [] : [["far", "thinner with the distance"]],
		...edge ? [] : [["edge", "thinner towards its edge"]]
	];
	const isClear = (option, of) => d.clear.some((c) => c.words[0] === option && (c.words[1] ?? "").split(":")[0] === of);
	const clears = [
		["", d.clear.length > 0 ? "and …" : "nothing"],
		...subject && !isClear("--clear", `#${subject.piece}`) ? [[`--clear #${subject.piece}:80%..100%`, `the face of ${subject.name}`]] : [],
		...pieces.filter(([word]) => !isClear("--clear", word)).map(([word, name]) => [`--clear ${word}`, name]),
		...lamps.filter(([word]) => !isClear("--clear-lamp", word)).map(([word, name]) => [`--clear-lamp ${word}`, name]),
		["region", "a region I draw in the picture"],
		...d.clear.some((c) => c.words[0] === "--clear-feet") ? [] : [["--clear-feet 0.25m", "the feet of others"]],
		...subject ? lamps.map(([word, name]) => [`--clear-sight #${subject.piece},${word},0.5m`, `the line from ${subject.name} to ${name}`]) : []
	];
	const keep = (word) => {
		if (word === "region") {
			laying.value = {
				isClosed: true,
				lay: (corners, where) => where === "picture" ? change("--clear-region", corners) : void (said.value = "A region is drawn in the picture.")
			};
			said.value = "Draw round what is to stay free, in the picture. Escape leaves it.";
		} else if (word) change(...word.split(" "));
	};
	const lift = (i) => change("--clear-nothing-else", ...d.clear.flatMap((c, j) => i === j ? [] : c.words));
	return /* @__PURE__ */ h(Fragment, null, /* @__PURE__ */ h("h3", null, /* @__PURE__ */ h(Name, { d }), /* @__PURE__ */ h("small", null, d.pieces.length, " ", d.pieces.length === 1 ? "piece" : "pieces", d.ground_m2 === null ? "" : ` on ${figure(d.ground_m2, 1)} m²`)), /* @__PURE__ */ h("p", { class: "manner" }, "Of", " ", d.of.map((c, i) => /* @__PURE__ */ h(Fragment, { key: c.cutout }, i > 0 && ", ", d.of.length > 1 ? /* @__PURE__ */ h("button", {
		class: "word",
		title: "Leave it out",
		"aria-label": `Leave ${c.name} out`,
		onClick: () => made(d.of.filter((o) => o !== c))
	}, c.name) : c.name, d.of.length > 1 && /* @__PURE__ */ h(Fragment, null, " × ", number(`How often ${c.name} is taken`, c.share, "", .1, (v) => ["--of", ...d.of.map((o) => `#${o.cutout}=${written(o === c ? v : o.share)}`)], {
		least: .05,
		most: 100,
		isRatio: true
	})))), " ", more.length > 1 && /* @__PURE__ */ h(Phrase, {
		name: "One more cut-out",
		value: "",
		others: more,
		onReplace: (word) => word && made([...d.of, {
			cutout: Number(word),
			share: 1
		}])
	}), "; ", d.at_most === null ? /* @__PURE__ */ h("button", {
		class: "word",
		title: "Say how many",
		onClick: () => change("--pieces", String(Math.max(1, d.pieces.length)))
	}, "as many as find room") : /* @__PURE__ */ h(Fragment, null, "at most ", number("How many pieces at most", d.at_most, "pieces", 1, (v) => ["--pieces", String(Math.max(1, Math.round(v)))], {
		least: 1,
		most: 2e3,
		digits: 0
	}), " ", /* @__PURE__ */ h("button", {
		class: "word",
		onClick: () => change("--pieces", "all")
	}, "or all that find room")), "."), /* @__PURE__ */ h("p", { class: "manner" }, /* @__PURE__ */ h(Phrase, {
		name: "How they stand to one another",
		value: a.way,
		others: WAYS,
		onReplace: arranged
	}), a.way === "drift" && /* @__PURE__ */ h(Fragment, null, ", nowhere closer than ", number("Least distance", a.spacing_m, "m", .03, (v) => ["--drift", m(v)], near)), a.way === "clumps" && /* @__PURE__ */ h(Fragment, null, ", ", number("From clump to clump", a.spacing_m, "m", .03, (v) => clumps({ spacing_m: v }), near), " from middle to middle, ", number("Across a clump", a.width_m, "m", .03, (v) => clumps({ width_m: v }), near), " across, nowhere closer than ", number("Least distance", a.within_m, "m", .03, (v) => clumps({ within_m: v }), near)), a.way === "ranks" && /* @__PURE__ */ h(Fragment, null, ", ", number("Along a rank", a.spacing_m, "m", .03, (v) => ranks({ spacing_m: v }), near), " apart in a rank, ", number("From rank to rank", a.between_m, "m", .03, (v) => ranks({ between_m: v }), near), " from rank to rank, leading ", number("Bearing of the ranks", a.bearing_deg, "°", 1, (v) => ranks({ bearing_deg: v }), {
		isSigned: true,
		least: -180,
		most: 180,
		digits: 0
	}), " off the lens's axis, off their places by up to ", number("Off their places", a.jitter * 100, "%", 1, (v) => ranks({ jitter: v / 100 }), {
		least: 0,
		most: 100,
		digits: 0
	})), ";", " ", /* @__PURE__ */ h(Phrase, {
		name: "Where they are laid",
		value: g.what === "around" ? `#${g.piece}` : "",
		others: lies,
		pointed: (piece) => `#${piece}`,
		onReplace: laid
	}), g.what === "around" && /* @__PURE__ */ h(Fragment, null, ", ", number("Across it all", g.width_m, "m", .03, (v) => arc({ width_m: v }), near), " across, ", number("From the outer edge inwards", g.depth_m, "m", .03, (v) => arc({ depth_m: v }), near), " deep, open by ", number("Open towards the lens", g.opening_deg, "°", 2, (v) => arc({ opening_deg: v }), {
		least: 0,
		most: 360,
		digits: 0
	}), " towards the lens"), g.what === "band" && /* @__PURE__ */ h(Fragment, null, ", ", number("Across the band", g.width_m, "m", .03, (v) => [
		"--band",
		g.along_m.map((p) => p.map((c) => written(Math.round(c * 1e4) / 1e4)).join(",")).join(" "),
		"--width",
		m(v)
	], near), " wide"), ";", " ", far && /* @__PURE__ */ h(Fragment, null, /* @__PURE__ */ h("button", {
		class: "word",
		title: "Lift this off",
		onClick: () => change(...thinned({ far: null }))
	}, "thinner with the distance"), ", from ", number("Thinner from", far[0], "m", .03, (v) => thinned({ far: [
		v,
		far[1],
		far[2]
	] }), near), " to ", number("Thinner up to", far[1], "m", .03, (v) => thinned({ far: [
		Math.min(far[0], v),
		v,
		far[2]
	] }), near), " down to ", number("Left there", far[2] * 100, "%", 2, (v) => thinned({ far: [
		far[0],
		far[1],
		v / 100
	] }), {
		least: 0,
		most: 100,
		digits: 0
	}), ", "), edge && /* @__PURE__ */ h(Fragment, null, /* @__PURE__ */ h("button", {
		class: "word",
		title: "Lift this off",
		onClick: () => change(...thinned({ edge: null }))
	}, "thinner towards its edge"), ", from ", number("Thinner from so far inside", edge[0], "m", .03, (v) => thinned({ edge: [v, edge[1]] }), near), " inside down to ", number("Left at the edge", edge[1] * 100, "%", 2, (v) => thinned({ edge: [edge[0], v / 100] }), {
		least: 0,
		most: 100,
		digits: 0
	}), ", "), thinner.length > 1 && /* @__PURE__ */ h(Phrase, {
		name: "Where they stand less close",
		value: "",
		others: thinner,
		onReplace: (word) => word && change(...thinned(word === "far" ? { far: [
			4,
			12,
			.3
		] } : { edge: [1, .2] }))
	}), "."), /* @__PURE__ */ h("p", { class: "manner" }, range("Height", [d.heights[0] * 100, d.heights[1] * 100], "% of their height", 1, "--heights", (v) => `${written(Math.round(v * 100) / 100)}%`, {
		least: 5,
		most: 1e3,
		digits: 0
	}), ", leaning ", range("Lean", d.leans_deg, "°", 1, "--leans", written, {
		isSigned: true,
		least: -80,
		most: 80,
		digits: 1
	}), ", turned ", range("Turn", d.turns_deg, "°", 1, "--turns", written, {
		isSigned: true,
		least: -180,
		most: 180,
		digits: 1
	}), ", lifted ", range("Lift", d.lifts_m, "m", .01, "--lifts", m, { digits: 2 }), ", ", /* @__PURE__ */ h(Phrase, {
		name: "Which way round",
		value: d.mirror ? "--mirror" : "--no-mirror",
		others: ROUND,
		onReplace: (word) => change(word)
	}), ", facing ", /* @__PURE__ */ h(Phrase, {
		name: "What they face",
		value: faces.find((face) => face.includes(d.facing ?? "none"))?.[0] ?? d.facing ?? "none",
		others: faces,
		pointed: (piece) => `#${piece}`,
		onReplace: (word) => change("--facing", word)
	}), "."), /* @__PURE__ */ h("p", { class: "manner" }, "Keeps clear", " ", d.clear.map((c, i) => {
		const feet = c.words[0] === "--clear-feet" ? parseFloat(c.words[1] ?? "") : null;
		return /* @__PURE__ */ h(Fragment, { key: c.words.join(" ") }, feet !== null && /* @__PURE__ */ h(Fragment, null, number("Around the feet of others", feet, "m", .01, (v) => ["--clear-feet", m(v)], {
			least: 0,
			most: 50
		}), " "), /* @__PURE__ */ h("button", {
			class: "word",
			title: "Lift this off",
			"aria-label": `Lift off: ${c.says}`,
			onClick: () => lift(i)
		}, feet !== null ? "around the feet of others" : c.says), ",", " ");
	}), /* @__PURE__ */ h(Phrase, {
		name: "What stays free",
		value: "",
		others: clears,
		onReplace: keep
	}), "."), /* @__PURE__ */ h("p", { class: "deeds" }, /* @__PURE__ */ h("button", {
		class: "word",
		title: "Another of the ways to lay it; what was done by hand stays",
		onClick: () => void say("dress", "again", id)
	}, "lay again"), /* @__PURE__ */ h("button", {
		class: "word",
		onClick: () => {
			chosen.value = [...d.pieces];
		}
	}, "choose its pieces"), /* @__PURE__ */ h("button", {
		class: "word",
		title: "The rule goes, its pieces stay",
		onClick: () => void say("dress", "end", id).then((isDone) => isDone && (dressed.value = null))
	}, "end the rule"), /* @__PURE__ */ h("button", {
		class: "word",
		title: "Rule and pieces go",
		onClick: () => void say("dress", "strike", id).then((isDone) => isDone && (dressed.value = null))
	}, "strike it"), /* @__PURE__ */ h("button", {
		class: "word",
		onClick: () => dressed.value = null
	}, "lay the card down")));
}
const ROUND = [["--mirror", "some mirrored"], ["--no-mirror", "none mirrored"]];
function Name({ d }) {
	const [isTyped, setTyped] = useState(false);
	if (!isTyped) return /* @__PURE__ */ h("button", {
		class: "name",
		title: "Call it otherwise",
		onClick: () => setTyped(true)
	}, d.name);
	const done = (text) => {
		const to = text?.trim();
		setTyped(false);
		if (!to || to === d.name) return;
		void say("dress", "change", `#${d.dressing}`, "--name", to).then((isDone) => {
			if (isDone) dressed.value = { name: to };
		});
	};
	return /* @__PURE__ */ h("input", {
		class: "name",
		"aria-label": "What it is called",
		defaultValue: d.name,
		...typing(done)
	});
}
