#!/usr/bin/env python3
"""Makes shots on a sheet of paper with true mattes and colours, and facts.json. What is there stays, unless it is named.

    python make.py [--out DIR] [--quick] [--keep DIR] [NAME or group ...]
"""
import argparse, json, os, time
import base
import heights, shoot, sitting, strands

GROUPS = {"strands": strands.SHOTS, "heights": heights.SHOTS, "sitting": sitting.SHOTS}


def main():
    ap = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ap.add_argument("names", nargs="*")
    ap.add_argument("--out", default=os.path.join(base.HERE, ".."))
    ap.add_argument("--quick", action="store_true", help="few samples, to look at")
    ap.add_argument("--keep", help="folder for the linear parts of each shot (NAME.npz)")
    a = ap.parse_args()
    out, t0 = os.path.abspath(a.out), time.time()
    order = [n for names in GROUPS.values() for n in names]
    group_of = {n: g for g, names in GROUPS.items() for n in names}
    todo = [n for w in a.names for n in GROUPS.get(w, [w])] or [n for n in order if not os.path.exists(f"{out}/shots/{n}.jpg")]
    for name in todo:
        group, seed = group_of[name], 100 + 10 * order.index(name)
        entry = GROUPS[group][name](shoot.Job(out, name, seed, shoot.QUICK if a.quick else shoot.FINE[group], a.keep))
        file = f"{out}/facts.json"
        doc = json.load(open(file)) if os.path.exists(file) else {}
        shots = {s["name"]: s for s in doc.get("shots", [])} | {name: {"name": name, "group": group, **entry}}
        doc = {"schema": 1, "about": "Shots before a sheet of paper, path-traced, with the truth of each. Everything is invented.", "units": "metres, degrees, pixels; see README.md",
               "setups": {**heights.SETUPS, **sitting.SETUPS, **strands.SETUPS}, "shots": [shots[n] for n in order if n in shots]}
        with open(file, "w") as f:
            json.dump(doc, f, indent=1)
            f.write("\n")
        print(f"{time.time() - t0:6.0f} s  {name}", flush=True)


if __name__ == "__main__":
    main()
