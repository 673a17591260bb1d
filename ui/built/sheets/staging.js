// The sheet of the stage: the picture, the plan under it, the section beside it, the card and the title block.
import { Fragment, h } from "../../vendor/preact.js";
import { useEffect } from "../../vendor/hooks.js";
import { Lens } from "../draw/lens.js";
import { depths, placed } from "../draw/places.js";
import { Plan } from "../draw/plan.js";
import { Section } from "../draw/section.js";
import { LineUp } from "../draw/lineup.js";
import { Threads } from "../draw/threads.js";
import { MarkCard } from "../parts/card.js";
import { TitleBlock } from "../parts/title.js";
import { carryOut, isOpen, letGo } from "../store/link.js";
import { sheet } from "../store/scene.js";
import { chosen, projection, room } from "../store/view.js";
// What signals change is drawn anew.
import "../../vendor/signals.js";
function keys(e) {
	if (e.target instanceof HTMLInputElement) return;
	if (e.key === "Escape") {
		letGo();
		chosen.value = null;
	}
	if ((e.ctrlKey || e.metaKey) && e.key.toLowerCase() === "z") {
		e.preventDefault();
		carryOut({
			deed: e.shiftKey ? "redo" : "undo",
			times: 1
		});
	}
	const pieces = sheet.value?.pieces ?? [];
	if (e.key === "n" || e.key === "p") {
		const at = pieces.findIndex((p) => p.piece === chosen.value);
		const next = pieces[(at + (e.key === "n" ? 1 : pieces.length - 1) + pieces.length) % pieces.length];
		chosen.value = next?.piece ?? null;
	}
	const step = e.shiftKey ? .01 : .1;
	const steps = {
		ArrowLeft: [-step, 0],
		ArrowRight: [step, 0],
		ArrowUp: [0, step],
		ArrowDown: [0, -step]
	};
	const by = steps[e.key];
	const piece = pieces.find((p) => p.piece === chosen.value);
	if (by && piece) {
		e.preventDefault();
		const to = {
			on: "ground",
			x_m: piece.x_m + by[0],
			z_m: piece.z_m + by[1],
			lift_m: null
		};
		carryOut({
			deed: "move",
			piece: piece.piece,
			to
		});
	}
}
export function Sheet() {
	useEffect(() => {
		addEventListener("keydown", keys);
		return () => removeEventListener("keydown", keys);
	}, []);
	const views = projection.value;
	const picture = sheet.value;
	if (!views || !picture) {
		return /* @__PURE__ */ h("p", { class: "lost" }, isOpen.value ? "The picture is being laid out" : "Waiting for the studio");
	}
	const places = placed(room.value, {
		width: views.width_px,
		height: views.height_px
	});
	const subject = picture.pieces.find((p) => p.is_subject)?.piece ?? null;
	const near = views.pieces.find((p) => p.piece === chosen.value) ?? views.pieces.find((p) => p.piece === subject) ?? views.pieces[0];
	const at = near?.depth_m ?? 5;
	const d = depths(views);
	const foot = near ? near.foot_px[1] * places.scale + near.at_m[1] * views.focal_px * places.scale / at : places.picture.height;
	const lifts = new Map(picture.pieces.map((p) => [p.piece, p.lift_m]));
	return /* @__PURE__ */ h(Fragment, null, /* @__PURE__ */ h("main", {
		id: "sheet",
		"aria-label": `${picture.name}: staging`
	}, /* @__PURE__ */ h(Lens, {
		box: places.picture,
		scale: places.scale,
		views
	}), /* @__PURE__ */ h(Plan, {
		box: places.plan,
		scale: places.scale,
		views,
		level: at,
		depths: d,
		subject
	}), /* @__PURE__ */ h(Section, {
		box: places.section,
		scale: places.scale,
		views,
		level: at,
		foot,
		depths: d,
		lifts
	}), /* @__PURE__ */ h(LineUp, {
		box: places.lineUp,
		views,
		depths: d,
		subject,
		names: picture.pieces
	}), chosen.value !== null && near && /* @__PURE__ */ h(Threads, {
		places,
		views,
		level: at,
		depths: d,
		stand: near
	}), /* @__PURE__ */ h(MarkCard, { box: places.card }), /* @__PURE__ */ h(TitleBlock, {
		box: places.title,
		picture
	}), !isOpen.value && /* @__PURE__ */ h("p", {
		class: "lost",
		role: "alert"
	}, "The studio does not answer. Nothing that was done is lost; it is tried again.")));
}
