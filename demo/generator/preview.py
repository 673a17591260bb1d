#!/usr/bin/env python3
"""Composes the parts as facts.json says, to judge them: linear light, paper taken out, size and keystone from the mark, disc
blur, gain from the light, haze, far to near; the lantern's light on the ground, mirror images on water, its halo.

    python preview.py [--parts ../parts] [--out preview.png] [--scale 0.5] [--crop x0 y0 x1 y1]  (crop in full-size pixels)
"""
import argparse, json, math, os
import numpy as np
from PIL import Image
from scipy.ndimage import gaussian_filter, map_coordinates
from scipy.signal import fftconvolve

Image.MAX_IMAGE_PIXELS = None
LUMA = np.array([.2126, .7152, .0722])
encode = lambda x: np.where(x <= .0031308, 12.92 * np.clip(x, 0, 1), 1.055 * np.power(np.clip(x, 1e-9, 1), 1 / 2.4) - .055)
decode = lambda x: np.where(x <= .04045, x / 12.92, ((x + .055) / 1.055) ** 2.4)


class Stage:
    def __init__(self, doc, k):
        c = doc["camera"]
        self.W, self.H = int(doc["picture"]["width"] * k), int(doc["picture"]["height"] * k)
        self.h, self.th = c["height_m"], math.radians(c["pitch_deg"])
        self.F = c["focal_mm"] / c["sensor_width_mm"] * self.W
        self.f, self.N, self.s = c["focal_mm"] / 1000, c["f_number"], c["focus_distance_m"]
        self.px = self.W / (c["sensor_width_mm"] / 1000)

    def project(self, x, y, z):
        Y = y - self.h
        d = z * math.cos(self.th) - Y * math.sin(self.th)
        return self.W / 2 + self.F * x / d, self.H / 2 - self.F * (Y * math.cos(self.th) + z * math.sin(self.th)) / d, d

    def blur(self, d):
        return self.f**2 / self.N / (self.s - self.f) * abs(d - self.s) / d * self.px

    def ray(self, u, v):
        a, b = (u - self.W / 2) / self.F, (v - self.H / 2) / self.F
        return a, -b * math.cos(self.th) - math.sin(self.th), -b * math.sin(self.th) + math.cos(self.th)


def disc(c):
    n = int(math.ceil(c / 2 + 1))
    q = (np.arange((2 * n + 1) * 8) + .5) / 8 - n - .5
    k = (np.hypot(q[:, None], q[None]) <= c / 2).astype(float).reshape(2 * n + 1, 8, 2 * n + 1, 8).mean((1, 3))
    return k / k.sum()


def defocus(img, c):
    if c < .35:
        return img
    k = disc(max(c, .6))
    ys, xs = (np.flatnonzero((img[..., -1] > 0).any(a)) for a in (1, 0))
    if not len(ys):
        return img
    n, out = k.shape[0] // 2, np.zeros_like(img)
    w = np.s_[max(0, ys[0] - n):ys[-1] + n + 1, max(0, xs[0] - n):xs[-1] + n + 1]
    out[w] = np.stack([fftconvolve(img[w][..., i], k, mode="same") for i in range(img.shape[2])], -1)
    return out


def cut_out(path, shot):
    """Premultiplied colour and matte, the paper's colour taken out near each edge."""
    rgb = decode(np.asarray(Image.open(f"{path}/{shot['file']}"), float) / 255)
    if not shot.get("matte"):
        return np.dstack([rgb, 0 * rgb[..., :1]])
    a = np.asarray(Image.open(f"{path}/{shot['matte']}")).astype(float) / 65535
    w = (a < .002).astype(float)
    paper, weight = 0, 1e-9
    for s, q in ((3, 1), (12, .02), (40, 4e-4), (120, 8e-6)):
        g = gaussian_filter(w, s)
        k = np.stack([gaussian_filter(rgb[..., i] * w, s) for i in range(3)], -1) * (g * q / (g + 1e-12))[..., None]
        paper, weight = paper + k, weight + g * q
    paper = paper / weight[..., None]
    return np.dstack([np.clip(rgb - (1 - a[..., None]) * paper, 0, None) * (a > 0)[..., None], a])


def put(st, shot, cut, mark, mirrored, box, flip=None):
    """The cut-out through the upright plane that faces the camera at the mark, over box = (x0, y0, x1, y1) pixels.
    flip = height of a mirror: the image below it."""
    d = st.project(*mark)[2]
    k = st.F / d / shot["pixels_per_metre"]
    if k < .9:
        s = .32 * math.sqrt(1 / k**2 - 1)
        cut = np.stack([gaussian_filter(cut[..., i], s) for i in range(4)], -1)
    x0, y0, x1, y1 = box
    v, u = np.mgrid[y0:y1, x0:x1] + .5
    dx, dy, dz = st.ray(u, v)
    r = math.hypot(mark[0], mark[2])
    nx, nz = mark[0] / r, mark[2] / r
    t = r / np.maximum(dx * nx + dz * nz, 1e-3)
    a, b = t * (dx * nz - dz * nx), st.h + t * dy
    if flip is not None:
        b = 2 * flip - b
    b = b - mark[1]
    U = shot["foot"][0] + a * shot["pixels_per_metre"] * (-1 if mirrored else 1) - .5
    V = shot["foot"][1] - b * shot["pixels_per_metre"] - .5
    return np.stack([map_coordinates(cut[..., i], [V, U], order=1) for i in range(4)], -1), d


def cylinder(l):
    """Mean of max(0, n.l) over what the camera sees of an upright cylinder."""
    a = np.linspace(-np.pi / 2, np.pi / 2, 91)
    n = np.stack([np.sin(a), 0 * a, -np.cos(a)], 1)
    w = np.cos(a)
    return float((np.clip(n @ np.asarray(l), 0, None) * w).sum() / w.sum())


def irradiance(doc, at, through=.0):
    L = doc["light"]
    up = np.array(L["sky"]["irradiance_up_rgb"])
    e = np.array(L["sky"]["irradiance_facing_camera_rgb"]) + .5 * np.array(L["ground_reflectance_rgb"]) * up
    for p in L["practicals"]:
        q = np.array(p["position"]) - at
        r = max(float(np.linalg.norm(q)), 2 * p["radius_m"])
        e = e + np.array(p["rgb"]) * p["intensity"] / r**2 * max(cylinder(q / r), through)
    return e


def shot_white(doc, shot, y):
    R = shot.get("white_readings") or doc["studio"]["white_readings"]
    return np.array([np.interp(y, [a["height_m"] for a in R], [a["rgb"][i] for a in R]) for i in range(3)])


THIN = ("crane", "reed", "sedge", "blades", "bulrush", "umbel")              # light comes through these


def compose(parts, k, crop=None, per_pixel=False):
    doc = json.load(open(f"{parts}/facts.json"))
    st = Stage(doc, k)
    bd = Image.open(f"{parts}/backdrop.jpg")
    if k != 1:
        bd = bd.resize((st.W, st.H), Image.BOX if k == .5 else Image.LANCZOS)
    img = decode(np.asarray(bd, float) / 255)
    lamp = doc["light"]["practicals"][0]
    pos, flux = np.array(lamp["position"]), np.array(lamp["rgb"]) * lamp["intensity"]
    # the lantern's light on the ground: as much more light as there is from the sky (matt part; the air keeps its own)
    v, u = np.mgrid[0:st.H, 0:st.W] + .5
    dx, dy, dz = st.ray(u, v)
    t = np.where(dy < -2e-3, st.h / np.maximum(-dy, 2e-3), np.inf)
    g = np.stack([dx * t, 0 * t, dz * t], -1)
    ok = np.isfinite(t) & (g[..., 2] < 60)
    q = pos - np.where(ok[..., None], g, 0)
    r2 = (q**2).sum(-1)
    e = flux * (pos[1] / np.sqrt(r2) / r2)[..., None]
    vis, air = doc["air"]["visibility_m"], np.array(doc["air"]["colour_rgb"])
    up = np.array(doc["light"]["sky"]["irradiance_up_rgb"])
    keep = np.exp(-3.912 / vis * np.where(ok, g[..., 2], 0))[..., None]
    surf = np.clip(img - air * (1 - keep), 0, None)
    lum = (surf @ LUMA)[..., None]
    wet = np.clip((lum - .045) / .05, 0, 1)                                    # bright = the sky's mirror image: not matt
    img = np.where(ok[..., None], img + surf * e / up * (1 - .92 * wet) * .8, img)
    cuts, pieces = {}, []
    for p in doc["pieces"]:
        m = (p["mark"]["x"], p["mark"]["y"], p["mark"]["z"])
        pieces.append((p, m, st.project(*m)[2] - (.02 if p.get("attached_to") else 0)))
    pieces.sort(key=lambda q: -q[2])
    for p, m, _ in pieces:
        shot = doc["shots"].get(p["shot"])
        if shot is None:
            continue
        cut = cuts.get(p["shot"])
        if cut is None:
            cut = cuts[p["shot"]] = cut_out(parts, shot)
        d = st.project(*m)[2]
        c, ppm = st.blur(d), st.F / d
        pad = int(c / 2 + 6)
        fu = shot["foot"][0] if not p["mirrored"] else shot["width"] - shot["foot"][0]
        s = ppm / shot["pixels_per_metre"] * 1.06
        u0, v0, _ = st.project(*m)
        box = [int(u0 - fu * s) - pad, int(v0 - shot["foot"][1] * s) - pad, int(u0 + (shot["width"] - fu) * s) + pad, int(v0 + (shot["height"] - shot["foot"][1]) * s) + pad]
        lim = (-pad - 2, -pad - 2, st.W + pad + 2, st.H + pad + 2)
        box = [max(box[0], lim[0]), max(box[1], lim[1]), min(box[2], lim[2]), min(box[3], lim[3])]
        if box[2] - box[0] < 3 or box[3] - box[1] < 3:
            continue
        layer, d = put(st, shot, cut, m, p["mirrored"], box)
        mid = np.array([m[0], m[1] + .5 * shot["height_m"], m[2]])
        if p.get("additive"):
            gain = np.array([1.0, 1.0, 1.0])
        elif p.get("self_luminous"):
            gain = np.array([1.0, 1.0, 1.0]) * p.get("gain", 1.0)
        else:
            th = .35 if p["shot"].startswith(THIN) else 0.0
            gain = irradiance(doc, mid, th) / shot_white(doc, shot, .5 * shot["height_m"])
            if per_pixel:
                yy = np.linspace(0, 1, 24)
                gs = np.array([irradiance(doc, np.array([m[0], m[1] + y * shot["height_m"], m[2]]), th) / shot_white(doc, shot, y * shot["height_m"]) for y in yy])
                vv = np.arange(box[1], box[3]) + .5
                h = np.clip((v0 - vv) / ppm / shot["height_m"], 0, 1)
                gain = np.stack([np.interp(h, yy, gs[:, i]) for i in range(3)], -1)[:, None]
        layer[..., :3] *= gain * 2 ** p.get("nudge_ev", 0.0)
        layer = defocus(layer, c) if not p.get("additive") else layer
        if not p.get("additive"):
            tr = math.exp(-3.912 / vis * d)
            layer[..., :3] = layer[..., :3] * tr + layer[..., 3:] * air * (1 - tr)
        x0, y0 = max(box[0], 0), max(box[1], 0)
        x1, y1 = min(box[2], st.W), min(box[3], st.H)
        if x1 <= x0 or y1 <= y0:
            continue
        if not p.get("additive") and m[1] < .3 and m[2] > 5:                  # where it stands it keeps the sky off the mud
            e = int(.9 * ppm)
            vv, uu = np.mgrid[y0:y1 + e // 3, x0 - e:x1 + e] + .5
            vv, uu = vv[vv[:, 0] < st.H], uu[vv[:, 0] < st.H]
            ey = (vv - v0) / (ppm * .16 * st.h / m[2]); ex = (uu - u0) / (ppm * (.34 if p["name"] == "sitter" else .16))
            sh = .55 * np.exp(-(ex**2 + ey**2))
            a, b = max(0, x0 - e), min(st.W, x1 + e)
            sh = sh[:, a - (x0 - e):(b - (x0 - e))]
            img[y0:y0 + sh.shape[0], a:b] *= 1 - sh[..., None]
        L = layer[y0 - box[1]:y1 - box[1], x0 - box[0]:x1 - box[0]]
        img[y0:y1, x0:x1] = L[..., :3] + img[y0:y1, x0:x1] * (1 - np.clip(L[..., 3:], 0, 1))
    return img, doc


def main():
    ap = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    here = os.path.dirname(os.path.abspath(__file__))
    ap.add_argument("--parts", default=os.path.join(here, "..", "parts"))
    ap.add_argument("--out", default="preview.png")
    ap.add_argument("--scale", type=float, default=.5)
    ap.add_argument("--crop", nargs=4, type=int)
    ap.add_argument("--per-pixel", action="store_true", help="the gain varies with height on a piece")
    a = ap.parse_args()
    img, _ = compose(a.parts, a.scale, per_pixel=a.per_pixel)
    out = Image.fromarray(np.round(encode(img) * 255).astype(np.uint8))
    if a.crop:
        out = out.crop([int(c * a.scale) for c in a.crop])
    out.save(a.out)


if __name__ == "__main__":
    main()
