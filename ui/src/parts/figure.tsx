// A number that is pulled: across with the pen, finely with Shift, by the arrow keys, or typed over.
import { h } from "../../vendor/preact.js";
import { useRef, useState } from "../../vendor/hooks.js";
import { figure } from "../draw/places.js";
import { pull } from "./pull.js";

type Props = {
  /** What it is, for those who do not see it. */
  name: string;
  value: number;
  unit?: string;
  /** What one step of an arrow key adds. */
  step: number;
  digits?: number;
  /** Shown with its sign. */
  isSigned?: boolean;
  /** Pulled by its ratio and not by its difference. */
  isRatio?: boolean;
  least?: number;
  most?: number;
  /** Tried while it is pulled. */
  onTry: (v: number) => void;
  /** Decided. */
  onKeep: (v: number) => void;
  onLeave: () => void;
  id?: string;
};

/** Once, when it comes: what is being typed stays when the picture changes meanwhile. */
export function selected(box: HTMLInputElement | null): void {
  box?.focus();
  box?.select();
}

/** Pixels of a pull to one step. */
const TO_A_STEP = 6;

export function Figure(p: Props) {
  const [isTyped, setTyped] = useState(false);
  const now = useRef(p.value);
  const digits = p.digits ?? 2;
  const within = (v: number) => Math.min(Math.max(v, p.least ?? -Infinity), p.most ?? Infinity);
  const stepped = (from: number, steps: number) => within(p.isRatio ? from * Math.pow(1 + p.step, steps) : from + steps * p.step);
  const text = (p.isSigned && p.value > 0 ? "+" : "") + figure(p.value, digits);
  if (isTyped) {
    const done = (e: Event) => {
      const text = (e.currentTarget as HTMLInputElement).value;
      const typed = Number(text.replace(",", ".").replace("−", "-"));
      setTyped(false);
      if (text !== "" && Number.isFinite(typed) && typed !== p.value) p.onKeep(within(typed));
    };
    return (
      <input
        class="typed"
        aria-label={p.name}
        defaultValue={figure(p.value, digits + 1).replace("−", "-")}
        ref={selected}
        onBlur={done}
        onKeyDown={(e: KeyboardEvent) => {
          const box = e.currentTarget as HTMLInputElement;
          if (e.key === "Escape") box.value = "";
          if (e.key === "Enter" || e.key === "Escape") box.blur();
          e.stopPropagation();
        }}
      />
    );
  }
  return (
    <span
      class={p.value === 0 && p.isSigned ? "figure nought" : "figure"}
      role="spinbutton"
      tabIndex={0}
      id={p.id}
      aria-label={p.name}
      aria-valuenow={Number(p.value.toFixed(digits + 2))}
      aria-valuetext={`${text} ${p.unit ?? ""}`.trim()}
      onPointerDown={(e: PointerEvent) => {
        e.stopPropagation();
        const start = p.value;
        now.current = start;
        pull(
          e,
          (across) => {
            now.current = stepped(start, across / TO_A_STEP);
            p.onTry(now.current);
          },
          (isDropped) => (isDropped ? p.onKeep(now.current) : p.onLeave()),
        );
      }}
      onDblClick={() => setTyped(true)}
      onKeyDown={(e: KeyboardEvent) => {
        const way = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1 }[e.key];
        if (way) {
          e.preventDefault();
          e.stopPropagation();
          p.onKeep(stepped(p.value, e.shiftKey ? way / 10 : way));
        }
        if (e.key === "Enter") {
          e.preventDefault();
          e.stopPropagation();
          setTyped(true);
        }
      }}
    >
      {text}{p.unit ? ` ${p.unit}` : ""}
    </span>
  );
}
