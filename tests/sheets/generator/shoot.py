"""A shot: from a set and a camera to picture, matte, own colour and facts."""
import os
import numpy as np
import develop
from base import *

# Samples a pixel: cover, thing, behind; and how many times smaller what is behind is traced.
FINE = {"strands": (64, 32, 12, 2), "sitting": (64, 20, 12, 2), "heights": (64, 16, 12, 2)}
QUICK = (16, 12, 8, 2)


def window_of(cover, margin):
    """The box that holds the thing."""
    ys, xs = np.flatnonzero(cover.max(1) > 0), np.flatnonzero(cover.max(0) > 0)
    h, w = cover.shape
    x0, y0 = max(0, xs[0] - margin), max(0, ys[0] - margin)
    return int(x0), int(y0), int(min(w, xs[-1] + 1 + margin) - x0), int(min(h, ys[-1] + 1 + margin) - y0)


def window(the_set, cam, seed):
    w, h = cam.size
    x, y, ww, hh = [v * 4 for v in window_of(the_set.render("cover", cam.sensor(4), 16, seed)[..., 0], 3)]
    return x, y, min(ww, w - x), min(hh, h - y)


def expose(the_set, cam, seed, samples, paper_blur=1.5):
    """Own colour, cover and what is behind, all (h, w), linear, before the lens."""
    n_cover, n_thing, n_back, part = samples
    w, h = cam.size
    x, y, ww, hh = box = window(the_set, cam, seed)
    view = cam.sensor(1, box)
    cover, own = np.zeros((h, w), np.float32), np.zeros((h, w, 3), np.float32)
    c = the_set.render("cover", view, n_cover, seed + 1)[..., 0]
    cover[y:y + hh, x:x + ww] = c
    own[y:y + hh, x:x + ww] = develop.own_colour(the_set.render("thing", view, n_thing, seed + 2), c, the_set.kw["sheer"])
    back = develop.behind(the_set.render("behind", cam.sensor(part), n_back, seed + 3), (h, w), paper_blur)
    return own, cover, back


def reach(back):
    """Stops from the darkest to the brightest of what is behind (one in a hundred left out at either end)."""
    lo, hi = np.percentile(back @ LUMA, [1, 99])
    return round(float(np.log2(hi / lo)), 2)


def mixed(a):
    """Where something else shows beside the thing, with a margin."""
    return (develop.blur(((a > 5e-4) & (a < .995)).astype(np.float32), 2) > .02) & (a > 5e-4)


def shot(out, name, the_set, cam, seed, samples, gain=1.0, colour_stops=None, paper_blur=1.5, quality=92, keep=None):
    """Makes NAME.jpg, its matte and (where colour_stops is a number) its own colour; returns its facts."""
    own, cover, back = expose(the_set, cam, seed, samples, paper_blur)
    f, a, b = develop.through_the_lens(own * gain, cover, back * gain)
    picture = develop.mix(f, a, b)
    for d in ("shots", "mattes", "colours"):
        os.makedirs(f"{out}/{d}", exist_ok=True)
    save_jpeg(f"{out}/shots/{name}.jpg", develop.camera(picture, seed), quality)
    save_matte(f"{out}/mattes/{name}.png", a)
    facts = {"file": f"shots/{name}.jpg", "matte": f"mattes/{name}.png", "foreground": None}
    if colour_stops is not None:
        develop.save_colour(f"{out}/colours/{name}.png", f * 2.0**colour_stops, mixed(a))
        facts.update(foreground=f"colours/{name}.png", foreground_stops=colour_stops)
    facts["paper_stops"] = reach(b)
    facts["clipped_share"] = {"picture": round(float((picture.max(-1) >= 1).mean()), 4), "paper": round(float((b.max(-1) >= 1).mean()), 4)}
    if keep:
        np.savez(f"{keep}/{name}.npz", f=f.astype(np.float16), a=a, b=b.astype(np.float16))
    return facts


class Job:
    """One shot to be made: where its files go, its seed, how many samples."""

    def __init__(self, out, name, seed, samples, keep=None):
        self.out, self.name, self.seed, self.samples, self.keep = out, name, seed, samples, keep

    def with_samples(self, thing):
        c, t, b, part = self.samples
        return Job(self.out, self.name, self.seed, (c, min(thing or t, t), b, part), self.keep)

    def take(self, the_set, cam, name=None, **kw):
        return {**shot(self.out, name or self.name, the_set, cam, self.seed, self.samples, keep=self.keep, **kw), "camera": cam.facts()}

    def colour(self, name, the_set, cam, matte):
        """The thing's own colour alone, as seen on another set."""
        x, y, ww, hh = box = window(the_set, cam, self.seed)
        a = np.array(Image.open(f"{self.out}/{matte}")).astype(np.float32) / 65535
        raw = the_set.render("thing", cam.sensor(1, box), self.samples[1], self.seed + 5)
        own = np.zeros((*a.shape, 3), np.float32)
        own[y:y + hh, x:x + ww] = develop.own_colour(raw, raw[..., 3], False)
        f, _, _ = develop.through_the_lens(own, a, own)
        develop.save_colour(f"{self.out}/colours/{name}.png", f, mixed(a))
        return f"colours/{name}.png"
