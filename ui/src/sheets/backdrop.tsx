// The backdrop sheet: the whole photograph with the picture's frame and the horizon on it, and what is known of viewpoint, lens and light.
import { Fragment, h } from "../../vendor/preact.js";
import { useState } from "../../vendor/hooks.js";
import type { ReadingReport, Sheet } from "../../gen/wire.js";
import { useGlass } from "../draw/glass.js";
import { at, figure, fitted, type Box, type Places } from "../draw/places.js";
import { choose as chooseFiles, take } from "../parts/drop.js";
import { arrows } from "../parts/arrows.js";
import { Figure, typing } from "../parts/figure.js";
import { Phrase } from "../parts/phrase.js";
import { pull } from "../parts/pull.js";
import { letGo, say } from "../store/link.js";

const plain = (v: number, digits = 4) => Number(v.toFixed(digits)).toString();
const read = (...words: string[]) => void say("read", ...words);

export function Backdrop({ picture, places }: { picture: Sheet; places: Places }) {
  const r = picture.reading;
  const { aside, facing: room } = places;
  return (
    <Fragment>
      {r?.backdrop ? (
        <Photograph room={room} r={r} picture={picture} />
      ) : (
        <button class="frame empty" style={at(fitted(room, { width: r?.width_px ?? 3, height: r?.height_px ?? 2 }))} onClick={() => chooseFiles((files) => void take(files, null))}>
          <svg class="outline wide" viewBox="0 0 300 120" aria-hidden="true">
            <path class="line dots" d="M0 60H300M40 60q30 -40 70 -8q30 -24 60 8M190 60q30 -50 80 0" />
            <path class="line chain" d="M0 60H300" />
          </svg>
          <span>Lay a photograph here: everything will stand in it</span>
        </button>
      )}
      <section class="card reading" aria-label="What is known of the backdrop" style={at(aside)}>
        {r && <Reading r={r} picture={picture} />}
      </section>
    </Fragment>
  );
}

/** The photograph, with the part of it that the picture shows, and the horizon as a tape with two pins. */
function Photograph({ room, r, picture }: { room: Box; r: ReadingReport; picture: Sheet }) {
  const photo = r.backdrop;
  const { box, beyond } = laid(room, photo);
  const [tape, lay] = useState<[number, number] | null>(null);
  const [frame, move] = useState<[number, number, number, number] | null>(null);
  const scale = box.width / (photo?.width_px ?? 1);
  const canvas = useGlass(0, { what: "backdrop" }, { scale, x: 0, y: 0 }, beyond.width, beyond.height);
  if (!photo) return null;
  const [left, top, width, height] = frame ?? photo.window_px;
  const shown = picture.projection;
  // The picture's horizon, back on the photograph.
  const back = (row: number) => (top + (row / (shown?.height_px ?? 1)) * height) * scale;
  const slope = shown?.horizon_px ? (back(shown.horizon_px[1]) - back(shown.horizon_px[0])) / (width * scale) : 0;
  const rows = shown?.horizon_px ? back(shown.horizon_px[0]) - slope * left * scale : box.height * 0.4;
  const [y0, y1] = tape ?? [rows, rows + slope * box.width];
  const pin = (which: 0 | 1) => (e: PointerEvent) => {
    e.stopPropagation();
    const start: [number, number] = [y0, y1];
    let now = start;
    const moved = (_: number, down: number) => {
      now = which === 0 ? [start[0] + down, start[1]] : [start[0], start[1] + down];
      lay(now);
    };
    pull(e, moved, (isDropped) => over(isDropped, now));
  };
  const slide = (e: PointerEvent) => {
    e.stopPropagation();
    let now: [number, number] = [y0, y1];
    const start = now;
    pull(e, (_, down) => lay((now = [start[0] + down, start[1] + down])), (isDropped) => over(isDropped, now));
  };
  const over = (isDropped: boolean, now: [number, number]) => {
    const row = (y: number) => plain(y / scale, 2);
    if (!isDropped) lay(null);
    else void say("read", "--horizon", `0,${row(now[0])},${photo.width_px},${row(now[1])}`).then(() => lay(null));
  };
  const shift = (e: PointerEvent) => {
    const start: [number, number, number, number] = [left, top, width, height];
    let now = start;
    const place = (from: number, by: number, most: number, side: number) => held(from, by, Math.min(0, most), Math.max(0, most), scale, side);
    const moved = (x: number, y: number) => {
      now = [place(start[0], x / scale, photo.width_px - width, photo.width_px), place(start[1], y / scale, photo.height_px - height, photo.height_px), width, height];
      move(now);
    };
    pull(e, moved, (isDropped) => framed(isDropped, now));
  };
  // By its right end, or by its left one; the corner across from it stays.
  const grow = (isRight: boolean) => (e: PointerEvent) => {
    e.stopPropagation();
    let now: [number, number, number, number] = [left, top, width, height];
    const start = now;
    const moved = (x: number) => {
      const [across, down] = isRight ? [photo.width_px - start[0], photo.height_px - start[1]] : [start[0] + start[2], start[1] + start[3]];
      const whole = Math.max(20, Math.min(across, (down * start[2]) / start[3]));
      const wide = Math.max(20, held(start[2], (isRight ? x : -x) / scale, 20, whole, scale, photo.width_px));
      const high = (start[3] * wide) / start[2];
      now = isRight ? [start[0], start[1], wide, high] : [start[0] + start[2] - wide, start[1] + start[3] - high, wide, high];
      move(now);
    };
    pull(e, moved, (isDropped) => framed(isDropped, now));
  };
  const framed = (isDropped: boolean, now: [number, number, number, number]) => {
    if (!isDropped) move(null);
    else void say("read", "--window", now.slice(0, 3).map((v) => plain(v, 2)).join(",")).then(() => move(null));
  };
  const tilted = (left: number, right: number) => read("--horizon", `0,${plain(y0 / scale + left, 2)},${photo.width_px},${plain(y1 / scale + right, 2)}`);
  return (
    <div class="frame table" style={at(box)}>
      <canvas ref={canvas} style={at(beyond)} />
      <svg width={box.width} height={box.height} role="group" aria-label="The horizon and the picture's frame">
        {beyond.width > box.width + 0.5 || beyond.height > box.height + 0.5 ? <rect class="line dots" x={0} y={0} width={box.width} height={box.height} /> : null}
        <path class="beyond" fill-rule="evenodd" d={`M${beyond.x} ${beyond.y}h${beyond.width}v${beyond.height}h${-beyond.width}ZM${left * scale} ${top * scale}v${height * scale}h${width * scale}v${-height * scale}Z`} />
        <rect
          class="edge pulled"
          x={left * scale}
          y={top * scale}
          width={width * scale}
          height={height * scale}
          role="slider"
          tabindex={0}
          aria-label="The part that the picture shows: arrows shift it"
          aria-valuenow={Math.round(left)}
          onPointerDown={shift}
          onKeyDown={arrows((x, y) => read("--window", [left + 10 * x, top + 10 * y, width].map((v) => plain(v, 2)).join(",")))}
        />
        <Across left={left * scale} right={(left + width) * scale} y={(top + height) * scale - 22} px={width} onGrow={grow} onKeyDown={arrows((x, y) => read("--window", [left, top, width + 10 * (x - y)].map((v) => plain(v, 2)).join(",")))} />
        <g class="pulled" role="slider" tabindex={0} aria-label="The horizon: arrows move it" aria-valuenow={Math.round(y0 / scale)} onPointerDown={slide} onKeyDown={arrows((_, y) => tilted(10 * y, 10 * y))}>
          <path class="grip" d={`M0 ${y0}L${box.width} ${y1}`} />
          <path class="halo" d={`M0 ${y0}L${box.width} ${y1}`} />
          <path class="spike chain" d={`M0 ${y0}L${box.width} ${y1}`} />
        </g>
        <circle class="mark chosen pulled" cx={9} cy={y0} r={8} role="slider" tabindex={0} aria-label="Horizon, left pin: arrows move it" aria-valuenow={Math.round(y0 / scale)} onPointerDown={pin(0)} onKeyDown={arrows((_, y) => tilted(10 * y, 0))}><title>Horizon, left pin</title></circle>
        <circle class="mark chosen pulled" cx={box.width - 9} cy={y1} r={8} role="slider" tabindex={0} aria-label="Horizon, right pin: arrows move it" aria-valuenow={Math.round(y1 / scale)} onPointerDown={pin(1)} onKeyDown={arrows((_, y) => tilted(0, 10 * y))}><title>Horizon, right pin</title></circle>
        <text class="over" x={24} y={y0 - 8}>horizon: lay it along where the far ground ends</text>
      </svg>
    </div>
  );
}

/** Where the photograph lies on the sheet, and, counted from there, all of it that is shown: as far beyond its border as the frame reaches. */
function laid(room: Box, photo: ReadingReport["backdrop"]): { box: Box; beyond: Box } {
  if (!photo) return { box: room, beyond: room };
  const [left, top, width, height] = photo.window_px;
  const [x0, y0] = [Math.min(0, Math.floor(left)), Math.min(0, Math.floor(top))];
  const [x1, y1] = [Math.max(photo.width_px, Math.ceil(left + width)), Math.max(photo.height_px, Math.ceil(top + height))];
  const whole = fitted(room, { width: x1 - x0, height: y1 - y0 });
  const scale = whole.width / (x1 - x0);
  return {
    box: { x: whole.x - x0 * scale, y: whole.y - y0 * scale, width: photo.width_px * scale, height: photo.height_px * scale },
    beyond: { x: x0 * scale, y: y0 * scale, width: whole.width, height: whole.height },
  };
}

/** A border that must be pulled against before it gives way, so that nobody goes beyond it unawares; then half a side at most. What begins beyond it is not held. */
function held(from: number, by: number, least: number, most: number, scale: number, side: number): number {
  const isBeyond = from < least - 0.5 || from > most + 0.5;
  const holds = isBeyond ? 0 : 24 / scale;
  const v = from + by;
  const beyond = (far: number) => Math.min(Math.max(0, far - holds), Math.max(side / 2, isBeyond ? Math.max(least - from, from - most) : 0));
  if (v < least) return least - beyond(least - v);
  if (v > most) return most + beyond(v - most);
  return v;
}

/** How wide the frame is, as a dimension line whose end is pulled. */
function Across({ left, right, y, px, onGrow, onKeyDown }: { left: number; right: number; y: number; px: number; onGrow: (isRight: boolean) => (e: PointerEvent) => void; onKeyDown: (e: KeyboardEvent) => void }) {
  const line = `M${left} ${y}H${right}m-9 -4l9 4l-9 4M${left + 9} ${y - 4}l-9 4l9 4`;
  return (
    <g class="pulled" role="slider" tabindex={0} aria-label="Width of that part: arrows widen it" aria-valuenow={Math.round(px)} onKeyDown={onKeyDown}>
      <path class="halo" d={line} />
      <path class="line" d={line} />
      <text class="over" x={(left + right) / 2} y={y - 6} text-anchor="middle">{figure(px, 0)} px of the photograph</text>
      <rect class="grip" x={left - 6} y={y - 14} width={40} height={28} onPointerDown={onGrow(false)} />
      <rect class="grip" id="right-end" x={right - 34} y={y - 14} width={40} height={28} onPointerDown={onGrow(true)} />
    </g>
  );
}

/** How large the picture is, typed over; pieces stay on their marks. */
function Extent({ r }: { r: ReadingReport }) {
  const [isTyped, setTyped] = useState(false);
  const cm = (px: number) => (r.ppi ? plain((px / r.ppi) * 2.54, 1) : "");
  const reads = r.ppi ? `${cm(r.width_px)} × ${cm(r.height_px)} cm` : `${r.width_px} × ${r.height_px} px`;
  const asked = (text: string) => {
    const bare = text.replaceAll("×", "x").replace(/\s+/g, "");
    const isPrint = /(cm|mm|in)$/i.test(bare);
    read(...(isPrint ? ["--print", bare.toLowerCase(), ...(r.ppi ? ["--ppi", plain(r.ppi)] : [])] : ["--size", bare]));
  };
  if (isTyped) {
    const done = (text: string | null) => {
      setTyped(false);
      if (text?.trim() && text !== reads) asked(text);
    };
    return <input class="typed wide" aria-label="Size of the picture, as 70x50cm or 6000x4000 px" defaultValue={reads} {...typing(done)} />;
  }
  return (
    <Fragment>
      The picture is <button class="word" title="Another size or shape: type it, as 70x50cm or 6000x4000 px" onClick={() => setTyped(true)}>{reads}</button>
      {r.ppi ? ` at ${figure(r.ppi, 0)} ppi, ${r.width_px} × ${r.height_px} px` : ""}.{" "}
    </Fragment>
  );
}

/** Has the picture's sides change places. */
function Turned({ r }: { r: ReadingReport }) {
  if (r.width_px === r.height_px) return null;
  const cm = (px: number) => plain((px / (r.ppi ?? 1)) * 2.54, 1);
  const turn = () => read(...(r.ppi ? ["--print", `${cm(r.height_px)}x${cm(r.width_px)}cm`, "--ppi", plain(r.ppi)] : ["--size", `${r.height_px}x${r.width_px}`]));
  return <button class="word" id="turns" onClick={turn}>{r.width_px > r.height_px ? "stand the picture upright" : "lay the picture on its side"}</button>;
}

/** Something that is told by a number, with where it is known from. */
function Told({ name, option, value, unit, step, digits, from, prefix = "", suffix = "", least, most, isRatio }: { name: string; option: string; value: number; unit: string; step: number; digits: number; from: string; prefix?: string; suffix?: string; least?: number; most?: number; isRatio?: boolean }) {
  return (
    <tr>
      <th scope="row">{name}</th>
      <td class="result">
        <Figure name={name} value={value} unit={unit} step={step} digits={digits} {...(least === undefined ? {} : { least })} {...(most === undefined ? {} : { most })} isRatio={isRatio ?? false} onTry={() => {}} onKeep={(v) => read(option, `${prefix}${plain(v)}${suffix}`)} onLeave={letGo} />
      </td>
      <td class={from === "assumed" ? "from assumed" : "from"}>{from}</td>
    </tr>
  );
}

function Reading({ r, picture }: { r: ReadingReport; picture: Sheet }) {
  const c = r.camera;
  const sun = r.sun;
  const sky = r.sky_level;
  return (
    <Fragment>
      <h3>{r.backdrop ? r.backdrop.name : "No backdrop yet"}<small>{r.backdrop ? `${r.backdrop.width_px} × ${r.backdrop.height_px} px, ${r.backdrop.bits} bits` : "everything stands before an even grey"}</small></h3>
      {r.missing.filter((m) => m.needed).length > 0 && <p class="row">Say what is marked assumed, and everything stands at its size.</p>}
      <h4>viewpoint</h4>
      <table>
        <tbody>
          <Told name="camera height" option="--camera-height" value={c.height_m} unit="m" step={0.05} digits={2} suffix="m" least={0.05} from={c.height_from} />
          <Told name="pitch" option="--pitch" value={c.pitch_deg} unit="°" step={0.1} digits={2} from={c.attitude_from} />
          <Told name="roll" option="--roll" value={c.roll_deg} unit="°" step={0.1} digits={2} from={c.attitude_from} />
        </tbody>
      </table>
      <p class="row"><button class="word" onClick={() => read("--camera-height", `${plain(c.height_m)}m`, "--pitch", plain(c.pitch_deg), "--declared")}>take it as agreed</button> where nothing can be read in the photograph</p>
      <h4>lens</h4>
      <table>
        <tbody>
          <Told name="focal length" option="--focal" value={c.focal_mm} unit="mm" step={1} digits={1} least={1} from={c.focal_from} />
          <Told name="sensor width" option="--sensor" value={c.sensor_width_mm} unit="mm" step={0.1} digits={1} least={1} from={c.sensor_from} />
          <Told name="aperture f/" option="--f-number" value={c.f_number} unit="" step={0.1} digits={1} least={0.7} from={c.f_number_from} />
          <Told name="focused at" option="--focus" value={c.focus_m ?? 1000} unit={c.focus_m === null ? "m (infinity)" : "m"} step={0.1} digits={2} suffix="m" least={0.1} from={c.focus_from} />
          <Told name="depth" option="--depth" value={c.depth_factor} unit="× as computed" step={0.05} digits={2} prefix="x" least={0} from="" />
        </tbody>
      </table>
      <h4>light</h4>
      <table>
        <tbody>
          {sky.cct_k === null && <tr><th scope="row">sky</th><td class="result">by its own colour</td><td class="from">{r.sky_from}</td></tr>}
          {sky.cct_k !== null && (
            <Fragment>
              <Light name="sky on a level card" option="--sky-level" strength={sky.strength} cct={sky.cct_k} from={r.sky_from} />
              {r.sky_upright.cct_k !== null && <Light name="sky on an upright card" option="--sky-upright" strength={r.sky_upright.strength} cct={r.sky_upright.cct_k} from={r.sky_from} />}
            </Fragment>
          )}
          <tr>
            <th scope="row">sun</th>
            {sun && sun.light.cct_k !== null ? (
              <td class="result" colSpan={2}>
                <Sun b={sun.bearing_deg} e={sun.height_deg} s={sun.light.strength} k={sun.light.cct_k} /> <button class="word" onClick={() => read("--sun", "none")}>no sun</button>
              </td>
            ) : (
              <td class="result" colSpan={2}><button class="word" onClick={() => read("--sun", "-40,25,2@5200K")}>let the sun shine</button></td>
            )}
          </tr>
          <tr>
            <th scope="row">haze</th>
            {r.visibility_m === null ? (
              <td class="result" colSpan={2}><button class="word" onClick={() => read("--haze", "2km")}>add haze</button></td>
            ) : (
              <td class="result" colSpan={2}>
                <Figure name="Visibility" value={r.visibility_m} unit="m of sight" step={0.05} digits={0} isRatio={true} least={1} onTry={() => {}} onKeep={(v) => read("--haze", `${plain(v, 1)}m`)} onLeave={letGo} />{" "}
                <button class="word" onClick={() => read("--haze", "none")}>no haze</button>
              </td>
            )}
          </tr>
          <Told name="white balance" option="--white-balance" value={c.white_balance_k} unit="K" step={50} digits={0} suffix="K" least={1700} most={25000} from="" />
        </tbody>
      </table>
      <h4>frame</h4>
      <p class="manner">
        <Extent r={r} />
        {r.backdrop && (
          <Fragment>
            The photograph is shown{" "}
            <Phrase name="Which way round the photograph is" value={r.backdrop.mirrored ? "--mirror" : "--no-mirror"} others={[["--no-mirror", "as it was taken"], ["--mirror", "mirrored, its light too"]]} onReplace={(word) => read(word)} />.
          </Fragment>
        )}
      </p>
      <p class="row">
        <Turned r={r} />{" "}
        {r.backdrop && <button class="word" onClick={() => chooseFiles((files) => void take(files.slice(0, 1), null))}>take another photograph</button>}
      </p>
      {r.backdrop && r.backdrop.warnings.map((w) => <p class="snag" key={w}>{w}</p>)}
      {picture.lamps.length > 0 && <h4>lamps</h4>}
      {picture.lamps.map((l) => (
        <p class="manner" key={l.lamp}>
          {l.name}: {l.cct_k !== null ? <Glow name={l.name} strength={l.strength} cct={l.cct_k} write={(glow) => void say("light", "change", `#${l.lamp}`, "--strength", glow)} /> : "picked"}
          {l.on ? `, on ${l.on}` : ""} <button class="word" onClick={() => void say("light", "remove", `#${l.lamp}`)}>take it away</button>
        </p>
      ))}
      <p><button class="word" onClick={() => void say("light", "add", lampName(picture), "--at", "0,1.5,5", "--strength", "0.5@2700K")}>hang a lamp</button></p>
    </Fragment>
  );
}

function lampName(picture: Sheet): string {
  const names = new Set(picture.lamps.map((l) => l.name));
  let name = "lamp";
  for (let n = 2; names.has(name); n += 1) name = `lamp ${n}`;
  return name;
}

/** How much light, and of which colour: a strength and kelvin. */
function Glow({ name, strength, cct, write }: { name: string; strength: number; cct: number; write: (glow: string) => void }) {
  return (
    <Fragment>
      <Figure name={`${name}, what a card reads`} value={strength} unit="" step={0.05} digits={3} isRatio={true} least={0.0001} onTry={() => {}} onKeep={(v) => write(`${plain(v, 5)}@${plain(cct, 0)}K`)} onLeave={letGo} /> at{" "}
      <Figure name={`${name}, kelvin`} value={cct} unit="K" step={50} digits={0} least={1700} most={25000} onTry={() => {}} onKeep={(v) => write(`${plain(strength, 5)}@${plain(v, 0)}K`)} onLeave={letGo} />
    </Fragment>
  );
}

function Light({ name, option, strength, cct, from }: { name: string; option: string; strength: number; cct: number; from: string }) {
  return (
    <tr>
      <th scope="row">{name}</th>
      <td class="result"><Glow name={name} strength={strength} cct={cct} write={(glow) => read(option, glow)} /></td>
      <td class={from === "assumed" ? "from assumed" : "from"}>{from}</td>
    </tr>
  );
}

function Sun({ b, e, s, k }: { b: number; e: number; s: number; k: number }) {
  const write = (bearing: number, height: number) => read("--sun", `${plain(bearing, 2)},${plain(height, 2)},${plain(s, 5)}@${plain(k, 0)}K`);
  return (
    <Fragment>
      <Figure name="Bearing of the sun" value={b} unit="° round" step={1} digits={0} onTry={() => {}} onKeep={(v) => write(v, e)} onLeave={letGo} />,{" "}
      <Figure name="Height of the sun" value={e} unit="° up" step={1} digits={0} least={-10} most={90} onTry={() => {}} onKeep={(v) => write(b, v)} onLeave={letGo} />,{" "}
      <Glow name="the sun" strength={s} cct={k} write={(glow) => read("--sun", `${plain(b, 2)},${plain(e, 2)},${glow}`)} />
    </Fragment>
  );
}
