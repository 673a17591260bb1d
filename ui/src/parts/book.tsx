// The prompt book: everything that was done, as dated sentences. Going back strikes what follows through.
import { Fragment, h } from "../../vendor/preact.js";
import type { LogLine, Sheet } from "../../gen/wire.js";
import { say, turn } from "../store/link.js";
import { isBookOpen } from "../store/view.js";
import { at, type Box } from "../draw/places.js";
import { Differences, local } from "./title.js";

/** What stands, and what was taken back and can be done again, oldest first. */
function pages(log: LogLine[]): { line: LogLine; stands: boolean }[] {
  const lost = new Set<number>();
  let undone: number[] = [];
  for (const line of log) {
    if (line.turn === "do") {
      // Going on from there left what was taken back behind.
      undone.forEach((n) => lost.add(n));
      undone = [];
    } else if (line.turn === "undo" && line.of !== null) undone.push(line.of);
    else undone = undone.filter((n) => n !== line.of);
  }
  return log.filter((l) => l.turn === "do" && !lost.has(l.number)).map((line) => ({ line, stands: line.stands }));
}

/** The last pages, where there is room for some. */
export function LastPages({ box, picture }: { box: Box; picture: Sheet }) {
  const room = Math.floor((box.height - 8) / 20);
  const last = pages(picture.log).filter((p) => p.stands).slice(-Math.max(0, room));
  if (room < 1 || last.length === 0) return null;
  return (
    <section class="last" aria-label="What was done last" style={at(box)}>
      <h2 class="above">Prompt book</h2>
      <ol>
        {last.map(({ line }, i) => (
          <li key={line.number} class={i === last.length - 1 ? "chosen" : ""}><time dateTime={line.at}>{local(line.at)}</time> {line.says}</li>
        ))}
      </ol>
    </section>
  );
}

export function PromptBook({ box, picture }: { box: Box; picture: Sheet }) {
  const all = pages(picture.log);
  const last = all.map((p) => p.stands).lastIndexOf(true);
  const go = (i: number) => {
    if (i < last) turn("undo", last - i);
    if (i > last) turn("redo", i - last);
  };
  let day = "";
  return (
    <section class="book" aria-label="Prompt book" style={at(box)}>
      <h2>
        Prompt book<small>click a line to go back to it, or on again</small>
        <button class="word" onClick={() => (isBookOpen.value = false)}>close it</button>
      </h2>
      <Differences picture={picture} />
      <ol class="pages" ref={(list: HTMLElement | null) => list?.scrollTo(0, list.scrollHeight)}>
        <li><button class={last < 0 ? "chosen" : ""} onClick={() => go(-1)}><time /> the picture begun</button></li>
        {all.map(({ line, stands }, i) => {
          const date = new Date(line.at).toLocaleDateString([], { day: "numeric", month: "long" });
          const isNew = date !== day;
          day = date;
          return (
            <Fragment key={line.number}>
              {isNew && <li class="day">{date}</li>}
              <li>
                <button class={i === last ? "chosen" : stands ? "" : "undone"} onClick={() => go(i)}>
                  <time dateTime={line.at}>{local(line.at)}</time> {line.says}
                </button>
              </li>
            </Fragment>
          );
        })}
      </ol>
      {last < all.length - 1 && (
        <p class="soft">
          What is struck through was taken back; going on from here leaves it behind.{" "}
          <button class="word" onClick={() => void say("take", "aside", `as of ${local(all[all.length - 1]?.line.at ?? "")}`)}>Keep it as a take</button>
        </p>
      )}
    </section>
  );
}
