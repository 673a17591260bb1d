/** A box as a style. */
export function at(box) {
	return {
		left: `${box.x}px`,
		top: `${box.y}px`,
		width: `${box.width}px`,
		height: `${box.height}px`
	};
}
const LEFT = 72;
const TOP = 46;
const BETWEEN = 76;
const EDGE = 36;
const TITLE = 98;
const SHELF = 84;
/** Least width of the mark card. */
const CARD = 364;
/** Lays the sheet out for a window and a picture of some shape. */
export function placed(room, shape) {
	const least = Math.min(Math.max(400, room.width * .3), 620);
	// An upright picture needs the height more than the plan does.
	const under = shape.height > shape.width ? Math.max(240, room.height * .3) : Math.max(290, room.height * .37);
	const most = {
		width: room.width - LEFT - BETWEEN - least - EDGE,
		height: room.height - TOP - under - EDGE
	};
	const fits = Math.max(.001, Math.min(most.width / shape.width, most.height / shape.height));
	// In whole pixels of the screen.
	const across = Math.max(1, Math.floor(shape.width * fits * room.dense));
	const width = across / room.dense;
	const scale = width / shape.width;
	const height = Math.max(1, Math.round(shape.height * across / shape.width)) / room.dense;
	const picture = {
		x: LEFT,
		y: TOP,
		width,
		height
	};
	// Whatever the picture leaves free goes to the column beside it.
	const right = LEFT + width + BETWEEN;
	const column = {
		x: right,
		width: room.width - EDGE - right
	};
	const planTop = TOP + height + 44;
	const lineUp = {
		x: LEFT,
		y: room.height - EDGE - 62,
		width,
		height: 62
	};
	const plan = {
		x: LEFT,
		y: planTop,
		width,
		height: Math.max(60, lineUp.y - 34 - planTop)
	};
	const title = {
		...column,
		y: room.height - EDGE - TITLE,
		height: TITLE
	};
	const sectionFoot = TOP + height + 26;
	const top = sectionFoot + 10;
	// The card beside the section, as it needs all the height there is.
	const card = {
		x: column.x + column.width - Math.max(CARD, column.width * .55),
		width: Math.max(CARD, column.width * .55),
		y: TOP,
		height: title.y - 12 - TOP
	};
	const section = {
		...column,
		width: card.x - 24 - column.x,
		y: TOP,
		height: top - 10 - TOP
	};
	const snags = {
		...section,
		y: top,
		height: title.y - 12 - top
	};
	const below = {
		x: LEFT,
		y: planTop,
		width,
		height: room.height - EDGE - planTop
	};
	const beside = {
		...column,
		y: TOP,
		height: title.y - 12 - TOP
	};
	const aside = {
		x: room.width - EDGE - least,
		y: TOP,
		width: least,
		height: title.y - 12 - TOP
	};
	const facing = {
		x: LEFT,
		y: TOP,
		width: aside.x - 40 - LEFT,
		height: title.y - 12 - TOP
	};
	const shelf = {
		x: LEFT,
		y: room.height - EDGE - SHELF,
		width,
		height: SHELF
	};
	const large = {
		x: LEFT,
		y: TOP,
		width,
		height: shelf.y - 40 - TOP
	};
	const margin = {
		x: LEFT,
		y: room.height - EDGE + 4,
		width: room.width - LEFT - EDGE,
		height: 30
	};
	return {
		picture,
		plan,
		section,
		snags,
		lineUp,
		card,
		title,
		below,
		beside,
		facing,
		aside,
		large,
		shelf,
		margin,
		scale
	};
}
/** The largest box of a shape in another, at its top left. */
export function fitted(box, shape) {
	const scale = Math.min(box.width / shape.width, box.height / shape.height);
	return {
		x: box.x,
		y: box.y,
		width: Math.round(shape.width * scale),
		height: Math.round(shape.height * scale)
	};
}
export function depths(stands) {
	const all = stands.map((p) => p.depth_m);
	const near = Math.min(1, ...all.map((d) => d * .8));
	const far = Math.max(12, ...all.map((d) => d * 1.25));
	return {
		near: Math.max(.2, near),
		far: Math.min(far, 400)
	};
}
/** 0 at the nearest distance that is drawn, 1 at the farthest. */
export function along(d, metres) {
	return Math.log(Math.max(metres, .001) / d.near) / Math.log(d.far / d.near);
}
/** Back from that. */
export function distance(d, share) {
	return d.near * Math.pow(d.far / d.near, share);
}
/** Distances that are written at the rules, of few figures and not too close. */
export function ruled(d, apart) {
	const out = [];
	let last = -1;
	for (const ten of [
		.1,
		1,
		10,
		100
	]) {
		for (const step of [
			1,
			1.5,
			2,
			3,
			4,
			5,
			6,
			8
		]) {
			const metres = ten * step;
			const at = along(d, metres);
			if (at < 0 || at > 1 || at - last < apart) continue;
			out.push(Math.round(metres * 10) / 10);
			last = at;
		}
	}
	return out;
}
/** A figure as it is written: no more digits than it means. */
export function figure(v, digits = 2) {
	return Number(v.toFixed(digits)).toString().replace("-", "−");
}
