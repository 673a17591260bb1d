"""Shapes pressed together from round lumps: signed distances, smoothly joined, turned into meshes."""
import itertools, math
import numpy as np
from skimage.measure import marching_cubes
from base import Geo


def turned(p, about, axis, degrees):
    """Points turned about an axis (0 x, 1 y, 2 z) through a point."""
    a = math.radians(degrees)
    i, j = [(1, 2), (2, 0), (0, 1)][axis]
    q = np.asarray(p, float) - about
    out = q.copy()
    out[..., i], out[..., j] = q[..., i] * math.cos(a) - q[..., j] * math.sin(a), q[..., i] * math.sin(a) + q[..., j] * math.cos(a)
    return out + about


def lump(c, r, tilt=None):
    """An ellipsoid; tilt: (axis, degrees). The distance is nearly right near the surface."""
    c, r = np.asarray(c, float), np.asarray(r, float) * np.ones(3)

    def f(p):
        q = (p if tilt is None else turned(p, c, tilt[0], -tilt[1])) - c
        k0 = np.sqrt(((q / r) ** 2).sum(-1))
        k1 = np.sqrt(((q / r**2) ** 2).sum(-1)) + 1e-9
        return k0 * (k0 - 1) / k1
    return f


def limb(a, b, ra, rb):
    """A round cone from a to b."""
    a, b = np.asarray(a, float), np.asarray(b, float)
    ab = b - a

    def f(p):
        t = np.clip((p - a) @ ab / (ab @ ab), 0, 1)
        return np.linalg.norm(p - a - t[..., None] * ab, axis=-1) - (ra + (rb - ra) * t)
    return f


def join(a, b, k):
    h = np.clip(.5 + .5 * (b - a) / k, 0, 1)
    return b + (a - b) * h - k * h * (1 - h)


def carve(a, b, k):
    return -join(-a, b, k)


class Clay:
    """A list of what is put on (or, with cut, taken off), each with the width of its seam."""

    def __init__(self):
        self.steps = []

    def put(self, f, k=.01):
        self.steps.append((f, k, False)); return self

    def cut(self, f, k=.006):
        self.steps.append((f, k, True)); return self

    def distance(self, p):
        d = None
        for f, k, off in self.steps:
            g = f(p)
            d = g if d is None else carve(d, g, k) if off else join(d, g, k)
        return d

    def normals(self, p, e=5e-4):
        n = np.stack([self.distance(p + e * v) - self.distance(p - e * v) for v in np.eye(3)], -1)
        return n / (np.linalg.norm(n, axis=-1, keepdims=True) + 1e-12)

    def drop(self, p, times=8):
        """Points brought to the surface."""
        for _ in range(times):
            p = p - self.normals(p) * self.distance(p)[..., None] * .9
        return p

    def mesh(self, lo, hi, step, extra=None):
        """Points and triangles between two corners; extra(p): added to the distance (folds)."""
        n = [int(math.ceil((h - l) / step)) + 1 for l, h in zip(lo, hi)]
        ax = [l + step * np.arange(k) for l, k in zip(lo, n)]
        out, B = np.empty(n, np.float32), 16
        at = lambda ix, iy, iz: np.stack(np.meshgrid(ax[0][ix], ax[1][iy], ax[2][iz], indexing="ij"), -1)
        for i, j, k in itertools.product(*(range(0, m, B) for m in n)):
            s = [slice(a, min(a + B, m)) for a, m in zip((i, j, k), n)]
            mid = np.array([x[t].mean() for x, t in zip(ax, s)])
            d = float(self.distance(mid[None])[0])
            if abs(d) > 2.2 * B * step:                   # the surface is not near
                out[tuple(s)] = d
                continue
            p = at(*s)
            out[tuple(s)] = self.distance(p) + (extra(p) if extra is not None else 0)
        v, f, _, _ = marching_cubes(out, 0.0, spacing=(step,) * 3)
        return v + np.asarray(lo, float), f


def moulded(clay, lo, hi, step, colour, mat, extra=None):
    """colour: one colour or a function of the points."""
    g = Geo()
    v, f = clay.mesh(lo, hi, step, extra)
    g.add(v, f, colour(v) if callable(colour) else colour, mat)
    return g
