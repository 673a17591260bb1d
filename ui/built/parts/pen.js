/** Follows a pen from where it went down. `place` says which place lies under it; `drawn` is told the path so far, `over` the whole, or none where it was taken away. */
export function trace(e, place, drawn, over) {
	const held = e.currentTarget;
	held.setPointerCapture(e.pointerId);
	const dot = (p) => [...place(p), p.pointerType === "pen" ? Math.max(.05, p.pressure) : 1];
	let path = [dot(e)];
	drawn(path);
	const moved = (p) => {
		// Between two frames a pen tells of several places.
		const all = p.getCoalescedEvents?.() ?? [];
		path = [...path, ...(all.length > 0 ? all : [p]).map(dot)];
		drawn(path);
	};
	const end = (p) => {
		held.removeEventListener("pointermove", moved);
		held.removeEventListener("pointerup", end);
		held.removeEventListener("pointercancel", end);
		over(p.type === "pointerup" ? path : null);
	};
	held.addEventListener("pointermove", moved);
	held.addEventListener("pointerup", end);
	held.addEventListener("pointercancel", end);
}
/** A stroke as the text of a strokes file over something of this size. */
export function written(size, stroke, path) {
	const round = (v) => Number(v.toFixed(2));
	const told = {
		...stroke,
		width: round(stroke.width),
		path: path.map((p) => p.map(round))
	};
	return JSON.stringify({
		setpiece_strokes: 1,
		size: [size.width, size.height],
		strokes: [told]
	});
}
