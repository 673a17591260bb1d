// The one place that talks to the program.
import { batch, signal } from "../../vendor/signals.js";
import { dragged, sheet } from "./scene.js";
import { said } from "./view.js";
/** Whether the program answers. */
export const isOpen = signal(false);
let takes = () => {};
export function showOn(take) {
	takes = take;
}
let socket = null;
let number = 0;
const waiting = new Map();
let view = null;
function send(of, then) {
	if (!socket || socket.readyState !== WebSocket.OPEN) return;
	number += 1;
	if (then) waiting.set(number, then);
	socket.send(JSON.stringify({
		n: number,
		of
	}));
}
/** Opens the line, and opens it again whenever it breaks. */
export function open() {
	const line = new WebSocket(`ws://${location.host}/socket`);
	line.binaryType = "arraybuffer";
	socket = line;
	line.onopen = () => {
		isOpen.value = true;
		if (view) send({
			ask: "show",
			view
		});
	};
	line.onmessage = (event) => {
		if (typeof event.data === "string") told(JSON.parse(event.data));
		else shown(event.data);
	};
	line.onclose = () => {
		isOpen.value = false;
		waiting.clear();
		flying = false;
		setTimeout(open, 500);
	};
}
function told(tell) {
	if (tell.tell === "sheet") {
		batch(() => {
			sheet.value = tell;
			if (!held) dragged.value = null;
		});
		return;
	}
	if (tell.tell === "dragged") {
		if (held) dragged.value = {
			card: tell.card,
			projection: tell.projection
		};
		return;
	}
	if (tell.tell === "refused" && flying) {
		flying = false;
		fly();
	}
	if (tell.tell === "refused") said.value = `${tell.why.what}. ${tell.why.remedy}.`;
	if (tell.tell === "done") said.value = tell.says;
	const then = waiting.get(tell.n);
	waiting.delete(tell.n);
	then?.(tell);
}
function shown(bytes) {
	const length = new DataView(bytes).getUint32(0, true);
	const head = new TextDecoder().decode(new Uint8Array(bytes, 4, length));
	const screen = JSON.parse(head);
	takes({
		screen,
		codes: new Uint8ClampedArray(bytes, 4 + length)
	});
	if (screen.is_drag) {
		flying = false;
		fly();
	}
}
/** Asks for a part of the picture, now and whenever it changes. */
export function show(part) {
	view = part;
	send({
		ask: "show",
		view: part
	});
}
/** Which piece is seen there. */
export function pick(at, then) {
	send({
		ask: "pick",
		at_px: at
	}, (tell) => then(tell.tell === "picked" ? tell.piece : null));
}
/** Decides something. */
export function carryOut(deed, then) {
	send({
		ask: "do",
		deed
	}, (tell) => then?.(tell.tell === "done"));
}
// While a piece is dragged the newest place is sent, at most one in flight.
let held = null;
let flying = false;
let isNew = false;
function fly() {
	if (!held || flying || !isNew) return;
	isNew = false;
	flying = true;
	send({
		ask: "drag",
		piece: held.piece,
		to: held.to
	});
}
/** Shows a piece elsewhere. */
export function drag(piece, to) {
	held = {
		piece,
		to
	};
	isNew = true;
	fly();
}
/** Decides that it stands where it was dragged last. */
export function drop() {
	if (!held) return;
	const { piece, to } = held;
	held = null;
	flying = false;
	carryOut({
		deed: "move",
		piece,
		to
	}, (isDone) => {
		if (!isDone) letGo();
	});
}
/** Leaves it where it stood. */
export function letGo() {
	held = null;
	flying = false;
	dragged.value = null;
	send({ ask: "let_go" });
}
