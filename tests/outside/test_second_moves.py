"""Durations, energies, lost parts, slots that may stay empty and proven bounds of the second edition."""

import math

import numpy as np
import pytest

import kit
import made
from made import PEBBLE, R, W, broken, deck, slide, yaw
from reference import goal, sound
from reference.edition import FIRST
from reference.replay import Replay

FLOOR = deck("floor", (-0.6, -0.6), (0.6, 0.6), sealable=True)
ONE = {"name": "m1", "on": "floor", "at_m": [0.0, 0.1]}
BRACE, RELEASE = ("m1", "brace", {}), ("m1", "release", {})


def seconds(move, hold="rolling", edition=None, **change):
    tree = made.scene([ONE | {"hold": hold}], [FLOOR], change)
    plan = made.Made(tree, [move], *([edition] if edition else []))
    assert plan.broken == set()
    return plan.steps[0]["duration_s"]


@pytest.mark.parametrize("move, hold, change, expected", [
    (slide("m1", 0.3), "rolling", {}, 7.5 + 0.2),
    (slide("m1", -0.3), "rolling", {"ramp_time_s": 0.35}, 7.5 + 0.35),
    (slide("m1", 0.3), "rolling", {"ramp_time_s": 0.0}, 7.5),
    (slide("m1", 0.004), "rolling", {}, 2 * math.sqrt(0.1 * 0.2)),  # too short for full rate
    (slide("m1", 0.008), "rolling", {}, 0.2 + 0.2), (slide("m1", 0.0), "rolling", {}, 0.0),
    (slide("m1", 0.1, 40.0), "rolling", {}, 4.0 / 0.9 + 0.2),  # it turns by 4 rad, no faster than a yaw
    (slide("m1", 0.1, -40.0), "rolling", {"yaw_rate_rolling_radps": 1.7}, 2.5 + 0.2),
    (slide("m1", 0.1, 22.4), "rolling", {}, 2.5 + 0.2), (slide("m1", 0.1, 22.6), "rolling", {}, 2.26 / 0.9 + 0.2),
    (yaw("m1", -1.8), "rolling", {}, 2.0 + 0.2), (yaw("m1", 0.5), "braced", {}, 2.0 + 0.2),
    (yaw("m1", 0.09), "rolling", {}, 2 * math.sqrt(0.1 * 0.2)), (BRACE, "rolling", {}, 1.5), (RELEASE, "braced", {}, 0.8)])
def test_durations(move, hold, change, expected):
    assert seconds(move, hold, **change) == pytest.approx(expected, rel=1e-12)


def test_the_first_edition_has_no_ramps():
    assert seconds(slide("m1", 0.1, 40.0), edition=FIRST) == pytest.approx(2.5)
    assert seconds(yaw("m1", -1.8), edition=FIRST) == pytest.approx(2.0)


@pytest.mark.parametrize("off, wrong", [(3e-6, False), (1e-5, True)])
def test_a_wrong_duration_is_noticed(off, wrong):
    plan = made.Made(made.scene([ONE], [FLOOR]), [slide("m1", 0.3)])
    plan.plan["steps"][0]["duration_s"] += off
    assert any(": duration:" in line for line in Replay(plan.plan, plan.scene).run()) == wrong


def test_energy():
    """Drive, yaw and idle power times their times, and a brace."""
    plan = made.Made(made.scene([ONE], [FLOOR]), [slide("m1", 0.3), yaw("m1", 0.9), BRACE])
    makespan = 7.7 + 1.2 + 1.5
    assert plan.plan["summary"]["energy_j"] == pytest.approx(3.0 * 7.7 + 2.0 * 1.2 + 6.0 + 0.4 * makespan)
    assert plan.plan["summary"]["travel_m"] == pytest.approx(0.3)


def test_a_host_moves_on_after_its_rider():
    """The rider turns about where its host was at the time; later both go on together."""
    tree = made.scene([ONE, {"name": "m2", "on": "m1", "toward": [0, 0, 1]}], [FLOOR])
    plan = made.Made(tree, [slide("m2", 0.01), slide("m1", 0.2)])
    lean = 0.01 / R
    assert plan.broken == set()
    assert np.allclose(plan.last.p[1], made.place([0.2 + 2 * R * math.sin(lean), 0.1, R + 2 * R * math.cos(lean)]), atol=1e-12)


def losing(parts, *moves, hold="rolling"):
    return broken(made.scene([ONE | {"lost": parts, "hold": hold}], [FLOOR]), moves)


@pytest.mark.parametrize("parts, moves, wrong", [
    (["drive"], [slide("m1", 0.1)], True), (["drive"], [yaw("m1", 0.5), BRACE], False),
    (["yaw"], [yaw("m1", 0.5)], True), (["yaw"], [slide("m1", 0.1)], False), (["yaw"], [slide("m1", 0.1, 1.0)], True),
    (["cup"], [BRACE], True), (["cup"], [slide("m1", 0.1, 1.0), yaw("m1", 0.5)], False)])
def test_what_a_module_with_lost_parts_may_not_do(parts, moves, wrong):
    assert losing(parts, *moves) == ({"lost"} if wrong else set())


def test_a_module_braced_with_a_lost_cup():
    """It may only be released, holds like rolling, and fills no slot that asks for braced."""
    assert losing(["cup"], yaw("m1", 0.5), hold="braced") == {"lost"}
    assert losing(["cup"], RELEASE, yaw("m1", 0.5), hold="braced") == set()
    slot = {"name": "a", "on": "floor", "at_m": [0.0, 0.1], "hold": "braced"}
    for parts, met in (([], True), (["drive"], True), (["cup"], False)):
        tree = made.scene([ONE | {"lost": parts, "hold": "braced"}], [FLOOR], goal={"slot": [slot]})
        assert (not goal.unmet(made.crew(tree))[0]) == met
    need = W / (0.93 * PEBBLE["bond_friction"]) / (11.0 + 4e-4 * 45000.0)
    for parts, share in (([], 1.0), (["cup"], 29.0 / 11.0)):
        strong = {"pebble": PEBBLE, "strong": PEBBLE | {"magnet_force_n": 1e4}}
        modules = [ONE | {"kind": "strong"}, {"name": "up", "kind": "strong", "on": "m1", "toward": [0, 0, 1]},
                   {"name": "m2", "kind": "pebble", "on": "up", "toward": [0, 1, 0], "hold": "braced", "lost": parts}]
        tree = made.turned(kit.scene(modules, [FLOOR | {"ferrous": True}], strong, limits=made.STILL, goal={}))
        assert sound.utilisation(made.crew(tree)) == pytest.approx(need * share, abs=1e-6)


PAIR = [ONE, {"name": "m2", "on": "floor", "at_m": [0.2, 0.1]}, {"name": "m3", "on": "m2", "toward": [0, 0, 1]}]


def filled(modules, *slots):
    tree = made.scene(modules, [FLOOR], goal={"slot": [{"on": "floor"} | s for s in slots]})
    return not goal.unmet(made.crew(tree))[0]


def test_slots_that_may_stay_empty():
    first, second = {"name": "a", "at_m": [0.0, 0.1]}, {"name": "b", "at_m": [0.2, 0.1], "optional": True}
    far, top = second | {"at_m": [-0.3, 0.1]}, {"name": "c", "on": "b", "toward": [0, 0, 1], "optional": True}
    assert filled(PAIR, first, far) and not filled(PAIR, first, far | {"optional": False})
    assert filled(PAIR, first, second, top)
    assert filled(PAIR, first, second | {"module": "m1"}, top)  # m1 is elsewhere, and nothing fits a slot on an empty slot
    # A module that a slot's name does not ask for leaves it empty only if the slot may stay so.
    assert filled(PAIR, first, second | {"module": "m3"}) and not filled(PAIR, first, second | {"module": "m3", "optional": False})


@pytest.mark.parametrize("payload, met", [(0.0, True), (50.0, False)])
def test_the_payload_of_a_filled_optional_slot_counts(payload, met):
    """A payload high on a bare stack: 3 degrees tip it once its weight outdoes the lower module's."""
    slots = [{"name": "a", "on": "floor", "at_m": [0.2, 0.1], "optional": True},
             {"name": "b", "on": "a", "toward": [0, 0, 1], "payload_kg": payload, "optional": True}]
    tree = made.scene(PAIR, [FLOOR], None, {"sway_deg": 14.0}, goal={"slot": slots})
    # Without payload the stack tips at atan(b / (2 R + com)) = 15.9 degrees, with a heavy top at atan(b / (3 R)) = 11.3.
    assert (not goal.unmet(made.crew(tree))[0]) == met


@pytest.mark.parametrize("claim, bound, wrong", [
    (0.0, False, False), (0.2, False, True), (0.2, True, False), (0.6666, True, False), (0.6668, True, True), (-1e-3, True, True)])
def test_a_proven_bound_may_lie_above(claim, bound, wrong):
    """Nothing is used on a bare floor; a bound is at most 1 / hold_factor = 0.6667."""
    plan = made.Made(made.scene([ONE], [FLOOR]), [slide("m1", 0.3)])
    tree = plan.plan | ({"utilisation_is": "bound"} if bound else {"utilisation_is": "exact"})
    tree["steps"][0]["utilisation"] = tree["summary"]["utilisation"] = claim
    assert bool(Replay(tree, plan.scene).run()) == wrong


def test_a_first_plan_moves_as_it_did():
    """The same scene and moves in both editions: only the second knows ramps, so only its times differ."""
    tree = made.scene([ONE], [FLOOR])
    for edition, makespan in ((FIRST, 7.5 + 1.0), (made.SECOND, 7.7 + 1.2)):
        plan = made.Made(tree, [slide("m1", 0.3), yaw("m1", 0.9)], edition)
        assert plan.broken == set() and plan.plan["summary"]["makespan_s"] == pytest.approx(makespan)
