// What does not change keeps its identity, so that what is drawn from it need not be drawn anew.
const isObject = (v) => typeof v === "object" && v !== null;
/** What a list's entry is known by: the piece that it is about, or its place. */
const known = (v, i) => isObject(v) && "piece" in v ? v["piece"] : i;
/** A value as it is now, made of what it was wherever they are alike. Both are such as JSON can hold. */
export function kept(was, now) {
	if (!isObject(was) || !isObject(now) || Array.isArray(was) !== Array.isArray(now)) return now;
	if (Array.isArray(was) && Array.isArray(now)) {
		const before = new Map(was.map((v, i) => [known(v, i), v]));
		const all = now.map((v, i) => kept(before.get(known(v, i)), v));
		return all.length === was.length && all.every((v, i) => v === was[i]) ? was : all;
	}
	const all = Object.fromEntries(Object.entries(now).map(([name, v]) => [name, kept(was[name], v)]));
	const isSame = Object.keys(was).length === Object.keys(all).length && Object.keys(all).every((name) => all[name] === was[name]);
	return isSame ? was : all;
}
