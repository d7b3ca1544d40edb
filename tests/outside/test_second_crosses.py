"""Crosses over edges between grounds, against what the page says of them (second edition, section 6)."""

import math

import numpy as np
import pytest

import made
from made import B, R, broken, deck, ramp, slide
from reference.timeline import Phase

FLAT = deck("west", (-0.5, -0.3), (0.0, 0.3))
ONE = {"name": "m1", "on": "west", "at_m": [-0.05, 0.02]}
CHANGE = {"step_limit_m": 0.004, "crease_limit_deg": 12.0, "cross_time_s": 2.5}


def cross(travel, to="east", **more):
    return "m1", "cross", {"to": to, "travel_m": travel, **more}


def scene(other, module=None, change=None, first=FLAT, **more):
    return made.scene([ONE | (module or {})], [first, other], CHANGE | (change or {}), **more)


def east(top=0.0, **more):
    return deck("east", (0.0, -0.3), (0.5, 0.3), top=top, **{"friction": 0.5} | more)


@pytest.mark.parametrize("top, wrong", [(0.0, set()), (0.0049, set()), (-0.0049, set()), (0.0051, {"cross"}), (-0.0051, {"cross"})])
def test_the_step_between_two_decks(top, wrong):
    """At most step_limit and 1 mm, up or down."""
    assert broken(scene(east(top)), [cross(0.1)]) == wrong


def test_where_a_cross_ends():
    plan = made.Made(scene(east(0.004)), [cross(0.1)])
    assert plan.broken == set()
    assert np.allclose(plan.last.p[0], made.place([0.05, 0.02, 0.004 + R]), atol=1e-12) and plan.last.host == ["east"]
    back = made.Made(scene(east(0.004)), [cross(0.1), cross(-0.1, "west")])
    assert back.broken == set() and np.allclose(back.last.p[0], made.place([-0.05, 0.02, R]), atol=1e-12)


@pytest.mark.parametrize("degrees, wrong", [(11.99, set()), (-11.99, set()), (12.01, {"cross"}), (-12.01, {"cross"})])
def test_the_crease_between_two_decks(degrees, wrong):
    assert broken(scene(ramp("east", (0.0, -0.3), (0.5, 0.3), 0.0, degrees)), [cross(0.1)]) == wrong


def test_where_a_cross_onto_a_ramp_ends():
    """The way is measured from above; the body turns with its normal by the least rotation."""
    a = math.radians(9.0)
    plan = made.Made(scene(ramp("east", (0.0, -0.3), (0.5, 0.3), 0.0, 9.0)), [cross(0.1)])
    up = np.array([*made.way(-math.sin(a), 0), math.cos(a)])
    assert plan.broken == set()
    assert np.allclose(plan.last.p[0], made.place([0.05, 0.02, 0.05 * math.tan(a)]) + R * up, atol=1e-12)
    assert np.allclose(plan.last.rot[0][:, 2], up, atol=1e-12)
    assert np.allclose(plan.last.rot[0][:, 0], [*made.way(math.cos(a), 0), math.sin(a)], atol=1e-12)
    # Between, the centre goes straight and evenly.
    phase = Phase(0.0, 2.5, [plan.replay.history.motions[0]], plan.replay.history.motions[0].before)
    ends = plan.replay.history.motions[0].before.p[0], plan.last.p[0]
    assert np.allclose(phase.at(1.0).p[0], 0.6 * ends[0] + 0.4 * ends[1], atol=1e-12)


@pytest.mark.parametrize("what, tree, moves, wrong", [
    ("at most four radii", scene(east()), [cross(4 * R - 1e-6)], set()),
    ("more than four radii", scene(east()), [cross(4 * R + 1e-6)], {"cross"}),
    ("square within 1e-3", scene(east(), {"facing": [math.cos(9e-4), math.sin(9e-4), 0]}), [cross(0.1)], set()),
    ("askew", scene(east(), {"facing": [math.cos(1.1e-3), math.sin(1.1e-3), 0]}), [cross(0.1)], {"cross"}),
    ("backwards", scene(east(), {"facing": [-1, 0, 0]}), [cross(-0.1)], set()),
    ("the wrong way", scene(east()), [cross(-0.1)], {"cross", "outline"}),
    ("the disc lands inside", scene(east()), [cross(0.05 + B + 1e-5)], set()),
    ("the disc lands over the edge", scene(east()), [cross(0.05 + B - 1e-5)], {"outline"}),
    ("an edge that reaches b to either side", scene(east(), {"at_m": [-0.05, 0.3 - B - 1e-5]}), [cross(0.1)], set()),
    ("a shorter other edge", scene(deck("east", (0.0, -0.3), (0.5, 0.02 + B + 1e-5), friction=0.5)), [cross(0.1)], set()),
    ("a too short other edge", scene(deck("east", (0.0, -0.3), (0.5, 0.02 + B - 1.1e-3), friction=0.5)), [cross(0.1)], {"cross", "outline"}),
    ("a gap of 1 mm", scene(deck("east", (0.9e-3, -0.3), (0.5, 0.3), friction=0.5)), [cross(0.1)], set()),
    ("a wider gap", scene(deck("east", (1.1e-3, -0.3), (0.5, 0.3), friction=0.5)), [cross(0.1)], {"cross"}),
    ("an edge held inside the other deck", scene(deck("east", (-0.5, -0.3), (0.5, 0.3), top=-1e-3, friction=0.5)), [cross(0.1)], set()),
    ("decks that are one ground", scene(east(friction=0.6)), [cross(0.1)], {"cross"}),
    ("one ground is driven over", scene(east(friction=0.6)), [slide("m1", 0.1)], set()),
    ("two grounds are not", scene(east()), [slide("m1", 0.1)], {"outline"}),
    ("braced", scene(east(), {"hold": "braced"}), [cross(0.1)], {"hold"}),
    ("stuck", scene(east(), {"stuck": True}), [cross(0.1)], {"stuck"}),
    ("without a drive", scene(east(), {"lost": ["drive"]}), [cross(0.1)], {"lost"}),
    ("no step by default", scene(east(1.1e-3), change={"step_limit_m": 0.0}), [cross(0.1)], {"cross"}),
    ("1 mm by default", scene(east(0.9e-3), change={"step_limit_m": 0.0}), [cross(0.1)], set())])
def test_rules_of_a_cross(what, tree, moves, wrong):
    assert broken(tree, moves) == wrong, what


def test_something_that_stands_on_it():
    tree = scene(east())
    tree["module"].append({"name": "m2", "kind": "pebble", "on": "m1", "toward": [0, 0, 1]})
    assert "cross" in broken(tree, [cross(0.1)])


def test_edges_in_line_are_one_piece():
    """The outline has a corner more, just beside the way; off the line by less than 1e-6 m it is none."""
    for off, wrong in ((0.9e-6, set()), (3e-4, {"cross"})):
        outline = [[-0.5, -0.3], [0.0, -0.3], [off, 0.02 + B / 2], [0.0, 0.3], [-0.5, 0.3]]
        first = {"name": "west", "outline_m": outline, "top_m": 0.0, "friction": 0.6}
        # The other deck reaches under all of it, so only this edge may serve.
        assert broken(scene(deck("east", (-0.3, -0.5), (0.5, 0.5), friction=0.5, top=-1e-4), first=first), [cross(0.1)]) == wrong


@pytest.mark.parametrize("travel, change, seconds", [(0.1, {}, 2.5), (0.13, {}, 3.25), (0.1, {"cross_time_s": 2.6}, 2.6)])
def test_duration_energy_and_travel(travel, change, seconds):
    """The longer of cross_time and travel / slide_speed (0.04 m/s), at hop power; no ramp."""
    plan = made.Made(scene(east(), change=change), [cross(travel)])
    assert plan.broken == set() and plan.steps[0]["duration_s"] == pytest.approx(seconds)
    assert plan.plan["summary"]["energy_j"] == pytest.approx((3.5 + 0.4) * seconds)
    assert plan.plan["summary"]["travel_m"] == pytest.approx(travel)


def test_load_before_and_after():
    """On slopes of 40 degrees a module tips over its rim without magnets: W (sin a lever / b - cos a) of 11 N are needed, by the
    motion's factor and with hop_hold; the drive's force does not apply."""
    a, lever = math.radians(40.0), R + made.PEBBLE["com_height_m"]
    need = 1.1 * made.W * (math.sin(a) * lever / B - math.cos(a)) / (11.0 * 0.7)
    low = ramp("west", (-0.5, -0.3), (0.0, 0.3), 0.5, 40.0, ferrous=True)
    height = low["outline_m"][1][2]
    other = ramp("east", (0.0, -0.3), (0.5, 0.3), height, 40.0, ferrous=True, sealable=True)
    for limit, wrong in ((need + 1e-4, set()), (need - 1e-4, {"load"})):
        tree = scene(other, {"at_m": [-0.05, 0.02]}, {"drive_force_n": 0.01}, first=low, limits={"sway_deg": 0.0, "hold_factor": 1 / limit})
        assert broken(tree, [cross(0.1)]) == wrong


def test_the_shell_meets_other_bodies_on_the_way():
    """A stone beside the edge: nearest where the shell passes it."""
    for gap, wrong in ((1e-5, set()), (-1e-5, {"overlap"})):
        stone = {"name": "rock", "at_m": [0.0, 0.02 + R + 0.04 + gap, R], "radius_m": 0.04, "friction": 0.5}
        plan = made.Made(scene(east(), stone=[stone]), [cross(0.1)])
        assert plan.broken == wrong
        assert wrong or plan.replay.gaps[0] == pytest.approx(gap, abs=1e-6) or plan.replay.gaps[0] is None
    for clearance, wrong in ((0.0199, set()), (0.0201, {"clearance"})):
        stone = {"name": "rock", "at_m": [0.0, 0.02 + R + 0.04 + 0.02, R], "radius_m": 0.04, "friction": 0.5}
        tree = scene(east(), {"at_m": [-0.09, 0.02]}, stone=[stone], limits={"sway_deg": 0.0, "clearance_m": clearance})
        # The cross lies in the middle of the plan, so its own ends do not count.
        assert broken(tree, [slide("m1", 0.02), cross(0.14), slide("m1", 0.05)]) == wrong
