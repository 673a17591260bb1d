"""The sitter: a lantern-bearer in a long wool cloak, seen from behind; the staff with its crook. Looks at -z; in the shot
turned by BEARING. The cloak is simulated cloth, the hair simulated locks with strands laid between them."""
import math, os
import numpy as np
from core import *
from cloth import Body, Cloth, refine, chains
from plants import spline
from scipy.ndimage import gaussian_filter

BEARING = -143.0
HOOK = np.array([0.545, 1.985, -0.600])                      # where the lantern's ring hangs (the piece's own frame)

SHOULDER, ELBOW, HAND = np.array([.170, 1.385, .0]), np.array([.345, 1.165, -.120]), np.array([.435, 1.250, -.405])
RSHOULDER, RELBOW, RHAND = np.array([-.170, 1.385, .0]), np.array([-.235, 1.10, .03]), np.array([-.20, .86, -.10])


def body_caps(s=1.0, arm=1.0):
    """Capsules of the dressed body; s opens it out from the axis, arm raises the left arm."""
    k = np.array([s, 1, s])
    down_e, down_h = np.array([.225, 1.10, .02]), np.array([.235, .84, -.08])
    e, h = down_e + (ELBOW - down_e) * arm, down_h + (HAND - down_h) * arm
    c = [((0, .15, .01), (0, .60, .01), .215, .175), ((0, .60, .01), (0, .98, .0), .175, .150), ((0, .98, 0), (0, 1.18, 0), .140, .135), ((-.06, 1.20, .01), (.06, 1.20, .01), .120, .120),
         ((-.09, 1.33, .015), (.09, 1.33, .015), .105, .105), (RSHOULDER, SHOULDER, .066, .066), ((0, 1.38, .02), (0, 1.47, .01), .085, .058),
         (SHOULDER, e, .066, .056), (e, e + (h - e) * .80, .056, .050), (RSHOULDER, RELBOW, .066, .056), (RELBOW, RHAND, .054, .046)]
    return [(np.array(a) * k, np.array(b) * k, ra * (.25 + .75 * s), rb * (.25 + .75 * s)) for a, b, ra, rb in c]


BETA0, BETA1 = math.radians(124), math.radians(-150)         # the cloak's edges, round from the back (+ to its left)
SPREAD = math.radians(252)                                   # of the flat pattern


def cloak_length(u):
    """From the neck to the hem; u = 0 at the left front edge: the corner there is rounded off."""
    return .56 + .83 * smooth(0.0, .26, u) - .10 * smooth(.86, 1.0, u)


def simulate_cloak(cache=None, fast=False):
    if cache and os.path.exists(cache):
        return np.load(cache)
    R, C, r0 = 46, 150, .085
    u = np.linspace(0, 1, C)
    L = cloak_length(u)
    t = np.linspace(0, 1, R)[:, None]
    r = r0 + (L - r0)[None] * t
    ph = u * SPREAD
    pattern = np.stack([r * np.cos(ph), r * np.sin(ph)], -1)
    beta = BETA0 + (BETA1 - BETA0) * u
    k = SPREAD / (BETA0 - BETA1)
    X = np.stack([r * k * np.sin(beta), 1.475 - (r - r0) * math.sqrt(1 - k * k), r * k * np.cos(beta) + .01], -1)
    pin = np.zeros((R, C), bool); pin[0] = True
    cl = Cloth(X, pattern, pin)
    lee = np.array([-.82, 0, .57])                            # downwind in the piece's frame: to the picture's right
    n, dt = 300, 1 / 75

    def wind(gust):
        def f(p):
            s = 1.5 + 1.0 * np.sin(3.1 * p[:, 1] + gust) * np.sin(2.3 * (p @ [.7, 0, .7]) + 1.3 * gust)
            return lee * (s * smooth(1.2, .2, p[:, 1]) * .95 + .1)[:, None]
        return f
    for i in range(n):
        s = smooth(0, .40, i / n)
        b = Body(body_caps(.12 + .88 * float(s), float(smooth(.12, .55, i / n))))
        cl.step(b, dt, 9, wind=wind(i * dt * 2.2) if i > n * .45 else None, drag=2.2, friction=.5 if i > n * .4 else .2, damping=.985)
    Rf, Cf = (92, 300)
    fine = Cloth(refine(cl.X, Rf, Cf), refine(pattern, Rf, Cf), refine(pin[..., None].astype(float), Rf, Cf)[..., 0] > .99)
    fine.V = refine(cl.V, Rf, Cf) * .5
    b = Body(body_caps())
    for i in range(30 if fast else 110):
        fine.step(b, 1 / 110, 8, wind=wind(n * dt * 2.2 + i / 110 * 2.2), drag=2.2, friction=.6, damping=.98)
    out = fine.X
    if cache:
        np.save(cache, out)
    return out


def cloak(g, cache=None, fast=False):
    X = simulate_cloak(cache, fast)
    X = np.stack([gaussian_filter(X[..., k], (1.3, 1.3), mode="nearest") for k in range(3)], -1)
    Rf, Cf = 420, 1300
    X = refine(X, Rf, Cf)
    t, u = np.meshgrid(np.linspace(0, 1, Rf), np.linspace(0, 1, Cf), indexing="ij")
    L = cloak_length(u)
    r = .085 + (L - .085) * t
    a, b = r * np.cos(u * SPREAD), r * np.sin(u * SPREAD)      # on the flat cloth, metres
    n = np.cross(np.gradient(X, axis=0), np.gradient(X, axis=1))
    n /= np.linalg.norm(n, axis=-1, keepdims=True) + 1e-12
    wool = fbm(a, b, 5, .016, 4, .7)
    twill = np.sin((a + .6 * b) / .00042 + 2.0 * fbm(a, b, 7, .02, 2)) * .5
    X = X + n * (.0011 * wool + .0010 * fbm(a, b, 6, .006, 3, .7) + .0022 * fbm(a, b, 16, .07, 2, .5))[..., None]
    ph = u * SPREAD
    pleat = np.sin(19 * ph + 5.0 * fbm(ph * 1.4, r * .7, 18, .8, 3, .5)) + .5 * np.sin(41 * ph + 7 * fbm(ph * 2, r, 19, .7, 3, .5))
    X = X + n * (.0085 * smooth(.14, .75, r) * pleat * (.35 + .65 * smooth(-.1, .2, fbm(a, b, 20, .45, 2))))[..., None]
    base = np.array([.205, .050, .034])
    shade = 1 + .20 * fbm(a, b, 8, .30, 5, .55) + .16 * wool + .34 * fbm(a, b, 9, .0035, 2, .8) + .06 * twill
    c = base * np.clip(shade, .4, 1.7)[..., None]
    worn = smooth(.05, .5, fbm(a, b, 12, .5, 5, .6))[..., None]
    c = c * (1 - .35 * worn) + .35 * worn * np.array([.20, .080, .055])
    edge = np.minimum((L - r), np.minimum(u, 1 - u) * r * SPREAD)   # distance to the nearest cut edge
    band = smooth(.046, .042, edge) * smooth(.016, .020, edge)
    s_ = u * SPREAD * L
    pat = .5 + .5 * np.sin(s_ / .0042 + 2.5 * np.sin((edge - .018) / .0085))
    c = c * (1 - .75 * band[..., None]) + .75 * band[..., None] * np.array([.30, .19, .075]) * (.55 + .6 * pat)[..., None]
    hem = smooth(.012, .0, edge)[..., None]
    c = c * (1 - .35 * hem)
    mud = np.clip(smooth(.36, .02, L - r + .10 * fbm(a, b, 14, .16, 5, .65)) * smooth(.10, .25, u), 0, 1)[..., None]
    c = c * (1 - .62 * mud) + .62 * mud * np.array([.085, .058, .042])
    g.add(X.reshape(-1, 3), grid_faces(Rf, Cf), c.reshape(-1, 3), "cloth")
    # the nap along edges and folds catches light
    rng = np.random.default_rng(77)
    for _ in range(5200):
        i, j = (int(rng.integers(8, Rf - 2)), int(rng.integers(2, Cf - 2)))
        if rng.random() < .3:
            i = Rf - 2
        p, q = X[i, j], n[i, j] * rng.choice([-1, 1]) + rng.normal(0, .6, 3)
        q = q / np.linalg.norm(q) * rng.uniform(.002, .006)
        g.strand([p, p + q * .6, p + q + rng.normal(0, .0012, 3)], base * (.9, 1.3)[rng.integers(2)], .00006, .00003)

HAIR = np.array([.140, .068, .036])


def skirt_and_boots(g):
    a = np.linspace(0, 2 * np.pi, 260, endpoint=False)
    y = np.linspace(.125, 1.0, 120)
    R = np.interp(y, [.125, .5, .8, 1.0], [.165, .150, .135, .12])
    fold = 1 + (np.outer(np.clip((.95 - y) / .8, 0, 1) ** .8, .10 * np.cos(8 * a + .6) + .06 * np.cos(13 * a + 2) + .03 * np.cos(21 * a)))
    fold = fold + .02 * fbm(np.cos(a)[None] * 2, y[:, None] * 2 + np.sin(a)[None], 3, .6, 4)
    v = np.stack([R[:, None] * fold * np.cos(a), y[:, None] + .012 * np.cos(5 * a)[None] * smooth(.4, .12, y)[:, None], R[:, None] * fold * np.sin(a) * .85], -1)
    c = np.array([.060, .052, .048]) * (1 + .4 * fbm(a[None] * 2, y[:, None] * 8, 4, .6, 5, .65))[..., None]
    mud = smooth(.34, .10, y[:, None] + .1 * fbm(np.cos(a)[None] * 3, y[:, None] * 4 + np.sin(a)[None] * 3, 6, 1, 4, .6))[..., None]
    c = c * (1 - .6 * mud) + .6 * mud * np.array([.075, .053, .04])
    g.add(v.reshape(-1, 3), grid_faces(120, 260, True), c.reshape(-1, 3), "cloth")
    for s, z0, tw in ((-1, .05, .25), (1, -.06, -.2)):
        boot = np.array([.045, .030, .021])
        f = np.array([math.sin(tw), 0, -math.cos(tw)])
        o = np.array([.092 * s, 0, z0])
        tube(g, [o + [0, .05, 0], o + [0, .12, 0], o + [.003 * s, .22, .005], o + [.006 * s, .34, 0]], [.043, .045, .052, .058], boot, 24, "leather",
             1 + .04 * fbm(np.arange(4)[:, None] * .7, np.cos(np.linspace(0, 6.28, 24))[None] * 2, 9, 1, 3))
        path = np.array([o + f * q + [0, h, 0] for q, h in ((-.055, .045), (-.02, .055), (.04, .055), (.10, .045), (.15, .036), (.185, .028))])
        tube(g, spline(path, 20), np.interp(np.linspace(0, 1, 20), [0, .2, .5, .85, 1], [.030, .050, .048, .044, .018]), boot, 22, "leather", sx=1.0, sz=.86)


def head(g):
    ellipsoid(g, [0, 1.597, -.006], [.074, .108, .092], (.50, .33, .25), "leather", 40)
    ellipsoid(g, [0, 1.545, -.062], [.050, .052, .040], (.50, .33, .25), "leather", 24)
    tube(g, [[0, 1.42, .01], [0, 1.50, .006], [0, 1.56, .0]], [.058, .052, .05], (.48, .31, .235), 24, "leather")
    ellipsoid(g, [0, 1.612, .010], [.0775, .105, .093], HAIR * .62, "hair", 40)


def scarf(g):
    """A thick scarf in slack turns."""
    rng = np.random.default_rng(3)
    th = np.linspace(0, 2 * np.pi * 2.35, 420)
    y = 1.452 + .036 * th / 6.3 + .012 * np.sin(2 * th + 1) - .020 * np.cos(th)
    R = .098 + .010 * np.sin(3 * th + .5) - .010 * th / 6.3
    P = np.stack([R * np.cos(th) * 1.04, y, R * np.sin(th) * .98 + .006], 1)
    a = np.linspace(0, 2 * np.pi, 90, endpoint=False)
    w = 1 + .16 * np.cos(5 * a[None] + 2.2 * th[:, None]) * (.6 + .4 * np.sin(1.7 * th[:, None])) + .10 * np.cos(9 * a[None] - 3.1 * th[:, None]) \
        + .10 * fbm(th[:, None] * 1.5, np.cos(a)[None] * 1.5 + np.sin(a)[None], 8, 1.0, 4, .6)
    rad = .042 * (1 + .18 * np.sin(2.3 * th)) * np.minimum(1, np.minimum(th, th[-1] - th) / .4) ** .5
    c = np.array([.115, .105, .085]) * (1 + .25 * fbm(th * 20, 0 * th, 3, 1, 4, .7))[:, None]
    tube(g, P, np.maximum(rad, .004), c, 90, "cloth", w, sx=.92, sz=1.15)
    for _ in range(2600):
        i = int(rng.integers(5, 414))
        d = rng.normal(0, 1, 3); d /= np.linalg.norm(d)
        p = P[i] + d * rad[i] * .95
        g.strand([p, p + d * .005, p + d * .010 + rng.normal(0, .004, 3)], np.array([.14, .125, .10]) * (.8, 1.2)[rng.integers(2)], .00007, .00003)


def sleeve(g, a, e, h, rgb, seed, flare=.060):
    """A woollen sleeve, ruckled at the elbow, wide at the cuff."""
    P = spline([a, a + (e - a) * .5, e, e + (h - e) * .5, e + (h - e) * .90], 150)
    t = np.linspace(0, 1, 150)
    an = np.linspace(0, 2 * np.pi, 80, endpoint=False)
    R = np.interp(t, [0, .2, .5, .7, 1], [.046, .046, .044, .044, flare])
    ruck = .12 * np.exp(-((t - .50) / .15) ** 2) + .05 + .07 * smooth(.72, 1, t)
    q = t[:, None] * 7 + 1.1 * np.cos(an)[None] + .9 * fbm(t[:, None] * 3, np.cos(an)[None] + .7 * np.sin(an)[None], seed, 1, 3)
    w = 1 + ruck[:, None] * (3.2 * fbm(q, np.cos(an)[None] * 1.2 + np.sin(an)[None] * .8, seed + 5, 1.1, 3, .5) - 1.1 * np.exp(-(fbm(q * .8, np.sin(an)[None], seed + 2, 1.2, 2) / .07) ** 2))
    c = np.array(rgb) * (1 + .3 * fbm(t * 30, 0 * t, seed, 1, 4, .7))[:, None]
    tube(g, P, R, c, 80, "cloth", w, cap=False)


def hand(g, at, staff_dir, seed=0):
    """A gloved fist round the staff."""
    glove = np.array([.070, .045, .030])
    d = staff_dir / np.linalg.norm(staff_dir)
    wrist = (at - ELBOW) / np.linalg.norm(at - ELBOW)
    side = np.cross(d, wrist); side /= np.linalg.norm(side)
    fwd = np.cross(side, d)
    palm = at - fwd * .030
    P = spline([at - wrist * .085, at - wrist * .045, palm + fwd * .004], 16)
    tube(g, P, np.interp(np.linspace(0, 1, 16), [0, .5, 1], [.031, .035, .028]), glove, 24, "leather", sx=.8, sz=1.1)
    for k in range(4):
        c = at + d * (.033 - .022 * k) + fwd * .002
        r = .0115 - .0008 * abs(k - 1)
        th = np.linspace(-2.5, 1.9, 18)
        q = c + np.outer(np.cos(th) * .026, fwd) + np.outer(np.sin(th) * .026, side) + np.outer(.002 * np.sin(2 * th), d)
        tube(g, q, r * np.interp(np.linspace(0, 1, 18), [0, .3, .5, .8, 1], [1, 1.05, .95, 1, .7]), glove, 14, "leather")
    th = np.linspace(2.6, -.6, 14)
    q = at + d * .030 + np.outer(np.cos(th) * .027, fwd) - np.outer(np.sin(th) * .027, side) + np.outer(np.linspace(-.02, .02, 14), d)
    tube(g, q, np.linspace(.0135, .010, 14), glove * 1.05, 14, "leather")


def staff(g):
    """A hazel staff with a grown crook, the hook at its end."""
    rng = np.random.default_rng(5)
    top = HOOK + [0, .055, 0]
    pts = [[.455, 0, -.415], [.447, .5, -.410], HAND + [.004, .0, -.002], [.452, 1.75, -.435], [.470, 2.02, -.470], [.500, 2.10, -.515], top + [-.006, .035, .006], top]
    P = spline(pts, 300)
    t = np.linspace(0, 1, 300)
    a = np.linspace(0, 2 * np.pi, 48, endpoint=False)
    R = np.interp(t, [0, .75, .9, 1], [.0165, .0135, .0105, .0065]) * (1 + .05 * vnoise(t * 18, 0 * t, 3))
    knots = sum(.30 * np.exp(-((t - k) / .006) ** 2) for k in (.13, .29, .47, .63, .70, .82))
    w = 1 + .07 * fbm(t[:, None] * 60, np.cos(a)[None] * 1.3, 4, 1, 4, .6) + .05 * fbm(t[:, None] * 6, np.cos(a)[None] * 3 + np.sin(a)[None] * 2, 5, 1, 4, .7) + knots[:, None] * (.5 + .5 * np.cos(a[None] - 40 * t[:, None]))
    c = np.array([.155, .108, .070]) * (1 + .7 * fbm(t * 40, 0 * t, 6, 1, 5, .7))[:, None]
    tube(g, P, R, c, 48, "wood", w)
    th = np.linspace(-1.2, 3.6, 30)                           # the wire hook
    e = P[-1]
    hook = np.vstack([np.linspace(e + [0, .012, 0], e + [0, -.022, 0], 5), np.stack([e[0] + 0 * th, e[1] - .040 + .014 * np.cos(th), e[2] + .014 * np.sin(th)], 1)[4:22]])
    tube(g, spline(hook, 50), .0021, (.12, .10, .08), 8, "metal")
    # cord bound about the grip
    for k in range(26):
        y = 1.12 + .0068 * k
        q = np.array([np.interp(y, P[:200, 1], P[:200, i]) for i in range(3)])
        th = np.linspace(0, 2 * np.pi, 24)
        tube(g, q + np.stack([.0165 * np.cos(th), .0068 * th / 6.28, .0165 * np.sin(th)], 1), .0036, (.20, .16, .11), 6, "cloth")


def hair(g, strands=15000, cache=None):
    rng = np.random.default_rng(21)
    c, r = np.array([0, 1.608, .004]), np.array([.081, .107, .097])

    def roots(n):
        out = []
        while len(out) < n:
            d = rng.standard_normal(3); d /= np.linalg.norm(d)
            face = d[2] < -.50 and d[1] < .60
            if d[1] > -.42 and not face and not (d[1] < -.22 and d[2] < -.12):
                out.append(d)
        return np.array(out)
    gd = roots(300)
    part = .018                                              # the parting, a little to its left
    side = np.sign(gd[:, 0] - part)[:, None]
    comb = np.stack([side[:, 0] * np.clip(.75 - gd[:, 2], .1, 1), -.35 + 0 * gd[:, 0], .75 + .2 * gd[:, 2]], 1)
    tang = comb - gd * (comb * gd).sum(1, keepdims=True)
    tang /= np.linalg.norm(tang, axis=1, keepdims=True)
    dirs = tang * .93 + gd * .36
    dirs /= np.linalg.norm(dirs, axis=1, keepdims=True)
    gr = c + gd * r
    length = rng.uniform(.46, .66, 300) * np.where(gd[:, 2] < -.1, .9, 1)
    caps = [((0, 1.585, .004), (0, 1.630, .002), .086, .084), ((0, 1.61, .02), (0, 1.61, -.02), .090, .088), ((0, 1.43, .01), (0, 1.50, .0), .158, .148)] + \
           [(a, b, ra + .035, rb + .035) for a, b, ra, rb in body_caps()[3:7]] + [(a, b, ra + .03, rb + .03) for a, b, ra, rb in body_caps()[7:11]]
    lee = np.array([-.80, .10, .60])
    ph = rng.uniform(0, 6.28, 300)

    def wind(P, t):
        s = 1.15 + .9 * np.sin(5.5 * P[..., 1] + 6 * t + .35 * ph[:, None]) + .5 * np.sin(11 * P[..., 0] - 4 * t + ph[:, None] * .5)
        return lee * (np.clip(s, .1, None) * 2.0)[..., None] + .4 * np.stack([np.sin(9 * P[..., 1] + ph[:, None]), np.cos(7 * P[..., 0] + ph[:, None]), np.sin(8 * P[..., 1] - ph[:, None])], -1)
    if cache and os.path.exists(cache):
        G = np.load(cache)
    else:
        G = chains(gr, dirs, length, Body(caps), wind, n=26, steps=170, drag=2.6, stiff=.10, seed=3)
        if cache:
            np.save(cache, G)
    n = 26
    t = np.linspace(0, 1, n)
    sd = roots(strands)
    fly = rng.random(strands) < .06
    d2 = ((sd[:, None] - gd[None]) ** 2).sum(-1) + 4.0 * (np.sign(sd[:, 0] - part)[:, None] != np.sign(gd[:, 0] - part)[None])
    near = np.argsort(d2, 1)[:, :3]
    tones = np.array([.55, .8, 1.0, 1.25, 1.6])
    for i in range(strands):
        j = near[i]
        w = 1 / (d2[i, j] + .003); w /= w.sum()
        p0 = c + sd[i] * r
        rel = sum(w[k] * (G[j[k]] - G[j[k], 0]) for k in range(3))
        lead = G[j[0]] - p0
        k = (.80 * smooth(.0, .55, t) * (rng.uniform(.55, 1.0) if not fly[i] else rng.uniform(0, .4)))[:, None]
        P = p0 + rel * (1 - k) + lead * k
        amp = (.004 if not fly[i] else .030) * rng.uniform(.5, 1.6)
        f1, f2 = rng.uniform(3, 8), rng.uniform(8, 17)
        a = rng.uniform(0, 6.28, 6)
        P = P + (amp * t**1.2)[:, None] * np.stack([np.sin(f1 * t + a[q]) + .4 * np.sin(f2 * t + a[q + 3]) for q in range(3)], 1)
        P = P + (np.outer(t**1.5, rng.normal(0, .006 if not fly[i] else .030, 3)))
        cut = 26 if rng.random() < .6 else int(rng.integers(15, 26))
        P = P[:cut]
        rad = rng.uniform(.000050, .000075) if not fly[i] else rng.uniform(.000035, .000050)
        g.strand(P, HAIR * tones[int(rng.integers(5)) if not fly[i] else 4], rad, rad * .5, "hair")


def bearer(cache_dir=None, fast=False):
    g = Geo()
    p = lambda n: os.path.join(cache_dir, n) if cache_dir else None
    cloak(g, p("cloak.npy"), fast)
    skirt_and_boots(g)
    head(g)
    scarf(g)
    sleeve(g, SHOULDER, ELBOW, HAND, (.095, .085, .075), 11)
    staff(g)
    hand(g, HAND, np.array([.004, 1, -.02]))
    hair(g, 4000 if fast else 16000, p("hair.npy"))
    g.anchors["hook"] = HOOK
    return g
