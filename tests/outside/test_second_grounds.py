"""Grounds of several decks and sloped decks, against closed forms (second edition, sections 2, 3 and 6)."""

import math

import numpy as np
import pytest

import kit
import made
from made import B, R, W, broken, deck, ramp, slide
from reference import goal, sound
from reference.edition import FIRST
from reference.scene import Scene

WEST = deck("west", (-0.5, -0.3), (0.0, 0.3))


def east(gap=0.0, **more):
    return deck("east", (gap, -0.3), (0.5, 0.3), **more)


ONE = {"name": "m1", "on": "west", "at_m": [-0.1, 0.05]}


def names(decks):
    tree = made.scene([], decks)
    return [[d.name for d in ground.decks] for ground in Scene(tree).grounds]


@pytest.mark.parametrize("other, joined", [
    (east(), True), (east(0.9e-6), True), (east(1.2e-6), False), (east(-0.1), True), (east(top=0.9e-6), True), (east(top=1.1e-6), False),
    (east(friction=0.61), False), (east(ferrous=True), False), (east(sealable=True), False), (east(relief_m=1e-3), False),
    (east(tilt_deg=1.0), False), (east(bottom_m=-0.2), True)])
def test_which_decks_are_one_ground(other, joined):
    assert names([WEST, other]) == ([["west", "east"]] if joined else [["west"], ["east"]])


def test_grounds_are_formed_in_the_order_of_the_list():
    """Planes are compared with the first deck of a ground, not with the next one; a deck hangs on through others."""
    steps = [deck(f"d{k}", (0.2 * k, 0), (0.2 * k + 0.2, 0.2), top=0.8e-6 * k) for k in range(3)]
    assert names(steps) == [["d0", "d1"], ["d2"]]
    assert names([steps[1], steps[0], steps[2]]) == [["d1", "d0", "d2"]]
    assert names([WEST, deck("far", (0.5, -0.3), (0.9, 0.3)), east()]) == [["west", "far", "east"]]
    assert names([ramp("low", (0, 0), (0.3, 0.2), 0.0, 20.0), ramp("high", (0.3, 0), (0.7, 0.2), 0.3 * math.tan(math.radians(20)), 20.0),
                  ramp("bent", (0.7, 0), (0.9, 0.2), 0.7 * math.tan(math.radians(20)), 20.001)]) == [["low", "high"], ["bent"]]


def test_a_slide_over_the_seam_ends_on_the_other_deck():
    made_plan = made.Made(made.scene([ONE], [WEST, east()]), [slide("m1", 0.3)])
    assert made_plan.broken == set() and made_plan.steps[0]["end"]["on"] == "east"
    for on, wrong in (("east", set()), ("west", {"end"})):
        made_plan.steps[0]["end"]["on"] = on
        again = type(made_plan.replay)(made_plan.plan, made_plan.scene)
        assert {line.split(": ")[1] for line in again.run()} == wrong
    assert broken(made.scene([ONE], [WEST, east(1.2e-6)]), [slide("m1", 0.3)]) == {"outline"}
    assert made.Made(made.scene([ONE], [WEST, east()]), [slide("m1", 0.3)], FIRST).broken == {"outline"}


def test_a_place_may_be_named_by_any_deck_and_the_first_that_holds_it_is_the_host():
    decks = [WEST, east(-0.2)]
    for on, x, host in (("east", -0.4, "west"), ("west", 0.3, "east"), ("east", -0.1, "west"), ("west", -0.1, "west")):
        assert made.crew(made.scene([ONE | {"on": on, "at_m": [x, 0]}], decks)).host == [host]


@pytest.mark.parametrize("off, wrong", [(-2e-6, False), (2e-6, True)])
def test_a_foot_at_the_inner_corner_of_an_l(off, wrong):
    """The union of two decks has its inner corner at the origin: the disc may come as near to it as its radius."""
    corner = [deck("foot", (-0.4, -0.4), (0.4, 0.0)), deck("leg", (-0.4, 0.0), (0.0, 0.4))]
    near = (B - off) / math.sqrt(2)
    tree = made.scene([ONE | {"on": "foot", "at_m": [-near, -near]}], corner)
    assert bool(sound.placed(made.crew(tree))) == wrong
    # Against either deck alone the disc sticks out.
    ground = Scene(tree).grounds[0]
    assert ground.margin(made.place([-near, -near])) == pytest.approx(B - off, abs=1e-9)


def test_decks_of_one_ground_are_one_body():
    """A pebble that rides high stands by the seam: the other deck is no touch for it, a deck with other friction is one."""
    high = {"ride_height_m": R + 2e-4}
    here = {"at_m": [-B, 0.0]}
    for other, touched in ((east(), []), (east(friction=0.5, top=0.06), ["east"])):
        tree = made.scene([ONE | here | {"at_m": [-R, 0.0]}], [WEST, other], high)
        assert [name for _, name, _ in sound.touches(made.crew(tree))] == touched


def gathered(deck_name, count, x):
    tree = made.scene([ONE, ONE | {"name": "m2", "at_m": [x, -0.2]}], [WEST, east(-0.05)], goal={"gather": {"deck": deck_name, "count": count}})
    return not goal.unmet(made.crew(tree))[0]


def test_gather_counts_soles_in_the_named_outline():
    """The decks overlap between x = -0.05 and 0: there a module counts for both."""
    assert gathered("west", 2, -0.2) and not gathered("east", 1, -0.2)
    assert gathered("west", 2, -0.04) and gathered("east", 1, -0.04) and not gathered("east", 2, -0.04)
    assert gathered("east", 1, 0.2) and not gathered("west", 2, 0.2)


def test_a_slot_may_name_any_deck_of_its_ground():
    slot = {"name": "a", "on": "east", "at_m": [-0.1, 0.05]}
    for other, met in ((east(), True), (east(friction=0.5), False)):
        assert (not goal.unmet(made.crew(made.scene([ONE], [WEST, other], goal={"slot": [slot]})))[0]) == met


def on_slope(degrees, **change):
    """A pebble on a slope that rises along the turned x axis."""
    return made.scene([{"name": "m1", "on": "slope", "at_m": [0.5, 0.2]}], [ramp("slope", (0, 0), (1, 0.4), 0.1, degrees)], change or None)


def test_a_module_on_a_slope_stands_square_to_it():
    here, a = made.crew(on_slope(25.0)), math.radians(25.0)
    sole = made.place([0.5, 0.2, 0.1 + 0.5 * math.tan(a)])
    up = np.array([*made.way(-math.sin(a), 0), math.cos(a)])
    assert np.allclose(here.p[0], sole + R * up, atol=1e-12) and np.allclose(here.rot[0][:, 2], up, atol=1e-12)
    assert np.allclose(here.rot[0][:, 0], [*made.way(math.cos(a), 0), math.sin(a)], atol=1e-12)


@pytest.mark.parametrize("degrees", [20.0, 45.0])
def test_a_foot_on_a_slope_reaches_its_radius_along_the_slope(degrees):
    """Seen from above the disc is an ellipse, shorter up the slope: b cos(a) from the edge is enough there, across it is b."""
    short = B * math.cos(math.radians(degrees))
    for x, y, wrong in ((short + 1e-5, 0.2, False), (short - 1e-5, 0.2, True), (0.5, B + 1e-5, False), (0.5, B - 1e-5, True)):
        tree = made.scene([{"name": "m1", "on": "slope", "at_m": [x, y]}], [ramp("slope", (0, 0), (1, 0.4), 0.0, degrees)])
        assert {rule for rule, _ in sound.placed(made.crew(tree))} == ({"outline"} if wrong else set())


def test_a_slide_up_a_slope():
    """It ends where the heading leads within the plane; the drive holds 1.1 W sin(a) and no less."""
    a = math.radians(18.0)
    need = 1.1 * W * math.sin(a)
    plan = made.Made(on_slope(18.0, drive_force_n=need + 1e-3), [slide("m1", 0.2)])
    assert plan.broken == set()
    start = made.crew(on_slope(18.0)).p[0]
    assert np.allclose(plan.last.p[0] - start, [*made.way(0.2 * math.cos(a), 0), 0.2 * math.sin(a)], atol=1e-12)
    assert broken(on_slope(18.0, drive_force_n=need - 1e-3), [slide("m1", 0.2)]) == {"load"}


def test_a_circle_on_a_slope_closes():
    plan = made.Made(on_slope(18.0), [slide("m1", 2 * math.pi * 0.08, 1 / 0.08)])
    assert plan.broken == set() and np.allclose(plan.last.p, made.crew(on_slope(18.0)).p, atol=1e-12)
    half = made.Made(on_slope(18.0), [slide("m1", math.pi * 0.08, 1 / 0.08)])
    assert np.allclose(half.last.p[0] - made.crew(on_slope(18.0)).p[0], [*made.way(0, 0.16), 0], atol=1e-12)


BARE = kit.COBBLE | {"shell_reach_deg": 180.0}


def stack(n, degrees, friction, **change):
    """A stack of the demo kind, square to a bare slope."""
    up = [-math.sin(math.radians(degrees)), 0, math.cos(math.radians(degrees))]
    column = [{"name": "m1", "on": "slope", "at_m": [0.5, 0.5]}]
    column += [{"name": f"m{k}", "on": f"m{k - 1}", "toward": up} for k in range(2, n + 1)]
    tree = kit.scene(column, [ramp("slope", (0, 0), (1, 1), 0.0, degrees, friction=friction)], {"cobble": BARE | change}, goal={})
    return sound.load_status(made.crew(made.turned(tree)), sound.utilisation(made.crew(made.turned(tree)))) == "carried"


@pytest.mark.parametrize("n, friction, degrees", [
    (1, 0.7, 30.06413), (1, 1.0, 35.65981),  # check value Q01: atan(0.93 mu) - 3 and atan(b / (h + com)) - 3 degrees
    (1, 5.0, 35.6598), (2, 5.0, 16.9831), (3, 5.0, 10.2405)])  # check value Q02: closed form
def test_the_steepest_bare_slope(n, friction, degrees):
    """Design basis C3; sway 3 degrees. Bonds within the stack are strong, so that the base decides."""
    strong = {"magnet_force_n": 1e4} if n > 1 else {}
    assert stack(n, degrees - 1e-3, friction, **strong) and not stack(n, degrees + 1e-3, friction, **strong)


def distance(solid, *points):
    return solid.nearest(np.array([made.place(p) for p in points]))[1]


def test_distances_to_a_sloped_solid():
    """A wedge that rises by 3 on 4 (5 along the slope) above a level bottom: over its face, edges, corners, sides and under it."""
    wedge = {"name": "wedge", "friction": 0.5, "bottom_m": -1.0, "outline_m": [[0, 0, 0], [4, 0, 3], [4, 2, 3], [0, 2, 0]]}
    solid = Scene(made.scene([], [wedge])).grounds[0]
    up = np.array([-0.6, 0, 0.8])
    over = np.array([2, 1, 1.5]) + 0.7 * up
    found = distance(solid, over, [5, 1, 4], [-1, 1, 0], [-0.3, -0.4, 0.0], [2, -0.5, 1.0], [2, -0.3, 1.5 + 0.5], [2, 1, -1.4], [3, 1, 2.25 - 0.1])
    beside = math.hypot(0.3, 0.5 * 0.8)  # 0.3 off the side, 0.5 straight above its upper edge
    assert np.allclose(found, [0.7, math.sqrt(2), 1.0, 0.5, 0.5, beside, 0.4, -0.08])
