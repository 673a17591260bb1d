"""A whole figure, standing: its head, hands and feet are set apart from the rest."""
import functools, math
import numpy as np
import dolls
from base import *
from clay import Clay, limb, lump, moulded
from dolls import HEAD, SKIN
from plants import spline

ELBOW = [np.array([-.262, 1.105, .045]), np.array([.262, 1.105, .045])]
KNEE = [np.array([-.082, .520, -.010]), np.array([.082, .520, -.010])]

# The wrist of either hand (its right one first: at the picture's left), where the fingers point, where the palm looks.
HANDS = {
    "hang": [((-.285, .885, -.020), (-.05, -1, -.10), (1, 0, -.15)), ((.285, .885, -.020), (.05, -1, -.10), (-1, 0, -.15))],
    "hang_b": [((-.300, .890, -.075), (-.10, -1, -.25), (1, 0, -.25)), ((.270, .880, .010), (.02, -1, .02), (-1, 0, -.1))],
    "held": [((-.105, 1.010, -.215), (.95, -.12, -.10), (.05, .15, 1)), ((.110, 1.215, -.190), (-.62, .62, .10), (.1, -.1, 1))],
    "hip": [((-.235, .905, -.070), (.10, -1, -.18), (1, 0, .1)), ((.235, 1.000, -.120), (-.60, -.55, -.10), (-.3, -.2, 1))],
}
# The ankle of either foot, and how far its tip is turned out (degrees).
FEET = {
    "even": [((-.085, .085, .035), -10), ((.085, .085, .035), 10)],
    "even_b": [((-.098, .085, .020), -16), ((.080, .085, .050), 5)],
    "step": [((-.070, .085, .060), -34), ((.125, .085, -.115), 12)],
    "apart": [((-.125, .085, -.030), -24), ((.118, .085, .040), 22)],
}


def hand(c, wrist, fwd, palm, thumb):
    """Adds a hand to a Clay; thumb: +1 or -1, to which side of `fwd x palm` it grows."""
    wrist = np.asarray(wrist, float)
    unit = lambda v: np.asarray(v, float) / np.linalg.norm(v)
    f = unit(fwd)
    p = unit(np.asarray(palm, float) - f * (np.asarray(palm, float) @ f))
    a = np.cross(f, p) * thumb
    for k in range(4):
        s, curl = .027 - .0185 * k, .22 + .12 * k
        base = wrist + f * (.086 - .004 * abs(k - 1)) + a * s
        c.put(limb(wrist + a * (.014 - .010 * k), base, .0165, .0112), .010)
        d1, d2 = f * math.cos(curl) + p * math.sin(curl), f * math.cos(2.4 * curl) + p * math.sin(2.4 * curl)
        j = base + d1 * (.043 - .003 * abs(k - 1.3))
        c.put(limb(base, j, .0100, .0086), .004).put(limb(j, j + d2 * (.036 - .003 * abs(k - 1.3)), .0086, .0066), .003)
    t = wrist + f * .038 + a * .044 + p * .012
    c.put(limb(wrist + f * .004 + a * .012, t, .0165, .0120), .010).put(limb(t, t + f * .046 + a * .012 + p * .008, .0112, .0082), .004)


def arms(pose, sleeve):
    """Forearms and hands, with the rims of the sleeves."""
    g = Geo()
    for i, (wrist, fwd, palm) in enumerate(HANDS[pose]):
        w, e = np.asarray(wrist), ELBOW[i]
        c = Clay().put(limb(e, e + (w - e) * .45, .041, .040)).put(limb(e + (w - e) * .45, w, .038, .0245), .02)
        hand(c, w, fwd, palm, -1 if i else 1)
        f = np.asarray(fwd, float) / np.linalg.norm(fwd)
        ends = np.array([e, w, w + f * .20])
        g.merge(moulded(c, ends.min(0) - .07, ends.max(0) + .07, .0028, lambda v: SKIN * (1 + .05 * fbm(v[:, 0], v[:, 1] + v[:, 2], 6, .03, 3))[:, None], "wood"))
        q = e + (w - e) * np.linspace(-.06, .26, 12)[:, None]
        tube(g, q, np.linspace(.052, .058, 12), sleeve, 40, "cloth", 1 + .05 * fbm(np.arange(12)[:, None] * .6, np.cos(np.linspace(0, 6.28, 40))[None] * 2, 31 + i, 1, 3), cap=False)
    return g


def legs(pose, shoe=(.060, .028, .020), stocking=(.095, .080, .075)):
    g = Geo()
    for i, (ankle, out) in enumerate(FEET[pose]):
        o, k = np.asarray(ankle, float), KNEE[i]
        t = np.linspace(0, 1, 24)
        q = k + [0, .10, 0] + (o - k - [0, .10, 0]) * t[:, None] + np.outer(np.sin(np.pi * t), [0, 0, .018])
        tube(g, q, np.interp(t, [0, .2, .45, .8, 1], [.058, .053, .054, .036, .033]), stocking, 36, "cloth")
        a = math.radians(out)
        f = np.array([math.sin(a), 0, -math.cos(a)])
        o = o * [1, 0, 1]
        # a low shoe: heel, instep, tip, and its sole flat on the floor
        path = [o - f * .062 + [0, .040, 0], o - f * .020 + [0, .062, 0], o + f * .045 + [0, .052, 0], o + f * .105 + [0, .038, 0], o + f * .155 + [0, .028, 0], o + f * .182 + [0, .022, 0]]
        s = Geo()
        tube(s, spline(path, 30), np.interp(np.linspace(0, 1, 30), [0, .22, .5, .85, 1], [.026, .044, .044, .040, .012]), shoe, 40, "leather", sx=1.0, sz=.95)
        tube(s, [o + [0, .060, 0], o + [0, .100, 0]], [.044, .042], shoe, 40, "leather")
        g.merge(s, lambda p: np.maximum(p, [-9, .0, -9]))
    return g


def gown(colour, seed=4, hem=.470):
    """Bodice with sleeves to the elbow, and a skirt in folds."""
    c = Clay().put(limb(HEAD + [-.09, -.34, .03], HEAD + [.09, -.34, .03], .112, .112))
    for i, x in enumerate((-1, 1)):
        c.put(lump(HEAD + [x * .168, -.262, .03], (.060, .060, .062)), .05)
        c.put(limb(HEAD + [x * .185, -.27, .03], ELBOW[i], .055, .053), .035)
        c.put(lump(HEAD + [x * .062, -.43, -.070], (.060, .068, .048)), .05)
    c.put(limb(HEAD + [0, -.40, .03], HEAD + [0, -.62, .01], .132, .118), .05)
    c.cut(lump(HEAD + [0, -.17, -.03], (.115, .080, .12)), .015)
    tint = lambda v: np.asarray(colour) * (1 + .12 * fbm(v[..., 0], v[..., 1] + v[..., 2], 3, .012, 3))[..., None]
    g = moulded(c, HEAD + [-.36, -.76, -.17], HEAD + [.36, -.17, .20], .0040, tint, "cloth", dolls.folds(seed, .012, .085, HEAD[1] - .235))
    a = np.linspace(0, 2 * np.pi, 360, endpoint=False)
    y = np.linspace(hem, 1.055, 150)
    R = np.interp(y, [hem, .75, .98, 1.055], [.262, .215, .140, .118])
    k = smooth(1.0, .55, y)[:, None]
    fold = 1 + k * (.075 * np.cos(9 * a + .6 + .8 * np.sin(2 * y[:, None])) + .045 * np.cos(14 * a + 2) + .02 * np.cos(23 * a))
    fold = fold + .03 * k * fbm(np.cos(a)[None] * 2, y[:, None] * 2 + np.sin(a)[None], 3, .6, 3)
    v = np.stack([R[:, None] * fold * np.cos(a) * 1.03, y[:, None] + .006 * np.cos(4 * a)[None] * k, R[:, None] * fold * np.sin(a) * .82 + .012], -1)
    g.add(v.reshape(-1, 3), grid_faces(150, 360, True), tint(v).reshape(-1, 3), "cloth")
    th = np.linspace(0, 2 * np.pi, 90)
    belt = np.stack([.119 * np.cos(th), 1.035 + .004 * np.sin(2 * th), .104 * np.sin(th) + .012], 1)
    tube(g, belt, .012, np.asarray(colour) * .35, 14, "leather", cap=False, sz=1.6)
    return g


@functools.cache
def body(colour):
    """What does not move: neck, bodice, skirt."""
    g = moulded(dolls.neck_clay(), HEAD + [-.24, -.33, -.09], HEAD + [.24, -.05, .15], .0030, SKIN * .97, "wood")
    g.merge(gown(colour))
    return g
