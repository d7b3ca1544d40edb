"""Starts that break one rule of section 4, and starts that just do not."""

import math

import pytest

import kit
from reference import sound
from reference.pose import Crew
from reference.scene import Scene

NUDGE = 1e-4
ROOT = {"name": "m1", "on": "ground", "at_m": [0, 0]}
FERROUS = kit.slab(ferrous=True)


def wall(x):
    return {"name": "wall", "outline_m": [[x, -1], [x + 0.1, -1], [x + 0.1, 1], [x, 1]], "top_m": 0.5, "friction": 0.5}


def lean(degrees):
    return [math.sin(math.radians(degrees)), 0, math.cos(math.radians(degrees))]


def high(degrees):
    """A module at an angle from the top of a column, clear of the ground."""
    return [ROOT, {"name": "m2", "on": "m1", "toward": [0, 0, 1]}, {"name": "m3", "on": "m2", "toward": lean(degrees)}]


CASES = [  # the only rule broken (None: sound), modules, decks
    (None, [ROOT, {"name": "m2", "on": "ground", "at_m": [0.12 + NUDGE, 0]}], [FERROUS]),
    ("overlap", [ROOT, {"name": "m2", "on": "ground", "at_m": [0.12 - NUDGE, 0]}], [FERROUS]),
    (None, [ROOT], [FERROUS, wall(0.06 + NUDGE)]),
    ("overlap", [ROOT], [FERROUS, wall(0.06 - NUDGE)]),
    (None, [ROOT | {"at_m": [3.96 - NUDGE, 0]}], [FERROUS]),
    ("outline", [ROOT | {"at_m": [3.96 + NUDGE, 0]}], [FERROUS]),
    (None, high(49.99), [FERROUS]),
    ("reach", high(50.01), [FERROUS]),
]


@pytest.mark.parametrize("case", range(len(CASES)))
def test_rules_of_a_start(case, tmp_path):
    rule, modules, decks = CASES[case]
    tree = kit.scene(modules, decks, {"cobble": kit.COBBLE | {"shell_reach_deg": 50.0}})
    assert {r for r, _ in sound.placed(Crew(Scene(tree, kit.EDITION)))} == ({rule} if rule else set())
    answer, = kit.inspect([kit.write_toml(tree, tmp_path / "start.toml")])
    assert {p["rule"] for p in answer["problems"]} - {"load"} == ({rule} if rule else set())
    assert answer["sound"] == (not answer["problems"])
