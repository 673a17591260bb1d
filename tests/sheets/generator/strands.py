"""Seven shots with what is hard to cut out: hair on cream, white and grey paper, a veil, a tuft, white on white, the paper's end."""
import math, os
import numpy as np
import dolls, hairdo
from base import *
from splitter import Set
from studio_set import *

PORTRAIT, LANDSCAPE = (1000, 1500), (1500, 1000)


def portrait(distance=2.6, height=1.475, focal=108, size=PORTRAIT, pitch=0.0):
    return Camera(size, focal, height, distance, pitch)


def sitter(turn, tip, lean, dress, brow, hair, seed, n, pigment, **kw):
    """A bust with loose hair. hair: how it is laid (hairdo.style); kw: its strands."""
    place = dolls.nodding(turn, tip, lean)
    rng = np.random.default_rng(seed)
    unturn = lambda p: p                                  # the shoulders, near enough, in the head's frame
    laid = hairdo.style(rng, caps=[(unturn(np.array(a)), unturn(np.array(b)), ra, rb) for a, b, ra, rb in hairdo.SHOULDERS], **hair)
    S = hairdo.strands(rng, laid, n, **kw)
    S = [(k, np.column_stack([place(s[:, :3]), s[:, 3]])) for k, s in S]
    S = hairdo.clip_under(S, lambda p: p, dolls.bust_dress_clay())
    S = hairdo.clip_under(S, lambda p: p, dolls.neck_clay())
    body = dolls.bust(dress, seed=seed)
    face = dolls.nod(dolls.head(np.asarray(brow)), turn, tip, lean)
    return {**face.shapes("head"), **body.shapes("bust"), **hairdo.growth(S, "hair", *pigment)}


def cream():
    """Dark loose hair on cream paper, the light falling off across it, the shadow of head and shoulders on it."""
    thing = sitter(-26, 5, -4, (.085, .150, .160), (.05, .03, .02), {"length": .42, "wind": (.9, .1, .1), "gust": 1.6}, 11, 34000, (2.4, .30), fly=.09, curl=.005, frizz=.030)
    warm = light_rgb(5200, 5600)
    lights = {"key": softbox((-1.15, 2.30, -2.1), (0, 1.55, 0), (.40, .40), 4.6, warm), "edge": softbox((-1.15, 1.40, .02), (-.45, 1.35, .55), (.25, 1.3), .85, warm),
              "hair": softbox((.85, 2.25, .25), (0, 1.66, -.15), (.35, .5), .50, warm), "room": room(.06, warm)}
    return Set(lights, {"paper": sweep((.80, .745, .625), .55, bend=.4)}, thing, depth=6), portrait(), {}


def blond():
    """Blond hair on white paper; the light from behind burns the hair's edge out, and the paper in part."""
    thing = sitter(20, 3, 5, (.30, .11, .10), (.30, .20, .11), {"length": .36, "wind": (-.5, .25, .0), "gust": 2.0, "lift": .45, "part": -.12}, 23, 34000, (.16, .20), fly=.09,
                   curl=.006, wave=.008, wavelength=.085)
    lights = {"key": softbox((1.1, 2.2, -2.2), (0, 1.55, 0), (1.0, 1.0), 3.4), "rim": softbox((-.85, 2.30, .70), (0, 1.62, 0), (.4, .7), 3.0),
              "paper": softbox((-.2, 3.2, .10), (.15, 1.55, 1.3), (1.6, .5), 3.7), "rim2": softbox((.90, 1.9, .80), (.1, 1.55, 0), (.3, .8), 1.1), "room": room(.18)}
    return Set(lights, {"paper": sweep((.86, .86, .855), 1.3)}, thing, depth=6), portrait(), {"colour_stops": -2}


GREY = (.262, .322, .294)


def grey(tint=GREY, thing=None):
    """Dark hair on grey paper that is greenish and stands close on three sides: its cast is on cheeks and hair."""
    thing = thing or sitter(8, 2, -6, (.34, .32, .29), (.05, .03, .02), {"length": .30, "wind": (-.6, .2, -.1), "gust": 2.2, "part": .05}, 31, 32000, (1.9, .15), fly=.09, curl=.006, wave=.005)
    wing = lambda x: {"type": "rectangle", "to_world": T().look_at(origin=[x, 1.4, .25], target=[0, 1.4, .25], up=[0, 1, 0]) @ T().scale([.55, 1.2, 1]),
                      "bsdf": {"type": "twosided", "x": {"type": "diffuse", "reflectance": {"type": "rgb", "value": list(tint)}}}}
    lights = {"key": softbox((-.5, 2.7, -1.9), (0, 1.55, 0), (.7, .5), 3.0), "left": softbox((-.15, 2.75, .15), (-.55, 1.5, .25), (.3, .3), 1.3),
              "right": softbox((.15, 2.75, .15), (.55, 1.5, .25), (.3, .3), 1.3), "paper": softbox((0, 2.9, -.2), (0, 1.5, .75), (.8, .3), 1.2), "room": room(.04)}
    back = {"paper": sweep(tint, .75, bend=.4), "wing_l": wing(-.62), "wing_r": wing(.62)}
    return Set(lights, back, thing, depth=6), portrait(), {}


def veil():
    """A thin veil over a bust, paper behind: what is seen through it is part the paper's."""
    import soft_things
    body, face = dolls.bust((.055, .060, .085), seed=41), dolls.nod(dolls.head(np.array([.06, .04, .03])), -8, 3, 0)
    cap = Geo()
    ellipsoid(cap, dolls.HEAD + [0, .030, .018], [.0795, .0945, .0985], (.045, .030, .022), "cloth", 40)
    X, uv = soft_things.veil()
    thing = {**face.shapes("head"), **body.shapes("bust"), **cap.shapes("cap"), "veil": soft_things.veil_shape(X, uv)}
    lights = {"key": softbox((-1.3, 2.4, -1.9), (0, 1.5, 0), (.9, .9), 4.2), "rim": softbox((1.0, 2.2, .4), (0, 1.5, 0), (.4, .8), 1.0), "room": room(.12)}
    return Set(lights, {"paper": sweep((.36, .33, .31), .9, bend=.5)}, thing, sheer=True), portrait(2.6, 1.46, 96), {"gain": 1.25}


def tuft():
    """Fern and grass, dense in the middle, on blue paper that stands at a slant, with its shadow."""
    import soft_things
    g = soft_things.tuft().placed(turn=25)
    lights = {"key": softbox((-1.0, 1.25, -.9), (0, .25, 0), (.28, .28), 2.5), "room": room(.16)}
    paper = sweep((.16, .27, .47), .34, width=4, front=-1.6, bend=.16, top=2, turn=14)
    return Set(lights, {"paper": paper}, g.shapes("tuft")), Camera(LANDSCAPE, 85, .66, 2.05, 11.8), {"gain": 1.25}


def white():
    """White folded paper on white paper, evenly lit: the thing is as bright as what it lies on."""
    import soft_things
    g = soft_things.paper_bowl().mapped(lambda p: p + [.16, 0, 0])
    lights = {"sky": softbox((0, 2.2, -.3), (0, 0, .1), (2.4, 2.0), 3.0), "key": softbox((-1.7, 1.3, -.6), (0, .1, 0), (.8, .8), .9), "room": room(.22)}
    paper = sweep((.855, .855, .85), 1.1, width=5, front=-1.8, bend=.5, top=3)
    return Set(lights, {"paper": paper}, g.shapes("folded"), depth=6), Camera(LANDSCAPE, 80, .78, 1.7, 23.5), {"gain": 1.22}


def end_of_paper():
    """A whole figure on the sweep; at the right the paper ends and the room begins: a dark wall, a floor, a stand."""
    import whole
    place = dolls.nodding(16, 3, 4)
    rng = np.random.default_rng(61)
    laid = hairdo.style(rng, .34, part=-.08, gust=1.3, wind=(.3, 0, 0), caps=hairdo.SHOULDERS)
    S = hairdo.strands(rng, laid, 16000, fly=.05, curl=.005, thick=(.000050, .000070))
    S = hairdo.clip_under([(k, np.column_stack([place(s[:, :3]), s[:, 3]])) for k, s in S], lambda p: p, dolls.bust_dress_clay())
    gown = (.075, .125, .105)
    parts = {"body": whole.body(gown), "hands": whole.arms("hip", gown), "feet": whole.legs("apart"), "head": dolls.nod(dolls.head((.06, .04, .03), .0024), 16, 3, 4)}
    thing = hairdo.growth(S, "hair", 1.6, .3)
    for k, g in parts.items():
        thing.update(g.shapes(k))
    around = Geo()
    around.add([[-6, -.012, -6], [6, -.012, -6], [6, -.012, 6], [-6, -.012, 6]], [[0, 2, 1], [0, 3, 2]], (.110, .095, .080), "matt")
    around.add([[-6, -1, 2.9], [6, -1, 2.9], [6, 6, 2.9], [-6, 6, 2.9]], [[0, 1, 2], [0, 2, 3]], (.105, .100, .105), "matt")
    foot = np.array([.79, 0, 1.25])
    tube(around, foot + np.outer(np.linspace(.25, 2.9, 8), UP), np.linspace(.017, .011, 8), (.16, .16, .17), 20, "metal")
    for k in range(3):
        a = 2.1 * k + .5
        d = np.array([math.cos(a), 0, math.sin(a)])
        tube(around, [foot + d * .42 + [0, .0, 0], foot + d * .20 + [0, .40, 0], foot + [0, .78, 0]], .009, (.16, .16, .17), 12, "metal")
    back = {"paper": sweep((.74, .725, .69), 1.7, right=.66, left=-3, bend=.8), **around.shapes("room")}
    lights = {"key": softbox((-1.9, 2.9, -2.3), (0, 1.1, 0), (1.0, 1.0), 9.0), "fill": softbox((2.2, 1.8, -3.0), (0, 1.1, 0), (1.2, 1.9), 1.6), "room": room(.10)}
    return Set(lights, back, thing), Camera(PORTRAIT, 72, 1.08, 4.2, 2.6), {"paper_blur": 0, "gain": 1.25}


def take(scene, samples=None):
    """samples: of the thing, a pixel, where fewer than usual do."""
    def f(job):
        the_set, cam, how = scene()
        return {"setup": scene.__name__, **job.with_samples(samples).take(the_set, cam, **{"colour_stops": 0, **how})}
    return f


def take_grey(job):
    """With it the own colour that the thing would have before neutral paper of the same brightness."""
    job = job.with_samples(20)
    the_set, cam, _ = grey()
    facts = {"setup": "grey", **job.take(the_set, cam, colour_stops=0)}
    neutral, _, _ = grey((float(np.array(GREY) @ LUMA),) * 3, the_set.thing)
    return {**facts, "foreground_neutral": job.colour("grey_neutral", neutral, cam, facts["matte"])}


SHOTS = {"cream": take(cream), "blond": take(blond, 24), "grey": take_grey, "veil": take(veil, 16), "tuft": take(tuft), "white": take(white, 16), "end_of_paper": take(end_of_paper)}
SETUPS = {s.__name__: {"about": s.__doc__} for s in (cream, blond, grey, veil, tuft, white, end_of_paper)}
