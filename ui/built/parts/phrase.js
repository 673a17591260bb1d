// A phrase of a sentence that is replaced by another.
import { h } from "../../vendor/preact.js";
import { useMemo } from "../../vendor/hooks.js";
export function Phrase({ name, value, others, onReplace }) {
	const options = useMemo(() => {
		const all = others.some(([word]) => word === value) ? others : [[value, value], ...others];
		return all.map(([word, reads]) => /* @__PURE__ */ h("option", {
			key: word,
			value: word,
			selected: word === value
		}, reads));
	}, [value, others]);
	return /* @__PURE__ */ h("select", {
		class: "phrase",
		"aria-label": name,
		value,
		onChange: (e) => onReplace(e.currentTarget.value)
	}, options);
}
