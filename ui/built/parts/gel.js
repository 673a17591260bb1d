// A colour as a gel of it looks. Pulled across it turns through the hues, pulled up it deepens; how much light it lets through stays.
import { h } from "../../vendor/preact.js";
import { arrows } from "./arrows.js";
import { useMeant } from "./meant.js";
import { pull } from "./pull.js";
/** How far apart the densities of a gel lie at most: one that lets a third of a colour through, of another all. Own choice. */
const DEEPEST = .5;
/** Least light of a channel: below it a density has no meaning. */
const LEAST = 1e-4;
/** What a colour is dyed with. */
function dyed(rgb) {
	const [r, g, b] = rgb.map((v) => Math.log10(Math.max(v, LEAST)));
	const [x, y] = [(2 * r - g - b) / Math.sqrt(6), (g - b) / Math.sqrt(2)];
	return {
		hue: Math.atan2(y, x) * 180 / Math.PI,
		depth: Math.hypot(x, y),
		mean: (r + g + b) / 3
	};
}
/** The colour of a gel. */
function coloured({ hue, depth, mean }) {
	const [x, y] = [depth * Math.cos(hue * Math.PI / 180), depth * Math.sin(hue * Math.PI / 180)];
	const [a, b] = [x / Math.sqrt(6), y / Math.sqrt(2)];
	return [
		2 * a,
		b - a,
		-a - b
	].map((v) => Math.pow(10, mean + v));
}
/** The screen's colour spaces with the picture's primaries, and what their codes are raised to. */
const SPACES = {
	srgb: ["srgb", 2.2],
	p3: ["display-p3", 2.2],
	rec2020: ["rec2020", 2.22],
	romm: ["prophoto-rgb", 1.8]
};
/** How it looks, its brightest channel full. */
function looks(rgb, primaries) {
	const most = Math.max(LEAST, ...rgb);
	const [space, power] = SPACES[primaries] ?? ["srgb", 2.2];
	return `color(${space} ${rgb.map((v) => Math.pow(Math.max(0, v) / most, 1 / power).toFixed(4)).join(" ")})`;
}
export function Gel({ name, rgb, primaries, onTry, onKeep, onLeave }) {
	const was = dyed(rgb);
	const meant = useMeant();
	const turned = (from, across, up) => ({
		...from,
		hue: from.hue + across,
		depth: Math.min(DEEPEST, Math.max(0, from.depth + up / 200))
	});
	return /* @__PURE__ */ h("span", {
		class: "gel pulled",
		role: "slider",
		tabIndex: 0,
		"aria-label": `${name}: left and right turn its hue, up and down its depth`,
		"aria-valuenow": Math.round((was.hue + 360) % 360),
		"aria-valuetext": `hue ${Math.round((was.hue + 360) % 360)}°, depth ${was.depth.toFixed(2)}`,
		title: "Pull it across to turn its hue, up to deepen it",
		style: { background: looks(rgb, primaries) },
		onPointerDown: (e) => {
			let last = rgb;
			const moved = (across, down) => onTry(last = coloured(turned(was, across, -down)));
			pull(e, moved, (isDropped) => isDropped ? onKeep(last) : onLeave());
		},
		onKeyDown: arrows((across, down) => onKeep(coloured(meant(was, (from) => turned(from, across * 10, -down * 10)))))
	});
}
