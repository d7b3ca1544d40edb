"""Recovery (second edition, section 5): a plan may begin with bonds used beyond the hold factor, and must lead out of it."""

import math

import pytest

import kit
import made
from made import PEBBLE, R, W, deck, slide, yaw

PLATE = deck("plate", (-0.8, -0.8), (0.8, 0.8), ferrous=True, sealable=True)
NEED = W / (0.93 * PEBBLE["bond_friction"])  # of a level bond that carries one module (it slips before it tips)
A = 11.0
USED = NEED / A
STRONG = PEBBLE | {"magnet_force_n": 1e4}


def arm(name, y, **more):
    """A strong root with a module above it and a level module on its side."""
    root, up = f"{name} root", f"{name} up"
    return [{"name": root, "kind": "strong", "on": "plate", "at_m": [0, y]},
            {"name": up, "kind": "strong", "on": root, "toward": [0, 0, 1]}, {"name": name, "on": up, "toward": [1, 0, 0], **more}]


def scene(modules, limit, recover, **limits):
    """`limit` and `recover` are the utilisations that are usual and that a plan may begin with."""
    limits = {"sway_deg": 0.0, "hold_factor": 1 / limit, "motion_factor": 1.1} | limits
    if recover is not None:
        limits["recover_factor"] = 1 / recover
    return made.turned(kit.scene([{"kind": "pebble"} | m for m in modules], [PLATE], {"pebble": PEBBLE, "strong": STRONG}, limits=limits, goal={}))


LOW = USED * 0.8  # the usual limit: what the level module uses with its magnet alone is over it, braced it is far below
BRACE = ("m1", "brace", {})


@pytest.mark.parametrize("recover, wrong", [(USED * 1.001, False), (USED * 0.999, True), (None, True)])
def test_how_much_a_start_may_use(recover, wrong):
    """Bracing m1 leads out. Under the motion's factor the brace uses 1.1 times the start, and so would the start."""
    plan = made.Made(scene(arm("m1", 0.0), LOW, recover), [BRACE])
    assert plan.broken == ({"load"} if wrong else set())


def test_a_plan_leads_out_by_its_end():
    plan = made.Made(scene(arm("m1", 0.0), LOW, USED * 1.1), [yaw("m1", 0.3)])
    assert plan.broken == {"load"}
    assert any("the plan ends" in line for line in plan.replay.violations)


@pytest.mark.parametrize("way, wrong", [(1, False), (-1, True)])
def test_no_instant_is_worse_than_the_start(way, wrong):
    """m1 stands 30 degrees above level on its host's side: a little further up less is needed, a little further down more."""
    a = math.radians(30.0)
    modules = arm("m1", 0.0)
    modules[2] |= {"toward": [math.cos(a), 0, math.sin(a)], "facing": [-math.sin(a), 0, math.cos(a)]}
    start = W * (math.cos(a) / (0.93 * PEBBLE["bond_friction"]) - math.sin(a)) / A
    plan = made.Made(scene(modules, start * 0.8, start * 1.05), [slide("m1", way * 0.02 * R), BRACE])
    assert plan.broken == ({"load"} if wrong else set())


def test_after_the_first_good_instant_the_usual_limit_holds():
    """Braced and released again: the release uses what the start did, but recovery is over once a yaw has found all well.
    Released at once there is no such instant: the bond is rolling until the brace has ended and from the start of the release.
    """
    again = ("m1", "release", {}), BRACE
    assert made.Made(scene(arm("m1", 0.0), LOW, USED * 1.1), [BRACE, yaw("m1", 0.1), *again]).broken == {"load"}
    assert made.Made(scene(arm("m1", 0.0), LOW, USED * 1.1), [BRACE, *again]).broken == set()


def test_a_structure_recovers_by_itself():
    """Two arms that do not touch: while one is braced the other stays as it began, and may; the better one may not become as bad."""
    two = arm("m1", 0.0) + arm("m2", 0.4, hold="rolling")
    braces = [BRACE, ("m2", "brace", {})]
    assert made.Made(scene(two, LOW, USED * 1.1), braces).broken == set()
    assert made.Made(scene(two, LOW, USED * 1.1), braces[:1]).broken == {"load"}
    better = arm("m1", 0.0) + arm("m2", 0.4, hold="braced")
    assert made.Made(scene(better, LOW, USED * 1.1), [BRACE]).broken == set()
    assert made.Made(scene(better, LOW, USED * 1.1), [("m2", "release", {}), ("m2", "brace", {}), BRACE]).broken == {"load"}


def test_a_lost_cup_counts_from_the_start():
    """Braced with a lost cup it holds with its magnet alone; it cannot be braced again, so nothing leads out."""
    lost = arm("m1", 0.0, hold="braced", lost=["cup"])
    plan = made.Made(scene(lost, LOW, USED * 1.001), [("m1", "release", {})])
    assert any("the plan ends" in line for line in plan.replay.violations) and plan.utilisation() == pytest.approx(1.1 * USED, abs=1e-6)
    whole = made.Made(scene(arm("m1", 0.0, hold="braced"), LOW, None), [yaw("m1", 0.3)])
    assert whole.broken == set()


def test_bonds_without_adhesion_have_no_recovery():
    """A bare lone module that tips has no balance, at any factor."""
    sand = deck("sand", (-0.5, -0.5), (0.5, 0.5))
    for sway, wrong in ((28.2, set()), (28.4, {"load"})):  # atan(b / (R + com)) = 28.3 degrees
        tree = made.scene([{"name": "m1", "on": "sand", "at_m": [0, 0]}], [sand], None, {"sway_deg": sway, "recover_factor": 1.0})
        assert made.Made(tree, [("m1", "brace", {})]).broken == wrong


@pytest.mark.parametrize("claim, wrong", [(1.1 * USED, False), (0.9 * USED, True), (1.11 * USED, True)])
def test_a_bound_is_at_most_the_limit_that_holds(claim, wrong):
    """In recovery that is the start's utilisation under the motion's factor."""
    plan = made.Made(scene(arm("m1", 0.0), LOW, USED * 1.1), [BRACE])
    tree = plan.plan | {"utilisation_is": "bound"}
    tree["steps"][0]["utilisation"] = tree["summary"]["utilisation"] = claim
    assert any(": utilisation:" in line for line in type(plan.replay)(tree, plan.scene).run()) == wrong
