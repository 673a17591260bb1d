// The title block, as on a technical drawing: the picture, its sheets and how far each is, the leaf on top.
import { Fragment, h } from "../../vendor/preact.js";
import { useEffect, useState } from "../../vendor/hooks.js";
import { effect } from "../../vendor/signals.js";
import type { Sheet } from "../../gen/wire.js";
import { callOff, lay, leave, say, turn } from "../store/link.js";
import { sheet } from "../store/scene.js";
import { busy, going, isBookOpen, top, turned, turnTo, type Turned } from "../store/view.js";
import { at, figure, type Box } from "../draw/places.js";
import { typing } from "./figure.js";

const count = (n: number, one: string, more = `${one}s`) => (n === 0 ? `no ${more}` : n === 1 ? `1 ${one}` : `${n} ${more}`);

/** The sheets by their numbers, which are their keys, and how far each is. */
export function sheets(s: Sheet): { key: string; turned: Turned; name: string; stands: string }[] {
  const missing = s.reading?.missing.filter((m) => m.needed).length ?? 0;
  const standing = s.pieces.filter((p) => !p.hidden).length;
  return [
    { key: "1", turned: "backdrop", name: "Backdrop", stands: !s.reading?.backdrop ? "none" : missing > 0 ? `${missing} to say` : "read" },
    { key: "3", turned: "cutouts", name: "Cut-outs", stands: s.cutouts.length === 0 ? "none" : String(s.cutouts.length) },
    { key: "4", turned: "staging", name: "Staging", stands: standing === 0 ? "" : count(standing, "piece") },
    { key: "5", turned: "toning", name: "Toning", stands: s.toning.length === 0 ? "" : count(s.toning.length, "treatment") },
    { key: "6", turned: "dispatch", name: "Dispatch", stands: "" },
  ];
}

export function TitleBlock({ box, picture }: { box: Box; picture: Sheet }) {
  const snags = picture.pieces.filter((p) => p.snags.length > 0).length;
  const last = [...picture.log].reverse().find((line) => line.turn === "do" && line.stands);
  const r = picture.reading;
  const print = r?.ppi ? `${figure((r.width_px / r.ppi) * 2.54, 1)} × ${figure((r.height_px / r.ppi) * 2.54, 1)} cm` : r ? `${r.width_px} × ${r.height_px} px` : "";
  return (
    <section class="title" aria-label="Title block" style={at(box)}>
      <header>
        <h1>{picture.name}{picture.has_rack && <button class="word" onClick={leave}>to the rack</button>}</h1>
        <Leaves picture={picture} />
      </header>
      <nav aria-label="Sheets">
        {sheets(picture).map((s) => (
          <button key={s.key} class={turned.value === s.turned ? "chosen" : ""} aria-current={turned.value === s.turned ? "page" : undefined} aria-keyshortcuts={s.key} onClick={() => turnTo(s.turned)}>
            <span class="key">{s.key}</span>{s.name}<small>{s.stands}</small>
          </button>
        ))}
      </nav>
      <div class="facts">
        <p>{print}, {count(snags, "snag")}</p>
        <p>
          <button class="word" aria-expanded={isBookOpen.value} onClick={() => (isBookOpen.value = !isBookOpen.value)} title="Prompt book (b)">
            {last ? `kept ${local(last.at)}` : "nothing done yet"}
          </button>{" "}
          <button class="word" disabled={!picture.can_undo} onClick={() => turn("undo")} aria-keyshortcuts="Control+Z">undo</button>{" "}
          <button class="word" disabled={!picture.can_redo} onClick={() => turn("redo")} aria-keyshortcuts="Control+Shift+Z">redo</button>
        </p>
      </div>
      <Going />
    </section>
  );
}

/** What takes its time, how far or how long it is, and that it can be called off. */
function Going() {
  const [now, tick] = useState(Date.now());
  useEffect(() => {
    if (busy.value === null) return undefined;
    const clock = setInterval(() => tick(Date.now()), 500);
    return () => clearInterval(clock);
  }, [busy.value]);
  const seconds = busy.value === null ? 0 : (now - busy.value) / 1000;
  if (!going.value && seconds < 1) return null;
  return (
    <p class="going" role="status">
      {going.value ? (
        <Fragment><progress max={1} value={going.value.share} aria-label="How far it is" /> {figure(going.value.share * 100, 0)} %</Fragment>
      ) : (
        <Fragment>at work for {figure(seconds, 0)} s</Fragment>
      )}{" "}
      <button class="word" onClick={callOff}>call it off</button>
    </p>
  );
}

/** A time of day, here. */
export function local(at: string): string {
  const time = new Date(at);
  return time.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
}

/** The leaves: which one lies on top, and another begun. */
function Leaves({ picture }: { picture: Sheet }) {
  const [isBegun, begin] = useState(false);
  const done = (text: string | null) => {
    const name = text?.trim();
    begin(false);
    if (name) void say("take", "add", name).then((isDone) => isDone && layNamed(name));
  };
  if (isBegun) {
    return (
      <input
        class="begun"
        aria-label="What the new take is called"
        placeholder="name of the take"
        {...typing(done)}
      />
    );
  }
  return (
    <span class="leaves">
      take:{" "}
      <select class="phrase" aria-label="The take on top" value={top.value ?? "none"} onChange={(e: Event) => laid((e.currentTarget as HTMLSelectElement).value, begin)}>
        <option value="none" selected={top.value === null}>the picture itself</option>
        {picture.takes.map((t) => <option key={t.take} value={t.take} selected={t.take === top.value}>{t.name}</option>)}
        <option value="begin">begin another</option>
      </select>
    </span>
  );
}

/** Lays a take on top as soon as the sheet tells of it. */
function layNamed(name: string): void {
  let isLaid = false;
  const stop = effect(() => {
    const take = sheet.value?.takes.find((t) => t.name === name);
    if (!take || isLaid) return;
    isLaid = true;
    queueMicrotask(() => {
      stop();
      lay(take.take);
    });
  });
}

function laid(word: string, begin: (is: boolean) => void): void {
  if (word === "begin") begin(true);
  else lay(word === "none" ? null : Number(word));
}

/** What differs in the take on top, as sentences; each can be lifted off. */
export function Differences({ picture }: { picture: Sheet }) {
  const take = picture.takes.find((t) => t.take === picture.take);
  if (!take) return null;
  return (
    <Fragment>
      <h2>{take.name} differs</h2>
      {take.changes.length === 0 && <p class="soft">Nothing yet: whatever you change now is laid into this take alone.</p>}
      <ol class="differences">
        {take.changes.map((says, i) => (
          <li key={i}>{says} <button class="word" onClick={() => void say("take", "lift", `#${take.take}`, String(i + 1))}>lift it off</button></li>
        ))}
      </ol>
      {take.passed_over.map((says) => <p class="snag" key={says}>{says}</p>)}
      <button class="word" onClick={() => void say("take", "remove", `#${take.take}`)}>drop the take</button>
    </Fragment>
  );
}
