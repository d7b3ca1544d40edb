"""Goals against the reference: plans without steps, whose slots are taken from where the crew stands and then changed."""

import collections
import json
import math
import random

import numpy as np

import crews
import kit
from random_plans import claimed
from reference import canonical, goal
from reference.load import Undecided
from reference.pose import Crew
from reference.replay import Replay
from reference.scene import Scene

SEEDS = range(80)


def slots_of(tree, rng):
    """A slot for each of a few modules and for all below them, in any order."""
    below = {m["name"]: m["on"] for m in tree["module"]}
    wanted = set()
    for name in rng.sample(sorted(below), rng.randint(1, len(below))):
        while name in below:
            wanted.add(name)
            name = below[name]
    out = []
    for module in rng.sample(tree["module"], len(tree["module"])):
        if module["name"] in wanted:
            on = module["on"] if module["on"] not in below else f"for {module['on']}"
            place = {key: list(module[key]) for key in ("at_m", "toward") if key in module}
            out.append({"name": f"for {module['name']}", "on": on, **place})
            for key in ("kind", "hold"):
                if rng.random() < 0.3:
                    out[-1][key] = module[key]
            if rng.random() < 0.3:
                out[-1]["module"] = module["name"]
    return out


def change(slots, tree, rng):
    """One change to one slot, which may or may not matter."""
    slot = rng.choice(slots)
    what = rng.choice(["nothing", "place", "kind", "hold", "module", "payload", "payload"])
    if what == "place" and "at_m" in slot:
        off, turn = rng.choice([0.9e-3, 1.1e-3]), rng.uniform(0, 2 * math.pi)
        slot["at_m"] = [slot["at_m"][0] + off * math.cos(turn), slot["at_m"][1] + off * math.sin(turn)]
    elif what == "place":
        way = np.array(slot["toward"], float) / np.linalg.norm(slot["toward"])
        slot["toward"] = (way + np.cross(way, [0.6, 0.0, 0.8]) * rng.choice([1e-3, 0.05])).tolist()
    elif what == "kind":
        slot["kind"] = rng.choice(sorted(tree["kind"]))
    elif what == "hold":
        slot["hold"] = rng.choice(["rolling", "braced"])
    elif what == "module":
        slot["module"] = rng.choice(tree["module"])["name"]
    elif what == "payload":
        slot["payload_kg"] = rng.choice([0.1, 1.0, 5.0])


def plan_with_goal(seed):
    """A plan without steps, with the reference's figures."""
    rng = random.Random(f"goal {seed}")
    tree = crews.random_tree(seed)
    slots = slots_of(tree, rng)
    change(slots, tree, rng)
    tree["goal"] = {"slot": slots}
    if rng.random() < 0.3:
        tree["goal"]["gather"] = {"deck": "ground"} | ({"count": rng.randint(1, 3)} if rng.random() < 0.7 else {})
    scene = Scene(tree, kit.EDITION)
    plan = {"format": f"clamber-plan/{kit.EDITION.number}", "scenario": scene.tree, "scenario_sha256": canonical.sha256(scene.tree),
            "planner": {"name": "none", "seed": 0, "version": "0"}, "status": "solved", "steps": [], "summary": {}}
    return claimed(plan, Replay(plan, scene)), Crew(scene)


def test_goals(tmp_path, record_property):
    wrong, outcomes = [], collections.Counter()
    for seed in SEEDS:
        plan, crew = plan_with_goal(seed)
        try:
            unmet = bool(goal.unmet(crew)[0])
        except Undecided:
            continue
        outcomes["unmet" if unmet else "met"] += 1
        path = tmp_path / f"{seed}.json"
        path.write_text(json.dumps(plan), encoding="utf-8")
        run = kit.clamber("check", path, "--json")
        assert run.returncode in (0, 1), f"seed {seed}: {run.stderr[:2000]}"
        rules = {finding["rule"] for finding in json.loads(run.stdout)["findings"]}
        if ("goal" in rules) != unmet or rules & {"digest", "scenario"}:
            wrong.append((seed, unmet, sorted(rules), goal.unmet(crew)[0]))
    record_property("goals", dict(outcomes))
    assert not wrong, wrong
    assert outcomes["met"] >= 20 and outcomes["unmet"] >= 20
