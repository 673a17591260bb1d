"""Where a plant meets the paper: blades that dip below the paper's surface are in the true coverage, not in the shot."""
import numpy as np
from scipy.ndimage import gaussian_filter

LUMA = np.array([0.2126, 0.7152, 0.0722])
ROOTED = ("reed", "bulrush", "sedge", "umbel", "blades")
ABOVE = (-.12, -.03)                                      # from here on, in heights below the foot, what the shot shows counts
HANGING = (.015, .060)                                    # here blades that hang over the foreground thin out
SHOWN = (.42, .75)                                        # darker than the paper by this share of the piece's own darkness: hidden ... shown


def ramp(a, b, x):
    t = np.clip((x - a) / (b - a), 0, 1)
    return t * t * (3 - 2 * t)


def paper_near(luma, matte):
    """The bare paper's brightness, from the nearest bare paper (its shadows belong to it)."""
    bare = (matte < .002).astype(float)
    paper, weight = 0, 1e-9
    for s, q in ((3, 1), (12, .02), (40, 4e-4), (120, 8e-6)):
        g = gaussian_filter(bare, s)
        paper, weight = paper + gaussian_filter(luma * bare, s) * q, weight + g * q
    return paper / weight


def shown(shot, matte, foot, height):
    """The coverage that the shot bears out near the foot. shot: linear, on white paper; matte: 0..1; foot: row; height: pixels."""
    luma = shot @ LUMA
    dark = np.clip(1 - luma / paper_near(luma, matte) - .015, 0, 1)
    whole = dark[:max(1, int(foot))][matte[:max(1, int(foot))] > .99]
    seen = ramp(*SHOWN, dark / np.maximum(matte, .06) / (np.median(whole) if whole.size else 1))
    seen = gaussian_filter(seen * matte, .8) / (gaussian_filter(matte, .8) + 1e-6)
    row = ((np.arange(len(matte)) + .5 - foot) / height)[:, None]
    return matte * (1 - ramp(*ABOVE, row) * (1 - np.clip(seen, 0, 1))) * (1 - ramp(*HANGING, row))
