"""Folded-paper cranes, weathered posts, the lantern, a paper boat."""
import math, os
import numpy as np
from core import *
from plants import spline


def sheet(g, A, B, C, rgb, rng, mat="paper", n=26, bend=0.0, axis=None, creases=()):
    """A triangle of paper: finely divided, slightly bowed, with fibres and the faint lines of earlier folds."""
    A, B, C = (np.asarray(p, float) for p in (A, B, C))
    i, j = np.meshgrid(np.arange(n + 1), np.arange(n + 1), indexing="ij")
    ok = i + j <= n
    idx = -np.ones((n + 1, n + 1), int); idx[ok] = np.arange(ok.sum())
    a, b = i[ok] / n, j[ok] / n
    c = np.maximum(1 - a - b, 0)
    P = c[:, None] * A + a[:, None] * B + b[:, None] * C
    nr = np.cross(B - A, C - A); nr /= np.linalg.norm(nr) + 1e-12
    size = max(np.linalg.norm(B - A), np.linalg.norm(C - A))
    P = P + nr * (bend * size * 4 * (a * c + b * c + a * b)[:, None] * .33)
    P = P + nr * (.006 * size * 27 * np.maximum(a * b * c, 0) ** .6 * rng.normal(0, .6))[:, None]
    col = np.array(rgb) * (1 + .045 * fbm(a * 9 + rng.random() * 50, b * 9, 3, 1.0, 5, .7))[:, None]
    for (k, m) in creases:                                  # a crease: where k . barycentric = m
        d = np.abs(a * k[1] + b * k[2] + c * k[0] - m)
        col = col * (1 - .13 * np.exp(-(d / .012) ** 2))[:, None]
    e = np.minimum(np.minimum(a, b), c)
    col = col * (1 + .06 * np.exp(-(e / .02) ** 2) - .06 * np.exp(-e / .12))[:, None]
    f = []
    for q in range(n):
        for r in range(n - q):
            f.append((idx[q, r], idx[q + 1, r], idx[q, r + 1]))
            if q + r < n - 1:
                f.append((idx[q + 1, r], idx[q + 1, r + 1], idx[q, r + 1]))
    g.add(P, f, col, mat)


def crane(rng, span=.56, lift=.30, sweep=.10, droop=.0, rgb=(.74, .71, .64)):
    """A folded-paper crane that looks at -z; lift and droop set the wings. Origin: under the belly."""
    g, s = Geo(), span / 2.3
    base = dict(B=(0, .44, 0), FT=(0, .40, -.24), FB=(0, .05, -.30), RT=(0, .40, .24), RB=(0, .05, .30), L=(-.17, 0, .02), R=(.17, 0, .02),
                N=(.015, 1.02, -.86), K=(.06, .83, -1.14), T=(-.02, .98, .98))
    P = {k: np.array(v, float) for k, v in base.items()}
    c1, c2 = np.array(rgb), np.array(rgb) * .965
    X = np.array([1.0, 0, 0])
    tri = lambda a, b, c, col, **k: sheet(g, np.array(a) * s, np.array(b) * s, np.array(c) * s, col, rng, **k)
    for sg in (-1, 1):
        side = P["R"] if sg > 0 else P["L"]
        # the body's flank: from the ridge down to the belly's edge
        ft, rt = P["FT"] + X * sg * .05, P["RT"] + X * sg * .05
        tri(ft, rt, side, c2, bend=.05 * sg, creases=(((1, 1, 0), .5),))
        tri(P["FB"] + X * sg * .02, ft, side, c2, bend=.02 * sg)
        tri(rt, P["RB"] + X * sg * .02, side, c2, bend=.02 * sg)
        # the back's slope up to the peak
        tri(P["B"], P["FT"] + X * sg * .05, P["RT"] + X * sg * .05, c1, bend=-.02 * sg)
        # the wing: a kite, bowed over its length; three strips so that it can bend
        rf, rr = np.array([.05 * sg, .41, -.27]), np.array([.05 * sg, .41, .25])
        tip = np.array([1.15 * sg, .41 + lift * 1.15, sweep])
        m = 30
        u, v = np.meshgrid(np.linspace(0, 1, 44), np.linspace(0, 1, m), indexing="ij")
        edge = (1 - u) ** .92
        mid = (rf + rr) / 2
        root = rf + (rr - rf) * v[..., None]
        cen = mid + (tip - mid) * u[..., None]
        Q = cen + (root - mid) * edge[..., None]
        bow = .20 * np.sin(np.pi * u * .92) * (1 - .25 * np.cos(2 * np.pi * (v - .5))) - droop * u**2
        Q = Q + UP * bow[..., None] * .55 + np.array([0, 0, 1]) * (.03 * np.sin(np.pi * u) * np.sin(2 * np.pi * v + rng.uniform(0, 6)))[..., None]
        Q[..., 1] += .014 * np.sin(5 * u + rng.uniform(0, 6)) * (v - .5)
        col = c1 * (1 + .04 * fbm(u * 12 + rng.random() * 30, v * 8, 5, 1.0, 5, .7))[..., None]
        for d, k in ((np.abs(v - .5), .10), (np.abs(u - .38 - .3 * (v - .5)), .08), (np.abs(v - .5 - .45 * (u - .4)), .06)):
            col = col * (1 - k * np.exp(-(d / .011) ** 2))[..., None]
        col = col * (1 + .05 * np.exp(-(np.minimum(v, 1 - v) / .02) ** 2))[..., None]
        g.add(Q.reshape(-1, 3) * s, grid_faces(44, m), col.reshape(-1, 3), "paper")
        # neck and tail: slender folds, open above
        for top, bot, end, w in ((P["FT"], P["FB"], P["N"], .055), (P["RT"], P["RB"], P["T"], .06)):
            tri(top + X * sg * w, bot, end + X * sg * .006, c1 * (.985 if sg > 0 else 1.0), bend=.012 * sg, creases=(((1, 0, 0), .35),))
        # the head, bent down
        nk = P["N"]
        tri(nk + X * sg * .016 + [0, .005, .055], nk + X * sg * .003 + [0, -.055, -.015], P["K"], c1, bend=.01 * sg, n=12)
    return g


def post(rng, height=1.15, radius=.055, lean=(.05, .02), rgb=(.235, .20, .165), rope=True):
    """A weathered round post: checks along the grain, a split top, the foot dark and slimed; a loop of old rope."""
    g = Geo()
    n, m = 420, 220
    t, a = np.linspace(0, 1, n), np.linspace(0, 2 * np.pi, m, endpoint=False)
    T_, A = np.meshgrid(t, a, indexing="ij")
    ca, sa = np.cos(A), np.sin(A)
    seed = int(rng.integers(1000))
    wav = A + .10 * np.sin(3 * T_ * height + seed) + .05 * fbm(T_ * height * 4, ca, seed, 1.0, 3)
    grain = fbm(np.cos(wav) * 3.4 + 3 * np.sin(wav), T_ * height * 1.1 + np.sin(wav) * 2.2, seed + 1, .30, 5, .68)
    fineg = fbm(np.cos(wav) * 14, T_ * height * 2.0 + np.sin(wav) * 14, seed + 2, .5, 4, .7)
    cracks = 0
    for _ in range(9):
        a0, t0, L = rng.uniform(0, 2 * np.pi), rng.uniform(0, 1), rng.uniform(.15, .6)
        d = np.abs((wav - a0 + np.pi + .14 * fbm(T_ * height * 5, 0 * A, int(rng.integers(9999)), 1.0, 3)) % (2 * np.pi) - np.pi)
        cracks = cracks + np.exp(-(d / rng.uniform(.012, .035)) ** 2) * smooth(1.0, .6, np.abs(T_ - t0) / L)
    cracks = np.clip(cracks, 0, 1)
    r = radius * (1 - .10 * T_ + .05 * np.cos(2 * A + seed) + .055 * grain + .012 * fineg - .20 * cracks)
    r = r * (1 - .22 * smooth(.05, .0, T_) * 0) * (1 + .10 * smooth(.25, 0, T_))
    top = height * (1 + .045 * np.cos(A - rng.uniform(0, 6)) + .05 * fbm(ca * 2.5, sa * 2.5, seed + 5, .7, 4, .7))
    y = T_ * top
    x, z = r * ca + lean[0] * y + .015 * np.sin(2.2 * y + seed), r * sa + lean[1] * y
    col = np.array(rgb) * (1 + .85 * grain + .45 * fineg)[..., None] * (1 - .75 * cracks)[..., None]
    wetk = smooth(.42, .12, y + .10 * fbm(ca * 2, y * 3, seed + 8, .6, 4, .6))[..., None]
    col = col * (1 - .62 * wetk) + wetk * np.array([.012, .014, .007])
    lich = smooth(.16, .34, fbm(A * .9, y * 3.2, seed + 9, .5, 5, .65))[..., None] * smooth(.3, .7, T_)[..., None]
    col = col * (1 - .6 * lich) + .6 * lich * np.array([.26, .27, .20])
    V = np.stack([x, y, z], -1).reshape(-1, 3)
    F = grid_faces(n, m, True)
    # the end grain: rings inwards from the rim
    k = 26
    rr = np.linspace(1, 0, k)[1:]
    rim = np.stack([x[-1], y[-1], z[-1]], -1)
    cen = rim.mean(0) - [0, .006, 0]
    inner = cen + (rim - cen)[None] * rr[:, None, None]
    dip = .012 * fbm(inner[..., 0] * 30, inner[..., 2] * 30, seed + 11, 1.0, 4, .7)
    inner[..., 1] += dip - .02 * np.clip(cracks[-1], 0, 1)[None] * rr[:, None]
    ring = 1 + .35 * np.sin(rr * 60)[:, None] + .5 * fbm(inner[..., 0] * 60, inner[..., 2] * 60, seed + 12, 1, 3)
    ccol = np.array(rgb) * 1.05 * ring[..., None] * (1 - .5 * cracks[-1])[None, :, None]
    V2 = np.concatenate([V[-m:], inner.reshape(-1, 3)])
    g.add(V, F, col.reshape(-1, 3), "wood")
    g.add(V2, grid_faces(k, m, True), np.concatenate([col[-1], ccol.reshape(-1, 3)]), "wood")
    if rope:
        yr = height * rng.uniform(.72, .82)
        for w in range(3):
            th = np.linspace(0, 2 * np.pi, 90)
            R = radius * .97 + .006
            p = np.stack([R * np.cos(th) + lean[0] * yr, yr + .013 * w + .004 * np.sin(3 * th + w) + .006 * th / 6.3, R * np.sin(th) + lean[1] * yr], 1)
            twine(g, p, .0058, rng)
        e = spline([[R + lean[0] * yr, yr, -.02], [R + .03, yr - .05, -.04], [R + .035, yr - .16, -.05], [R + .06, yr - .27, -.045]], 70)
        twine(g, e, .0056, rng, fray=40)
    return g


def twine(g, p, r, rng, rgb=(.23, .185, .125), fray=0):
    """Three-strand rope along a path."""
    n = len(p) * 3
    P = spline(p, n)
    _, S, U = frames(P)
    s = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(P, axis=0), axis=1))])
    for k in range(3):
        a = s / (r * 6.5) * 2 * np.pi + k * 2.094
        tube(g, P + r * .52 * (np.cos(a)[:, None] * S + np.sin(a)[:, None] * U), r * .55, np.array(rgb) * (.9 + .2 * rng.random()), 8, "cloth")
    for _ in range(int(s[-1] * 700)):
        i = rng.integers(1, n - 2)
        v = rng.normal(0, 1, 3); v /= np.linalg.norm(v)
        g.strand([P[i], P[i] + v * r * 1.2, P[i] + v * r * 1.5 + rng.normal(0, r * .6, 3)], np.array(rgb) * 1.15, .00012, .00006)
    for _ in range(fray):
        v = np.array([rng.normal(0, .5), -1, rng.normal(0, .5)]) * rng.uniform(.02, .05)
        g.strand([P[-1], P[-1] + v * .5, P[-1] + v + rng.normal(0, .006, 3)], np.array(rgb) * 1.1, .00028, .0001)


LANTERN_H = .285


def lantern(rng, glow=1.0):
    """A six-sided lantern of dark metal and oiled paper, lamp lit. Origin: its foot's centre; the ring's top is at
    LANTERN_H. Returns (geometry, glowing panes: vertices, faces, radiance)."""
    g = Geo()
    iron = np.array([.10, .075, .05])
    R0, R1, y0, y1 = .062, .074, .022, .168
    ang = np.arange(6) * np.pi / 3 + .35
    ring = lambda R, y: np.stack([R * np.cos(ang), 0 * ang + y, R * np.sin(ang)], 1)

    def plate(rs, ys, sides=6):
        a = np.linspace(0, 2 * np.pi, sides, endpoint=False) + .35
        v = np.stack([np.outer(rs, np.cos(a)), np.repeat(np.array(ys)[:, None], sides, 1), np.outer(rs, np.sin(a))], -1)
        q = Geo()
        # faceted: each side its own vertices
        for k in range(sides):
            w = v[:, [k, (k + 1) % sides]].reshape(-1, 3)
            g.add(w, grid_faces(len(rs), 2), iron * (1 + .25 * rng.normal(0, .3)), "metal", True)
    plate([0, .078, .082, .080, .066, .064], [0, 0, .006, .014, .020, .024])
    plate([.076, .088, .090, .084, .058, .034, .026, .026, .030, .030, .012, 0], [.166, .168, .175, .181, .204, .222, .226, .238, .240, .246, .252, .253])
    for k in range(6):
        a, b = ring(R0, y0)[k], ring(R1, y1)[k]
        tube(g, np.linspace(a, b, 5), .0030, iron, 8, "metal")
        for t in (.34, .68):
            p, q = ring(R0 + (R1 - R0) * t, y0 + (y1 - y0) * t)[k], ring(R0 + (R1 - R0) * t, y0 + (y1 - y0) * t)[(k + 1) % 6]
            if t == .68:
                tube(g, np.linspace(p, q, 4), .0017, iron, 6, "metal")
        tube(g, np.linspace(b, ring(R1, y1)[(k + 1) % 6], 4), .0032, iron, 8, "metal")
        tube(g, np.linspace(a, ring(R0, y0)[(k + 1) % 6], 4), .0030, iron, 8, "metal")
    th = np.linspace(0, 2 * np.pi, 40)
    tube(g, np.stack([.019 * np.cos(th), .266 + .019 * np.sin(th), 0 * th], 1), .0023, iron, 10, "metal")
    # the panes: brightest round the flame, mottled like oiled paper
    V, F, E, off = [], [], [], 0
    flame = np.array([0, .078, 0])
    for k in range(6):
        a0, b0, a1, b1 = ring(R0 - .001, y0)[k], ring(R0 - .001, y0)[(k + 1) % 6], ring(R1 - .001, y1)[k], ring(R1 - .001, y1)[(k + 1) % 6]
        u, v = np.meshgrid(np.linspace(0, 1, 40), np.linspace(0, 1, 70), indexing="ij")
        P = (a0 + (b0 - a0) * u[..., None]) * (1 - v[..., None]) + (a1 + (b1 - a1) * u[..., None]) * v[..., None]
        d = np.linalg.norm((P - flame) * [1, .75, 1], axis=-1)
        e = .30 + 1.5 * np.exp(-((d - .050) / .030) ** 2) + 1.1 * np.exp(-((u - .5) / .20) ** 2 - ((P[..., 1] - .085) / .022) ** 2)
        e = e * (1 + .22 * fbm(u * 5 + k * 3, v * 8, 4, 1.0, 5, .65)) * (1 - .35 * np.exp(-np.minimum(u, 1 - u) / .05)) * (1 - .45 * smooth(.18, .0, v)) * (1 - .25 * smooth(.75, 1, v))
        hot = np.clip(e / 2.2, 0, 1)[..., None]
        col = np.array([1.0, .44, .125]) * (1 - hot) + np.array([1.0, .66, .30]) * hot
        V.append(P.reshape(-1, 3)); F.append(grid_faces(40, 70) + off); E.append((e[..., None] * col).reshape(-1, 3) * glow)
        off += 2800
    return g, (np.concatenate(V), np.concatenate(F), np.concatenate(E))


def glowing_mesh(V, F, E):
    """A mesh that emits its vertex colours, outwards."""
    nr = np.cross(V[F[:, 1]] - V[F[:, 0]], V[F[:, 2]] - V[F[:, 0]])
    out = V[F].mean(1) - V.mean(0)
    F = np.where(((nr * out).sum(1) < 0)[:, None], F[:, ::-1], F)
    m = mi.Mesh("glow", len(V), len(F), has_vertex_normals=False, has_vertex_texcoords=False)
    m.add_attribute("vertex_glow", 3, np.ravel(np.maximum(E, 0)).astype(np.float32))
    q = mi.traverse(m)
    q["vertex_positions"] = np.ravel(V).astype(np.float32)
    q["faces"] = np.ravel(F).astype(np.uint32)
    q.update()
    fn = os.path.join(TMP, "glow.ply")
    m.write_ply(fn)
    return mi.load_dict({"type": "ply", "filename": fn, "face_normals": True, "flip_normals": False,
                         "b": {"type": "twosided", "x": {"type": "diffuse", "reflectance": {"type": "rgb", "value": [.35, .28, .18]}}},
                         "e": {"type": "area", "radiance": {"type": "mesh_attribute", "name": "vertex_glow"}}})
