// The ground plan: under the picture, its left and right the picture's own at one distance.
import { h } from "../../vendor/preact.js";
import { useMemo } from "../../vendor/hooks.js";
import { signal } from "../../vendor/signals.js";
import { keep, letGo, say, trySaying, tryOut } from "../store/link.js";
import { sheet } from "../store/scene.js";
import { arrows } from "../parts/arrows.js";
import { corners, trace } from "../parts/pen.js";
import { Phrase } from "../parts/phrase.js";
import { pull } from "../parts/pull.js";
import { steady } from "../parts/steady.js";
import { choose, chosen, dressed, dressings, isAsked, lamps, laying, stands } from "../store/view.js";
import { along, at, distance, figure, ruled } from "./places.js";
/** Across and down for metres right and away. */
export function scales({ box, scale, views, level, depths: d }) {
	const middle = -views.field[0] / (views.field[1] - views.field[0]) * box.width;
	const across = views.focal_px * scale / level;
	return {
		x: (metres) => middle + metres * across,
		y: (metres) => box.height * (1 - along(d, metres)),
		metres: (x) => (x - middle) / across,
		away: (y) => distance(d, 1 - y / box.height)
	};
}
export const Plan = steady((props) => {
	const { box, views, depths: d, level, subject } = props;
	const { x, y } = scales(props);
	const rows = ruled(d, .09);
	const shares = [...Array(33).keys()].map((i) => distance(d, i / 32));
	const edge = (slope) => "M" + shares.map((z) => `${x(slope * z)} ${y(z)}`).join("L");
	const top = Math.max(0, y(Math.min(views.sharp.to_m ?? d.far, d.far)));
	const bottom = Math.min(box.height, y(Math.max(views.sharp.from_m, d.near)));
	return /* @__PURE__ */ h("div", {
		class: "plan-view",
		style: at(box)
	}, /* @__PURE__ */ h("h2", { class: "above" }, box.width > 360 && /* @__PURE__ */ h("span", null, "Ground plan", box.width > 560 && /* @__PURE__ */ h("small", null, "across true at ", figure(level, 1), " m")), /* @__PURE__ */ h(Beds, null)), /* @__PURE__ */ h("div", { class: "frame whole" }, /* @__PURE__ */ h("svg", {
		width: box.width,
		height: box.height,
		role: "group",
		"aria-label": "Ground plan",
		onPointerDown: (e) => lay(e, props)
	}, bottom > top && /* @__PURE__ */ h("rect", {
		class: "sharp",
		x: 0,
		y: top,
		width: box.width,
		height: bottom - top
	}), rows.map((m) => /* @__PURE__ */ h("path", {
		key: m,
		class: "rule",
		d: `M0 ${y(m)}H${box.width}`
	})), /* @__PURE__ */ h("path", {
		class: "line dash",
		d: edge(views.field[0])
	}), /* @__PURE__ */ h("path", {
		class: "line dash",
		d: edge(views.field[1])
	}), /* @__PURE__ */ h(Grounds, { frame: props }), /* @__PURE__ */ h(Lamps, { frame: props }), views.sun && /* @__PURE__ */ h(Sun, {
		bearing: views.sun.bearing_deg,
		box,
		onPull: (e) => follow(e, props)
	}), views.sharp.at_m !== null && /* @__PURE__ */ h("g", {
		class: "pulled",
		role: "slider",
		tabindex: 0,
		"aria-label": "What the lens is focused at, metres: arrows move it",
		"aria-valuenow": views.sharp.at_m,
		onPointerDown: (e) => focus(e, views.sharp.at_m ?? 5, props),
		onKeyDown: arrows((x, y) => focused((views.sharp.at_m ?? 5) + (x - y) / 10))
	}, /* @__PURE__ */ h("path", {
		class: "bold",
		d: `M0 ${y(views.sharp.at_m)}h14m-5 -4l5 4l-5 4`
	}), /* @__PURE__ */ h("rect", {
		x: 0,
		y: y(views.sharp.at_m) - 9,
		width: 40,
		height: 18,
		fill: "transparent"
	}), /* @__PURE__ */ h("title", null, "What the lens is focused at: pull it nearer or farther")), /* @__PURE__ */ h(Marks, {
		frame: props,
		subject
	}))), /* @__PURE__ */ h("svg", {
		class: "ticks",
		width: box.width,
		height: box.height,
		"aria-hidden": "true"
	}, rows.map((m) => /* @__PURE__ */ h("text", {
		key: m,
		class: "soft",
		x: box.width + 8,
		y: y(m) + 4
	}, figure(m, 1), " m"))));
});
/** A new set dressing, and those that lie there. */
function Beds() {
	const all = dressings.value;
	const open = dressed.value;
	const told = all.length === 1 ? "one dressing" : `${all.length} dressings`;
	const names = useMemo(() => [["", told], ...all.map((d) => [d.name, d.name])], [told, all]);
	return /* @__PURE__ */ h("span", null, /* @__PURE__ */ h("button", {
		class: open && open.name === null ? "word chosen" : "word",
		onClick: () => dressed.value = { name: null }
	}, "dress the ground"), all.length > 0 && /* @__PURE__ */ h(Phrase, {
		name: "The set dressings",
		value: open?.name ?? "",
		others: names,
		onReplace: (name) => dressed.value = name ? { name } : null
	}));
}
/** Ground that is dressed, and what is being drawn of it. */
function Grounds({ frame }) {
	const { x, y } = scales(frame);
	const edge = (corners) => {
		// Far ground is compressed: a straight edge is none here.
		const parts = corners.flatMap(([ax, az], i) => {
			const [bx, bz] = corners[(i + 1) % corners.length] ?? [ax, az];
			return [...Array(8).keys()].map((n) => `${x(ax + (bx - ax) * n / 8)} ${y(Math.max(az + (bz - az) * n / 8, frame.depths.near * .5))}`);
		});
		return `M${parts.join("L")}Z`;
	};
	return /* @__PURE__ */ h("g", null, dressings.value.map((d) => {
		const isOpen = dressed.value?.name === d.name;
		return d.edge_m.length > 2 && /* @__PURE__ */ h("path", {
			key: d.dressing,
			class: isOpen ? "bed chosen" : "bed",
			d: edge(d.edge_m),
			onClick: () => laying.value || (dressed.value = { name: d.name })
		}, /* @__PURE__ */ h("title", null, d.name));
	}), drawn.value.length > 1 && /* @__PURE__ */ h("path", {
		class: "spike",
		d: `M${drawn.value.map(([x, y]) => `${x} ${y}`).join("L")}${laying.value?.isClosed ? "Z" : ""}`
	}));
}
/** What is being drawn on the plan. */
const drawn = signal([]);
/** Draws ground that is to be dressed. */
function lay(e, props) {
	const on = laying.value;
	if (!on || e.button !== 0) return;
	const s = scales(props);
	const frame = e.currentTarget.getBoundingClientRect();
	trace(e, (p) => [p.clientX - frame.left, p.clientY - frame.top], (path) => drawn.value = path.map(([x, y]) => [x, y]), (path) => {
		drawn.value = [];
		const told = path ? corners(path, 1.5) : [];
		if (told.length < (on.isClosed ? 3 : 2)) return;
		laying.value = null;
		on.lay(told.map(([x, y]) => `${s.metres(x).toFixed(3)},${s.away(y).toFixed(3)}`).join(" "), "plan");
	});
}
/** Where the pieces stand. */
function Marks({ frame, subject }) {
	const isChosen = new Set(chosen.value);
	return /* @__PURE__ */ h("g", null, stands.value.map((p) => /* @__PURE__ */ h(Mark, {
		key: p.piece,
		stand: p,
		frame,
		isChosen: isChosen.has(p.piece),
		isSubject: p.piece === subject
	})));
}
const Mark = steady(({ stand: p, frame, isChosen, isSubject }) => {
	const { x, y } = scales(frame);
	const kind = isChosen ? " chosen" : isSubject ? " subject" : "";
	return /* @__PURE__ */ h("circle", {
		class: "mark" + kind,
		cx: x(p.at_m[0]),
		cy: y(p.at_m[2]),
		r: isSubject ? 7 : 5,
		onPointerDown: (e) => begin(e, p, frame)
	});
});
function Lamps({ frame }) {
	const { x, y } = scales(frame);
	return /* @__PURE__ */ h("g", null, lamps.value.map((lamp) => /* @__PURE__ */ h("g", {
		key: lamp.lamp,
		class: "pulled",
		role: "button",
		tabindex: 0,
		"aria-label": `${lamp.name}: arrows move it along the ground`,
		onPointerDown: (e) => shine(e, lamp, frame),
		onKeyDown: arrows((x, y) => shifted(lamp.lamp, [
			x / 10,
			0,
			-y / 10
		]))
	}, /* @__PURE__ */ h(Lamp, {
		lamp,
		x: x(lamp.at_m[0]),
		y: y(lamp.at_m[2])
	}))));
}
function Lamp({ lamp, x, y }) {
	const rays = [...Array(12).keys()].map((i) => {
		const [c, s] = [Math.cos(i * Math.PI / 6), Math.sin(i * Math.PI / 6)];
		return `M${x + 8 * c} ${y + 8 * s}L${x + 12 * c} ${y + 12 * s}`;
	});
	return /* @__PURE__ */ h("g", null, /* @__PURE__ */ h("path", {
		class: "line",
		d: rays.join("")
	}), /* @__PURE__ */ h("circle", {
		class: "mark",
		cx: x,
		cy: y,
		r: 5.5
	}), /* @__PURE__ */ h("title", null, lamp.name));
}
/** Where the sun stands: an arrow along its light, at the plan's edge. */
function Sun({ bearing, box, onPull }) {
	const turned = arrows((x, y) => lit(bearing + 5 * (x - y), say));
	const turn = bearing * Math.PI / 180;
	const [x, y] = [box.width / 2 + (box.width / 2 - 30) * Math.sin(turn), box.height / 2 - (box.height / 2 - 22) * Math.cos(turn)];
	return /* @__PURE__ */ h("g", {
		class: "pulled",
		role: "slider",
		tabindex: 0,
		"aria-label": "Bearing of the sun, degrees: arrows turn it",
		"aria-valuenow": Math.round(bearing),
		onPointerDown: onPull,
		onKeyDown: turned
	}, /* @__PURE__ */ h("circle", {
		class: "mark",
		cx: x,
		cy: y,
		r: 8
	}), /* @__PURE__ */ h("path", {
		class: "bold",
		d: `M${x - 11 * Math.sin(turn)} ${y + 11 * Math.cos(turn)}l${-16 * Math.sin(turn)} ${16 * Math.cos(turn)}`
	}), /* @__PURE__ */ h("title", null, "The sun: pull it round"));
}
const over = (isDropped) => isDropped ? keep() : letGo();
/** Tells where the sun stands now, as bright and as high as it was. */
function lit(bearing, tell) {
	const sun = sheet.value?.reading?.sun;
	if (!sun || sun.light.cct_k === null) return;
	tell("read", "--sun", `${bearing.toFixed(1)},${sun.height_deg},${sun.light.strength}@${sun.light.cct_k}K`);
}
/** Pulls the sun round. */
function follow(e, { box }) {
	const frame = e.currentTarget.closest("svg")?.getBoundingClientRect();
	if (!frame) return;
	const [x, y] = [e.clientX - frame.left - box.width / 2, e.clientY - frame.top - box.height / 2];
	const moved = (across, down) => {
		const bearing = Math.atan2((x + across) / box.width, -(y + down) / box.height) * 180 / Math.PI;
		lit(bearing, trySaying);
	};
	pull(e, moved, over);
}
/** Focuses the lens. */
export function focused(at) {
	void say("read", "--focus", `${Math.max(.1, at).toFixed(3)}m`);
}
/** Moves a lamp by so much to the right, up and away. */
export function shifted(lamp, by) {
	const told = sheet.value?.lamps.find((l) => l.lamp === lamp);
	if (told) void say("light", "change", `#${lamp}`, "--at", told.at_m.map((v, i) => (v + (by[i] ?? 0)).toFixed(3)).join(","));
}
/** Pulls what the lens is focused at. */
function focus(e, at, props) {
	const s = scales(props);
	pull(e, (_, down) => trySaying("read", "--focus", `${s.away(s.y(at) + down).toFixed(3)}m`), over);
}
/** Moves a lamp along the ground. */
function shine(e, lamp, props) {
	const s = scales(props);
	const told = sheet.value?.lamps.find((l) => l.lamp === lamp.lamp);
	if (!told) return;
	const moved = (across, down) => {
		const x = told.at_m[0] + s.metres(s.x(lamp.at_m[0]) + across) - lamp.at_m[0];
		const z = told.at_m[2] + s.away(s.y(lamp.at_m[2]) + down) - lamp.at_m[2];
		trySaying("light", "change", `#${lamp.lamp}`, "--at", `${x.toFixed(3)},${told.at_m[1]},${z.toFixed(3)}`);
	};
	pull(e, moved, over);
}
/** Drags a mark along the ground. */
function begin(e, stand, props) {
	if (laying.value || isAsked(stand.piece)) return;
	if (e.shiftKey || !chosen.value.includes(stand.piece)) choose(stand.piece, e.shiftKey);
	if (stand.is_attached) return;
	const s = scales(props);
	const [x, y] = [s.x(stand.at_m[0]), s.y(stand.at_m[2])];
	const others = chosen.value.filter((p) => p !== stand.piece);
	const moved = (across, down) => {
		const [x_m, z_m] = [s.metres(x + across), s.away(y + down)];
		if (others.length === 0) tryOut({
			deed: "move",
			piece: stand.piece,
			to: {
				on: "ground",
				x_m,
				z_m,
				lift_m: null
			}
		});
		else trySaying("place", "move", [stand.piece, ...others].map((p) => `#${p}`).join(","), "--by", `${x_m - stand.at_m[0]},${z_m - stand.at_m[2]}`);
	};
	pull(e, moved, over);
}
