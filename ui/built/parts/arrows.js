// Arrow keys that move what has them.
const WAYS = {
	ArrowLeft: [-1, 0],
	ArrowRight: [1, 0],
	ArrowUp: [0, -1],
	ArrowDown: [0, 1]
};
/** Tells by how many steps arrow keys move something, across and down; a tenth of a step with Shift. */
export function arrows(moved) {
	return (e) => {
		const way = WAYS[e.key];
		if (!way || e.ctrlKey || e.metaKey) return;
		e.preventDefault();
		e.stopPropagation();
		const step = e.shiftKey ? .1 : 1;
		moved(way[0] * step, way[1] * step);
	};
}
