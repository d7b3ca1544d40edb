"""Made-up results files: known numbers in, so that what a report makes of them can be computed apart from it."""

import hashlib
import json
import random

LIMIT_S = 100.0


def row(planner, scene, seed, *, time_s=None, makespan_s=None, repeat=1, status=None, **more):
    """A row as `clamber bench` writes it; solved if there is a makespan."""
    solved = makespan_s is not None
    out = {
        "format": "clamber-result/1", "planner": planner, "options": {}, "scene_sha256": hashlib.sha256(scene.encode()).hexdigest(),
        "seed": seed, "repeat": repeat, "time_limit_s": LIMIT_S, "memory_limit_mib": 4096, "threads": 1, "version": "0.1.0",
        "build": "0123456789abcdef", "scene": scene, "machine": "made up", "status": status or ("solved" if solved else "time_out"),
        "wall_s": (time_s or LIMIT_S) + 0.1,
    }
    if status != "crashed":
        out["work"] = {"time_s": time_s or LIMIT_S, "search_s": time_s or LIMIT_S, "expanded": 10, "kept": 20, "generated": 30}
    if solved:
        digest = hashlib.sha256(f"{planner} {scene} {seed}".encode()).hexdigest()
        out["checked"] = True
        out["plan"] = {"moves": int(makespan_s / 3) + 1, "makespan_s": makespan_s, "energy_j": 9.0 * makespan_s, "travel_m": 1.0,
                       "utilisation": 0.5, "margin": 0.25, "lower_bound_s": 4.0, "sha256": digest}
    return out | more


def race(planners=("alder", "birch", "cedar"), scenes=12, seeds=3, draw=1):
    """A race in which `alder` is quick, `birch` slow with short plans, and the rest like `birch` but for chance."""
    chance = random.Random(draw)
    rows = []
    for number in range(scenes):
        hard = chance.lognormvariate(1.0, 1.2)
        length = chance.uniform(20.0, 90.0)
        for planner in planners:
            for seed in range(1, seeds + 1):
                quick = 1.0 if planner == "alder" else 3.0
                time_s = hard * quick * chance.lognormvariate(0.0, 0.3)
                makespan_s = length * (1.25 if planner == "alder" else 1.0) * chance.lognormvariate(0.0, 0.05)
                name = f"culvert-{number:02}"
                rows.append(row(planner, name, seed, time_s=time_s, makespan_s=makespan_s) if time_s <= LIMIT_S
                            else row(planner, name, seed))
    return rows


def write(rows, path):
    path.write_text("".join(json.dumps(row) + "\n" for row in rows), encoding="utf-8")
    return path
