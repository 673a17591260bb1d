// Parts that hold still.
import { Component, type ComponentChild } from "../../vendor/preact.js";

/** A part that is drawn anew only where something that it is given differs. It asks no signal and holds nothing itself. */
export function steady<P extends object>(draw: (given: P) => ComponentChild) {
  return class extends Component<P> {
    override shouldComponentUpdate(next: P): boolean {
      const [was, now] = [this.props as Record<string, unknown>, next as Record<string, unknown>];
      return Object.keys({ ...was, ...now }).some((name) => was[name] !== now[name]);
    }
    render(given: P): ComponentChild {
      return draw(given);
    }
  };
}
