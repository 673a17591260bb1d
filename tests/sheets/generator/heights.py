"""Two set-ups in which one thing of a known height gives the heights of others: a level camera, and a higher one that looks down."""
import numpy as np
import turned_props as props
from base import *
from splitter import Set
from studio_set import *

SIZE = (1000, 1500)
LEVEL = lambda: Camera(SIZE, 85, 1.10, 6.0)
DOWN = lambda: Camera(SIZE, 70, 1.78, 5.2, 6.0)
# Name: set-up, what stands there, its height, where its foot is (x, z from the mark).
THINGS = {
    "level_card": ("level", props.card, 1.000, (0, 0)), "level_urn": ("level", props.urn, .300, (0, 0)),
    "level_plinth": ("level", props.plinth, 1.120, (0, 0)), "level_stand": ("level", props.coat_stand, 1.900, (0, 0)),
    "down_post": ("down", props.post, 1.000, (0, 0)), "down_stool": ("down", props.stool, .620, (0, 0)),
    "down_obelisk": ("down", props.obelisk, .850, (.35, .30)), "down_screen": ("down", props.screen, 1.550, (0, 0)),
}
SETUPS = {"level": {"camera": LEVEL().facts(), "known": "level_card"}, "down": {"camera": DOWN().facts(), "known": "down_post"}}


def lights(setup):
    if setup == "level":
        return {"key": softbox((-2.0, 3.0, -2.2), (0, .9, 0), (1.2, 1.2), 8.0), "fill": softbox((2.4, 1.8, -3.0), (0, .9, 0), (1.5, 2.0), 2.4), "room": room(.16)}
    warm = light_rgb(5200, 5600)
    return {"key": softbox((2.1, 3.2, -1.6), (0, .8, 0), (.9, .9), 9.0, warm), "room": room(.22, warm)}


def silhouette(matte):
    """Rows of the upper and lower edge (half covered), of the matte's own shape, and the columns' middle there."""
    rows = matte.max(1)
    top, foot = int(np.argmax(rows > .5)), len(rows) - 1 - int(np.argmax(rows[::-1] > .5))
    edge = lambda a, b: float(a + .5 + (.5 - rows[a]) / (rows[b] - rows[a]) * (b - a)) if rows[a] != rows[b] else float(b)
    return {"top_row": round(edge(top - 1, top), 2), "foot_row": round(edge(foot + 1, foot), 2)} if 0 < top and foot + 1 < len(rows) else None


def take(job):
    setup, make, height, (x, z) = THINGS[job.name]
    cam = LEVEL() if setup == "level" else DOWN()
    g = make(height)
    assert abs(float(g.points()[:, 1].max()) - height) < 1e-6 and abs(float(g.points()[:, 1].min())) < 1e-6
    g = g.mapped(lambda p: p + [x, 0, z])
    paper = sweep((.66, .665, .67) if setup == "level" else (.78, .74, .66), 2.6, width=9, bend=.9)
    facts = job.take(Set(lights(setup), {"paper": paper}, g.shapes("prop")), cam, gain=1.3)
    matte = np.array(Image.open(f"{job.out}/{facts['matte']}")) / 65535.0
    return {"setup": setup, "known": abs(height - 1.0) < 1e-9 and job.name == SETUPS[setup]["known"], "height_m": height, "mark": {"x": x, "y": 0, "z": z},
            "foot": cam.pixel((x, 0, z)), "top": cam.pixel((x, height, z)), "silhouette": silhouette(matte), **facts}


SHOTS = {n: take for n in THINGS}
