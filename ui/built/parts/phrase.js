// A phrase of a sentence that is replaced by another.
import { h } from "../../vendor/preact.js";
import { useMemo } from "../../vendor/hooks.js";
import { point } from "../store/view.js";
/** The word for whichever piece is pointed at. */
const POINT = "☞";
export function Phrase({ name, value, others, onReplace, pointed }) {
	const options = useMemo(() => {
		const all = others.some(([word]) => word === value) ? others : [[value, value], ...others];
		return all.map(([word, reads]) => /* @__PURE__ */ h("option", {
			key: word,
			value: word,
			selected: word === value
		}, reads));
	}, [value, others]);
	const replace = (e) => {
		const select = e.currentTarget;
		const word = select.value;
		if (word !== POINT || !pointed) {
			onReplace(word);
			return;
		}
		select.value = value;
		point((piece) => onReplace(pointed(piece)));
	};
	return /* @__PURE__ */ h("select", {
		class: "phrase",
		"aria-label": name,
		value,
		onChange: replace
	}, pointed && /* @__PURE__ */ h("option", { value: POINT }, "what is clicked next"), options);
}
