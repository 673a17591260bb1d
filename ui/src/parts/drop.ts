// Files that are laid on the sheet: a photograph becomes the backdrop, a shot stands where it was dropped, a receipt is kept.
import type { HandedIn } from "../../gen/wire.js";
import { ground, handIn, say } from "../store/link.js";
import { sheet } from "../store/scene.js";
import { cutout, said, stands, turned } from "../store/view.js";

/** Forms that a photograph comes in. */
const PHOTOGRAPHS = /\.(png|jpe?g|tiff?|exr|dng)$/i;

/** Forms that receipts, licences and releases come in, beside photographs of them. */
const PAPERS = /\.(pdf|txt|eml|html?|rtf|odt|docx?|md|csv)$/i;

/** A name that nothing has yet, from a file's. */
function freshName(file: string): string {
  const stem = file.replace(/\.[^.]*$/, "").replace(/[^\p{L}\p{N} ._-]+/gu, " ").trim() || "piece";
  const names = new Set((sheet.value?.pieces ?? []).map((p) => p.name));
  let name = stem;
  for (let n = 2; names.has(name); n += 1) name = `${stem} ${n}`;
  return name;
}

/** Takes files that were laid on the sheet; `at` is the picture's place that lies under them, where it is the picture. */
export async function take(files: File[], at: [number, number] | null): Promise<void> {
  // On the dispatch sheet everything is a paper, a photographed receipt as well.
  const isPaper = (f: File) => turned.value === "dispatch" || PAPERS.test(f.name);
  const photographs = files.filter((f) => !isPaper(f) && PHOTOGRAPHS.test(f.name));
  const others = files.filter((f) => !isPaper(f) && !PHOTOGRAPHS.test(f.name));
  if (others.length > 0) said.value = `${others.map((f) => f.name).join(", ")}: no photograph (PNG, JPEG, TIFF, EXR) and no paper (PDF, text)`;
  // What one of several is refused for is told with its name, before what is told of the others, and keeps no other out.
  const refused: string[] = [];
  const taken: string[] = [];
  const each = async (file: File, bringIn: (handed: HandedIn) => Promise<boolean>) => {
    const handed = await handIn(file);
    const isIn = handed !== null && (await bringIn(handed));
    if (isIn) taken.push(said.value);
    else refused.push(`${file.name}: ${said.value}`);
    return isIn;
  };
  for (const file of files.filter(isPaper)) await each(file, (handed) => say("rights", "keep", handed));
  let place = at;
  for (const file of photographs) {
    const isIn = await each(file, (handed) => bring(file.name, handed, place));
    // Those that follow stand beside it.
    if (isIn && place) place = [place[0] + 160, place[1]];
  }
  said.value = [...refused, ...taken].map((one) => one.replace(/\.?$/, ".")).join(" ") || said.value;
}

/** A place of the picture, or the first beside it where nothing stands yet. */
export function free([across, down]: [number, number], width: number): [number, number] {
  const step = width / 20;
  const isTaken = (x: number) => stands.value.some(({ foot_px: [u, v] }) => Math.hypot(u - x, v - down) < step / 2);
  const beside = Array.from({ length: 20 }, (_, i) => across + (i % 2 === 0 ? i / 2 : -(i + 1) / 2) * step);
  return [beside.find((x) => !isTaken(x)) ?? across, down];
}

async function bring(name: string, file: HandedIn, at: [number, number] | null): Promise<boolean> {
  const s = sheet.value;
  if (turned.value === "backdrop" || !s?.reading?.backdrop) {
    said.value = `${name} becomes the backdrop …`;
    return say("read", file);
  }
  if (turned.value === "cutouts") {
    said.value = `${name} is being cut out …`;
    const before = new Set(s.cutouts.map((c) => c.cutout));
    const isDone = await say("place", "view", "--shot", file, "--or-whole");
    if (isDone) chooseNew(before);
    return isDone;
  }
  const foot = at ? await ground(at) : null;
  const mark = foot ? ["--at", `${foot[0].toFixed(3)},${foot[1].toFixed(3)}`] : [];
  said.value = `${name} is being cut out …`;
  return say("place", "add", freshName(name), "--shot", file, "--or-whole", ...mark);
}

/** Shows the cut-out that has come, once the sheet tells of it. */
function chooseNew(before: Set<number>): void {
  const found = sheet.value?.cutouts.find((c) => !before.has(c.cutout));
  if (found) cutout.value = found.cutout;
  else setTimeout(() => {
    const late = sheet.value?.cutouts.find((c) => !before.has(c.cutout));
    if (late) cutout.value = late.cutout;
  }, 600);
}

/** Stands a grey figure or solid of some height in, where the ground is seen. */
export async function standIn(which: string, tall: string, at: [number, number]): Promise<boolean> {
  const foot = await ground(at);
  const mark = foot ? `${foot[0].toFixed(3)},${foot[1].toFixed(3)}` : "0,5";
  return say("place", "add", freshName(which), "--stand-in", which, "--height", tall, "--at", mark);
}

/** Gives the place of a piece to a shot. */
export async function recast(piece: number, file: File): Promise<boolean> {
  const handed = await handIn(file);
  if (!handed) return false;
  said.value = `${file.name} is being cut out …`;
  return say("place", "recast", `#${piece}`, "--shot", handed, "--or-whole");
}

/** Asks for files as the browser does: for photographs, or for papers of whatever form. */
export function choose(then: (files: File[]) => void, accept = "image/*,.tif,.tiff,.exr"): void {
  const input = document.createElement("input");
  input.type = "file";
  input.multiple = true;
  input.accept = accept;
  input.addEventListener("change", () => then([...(input.files ?? [])]));
  input.click();
}
