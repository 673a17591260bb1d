// The rack: the pictures of a folder, and a new one to begin.
import { h } from "../../vendor/preact.js";
import { useState } from "../../vendor/hooks.js";
import type { Racked } from "../../gen/wire.js";
import { Phrase } from "../parts/phrase.js";
import { begin, openPicture } from "../store/link.js";
import { said } from "../store/view.js";

const SIZES: [string, string][] = [
  ["60x40cm", "60 × 40 cm"],
  ["40x60cm", "40 × 60 cm"],
  ["45x30cm", "45 × 30 cm"],
  ["30x45cm", "30 × 45 cm"],
  ["50x50cm", "50 × 50 cm"],
  ["90x60cm", "90 × 60 cm"],
];

export function Rack({ pictures }: { pictures: Racked[] }) {
  const [name, call] = useState("");
  const [size, choose] = useState("60x40cm");
  const [typed, type] = useState("");
  const submit = (e: Event) => {
    e.preventDefault();
    if (name.trim()) void begin(name.trim(), size === "other" ? typed : size);
  };
  return (
    <main id="sheet" class="rack" aria-label="The rack">
      <section class="card" aria-label="A new picture">
        <h1>Setpiece</h1>
        <form onSubmit={submit}>
          <p class="manner">
            Begin a picture called{" "}
            <input aria-label="What it is called" value={name} placeholder="name" spellcheck={false} autocomplete="off" onInput={(e: Event) => call((e.currentTarget as HTMLInputElement).value)} />, printed{" "}
            <Phrase name="Size of the print" value={size} others={[...SIZES, ["other", "another size"]]} onReplace={choose} />{" "}
            {size === "other" && <input aria-label="Size, as 70x50cm or 6000x4000 pixels" placeholder="70x50cm, or 6000x4000" value={typed} onInput={(e: Event) => type((e.currentTarget as HTMLInputElement).value)} />}
            . <button class="word act">begin it</button>
          </p>
        </form>
        <h2>Pictures in this folder</h2>
        {pictures.length === 0 && <p class="soft">None yet. What you begin is a folder here, which you can read, copy and keep.</p>}
        <ul>
          {pictures.map((p) => (
            <li key={p.folder}>
              <button class="picture" disabled={p.title === null} onClick={() => void openPicture(p.folder)}>
                <b>{p.title ?? p.folder}</b>
                <span>{p.title === null ? "cannot be read: look at it with setpiece check" : `${p.width_px} × ${p.height_px} px, ${p.pieces} ${p.pieces === 1 ? "piece" : "pieces"}`}</span>
                <small>{p.kept ? `kept ${new Date(p.kept).toLocaleDateString([], { day: "numeric", month: "long" })}` : ""}</small>
              </button>
            </li>
          ))}
        </ul>
        <p class="said" role="status">{said.value}</p>
      </section>
    </main>
  );
}
