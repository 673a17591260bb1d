// The backdrop sheet: the whole photograph with the picture's frame and the horizon on it, and what is known of viewpoint, lens and light.
import { Fragment, h } from "../../vendor/preact.js";
import { useState } from "../../vendor/hooks.js";
import { useGlass } from "../draw/glass.js";
import { at, figure, fitted } from "../draw/places.js";
import { choose as chooseFiles, take } from "../parts/drop.js";
import { arrows } from "../parts/arrows.js";
import { Figure, typing } from "../parts/figure.js";
import { Phrase } from "../parts/phrase.js";
import { pull } from "../parts/pull.js";
import { letGo, say } from "../store/link.js";
const plain = (v, digits = 4) => Number(v.toFixed(digits)).toString();
const read = (...words) => void say("read", ...words);
export function Backdrop({ picture, places }) {
	const r = picture.reading;
	const { aside, facing: room } = places;
	return /* @__PURE__ */ h(Fragment, null, r?.backdrop ? /* @__PURE__ */ h(Photograph, {
		room,
		r,
		picture
	}) : /* @__PURE__ */ h("button", {
		class: "frame empty",
		style: at(fitted(room, {
			width: r?.width_px ?? 3,
			height: r?.height_px ?? 2
		})),
		onClick: () => chooseFiles((files) => void take(files, null))
	}, /* @__PURE__ */ h("svg", {
		class: "outline wide",
		viewBox: "0 0 300 120",
		"aria-hidden": "true"
	}, /* @__PURE__ */ h("path", {
		class: "line dots",
		d: "M0 60H300M40 60q30 -40 70 -8q30 -24 60 8M190 60q30 -50 80 0"
	}), /* @__PURE__ */ h("path", {
		class: "line chain",
		d: "M0 60H300"
	})), /* @__PURE__ */ h("span", null, "Lay a photograph here: everything will stand in it")), /* @__PURE__ */ h("section", {
		class: "card reading",
		"aria-label": "What is known of the backdrop",
		style: at(aside)
	}, r && /* @__PURE__ */ h(Reading, {
		r,
		picture
	})));
}
/** The photograph, with the part of it that the picture shows, and the horizon as a tape with two pins. */
function Photograph({ room, r, picture }) {
	const photo = r.backdrop;
	const { box, beyond } = laid(room, photo);
	const [tape, lay] = useState(null);
	const [frame, move] = useState(null);
	const scale = box.width / (photo?.width_px ?? 1);
	const canvas = useGlass(0, { what: "backdrop" }, {
		scale,
		x: 0,
		y: 0
	}, beyond.width, beyond.height);
	if (!photo) return null;
	const [left, top, width, height] = frame ?? photo.window_px;
	const shown = picture.projection;
	// The picture's horizon, back on the photograph.
	const back = (row) => (top + row / (shown?.height_px ?? 1) * height) * scale;
	const slope = shown?.horizon_px ? (back(shown.horizon_px[1]) - back(shown.horizon_px[0])) / (width * scale) : 0;
	const rows = shown?.horizon_px ? back(shown.horizon_px[0]) - slope * left * scale : box.height * .4;
	const [y0, y1] = tape ?? [rows, rows + slope * box.width];
	const pin = (which) => (e) => {
		e.stopPropagation();
		const start = [y0, y1];
		let now = start;
		const moved = (_, down) => {
			now = which === 0 ? [start[0] + down, start[1]] : [start[0], start[1] + down];
			lay(now);
		};
		pull(e, moved, (isDropped) => over(isDropped, now));
	};
	const slide = (e) => {
		e.stopPropagation();
		let now = [y0, y1];
		const start = now;
		pull(e, (_, down) => lay(now = [start[0] + down, start[1] + down]), (isDropped) => over(isDropped, now));
	};
	const over = (isDropped, now) => {
		const row = (y) => plain(y / scale, 2);
		if (!isDropped) lay(null);
		else void say("read", "--horizon", `0,${row(now[0])},${photo.width_px},${row(now[1])}`).then(() => lay(null));
	};
	const shift = (e) => {
		const start = [
			left,
			top,
			width,
			height
		];
		let now = start;
		const place = (from, by, most, side) => held(from, by, Math.min(0, most), Math.max(0, most), scale, side);
		const moved = (x, y) => {
			now = [
				place(start[0], x / scale, photo.width_px - width, photo.width_px),
				place(start[1], y / scale, photo.height_px - height, photo.height_px),
				width,
				height
			];
			move(now);
		};
		pull(e, moved, (isDropped) => framed(isDropped, now));
	};
	// By its right end, or by its left one; the corner across from it stays.
	const grow = (isRight) => (e) => {
		e.stopPropagation();
		let now = [
			left,
			top,
			width,
			height
		];
		const start = now;
		const moved = (x) => {
			const [across, down] = isRight ? [photo.width_px - start[0], photo.height_px - start[1]] : [start[0] + start[2], start[1] + start[3]];
			const whole = Math.max(20, Math.min(across, down * start[2] / start[3]));
			const wide = Math.max(20, held(start[2], (isRight ? x : -x) / scale, 20, whole, scale, photo.width_px));
			const high = start[3] * wide / start[2];
			now = isRight ? [
				start[0],
				start[1],
				wide,
				high
			] : [
				start[0] + start[2] - wide,
				start[1] + start[3] - high,
				wide,
				high
			];
			move(now);
		};
		pull(e, moved, (isDropped) => framed(isDropped, now));
	};
	const framed = (isDropped, now) => {
		if (!isDropped) move(null);
		else void say("read", "--window", now.slice(0, 3).map((v) => plain(v, 2)).join(",")).then(() => move(null));
	};
	const tilted = (left, right) => read("--horizon", `0,${plain(y0 / scale + left, 2)},${photo.width_px},${plain(y1 / scale + right, 2)}`);
	return /* @__PURE__ */ h("div", {
		class: "frame table",
		style: at(box)
	}, /* @__PURE__ */ h("canvas", {
		ref: canvas,
		style: at(beyond)
	}), /* @__PURE__ */ h("svg", {
		width: box.width,
		height: box.height,
		role: "group",
		"aria-label": "The horizon and the picture's frame"
	}, beyond.width > box.width + .5 || beyond.height > box.height + .5 ? /* @__PURE__ */ h("rect", {
		class: "line dots",
		x: 0,
		y: 0,
		width: box.width,
		height: box.height
	}) : null, /* @__PURE__ */ h("path", {
		class: "beyond",
		"fill-rule": "evenodd",
		d: `M${beyond.x} ${beyond.y}h${beyond.width}v${beyond.height}h${-beyond.width}ZM${left * scale} ${top * scale}v${height * scale}h${width * scale}v${-height * scale}Z`
	}), /* @__PURE__ */ h("rect", {
		class: "edge pulled",
		x: left * scale,
		y: top * scale,
		width: width * scale,
		height: height * scale,
		role: "slider",
		tabindex: 0,
		"aria-label": "The part that the picture shows: arrows shift it",
		"aria-valuenow": Math.round(left),
		onPointerDown: shift,
		onKeyDown: arrows((x, y) => read("--window", [
			left + 10 * x,
			top + 10 * y,
			width
		].map((v) => plain(v, 2)).join(",")))
	}), /* @__PURE__ */ h(Across, {
		left: left * scale,
		right: (left + width) * scale,
		y: (top + height) * scale - 22,
		px: width,
		onGrow: grow,
		onKeyDown: arrows((x, y) => read("--window", [
			left,
			top,
			width + 10 * (x - y)
		].map((v) => plain(v, 2)).join(",")))
	}), /* @__PURE__ */ h("g", {
		class: "pulled",
		role: "slider",
		tabindex: 0,
		"aria-label": "The horizon: arrows move it",
		"aria-valuenow": Math.round(y0 / scale),
		onPointerDown: slide,
		onKeyDown: arrows((_, y) => tilted(10 * y, 10 * y))
	}, /* @__PURE__ */ h("path", {
		class: "grip",
		d: `M0 ${y0}L${box.width} ${y1}`
	}), /* @__PURE__ */ h("path", {
		class: "halo",
		d: `M0 ${y0}L${box.width} ${y1}`
	}), /* @__PURE__ */ h("path", {
		class: "spike chain",
		d: `M0 ${y0}L${box.width} ${y1}`
	})), /* @__PURE__ */ h("circle", {
		class: "mark chosen pulled",
		cx: 9,
		cy: y0,
		r: 8,
		role: "slider",
		tabindex: 0,
		"aria-label": "Horizon, left pin: arrows move it",
		"aria-valuenow": Math.round(y0 / scale),
		onPointerDown: pin(0),
		onKeyDown: arrows((_, y) => tilted(10 * y, 0))
	}, /* @__PURE__ */ h("title", null, "Horizon, left pin")), /* @__PURE__ */ h("circle", {
		class: "mark chosen pulled",
		cx: box.width - 9,
		cy: y1,
		r: 8,
		role: "slider",
		tabindex: 0,
		"aria-label": "Horizon, right pin: arrows move it",
		"aria-valuenow": Math.round(y1 / scale),
		onPointerDown: pin(1),
		onKeyDown: arrows((_, y) => tilted(0, 10 * y))
	}, /* @__PURE__ */ h("title", null, "Horizon, right pin")), /* @__PURE__ */ h("text", {
		class: "over",
		x: 24,
		y: y0 - 8
	}, "horizon: lay it along where the far ground ends")));
}
/** Where the photograph lies on the sheet, and, counted from there, all of it that is shown: as far beyond its border as the frame reaches. */
function laid(room, photo) {
	if (!photo) return {
		box: room,
		beyond: room
	};
	const [left, top, width, height] = photo.window_px;
	const [x0, y0] = [Math.min(0, Math.floor(left)), Math.min(0, Math.floor(top))];
	const [x1, y1] = [Math.max(photo.width_px, Math.ceil(left + width)), Math.max(photo.height_px, Math.ceil(top + height))];
	const whole = fitted(room, {
		width: x1 - x0,
		height: y1 - y0
	});
	const scale = whole.width / (x1 - x0);
	return {
		box: {
			x: whole.x - x0 * scale,
			y: whole.y - y0 * scale,
			width: photo.width_px * scale,
			height: photo.height_px * scale
		},
		beyond: {
			x: x0 * scale,
			y: y0 * scale,
			width: whole.width,
			height: whole.height
		}
	};
}
/** A border that must be pulled against before it gives way, so that nobody goes beyond it unawares; then half a side at most. What begins beyond it is not held. */
function held(from, by, least, most, scale, side) {
	const isBeyond = from < least - .5 || from > most + .5;
	const holds = isBeyond ? 0 : 24 / scale;
	const v = from + by;
	const beyond = (far) => Math.min(Math.max(0, far - holds), Math.max(side / 2, isBeyond ? Math.max(least - from, from - most) : 0));
	if (v < least) return least - beyond(least - v);
	if (v > most) return most + beyond(v - most);
	return v;
}
/** How wide the frame is, as a dimension line whose end is pulled. */
function Across({ left, right, y, px, onGrow, onKeyDown }) {
	const line = `M${left} ${y}H${right}m-9 -4l9 4l-9 4M${left + 9} ${y - 4}l-9 4l9 4`;
	return /* @__PURE__ */ h("g", {
		class: "pulled",
		role: "slider",
		tabindex: 0,
		"aria-label": "Width of that part: arrows widen it",
		"aria-valuenow": Math.round(px),
		onKeyDown
	}, /* @__PURE__ */ h("path", {
		class: "halo",
		d: line
	}), /* @__PURE__ */ h("path", {
		class: "line",
		d: line
	}), /* @__PURE__ */ h("text", {
		class: "over",
		x: (left + right) / 2,
		y: y - 6,
		"text-anchor": "middle"
	}, figure(px, 0), " px of the photograph"), /* @__PURE__ */ h("rect", {
		class: "grip",
		x: left - 6,
		y: y - 14,
		width: 40,
		height: 28,
		onPointerDown: onGrow(false)
	}), /* @__PURE__ */ h("rect", {
		class: "grip",
		id: "right-end",
		x: right - 34,
		y: y - 14,
		width: 40,
		height: 28,
		onPointerDown: onGrow(true)
	}));
}
/** How large the picture is, typed over; pieces stay on their marks. */
function Extent({ r }) {
	const [isTyped, setTyped] = useState(false);
	const cm = (px) => r.ppi ? plain(px / r.ppi * 2.54, 1) : "";
	const reads = r.ppi ? `${cm(r.width_px)} × ${cm(r.height_px)} cm` : `${r.width_px} × ${r.height_px} px`;
	const asked = (text) => {
		const bare = text.replaceAll("×", "x").replace(/\s+/g, "");
		const isPrint = /(cm|mm|in)$/i.test(bare);
		read(...isPrint ? [
			"--print",
			bare.toLowerCase(),
			...r.ppi ? ["--ppi", plain(r.ppi)] : []
		] : ["--size", bare]);
	};
	if (isTyped) {
		const done = (text) => {
			setTyped(false);
			if (text?.trim() && text !== reads) asked(text);
		};
		return /* @__PURE__ */ h("input", {
			class: "typed wide",
			"aria-label": "Size of the picture, as 70x50cm or 6000x4000 px",
			defaultValue: reads,
			...typing(done)
		});
	}
	return /* @__PURE__ */ h(Fragment, null, "The picture is ", /* @__PURE__ */ h("button", {
		class: "word",
		title: "Another size or shape: type it, as 70x50cm or 6000x4000 px",
		onClick: () => setTyped(true)
	}, reads), r.ppi ? ` at ${figure(r.ppi, 0)} ppi, ${r.width_px} × ${r.height_px} px` : "", ".", " ");
}
/** Has the picture's sides change places. */
function Turned({ r }) {
	if (r.width_px === r.height_px) return null;
	const cm = (px) => plain(px / (r.ppi ?? 1) * 2.54, 1);
	const turn = () => read(...r.ppi ? [
		"--print",
		`${cm(r.height_px)}x${cm(r.width_px)}cm`,
		"--ppi",
		plain(r.ppi)
	] : ["--size", `${r.height_px}x${r.width_px}`]);
	return /* @__PURE__ */ h("button", {
		class: "word",
		id: "turns",
		onClick: turn
	}, r.width_px > r.height_px ? "stand the picture upright" : "lay the picture on its side");
}
/** Something that is told by a number, with where it is known from. */
function Told({ name, option, value, unit, step, digits, from, prefix = "", suffix = "", least, most, isRatio }) {
	return /* @__PURE__ */ h("tr", null, /* @__PURE__ */ h("th", { scope: "row" }, name), /* @__PURE__ */ h("td", { class: "result" }, /* @__PURE__ */ h(Figure, {
		name,
		value,
		unit,
		step,
		digits,
		...least === undefined ? {} : { least },
		...most === undefined ? {} : { most },
		isRatio: isRatio ?? false,
		onTry: () => {},
		onKeep: (v) => read(option, `${prefix}${plain(v)}${suffix}`),
		onLeave: letGo
	})), /* @__PURE__ */ h("td", { class: from === "assumed" ? "from assumed" : "from" }, from));
}
function Reading({ r, picture }) {
	const c = r.camera;
	const sun = r.sun;
	const sky = r.sky_level;
	return /* @__PURE__ */ h(Fragment, null, /* @__PURE__ */ h("h3", null, r.backdrop ? r.backdrop.name : "No backdrop yet", /* @__PURE__ */ h("small", null, r.backdrop ? `${r.backdrop.width_px} × ${r.backdrop.height_px} px, ${r.backdrop.bits} bits` : "everything stands before an even grey")), r.missing.filter((m) => m.needed).length > 0 && /* @__PURE__ */ h("p", { class: "row" }, "Say what is marked assumed, and everything stands at its size."), /* @__PURE__ */ h("h4", null, "viewpoint"), /* @__PURE__ */ h("table", null, /* @__PURE__ */ h("tbody", null, /* @__PURE__ */ h(Told, {
		name: "camera height",
		option: "--camera-height",
		value: c.height_m,
		unit: "m",
		step: .05,
		digits: 2,
		suffix: "m",
		least: .05,
		from: c.height_from
	}), /* @__PURE__ */ h(Told, {
		name: "pitch",
		option: "--pitch",
		value: c.pitch_deg,
		unit: "°",
		step: .1,
		digits: 2,
		from: c.attitude_from
	}), /* @__PURE__ */ h(Told, {
		name: "roll",
		option: "--roll",
		value: c.roll_deg,
		unit: "°",
		step: .1,
		digits: 2,
		from: c.attitude_from
	}))), /* @__PURE__ */ h("p", { class: "row" }, /* @__PURE__ */ h("button", {
		class: "word",
		onClick: () => read("--camera-height", `${plain(c.height_m)}m`, "--pitch", plain(c.pitch_deg), "--declared")
	}, "take it as agreed"), " where nothing can be read in the photograph"), /* @__PURE__ */ h("h4", null, "lens"), /* @__PURE__ */ h("table", null, /* @__PURE__ */ h("tbody", null, /* @__PURE__ */ h(Told, {
		name: "focal length",
		option: "--focal",
		value: c.focal_mm,
		unit: "mm",
		step: 1,
		digits: 1,
		least: 1,
		from: c.focal_from
	}), /* @__PURE__ */ h(Told, {
		name: "sensor width",
		option: "--sensor",
		value: c.sensor_width_mm,
		unit: "mm",
		step: .1,
		digits: 1,
		least: 1,
		from: c.sensor_from
	}), /* @__PURE__ */ h(Told, {
		name: "aperture f/",
		option: "--f-number",
		value: c.f_number,
		unit: "",
		step: .1,
		digits: 1,
		least: .7,
		from: c.f_number_from
	}), /* @__PURE__ */ h(Told, {
		name: "focused at",
		option: "--focus",
		value: c.focus_m ?? 1e3,
		unit: c.focus_m === null ? "m (infinity)" : "m",
		step: .1,
		digits: 2,
		suffix: "m",
		least: .1,
		from: c.focus_from
	}), /* @__PURE__ */ h(Told, {
		name: "depth",
		option: "--depth",
		value: c.depth_factor,
		unit: "× as computed",
		step: .05,
		digits: 2,
		prefix: "x",
		least: 0,
		from: ""
	}))), /* @__PURE__ */ h("h4", null, "light"), /* @__PURE__ */ h("table", null, /* @__PURE__ */ h("tbody", null, sky.cct_k === null && /* @__PURE__ */ h("tr", null, /* @__PURE__ */ h("th", { scope: "row" }, "sky"), /* @__PURE__ */ h("td", { class: "result" }, "by its own colour"), /* @__PURE__ */ h("td", { class: "from" }, r.sky_from)), sky.cct_k !== null && /* @__PURE__ */ h(Fragment, null, /* @__PURE__ */ h(Light, {
		name: "sky on a level card",
		option: "--sky-level",
		strength: sky.strength,
		cct: sky.cct_k,
		from: r.sky_from
	}), r.sky_upright.cct_k !== null && /* @__PURE__ */ h(Light, {
		name: "sky on an upright card",
		option: "--sky-upright",
		strength: r.sky_upright.strength,
		cct: r.sky_upright.cct_k,
		from: r.sky_from
	})), /* @__PURE__ */ h("tr", null, /* @__PURE__ */ h("th", { scope: "row" }, "sun"), sun && sun.light.cct_k !== null ? /* @__PURE__ */ h("td", {
		class: "result",
		colSpan: 2
	}, /* @__PURE__ */ h(Sun, {
		b: sun.bearing_deg,
		e: sun.height_deg,
		s: sun.light.strength,
		k: sun.light.cct_k
	}), " ", /* @__PURE__ */ h("button", {
		class: "word",
		onClick: () => read("--sun", "none")
	}, "no sun")) : /* @__PURE__ */ h("td", {
		class: "result",
		colSpan: 2
	}, /* @__PURE__ */ h("button", {
		class: "word",
		onClick: () => read("--sun", "-40,25,2@5200K")
	}, "let the sun shine"))), /* @__PURE__ */ h("tr", null, /* @__PURE__ */ h("th", { scope: "row" }, "haze"), r.visibility_m === null ? /* @__PURE__ */ h("td", {
		class: "result",
		colSpan: 2
	}, /* @__PURE__ */ h("button", {
		class: "word",
		onClick: () => read("--haze", "2km")
	}, "add haze")) : /* @__PURE__ */ h("td", {
		class: "result",
		colSpan: 2
	}, /* @__PURE__ */ h(Figure, {
		name: "Visibility",
		value: r.visibility_m,
		unit: "m of sight",
		step: .05,
		digits: 0,
		isRatio: true,
		least: 1,
		onTry: () => {},
		onKeep: (v) => read("--haze", `${plain(v, 1)}m`),
		onLeave: letGo
	}), " ", /* @__PURE__ */ h("button", {
		class: "word",
		onClick: () => read("--haze", "none")
	}, "no haze"))), /* @__PURE__ */ h(Told, {
		name: "white balance",
		option: "--white-balance",
		value: c.white_balance_k,
		unit: "K",
		step: 50,
		digits: 0,
		suffix: "K",
		least: 1700,
		most: 25e3,
		from: ""
	}))), /* @__PURE__ */ h("h4", null, "frame"), /* @__PURE__ */ h("p", { class: "manner" }, /* @__PURE__ */ h(Extent, { r }), r.backdrop && /* @__PURE__ */ h(Fragment, null, "The photograph is shown", " ", /* @__PURE__ */ h(Phrase, {
		name: "Which way round the photograph is",
		value: r.backdrop.mirrored ? "--mirror" : "--no-mirror",
		others: [["--no-mirror", "as it was taken"], ["--mirror", "mirrored, its light too"]],
		onReplace: (word) => read(word)
	}), ".")), /* @__PURE__ */ h("p", { class: "row" }, /* @__PURE__ */ h(Turned, { r }), " ", r.backdrop && /* @__PURE__ */ h("button", {
		class: "word",
		onClick: () => chooseFiles((files) => void take(files.slice(0, 1), null))
	}, "take another photograph")), r.backdrop && r.backdrop.warnings.map((w) => /* @__PURE__ */ h("p", {
		class: "snag",
		key: w
	}, w)), picture.lamps.length > 0 && /* @__PURE__ */ h("h4", null, "lamps"), picture.lamps.map((l) => /* @__PURE__ */ h("p", {
		class: "manner",
		key: l.lamp
	}, l.name, ": ", l.cct_k !== null ? /* @__PURE__ */ h(Glow, {
		name: l.name,
		strength: l.strength,
		cct: l.cct_k,
		write: (glow) => void say("light", "change", `#${l.lamp}`, "--strength", glow)
	}) : "picked", l.on ? `, on ${l.on}` : "", " ", /* @__PURE__ */ h("button", {
		class: "word",
		onClick: () => void say("light", "remove", `#${l.lamp}`)
	}, "take it away"))), /* @__PURE__ */ h("p", null, /* @__PURE__ */ h("button", {
		class: "word",
		onClick: () => void say("light", "add", lampName(picture), "--at", "0,1.5,5", "--strength", "0.5@2700K")
	}, "hang a lamp")));
}
function lampName(picture) {
	const names = new Set(picture.lamps.map((l) => l.name));
	let name = "lamp";
	for (let n = 2; names.has(name); n += 1) name = `lamp ${n}`;
	return name;
}
/** How much light, and of which colour: a strength and kelvin. */
function Glow({ name, strength, cct, write }) {
	return /* @__PURE__ */ h(Fragment, null, /* @__PURE__ */ h(Figure, {
		name: `${name}, what a card reads`,
		value: strength,
		unit: "",
		step: .05,
		digits: 3,
		isRatio: true,
		least: 1e-4,
		onTry: () => {},
		onKeep: (v) => write(`${plain(v, 5)}@${plain(cct, 0)}K`),
		onLeave: letGo
	}), " at", " ", /* @__PURE__ */ h(Figure, {
		name: `${name}, kelvin`,
		value: cct,
		unit: "K",
		step: 50,
		digits: 0,
		least: 1700,
		most: 25e3,
		onTry: () => {},
		onKeep: (v) => write(`${plain(strength, 5)}@${plain(v, 0)}K`),
		onLeave: letGo
	}));
}
function Light({ name, option, strength, cct, from }) {
	return /* @__PURE__ */ h("tr", null, /* @__PURE__ */ h("th", { scope: "row" }, name), /* @__PURE__ */ h("td", { class: "result" }, /* @__PURE__ */ h(Glow, {
		name,
		strength,
		cct,
		write: (glow) => read(option, glow)
	})), /* @__PURE__ */ h("td", { class: from === "assumed" ? "from assumed" : "from" }, from));
}
function Sun({ b, e, s, k }) {
	const write = (bearing, height) => read("--sun", `${plain(bearing, 2)},${plain(height, 2)},${plain(s, 5)}@${plain(k, 0)}K`);
	return /* @__PURE__ */ h(Fragment, null, /* @__PURE__ */ h(Figure, {
		name: "Bearing of the sun",
		value: b,
		unit: "° round",
		step: 1,
		digits: 0,
		onTry: () => {},
		onKeep: (v) => write(v, e),
		onLeave: letGo
	}), ",", " ", /* @__PURE__ */ h(Figure, {
		name: "Height of the sun",
		value: e,
		unit: "° up",
		step: 1,
		digits: 0,
		least: -10,
		most: 90,
		onTry: () => {},
		onKeep: (v) => write(b, v),
		onLeave: letGo
	}), ",", " ", /* @__PURE__ */ h(Glow, {
		name: "the sun",
		strength: s,
		cct: k,
		write: (glow) => read("--sun", `${plain(b, 2)},${plain(e, 2)},${glow}`)
	}));
}
