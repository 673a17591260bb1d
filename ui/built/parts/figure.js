// A number that is pulled: across with the pen, finely with Shift, by the arrow keys, or typed over.
import { h } from "../../vendor/preact.js";
import { useRef, useState } from "../../vendor/hooks.js";
import { figure } from "../draw/places.js";
import { said } from "../store/view.js";
import { useMeant } from "./meant.js";
import { pull } from "./pull.js";
/** A figure as a command is given it. */
export const written = (v) => Number(v.toFixed(6)).toString();
/** Once, when it comes: what is being typed stays when the picture changes meanwhile. */
function selected(box) {
	box?.focus();
	box?.select();
}
/** The same where something is typed already. */
function atEnd(box) {
	box?.focus();
	box?.setSelectionRange(box.value.length, box.value.length);
}
/** What a box is given in which something is typed over: it is told once what is meant, and nothing where Escape leaves it. */
export function typing(done) {
	let by = null;
	return {
		ref: selected,
		onBlur: (e) => done(by === "Escape" ? null : e.currentTarget.value, by !== null),
		onKeyDown: (e) => {
			e.stopPropagation();
			if (e.key !== "Enter" && e.key !== "Escape") return;
			by = e.key;
			e.currentTarget.blur();
		}
	};
}
/** What a figure may be. */
function asked({ least, most, unit }) {
	const of = (v) => `${figure(v)}${unit ? ` ${unit}` : ""}`;
	if (least !== undefined && most !== undefined) return `Give ${figure(least)} to ${of(most)}`;
	if (least !== undefined) return `Give ${of(least)} or more`;
	return most === undefined ? "Give a number, as 1.5" : `Give ${of(most)} or less`;
}
/** Pixels of a pull to one step. */
const TO_A_STEP = 6;
export function Figure(p) {
	const [isTyped, setTyped] = useState(false);
	// What was typed on the figure itself begins what is typed over it.
	const begun = useRef("");
	const now = useRef(p.value);
	const meant = useMeant();
	// Typed over by keys, it has them again.
	const isBack = useRef(false);
	// Until it is left, digits then turn the sheets again.
	const isSaid = useRef(false);
	const back = (figure) => {
		if (figure && isBack.current) {
			figure.focus();
			isSaid.current = true;
		}
		if (figure) isBack.current = false;
	};
	const digits = p.digits ?? 2;
	const within = (v) => Math.min(Math.max(v, p.least ?? -Infinity), p.most ?? Infinity);
	const stepped = (from, steps) => within(p.isRatio ? from * Math.pow(1 + p.step, steps) : from + steps * p.step);
	const text = (p.isSigned && p.value > 0 ? "+" : "") + figure(p.value, digits);
	if (isTyped) {
		const done = (text, isByKey) => {
			// With its unit or without.
			const unit = p.unit?.split(" ")[0];
			const bare = (text ?? "x").trim();
			const typed = Number((unit && bare.endsWith(unit) ? bare.slice(0, -unit.length).trim() || "x" : bare).replace(",", ".").replace("−", "-"));
			isBack.current = isByKey;
			setTyped(false);
			if (!text?.trim() || typed === p.value) return;
			if (Number.isFinite(typed) && typed === within(typed)) p.onKeep(typed);
			else said.value = `${p.name}: ${text.trim()} is not taken. ${asked(p)}.`;
		};
		return /* @__PURE__ */ h("input", {
			class: "typed",
			"aria-label": p.name,
			defaultValue: begun.current || figure(p.value, digits + 1).replace("−", "-"),
			...typing(done),
			...begun.current ? { ref: atEnd } : {}
		});
	}
	return /* @__PURE__ */ h("span", {
		class: p.value === 0 && p.isSigned ? "figure nought" : "figure",
		ref: back,
		role: "spinbutton",
		tabIndex: 0,
		id: p.id,
		"aria-label": p.name,
		"aria-valuenow": Number(p.value.toFixed(digits + 2)),
		"aria-valuetext": `${text} ${p.unit ?? ""}`.trim(),
		onPointerDown: (e) => {
			e.stopPropagation();
			isSaid.current = false;
			const start = p.value;
			now.current = start;
			pull(e, (across) => {
				now.current = stepped(start, across / TO_A_STEP);
				p.onTry(now.current);
			}, (isDropped) => {
				isSaid.current = true;
				if (isDropped) p.onKeep(now.current);
				else p.onLeave();
			});
		},
		title: "Pull it across, or type it",
		onBlur: () => isSaid.current = false,
		onDblClick: () => {
			begun.current = "";
			setTyped(true);
		},
		onKeyDown: (e) => {
			const way = {
				ArrowUp: 1,
				ArrowRight: 1,
				ArrowDown: -1,
				ArrowLeft: -1
			}[e.key];
			if (way) {
				e.preventDefault();
				e.stopPropagation();
				isSaid.current = true;
				p.onKeep(meant(p.value, (from) => stepped(from, e.shiftKey ? way / 10 : way)));
			}
			if (e.key === "Escape") e.currentTarget.blur();
			const isDigit = !isSaid.current && /^[-0-9.,]$/.test(e.key) && !e.ctrlKey && !e.metaKey && !e.altKey;
			if (e.key === "Enter" || isDigit) {
				e.preventDefault();
				e.stopPropagation();
				begun.current = isDigit ? e.key : "";
				setTyped(true);
			}
		}
	}, text, p.unit ? ` ${p.unit}` : "");
}
