// The sheet of the stage: the picture, the plan under it, the section beside it, the line-up and the mark card.
import { Fragment, h } from "../../vendor/preact.js";
import { layGlass } from "../draw/loupe.js";
import { nearer } from "../draw/lens.js";
import { LineUp } from "../draw/lineup.js";
import { at, depths } from "../draw/places.js";
import { Plan } from "../draw/plan.js";
import { Section } from "../draw/section.js";
import { Threads } from "../draw/threads.js";
import { MarkCard } from "../parts/card.js";
import { DressCard } from "./dressing.js";
import { choose as chooseFiles, take } from "../parts/drop.js";
import { choose, dressed, first, views as shown, zoom } from "../store/view.js";
import { Outline } from "./cutouts.js";
export function Staging({ picture, places }) {
	const views = shown.value;
	if (!views) return /* @__PURE__ */ h("p", { class: "lost" }, "The stage's camera cannot be: say on the backdrop's sheet how it stands.");
	const subject = picture.pieces.find((p) => p.is_subject)?.piece ?? null;
	// What the views share is told by where the picture's subject stands at rest, whatever is chosen or moved: the rules lie still.
	const stands = picture.projection?.pieces ?? [];
	const focus = views.sharp.at_m ?? 5;
	const near = stands.find((p) => p.piece === subject) ?? [...stands].sort((a, b) => Math.abs(a.depth_m - focus) - Math.abs(b.depth_m - focus))[0];
	const level = near?.depth_m ?? focus;
	const d = depths(stands);
	const metre = views.focal_px * places.scale / level;
	// Where nothing stands yet, the lens is level with the horizon.
	const horizon = views.horizon_px ? (views.horizon_px[0] + views.horizon_px[1]) / 2 * places.scale : 0;
	const foot = near ? near.foot_px[1] * places.scale + near.at_m[1] * metre : horizon + views.camera_height_m * metre;
	return /* @__PURE__ */ h(Fragment, null, picture.pieces.length === 0 && /* @__PURE__ */ h(Empty, {
		picture,
		places
	}), /* @__PURE__ */ h(Scales, {
		places,
		views
	}), /* @__PURE__ */ h(Plan, {
		box: places.plan,
		scale: places.scale,
		views,
		level,
		depths: d,
		subject
	}), /* @__PURE__ */ h(Section, {
		box: places.section,
		scale: places.scale,
		views,
		level,
		foot,
		depths: d
	}), /* @__PURE__ */ h(LineUp, {
		box: places.lineUp,
		views,
		depths: d,
		cards: picture.pieces
	}), !zoom.value && /* @__PURE__ */ h(Threads, {
		places,
		views,
		level,
		foot,
		depths: d
	}), /* @__PURE__ */ h(Snags, {
		box: places.snags,
		picture
	}), dressed.value ? /* @__PURE__ */ h(DressCard, {
		box: places.card,
		picture
	}) : /* @__PURE__ */ h(MarkCard, { box: places.card }));
}
/** What gives the picture away, by the numbers of the flags; a click chooses the piece. */
function Snags({ box, picture }) {
	const given = picture.pieces.filter((p) => p.snags.length > 0);
	if (given.length === 0) return null;
	return /* @__PURE__ */ h("section", {
		class: "snags",
		"aria-label": "Snags",
		style: at(box)
	}, /* @__PURE__ */ h("h2", null, "Snags"), /* @__PURE__ */ h("ol", null, given.map((p) => /* @__PURE__ */ h("li", { key: p.piece }, /* @__PURE__ */ h("button", {
		class: p.piece === first.value ? "word chosen" : "word",
		onClick: () => choose(p.piece)
	}, p.name), " ", p.snags.map((s) => s.what).join("; ")))));
}
/** Nothing stands there yet: a dotted figure on a mark, and what to do next. */
function Empty({ picture, places }) {
	const { x, y, width, height } = places.picture;
	const foot = [width / 2 / places.scale, height * .8 / places.scale];
	const says = picture.reading?.backdrop ? "Stand a piece here: drop a shot" : "Lay a photograph here: everything will stand in it";
	return /* @__PURE__ */ h("button", {
		class: "first",
		style: at({
			x: x + width / 2 - 130,
			y: y + height * .3,
			width: 260,
			height: height * .62
		}),
		onClick: () => chooseFiles((files) => void take(files, foot))
	}, /* @__PURE__ */ h(Outline, null), /* @__PURE__ */ h("span", null, says));
}
/** How near the lens is, in words, and a counting glass to be laid down. */
function Scales({ places, views }) {
	const { x, y, width, height } = places.picture;
	const shape = {
		width: views.width_px,
		height: views.height_px
	};
	const whole = Math.min(width / shape.width, height / shape.height);
	const toPixel = () => {
		zoom.value = null;
		nearer(places.picture, shape, 1 / devicePixelRatio / whole);
	};
	return /* @__PURE__ */ h("p", {
		class: "scales",
		style: at({
			x: x + width - 360,
			y: y + height + 6,
			width: 360,
			height: 20
		})
	}, /* @__PURE__ */ h("button", {
		class: zoom.value ? "word" : "word chosen",
		"aria-pressed": !zoom.value,
		onClick: () => zoom.value = null,
		"aria-keyshortcuts": "Home"
	}, "whole"), /* @__PURE__ */ h("button", {
		class: "word",
		onClick: toPixel,
		"aria-keyshortcuts": "x"
	}, "pixel for pixel"), /* @__PURE__ */ h("button", {
		class: "word",
		onClick: () => layGlass(zoom.value?.at ?? [shape.width / 2, shape.height / 2], x + width / 2, y + height / 3),
		"aria-keyshortcuts": "g"
	}, "lay a counting glass"));
}
