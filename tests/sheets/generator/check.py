#!/usr/bin/env python3
"""Checks the truth: that picture = cover x own colour + (1 - cover) x behind.

    python check.py files DIR      files against the linear parts that `make.py --keep DIR` left
    python check.py split NAME     small renders of a scene of strands: whole, against its parts mixed
"""
import json, os, sys
import numpy as np
import develop
from base import *


def linear(path):
    return decode(np.array(Image.open(path).convert("RGB")) / 255.0)


def files(keep, out=os.path.join(HERE, "..")):
    """Root mean square of picture - mix in 8-bit steps: of all pixels that are partly covered; and the mean difference."""
    for s in json.load(open(f"{out}/facts.json"))["shots"]:
        npz = f"{keep}/{s['name']}.npz"
        if not os.path.exists(npz):
            continue
        d = np.load(npz)
        a = np.array(Image.open(f"{out}/{s['matte']}")) / 65535.0
        f = linear(f"{out}/{s['foreground']}") * 2.0 ** -s["foreground_stops"] if s["foreground"] else d["f"].astype(float)
        part = (a > .02) & (a < .98)
        e = encode(np.array(linear(f"{out}/{s['file']}"))) - encode(develop.mix(f, a, d["b"].astype(float)))
        e = 255 * e[part]
        print(f"{s['name']:14} partly covered {part.mean():6.3%}   rms {np.sqrt((e**2).mean()):5.2f}   mean {e.mean():+5.2f}   cover {a.mean():.3f}")


def split(name):
    import strands
    the_set, cam, _ = getattr(strands, name)()
    s = cam.sensor(8)
    part = {m: the_set.render(m, s, 256, i) for i, m in enumerate(("whole", "thing", "behind", "cover"))}
    empty = the_set.render("behind", s, 256, 9, empty=True)[..., :3]
    a = part["cover"][..., :1]
    mixed = part["thing"][..., :3] + (1 - a) * part["behind"][..., :3]
    far = lambda p, q: ((p - q).mean((0, 1)) / q.mean((0, 1)), np.sqrt(((develop.blur(p - q, 2)) ** 2).mean()) / q.mean())
    print(name, "mixed against whole: mean", *np.round(far(mixed, part["whole"][..., :3])[0], 4), " rms of 5 x 5 pixels", round(float(far(mixed, part["whole"][..., :3])[1]), 4))
    bare = a[..., 0] < 1e-4
    k = np.log2((part["behind"][..., :3] @ LUMA / (empty @ LUMA))[bare])
    print("  what the thing does to the bare paper beside it, in stops: darkest", round(float(np.percentile(k, 1)), 2), "median", round(float(np.median(k)), 2), "brightest", round(float(np.percentile(k, 99)), 2))


if __name__ == "__main__":
    files(sys.argv[2]) if sys.argv[1] == "files" else split(sys.argv[2])
