"""One sitter in three frames: in each another part is as wanted, and the camera has moved a little. With the frame that all should make."""
import functools
import numpy as np
import dolls, hairdo, whole
from base import *
from splitter import Set
from studio_set import *

SIZE = (1000, 1500)
GOWN = (.235, .090, .075)
# Head (turn, tip, lean), hands, feet; camera; exposure in stops. What is wanted of a frame.
FRAMES = {
    "sitter_1": dict(head=(-14, 4, -5), hands="hang", feet="even", wanted=["head"], stops=0.0, camera=dict()),
    "sitter_2": dict(head=(22, -3, 4), hands="held", feet="even_b", wanted=["hands"], stops=.15, camera=dict(x=.006, height=1.054, focal=75.75, roll=.3)),
    "sitter_3": dict(head=(2, 12, 2), hands="hang_b", feet="step", wanted=["feet"], stops=-.10, camera=dict(x=-.005, height=1.047, focal=74.55, roll=-.2, pitch=2.58)),
    "sitter_truth": dict(head=(-14, 4, -5), hands="held", feet="step", wanted=["head", "hands", "feet"], stops=0.0, camera=dict()),
}
SETUPS = {"sitter": {"frames": ["sitter_1", "sitter_2", "sitter_3"], "truth": "sitter_truth", "reference": "sitter_1"}}


def camera(focal=75.0, height=1.05, pitch=2.5, roll=0.0, x=0.0):
    return Camera(SIZE, focal, height, 4.2, pitch, roll, x)


@functools.cache
def strands(seed=5, n=15000, length=.20):
    """Chin-long hair that goes with the head."""
    rng = np.random.default_rng(seed)
    laid = hairdo.style(rng, length, part=.10, steps=110, gust=.7)
    return hairdo.strands(rng, laid, n, fly=.045, curl=.004, thick=(.000050, .000070), frizz=.016)


def box(g, cam):
    """The pixels that some geometry takes up: left, top, right, bottom."""
    P = np.array([cam.pixel(p) for p in g.points()[::7]])
    return [round(float(v), 1) for v in (*P.min(0), *P.max(0))]


def take(job):
    f = FRAMES[job.name]
    cam = camera(**f["camera"])
    place = dolls.nodding(*f["head"])
    parts = {"head": dolls.nod(dolls.head((.10, .06, .04), .0024), *f["head"]), "hands": whole.arms(f["hands"], GOWN), "feet": whole.legs(f["feet"])}
    body = whole.body(GOWN)
    thing = {**body.shapes("body"), **hairdo.growth(strands(), "bob", 1.0, .5, place=place)}
    for k, g in parts.items():
        thing.update(g.shapes(k))
    lights = {"key": softbox((-1.9, 2.9, -2.4), (0, 1.1, 0), (1.1, 1.1), 8.6), "fill": softbox((2.4, 1.6, -2.6), (0, 1.0, 0), (1.4, 1.9), 2.2), "room": room(.17)}
    the_set = Set(lights, {"paper": sweep((.70, .69, .67), 1.7, width=8, bend=.8)}, thing)
    facts = job.take(the_set, cam, gain=2.0 ** f["stops"])
    hair = {"head": HAIR_ROOM}
    boxes = {k: [round(v + d, 1) for v, d in zip(box(g, cam), hair.get(k, (0, 0, 0, 0)))] for k, g in parts.items()}
    return {"setup": "sitter", "wanted": f["wanted"], "exposure_stops": f["stops"], "foot": cam.pixel((0, 0, 0)), "parts": boxes, **facts}


HAIR_ROOM = (-30, -14, 30, 30)                            # pixels that the hair reaches beyond the head
SHOTS = {n: take for n in FRAMES}
