"""Clearance (second edition, section 4, rule 5), each case with just enough gap and just too little."""

import math

import pytest

import kit
import made
from made import PEBBLE, R, broken, deck, hop, slide, yaw

SAND = deck("sand", (-1.0, -1.0), (1.0, 1.0))
KEEP = 0.012
LIMITS = {"sway_deg": 0.0, "clearance_m": KEEP}


def scene(modules, decks=(SAND,), limits=LIMITS, kinds=None, **more):
    kinds = {"pebble": PEBBLE, "strong": PEBBLE | {"magnet_force_n": 1e4, "drive_force_n": 50.0}} | (kinds or {})
    return made.turned(kit.scene([{"kind": "pebble"} | m for m in modules], list(decks), kinds, limits=limits, goal={}, **more))


def one(x, y, **more):
    return {"name": "m1", "on": "sand", "at_m": [x, y]} | more


def rock(x, y, z=R, radius=0.05, **more):
    return {"stone": [{"name": "rock", "at_m": [x, y, z], "radius_m": radius, "friction": 0.5} | more]}


PAST = [slide("m1", 0.3), slide("m1", 0.3)]  # from x = -0.3 to 0.3, with a stop in the middle
CASES = {  # what: (scene for a gap, moves); with a gap of KEEP all is well, with less it is not
    "past a stone": (lambda gap: scene([one(-0.3, 0)], **rock(0.1, R + 0.05 + gap)), PAST),
    "past a shell": (lambda gap: scene([one(-0.3, 0), one(0.1, 2 * R + gap, name="m2")]), PAST),
    "past a wall": (lambda gap: scene([one(-0.3, 0)], [SAND, deck("wall", (0.05, R + gap), (0.2, 0.5), top=0.3)]), PAST),
    "past the edge of a step": (lambda gap: scene([one(-0.3, 0)], [SAND, deck("step", (0.05, (R + gap) * 0.8), (0.2, 0.5), top=R - (R + gap) * 0.6)]), PAST),
    "carried past a stone": (lambda gap: scene([one(-0.3, 0), {"name": "m2", "on": "m1", "toward": [0, 0, 1]}],
                                               **rock(0.1, R + 0.05 + gap, z=3 * R)), PAST),
    "turned towards a shell": (lambda gap: scene(  # the arm sweeps through the heading of m3 in the middle of the yaw
        [one(0, 0, kind="strong"), {"name": "m2", "on": "m1", "toward": [1, 0, 0]}, one(0, 4 * R + gap, name="m3")],
        [SAND | {"ferrous": True}]), [slide("m1", -0.1), slide("m1", 0.1), yaw("m1", 2.5)]),
}


@pytest.mark.parametrize("what", CASES)
def test_enough_and_too_little(what):
    tree, moves = CASES[what]
    assert broken(tree(KEEP + 1e-5), moves) == set()
    assert broken(tree(KEEP - 1e-5), moves) == {"clearance"}


def test_by_default_nothing_is_kept_clear():
    assert broken(scene([one(-0.3, 0)], limits=made.STILL, **rock(0.1, R + 0.05 + 1e-5)), PAST) == set()


NEAR = KEEP / 2  # a gap that is too small on the way


def beside(*moves, x=0.0, gap=NEAR, other=None, **more):
    """m1 beside m2, which stands at (0, 0); m1 comes from x along the line that passes it at `gap`."""
    return broken(scene([one(x, 2 * R + gap), one(0, 0, name="m2")] + (other or []), **more), moves)


@pytest.mark.parametrize("what, start, moves, wrong", [
    ("away from the plan's start", 0.0, [slide("m1", 0.3)], False),
    ("to the plan's end", -0.3, [slide("m1", 0.3)], False),
    ("a stop beside it in the middle of the plan", -0.3, [slide("m1", 0.3), slide("m1", 0.3)], True),
    ("a yaw on the spot does not leave the place", 0.0, [yaw("m1", 0.5), yaw("m1", -0.5), slide("m1", 0.3)], False),
    ("a yaw on the spot before the end", -0.3, [slide("m1", 0.3), yaw("m1", 0.5)], False),
    ("a brace does not leave it either", -0.3, [slide("m1", 0.3), ("m1", "brace", {})], False),
    ("the other one has left and come back", 0.0, [slide("m2", -0.3), slide("m2", 0.3), slide("m1", 0.3)], True),
    ("away and back", 0.0, [slide("m1", 0.3), slide("m1", -0.3)], False),
    ("away and back, then away again", 0.0, [slide("m1", 0.3), slide("m1", -0.3), slide("m1", 0.3)], True),
    ("nearer than at the start", -0.001, [slide("m1", 0.3)], True)])
def test_where_less_is_enough(what, start, moves, wrong):
    assert beside(*moves, x=start) == ({"clearance"} if wrong else set()), what


@pytest.mark.parametrize("gap, wrong", [(1.9e-4, False), (2.1e-4, True)])
def test_a_touch_at_an_end_is_enough(gap, wrong):
    """m1 comes head-on, stops within the touch tolerance, and goes back: the plan does not end there."""
    tree = scene([one(-0.3, 0), one(0, 0, name="m2")])
    way = 0.3 - 2 * R - gap
    assert broken(tree, [slide("m1", way), slide("m1", -way)]) == ({"clearance"} if wrong else set())


@pytest.mark.parametrize("hops, wrong", [(True, False), (False, True)])
def test_a_hop_there_is_enough(hops, wrong):
    """A kind that rides 3 mm higher than its shell: where it hops its shell does not touch."""
    high = PEBBLE | {"ride_height_m": R + 0.003, "magnet_force_n": 200.0}
    tree = scene([one(-0.3, 0, kind="high"), one(0, 0, name="m2", kind="high")], [SAND | {"ferrous": True}], kinds={"high": high},
                 limits=LIMITS | {"touch_tol_m": 2e-4})
    way = 0.3 - math.sqrt((2 * R + 0.003) ** 2 - 0.0)
    moves = [slide("m1", way), *([hop("m1", "m2"), hop("m1", "sand")] if hops else []), slide("m1", -way)]
    assert broken(tree, moves) == ({"clearance"} if wrong else set())


@pytest.mark.parametrize("relief, tilt", [(0.004, 0.0), (0.0, 9.0), (0.003, 6.0)])
def test_more_from_a_rough_deck(relief, tilt):
    """A module carried over a rough step below it: relief and d sin(tilt) more, d from the centre down to the step's plane."""
    height, low = 0.075, 0.072  # a slab that the lower shell is well clear of
    gap = KEEP + relief + (3 * R - height) * math.sin(math.radians(tilt))
    for off, wrong in ((1e-5, set()), (-1e-5, {"clearance"})):
        side = math.sqrt((R + gap + off) ** 2 - (3 * R - height) ** 2)
        slab = deck("slab", (0.05, -0.05), (0.2, 0.05), top=height, bottom_m=low, relief_m=relief, tilt_deg=tilt)
        tree = scene([one(-0.3, 0.05 + side, kind="strong"), {"name": "m2", "on": "m1", "toward": [0, 0, 1]}],
                     [SAND | {"ferrous": True}, slab])
        assert broken(tree, PAST) == wrong


def test_what_lies_under_the_own_ground_is_no_body():
    """A sheet of rock below the sand reaches out beside it; only what reaches out, or over the sand, is kept clear of."""
    def plan(sand, *corners, **more):
        return broken(scene([one(-0.3, 0.5)], [sand, deck("sheet", *corners, **{"friction": 0.5} | more)]), PAST)
    wide = (-2.0, -1.0), (2.0, 1.0)
    assert plan(SAND, *wide) == set() and plan(SAND, *wide, top=-0.05) == set()
    # Over the sand (2 mm) it is a body: sqrt(side^2 + (R - 2 mm)^2) - R must be KEEP.
    side = math.sqrt((R + KEEP) ** 2 - (R - 2e-3) ** 2)
    for off, wrong in ((1e-5, set()), (-1e-5, {"clearance"})):
        assert plan(SAND, (0.0, 0.5 + side + off), (0.1, 0.9), top=2e-3) == wrong
    # Flush in a notch of the sand it is one as well: sqrt(side^2 + R^2) - R must be KEEP.
    side = math.sqrt((R + KEEP) ** 2 - R**2)
    for off, wrong in ((1e-5, set()), (-1e-5, {"clearance"})):
        y = 0.5 + side + off
        notched = SAND | {"outline_m": [[-1, -1], [1, -1], [1, 1], [0.1, 1], [0.1, y], [0, y], [0, 1], [-1, 1]]}
        assert plan(notched, *wide) == wrong


@pytest.mark.parametrize("sunk, wrong", [(0.05 + 1e-6, set()), (0.05 - 0.004, {"overlap", "clearance"})])
def test_a_stone_sunk_in_the_own_ground_is_no_body(sunk, wrong):
    """Driven over: only its cap above the sand counts."""
    assert broken(scene([one(-0.3, 0)], **rock(0.1, 0, z=-sunk)), PAST) == wrong


def test_a_cap_of_a_stone():
    """A stone whose centre lies below the sand: the nearest point of what is above is on the circle where it comes out."""
    down, out = 0.045, math.sqrt(0.05**2 - 0.045**2)
    for off, wrong in ((1e-4, set()), (-1e-4, {"clearance"})):
        # From the centre, R up, to the rim of the cap: sqrt(side^2 + R^2) = R + KEEP.
        side = math.sqrt((R + KEEP) ** 2 - R**2) + out + off
        assert broken(scene([one(-0.3, 0)], **rock(0.1, side, z=-down)), PAST) == wrong


def test_the_first_edition_keeps_nothing_clear():
    tree = scene([one(-0.3, 0), one(0.1, 2 * R + NEAR, name="m2")], limits=made.STILL)
    assert made.Made(tree, PAST, made.FIRST).broken == set()
