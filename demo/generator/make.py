#!/usr/bin/env python3
"""Makes the parts of "Lantern marsh": backdrop, shots, mattes, facts.json.

    python make.py [--out ../parts] [--only backdrop shots facts NAME ...] [--spp 32] [--shot-spp 28] [--cache DIR]

What exists already is kept unless it is named with --only. See ../README.md.
"""
import argparse, json, math, os, time
import numpy as np
from core import *
import feet, landscape, layout, models, props, studio, figure
from layout import W, H, CAMERA, SHOTS, PIECES, SITTER, LAMP

HERE = os.path.dirname(os.path.abspath(__file__))
STAGE = Stage(CAMERA, W, H)


# ------------------------------------------------------------------------------------------------ where things are
def in_place(local, mark, bearing):
    """A point of a piece's own frame, out in the picture."""
    g = Geo(); g.anchors["p"] = np.asarray(local, float)
    return g.placed(mark, bearing).anchors["p"]


def lantern_foot():
    """The lantern hangs by its ring from the staff's hook, where the hook shows in the plane of the flat cut-out."""
    x, y, z = in_place(figure.HOOK, (0, 0, 0), figure.BEARING)
    eye = studio.DISTANCE * (CAMERA["height_m"] - SITTER[1]) / math.hypot(SITTER[0], SITTER[2])
    k = studio.DISTANCE / (studio.DISTANCE + z)
    a, b = x * k, eye + (y - eye) * k
    t = math.atan2(SITTER[0], SITTER[2])
    return np.array([SITTER[0] + a * math.cos(t), SITTER[1] + b - props.LANTERN_H + .004, SITTER[2] - a * math.sin(t)])


def lamp_centre():
    return lantern_foot() + [0, .090, 0]


def facing(piece):
    """The view (and mirror image) of the piece's model that comes nearest to looking at the lantern."""
    model = piece["shot"]
    views = {n: s[1] for n, s in SHOTS.items() if s[0] == model}
    x, y, z = piece["mark"]
    to = lamp_centre() - np.array([x, y, z])
    # bearing in the frame of the line of sight: 0 = towards the camera, positive = to the right
    az = math.degrees(math.atan2(to[0], -to[2])) + math.degrees(math.atan2(x, z))
    az = (az + 180) % 360 - 180
    best = min(((abs((b * m - az + 180) % 360 - 180), n, m < 0) for n, b in views.items() for m in (1, -1)), key=lambda q: (q[0], q[2]))
    return best[1], best[2], round(az, 1), round(best[0], 1)


def resolve():
    """The pieces with shot, mirror and mark settled."""
    out = []
    for p in PIECES:
        q = dict(p, mark=list(p["mark"]), stance="upright")
        if q.get("facing_target"):
            q["shot"], q["mirrored"], want, miss = facing(q)
            q["why"] = f"looks at the lantern: wants bearing {want}, the nearest view misses by {miss} degrees"
        if q["name"] == "lantern":
            q["mark"] = [round(float(v), 4) for v in lantern_foot()]
            q["stance"] = "hanging"
        q["mark"][1] += q.get("lift", 0.0)
        out.append(q)
    return out


def eyes(pieces):
    """Each shot is taken at the eye height that shows it as the camera sees the sharpest piece made of it."""
    e = {}
    for p in sorted(pieces, key=lambda p: abs(1 / p["mark"][2] - 1 / CAMERA["focus_distance_m"])):
        hung = SHOTS[p["shot"]][2]
        eye = studio.DISTANCE * (CAMERA["height_m"] - p["mark"][1]) / math.hypot(p["mark"][0], p["mark"][2])
        e.setdefault(p["shot"], round(min(max(eye, .1 - hung), 2.4), 3))
    for n, s in SHOTS.items():                                # views no piece uses at present: as their model's others
        like = [e[m] for m in SHOTS if m in e and SHOTS[m][0] == s[0]]
        e.setdefault(n, like[0] if like else round(studio.DISTANCE * CAMERA["height_m"] / 7.2, 3))
    return e


# ------------------------------------------------------------------------------------------------ backdrop
def denoise(img):
    """Far ground is drawn with a wide disc of blur; noise finer than a part of that disc is no detail and goes."""
    from scipy.ndimage import gaussian_filter
    v = (np.arange(H) + .5 - H / 2) / STAGE.F
    dy = -v * math.cos(STAGE.th) - math.sin(STAGE.th)
    d = np.where(dy < -1e-4, CAMERA["height_m"] / np.maximum(-dy, 1e-4), 1e4)
    disc = np.array([STAGE.blur(q) for q in d])
    out = img.copy()
    for s, lo in ((.8, 4.0), (1.6, 9.0), (2.6, 16.0)):
        w = smooth(lo, lo * 1.35, disc)[:, None, None]
        out = out * (1 - w) + w * np.stack([gaussian_filter(img[..., i], s) for i in range(3)], -1)
    return out


def backdrop(out, spp, cache):
    sky = landscape.make_sky()
    sc = mi.load_dict(landscape.scene(STAGE))
    s, it = sensor(CAMERA, STAGE.F, (W, H)), landscape.make_tracer(sky)
    acc = 0
    n = max(1, spp // 4)
    for i in range(n):
        acc = acc + np.array(mi.render(sc, integrator=it, sensor=s, spp=4, seed=100 + i), dtype=np.float32)
    if cache:
        np.save(f"{cache}/backdrop.npy", acc / n)
    return acc / n


def light_facts():
    """The sky's irradiances (from the sky alone) and what the ground sends up, from grey cards traced on the mark."""
    sky = landscape.make_sky()
    up, front = sky.irradiance((0, 1, 0)), sky.irradiance((0, 0, -1))
    base = landscape.scene(STAGE, .4)
    it = landscape.make_tracer(sky)
    at = [(SITTER[0], y, SITTER[2] - .3) for y in (.5, .9, 1.3)]
    card_up = grey_readings(base, it, [(SITTER[0], 1.0, SITTER[2] - .3)], (0, 1, 0))[0]
    card = grey_readings(base, it, at, (0, 0, -1)).mean(0)
    refl = np.clip((card - front) / (.5 * up), .01, None)
    return {"up": up, "front": front, "card_up": card_up, "card_front": card, "reflectance": refl}


# ------------------------------------------------------------------------------------------------ shots
def shoot(name, out, eye, spp, seed, cache):
    model, bearing, hung, target = SHOTS[name]
    if model == "lantern":
        st = studio.make_studio(level=.16)                    # the room dark, the lamp lit
        g, (V, F, E) = props.lantern(np.random.default_rng(8), .58)
        e = studio.photograph(f"{out}/{name}", g, st, eye, target, spp * 2, 64, seed, hung, lambda h: {"panes": props.glowing_mesh(V + [0, h, 0], F, E)}, V)
        bearing = 0
    else:
        st = studio.make_studio(*studio.KEYS.get(model.split("_")[0], studio.KEYS["other"]))
        g = models.build(model, cache_dir=cache) if model == "sitter" else models.build(model)
        bearing = figure.BEARING if bearing is None else bearing
        e = studio.photograph(f"{out}/{name}", g.placed(turn=bearing), st, eye, target, spp, 96 if model == "sitter" else 64, seed, hung,
                              rooted=model.split("_")[0] in feet.ROOTED, cloth=model == "sitter")
    e["view_bearing_deg"] = bearing
    r = lambda a: [round(float(v), 5) for v in a]
    if model != "lantern" and model.split("_")[0] in studio.KEYS or hung:
        e["hung_m"] = hung
        e["white_readings"] = [{"height_m": round(y - hung, 3), "rgb": r(w)} for y, w in zip(st["heights"], st["white"])]
    return e


def glow_shot(out):
    """A lamp's halo, photographed through a mist filter on black: additive, without matte."""
    n = 900
    y, x = (np.mgrid[0:n, 0:n] + .5 - n / 2) / (n / 2)
    r = np.hypot(x, y)
    h = .50 * np.exp(-(r / .10) ** 2) + .22 * np.exp(-(r / .24) ** 2) + .10 / (1 + (r / .20) ** 2) ** 1.5
    h = h * (1 + .05 * fbm(np.arctan2(y, x) * 3, r * 2, 4, 1, 3)) * smooth(1.0, .55, r)
    img = h[..., None] * np.array([1.0, .52, .19]) + (.25 * np.exp(-(r / .06) ** 2))[..., None] * np.array([1, .8, .5])
    save_jpeg(f"{out}/shots/glow.jpg", np.clip(img, 0, 1), 92)
    ppm = 500.0
    return {"file": "shots/glow.jpg", "matte": None, "width": n, "height": n, "pixels_per_metre": ppm, "foot": [n / 2, n / 2], "principal": [n / 2, n / 2],
            "focal_px": ppm * studio.DISTANCE, "view_bearing_deg": 0, "eye_height_m": 0.0, "height_m": 0.0, "additive": True}


# ------------------------------------------------------------------------------------------------ facts
def facts(out, entries, light, white, heights):
    r = lambda a, n=6: [round(float(v), n) for v in a]
    lamp = lamp_centre()
    pieces = resolve()
    lant = next(p for p in pieces if p["name"] == "lantern")
    pieces.append({"name": "glow", "shot": "glow", "mark": [float(lamp[0]), float(lamp[1]), float(lamp[2]) - .05], "mirrored": False, "stance": "facing lens", "attached_to": "lantern",
                   "additive": True, "why": "the halo of the lamp in the damp air; adds light"})
    doc = {
        "schema": 1, "name": "lantern-marsh", "kind": "natural", "about": "A tidal marsh at dusk. A bearer with a lantern; paper cranes come to the light.",
        "picture": {"width": W, "height": H, "encoding": "sRGB", "white_balance_cct": layout.WHITE_BALANCE},
        "backdrop": {"file": "backdrop.jpg", "lens": "with the depth of field of the picture's own lens, focused at the sitter's mark", "lantern": "not in it: dusk alone"},
        "camera": CAMERA,
        "light": {"unit": "linear value of a perfect white diffuser (irradiance / pi, in picture units)", "sun": None,
                  "sky": {"irradiance_up_rgb": r(light["up"]), "irradiance_facing_camera_rgb": r(light["front"]), "cct": 8500},
                  "ground_reflectance_rgb": r(light["reflectance"]),
                  "cards": {"level_rgb": r(light["card_up"]), "facing_camera_rgb": r(light["card_front"]), "why": "grey cards traced on the sitter's mark in the empty marsh"},
                  "practicals": [{"name": "lantern", "position": r(lamp, 4), "radius_m": LAMP["radius_m"], "intensity": LAMP["intensity"], "rgb": r(light_rgb(LAMP["cct"], layout.WHITE_BALANCE)),
                                  "cct": LAMP["cct"], "attached_to": "lantern", "in_backdrop": False, "spill": 0.3}]},
        "air": {"visibility_m": landscape.AIR["visibility_m"], "colour_rgb": list(landscape.AIR["colour"]), "why": "the backdrop has besides a low mist beyond the near bank, thinning out with height"},
        "studio": {"cct": studio.CCT, "white_balance_cct": studio.WB, "rgb": r(light_rgb(studio.CCT, studio.WB)), "camera_distance_m": studio.DISTANCE, "pitch_deg": 0,
                   "white_readings": [{"height_m": y, "rgb": r(w, 5)} for y, w in zip(heights, white)], "paper_reflectance_rgb": list(studio.PAPER)},
        "subject": "sitter", "shots": entries,
        "pieces": [{"name": p["name"], "shot": p["shot"], "mark": dict(zip("xyz", [round(float(v), 4) for v in p["mark"]])), "mirrored": p["mirrored"], "stance": p["stance"],
                    **{k: p[k] for k in ("facing_target", "attached_to", "lift", "nudge_ev", "additive", "why") if k in p},
                    **({"self_luminous": True, "gain": 1.4, "why": "shines by itself: shown as photographed"} if p["shot"] == "lantern" else {})} for p in pieces]}
    with open(f"{out}/facts.json", "w") as f:
        json.dump(doc, f, indent=1)
        f.write("\n")


def main():
    ap = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ap.add_argument("--out", default=os.path.join(HERE, "..", "parts"))
    ap.add_argument("--only", nargs="*")
    ap.add_argument("--spp", type=int, default=32)
    ap.add_argument("--shot-spp", type=int, default=28)
    ap.add_argument("--cache", help="keeps the simulated cloth and the linear backdrop there")
    a = ap.parse_args()
    out = os.path.abspath(a.out)
    for d in ("shots", "../mattes"):
        os.makedirs(f"{out}/{d}", exist_ok=True)
    if a.cache:
        os.makedirs(a.cache, exist_ok=True)
    want = lambda n, f: (not a.only and not os.path.exists(f)) or (a.only and n in a.only)
    t0 = time.time()
    say = lambda *s: print(f"{time.time() - t0:6.0f} s ", *s, flush=True)
    store = f"{a.cache or out}/entries.json"
    if os.path.exists(store):
        E = json.load(open(store))
    else:                                                     # what is there already is told by its facts
        E = json.load(open(f"{out}/facts.json"))["shots"] if os.path.exists(f"{out}/facts.json") else {}
        json.dump(E, open(store, "w"))
    ey = eyes(resolve())
    for i, n in enumerate(SHOTS):
        if want(n, f"{out}/shots/{n}.jpg") or (a.only and "shots" in a.only) or (n not in E and not a.only):
            e = shoot(n, out, ey[n], a.shot_spp, 50 + i, a.cache)
            E = (json.load(open(store)) if os.path.exists(store) else {}) | {n: e}
            json.dump(E, open(store, "w"))
            say("shot", n, E[n]["width"], "x", E[n]["height"], os.path.getsize(f"{out}/shots/{n}.jpg") // 1024, "+", os.path.getsize(f"{out}/../mattes/{n}.png") // 1024, "KB")
    E["glow"] = glow_shot(out)
    if want("backdrop", f"{out}/backdrop.jpg"):
        npy = f"{a.cache}/backdrop.npy" if a.cache else None
        img = np.load(npy) if npy and os.path.exists(npy) else backdrop(out, a.spp, a.cache)
        save_jpeg(f"{out}/backdrop.jpg", denoise(img[..., :3]), 93, .8, 9)
        say("backdrop", os.path.getsize(f"{out}/backdrop.jpg") // 1024, "KB")
    lf = f"{a.cache or out}/light.json"
    if a.cache and os.path.exists(lf) and not (a.only and "light" in a.only):
        L = {k: np.array(v) for k, v in json.load(open(lf)).items()}
    else:
        L = light_facts()
        if a.cache:
            json.dump({k: list(map(float, v)) for k, v in L.items()}, open(lf, "w"))
    st = studio.make_studio()
    facts(out, {n: E[n] for n in [*SHOTS, "glow"] if n in E}, L, st["white"], st["heights"])
    if not a.cache:
        os.path.exists(store) and os.remove(store)
    say("facts.json")


if __name__ == "__main__":
    main()
