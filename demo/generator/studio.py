"""The studio: a paper sweep, a wide soft tent of light, a camera five metres away."""
import math
import numpy as np
import feet
from core import *

DISTANCE = 5.0
PAPER = (.850, .842, .826)                                # the paper is not quite neutral
# Where the soft light is strongest, and by how much. The sitter's comes from where the lantern will be; the cranes' from above, so
# that it suits their mirror images too; that of plants and posts from the front.
KEYS = {"sitter": ((-1.0, .50, -.30), 4.5), "crane": ((0, 1.0, -.55), 1.9), "other": ((0, .45, -1), 1.0)}
CCT, WB = 5450, 5600                                     # nor is the light


def sweep(level=1.0):
    g = Geo()
    z = [-7, -2, 1.4] + [1.4 + .8 * math.sin(a) for a in np.linspace(.1, np.pi / 2, 14)] + [2.2]
    y = [0, 0, 0] + [.8 - .8 * math.cos(a) for a in np.linspace(.1, np.pi / 2, 14)] + [6.5]
    n = len(z)
    v = np.array([[s * 6.0, b, a] for s in (-1, 1) for a, b in zip(z, y)])
    i = np.arange(n - 1)
    g.add(v, np.concatenate([np.stack([i, i + 1, i + n], 1), np.stack([i + 1, i + n + 1, i + n], 1)]), np.array(PAPER), "matt")
    return {"type": "scene", **g.shapes("paper")}


def tent(rgb, k, key=(0, .45, -1), ratio=1.0):
    """Soft light, brightest from the key's direction; ratio: how far the key outdoes the rest."""
    key = np.asarray(key, float) / np.linalg.norm(key)

    def fn(d):
        y = np.clip(d[..., 1:2], 0, 1) ** .6
        base = .35 + .20 * y
        return np.asarray(rgb) * k * (base + ratio * np.clip((d @ key)[..., None], 0, 1) ** 2.5)
    return Sky.from_function(fn, 96, 384)


def make_studio(key=(0, .45, -1), ratio=1.0, level=.9):
    """Light set so that a white card at one metre reads `level`; with the card's readings at several heights."""
    rgb = light_rgb(CCT, WB)
    it = tracer(tent(rgb, 1.0, key, ratio), 4)
    r = grey_readings(sweep(), it, [(0, 1.0, 0)], (0, 0, -1))[0]
    it = tracer(tent(rgb, level / (r @ LUMA), key, ratio), 5, clamp=4.0)
    heights = [.15, .5, 1.0, 1.5, 2.0]
    white = grey_readings(sweep(), it, [(0, y, 0) for y in heights], (0, 0, -1))
    return {"it": it, "rgb": rgb, "heights": heights, "white": white}


def calm_paper(shot, matte):
    """Takes the sampling noise out of the bare paper (never out of the piece)."""
    from scipy.ndimage import gaussian_filter, maximum_filter
    bare = (maximum_filter(matte, 5) < 1e-6).astype(float)
    w = gaussian_filter(bare, 5) + 1e-6
    flat = np.stack([gaussian_filter(shot[..., i] * bare, 5) / w for i in range(3)], -1)
    k = gaussian_filter(bare, 1.5)[..., None] * bare[..., None]
    return shot * (1 - k) + flat * k


def calm_cloth(shot, matte, noise=.028, least=.35):
    """Takes sampling noise of this size (in coded values) out of the piece where nothing stronger shows, well inside its matte."""
    from scipy.ndimage import gaussian_filter, minimum_filter
    e = encode(shot)
    y = e @ LUMA
    m = gaussian_filter(y, 2)
    var = np.maximum(gaussian_filter(y * y, 2) - m * m, 0)
    keep = gaussian_filter(np.maximum(var - noise**2, 0) / (var + 1e-9), 2).clip(least, 1)[..., None]
    flat = np.stack([gaussian_filter(e[..., i], 2) for i in range(3)], -1)
    w = gaussian_filter(minimum_filter((matte > .99).astype(float), 5), 1.5)[..., None]
    return decode(np.clip(e + w * (1 - keep) * (flat - e), 0, 1))


def photograph(path, geo, st, eye, target=900, spp=24, matte_spp=64, seed=0, hung=0.0, extra=None, extra_points=None, margin=.045, png=False, bits=10, grain=.7, rooted=False, cloth=False):
    """A shot on paper and its matte. geo: the turned piece, its foot on the origin; hung: metres above the floor;
    rooted: it grows out of the paper, and what the paper hides of it is no part of it; cloth: calm_cloth.
    Writes path (with /shots/ and /mattes/ in it when not png); returns the entry for facts.json."""
    P = geo.points()
    if extra_points is not None:
        P = np.concatenate([P, extra_points])
    D, hh = DISTANCE, eye
    q = np.stack([P[:, 0] / (P[:, 2] + D), (hh - P[:, 1]) / (P[:, 2] + D)], 1)
    lo, hi = q.min(0), q.max(0)
    if not hung:
        hi = np.maximum(hi, [-9, hh / D])
    ext = hi - lo
    F = target / max(ext)
    pad = margin * max(ext) * F + 6
    film = (32768, 32768)
    x0, y0 = (int(math.floor(film[i] / 2 + lo[i] * F - pad)) for i in (0, 1))
    x1, y1 = (int(math.ceil(film[i] / 2 + hi[i] * F + pad)) for i in (0, 1))
    crop = (x0, y0, x1 - x0, y1 - y0)
    s = sensor({}, F, film, crop, [0, hh + hung, -D], lens=False)
    up = geo.mapped(lambda p: p + [0, hung, 0]) if hung else geo
    obj = up.shapes("piece")
    if extra is not None:
        obj = {**obj, **extra(hung)}
    # matte first: coverage alone
    cov = tracer(None, 1, alpha_only=True)
    matte = render(mi.load_dict({"type": "scene", **obj}), cov, s, matte_spp, seed + 7, 16)[..., 3]
    shot = render(mi.load_dict({**sweep(), **obj}), st["it"], s, spp, seed, 4)[..., :3]
    foot = film[1] / 2 + hh / D * F - y0
    shot = calm_paper(shot, matte)
    if cloth:
        shot = calm_cloth(shot, matte)
    if rooted:
        matte = feet.shown(shot, matte, foot, float(P[:, 1].max()) * F / D)
    if png:
        Image.fromarray((encode(shot) * 255).astype(np.uint8)).save(path + ".png")
        Image.fromarray((matte * 255).astype(np.uint8)).save(path + "_m.png")
    else:
        root, name = path.rsplit("/", 1)
        save_jpeg(f"{root}/shots/{name}.jpg", shot, 92, grain, seed)
        save_matte(f"{root}/../mattes/{name}.png", matte, bits)
    return {"file": f"shots/{path.rsplit('/', 1)[-1]}.jpg", "matte": f"mattes/{path.rsplit('/', 1)[-1]}.png", "width": crop[2], "height": crop[3],
            "pixels_per_metre": F / D, "foot": [film[0] / 2 - x0, foot],
            "principal": [film[0] / 2 - x0, film[1] / 2 - y0], "focal_px": F, "eye_height_m": hh, "height_m": float(P[:, 1].max())}
