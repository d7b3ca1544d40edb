"""Three knees about a hub and three balls between them: so regular that many balances of the touches are equally good."""

import math
import random

import numpy as np
import pytest

import kit
from reference import sound
from reference.pose import Crew
from reference.scene import Scene

ELEVATION = math.radians(30)
BOND = 0.12


def direction(azimuth, elevation):
    return np.array([math.cos(azimuth) * math.cos(elevation), math.sin(azimuth) * math.cos(elevation), math.sin(elevation)])


def beside(knee, bearing):
    """A place on the hub that touches a knee: 60 degrees from it, in a direction counted from straight down."""
    down = np.array([0, 0, -1.0]) + knee * knee[2]
    down /= np.linalg.norm(down)
    across = np.cross(down, knee)
    return knee / 2 + math.sqrt(3) / 2 * (math.cos(bearing) * down + math.sin(bearing) * across)


def stance(seed):
    """Each ball touches one knee, or lies in the pocket between two."""
    rng = random.Random(seed)
    turn = rng.uniform(0, 2 * math.pi)
    knees = [direction(turn + k * 2 * math.pi / 3, ELEVATION) for k in range(3)]
    # The pocket of two knees: 60 degrees from both.
    middle, up = (knees[0] + knees[1]) / np.linalg.norm(knees[0] + knees[1]), np.cross(knees[1], knees[0])
    up /= np.linalg.norm(up)
    half = math.acos(knees[0] @ knees[1]) / 2
    pocket = math.cos(math.pi / 3) / math.cos(half) * middle
    pocket = pocket + math.sqrt(1 - pocket @ pocket) * up
    lean = math.acos(max(-1.0, min(1.0, (pocket - knees[0] / 2) @ (beside(knees[0], 0) - knees[0] / 2) / 0.75)))
    free = rng.uniform(0, lean) if seed % 2 else rng.choice([0.0, lean / 2, lean])
    third = 2 * math.pi / 3
    around = [np.array([[math.cos(a), -math.sin(a), 0], [math.sin(a), math.cos(a), 0], [0, 0, 1]]) for a in (0, third, 2 * third)]
    sides = [math.copysign(free, rng.choice([-1, 1])) for _ in range(3)]
    balls = [turned @ (pocket if seed % 3 == 0 and k == 0 else beside(knees[0], side)) for k, (turned, side) in enumerate(zip(around, sides))]
    modules = [{"name": "hub", "on": "ground", "at_m": [0, 0]}]
    modules += [{"name": f"knee{k}", "on": "hub", "toward": d.tolist(), "hold": "braced"} for k, d in enumerate(knees)]
    modules += [{"name": f"ball{k}", "kind": "weak", "on": "hub", "toward": d.tolist()} for k, d in enumerate(balls)]
    weak = kit.COBBLE | {"magnet_force_n": round(rng.uniform(12, 30), 2)}
    return kit.scene(modules, kinds={"cobble": kit.COBBLE, "weak": weak}, site={"altitude_m": 0.0, "gravity_mps2": 9.80665 * 1.1})


def test_the_load_of_symmetric_stances(tmp_path):
    seeds = [*range(12), *range(15, 600, 6)]  # most with a pocket
    trees = [stance(seed) for seed in seeds]
    answers = kit.inspect([kit.write_toml(tree, tmp_path / f"stance{k}.toml") for k, tree in enumerate(trees)])
    wrong, carried = [], 0
    for seed, tree, answer in zip(seeds, trees, answers):
        crew = Crew(Scene(tree, kit.EDITION))
        ours, said = sound.utilisation(crew), answer["load"]
        carried += ours is not None
        if said.get("utilisation") != (None if ours is None else pytest.approx(ours, rel=1e-5, abs=1e-5)):
            wrong.append((seed, ours, said["status"], said.get("utilisation")))
    assert carried >= 60, "too few that anything balances"
    assert not wrong, f"{len(wrong)} differ (seed, reference, status, tool): {wrong[:10]}"
