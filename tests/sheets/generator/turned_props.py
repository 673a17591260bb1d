"""Props of exactly known height: all stand on the origin, their highest point is at the height that is said."""
import math
import numpy as np
from base import *
from plants import spline

WOOD, PALE, IRON, CLAY, CLOTH = (.30, .19, .11), (.56, .45, .32), (.05, .05, .055), (.42, .19, .11), (.12, .17, .26)


def grain(v, rgb, seed=3):
    """Wood's or clay's colour changes from place to place; no seed: plain."""
    if seed is None:
        return np.asarray(rgb) + 0 * v
    return np.asarray(rgb) * (1 + .35 * fbm(v[..., 0] * 6 + v[..., 2] * 6, v[..., 1] * .7, seed, .12, 5, .6))[..., None]


def box(g, lo, hi, rgb, mat="wood", soft=.004, seed=3):
    """A box with bevelled edges."""
    lo, hi = np.asarray(lo, float), np.asarray(hi, float)
    s = min(soft, .3 * (hi - lo).min())
    for axis in range(3):
        for side in (0, 1):
            i, j = [k for k in range(3) if k != axis]
            n = 24
            p = np.zeros((n, n, 3))
            t = np.linspace(0, 1, n)
            p[..., i] = lo[i] + s + (hi[i] - lo[i] - 2 * s) * t[:, None]
            p[..., j] = lo[j] + s + (hi[j] - lo[j] - 2 * s) * t[None]
            p[..., axis] = hi[axis] if side else lo[axis]
            g.add(p.reshape(-1, 3), grid_faces(n, n), grain(p, rgb, seed).reshape(-1, 3), mat, flat=True)
    # the bevels: a box that is smaller along two axes fills every edge
    for axis in range(3):
        q0, q1 = lo + s * .3, hi - s * .3
        q0[axis], q1[axis] = lo[axis] + s * .3, hi[axis] - s * .3
        c = np.array([[x, y, z] for x in (q0[0], q1[0]) for y in (q0[1], q1[1]) for z in (q0[2], q1[2])])
        f = [[0, 1, 3], [0, 3, 2], [4, 6, 7], [4, 7, 5], [0, 4, 5], [0, 5, 1], [2, 3, 7], [2, 7, 6], [0, 2, 6], [0, 6, 4], [1, 5, 7], [1, 7, 3]]
        g.add(c, f, np.asarray(rgb) * .9, mat, flat=True)


def lathe(g, profile, rgb, mat="wood", n=96, rows=200, seed=3):
    """Turned round the upright axis; profile: (radius, height), from below."""
    P = np.asarray(profile, float)
    u = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(P, axis=0), axis=1))])
    t = np.linspace(0, u[-1], rows)
    t = np.sort(np.concatenate([t, u, u[1:-1] - 1e-4, u[1:-1] + 1e-4]))
    r, y = np.interp(t, u, P[:, 0]), np.interp(t, u, P[:, 1])
    a = np.linspace(0, 2 * np.pi, n, endpoint=False)
    v = np.stack([r[:, None] * np.cos(a), y[:, None] + 0 * a, r[:, None] * np.sin(a)], -1)
    g.add(v.reshape(-1, 3), grid_faces(len(t), n, True), grain(v, rgb, seed).reshape(-1, 3), mat)


def card(height=1.0, width=.60):
    """A plain grey card on edge, 4 mm thick."""
    g = Geo()
    box(g, (-width / 2, 0, -.002), (width / 2, height, .002), (.18, .18, .18), "matt", .0008, None)
    return g


def post(height=1.0):
    g = Geo()
    box(g, (-.045, 0, -.045), (.045, height, .045), PALE, "wood", .004, 8)
    return g


def urn(height=.30):
    g, k = Geo(), height / .30
    P = [(0, .0), (.075, .0), (.078, .012), (.060, .022), (.085, .060), (.125, .130), (.130, .170), (.110, .215), (.070, .245), (.062, .262), (.080, .285), (.092, .300), (.080, .298), (.052, .262), (.0, .24)]
    foot, wall = P[:4], spline(P[3:], 120).tolist()
    top = max(y for _, y in wall)
    wall = [(max(r, 0), .022 + (y - .022) * (.300 - .022) / (top - .022)) for r, y in wall]
    lathe(g, [(r * k, y * k) for r, y in foot[:-1] + wall], CLAY, "matt", seed=5)
    return g


def plinth(height=1.12):
    g = Geo()
    lathe(g, [(0, 0), (.20, 0), (.20, .06), (.17, .075), (.165, .11), (.125, .14), (.118, height * .5), (.108, height - .16), (.135, height - .13), (.14, height - .10),
              (.19, height - .07), (.19, height), (0, height)], (.62, .60, .56), "matt", seed=6)
    return g


def coat_stand(height=1.90):
    g = Geo()
    lathe(g, [(0, 0), (.17, 0), (.17, .02), (.05, .06), (.022, .12), (.020, .9), (.028, .93), (.020, .96), (.016, height - .09), (.024, height - .07), (.018, height - .05), (.026, height - .025), (0, height)], WOOD, "wood", seed=7)
    for k in range(5):
        a = 2 * math.pi * k / 5 + .4
        d = np.array([math.cos(a), 0, math.sin(a)])
        p = np.array([0, height - .20, 0])
        q = [p + d * .015, p + d * .06 + [0, .0, 0], p + d * .12 + [0, .05, 0], p + d * .13 + [0, .11, 0]]
        tube(g, q, [.010, .009, .008, .009], WOOD, 12, "wood")
    return g


def stool(height=.62):
    g = Geo()
    lathe(g, [(0, height - .035), (.155, height - .035), (.165, height - .028), (.165, height - .006), (.158, height), (0, height)], WOOD, "wood", seed=9)
    for k in range(4):
        a = math.pi / 4 + math.pi / 2 * k
        d = np.array([math.cos(a), 0, math.sin(a)])
        tube(g, [d * .185, d * .150 + [0, height * .5, 0], d * .115 + [0, height - .036, 0]], [.014, .017, .017], WOOD, 14, "wood")
        b = np.array([math.cos(a + math.pi / 2), 0, math.sin(a + math.pi / 2)])
        y = .20 + .03 * (k % 2)
        tube(g, [d * .171 + [0, y, 0], b * .171 + [0, y, 0]], [.009, .009], WOOD, 10, "wood")
    return g.mapped(lambda p: np.maximum(p, [-9, 0, -9]))


def screen(height=1.55):
    """A folding screen of two leaves; its frame's upper edge is at the height."""
    g = Geo()
    for s in (-1, 1):
        leaf = Geo()
        for lo, hi in (((0, 0), (.03, height)), ((.40, 0), (.43, height)), ((.03, .10), (.40, .14)), ((.03, height - .04), (.40, height)), ((.03, height * .55), (.40, height * .55 + .03))):
            box(leaf, (lo[0], lo[1], -.011), (hi[0], hi[1], .011), WOOD, "wood", .002, 11)
        box(leaf, (.03, .14, -.002), (.40, height - .04, .002), CLOTH, "cloth", .001, 12)
        a = math.radians(28)
        g.merge(leaf, lambda p, s=s: np.stack([s * (p[:, 0] * math.cos(a)), p[:, 1], p[:, 0] * math.sin(a) + s * 0 + p[:, 2]], 1))
    return g


def obelisk(height=.85):
    g = Geo()
    box(g, (-.14, 0, -.14), (.14, .10, .14), (.34, .35, .37), "matt", .004, 13)
    w, y = .095, .10
    c = np.array([[-w, y, -w], [w, y, -w], [w, y, w], [-w, y, w], [-.055, height - .09, -.055], [.055, height - .09, -.055], [.055, height - .09, .055], [-.055, height - .09, .055], [0, height, 0]])
    f = [[0, 1, 5], [0, 5, 4], [1, 2, 6], [1, 6, 5], [2, 3, 7], [2, 7, 6], [3, 0, 4], [3, 4, 7], [4, 5, 8], [5, 6, 8], [6, 7, 8], [7, 4, 8]]
    a = math.radians(20)
    g.add(c, f, (.34, .35, .37), "matt", flat=True)
    return g.mapped(lambda p: np.stack([p[:, 0] * math.cos(a) + p[:, 2] * math.sin(a), p[:, 1], -p[:, 0] * math.sin(a) + p[:, 2] * math.cos(a)], 1))
