"""Every model by name, each with its own seed."""
import numpy as np
import figure, plants, props

BUILD = {
    "sitter": lambda r, **k: figure.bearer(**k),
    "crane_stand": lambda r: props.crane(r, .46, .36, .02),
    "crane_up": lambda r: props.crane(r, .48, .78, -.05, 0),
    "crane_down": lambda r: props.crane(r, .50, .12, .12, .35),
    "reed_a": lambda r: plants.reed(r, 2.15, 5, .11, .05), "reed_b": lambda r: plants.reed(r, 1.95, 3, .09, -.06), "reed_c": lambda r: plants.reed(r, 1.75, 4, .12, .10),
    "bulrush_a": lambda r: plants.bulrush(r, 1.95, 3, 15), "bulrush_b": lambda r: plants.bulrush(r, 1.7, 2, 11),
    "sedge_a": lambda r: plants.sedge(r, 330, .55), "sedge_b": lambda r: plants.sedge(r, 240, .42, .09, lean=.75, heads=22),
    "umbel": lambda r: plants.umbel(r, 1.5),
    "blades_a": lambda r: plants.blades(r, 10, 1.75), "blades_b": lambda r: plants.blades(r, 8, 1.55, .13, .2),
    "post_a": lambda r: props.post(r, .98, .047, (.07, .03)), "post_b": lambda r: props.post(r, .92, .042, (-.11, .02), (.21, .185, .16), rope=False),
}
_cache = {}


def build(name, **k):
    if name not in _cache:
        seed = sum((i + 1) * ord(c) for i, c in enumerate(name))
        _cache[name] = BUILD[name](np.random.default_rng(seed), **k)
    return _cache[name]
