"""Loads of the second edition against closed forms: peel radius, tilts, motion, hops that slip, curved slides, stones."""

import math

import numpy as np
import pytest

import kit
import made
from made import B, PEBBLE, R, W, broken, deck, hop, ramp, slide, yaw
from reference import sound
from reference.edition import FIRST
from reference.motion import Motion
from reference.touches import touches

GRIP = 0.93 * PEBBLE["bond_friction"]
LEVER = R + PEBBLE["com_height_m"]
STRONG = PEBBLE | {"magnet_force_n": 1e4}
STEEL = deck("plate", (-0.6, -0.6), (0.6, 0.6), ferrous=True)
ROOT = {"name": "root", "kind": "strong", "on": "plate", "at_m": [0, 0]}
LIFTED = [ROOT, {"name": "up", "kind": "strong", "on": "root", "toward": [0, 0, 1]}]


def scene(modules, decks=(STEEL,), strong=None, limits=made.STILL, **change):
    kinds = {"pebble": PEBBLE | change, "strong": STRONG | (strong or {})}
    return made.turned(kit.scene([{"kind": "pebble"} | m for m in modules], list(decks), kinds, limits=limits, goal={}))


SIDE = [*LIFTED, {"name": "m1", "on": "up", "toward": [1, 0, 0]}]


@pytest.mark.parametrize("peel", [0.009, 0.015, B])
def test_peel_and_torsion_go_by_the_peel_radius(peel):
    """W lever / c against tipping, W / (0.93 mu) against sliding; with a twist sqrt((2 W)^2 + (2 R W / (2 c / 3))^2) / (0.93 mu)."""
    need = W * max(LEVER / peel, 1 / GRIP)
    assert sound.utilisation(made.crew(scene(SIDE, peel_radius_m=peel))) == pytest.approx(need / 11.0, abs=1e-6)
    twisted = [*SIDE, {"name": "m2", "kind": "strong", "on": "m1", "toward": [0, 1, 0]}]
    need = math.hypot(2 * W, 2 * R * W / (2 / 3 * peel))
    com = math.hypot(2 * W, (2 * R + PEBBLE["com_height_m"]) * W / (2 / 3 * peel))
    tip = math.hypot(LEVER + R, 0) * W / peel
    assert com > need
    assert sound.utilisation(made.crew(scene(twisted, peel_radius_m=peel))) == pytest.approx(max(com / GRIP, tip) / 11.0, abs=1e-6)


def test_the_outline_goes_by_the_foot_not_by_the_peel_radius():
    edge = [ROOT | {"kind": "pebble", "at_m": [0.6 - B + 1e-4, 0]}]
    assert {rule for rule, _ in sound.placed(made.crew(scene(edge, peel_radius_m=0.01)))} == {"outline"}


@pytest.mark.parametrize("move, hold", [("brace", "rolling"), ("release", "braced")])
def test_the_motion_factor_holds_while_a_foot_is_braced_or_released(move, hold):
    """At rest 2.068 W of 11 N are used, under a move 1.1 times that; during brace and release the magnet alone holds."""
    need = W / GRIP / 11.0
    modules = [*LIFTED, SIDE[2] | {"hold": hold}]
    for limit, wrong in ((1.1 * need + 1e-4, set()), (1.1 * need - 1e-4, {"load"})):
        tree = scene(modules, limits={"sway_deg": 0.0, "hold_factor": 1 / limit})
        assert broken(tree, [("m1", move, {})]) == wrong
    plan = made.Made(scene(modules), [("m1", move, {})])
    assert plan.utilisation() == pytest.approx(1.1 * need, abs=1e-6)
    plan = made.Made(scene(modules), [("m1", move, {})], FIRST)
    assert plan.utilisation() == pytest.approx(need, abs=1e-6)


TIPS = math.degrees(math.atan(B / LEVER))  # a lone bare module; it would slip at atan(0.93 x 0.6) only
ALONE = [{"name": "m1", "on": "sand", "at_m": [0.1, 0.05]}]


def sand(**more):
    return deck("sand", (-0.5, -0.5), (0.5, 0.5), **more)


def test_a_bare_foot_feels_the_motion_tilt_of_some_moves():
    assert TIPS < math.degrees(math.atan(0.93 * 0.6))
    for extra, wrong in ((-0.01, set()), (0.01, {"load"})):
        limits = {"sway_deg": 3.0, "motion_tilt_deg": TIPS - 3.0 + extra}
        for move in (slide("m1", 0.1), yaw("m1", 0.5)):
            assert broken(scene(ALONE, [sand()], limits=limits), [move]) == wrong
        assert broken(scene(ALONE, [sand()], limits=limits), [("m1", "brace", {})]) == set()


def test_the_tilt_of_a_rough_deck():
    for extra, wrong in ((-0.01, False), (0.01, True)):
        here = made.crew(scene(ALONE, [sand(tilt_deg=TIPS - 3.0 + extra)], limits={"sway_deg": 3.0}))
        assert (sound.utilisation(here) is None) == wrong
    both = made.scene(ALONE, [sand(tilt_deg=TIPS - 7.0 - 0.01)], None, {"sway_deg": 3.0, "motion_tilt_deg": 4.0})
    assert broken(both, [slide("m1", 0.1)]) == set()
    both["deck"][0]["tilt_deg"] += 0.02
    assert broken(both, [slide("m1", 0.1)]) == {"load"}


@pytest.mark.parametrize("relief, gap, joined", [(0.0, 0.0, True), (1.9e-4, 0.0, True), (2.1e-4, 0.0, False), (0.0, 3e-4, False)])
def test_a_rough_deck_tilts_only_what_is_joined_to_it(relief, gap, joined):
    """A module on smooth ground by a rough wall: it is tilted with the wall if its touch counts (relief up to touch_tol)."""
    wall = deck("wall", (0.3, -0.5), (0.4, 0.5), top=0.2, tilt_deg=TIPS, relief_m=relief)
    near = [{"name": "m1", "on": "sand", "at_m": [0.3 - R - gap, 0.0]}, {"name": "m2", "on": "sand", "at_m": [-0.2, 0.0]}]
    parts = sound.by_structure(made.crew(scene(near, [sand(), wall], limits={"sway_deg": 5.0})))
    assert [u is None for _, u in parts] == [joined, False]


def pivot(edition_moves=(hop("m1", "post"),), **more):
    """m1 stands on the plate against a post (both 2 R wide) and hops over to its side."""
    modules = [ROOT | {"name": "post"}, {"name": "m1", "on": "plate", "at_m": [2 * R, 0]}]
    return scene(modules, [STEEL], **more)


def test_a_hopping_shell_slips_on_what_it_touches():
    """On the post's side the plate below pushes with f (up + rub away from the post), so the bond needs
    max(|W lever - f R (1 + rub)| / b, |W - f| / (0.93 mu)) + rub f. The least lies where both are equal.
    """
    rub = STEEL["friction"]
    f = (LEVER / B + 1 / GRIP) / ((1 + rub) * R / B + 1 / GRIP)
    u = 1.1 * W * ((1 - f) / GRIP + rub * f) / (11.0 * PEBBLE["hop_hold"])
    plan = made.Made(pivot(), [hop("m1", "post")])
    assert plan.broken == set() and plan.utilisation() == pytest.approx(u, abs=1e-6)
    for limit, wrong in ((u + 1e-4, set()), (u - 1e-4, {"load"})):
        assert broken(pivot(limits={"sway_deg": 0.0, "hold_factor": 1 / limit}), [hop("m1", "post")]) == wrong
    # In the first edition the friction may push the other way, and little is needed.
    assert made.Made(pivot(), [hop("m1", "post")], FIRST).utilisation() < u / 10


def directions(here, motions):
    """What pushes m1, and how, in the order of the names of the other bodies."""
    return {name: touch.slip for touch, name, _ in touches(here, motions) if here.names[touch.a] == "m1"}


def test_where_a_hopping_shell_slips():
    """About the turned y axis: up along the post, away from it over the plate, and nowhere against a ball on the axis."""
    tree = pivot()
    tree["module"].append({"name": "end", "kind": "pebble", "on": "plate", "at_m": made.place([2 * R, 2 * R])[:2].tolist()})
    here = made.crew(tree)
    found = directions(here, [Motion({"module": "m1", "move": "hop", "to": "post"}, here)])
    away, rub = np.array([*made.way(1, 0), 0.0]), min(PEBBLE["shell_friction"], STRONG["shell_friction"])
    assert np.allclose(found["post"], away - rub * np.array([0, 0, 1.0]))
    assert np.allclose(found["end"], [*made.way(0, -1), 0.0])
    hops = [Motion({"module": name, "move": "hop", "to": "post"}, here) for name in ("m1", "end")]
    assert set(directions(here, hops)) == {"post"}  # two that hop at once do not push each other


def test_a_curved_slide_keeps_to_the_torque_of_a_yaw():
    """A level arm on the mover: 1.1 W sin(sway) (2 R + com) about the mover's normal, in a sideways direction."""
    arm = [ROOT, {"name": "m1", "on": "root", "toward": [1, 0, 0]}]
    need = 1.1 * W * math.sin(math.radians(10)) * (2 * R + PEBBLE["com_height_m"])
    for torque, wrong in ((need + 1e-5, set()), (need - 1e-5, {"load"})):
        tree = scene(arm, strong={"yaw_torque_rolling_nm": torque}, limits={"sway_deg": 10.0})
        assert broken(tree, [slide("root", 0.1, 3.0)]) == wrong
        assert broken(tree, [slide("root", 0.1)]) == set()
        assert made.Made(tree, [slide("root", 0.1, 3.0)], FIRST).broken == set()


@pytest.mark.parametrize("gap, holds", [(0.0, True), (1.9e-4, True), (2.1e-4, False)])
def test_a_stone_holds_a_module_on_a_slope_too_steep_for_it(gap, holds):
    """The stone lies down the slope, its centre as far over the slope as the module's: it takes W sin(a) and nothing tips."""
    a = math.radians(40.0)
    along, up = np.array([math.cos(a), 0, math.sin(a)]), np.array([-math.sin(a), 0, math.cos(a)])
    centre = np.array([0.5, 0.2, 0.5 * math.tan(a)]) + R * up - (R + 0.05 + gap) * along
    tree = made.scene([{"name": "m1", "on": "slope", "at_m": [0.5, 0.2]}], [ramp("slope", (0, 0), (1, 0.4), 0.0, 40.0)],
                      stone=[{"name": "stop", "at_m": centre.tolist(), "radius_m": 0.05, "friction": 0.35}])
    here = made.crew(tree)
    assert (sound.utilisation(here) is not None) == holds
    if holds:
        (touch, name, _), = touches(here)
        assert (name, touch.friction) == ("stop", 0.35)
        stone = here.scene.stones[0]
        assert np.allclose(touch.point, stone.centre + 0.05 * touch.normal)


def test_a_shell_and_a_stone_do_not_overlap():
    for x, wrong in ((1e-5, set()), (-1e-5, {"overlap"})):
        at = [0.1 + R + 0.08 + x, 0.05, R]
        tree = made.scene(ALONE, [sand()], stone=[{"name": "rock", "at_m": at, "radius_m": 0.08, "friction": 0.5}])
        assert {rule for rule, _ in sound.placed(made.crew(tree))} == wrong


def test_the_free_gap_to_a_stone():
    """A straight slide past a stone, nearest at its middle."""
    at = [0.2, 0.17, R]
    tree = made.scene(ALONE, [sand()], stone=[{"name": "rock", "at_m": at, "radius_m": 0.05, "friction": 0.5}])
    plan = made.Made(tree, [slide("m1", 0.2)])
    assert plan.broken == set() and plan.replay.gaps[0] == pytest.approx(0.12 - 0.05 - R, abs=1e-9)


@pytest.mark.parametrize("height, away", [(0.020, 0.044721), (0.040, 0.056569), (0.060, 0.060000)])
def test_a_ball_before_a_step(height, away):
    """Check value Q05 (closed form): a shell of 60 mm stops sqrt(R^2 - (R - H)^2) before a step of H."""
    decks = [deck("floor", (-1, -1), (1, 1)), deck("step", (0.4, -1), (0.9, 1), top=height)]
    for off, wrong in ((2e-6, set()), (-5e-6, {"overlap"})):
        tree = made.turned(kit.scene([{"name": "m1", "on": "floor", "at_m": [0, 0]}], decks, limits=made.STILL, goal={}))
        assert broken(tree, [slide("m1", 0.4 - away - off)]) == wrong
