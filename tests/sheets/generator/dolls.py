"""Invented doll-like figures: a head with closed eyes, a bust, a whole figure whose head, hands and feet can be set."""
import functools, math
import numpy as np
from base import *
from clay import Clay, lump, limb, moulded, turned

HEAD = np.array([0, 1.600, 0.0])                          # middle of the head of a standing figure, metres; it looks at -z
SKIN = np.array([.60, .385, .285])


def head_clay():
    c, s = Clay(), (-1, 1)
    c.put(lump((0, .030, .014), (.0765, .090, .096)))
    c.put(lump((0, -.030, -.020), (.0640, .086, .070)), .03)
    c.put(lump((0, -.096, -.062), (.026, .022, .024)), .03)                                   # chin
    for x in s:
        c.put(lump((x * .044, -.012, -.058), (.026, .026, .026)), .025)                       # cheeks
        c.put(limb((x * .052, -.060, -.005), (x * .022, -.100, -.050), .018, .018), .03)      # jaw
        c.put(limb((x * .012, .030, -.083), (x * .046, .030, -.064), .008, .006), .016)       # brow
        c.cut(lump((x * .031, .006, -.098), (.019, .012, .018)), .014)
    for x in s:
        c.put(lump((x * .0315, .004, -.0700), (.0175, .0135, .0155)), .004)                   # lids
    c.put(limb((0, .020, -.086), (0, -.026, -.106), .0060, .0095), .014)                      # nose
    for x in s:
        c.put(lump((x * .0115, -.031, -.093), (.0075, .0075, .0105)), .007)
    c.cut(lump((-.006, -.0405, -.101), (.0030, .0030, .0045)), .003).cut(lump((.006, -.0405, -.101), (.0030, .0030, .0045)), .003)
    c.put(lump((0, -.062, -.082), (.024, .014, .012)), .012)
    for x in s:
        c.put(lump((x * .0085, -.0595, -.0915), (.0125, .0050, .0060), (2, -x * 12)), .004)   # lips
    c.put(lump((0, -.0695, -.0915), (.0150, .0058, .0066)), .004)
    c.cut(limb((-.020, -.0640, -.0925), (.020, -.0640, -.0925), .0012, .0012), .002)
    c.cut(limb((0, -.047, -.104), (0, -.054, -.102), .0022, .0026), .006)
    for x in s:
        c.put(lump((x * .0785, -.004, .014), (.0075, .029, .018), (0, 12)), .006)             # ears
        c.cut(lump((x * .0860, -.002, .010), (.0060, .019, .010), (0, 12)), .004)
    return c


def head_colour(v):
    q = lambda c, r: np.exp(-(((v - c) / r) ** 2).sum(-1))[..., None]
    out = SKIN * (1 + .05 * fbm(v[..., 0] * 3, v[..., 1] + v[..., 2], 5, .02, 4))[..., None]
    red = np.array([.52, .17, .13])
    for x in (-1, 1):
        out = out + (red - out) * .22 * q((x * .043, -.026, -.068), (.024, .020, .03))
        out = out + (np.array([.40, .21, .17]) - out) * .45 * q((x * .0315, .010, -.083), (.017, .010, .02))
    lips = np.maximum(q((0, -.0600, -.096), (.0200, .0048, .02)), q((0, -.0700, -.096), (.0165, .0052, .02)))
    out = out + (np.array([.44, .11, .10]) - out) * np.clip(1.5 * lips, 0, .9)
    return out + (red - out) * .18 * q((0, -.026, -.108), (.012, .010, .012))


def brows_and_lashes(clay, g, rgb, rng):
    for x in (-1, 1):
        t = rng.random(260)
        p = np.stack([x * (.010 + .043 * t), .026 + .012 * np.sin(2.2 * t + .25) + rng.normal(0, .0017, 260) * (1 - .6 * t), -.09 + 0 * t], 1)
        p = clay.drop(p, 5)
        n = clay.normals(p)
        d = np.stack([x * (.5 + .5 * t), .75 - 1.1 * t, .1 + 0 * t], 1)
        d = d - n * (d * n).sum(1, keepdims=True)
        d = d / np.linalg.norm(d, axis=1, keepdims=True) * rng.uniform(.005, .009, 260)[:, None]
        for q in np.stack([p, p + d * .4 + n * .0010, p + d * .8 + n * .0011, p + d + n * .0006], 1):
            g.strand(q, rgb * .8, .000055, .00002)
        t = rng.uniform(-1, 1, 110)
        p = clay.drop(np.stack([x * .0315 + .0158 * t, .0015 - .0062 * (1 - t * t), -.09 + 0 * t], 1), 5)
        k = (.0075 * (1 - .3 * t * t) * rng.uniform(.7, 1.1, 110))[:, None]
        d = np.stack([.5 * t + rng.normal(0, .08, 110), -.55 + 0 * t, -.85 + 0 * t], 1) * k
        for q in np.stack([p + [0, 0, .001], p + d * .4, p + d * .8 + [0, .0008, 0], p + d + [0, .0022, -.0006]], 1):
            g.strand(q, rgb * .5, .00006, .00002)


@functools.cache
def face(step):
    c = head_clay()
    return c, moulded(c, (-.10, -.135, -.125), (.10, .13, .12), step, head_colour, "wood")


def head(rgb_hair, step=.0018, seed=2):
    """A head, its middle on the origin."""
    c, skin = face(step)
    g = Geo()
    g.merge(skin)
    brows_and_lashes(c, g, np.asarray(rgb_hair), np.random.default_rng(seed))
    return g


def nodding(turn=0.0, tip=0.0, lean=0.0, at=HEAD, about=(0, -.085, .02)):
    """Where points of a head go."""
    return lambda p: turned(turned(turned(p, about, 0, -tip), about, 2, -lean), about, 1, -turn) + at


def nod(g, turn=0.0, tip=0.0, lean=0.0, at=HEAD, about=(0, -.085, .02)):
    """A head set on its neck: turn to the picture's right, tip downwards, lean to the picture's right; degrees."""
    return g.mapped(nodding(turn, tip, lean, at, about))


def neck_clay(at=HEAD):
    c = Clay().put(limb(at + [0, -.06, .015], at + [0, -.19, .030], .050, .053))
    c.put(limb(at + [0, -.175, .03], at + [0, -.25, .03], .060, .09), .03)
    for x in (-1, 1):
        c.put(limb(at + [x * .03, -.150, .035], at + [x * .15, -.225, .035], .030, .045), .04)
        c.put(limb(at + [x * .012, -.205, -.035], at + [x * .13, -.195, -.005], .012, .012), .02)   # collar bones
    return c


def bust_dress_clay(at=HEAD):
    c = Clay().put(limb(at + [-.09, -.34, .03], at + [.09, -.34, .03], .115, .115))
    for x in (-1, 1):
        c.put(lump(at + [x * .172, -.262, .03], (.066, .062, .066)), .05)
        c.put(limb(at + [x * .19, -.27, .03], at + [x * .225, -.80, .05], .056, .05), .04)
        c.put(lump(at + [x * .065, -.43, -.075], (.062, .070, .050)), .05)
    c.put(limb(at + [0, -.40, .03], at + [0, -.85, .02], .140, .125), .05)
    c.cut(lump(at + [0, -.17, -.03], (.120, .085, .13)), .015)
    return c


def folds(seed, amp, wave, from_y=9.0):
    """Of cloth: rounded ridges that run down and aside; none near and above from_y."""
    def f(p):
        a = fbm(p[..., 0] + .25 * p[..., 1], p[..., 1] * .45 + p[..., 2], seed, wave, 2, .4)
        b = fbm(p[..., 0] * .8 - .5 * p[..., 1], p[..., 1] * .6 + p[..., 2], seed + 40, wave * 2.2, 2)
        return amp * (np.abs(a) * 1.6 + 1.2 * b) * smooth(from_y, from_y - .10, p[..., 1])
    return f


def bust(colour, step=.0035, seed=9):
    """Neck, shoulders and breast in a dress; they reach below the frame."""
    g = moulded(neck_clay(), HEAD + [-.24, -.33, -.09], HEAD + [.24, -.05, .15], .0025, SKIN * .97, "wood")
    cl = lambda v: np.asarray(colour) * (1 + .10 * fbm(v[..., 0], v[..., 1] + v[..., 2], 3, .012, 3))[..., None]
    g.merge(moulded(bust_dress_clay(), HEAD + [-.33, -.78, -.19], HEAD + [.33, -.17, .21], step, cl, "cloth", folds(seed, .014, .085, HEAD[1] - .235)))
    return g
