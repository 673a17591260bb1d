"""From what the path tracer gives to the files of a shot: own colour, what is behind, the picture they mix to, the camera's noise.

    picture = cover x own colour + (1 - cover) x behind,    in linear light, then clipped at 1, coded (IEC 61966-2-1), rounded
"""
import numpy as np
import pyoidn
from scipy.ndimage import gaussian_filter
from base import *

KEPT = .75                                                # share of what the denoiser would take from hair
LENS = .45                                                # pixels: what the lens and the filter before the sensor blur (Gauss)
PHOTONS, READ = 60000.0, 4e-4                              # of a white pixel; noise of reading, as a share of white


def blur(a, s):
    return gaussian_filter(a, (s, s, 0) if a.ndim == 3 else s)


def filled(value, weight, near=1.2):
    """value (times weight) over weight; where the weight is small, from the pixels around."""
    out, w = 0, 1e-6
    for s, k in ((0, 1.0), (near, .15), (4, 4e-3), (16, 1e-4), (60, 1e-6), (200, 1e-8)):
        v, m = (value, weight) if s == 0 else (blur(value, s), blur(weight, s))
        out, w = out + k * v, w + k * m
    return out / w[..., None]


def denoised(rgb, margin=48, **aux):
    """Free of sampling noise. A mirrored margin is laid around first, for the denoiser is uneven along the frame."""
    m = min(margin, min(rgb.shape[:2]) - 1)
    wide = lambda a: np.ascontiguousarray(np.pad(a, ((m, m), (m, m), (0, 0)), "reflect"), np.float32)
    out = pyoidn.denoise(wide(rgb), hdr=True, **{k: wide(v) for k, v in aux.items()})
    return out[m:-m, m:-m]


def own_colour(raw, cover, sheer):
    """The thing's own colour (h, w, 3) from a render in mode "thing", free of sampling noise."""
    weight = cover if sheer else raw[..., 3]
    f = filled(raw[..., :3], weight)
    aux = [filled(raw[..., i:i + 3], raw[..., 3]) for i in (4, 7)]
    clean = denoised(f, 16, albedo=np.clip(aux[0], 0, 1), normal=np.clip(aux[1], -1, 1))
    # Hair's fine grain is much like noise; a part of it is kept, where there is enough of it.
    hair = KEPT * smooth(.02, .006, aux[0].mean(-1)) * smooth(.3, .9, raw[..., 3])
    return np.maximum(clean + (f - clean) * hair[..., None], 0)


def behind(raw, size, smooth_paper=1.5):
    """What is behind from a (maybe smaller) render in mode "behind", free of sampling noise."""
    clean = denoised(raw[..., :3])
    if clean.shape[:2] != size:
        im = [np.array(Image.fromarray(clean[..., i]).resize(size[::-1], Image.BICUBIC)) for i in range(3)]
        clean = np.stack(im, -1)
    return np.maximum(blur(clean, smooth_paper) if smooth_paper else clean, 0)


def through_the_lens(own, cover, back):
    """All three as the sensor's pixels see them."""
    a = blur(cover, LENS)
    f = filled(blur(own * cover[..., None], LENS), a, .8)
    return f, np.clip(a, 0, 1), back


def mix(own, cover, back):
    return own * cover[..., None] + back * (1 - cover[..., None])


def camera(linear, seed, gain=1.0):
    """With the camera's noise: photons and reading."""
    rng = np.random.default_rng(seed)
    x = np.maximum(linear * gain, 0)
    return x + rng.standard_normal(x.shape) * np.sqrt(x / PHOTONS + READ**2)


def save_colour(path, linear, seen):
    """8-bit sRGB PNG of the own colour, black where `seen` is false."""
    e = np.where(seen[..., None], encode(linear) * 255, 0)
    Image.fromarray(np.clip(np.round(e), 0, 255).astype(np.uint8)).save(path, optimize=True)


