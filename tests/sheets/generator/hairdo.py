"""Hair: locks laid down by gravity over head and shoulders, strands between them, and those that fly away."""
import numpy as np
from base import *
from cloth import Body, chains
from clay import turned

SCALP, SKULL = np.array([0, .024, .010]), np.array([.0805, .0985, .1000])


def scalp(rng, n, nape=-.55):
    """Directions from the middle of the skull where hair grows."""
    out = []
    while len(out) < n:
        d = rng.standard_normal(3); d /= np.linalg.norm(d)
        line = .38 + .30 * abs(d[0])                      # the hair line over the brow
        face = d[2] < -.30 and d[1] < line
        side = d[2] < .02 and d[1] < -.05
        if d[1] > nape and not face and not side:
            out.append(d)
    return np.array(out)


def style(rng, length, part=.16, guides=320, wind=(0, 0, 0), gust=1.0, steps=150, stiff=.10, lift=.34, caps=(), turn=0.0):
    """Locks (guides, 26, 3) in the head's frame, with their roots' directions."""
    gd = scalp(rng, guides)
    s = np.sign(gd[:, 0] - part)
    comb = np.stack([s * np.clip(.85 - .7 * gd[:, 2], .1, 1.4), -.20 + 0 * s, .75 + .2 * gd[:, 2]], 1)
    tang = comb - gd * (comb * gd).sum(1, keepdims=True)
    tang /= np.linalg.norm(tang, axis=1, keepdims=True)
    d = tang * .93 + gd * lift
    d /= np.linalg.norm(d, axis=1, keepdims=True)
    L = length * rng.uniform(.82, 1.08, guides)
    ph = rng.uniform(0, 6.28, guides)
    w = np.asarray(wind, float)

    def air(P, t):
        k = 1.0 + .8 * np.sin(7 * P[..., 1] + 5 * t + .5 * ph[:, None]) + .5 * np.sin(13 * P[..., 0] - 4 * t + ph[:, None])
        eddy = np.stack([np.sin(11 * P[..., 1] + ph[:, None]), np.cos(9 * P[..., 0] + ph[:, None]), np.sin(10 * P[..., 1] - ph[:, None])], -1)
        return w * np.clip(k, .1, None)[..., None] + .3 * gust * eddy
    before = [((0, -.17, -.085), (0, .030, -.110), .082, .058)]     # keeps the face free
    head = before + [((0, .045, .02), (0, .035, -.005), .083, .079), ((0, -.03, -.018), (0, .03, -.01), .074, .080), ((0, -.09, .02), (0, -.2, .03), .058, .062)]
    body = Body(head + list(caps))
    G = chains(SCALP + gd * SKULL, d, L, body, air, n=26, steps=steps, drag=2.4, stiff=stiff, margin=.005, seed=5)
    return gd, G, part


SHOULDERS = [((-.15, -.235, .03), (.15, -.235, .03), .075, .075), ((0, -.32, .02), (0, -.6, .02), .155, .16), ((-.09, -.42, -.05), (.09, -.42, -.05), .085, .085)]


def strands(rng, styled, n, fly=.05, curl=.004, wave=.0, wavelength=.07, thick=(.000034, .000048), tidy=.80, frizz=.024, tones=5):
    """(tone, points (k, 4) with radius) of each strand. fly: share of strands that leave their lock; wave: of whole locks, metres."""
    gd, G, part = styled
    m = G.shape[1]
    t = np.linspace(0, 1, m)
    sd = scalp(rng, n)
    arc = np.linalg.norm(np.diff(G, axis=1), axis=2).sum(1)
    gp = rng.uniform(0, 6.28, (len(G), 2))
    W = np.stack([np.sin(6.28 * t * arc[:, None] / wavelength + gp[:, :1]), .3 * np.sin(3 * t + gp[:, 1:]), np.cos(6.28 * t * arc[:, None] / wavelength + gp[:, :1])], -1)
    G = G + W * wave * smooth(.05, .5, t)[None, :, None]
    out = []
    fly = rng.random(n) < fly
    for i in range(n):
        d2 = ((sd[i] - gd) ** 2).sum(1) + 4.0 * (np.sign(sd[i, 0] - part) != np.sign(gd[:, 0] - part))
        j = np.argpartition(d2, 3)[:3]
        j = j[np.argsort(d2[j])]
        w = 1 / (d2[j] + .003); w /= w.sum()
        p0 = SCALP + sd[i] * SKULL
        rel = sum(w[k] * (G[j[k]] - G[j[k], 0]) for k in range(3))
        f = fly[i]
        k = (tidy * smooth(0, .55, t) * (rng.uniform(0, .5) if f else rng.uniform(.5, 1.0)))[:, None]
        P = p0 + rel * (1 - k) + (G[j[0]] - p0) * k
        a = rng.uniform(0, 6.28, 6)
        f1, f2 = rng.uniform(3, 8), rng.uniform(9, 19)
        amp = (frizz if f else curl) * rng.uniform(.4, 1.7)
        P = P + (amp * t**1.1)[:, None] * np.stack([np.sin(f1 * t + a[q]) + .4 * np.sin(f2 * t + a[q + 3]) for q in range(3)], 1)
        P = P + np.outer(t**1.4, rng.normal(0, frizz * .8 if f else curl * 1.2, 3))
        if f:                                             # it lifts off the rest
            out_dir = P - SCALP; out_dir[:, 1] *= .4
            P = P + out_dir / (np.linalg.norm(out_dir, axis=1, keepdims=True) + .02) * (rng.exponential(.010) * smooth(0, .3, t))[:, None]
        cut = m if rng.random() < .55 else int(rng.integers(13, m))
        if f and rng.random() < .35:
            cut = int(rng.integers(8, 16))
        r = rng.uniform(*thick) * (.85 if f else 1)
        q = np.column_stack([P[:cut], np.linspace(r, r * .55, cut)])
        out.append((int(rng.integers(tones)), q))
    return out


def growth(S, tag, eumelanin, pheomelanin, spread=.35, place=lambda p: p, rough=.28):
    """Objects for the renderer; hair's own scattering, with so much pigment (spread: from tone to tone)."""
    out, tones = {}, sorted({k for k, _ in S})
    for k in tones:
        fn = os.path.join(TMP, f"{tag}_{k}.txt")
        with open(fn, "w") as f:
            for _, s in (s for s in S if s[0] == k):
                p = place(s[:, :3])
                s = np.column_stack([p, s[:, 3]])
                s = np.vstack([2 * s[0] - s[1], s, 2 * s[-1] - s[-2]])
                f.write("\n".join("%.6f %.6f %.6f %.7f" % tuple(q) for q in s) + "\n\n")
        m = (1 + spread) ** (k - len(tones) // 2)
        out[f"{tag}_{k}"] = mi.load_dict({"type": "bsplinecurve", "filename": fn, "bsdf": {
            "type": "hair", "eumelanin": float(eumelanin * m), "pheomelanin": float(pheomelanin * m), "longitudinal_roughness": rough, "azimuthal_roughness": .35}})
    return out


def clip_under(S, place, clay, margin=.002):
    """Strands pushed out of a body (a Clay), so that none runs through it."""
    out = []
    P = np.concatenate([place(s[:, :3]) for _, s in S])
    d = clay.distance(P)
    k = np.flatnonzero(d < margin)
    P[k] += clay.normals(P[k]) * np.clip(margin - d[k], 0, .03)[:, None]
    i = 0
    for tone, s in S:
        out.append((tone, np.column_stack([P[i:i + len(s)], s[:, 3]]))); i += len(s)
    return out
