"""The picture: format, camera, light, the shots to take and where each piece stands."""
import math

W, H = 3600, 2400
CAMERA = {"height_m": 1.35, "pitch_deg": 2.4, "roll_deg": 0.0, "focal_mm": 65.0, "sensor_width_mm": 36.0, "f_number": 1.8, "focus_distance_m": 7.2, "aperture_blades": 0}
WHITE_BALANCE = 5600
SITTER = (0.74, 0.0, 7.2)
POST_1, BANK = (-0.52, 8.15), .03                         # on the bank, which lies a little above the water; its foot behind a tuft
LAMP = {"radius_m": 0.07, "intensity": 1.2, "cct": 2450}

# name: (model, bearing of the view, hung above the studio's floor, longer side in pixels)
SHOTS = {
    "sitter": ("sitter", None, 0, 2300),
    "lantern": ("lantern", 0, 1.2, 900),
    "crane_stand_000": ("crane_stand", 0, 0, 900), "crane_stand_045": ("crane_stand", 45, 0, 900), "crane_stand_090": ("crane_stand", 90, 0, 900),
    "crane_stand_135": ("crane_stand", 135, 0, 900), "crane_stand_180": ("crane_stand", 180, 0, 900),
    "crane_fly_000": ("crane_up", 0, 1.6, 950), "crane_fly_045": ("crane_up", 45, 1.6, 950), "crane_fly_090": ("crane_up", 90, 1.6, 950),
    "crane_fly_135": ("crane_up", 135, 1.6, 950), "crane_fly_180": ("crane_up", 180, 1.6, 950),
    "crane_glide_000": ("crane_down", 0, 1.6, 950), "crane_glide_045": ("crane_down", 45, 1.6, 950), "crane_glide_090": ("crane_down", 90, 1.6, 950), "crane_glide_135": ("crane_down", 135, 1.6, 950),
    "reed_a": ("reed_a", 0, 0, 1600), "reed_b": ("reed_b", 0, 0, 1600), "reed_c": ("reed_c", 0, 0, 1500),
    "bulrush_a": ("bulrush_a", 0, 0, 1500), "bulrush_b": ("bulrush_b", 0, 0, 1400),
    "sedge_a": ("sedge_a", 0, 0, 1000), "sedge_b": ("sedge_b", 0, 0, 1000),
    "umbel": ("umbel", 0, 0, 1400), "blades_a": ("blades_a", 0, 0, 1300), "blades_b": ("blades_b", 0, 0, 1200),
    "post_a": ("post_a", 0, 0, 1200), "post_b": ("post_b", 0, 0, 1100),
}


def P(name, shot, x, z, y=0.0, mirrored=False, **extra):
    return {"name": name, "shot": shot, "mark": [x, y, z], "mirrored": mirrored, **extra}


def at(u, v, z):
    """The point at distance z that shows at pixel (u, v) of the picture."""
    F, t = CAMERA["focal_mm"] / CAMERA["sensor_width_mm"] * W, math.radians(CAMERA["pitch_deg"])
    a, b = (u - W / 2) / F, (v - H / 2) / F
    k = z / (-b * math.sin(t) + math.cos(t))
    return round(a * k, 3), z, round(CAMERA["height_m"] + (-b * math.cos(t) - math.sin(t)) * k, 3)


def crane(name, model, u, v, z, ground=False, **extra):
    x, z, y = at(u, v, z)
    return P(name, model, x, z, 0.0 if ground else y, facing_target="lantern", **extra)


# A crane's shot is chosen from its model's views, so that it turns to the lantern: see facing() in make.py.
PIECES = [
    P("sitter", "sitter", *SITTER[::2]),
    P("lantern", "lantern", 0, 0, attached_to="sitter"),
    # close to the lens: a dark, soft frame
    P("reed-near-left", "reed_a", -0.66, 1.95, lift=-0.36, nudge_ev=-0.6), P("reed-near-left-2", "reed_c", -0.86, 2.75, lift=-0.05, mirrored=True, nudge_ev=-0.4),
    P("reed-near-right", "reed_b", 0.66, 1.80, lift=-0.24, mirrored=True, nudge_ev=-0.6), P("blades-near-left", "blades_a", -0.52, 1.45, lift=-0.28, nudge_ev=-0.8),
    P("blades-near-right", "blades_b", 0.50, 1.55, lift=-0.24, mirrored=True, nudge_ev=-0.8), P("umbel-near-right", "umbel", 0.74, 2.45, lift=-0.16, nudge_ev=-0.4),
    P("sedge-near-left", "sedge_a", -0.24, 1.50, lift=0.56, nudge_ev=-0.9), P("sedge-near-right", "sedge_b", 0.30, 1.40, lift=0.66, mirrored=True, nudge_ev=-0.9),
    P("bulrush-near-left", "bulrush_a", -0.92, 3.4, lift=-0.20, nudge_ev=-0.3),
    # about the sitter
    P("sedge-sitter-right", "sedge_b", 1.40, 6.95, mirrored=True), P("bulrush-right", "bulrush_b", 1.70, 7.05),
    P("reed-right", "reed_a", 1.62, 7.9, mirrored=True), P("reed-right-2", "reed_c", 2.02, 8.6), P("umbel-right", "umbel", 1.36, 7.7),
    P("sedge-right-front", "sedge_a", 1.76, 6.45), P("sedge-sitter-left", "sedge_a", 0.25, 6.90, mirrored=True), P("sedge-bank-left", "sedge_b", -0.49, 8.0, lift=BANK),
    P("sedge-bank-left-2", "sedge_a", -0.42, 9.6, mirrored=True), P("sedge-bank-mid", "sedge_b", 0.02, 8.9),
    P("bulrush-left", "bulrush_a", -2.16, 8.6, mirrored=True), P("reed-left", "reed_b", -2.42, 9.2), P("reed-left-2", "reed_a", -2.62, 10.2),
    # posts going away along the channel
    P("post-1", "post_a", *POST_1, lift=BANK), P("post-2", "post_b", -0.34, 11.2, mirrored=True), P("post-3", "post_a", 0.14, 14.6, mirrored=True),
    # farther off
    P("reed-far-left", "reed_c", -3.5, 12.5), P("reed-far-right", "reed_b", 3.35, 13.0), P("bulrush-far-right", "bulrush_a", 2.85, 11.6, mirrored=True),
    P("sedge-far", "sedge_b", 0.5, 12.6),
    # the cranes: on the ground, on a post, and round the lantern
    P("crane-post", "crane_stand", POST_1[0] + .07 * .95, POST_1[1], y=0.985, lift=BANK, facing_target="lantern"),
    crane("crane-ground-1", "crane_stand", 1548, 1980, 8.35, True, lift=-.015), crane("crane-ground-2", "crane_stand", 2190, 2173, 7.05, True, lift=-.015, nudge_ev=-0.35),
    crane("crane-ground-3", "crane_stand", 2985, 2155, 7.15, True, lift=-.015, nudge_ev=-0.35),
    crane("crane-air-1", "crane_up", 1000, 880, 7.1), crane("crane-air-2", "crane_down", 1170, 470, 8.2), crane("crane-air-3", "crane_up", 1530, 345, 7.75),
    crane("crane-air-4", "crane_down", 600, 650, 8.4), crane("crane-air-5", "crane_up", 820, 300, 11.0), crane("crane-air-6", "crane_down", 2260, 360, 8.3),
    crane("crane-air-7", "crane_down", 1430, 770, 12.5), crane("crane-air-8", "crane_down", 2790, 330, 11.0), crane("crane-air-9", "crane_up", 2010, 850, 14.5),
    crane("crane-front", "crane_up", 1070, 1290, 7.75),
]
