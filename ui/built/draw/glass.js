// What is seen through a glass: a canvas that is kept at what the program shows.
import { useEffect, useRef } from "../../vendor/hooks.js";
import { look, lookAway } from "../store/link.js";
import { isWide, room } from "../store/view.js";
/** The colours that the canvas has. */
const colours = isWide ? "display-p3" : "srgb";
/** What of a thing of some shape is seen in a frame: the whole, or nearer around a place. */
export function part(frame, shape, near) {
	const whole = Math.min(frame.width / shape.width, frame.height / shape.height);
	const scale = whole * Math.max(1, near?.factor ?? 1);
	const at = near?.at ?? [shape.width / 2, shape.height / 2];
	const corner = (middle, size, room) => {
		const most = size * scale - room;
		return most <= 0 ? most / 2 : Math.min(Math.max(middle * scale - room / 2, 0), most);
	};
	return {
		scale,
		x: corner(at[0], shape.width, frame.width),
		y: corner(at[1], shape.height, frame.height)
	};
}
/** Keeps a canvas at what the program shows of something. */
export function useGlass(glass, of, seen, width, height) {
	const ref = useRef(null);
	const last = useRef(null);
	const taking = useRef(null);
	const dense = room.value.dense;
	const key = of ? JSON.stringify(of) : "";
	useEffect(() => {
		const canvas = ref.current;
		const pen = canvas?.getContext("2d", {
			alpha: false,
			colorSpace: colours
		});
		if (!canvas || !pen || !of) return;
		const [w, t] = [Math.round(width * dense), Math.round(height * dense)];
		const now = {
			scale: seen.scale * dense,
			x: Math.round(seen.x * dense),
			y: Math.round(seen.y * dense)
		};
		carry(canvas, pen, last.current, now, w, t);
		last.current = now;
		const between = document.createElement("canvas");
		const take = ({ screen, codes }) => {
			if (Math.abs(screen.scale - now.scale) > 1e-9) return;
			const [x0, y0, x1, y1] = screen.part;
			const [across, down] = screen.size;
			const image = new ImageData(codes, across, down, { colorSpace: screen.coarse === 0 ? "srgb" : colours });
			if (screen.coarse === 1) {
				pen.putImageData(image, x0 - now.x, y0 - now.y);
				canvas.dataset.drawn = "sharp";
				return;
			}
			between.width = across;
			between.height = down;
			between.getContext("2d", { colorSpace: colours })?.putImageData(image, 0, 0);
			pen.drawImage(between, x0 - now.x, y0 - now.y, x1 - x0, y1 - y0);
			canvas.dataset.drawn = screen.is_tried ? "tried" : screen.coarse === 0 ? "sketch" : "coarse";
		};
		taking.current = take;
		look(glass, {
			of,
			is_wide: isWide,
			scale: now.scale,
			part: [
				now.x,
				now.y,
				now.x + w,
				now.y + t
			]
		}, take);
	}, [
		glass,
		key,
		seen.scale,
		seen.x,
		seen.y,
		width,
		height,
		dense
	]);
	useEffect(() => () => {
		if (taking.current) lookAway(glass, taking.current);
	}, [glass]);
	return ref;
}
/** Until the new part is drawn, the old one stands where it belongs. */
function carry(canvas, pen, was, now, width, height) {
	const old = was && canvas.width > 0 ? document.createElement("canvas") : null;
	if (old) {
		old.width = canvas.width;
		old.height = canvas.height;
		old.getContext("2d", { colorSpace: colours })?.drawImage(canvas, 0, 0);
	}
	if (canvas.width !== width || canvas.height !== height) {
		canvas.width = width;
		canvas.height = height;
	}
	pen.fillStyle = getComputedStyle(canvas).backgroundColor;
	pen.fillRect(0, 0, width, height);
	if (!old || !was) return;
	const grown = now.scale / was.scale;
	pen.drawImage(old, was.x * grown - now.x, was.y * grown - now.y, old.width * grown, old.height * grown);
}
