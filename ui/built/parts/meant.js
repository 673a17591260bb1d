// Keys may be faster than what they do: each goes on from what the one before meant.
import { useRef } from "../../vendor/hooks.js";
/** How long what a key meant counts, in milliseconds, where it is not told yet what became of it. */
const IN_FLIGHT = 800;
/** Tells what a key means, by what it makes of the value before. */
export function useMeant() {
	const meant = useRef(null);
	return (told, step) => {
		const last = meant.current;
		const value = step(last && Date.now() - last.at < IN_FLIGHT ? last.value : told);
		meant.current = {
			value,
			at: Date.now()
		};
		return value;
	};
}
