"""The backdrop: a tidal marsh at dusk. Mud, channels, reed belts, a far shore with trees in the mist, the sky."""
import math
import numpy as np
from core import *

SEED = 4
WATER = -0.055
EXPOSURE = 1.28

# ------------------------------------------------------------------------------------------------ the sky
WARM_AZ = -7.0                                       # degrees, where the afterglow is strongest


def sky_radiance(d):
    el = np.degrees(np.arcsin(np.clip(d[..., 1], 0, 1)))
    az = np.degrees(np.arctan2(d[..., 0], d[..., 2]))
    stops = np.array([0, 0.6, 1.3, 2.3, 3.6, 5.2, 8.0, 14, 30, 60, 90.0])
    cols = np.array([[.330, .265, .245], [.520, .345, .255], [.620, .385, .255], [.520, .365, .295], [.360, .312, .322], [.240, .252, .310],
                     [.172, .200, .270], [.145, .175, .245], [.115, .145, .215], [.085, .112, .175], [.075, .10, .16]])
    cold = np.array([[.225, .235, .270], [.250, .255, .290], [.255, .258, .295], [.245, .252, .295], [.230, .242, .292], [.205, .224, .284],
                     [.165, .192, .262], [.140, .170, .240], [.112, .142, .212], [.085, .112, .175], [.075, .10, .16]])
    warm = np.stack([np.interp(el, stops, cols[:, k]) for k in range(3)], -1)
    cool = np.stack([np.interp(el, stops, cold[:, k]) for k in range(3)], -1)
    w = (0.06 + 0.94 * np.exp(-((az - WARM_AZ) / 19.0) ** 2))[..., None]
    s = cool + (warm - cool) * w
    # stratus: noise on a level sheet, seen in perspective, in long streaks across
    y = np.maximum(d[..., 1], 0.012)
    px, pz = d[..., 0] / y, d[..., 2] / y
    n1 = fbm(px * 0.75 + 3, pz * 0.42, SEED, 3.0, 6, 0.55)
    n2 = fbm(px * 1.3 + 9, pz * 0.9, SEED + 7, 2.0, 5, 0.6)
    front = smooth(40, 2, np.abs(az)) * 0.6 + 0.4
    cover = smooth(-0.04, 0.34, n1 + 0.30 * n2) * smooth(0.7, 2.6, el) * front
    edge = smooth(-0.12, 0.10, n1 + 0.25 * n2) * (1 - cover) * smooth(0.8, 2.4, el) * smooth(12, 4, el)
    cloud = np.array([.128, .150, .205]) * (1 + 0.45 * w) * smooth(-3, 3, el)[..., None] + 0.02
    s = s * (1 - 0.74 * cover[..., None]) + cloud * 0.74 * cover[..., None]
    s = s + edge[..., None] * w * np.array([.130, .060, .024])
    return np.maximum(s, 0.0) * EXPOSURE


def make_sky():
    return Sky.from_function(sky_radiance, 1536, 6144)


# ------------------------------------------------------------------------------------------------ the ground
CZ = np.log(np.array([3.0, 6, 8, 10.5, 15, 23, 36, 60, 95, 140, 260]))
CX = np.array([-2.2, -1.55, -1.45, -1.55, -1.0, 1.6, 2.4, -5.0, -9, -4, 0])
CW = np.array([0.55, 0.62, 0.72, 0.86, 1.10, 1.7, 3.6, 9.0, 34, 70, 130])


def channel(x, z):
    """Signed distance (metres, roughly) to the edge of the nearest channel; negative inside."""
    lz = np.log(np.maximum(z, 1.0))
    wob = 0.16 * fbm(x, z, SEED + 31, 2.6, 4, 0.55) * np.sqrt(np.maximum(z, 4) / 8)
    d = np.abs(x - np.interp(lz, CZ, CX) + 1.4 * wob) - np.interp(lz, CZ, CW) * (1 + 0.7 * wob)
    z2 = 17.5 + 0.55 * (x - 1) + 0.9 * np.sin(x * 0.55) + 1.2 * wob                # a creek from the right
    d2 = np.where(x > 0.5, np.abs(z - z2) / 1.3 - (0.30 + 0.06 * x), 9.0)
    z3 = 11.6 - 0.35 * (x + 2) + 0.5 * np.sin(x * 0.9 + 1) + 1.0 * wob             # and one from the left
    d3 = np.where(x < -1.4, np.abs(z - z3) / 1.2 - (0.20 - 0.03 * x), 9.0)
    return np.minimum(np.minimum(d, d2), d3)


def terrain(x, z, sp):
    """Height of the mud, without the water."""
    d = channel(x, z)
    bank = smooth(-0.55, 0.28, d)
    y = -0.26 + 0.255 * bank
    y = y + 0.055 * fbm(x, z, SEED + 1, 1.9, 3, 0.5, sp) * (0.5 + 0.5 * bank)
    crease = np.exp(-(fbm(x, z * 0.8, SEED + 2, 1.15, 3, 0.5, sp) / 0.035) ** 2)
    y = y - 0.020 * crease * bank * np.clip(0.15 / sp, 0, 1)
    y = y + 0.020 * fbm(x, z, SEED + 3, 0.34, 5, 0.62, sp)
    lumps = np.clip(fbm(x, z, SEED + 4, 0.085, 3, 0.6, sp) - 0.12, 0, 1)
    y = y + 0.050 * lumps * smooth(-0.3, 0.2, fbm(x, z, SEED + 6, 1.3, 2, 0.5, sp))
    y = y - 0.010 * np.exp(-(fbm(x, z, SEED + 8, 0.16, 2, 0.5, sp) / 0.05) ** 2) * np.clip(0.02 / sp, 0, 1)
    y = y - 0.075 * smooth(.10, .30, fbm(x, z, SEED + 9, 1.25, 4, 0.5, sp)) * smooth(5.5, 6.6, z + .8 * x)   # pools
    for k in range(5):                                                              # where the sitter walked
        a = .42 + .50 * k
        px, pz = 0.80 + .57 * a + (.09 if k % 2 else -.09) * .82, 7.2 - .82 * a + (.09 if k % 2 else -.09) * .57
        lo, la = -(x - px) * .57 + (z - pz) * .82, (x - px) * .82 + (z - pz) * .57
        q = np.sqrt((lo / .145) ** 2 + (la / (.056 + .012 * np.sign(lo))) ** 2)
        y = y - .040 * smooth(1.05, .75, q) + .012 * np.exp(-((q - 1.25) / .22) ** 2)
    flat = np.exp(-((x - 0.72) ** 2 + (z - 7.2) ** 2) / 0.8)                        # where the sitter stands
    return y * (1 - 0.6 * flat) + 0.012 * flat


def ground_mesh(stage, detail=1.0):
    z0, z1 = 4.6, 700.0
    rows, cols = int(1350 * detail), int(2300 * detail)
    z = 1 / np.linspace(1 / z0, 1 / z1, rows)
    zz, s = np.meshgrid(z, np.linspace(-1, 1, cols), indexing="ij")
    x = s * (zz * (stage.W * 0.55 / stage.F) + 0.6)
    dz = np.abs(np.gradient(zz, axis=0))
    sp = np.sqrt(np.abs(np.gradient(x, axis=1)) * np.minimum(dz, 6 * np.abs(np.gradient(x, axis=1))))
    y = terrain(x, zz, sp)
    # water: a level sheet with the least of ripples, calm in patches
    wind = 0.35 + 0.65 * smooth(-0.15, 0.25, fbm(x, zz * 0.5, SEED + 12, 5.0, 3, 0.5))
    rip = (fbm(x, zz * 0.75, SEED + 13, 0.22, 3, 0.55, sp) * 0.0011 + fbm(x + 40, zz * 0.6, SEED + 14, 0.9, 2, 0.5, sp) * 0.0026) * wind
    ring = 0
    water = smooth(0.004, -0.004, y - WATER)
    film = smooth(0.055, -0.01, y - WATER + 0.03 * fbm(x, zz, SEED + 15, 0.7, 4, 0.6, sp))    # wet to shining
    pool = smooth(0.02, 0.16, fbm(x, zz, SEED + 16, 1.1, 4, 0.55, sp)) * 0.8                  # wet patches on the flats
    wet = np.clip(np.maximum(film, pool * smooth(0.13, 0.0, y + 0.05)), 0, 1)
    n = fbm(x, zz, SEED + 17, 2.2, 7, 0.62, sp)
    fine = fbm(x, zz, SEED + 18, 0.05, 3, 0.6, sp)
    mud = np.array([.128, .104, .082]) * (1 + 0.75 * n + 0.55 * fine)[..., None]
    green = smooth(0.02, 0.35, fbm(x, zz, SEED + 19, 1.6, 5, 0.6, sp))[..., None]
    mud = mud * (1 - 0.55 * green) + 0.55 * green * np.array([.085, .088, .040]) * (1 + 0.8 * fine)[..., None]
    c = mud * (1 - 0.60 * wet[..., None])
    c = c * (1 - water[..., None]) + water[..., None] * np.array([.012, .014, .013])
    rough = 0.62 - 0.44 * wet + 0.05 * fine
    rough = np.clip(rough * (1 - water) + 0.035 * water, 0.03, 0.9)
    y = np.where(y > WATER, y, WATER + rip * smooth(0, 0.01, WATER - y))
    V = np.stack([x.ravel(), y.ravel(), zz.ravel()], 1)
    m = to_mesh(V, grid_faces(rows, cols)[:, ::-1], c.reshape(-1, 3), "ground", True, rough.ravel())
    g = Geo()
    b = 6000.0
    g.add([[-b, -.4, -b], [b, -.4, -b], [b, -.4, b], [-b, -.4, b]], [[0, 1, 2], [0, 2, 3]], (.085, .075, .066), flat=True)
    return {"ground": m, **g.shapes("under")}


# ------------------------------------------------------------------------------------------------ what grows there
def tuft(rng, blades, height, spread, width, rgb, lean=0.5):
    B, n = blades, 7
    t = np.linspace(0, 1, n)
    az = rng.uniform(0, 2 * np.pi, B)
    d = np.stack([np.cos(az), 0 * az, np.sin(az)], 1)
    r = np.abs(rng.normal(0, spread, B))
    h = height * rng.uniform(0.45, 1.1, B)
    ln = lean * rng.uniform(0.2, 1.3, B)
    P = (d * r[:, None])[:, None] + (h[:, None] * (t - 0.18 * ln[:, None] * t**3))[..., None] * UP + ((h * ln)[:, None] * t**2)[..., None] * d[:, None]
    side = np.cross(d, UP)[:, None] + 0 * P
    w = width * rng.uniform(0.6, 1.3, B)[:, None] * np.clip(1.1 * (1 - t**2.4), 0.05, 1)
    c = np.array(rgb) * rng.uniform(0.55, 1.35, (B, 1)) * (1 + 0.15 * rng.standard_normal((B, 3)))
    g = Geo()
    ribbons(g, P, w, side, np.clip(c[:, None] * (0.6 + 0.7 * t[:, None]), .01, .8), 0.2, "matt")
    return g


def reed_clump(rng, stems=46, height=2.1, spread=0.75, far=False):
    """A stand of common reed; far: coarser, for where the lens no longer tells."""
    g, ns = Geo(), 3 if far else 6
    for _ in range(stems):
        h = height * rng.uniform(0.72, 1.08)
        b = np.array([rng.normal(0, spread), 0, rng.normal(0, spread * 0.6)])
        lean = rng.normal(0, 0.10, 2)
        t = np.linspace(0, 1, ns)
        P = b + np.outer(h * t, UP) + np.outer(h * t**2, [lean[0], 0, lean[1]])
        col = np.array([.20, .165, .092]) * rng.uniform(0.6, 1.25)
        tube(g, P, np.linspace(.0045, .002, ns), col, 3 if far else 4, "matt", cap=False)
        k = 4 if far else 6
        u = rng.uniform(0.15, 0.9, k)
        az = rng.choice([0, np.pi], k) + rng.normal(0, .7, k)
        d = np.stack([np.cos(az), 0 * az, np.sin(az)], 1)
        s = np.linspace(0, 1, ns)
        base = np.stack([np.interp(u, t, P[:, j]) for j in range(3)], 1)
        ln = rng.uniform(.25, .5, k)[:, None]
        Q = base[:, None] + (ln * (s * .8 - .55 * s**2.2))[..., None] * UP + (ln * s * .75)[..., None] * d[:, None]
        ribbons(g, Q, .016 * np.clip(1 - s**2, .05, 1) + 0 * ln, np.cross(d, UP)[:, None] + 0 * Q, np.broadcast_to(col * 1.05, Q.shape), .2, "matt")
        # plume: slim drooping sprays
        m = 5 if far else 16
        u = rng.uniform(0, 1, m)
        base = P[-1] - np.outer(.2 * u, UP)
        az = rng.normal(0, 1.2, m) + (0 if lean[0] > 0 else np.pi)
        d = np.stack([np.cos(az), 0 * az, np.sin(az)], 1)
        ln = rng.uniform(.08, .2, m)[:, None]
        Q = base[:, None] + (ln * (s * .9 - .6 * s**2))[..., None] * UP + (ln * s**1.4 * .55)[..., None] * d[:, None]
        pc = np.array([.21, .165, .125]) * rng.uniform(.7, 1.3)
        ribbons(g, Q, .012 * (2 if far else 1) * np.sin(np.pi * np.clip(s, .05, .97)) + 0 * ln, np.cross(d, UP)[:, None] + 0 * Q, np.broadcast_to(pc, Q.shape), .3, "matt")
    return g


def bush(rng, leaves=1500, size=1.0, rgb=(.05, .052, .034)):
    """A cloud of small leaves on a few lobes."""
    lobes = rng.normal(0, 0.42, (9, 3)) * [1.0, 0.6, 0.7] + [0, 0.62, 0]
    k = rng.integers(0, 9, leaves)
    p = lobes[k] + rng.normal(0, 0.2, (leaves, 3)) * [1, .8, 1]
    p[:, 1] = np.abs(p[:, 1])
    p *= size
    a, b = rng.standard_normal((leaves, 3)), rng.standard_normal((leaves, 3))
    a /= np.linalg.norm(a, axis=1, keepdims=True); b /= np.linalg.norm(b, axis=1, keepdims=True)
    s = size * rng.uniform(.03, .075, (leaves, 1))
    v = np.stack([p - a * s, p + b * s * .6, p + a * s], 1)
    g = Geo()
    c = np.array(rgb) * rng.uniform(.6, 1.5, (leaves, 1, 1)) * np.ones((1, 3, 1))
    g.add(v.reshape(-1, 3), np.arange(leaves * 3).reshape(-1, 3), c.reshape(-1, 3), "matt", True)
    return g


def tree(rng, height=9.0, kind="alder"):
    """Bare or thin-leaved: branches divide, twigs hang; crowns made of many fine strands."""
    g, leaves = Geo(), []
    bark = np.array([.038, .034, .031])

    def grow(p, d, length, r, level):
        n = 6
        pts, q, v = [p], p, d
        for i in range(n - 1):
            v = v + rng.normal(0, .13 + .05 * level, 3) + np.array([0, (.10 if level < 2 else (-.05 if kind == "willow" else .05)), 0])
            v /= np.linalg.norm(v)
            q = q + v * length / (n - 1)
            pts.append(q)
        pts = np.array(pts)
        g.strand(pts, bark, r, r * .45, "matt")
        if level >= 4 or length < .22:
            leaves.append(pts[-1]); leaves.append(pts[3])
            return
        kids = (7, 6, 5, 4)[level]
        for j in range(kids):
            t = rng.uniform(.30 if level == 0 else .15, 1.0)
            b = np.array([np.interp(t * (n - 1), np.arange(n), pts[:, k]) for k in range(3)])
            side = rng.standard_normal(3); side -= v * (side @ v); side /= np.linalg.norm(side)
            ang = rng.uniform(.45, 1.05)
            nd = v * math.cos(ang) + side * math.sin(ang)
            grow(b, nd / np.linalg.norm(nd), length * rng.uniform(.42, .66) * (1.15 - .45 * t if level == 0 else 1), max(r * .5, .006), level + 1)

    lean = rng.normal(0, .08, 2)
    grow(np.zeros(3), np.array([lean[0], 1, lean[1]]), height * .62, height * .016, 0)
    if kind == "poplar":
        pass
    L = np.array(leaves)
    m = len(L) * (1 if kind == "alder" else 2)
    k = rng.integers(0, len(L), m)
    p = L[k] + rng.normal(0, .12, (m, 3))
    a, b = rng.standard_normal((m, 3)), rng.standard_normal((m, 3))
    s = rng.uniform(.03, .09, (m, 1))
    v = np.stack([p - a * s, p + b * s, p + a * s], 1)
    g.add(v.reshape(-1, 3), np.arange(m * 3).reshape(-1, 3), (.05, .045, .03), "matt", True)
    return g


def conifer(rng, height=10.0):
    g = Geo()
    n = 9
    g.strand(np.outer(np.linspace(0, height, n), UP), (.03, .027, .025), height * .013, .01, "matt")
    whorls = int(height * 4.5)
    B = whorls * 7
    y = np.repeat(np.linspace(.12, .985, whorls), 7) * height + rng.normal(0, .06, B)
    az = rng.uniform(0, 2 * np.pi, B)
    ln = (height * .20 * (1.02 - y / height) ** .85 + .12) * rng.uniform(.6, 1.15, B)
    d = np.stack([np.cos(az), 0 * az, np.sin(az)], 1)
    s = np.linspace(0, 1, 6)
    P = (y[:, None] + ln[:, None] * (-.28 * s + .10 * s**2.5))[..., None] * UP + (ln[:, None] * s)[..., None] * d[:, None]
    # needles: short drooping sprays along the boughs
    m = B * 14
    k, t = rng.integers(0, B, m), rng.uniform(.12, 1, m)
    base = np.stack([P[k, 0, j] + (P[k, -1, j] - P[k, 0, j]) * t for j in range(3)], 1)
    q = d[k] * rng.uniform(.2, 1, (m, 1)) + rng.normal(0, .5, (m, 3)) + [0, -.55, 0]
    q /= np.linalg.norm(q, axis=1, keepdims=True)
    w = np.cross(q, rng.standard_normal((m, 3))); w /= np.linalg.norm(w, axis=1, keepdims=True)
    L = rng.uniform(.12, .34, (m, 1))
    v = np.stack([base - w * .035, base + q * L, base + w * .035], 1)
    g.add(v.reshape(-1, 3), np.arange(m * 3).reshape(-1, 3), np.repeat(np.array([.028, .036, .028]) * rng.uniform(.6, 1.4, (m, 1)), 3, 0), "matt", True)
    return g


def scatter(name, geos, places, rng, shapes):
    """Copies, baked into one mesh per material: places = (x, y, z, scale, turn in degrees)."""
    out = Geo()
    for x, y, z, s, a in places:
        g, a = geos[int(rng.integers(len(geos)))], math.radians(a)
        R = np.array([[math.cos(a), 0, -math.sin(a)], [0, 1, 0], [math.sin(a), 0, math.cos(a)]]) * s
        out.merge(g, lambda p: p @ R.T + np.array([x, y, z]))
    shapes.update(out.shapes(name))


def vegetation(stage):
    rng = np.random.default_rng(SEED)
    sh = {}
    half = lambda z: z * stage.W * .54 / stage.F + 1.0
    # sedge on the banks, in the middle distance
    tufts = [tuft(rng, 110, .55, .10, .006, c, l) for c, l in (((.15, .135, .065), .5), ((.19, .155, .080), .7), ((.11, .12, .055), .45), ((.17, .14, .08), .9))]
    pl = []
    while len(pl) < 900:
        z = 1 / rng.uniform(1 / 100, 1 / 10.5)
        x = rng.uniform(-1, 1) * half(z)
        d = float(channel(np.array([x]), np.array([z]))[0])
        keep = np.exp(-((d - .45) / .55) ** 2) + .10 + .5 * (fbm(np.array([x]), np.array([z]), SEED + 50, 6, 3)[0] > .12)
        clear = z < 14 and abs(x - .7) < 1.6
        if d > .08 and rng.random() < keep and not clear:
            pl.append((x, -.02, z, rng.uniform(.45, 1.15), rng.uniform(0, 360)))
    scatter("tuft", tufts, pl, rng, sh)
    # reed belts left and right, then a thinner one along the far water
    clumps = [reed_clump(rng) for _ in range(4)]
    pl = []
    for _ in range(150):
        z = rng.uniform(30, 62)
        side = -1 if rng.random() < .55 else 1
        x = side * half(z) * (rng.uniform(.50, 1.05) if side < 0 else rng.uniform(.62, 1.05))
        if channel(np.array([x]), np.array([z]))[0] > .2:
            pl.append((x, -.03, z, rng.uniform(.75, 1.1), rng.uniform(0, 360)))
    for _ in range(60):
        z = rng.uniform(17, 27)
        side = -1 if rng.random() < .6 else 1
        x = side * half(z) * rng.uniform(.74, 1.05)
        if channel(np.array([x]), np.array([z]))[0] > .1:
            pl.append((x, -.03, z, rng.uniform(.6, 1.0), rng.uniform(0, 360)))
    scatter("reeds", clumps, pl, rng, sh)
    clumps, pl = [reed_clump(rng, far=True) for _ in range(4)], []
    for _ in range(520):
        z = rng.uniform(108, 128)
        pl.append((rng.uniform(-1, 1) * half(z), -.1, z + 6 * math.sin(len(pl) * .05), rng.uniform(.7, 1.15), rng.uniform(0, 360)))
    scatter("far_reeds", clumps, pl, rng, sh)
    # far shore
    bushes = [bush(rng) for _ in range(4)]
    pl = [(rng.uniform(-1, 1) * half(z), -.1, z, rng.uniform(1.0, 2.9), rng.uniform(0, 360)) for z in rng.uniform(126, 150, 170)]
    pl += [(rng.uniform(-1, 1) * half(z), -.1, z, rng.uniform(3, 6), rng.uniform(0, 360)) for z in rng.uniform(205, 260, 160)]
    pl += [(x, -.1, z, rng.uniform(.8, 1.9), rng.uniform(0, 360)) for x, z in zip(rng.uniform(11, 22, 26), rng.uniform(66, 78, 26))]
    scatter("bush", bushes, pl, rng, sh)
    # trees: a grove on the right, nearer; the far shore; a last row, nearly gone in the mist
    places = []
    for x, z, h, k in [(14.8, 72, 10.5, "a"), (17.2, 74, 8.5, "a"), (12.6, 76, 6.2, "w"), (19.2, 70, 11.5, "c"), (16.2, 80, 12.0, "c"), (20.2, 77, 9.5, "a"), (10.8, 79, 4.8, "a")]:
        places.append((x, z, h, k))
    for _ in range(44):
        z = rng.uniform(128, 152)
        x = rng.uniform(-1, 1) * half(z)
        gap = np.exp(-((x / z * 57.3 - WARM_AZ + .5) / 2.4) ** 2)                    # a gap under the afterglow
        if rng.random() > .9 * gap:
            places.append((x, z, rng.uniform(4.5, 10.5) * (1 - .5 * gap) * (1 + .35 * math.sin(x * .11 + 1)), "aaacw"[rng.integers(5)]))
    for _ in range(70):
        z = rng.uniform(215, 270)
        places.append((rng.uniform(-1, 1) * half(z), z, rng.uniform(9, 19), "aacc"[rng.integers(4)]))
    kinds = {"a": [tree(rng, 9) for _ in range(4)], "w": [tree(rng, 8, "willow") for _ in range(2)], "c": [conifer(rng, 10) for _ in range(3)]}
    base = {"a": 9, "w": 8, "c": 10}
    all_geo = Geo()
    for x, z, h, k in places:
        gm = kinds[k][rng.integers(len(kinds[k]))]
        s, a = h / base[k] * .8, rng.uniform(0, 2 * np.pi)
        R = np.array([[math.cos(a), 0, -math.sin(a)], [0, 1, 0], [math.sin(a), 0, math.cos(a)]]) * s
        q = gm.mapped(lambda p: p @ R.T + np.array([x, -.1, z]))
        for key in q.strands:
            for st in q.strands[key]:
                st[:, 3] *= s
        all_geo.merge(q)
    sh.update(all_geo.shapes("trees"))
    return sh


def litter(stage):
    """What the tide leaves: straws and leaves along the banks, stubble, bits of shell."""
    rng = np.random.default_rng(SEED + 70)
    g = Geo()
    half = lambda z: z * stage.W * .54 / stage.F + .5
    one = lambda x, z: float(terrain(np.array([x]), np.array([z]), np.array([.01]))[0])
    n = 0
    while n < 900:
        z = 1 / rng.uniform(1 / 17, 1 / 5.4)
        x = rng.uniform(-1, 1) * half(z)
        d = float(channel(np.array([x]), np.array([z]))[0])
        y = one(x, z)
        if y < WATER + .004 or rng.random() > np.exp(-((d - .42) / .22) ** 2) + .13:
            continue
        n += 1
        L, a = rng.gamma(2.0, .075) + .03, rng.normal(0.3, 1.1)
        s = np.linspace(-.5, .5, 6) * L
        bend = rng.normal(0, .25)
        px, pz = x + s * math.cos(a) - bend * s**2 / L * math.sin(a), z + s * math.sin(a) + bend * s**2 / L * math.cos(a)
        py = terrain(px, pz, np.full(6, .01))
        k = np.polyfit(s, py, 1)                                                    # straws do not follow every hollow
        py = np.maximum(.3 * py + .7 * np.polyval(k, s), WATER) + .003 + np.abs(rng.normal(0, .004))
        c = np.array([[.24, .19, .11], [.17, .13, .08], [.30, .25, .16], [.10, .08, .055]][rng.integers(4)]) * rng.uniform(.6, 1.1)
        g.strand(np.stack([px, py, pz], 1), c, rng.uniform(.0009, .0030), .0007, "wood")
    for _ in range(46):                                                             # stubble, in patches
        z = 1 / rng.uniform(1 / 14, 1 / 5.6)
        cx = rng.uniform(-1, 1) * half(z)
        if abs(cx - .7) < .5 and abs(z - 7.2) < .8:
            continue
        for _ in range(int(rng.integers(4, 15))):
            x, zz = cx + rng.normal(0, .12), z + rng.normal(0, .16)
            y = one(x, zz)
            if y < WATER - .02:
                continue
            h = rng.gamma(2.5, .022) + .015
            q = rng.normal(0, .25, 2)
            b = np.array([x, max(y, WATER) - .01, zz])
            g.strand([b, b + [q[0] * h * .4, h * .5, q[1] * h * .4], b + [q[0] * h, h, q[1] * h]], np.array([.19, .15, .085]) * rng.uniform(.5, 1.2), rng.uniform(.0018, .0034), .0016, "wood")
    for _ in range(150):
        z = 1 / rng.uniform(1 / 11, 1 / 5.6)
        x = rng.uniform(-1, 1) * half(z)
        y = one(x, z)
        if y > WATER + .003:
            r = rng.uniform(.003, .010)
            ellipsoid(g, [x, y + r * .2, z], [r, r * .45, r * .8], np.array([.42, .39, .34]) * rng.uniform(.4, 1.1), "wood", 8)
    return g.shapes("litter")


AIR = dict(visibility_m=650.0, colour=(.300, .315, .362))


def make_tracer(sky, depth=5):
    return tracer(sky, depth, even=3.912 / AIR["visibility_m"], low=.0042, low_h=1.6, bank=(14.0, 85.0), air=AIR["colour"], air_mix=.5)


def scene(stage, detail=1.0, plants=True):
    d = {"type": "scene", **ground_mesh(stage, detail)}
    if plants:
        d.update(vegetation(stage))
        d.update(litter(stage))
    return d
