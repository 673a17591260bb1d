// A hand, a pen or a finger that takes hold of something on the sheet and moves it.
/** Movement, in CSS pixels, that is meant. */
const MEANT = 3;
/** How much slower a fine pull goes. */
const FINE = .1;
/**
* Follows a pointer from where it went down. `moved` is told by how far it went, across and down; with Shift held it goes finely. `over`
* is told whether it was let go of, or taken away; it is not told of a mere click.
*/
export function pull(e, moved, over) {
	const held = e.currentTarget;
	held.setPointerCapture(e.pointerId);
	let isMeant = false;
	const follow = (p) => {
		const at = p;
		const [x, y] = [at.clientX - e.clientX, at.clientY - e.clientY];
		isMeant ||= Math.hypot(x, y) > MEANT;
		const slow = at.shiftKey ? FINE : 1;
		if (isMeant) moved(x * slow, y * slow);
	};
	const end = (p) => {
		held.removeEventListener("pointermove", follow);
		held.removeEventListener("pointerup", end);
		held.removeEventListener("pointercancel", end);
		if (isMeant) over(p.type === "pointerup");
	};
	held.addEventListener("pointermove", follow);
	held.addEventListener("pointerup", end);
	held.addEventListener("pointercancel", end);
}
