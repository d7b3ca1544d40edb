"""Where every module of a plan is at random instants, by the reference implementation: `python expected.py PLAN.json COUNT`.

Prints {"instants": [t, ...], "poses": [[[px, py, pz, r00, r01, ... r22] for each module] for each instant], "centres": [[x, y, z] of the
crew's centre of mass for each instant], "used": [utilisation, or null where it was not worked out, for each instant]}. The reference judges
a hop as it stands before and after; here it is half turned in between, about the axis square to both normals.
"""

import json
import pathlib
import random
import sys

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "outside"))

import numpy as np  # noqa: E402

from reference import sound, timeline  # noqa: E402
from reference.edition import OF_FORMAT  # noqa: E402
from reference.pose import Crew, rotation  # noqa: E402
from reference.scene import Scene  # noqa: E402


def at(phase, t):
    crew = phase.at(t)
    for motion in phase.motions:
        if motion.move == "hop":
            progress = (t - motion.step["start_s"]) / motion.step["duration_s"]
            crew.rot[motion.group] = rotation(motion.axis, progress * motion.angle) @ motion.rot
    return crew


def centre(crew):
    """Of all modules with their payloads, which sit at the shells' centres."""
    bare = np.array([kind.mass_kg for kind in crew.kinds])
    places = crew.p + crew.rot[:, :, 2] * np.array([[kind.com_height_m] for kind in crew.kinds])
    payload = np.array(crew.payload)
    return ((bare @ places + payload @ crew.p) / (bare.sum() + payload.sum())).tolist()


def main(path, count):
    plan = json.loads(pathlib.Path(path).read_text(encoding="utf-8"))
    crew = Crew(Scene(plan["scenario"], OF_FORMAT[plan["format"]]))
    quiet = lambda *_: None  # noqa: E731
    dice = random.Random(pathlib.Path(path).name)
    end = max((step["start_s"] + step["duration_s"] for step in plan["steps"]), default=0.0)
    instants = sorted(dice.uniform(0.0, end) for _ in range(count))
    out = {"instants": instants, "poses": [], "centres": [], "used": []}
    phases, _ = timeline.run(crew, plan["steps"], quiet)
    # Random instants meet no end of a phase.
    for phase in phases:
        for t in (t for t in instants if phase.start <= t < phase.end):
            there = at(phase, t)
            out["poses"].append([[*p, *r.flatten()] for p, r in zip(there.p.tolist(), there.rot)])
            out["centres"].append(centre(there))
            # A cone programme for each direction of gravity: every fifth instant will do.
            every = len(out["used"]) % 5 == 0
            out["used"].append(sound.utilisation(phase.at(t), phase.motions) if every else None)
    assert len(out["poses"]) == count
    json.dump(out, sys.stdout)


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))
