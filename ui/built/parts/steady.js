// Parts that hold still.
import { Component } from "../../vendor/preact.js";
/** A part that is drawn anew only where something that it is given differs. It asks no signal and holds nothing itself. */
export function steady(draw) {
	return class extends Component {
		shouldComponentUpdate(next) {
			const [was, now] = [this.props, next];
			return Object.keys({
				...was,
				...now
			}).some((name) => was[name] !== now[name]);
		}
		render(given) {
			return draw(given);
		}
	};
}
