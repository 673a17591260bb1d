// The title block, as on a technical drawing.
import { h } from "../../vendor/preact.js";
import type { Sheet } from "../../gen/wire.js";
import { carryOut } from "../store/link.js";
import { at, type Box } from "../draw/places.js";

export function TitleBlock({ box, picture }: { box: Box; picture: Sheet }) {
  const standing = picture.log.filter((line) => line.turn === "do");
  const last = [...standing].reverse().find((line) => line.stands);
  const undone = standing.some((line) => !line.stands);
  const snags = picture.pieces.reduce((n, p) => n + p.snags.length, 0);
  return (
    <section class="title" aria-label="Title block" style={at(box)}>
      <h1>{picture.name}</h1>
      <dl>
        <dt>4 Staging</dt>
        <dd>{picture.pieces.length} pieces, {snags} {snags === 1 ? "snag" : "snags"}</dd>
        <dt>last</dt>
        <dd>{last ? last.says : "nothing yet"}</dd>
      </dl>
      <button disabled={!last} onClick={() => carryOut({ deed: "undo", times: 1 })}>take back</button>{" "}
      <button disabled={!undone} onClick={() => carryOut({ deed: "redo", times: 1 })}>do again</button>
    </section>
  );
}
