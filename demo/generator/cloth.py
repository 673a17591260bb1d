"""A small cloth simulation (position-based dynamics: Mueller et al. 2007, with the compliance of Macklin et al. 2016) and
chains for hair. The body is a set of capsules; everything is deterministic."""
import numpy as np


class Body:
    """Rounded cones (a, b, ra, rb); distance and outward normal of many points at once."""

    def __init__(self, caps):
        self.caps = [(np.asarray(a, float), np.asarray(b, float), float(ra), float(rb)) for a, b, ra, rb in caps]

    def push(self, p, margin):
        """Moves points out of the body; returns who was touched and the normals."""
        hit, nrm = np.zeros(len(p), bool), np.zeros_like(p)
        for a, b, ra, rb in self.caps:
            ab = b - a
            t = np.clip(((p - a) @ ab) / (ab @ ab + 1e-12), 0, 1)
            q = p - (a + t[:, None] * ab)
            d = np.sqrt((q * q).sum(1)) + 1e-9
            r = ra + (rb - ra) * t + margin
            k = np.flatnonzero(d < r)
            if len(k):
                n = q[k] / d[k, None]
                p[k] += n * (r[k] - d[k])[:, None]
                hit[k] = True; nrm[k] = n
        return hit, nrm


class Cloth:
    """A grid of points (rows, cols, 3) with rest lengths taken from a flat pattern (rows, cols, 2)."""

    def __init__(self, X, pattern, pinned=None, wrap=False):
        self.X, self.V = X.astype(float).copy(), np.zeros_like(X, float)
        self.pin = np.zeros(X.shape[:2], bool) if pinned is None else pinned
        self.w = (~self.pin).astype(float)
        R, C = X.shape[:2]
        self.sets = []
        for di, dj, stiff in ((0, 1, 1.0), (1, 0, 1.0), (1, 1, .45), (1, -1, .45), (0, 2, .05), (2, 0, .05)):
            i, j = np.meshgrid(np.arange(R - di), np.arange(max(0, -dj), C - max(0, dj)), indexing="ij")
            key = (i // max(di, 1)) % 2 if di else (j // dj) % 2                 # two sets, none sharing a point
            for k in (0, 1):
                m = key == k
                a = (i[m] * C + j[m]); b = ((i[m] + di) * C + j[m] + dj)
                if len(a):
                    L = np.linalg.norm(pattern.reshape(-1, pattern.shape[-1])[a] - pattern.reshape(-1, pattern.shape[-1])[b], axis=1)
                    self.sets.append((a, b, L, stiff))

    def step(self, body, dt, iters, gravity=9.81, wind=None, drag=1.2, friction=.55, margin=.006, floor=.012, damping=.995):
        R, C = self.X.shape[:2]
        X, w = self.X.reshape(-1, 3), self.w.reshape(-1)
        V = self.V.reshape(-1, 3)
        acc = np.array([0, -gravity, 0]) + 0 * V
        if wind is not None:
            n = np.cross(np.gradient(self.X, axis=0), np.gradient(self.X, axis=1)).reshape(-1, 3)
            n /= np.linalg.norm(n, axis=1, keepdims=True) + 1e-12
            rel = wind(X) - V
            acc = acc + drag * n * (n * rel).sum(1, keepdims=True) + .12 * drag * rel
        V = (V + acc * dt) * damping * w[:, None]
        P = X + V * dt
        for k in range(iters):
            for a, b, L, s in self.sets:
                d = P[b] - P[a]
                l = np.sqrt((d * d).sum(1)) + 1e-9
                ws = w[a] + w[b]
                c = s * (l - L) / l / np.maximum(ws, 1e-9)
                if s < .2:
                    c = np.where(l < L, c, 0)                                    # bending: only resists folding
                d *= c[:, None]
                P[a] += d * w[a][:, None]
                P[b] -= d * w[b][:, None]
            if k % 2 == 1 or k == iters - 1:
                keep = P.copy()
                hit, n = body.push(P, margin)
                low = P[:, 1] < floor
                P[low, 1] = floor
                hit |= low; n[low] = [0, 1, 0]
                if friction and k == iters - 1 and hit.any():
                    h = np.flatnonzero(hit)
                    dx = P[h] - X[h]
                    tan = dx - n[h] * (dx * n[h]).sum(1, keepdims=True)
                    P[h] -= tan * friction
                P[w == 0] = keep[w == 0]
        V = (P - X) / dt
        sp = np.linalg.norm(V, axis=1, keepdims=True)
        V *= np.minimum(1, 3.0 / (sp + 1e-9))
        self.X, self.V = P.reshape(R, C, 3), V.reshape(R, C, 3)


def refine(A, rows, cols):
    """Bicubic resampling of a grid (rows, cols, k)."""
    from scipy.ndimage import zoom, map_coordinates
    r, c = A.shape[:2]
    i, j = np.meshgrid(np.linspace(0, r - 1, rows), np.linspace(0, c - 1, cols), indexing="ij")
    return np.stack([map_coordinates(A[..., k], [i, j], order=3, mode="nearest") for k in range(A.shape[2])], -1)


def chains(roots, dirs, lengths, body, wind, n=26, steps=220, dt=.012, stiff=.12, margin=.004, gravity=9.81, drag=5.0, phase=None, seed=0):
    """Locks of hair: chains rooted at `roots`, leaving along `dirs`, laid down by gravity and wind over the body."""
    rng = np.random.default_rng(seed)
    B = len(roots)
    L = (lengths / (n - 1))[:, None]
    P = roots[:, None] + dirs[:, None] * (np.arange(n)[None, :, None] * L[..., None])
    V = np.zeros_like(P)
    for s in range(steps):
        a = np.array([0, -gravity, 0]) + drag * (wind(P, s * dt) - V)
        V = (V + a * dt) * .985
        Q = P + V * dt
        Q[:, 0] = roots; Q[:, 1] = roots + dirs * L
        for _ in range(14):
            for k in range(1, n):
                d = Q[:, k] - Q[:, k - 1]
                l = np.linalg.norm(d, axis=1, keepdims=True) + 1e-9
                Q[:, k] = Q[:, k - 1] + d / l * L if _ == 13 else Q[:, k] - d * (1 - L / l) * (1.0 if k < 3 else .6)
                if _ != 13 and k >= 3:
                    Q[:, k - 1] += d * (1 - L / l) * .4
            if stiff:
                m = (Q[:, :-2] + Q[:, 2:]) / 2 - Q[:, 1:-1]
                Q[:, 1:-1][:, 1:] += stiff * m[:, 1:]
            flat = Q.reshape(-1, 3)
            body.push(flat, margin)
            Q = flat.reshape(B, n, 3)
            Q[:, 0] = roots
        V = (Q - P) / dt
        V *= np.minimum(1, 2.5 / (np.linalg.norm(V, axis=-1, keepdims=True) + 1e-9))
        P = Q
    return P
