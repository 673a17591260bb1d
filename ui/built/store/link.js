// The one place that talks to the program.
import { batch, signal } from "../../vendor/signals.js";
import { rack, sheet, tried } from "./scene.js";
import { kept } from "./kept.js";
import { busy, going, said, top } from "./view.js";
/** Whether the program answers. */
export const isOpen = signal(false);
// What is asked again when somebody answers.
let unanswered = [];
let socket = null;
let number = 0;
const waiting = new Map();
const glasses = new Map();
const UNANSWERED = "Not done: the studio does not answer. Do it once more when it does.";
/** What is told of what was asked and not answered. */
const BROKEN_OFF = "The studio stopped before it answered: what the sheet does not show was not done. Do it once more.";
/** What is told where nobody answers. */
const UNHEARD = {
	tell: "refused",
	n: 0,
	why: {
		what: "the studio does not answer",
		place: "",
		remedy: "it is tried again"
	}
};
function send(of, then) {
	if (!socket || socket.readyState !== WebSocket.OPEN) {
		if (then) {
			said.value = UNANSWERED;
			then(UNHEARD);
		}
		return;
	}
	number += 1;
	if (then) waiting.set(number, then);
	socket.send(JSON.stringify({
		n: number,
		of
	}));
}
// The picture of the rack that this window opened: laid out again when the studio comes back.
let opened = null;
let isBack = false;
/** Opens the line, and opens it again whenever it breaks. */
export function open() {
	const line = new WebSocket(`ws://${location.host}/socket`);
	line.binaryType = "arraybuffer";
	socket = line;
	line.onopen = () => {
		isOpen.value = true;
		if (said.value === UNANSWERED) said.value = "";
		if (top.value !== null) send({
			ask: "leaf",
			take: top.value
		});
		for (const [glass, { view }] of glasses) send({
			ask: "show",
			glass,
			view
		});
		const again = unanswered;
		unanswered = [];
		again.forEach((ask) => ask());
	};
	line.onmessage = (event) => {
		if (typeof event.data === "string") told(JSON.parse(event.data));
		else shown(event.data);
	};
	line.onclose = () => {
		isOpen.value = false;
		isBack = true;
		going.value = null;
		const unheard = [...waiting.values()];
		waiting.clear();
		unheard.forEach((then) => then(UNHEARD));
		isFlying = false;
		// One that is let in by another key is let in anew only by the address that the studio prints.
		setTimeout(open, 500);
	};
}
function told(tell) {
	if (tell.tell === "sheet") {
		batch(() => {
			rack.value = null;
			isBack = false;
			sheet.value = kept(sheet.value, tell);
			top.value = tell.take;
			if (!held) tried.value = null;
		});
		// What is in the hand is tried on the picture as it is now.
		if (held) tryOut(held);
		return;
	}
	if (tell.tell === "rack") {
		batch(() => {
			sheet.value = null;
			rack.value = tell.pictures;
			top.value = null;
			said.value = "";
		});
		if (isBack && opened !== null) void openPicture(opened);
		isBack = false;
		return;
	}
	if (tell.tell === "going") {
		going.value = {
			n: tell.n,
			share: tell.share
		};
		return;
	}
	if (tell.tell === "tried") {
		const at = sheet.value;
		// Where it could not be, nothing is told of it.
		if (held && at && tell.projection) {
			tried.value = {
				cards: kept(at.pieces, tell.cards),
				projection: kept(at.projection, tell.projection),
				toning: kept(at.toning, tell.toning),
				dressings: kept(at.dressings, tell.dressings)
			};
		}
		if (tell.is_seen) landed();
		return;
	}
	if (tell.tell === "refused") {
		if (isFlying) landed();
		if (!putOff.has(tell.n)) said.value = tell.n === 0 || !held ? `${tell.why.what}. ${tell.why.remedy}.` : said.value;
	}
	if (tell.tell === "done") said.value = [tell.says, ...tell.notes].filter((s) => s).join(". ");
	const then = waiting.get(tell.n);
	waiting.delete(tell.n);
	if (going.value?.n === tell.n) going.value = null;
	then?.(tell);
}
function shown(bytes) {
	const length = new DataView(bytes).getUint32(0, true);
	const head = new TextDecoder().decode(new Uint8Array(bytes, 4, length));
	const screen = JSON.parse(head);
	if (screen.coarse !== 0 && sketched.has(screen.glass)) return;
	glasses.get(screen.glass)?.take({
		screen,
		codes: new Uint8ClampedArray(bytes, 4 + length)
	});
}
/** Asks for what is seen through a glass, now and whenever it changes. */
export function look(glass, view, take) {
	glasses.set(glass, {
		view,
		take
	});
	send({
		ask: "show",
		glass,
		view
	});
}
// Glasses that show a sketch until what it is of is cut.
const sketched = new Set();
/** Shows what strokes will do to a cut-out, or makes ready for that; whether they could be drawn. */
export function sketch(glass, cutout, on, strokes) {
	if (strokes) sketched.add(glass);
	send({
		ask: "sketch",
		glass,
		cutout,
		on,
		strokes
	});
}
/** Shows what is cut again. */
export function unsketch(glass) {
	const shown = glasses.get(glass);
	if (sketched.delete(glass) && shown) send({
		ask: "show",
		glass,
		view: shown.view
	});
}
/** Takes a glass away, unless somebody else looks through it by now: a sheet that is turned up may look before the one that goes looks away. */
export function lookAway(glass, take) {
	if (glasses.get(glass)?.take !== take) return;
	sketched.delete(glass);
	glasses.delete(glass);
	send({
		ask: "show",
		glass,
		view: null
	});
}
/** Which piece is seen there; where nobody answers, it is told when somebody does. */
export function pick(at, then) {
	send({
		ask: "pick",
		at_px: at
	}, (tell) => {
		if (tell.tell === "picked") then(tell.piece);
		else if (tell === UNHEARD) unanswered.push(() => pick(at, then));
	});
}
/** Which place of the ground is seen there. */
export function ground(at) {
	return new Promise((then) => {
		send({
			ask: "ground",
			at_px: at
		}, (tell) => then(tell.tell === "ground" ? tell.at_m : null));
	});
}
/** How much of the picture lies at each step of the wedge. */
export function wedge() {
	return new Promise((then) => send({ ask: "wedge" }, (tell) => then(tell.tell === "wedge" ? tell.shares : [])));
}
/** The stretches of a piece's edge that can be seen, most first. */
export function edge(piece) {
	return new Promise((then) => send({
		ask: "edge",
		piece
	}, (tell) => then(tell.tell === "edge" ? tell.stretches : [])));
}
/** What is doubtful of a cut-out that was found by its paper. */
export function doubts(cutout) {
	return new Promise((then) => send({
		ask: "doubts",
		cutout
	}, (tell) => then(tell.tell === "doubts" ? tell.doubts : [])));
}
/** Decides something; whether it was done. */
export function decide(deed) {
	work(1);
	return new Promise((then) => {
		send({
			ask: "do",
			deed
		}, (tell) => {
			work(-1);
			if (tell === UNHEARD && said.value !== UNANSWERED) said.value = BROKEN_OFF;
			then(tell.tell === "done");
		});
	});
}
let working = 0;
/** Counts what is being carried out; since when is told to the artist. */
function work(by) {
	working += by;
	if (working === 0) busy.value = null;
	else busy.value ??= Date.now();
}
/** Says words of the command line. */
export function say(...words) {
	return decide({
		deed: "say",
		words
	});
}
// Messages by which shots are being cut anew, whether by strokes, and those of them that a hand put off.
const cutting = new Map();
const putOff = new Set();
/** Cuts a shot anew, by the strokes it has or at its finest; none where a hand put that off. */
export async function cutAnew(cutout, isByStrokes) {
	said.value = "It is being cut …";
	const isCut = say("touch-up", "again", `#${cutout}`, ...isByStrokes ? ["--quick"] : []);
	const n = number;
	cutting.set(n, isByStrokes);
	const done = await isCut;
	cutting.delete(n);
	return putOff.delete(n) && !done ? null : done;
}
/** Puts off what is being cut anew: it would be out of date, and be in the hand's way. */
export function putOffCuts() {
	for (const only of cutting.keys()) {
		if (putOff.has(only)) continue;
		putOff.add(only);
		send({
			ask: "call_off",
			only
		});
	}
}
/** Takes the last decisions back, or does them again. What is being cut is called off: by strokes, it is the last of them that goes. */
export function turn(way, times = 1) {
	const isAsked = [...cutting.values()].includes(false);
	putOffCuts();
	if (isAsked) said.value = "Called off.";
	else void say(way, String(times));
}
/** Lays another leaf on top. */
export function lay(take) {
	top.value = take;
	send({
		ask: "leaf",
		take
	});
}
/** Prints the leaf on top to a file. */
export function print(to, width, over) {
	return new Promise((then) => {
		send({
			ask: "print",
			to,
			width,
			over
		}, (tell) => then(tell.tell === "done"));
		going.value = {
			n: number,
			share: 0
		};
	});
}
const done = (of) => new Promise((then) => send(of, (tell) => then(tell.tell === "done")));
const remember = (folder) => (isDone) => {
	opened = isDone ? folder : null;
	return isDone;
};
/** Opens a picture of the rack. */
export function openPicture(folder) {
	return done({
		ask: "open",
		folder
	}).then(remember(folder));
}
/** Begins a picture in the rack. */
export function begin(folder, extent) {
	return done({
		ask: "begin",
		folder,
		extent
	}).then(remember(folder));
}
/** Lays the picture back into the rack. */
export function leave() {
	opened = null;
	send({ ask: "leave" });
}
/** Calls off what is being printed, and what is being cut. */
export function callOff() {
	send({
		ask: "call_off",
		only: null
	});
}
/** Hands a file in, so that words may name it; what the page made itself comes in unsaid. */
export async function handIn(file, isTold = true) {
	if (isTold) said.value = `${file.name} comes in`;
	const answer = await fetch(`/hand-in/${encodeURIComponent(file.name)}`, {
		method: "POST",
		body: file
	}).catch(() => null);
	if (answer?.ok) return await answer.json();
	said.value = answer ? (await answer.text()).trim() : `The ${isTold ? "file" : "stroke"} did not come in: the studio does not answer.`;
	return null;
}
// While something is tried the newest is sent, at most one in flight.
let held = null;
let isFlying = false;
let isNew = false;
function fly() {
	if (!held || isFlying || !isNew) return;
	isNew = false;
	isFlying = true;
	send({
		ask: "try",
		deed: held
	});
}
function landed() {
	isFlying = false;
	fly();
}
/** Shows what a decision would do. */
export function tryOut(deed) {
	held = deed;
	isNew = true;
	fly();
}
/** Shows what words would do. */
export function trySaying(...words) {
	tryOut({
		deed: "say",
		words
	});
}
/** Decides what was tried last. */
export function keep() {
	if (!held) return;
	const deed = held;
	held = null;
	isFlying = false;
	void decide(deed).then((isDone) => {
		if (!isDone && !held) tried.value = null;
	});
}
/** Leaves everything as it was. */
export function letGo() {
	if (!held && !tried.value) return;
	held = null;
	isFlying = false;
	tried.value = null;
	send({ ask: "let_go" });
}
