"""Plants to be photographed: common reed, bulrush, sedge, dry umbels, long loose blades. A plant stands on the origin."""
import math
import numpy as np
from core import *


def spline(P, n):
    """A smooth path through a few points (Catmull-Rom), n samples."""
    P = np.asarray(P, float)
    Q = np.vstack([2 * P[0] - P[1], P, 2 * P[-1] - P[-2]])
    u = np.linspace(0, len(P) - 1 - 1e-9, n)
    i, t = np.floor(u).astype(int), (u % 1)[:, None]
    a, b, c, d = (Q[i + k] for k in range(4))
    return 0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * t**3)


def leaves(g, rng, base, azim, length, width, rgb, droop, rise=0.9, twist=0.6, n=22, kink=0.0, edge=None):
    """Grass leaves: base (B, 3), azim, length, width, droop (B). They rise, arch over, twist and wave a little; `kink` of
    them are broken and hang."""
    B = len(base)
    t = np.linspace(0, 1, n)
    d = np.stack([np.cos(azim), 0 * azim, np.sin(azim)], 1)
    ang = math.pi / 2 * rise * rng.uniform(.85, 1.08, B)                     # start elevation
    bend = droop * rng.uniform(.7, 1.3, B)
    el = ang[:, None] - bend[:, None] * t**1.6 * 2.2
    brk = (rng.random(B) < kink)[:, None] & (t > rng.uniform(.45, .8, B)[:, None])
    el = np.where(brk, np.minimum(el, -1.15 + .25 * rng.random((B, 1))), el)
    az2 = azim[:, None] + rng.normal(0, .25, (B, 1)) * t + .06 * np.sin(9 * t + rng.uniform(0, 6, (B, 1)))
    step = np.stack([np.cos(el) * np.cos(az2), np.sin(el), np.cos(el) * np.sin(az2)], -1) * (length[:, None] / (n - 1))[..., None]
    P = base[:, None] + np.cumsum(step, 1) - step[:, :1]
    side0 = np.cross(d, UP)[:, None] + 0 * P
    tw = (rng.normal(0, twist, B)[:, None] + rng.normal(0, twist, B)[:, None] * t)
    dd = np.gradient(P, axis=1); dd /= np.linalg.norm(dd, axis=-1, keepdims=True) + 1e-12
    up0 = np.cross(side0, dd)
    side = side0 * np.cos(tw)[..., None] + up0 * np.sin(tw)[..., None]
    w = width[:, None] * np.clip((1 - t**2.6) * (.62 + .8 * t * (1 - t) * 2), .03, None) * (1 + .05 * np.sin(31 * t + rng.uniform(0, 6, (B, 1))))
    c = np.array(rgb) if np.ndim(rgb) == 2 else np.repeat(np.array(rgb)[None], B, 0)
    c = c * rng.uniform(.7, 1.25, (B, 1)) * (1 + .07 * rng.standard_normal((B, 3)))
    c = c[:, None] * (.72 + .45 * t[:, None])
    if edge is not None:                                                     # dry tips
        k = smooth(rng.uniform(.5, .95, (B, 1)), 1.02, np.broadcast_to(t, (B, n)))[..., None]
        c = c * (1 - k) + np.array(edge) * k
    c = c * (1 + .22 * vnoise(np.broadcast_to(t * 40, (B, n)), np.arange(B)[:, None] * 7.7, 5))[..., None]
    ribbons(g, P, w, side, np.clip(c, .01, .85), .22)


def plume(g, rng, top, lean_az, size=.25, rgb=(.34, .27, .21), rays=46, dense=1.0):
    """The drooping panicle of common reed: rays, branchlets, spikelets with silky hairs."""
    lean = np.array([math.cos(lean_az), 0, math.sin(lean_az)])
    axis = spline([top - .10 * size * UP, top + .30 * size * UP + .06 * size * lean, top + .72 * size * UP + .30 * size * lean, top + .9 * size * UP + .62 * size * lean], 30)
    g.strand(axis, np.array(rgb) * .7, .0014, .0004)
    for k in range(rays):
        t = (k + rng.random()) / rays
        p = axis[int(t * 29)]
        a = rng.normal(lean_az, 1.0) if rng.random() < .75 else rng.uniform(0, 2 * np.pi)
        out = np.array([math.cos(a), 0, math.sin(a)])
        L = size * (.22 + .40 * math.sin(math.pi * min(1, .18 + .82 * t)) ** 1.0) * rng.uniform(.6, 1.15) * (1 - .45 * t)
        s = np.linspace(0, 1, 9)[:, None]
        ray = p + L * (s * (.78 * UP + .30 * out) + s**2 * (-.62 * UP + .42 * out + .38 * lean) + .03 * np.sin(7 * s + k))
        g.strand(ray, np.array(rgb) * .62, .00034, .00014)
        for j in range(int(15 * dense)):
            u = rng.uniform(.12, 1)
            q = np.array([np.interp(u * 8, np.arange(9), ray[:, i]) for i in range(3)])
            dirn = rng.normal(0, .55, 3) + .5 * out + .3 * lean - .5 * UP * u + .25 * UP
            dirn /= np.linalg.norm(dirn)
            b = rng.uniform(.008, .022) * size / .25
            tip = q + dirn * b
            g.strand([q, q + dirn * b * .5, tip], np.array(rgb) * .8, .00018, .00012)
            shade = (.62, .85, 1.05, 1.3)[rng.integers(4)]
            sp = dirn * .6 - UP * .5; sp /= np.linalg.norm(sp)
            g.strand([tip, tip + sp * .004, tip + sp * .010], np.array(rgb) * np.array([.86, .72, .66]) * shade, .0007, .00015)
            for _ in range(3):
                h = sp + rng.normal(0, .5, 3); h /= np.linalg.norm(h)
                g.strand([tip, tip + h * .006, tip + h * .012 - UP * .001], np.array([.52, .46, .40]) * shade, .00009, .00004)


def reed(rng, height=2.0, stems=4, spread=.10, wind=.0, lush=1.0, rgb=(.34, .275, .14), sway=1.0):
    g = Geo()
    for i in range(stems):
        h = height * rng.uniform(.78, 1.0)
        b = np.array([rng.normal(0, spread), 0, rng.normal(0, spread * .5)])
        lx, lz = (rng.normal(wind, .09) * sway, rng.normal(0, .06))
        y = np.linspace(0, 1, 26)
        P = np.stack([b[0] + h * (lx * y**2 * .8 + .006 * np.sin(8 * y + i)), h * y * (1 - .12 * lx * lx), b[2] + h * lz * y**2], 1)
        col = np.array(rgb) * rng.uniform(.75, 1.15)
        node = np.linspace(0, 1, 26)
        stripe = 1 - .35 * np.exp(-((node * h / .14) % 1 - .5) ** 2 / .01)
        tube(g, P, np.linspace(.0042, .0018, 26), col[None] * stripe[:, None] * (.8 + .3 * y[:, None]), 8)
        k = int(8 * lush)
        u = np.sort(rng.uniform(.06, .86, k))
        az = np.where(np.arange(k) % 2, 0, np.pi) + rng.normal(0, .45, k) + rng.uniform(-.4, .4)
        az = np.where(rng.random(k) < abs(wind) * 3, 0 if wind > 0 else np.pi, az) + rng.normal(0, .2, k)
        base = np.stack([np.interp(u, y, P[:, j]) for j in range(3)], 1)
        lc = np.where(rng.random((k, 1)) < .3, np.array([[.21, .23, .085]]), np.array([[.40, .32, .165]])) * rng.uniform(.7, 1.1, (k, 1))
        leaves(g, rng, base, az, rng.uniform(.24, .46, k), rng.uniform(.012, .021, k), lc, rng.uniform(.45, 1.0, k), rise=.72, kink=.18, edge=(.33, .25, .13))
        for q, a, cc in zip(base, az, lc):                                     # sheaths
            t = np.linspace(-.07, .01, 5)
            tube(g, q + np.outer(t, UP), .0052, cc * .9, 8)
        plume(g, rng, P[-1], 0 if lx > 0 else np.pi, rng.uniform(.20, .30), np.array([.35, .275, .215]) * rng.uniform(.8, 1.15))
    return g


def bulrush(rng, height=1.9, heads=3, blades=13, rgb=(.20, .22, .085)):
    """Cattail: velvet heads, one of them bursting into down; sword leaves, some broken."""
    g = Geo()
    n = blades
    base = np.stack([rng.normal(0, .05, n), np.zeros(n), rng.normal(0, .03, n)], 1)
    az = rng.uniform(0, 2 * np.pi, n)
    az = np.where(rng.random(n) < .7, np.round(az / np.pi) * np.pi + rng.normal(0, .45, n), az)
    c = np.where(rng.random((n, 1)) < .5, np.array([[.36, .28, .15]]), np.array([rgb])) * rng.uniform(.7, 1.2, (n, 1))
    leaves(g, rng, base, az, height * rng.uniform(.55, .98, n), rng.uniform(.010, .016, n), c, rng.uniform(.05, .32, n), rise=.96, twist=1.2, n=44, kink=.35, edge=(.36, .28, .16))
    for i in range(heads):
        h = height * rng.uniform(.74, .95)
        x, lean = rng.normal(0, .05), rng.normal(0, .07)
        y = np.linspace(0, 1, 20)
        P = np.stack([x + h * lean * y**2, h * y, rng.normal(0, .02) + h * .03 * math.sin(i) * y**2], 1)
        tube(g, P, np.linspace(.0055, .0028, 20), np.array([.30, .26, .13]) * (.8 + .3 * y[:, None]), 10)
        d = P[-1] - P[-2]; d /= np.linalg.norm(d)
        L, R = rng.uniform(.14, .19), rng.uniform(.0105, .0135)
        s = np.linspace(0, 1, 60)
        prof = R * np.clip(np.minimum(s, 1 - s) / .045, 0, 1) ** .4
        a = np.linspace(0, 2 * np.pi, 48, endpoint=False)
        wob = 1 + .05 * fbm(s[:, None] * 9, np.cos(a)[None] * 2 + np.sin(a)[None] * 3, 3 + i, 1.0, 4, .7)
        tint = 1 + .5 * fbm(s[:, None] * 9, np.cos(a)[None] * 2, 30 + i, .8, 4, .7).mean(1)
        head = P[-1] + np.outer(s * L, d)
        tube(g, head, prof, np.array([.105, .052, .026]) * tint[:, None], 48, "cloth", wob)
        tip = head[-1]
        g.strand([tip, tip + d * .05, tip + d * .11 + [.006, 0, 0]], (.30, .24, .13), .0022, .0006)
        # the velvet's nap, and down where it has burst
        for _ in range(2600):
            u, b = rng.random(), rng.uniform(0, 2 * np.pi)
            p = P[-1] + d * L * u + R * .93 * np.array([math.cos(b), 0, math.sin(b)])
            q = p + np.array([math.cos(b), rng.normal(0, .3), math.sin(b)]) * rng.uniform(.001, .0022)
            g.strand([p, (p + q) / 2, q], np.array([.15, .078, .04]) * (.7, 1, 1.4)[rng.integers(3)], .00012, .00005)
        if i % 2 == 0:
            u0, b0 = rng.uniform(.25, .8), rng.choice([0.3, 2.8]) + rng.normal(0, .4)
            for _ in range(1500):
                u = np.clip(rng.normal(u0, .13), .02, .98)
                b = rng.normal(b0, .55)
                p = P[-1] + d * L * u + R * .9 * np.array([math.cos(b), 0, math.sin(b)])
                v = np.array([math.cos(b), -.5, math.sin(b)]) + rng.normal(0, .55, 3)
                ln = rng.gamma(2.2, .009)
                g.strand([p, p + v * ln * .5, p + v * ln - UP * ln * .25, p + v * ln * 1.3 - UP * ln * .7], np.array([.52, .44, .33]) * (.7, .9, 1.1)[rng.integers(3)], .00009, .00005)
    return g


def sedge(rng, blades=330, height=.62, spread=.10, rgb=((.15, .17, .06), (.30, .235, .115), (.22, .20, .08)), lean=.6, heads=14):
    g = Geo()
    r = np.abs(rng.normal(0, spread, blades))
    az = rng.uniform(0, 2 * np.pi, blades)
    base = np.stack([r * np.cos(az), 0 * r - .01, r * np.sin(az) * .75], 1)
    c = np.array(rgb)[rng.integers(0, len(rgb), blades)]
    leaves(g, rng, base, az + rng.normal(0, .35, blades), height * rng.uniform(.5, 1.35, blades), rng.uniform(.0022, .0052, blades), c,
           lean * rng.uniform(.3, 1.5, blades) * (.5 + r / spread * .5), rise=.97, twist=.8, n=20, kink=.07, edge=(.36, .27, .14))
    # withered mat at the foot
    m = blades // 2
    az = rng.uniform(0, 2 * np.pi, m)
    base = np.stack([np.cos(az) * spread * .9, 0 * az + .01, np.sin(az) * spread * .7], 1) * rng.uniform(.3, 1.1, (m, 1))
    leaves(g, rng, base, az, height * rng.uniform(.25, .6, m), rng.uniform(.002, .005, m), np.array([[.24, .18, .10]]) * rng.uniform(.5, 1.1, (m, 1)), rng.uniform(.7, 1.1, m), rise=.5, twist=1, n=14)
    for _ in range(heads):
        a, h = rng.uniform(0, 2 * np.pi), height * rng.uniform(.95, 1.35)
        o = np.array([math.cos(a), 0, math.sin(a) * .7])
        P = spline([o * spread * .3, o * spread * .8 + UP * h * .5, o * (spread + .12 * h) + UP * h * .92, o * (spread + .26 * h) + UP * h * .97], 16)
        g.strand(P, (.28, .23, .11), .0011, .0005)
        for k in range(26):
            q = P[-1] + (P[-1] - P[-3]) * rng.uniform(-1.6, .8) * .5 + rng.normal(0, .0035, 3)
            v = rng.normal(0, .5, 3) + (P[-1] - P[-3]) / np.linalg.norm(P[-1] - P[-3])
            g.strand([q, q + v * .003, q + v * .007], np.array([.20, .13, .07]) * rng.uniform(.7, 1.4), .0009, .0002)
    return g


def umbel(rng, height=1.45, rgb=(.25, .19, .125)):
    """The dry stalk of a great umbellifer."""
    g = Geo()

    def head(p, d, size):
        rays = int(rng.integers(15, 21))
        for k in range(rays):
            f = math.sqrt((k + .5) / rays) * 1.05
            a = k * 2.39996
            s = np.cross(d, [0, 0, 1.0]); s /= np.linalg.norm(s); u = np.cross(s, d)
            v = d * math.cos(f) + (s * math.cos(a) + u * math.sin(a)) * math.sin(f)
            v = v + rng.normal(0, .06, 3); v /= np.linalg.norm(v)
            L = size * rng.uniform(.85, 1.1)
            q = p + v * L + UP * .12 * L
            g.strand(spline([p, p + v * L * .5 - UP * .02 * L, q], 6), np.array(rgb) * .85, .0011, .0006, "wood")
            for j in range(14):
                f2, a2 = math.sqrt((j + .5) / 14) * 1.15, j * 2.4 + k
                v2 = d * math.cos(f2) + (s * math.cos(a2) + u * math.sin(a2)) * math.sin(f2) + rng.normal(0, .08, 3)
                if rng.random() < .12:
                    continue
                e = q + v2 / np.linalg.norm(v2) * size * .26 * rng.uniform(.8, 1.1)
                g.strand([q, (q + e) / 2 - UP * .001, e], np.array(rgb) * .8, .00042, .0003, "wood")
                if rng.random() < .8:
                    w = rng.normal(0, .3, 3) + d
                    g.strand([e - w * .001, e + w * .003, e + w * .0055], np.array(rgb) * (.5 + .6 * rng.random()), .0019, .0006, "wood")

    def stalk(p, d, L, r, level, size):
        P = [p]; v = np.array(d, float)
        for i in range(9):
            v = v + np.array([0, .05, 0]) + rng.normal(0, .02, 3); v /= np.linalg.norm(v)
            P.append(P[-1] + v * L / 9)
        P = np.array(P)
        t = np.linspace(0, 1, 10)
        P = spline(P, 40)
        t = np.linspace(0, 1, 40)
        a = np.linspace(0, 2 * np.pi, 20, endpoint=False)
        wob = 1 + .06 * np.cos(10 * a)[None] + 0 * t[:, None]
        tube(g, P, r * (1 - .45 * t), np.array(rgb) * (.75 + .35 * t[:, None]) * (1 + .35 * vnoise(t * 30, 0 * t, 7))[:, None], 20, "wood", wob)
        head(P[-1], v, size)
        if level == 0:
            for k, u in enumerate((.42, .60, .74)):
                i = int(u * 39)
                a2 = (0, math.pi, .4)[k] + rng.normal(0, .35)
                stalk(P[i], np.array([math.cos(a2) * .75, .8, math.sin(a2) * .5]), L * (.42 - .09 * k), r * .5, 1, size * .78)
                tube(g, P[i] + np.outer(np.linspace(-.03, .02, 6), UP), r * (1.05 + .5 * np.sin(np.linspace(0, math.pi, 6))), np.array(rgb) * 1.1, 14)
    stalk(np.zeros(3), (rng.normal(0, .06), 1, 0), height * .88, .0085, 0, height * .105)
    return g


def blades(rng, n=9, height=1.7, spread=.16, bias=0.0, rgb=((.13, .15, .06), (.27, .21, .11), (.10, .12, .05))):
    """Long loose leaves for close to the lens."""
    g = Geo()
    az = np.where(rng.random(n) < .5 + bias, 0, np.pi) + rng.normal(0, .5, n)
    base = np.stack([rng.normal(0, spread, n), np.zeros(n), rng.normal(0, .05, n)], 1)
    leaves(g, rng, base, az, height * rng.uniform(.75, 1.15, n), rng.uniform(.011, .022, n), np.array(rgb)[rng.integers(0, len(rgb), n)],
           rng.uniform(.25, .75, n), rise=.97, twist=.9, n=60, kink=.15, edge=(.35, .26, .13))
    return g
