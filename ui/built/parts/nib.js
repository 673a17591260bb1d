// A nib that is moved by keys: arrows move it, Space sets it down and takes it up.
import { useState } from "../../vendor/hooks.js";
import { arrows } from "./arrows.js";
/** CSS pixels of a step. */
const STEP = 10;
/** Where the nib is, once keys have moved it, and what sees to the keys. */
export function useNibByKeys({ isHeld, seen, frame, drawn, draw, over }) {
	const [nibAt, point] = useState(null);
	const keys = (e) => {
		if (!isHeld) return;
		const here = nibAt ?? [(frame.width / 2 + seen.x) / seen.scale, (frame.height / 2 + seen.y) / seen.scale];
		if (e.key === " ") {
			e.preventDefault();
			e.stopPropagation();
			point(here);
			if (drawn.length === 0) draw([[...here, 1]]);
			else over(drawn);
			return;
		}
		arrows((x, y) => {
			const to = [here[0] + x * STEP / seen.scale, here[1] + y * STEP / seen.scale];
			point(to);
			if (drawn.length > 0) draw([...drawn, [...to, 1]]);
		})(e);
	};
	return {
		nibAt: isHeld ? nibAt : null,
		keys
	};
}
