// The picture through the lens, and what is drawn over it.
import { h } from "../../vendor/preact.js";
import { useEffect, useRef } from "../../vendor/hooks.js";
import { drag, drop, letGo, pick, show, showOn } from "../store/link.js";
import { pull } from "../parts/pull.js";
import { chosen } from "../store/view.js";
import { at, figure } from "./places.js";
/** Keeps a canvas at what the program shows of the picture. */
function useScreens(width, height, scale) {
	const ref = useRef(null);
	useEffect(() => {
		const canvas = ref.current;
		const pen = canvas?.getContext("2d", { alpha: false });
		if (!canvas || !pen) return;
		const dense = devicePixelRatio;
		canvas.width = Math.round(width * dense);
		canvas.height = Math.round(height * dense);
		const view = {
			scale: scale * dense,
			part: [
				0,
				0,
				canvas.width,
				canvas.height
			]
		};
		const between = document.createElement("canvas");
		showOn(({ screen, codes }) => {
			if (Math.abs(screen.scale - view.scale) > 1e-9) return;
			const [x0, y0, x1, y1] = screen.part;
			const [w, t] = [(x1 - x0) / screen.coarse, (y1 - y0) / screen.coarse];
			const image = new ImageData(codes, w, t);
			if (screen.coarse === 1) {
				pen.putImageData(image, x0, y0);
				return;
			}
			between.width = w;
			between.height = t;
			between.getContext("2d")?.putImageData(image, 0, 0);
			pen.drawImage(between, x0, y0, x1 - x0, y1 - y0);
		});
		show(view);
	}, [
		width,
		height,
		scale
	]);
	return ref;
}
export function Lens({ box, scale, views }) {
	const canvas = useScreens(box.width, box.height, scale);
	const stand = views.pieces.find((p) => p.piece === chosen.value) ?? null;
	return /* @__PURE__ */ h("div", {
		class: "frame",
		role: "application",
		"aria-label": "The picture: click a piece to choose it, drag it along the ground",
		tabIndex: 0,
		style: at(box),
		onPointerDown: (e) => begin(e, scale, views)
	}, /* @__PURE__ */ h("canvas", { ref: canvas }), /* @__PURE__ */ h("svg", {
		width: box.width,
		height: box.height,
		"aria-hidden": "true"
	}, /* @__PURE__ */ h(Horizon, {
		box,
		scale,
		views
	}), stand && /* @__PURE__ */ h(Spike, {
		stand,
		scale
	})));
}
/** Takes hold of whatever is seen there, and drags it along the ground. */
function begin(e, scale, views) {
	const box = e.currentTarget.getBoundingClientRect();
	let held = null;
	let far = null;
	let isOver = false;
	const go = () => {
		if (!held || !far) return;
		const foot = [held.foot_px[0] + far[0] / scale, held.foot_px[1] + far[1] / scale];
		drag(held.piece, {
			on: "picture",
			foot_px: foot
		});
	};
	pick([(e.clientX - box.left) / scale, (e.clientY - box.top) / scale], (piece) => {
		chosen.value = piece;
		held = isOver ? null : views.pieces.find((p) => p.piece === piece) ?? null;
		go();
	});
	const moved = (across, down) => {
		far = [across, down];
		go();
	};
	pull(e, moved, (isDropped) => {
		isOver = true;
		if (!held) return;
		if (isDropped) drop();
		else letGo();
	});
}
function Horizon({ box, scale, views }) {
	const rows = views.horizon_px;
	const left = rows ? rows[0] * scale : -1;
	const isSeen = left >= 0 && left <= box.height;
	return /* @__PURE__ */ h("g", null, isSeen && /* @__PURE__ */ h("g", null, /* @__PURE__ */ h("path", {
		class: "line",
		d: `M-34 ${left}H10`
	}), /* @__PURE__ */ h("text", {
		class: "soft",
		x: -40,
		y: left - 6,
		"text-anchor": "start"
	}, "horizon")), views.ticks.map((tick) => /* @__PURE__ */ h("g", { key: tick.z_m }, /* @__PURE__ */ h("path", {
		class: "line",
		d: `M${box.width} ${tick.row_px * scale}h8`
	}), /* @__PURE__ */ h("text", {
		x: box.width + 14,
		y: tick.row_px * scale + 4
	}, figure(tick.z_m, 1)))), /* @__PURE__ */ h("text", {
		class: "soft",
		x: box.width + 14,
		y: box.height + 14
	}, "m"));
}
/** The taped mark at a piece's foot, and its height with the figure. */
function Spike({ stand, scale }) {
	const [u, v] = [stand.foot_px[0] * scale, stand.foot_px[1] * scale];
	const [t, w] = [stand.top_px[0] * scale, stand.top_px[1] * scale];
	const tape = `M${u - 12} ${v}H${u + 12}M${u} ${v}v9`;
	const staff = `M${u + 18} ${v}L${t + 18} ${w}M${t + 13} ${w}h10`;
	return /* @__PURE__ */ h("g", null, /* @__PURE__ */ h("path", {
		class: "halo",
		d: tape + staff
	}), /* @__PURE__ */ h("path", {
		class: "spike",
		d: tape + staff
	}), /* @__PURE__ */ h("rect", {
		class: "note",
		x: t + 27,
		y: w - 8,
		width: 46,
		height: 17
	}), /* @__PURE__ */ h("text", {
		class: "chosen",
		x: t + 31,
		y: w + 5
	}, figure(stand.height_m), " m"));
}
