"""What stands around the thing: lights, paper, camera."""
import math
import numpy as np
from base import *


def softbox(at, to, size, power, rgb=(1, 1, 1)):
    """A rectangular light of this size (width, height; metres); power: what a white card reads that faces it one metre away, had it no size."""
    k = power * math.pi / (size[0] * size[1])
    return {"type": "rectangle", "to_world": T().look_at(origin=list(map(float, at)), target=list(map(float, to)), up=[0, 1, .001]) @ T().scale([size[0] / 2, size[1] / 2, 1]),
            "emitter": {"type": "area", "radiance": {"type": "rgb", "value": [float(k * c) for c in rgb]}}, "bsdf": {"type": "diffuse", "reflectance": {"type": "rgb", "value": 0.0}}}


def room(level, rgb=(1, 1, 1)):
    """The room's light from everywhere: what a white card reads."""
    return {"type": "constant", "radiance": {"type": "rgb", "value": [float(level * c) for c in rgb]}}


def sweep(rgb, behind=1.4, width=6.0, front=-4.0, bend=.8, top=5.0, turn=0.0, left=None, right=None, seed=4, waves=.0016, floor=0.0):
    """A paper sweep whose wall is `behind` metres behind the thing; slightly wavy, as paper hangs. left, right: where the sheet ends."""
    x = np.linspace(-width / 2 if left is None else left, width / 2 if right is None else right, 160)
    a = np.linspace(0, np.pi / 2, 24)
    z = np.concatenate([np.linspace(front, behind - bend, 60)[:-1], behind - bend + bend * np.sin(a), np.full(80, behind)])
    y = np.concatenate([np.zeros(59), bend - bend * np.cos(a), np.linspace(bend, top, 81)[1:]])
    X, Y, Z = x[None] + 0 * y[:, None], y[:, None] + 0 * x[None], z[:, None] + 0 * x[None]
    hang = smooth(.1, 1.2, Y)
    Z = Z + hang * waves * (4 * fbm(X, Y * .35, seed, .55, 3) + 1.5 * fbm(X, Y, seed + 9, .35, 2))
    t = math.radians(turn)                                # the sheet stands at a slant
    Z = Z + hang * math.tan(t) * X
    c = np.array(rgb) * (1 + .012 * fbm(X, Y + Z, seed + 3, .5, 4))[..., None]
    f = grid_faces(len(y), len(x))
    return to_mesh(np.stack([X, Y + floor, Z], -1).reshape(-1, 3), f, c.reshape(-1, 3), "matt")


class Camera:
    """The model's camera (docs/model.md, Coordinates): height, pitch, roll, focal length; at (x, height, z), metres."""

    def __init__(self, size, focal_mm, height, distance, pitch=0.0, roll=0.0, x=0.0, sensor_width_mm=None):
        self.size = size
        self.sensor_mm = sensor_width_mm or (36.0 if size[0] >= size[1] else 24.0)
        self.focal_mm, self.height, self.distance, self.pitch, self.roll, self.x = focal_mm, height, distance, pitch, roll, x
        self.F = focal_mm / self.sensor_mm * size[0]

    def sensor(self, part=1, window=None):
        """part: the picture is so many times smaller; window: (x, y, width, height) of it."""
        size = (self.size[0] // part, self.size[1] // part)
        return sensor({"pitch_deg": self.pitch, "roll_deg": self.roll}, self.F / part, size, window or (0, 0, *size), [self.x, self.height, -self.distance], lens=False)

    def pixel(self, p):
        """Where a point (x, y, z; the thing's foot is the origin) shows."""
        X, Y, Z = p[0] - self.x, p[1] - self.height, p[2] + self.distance
        t, r = math.radians(self.pitch), math.radians(self.roll)
        d = Z * math.cos(t) - Y * math.sin(t)
        du, dv = self.F * X / d, -self.F * (Y * math.cos(t) + Z * math.sin(t)) / d
        return [round(self.size[0] / 2 + du * math.cos(r) + dv * math.sin(r), 3), round(self.size[1] / 2 - du * math.sin(r) + dv * math.cos(r), 3)]

    def facts(self):
        return {"width": self.size[0], "height": self.size[1], "focal_mm": self.focal_mm, "sensor_width_mm": self.sensor_mm, "focal_px": round(self.F, 4),
                "camera_height_m": self.height, "camera_distance_m": self.distance, "camera_x_m": self.x, "pitch_deg": self.pitch, "roll_deg": self.roll,
                "principal": [self.size[0] / 2, self.size[1] / 2]}
