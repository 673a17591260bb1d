"""A veil, a tuft of fern and grass in a pot, folded white paper."""
import math
import numpy as np
import dolls
import turned_props as props
from base import *
from cloth import Body, Cloth, refine
from dolls import HEAD
from plants import leaves, spline


def weave(n=512, pitch=8, seed=1, low=.20, high=.60):
    """Opacity of a piece of gauze: threads across and along, each of its own width; (n, n)."""
    rng = np.random.default_rng(seed)
    x = np.arange(n)
    k = n // pitch
    thread = lambda: np.repeat(rng.uniform(.30, .52, k), pitch) > np.abs((x % pitch + .5) / pitch - .5) * 2 * .78 + .06 * rng.standard_normal(n)
    a = np.maximum(thread()[None] * 1.0, thread()[:, None] * 1.0)
    b = np.clip(fbm(x[None] / n, x[:, None] / n, seed + 5, .25, 3) * .5 + .5, 0, 1)
    return np.clip(low + (high - low) * (.70 * a + .30 * b), low, high)


def veil(seed=3, size=(1.20, 1.00), rows=64, cols=76):
    """A square of gauze that has fallen over head and shoulders: points (rows, cols, 3) and places on the cloth (metres)."""
    u, v = np.linspace(-.5, .5, cols) * size[0], np.linspace(-.42, .58, rows) * size[1]
    U, V = np.meshgrid(u, v)
    X = np.stack([U, HEAD[1] + .137 - .10 * np.hypot(U, V) + .01 * fbm(U, V, seed, .2, 3), V + .02], -1)
    caps = [(HEAD + [0, .045, .02], HEAD + [0, .035, -.005], .092, .088), (HEAD + [0, -.03, -.022], HEAD + [0, .03, -.014], .080, .084), (HEAD + [0, -.015, -.090], HEAD + [0, -.035, -.100], .026, .026), (HEAD + [-.082, -.005, .012], HEAD + [.082, -.005, .012], .026, .026),
            (HEAD + [0, -.09, .02], HEAD + [0, -.2, .03], .060, .064), (HEAD + [-.172, -.262, .03], HEAD + [.172, -.262, .03], .080, .080), (HEAD + [0, -.34, .02], HEAD + [0, -.85, .02], .172, .165),
            (HEAD + [-.19, -.27, .03], HEAD + [-.225, -.8, .05], .078, .068), (HEAD + [.19, -.27, .03], HEAD + [.225, -.8, .05], .078, .068), (HEAD + [-.08, -.43, -.07], HEAD + [.08, -.43, -.07], .080, .080)]
    cl, body = Cloth(X, np.stack([U, V], -1), np.hypot(U, V) < .035), Body(caps)      # a comb holds it on the crown
    air = lambda p: .35 * np.stack([np.sin(9 * p[:, 1] + 4 * p[:, 0]), 0 * p[:, 0], np.cos(8 * p[:, 0])], 1)
    for i in range(110):
        cl.step(body, 1 / 60, 9, wind=air, drag=2.0, friction=.5, margin=.010, floor=-9, damping=.985)
    R, C = rows * 6, cols * 6
    X = refine(cl.X, R, C)
    U, V = np.meshgrid(np.linspace(-.5, .5, C) * size[0], np.linspace(-.42, .58, R) * size[1])
    ripple = fbm(U, V * .6, seed + 1, .06, 3) * .006
    n = np.cross(np.gradient(X, axis=0), np.gradient(X, axis=1))
    n /= np.linalg.norm(n, axis=-1, keepdims=True) + 1e-12
    return X + n * ripple[..., None], np.stack([U, V], -1)


def veil_shape(X, uv, rgb=(.80, .79, .77), pitch_m=.0014):
    """For the renderer: a mask over matt white, with a hem of double cloth."""
    R, C = X.shape[:2]
    n, tiles = 512, 64
    a = weave(n, n // tiles)
    tex = mi.Bitmap(np.ascontiguousarray(a[..., None].astype(np.float32)))
    opacity = {"type": "bitmap", "bitmap": tex, "raw": True, "wrap_mode": "repeat", "filter_type": "bilinear"}
    b = {"type": "mask", "opacity": opacity, "nested": {"type": "twosided", "x": {"type": "diffuse", "reflectance": {"type": "rgb", "value": list(rgb)}}}}
    p = mi.Properties()
    p["b"] = mi.load_dict(b)
    F = grid_faces(R, C)
    m = mi.Mesh("veil", R * C, len(F), has_vertex_normals=True, has_vertex_texcoords=True, props=p)
    q = mi.traverse(m)
    V = X.reshape(-1, 3)
    q["vertex_positions"], q["faces"] = np.ravel(V).astype(np.float32), np.ravel(F).astype(np.uint32)
    q["vertex_texcoords"] = np.ravel(uv.reshape(-1, 2) / (pitch_m * tiles)).astype(np.float32)
    A, B, D = V[F[:, 0]], V[F[:, 1]], V[F[:, 2]]
    nn = np.cross(B - A, D - A)
    vn = np.stack([sum(np.bincount(F[:, i], nn[:, j], len(V)) for i in range(3)) for j in range(3)], 1)
    q["vertex_normals"] = np.ravel(vn / (np.linalg.norm(vn, axis=1, keepdims=True) + 1e-20)).astype(np.float32)
    q.update()
    return m


def frond(g, rng, base, azim, length, rgb, rise=1.15, droop=1.5):
    """One fern frond: a midrib with rows of leaflets that shorten towards the tip."""
    n = 34
    t = np.linspace(0, 1, n)
    el = rise - droop * t**1.5
    az = azim + rng.normal(0, .2) * t
    step = np.stack([np.cos(el) * np.cos(az), np.sin(el), np.cos(el) * np.sin(az)], -1) * length / (n - 1)
    P = base + np.cumsum(step, 0) - step[0]
    tube(g, P, np.linspace(.0017, .0004, n), np.array(rgb) * .7, 8, "wood")
    d = np.gradient(P, axis=0); d /= np.linalg.norm(d, axis=1, keepdims=True)
    across = np.cross(d, UP); across /= np.linalg.norm(across, axis=1, keepdims=True)
    k = np.repeat(np.arange(5, n - 1), 2)
    s = np.where(np.arange(len(k)) % 2, 1, -1)
    L = length * .24 * np.sin(np.pi * np.clip((t[k] - .10) / .92, .02, 1) ** .75) ** .9 * rng.uniform(.85, 1.1, len(k))
    m = 12
    u = np.linspace(0, 1, m)
    out = across[k] * s[:, None] * .90 + d[k] * .44 + rng.normal(0, .05, (len(k), 3))
    mid = P[k][:, None] + out[:, None] * (L[:, None] * u)[..., None] + UP * (-.25 * L[:, None] * u**2)[..., None]
    w = L[:, None] * .20 * np.sin(np.pi * np.clip(u * .93 + .07, 0, 1)) ** .7 * (1 + .30 * np.sin(u * 34)) + .0004
    up = np.cross(across[k] * s[:, None], d[k]) * s[:, None]
    side = np.cross(out, up)[:, None] + 0 * mid
    c = np.array(rgb) * rng.uniform(.75, 1.25, (len(k), 1)) * (1 + .05 * rng.standard_normal((len(k), 3)))
    ribbons(g, mid, w, side, np.clip(np.repeat(c[:, None], m, 1) * (.85 + .3 * u[:, None]), .01, .8), .12)


def tuft(seed=6):
    """Grass and fern in a small clay pot, dense in the middle."""
    g, rng = Geo(), np.random.default_rng(seed)
    props.lathe(g, [(0, 0), (.052, 0), (.055, .004), (.070, .088), (.077, .090), (.078, .110), (.071, .112), (.066, .100), (0, .098)], props.CLAY, "matt", seed=4)
    at = lambda n, s: np.stack([rng.normal(0, s, n).clip(-.05, .05), .095 + 0 * rng.random(n), rng.normal(0, s, n).clip(-.05, .05)], 1)
    n = 340
    leaves(g, rng, at(n, .024), rng.uniform(0, 6.28, n), rng.uniform(.22, .46, n), rng.uniform(.0020, .0042, n), np.array([.105, .190, .050]), rng.uniform(.15, .75, n), .93, .5, 24, .06, (.34, .28, .12))
    n = 90
    leaves(g, rng, at(n, .030), rng.uniform(0, 6.28, n), rng.uniform(.26, .40, n), rng.uniform(.0009, .0016, n), np.array([.26, .24, .11]), rng.uniform(.1, .5, n), .95, .3, 22, .15)
    for k in range(17):
        frond(g, rng, at(1, .020)[0], 2 * math.pi * k / 17 + rng.normal(0, .15), rng.uniform(.24, .38), np.array([.075, .165, .045]) * rng.uniform(.8, 1.3), rng.uniform(.95, 1.40), rng.uniform(1.1, 1.9))
    return g


def paper_bowl(folds=30, white=(.86, .86, .855)):
    """A bowl of pleated white paper, and beside it a strip folded to and fro."""
    g = Geo()
    m, rows = folds * 2 * 6, 60
    a = np.linspace(0, 2 * np.pi, m, endpoint=False)
    tri = np.abs((a * folds / (2 * np.pi)) % 1 - .5) * 4 - 1
    t = np.linspace(0, 1, rows)
    R, Y = .045 + .100 * t**.8, .155 * t**1.25 + .001
    r = R[:, None] * (1 + (.020 + .085 * t[:, None]) * tri)
    v = np.stack([r * np.cos(a), Y[:, None] * (1 + .02 * np.cos(3 * a + 1)) + 0 * r, r * np.sin(a)], -1)
    shell = v.reshape(-1, 3)
    g.add(shell, grid_faces(rows, m, True), white, "paper")
    disc = np.concatenate([v[0], [[0, .001, 0]]])
    j = np.arange(m)
    g.add(disc, np.stack([j, (j + 1) % m, np.full(m, m)], 1), white, "paper")
    n, h = 13, .085
    z = Geo()
    x = np.arange(n) * .026
    y = np.where(np.arange(n) % 2, .018, -.018)
    for i in range(n - 1):
        p = np.array([[x[i], 0, y[i]], [x[i + 1], 0, y[i + 1]], [x[i + 1], h, y[i + 1]], [x[i], h, y[i]]])
        z.add(p, [[0, 1, 2], [0, 2, 3]], white, "paper", flat=True)
    b = math.radians(14)
    g.merge(z, lambda p: np.stack([p[:, 0] * math.cos(b) - p[:, 2] * math.sin(b) - .42, p[:, 1], p[:, 0] * math.sin(b) + p[:, 2] * math.cos(b) - .11], 1))
    return g
