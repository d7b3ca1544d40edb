"""Scenes of the second edition: fields, ranges, defaults, and the form in which a plan holds them."""

import math

import pytest

import kit
import made
from reference.edition import FIRST, SECOND
from reference.fields import SceneError
from reference.scene import Scene

GROUND = made.deck("ground", (-1, -1), (1, 1))
ONE = {"name": "m1", "on": "ground", "at_m": [0.1, 0.2]}
STONE = {"name": "boulder", "at_m": [0.6, 0.5, -0.02], "radius_m": 0.1, "friction": 0.4}


def scene(module=None, deck=None, kind=None, limits=None, **more):
    return made.scene([ONE | (module or {})], [GROUND | (deck or {})], kind, limits or {}, **more)


def refused(tree, edition=SECOND):
    try:
        Scene(tree, edition)
    except SceneError:
        return True
    return False


def slope(*heights, **more):
    """A deck whose corners have heights."""
    corners = [[0, 0], [1, 0], [1, 1], [0, 1]]
    return {"name": "slope", "outline_m": [[*c, h] for c, h in zip(corners, heights)], "friction": 0.6} | more


@pytest.mark.parametrize("deck, wrong", [
    (slope(0.0, 0.3, 0.5, 0.2 + 0.9e-3), False), (slope(0.0, 0.3, 0.5, 0.2 + 1.1e-3), True),
    (slope(0.0, math.tan(math.radians(59.99)), math.tan(math.radians(59.99)), 0.0), False),
    (slope(0.0, math.tan(math.radians(60.01)), math.tan(math.radians(60.01)), 0.0), True),
    (slope(0.0, 0.1, 0.1, 0.0, top_m=0.0), True), (slope(0.0, 0.1, 0.1, 0.0, bottom_m=-1e-3), False),
    (slope(0.0, 0.1, 0.1, 0.0, bottom_m=1e-3), True),
    ({"name": "flat", "outline_m": [[0, 0], [1, 0], [1, 1]], "friction": 0.5}, True)])
def test_decks_with_heights(deck, wrong):
    """The fourth corner fits the plane of the first three within 1 mm; 60 degrees at most; no top beside heights; bottom below all of it."""
    assert refused(made.scene([ONE], [GROUND, deck])) == wrong


def test_the_plane_goes_through_the_first_three_corners_not_in_line():
    """The second and third corner are in line with the first; the fourth, 0.8 mm off the plane, is taken on it."""
    corners = [[0, 0, 0.1], [1, 0, 0.2], [2, 1e-7, 0.3], [2, 1, 0.5], [0, 1, 0.3 + 8e-4]]
    tree = kit.scene([ONE], [GROUND, {"name": "slope", "outline_m": corners, "friction": 0.5}])
    plane = Scene(tree).decks["slope"].plane
    assert plane.height([0.4, 0.9]) == pytest.approx(0.1 + 0.1 * 0.4 + 0.2 * 0.9, abs=1e-6)


@pytest.mark.parametrize("change, wrong", [
    ({"kind": {"peel_radius_m": made.B}}, False), ({"kind": {"peel_radius_m": made.B + 1e-6}}, True),
    ({"kind": {"peel_radius_m": 0.0}}, True), ({"kind": {"ramp_time_s": 0.0}}, False), ({"kind": {"ramp_time_s": -0.1}}, True),
    ({"kind": {"step_limit_m": -1e-3}}, True), ({"kind": {"crease_limit_deg": -1.0}}, True), ({"kind": {"colour": 1.0}}, True),
    ({"limits": {"recover_factor": 1.0}}, False), ({"limits": {"recover_factor": 0.99}}, True),
    ({"limits": {"recover_factor": 1.49}}, False), ({"limits": {"recover_factor": 1.5}}, True),
    ({"limits": {"clearance_m": -1e-3}}, True), ({"limits": {"motion_tilt_deg": -1.0}}, True),
    ({"limits": {"sway_deg": 30.0, "motion_tilt_deg": 30.0}, "deck": {"tilt_deg": 30.0}}, False),
    ({"limits": {"sway_deg": 30.0, "motion_tilt_deg": 30.0}, "deck": {"tilt_deg": 30.1}}, True),
    ({"deck": {"relief_m": -1e-3}}, True), ({"deck": {"tilt_deg": -1.0}}, True), ({"deck": {"relief_m": 0.01}}, False),
    ({"module": {"lost": ["cup", "drive"]}}, False), ({"module": {"lost": ["wheel"]}}, True), ({"module": {"lost": "cup"}}, True),
    ({"stone": [STONE]}, False), ({"stone": [STONE | {"radius_m": 0.0}]}, True), ({"stone": [STONE | {"colour": 1}]}, True),
    ({"stone": [STONE | {"at_m": [0.6, 0.5]}]}, True), ({"stone": [STONE | {"name": "ground"}]}, True),
    ({"stone": [STONE | {"name": "m1"}]}, True), ({"stone": [STONE], "module": {"on": "boulder"}}, True)])
def test_ranges_and_names(change, wrong):
    """Sections 3, 5, 7 and 9; no foot stands on a stone."""
    assert refused(scene(**change)) == wrong


def slots(first, second):
    return {"goal": {"slot": [{"name": "a", "on": "ground", "at_m": [0, 0]} | first,
                              {"name": "b", "on": "a", "toward": [0, 0, 1]} | second]}}


@pytest.mark.parametrize("more, wrong", [
    (slots({}, {"optional": True}), False), (slots({"optional": True}, {"optional": True}), False),
    (slots({"optional": True}, {}), True), (slots({"name": "boulder"}, {"on": "boulder"}) | {"stone": [STONE]}, True)])
def test_slots(more, wrong):
    """No slot that must be filled stands on one that may stay empty; stones share the names of slots."""
    assert refused(scene(**more)) == wrong


@pytest.mark.parametrize("change", [{"kind": {"ramp_time_s": 0.2}}, {"limits": {"clearance_m": 0.0}}, {"deck": {"relief_m": 0.0}},
                                    {"module": {"lost": []}}, {"stone": []}])
def test_the_first_edition_knows_none_of_the_new_fields(change):
    assert not refused(scene(**change)) and refused(scene(**change), FIRST)


def test_every_default_is_written_out():
    tree = Scene(scene(stone=[STONE], **slots({}, {}))).tree
    assert {key: tree["limits"][key] for key in ("clearance_m", "motion_tilt_deg")} == {"clearance_m": 0.0, "motion_tilt_deg": 0.0}
    assert "recover_factor" not in tree["limits"]
    assert (tree["deck"][0]["relief_m"], tree["deck"][0]["tilt_deg"]) == (0.0, 0.0) and "bottom_m" not in tree["deck"][0]
    kind = tree["kind"]["pebble"]
    assert (kind["ramp_time_s"], kind["peel_radius_m"], kind["cross_time_s"]) == (0.2, made.B, made.PEBBLE["hop_time_s"])
    assert (kind["step_limit_m"], kind["crease_limit_deg"]) == (0.0, 0.0)
    assert tree["module"][0]["lost"] == [] and tree["goal"]["slot"][1]["optional"] is False
    assert "stone" not in Scene(scene()).tree and "top_m" not in Scene(made.scene([ONE], [GROUND, slope(0, 0, 0.1, 0.1)])).tree["deck"][1]
    assert Scene(tree).tree == tree


@pytest.mark.parametrize("clearances, tolerance", [((0.0, 0.0), 2e-4), ((4e-4, 0.0), 6e-4), ((0.0, 3e-4), 5e-4), ((9e-4, 5e-3), 1.2e-3)])
def test_a_crew_gives_by_its_ride_clearance(clearances, tolerance):
    """0.2 mm and the largest ride clearance of the kinds in use, of which 1 mm counts at most; a kind not in use says nothing."""
    kinds = {f"k{n}": made.PEBBLE | {"ride_height_m": made.R + c} for n, c in enumerate((*clearances, 0.02))}
    modules = [{"name": f"m{n}", "kind": f"k{n}", "on": "ground", "at_m": [0.3 * n, 0]} for n in range(2)]
    tree = kit.scene(modules, [GROUND], kinds)
    assert Scene(tree).limits.touch_tol_m == pytest.approx(tolerance, rel=1e-9)
    assert Scene(tree, FIRST).limits.touch_tol_m == 2e-4
    assert Scene(tree | {"limits": {"touch_tol_m": 3e-5}}).limits.touch_tol_m == 3e-5
