"""The replay of a plan written by hand, every figure a closed form, and of the same plan with one thing wrong."""

import json
import math

import pytest

import kit
from mutate import changed, mutations
from reference import canonical
from reference.edition import FIRST
from reference.replay import main, refuses
from reference.scene import Scene

WEIGHT = 0.5 * 9.80665


def needed(degrees, adhesion, factor=1.0):
    """Utilisation on the side of a ball: adhesion against sliding and tipping (elementary statics)."""
    s, c = math.sin(math.radians(degrees)), math.cos(math.radians(degrees))
    return max(0.0, factor * WEIGHT * (s * max(0.050 / 0.040, 1 / (0.93 * 0.6)) - c) / adhesion)


def about_x(degrees):
    """Quaternion of a heading along +y, then a turn about x."""
    half, q = math.radians(degrees) / 2, math.sqrt(0.5)
    return [math.sin(half) * q, -math.sin(half) * q, math.cos(half) * q, math.cos(half) * q]


def hand_plan():
    """m1 slides 0.2 m towards a wall; m2 slides 30 degrees down its side, hops over to m3, and is braced there."""
    wall = {"name": "wall", "outline_m": [[0.3, -1], [0.4, -1], [0.4, 1], [0.3, 1]], "top_m": 0.5, "friction": 0.5}
    tree = kit.scene([{"name": "m1", "on": "ground", "at_m": [-0.2, 0]},
                      {"name": "m2", "on": "m1", "toward": [0, 0, 1], "facing": [0, 1, 0]},
                      {"name": "m3", "on": "ground", "at_m": [0, 0.13]}],
                     [kit.slab(ferrous=True), wall], limits={"sway_deg": 0.0})
    ends = math.degrees(math.asin(0.065 / 0.12))  # m2 leans this far from the top of m1 when it touches m3
    tree["goal"] = {"slot": [{"name": "a", "on": "ground", "at_m": [0, 0.13]}, {
        "name": "b", "on": "a", "toward": [0, -math.sin(math.radians(ends)), math.cos(math.radians(ends))],
        "hold": "braced", "module": "m2"}]}
    arc = 0.06 * math.radians(ends)
    times = [0.0, 4.0, 4.0 + arc / 0.05, 8.0 + arc / 0.05, 10.0 + arc / 0.05]
    side = [0.0, 0.065, 0.06 + 0.12 * math.cos(math.radians(ends))]
    down, over, above = about_x(-ends), about_x(ends), side[2] - 0.06  # `above`: m2 over the ground
    worst = needed(ends, 30, 1.1)  # before it is in the pocket; there the touch holds it and nothing is needed
    rows = [  # module, move, parameters, position, quaternion, on, hold, utilisation, gap
        ("m1", "slide", {"travel_m": 0.2, "curvature_per_m": 0.0}, [0, 0, 0.06], [0, 0, 0, 1], "ground", "rolling", 0.0, 0.01),
        ("m2", "slide", {"travel_m": arc, "curvature_per_m": 0.0}, side, down, "m1", "rolling", worst, above),
        ("m2", "hop", {"to": "m3"}, side, over, "m3", "rolling", 0.0, above),
        ("m2", "brace", {}, side, over, "m3", "braced", 0.0, None)]
    steps = [{"module": m, "move": move, **parameters, "start_s": times[k], "duration_s": times[k + 1] - times[k],
              "after": [k - 1] if k else [], "utilisation": u,
              "end": {"position_m": p, "orientation_xyzw": q, "on": on, "hold": hold}}
             | ({} if gap is None else {"gap_m": gap})
             for k, (m, move, parameters, p, q, on, hold, u, gap) in enumerate(rows)]
    makespan = times[-1]
    summary = {"moves": 4, "makespan_s": makespan, "energy_j": 6 * (8 + arc / 0.05) + 15 + 3 * 0.8 * makespan,
               "travel_m": 0.2 + arc, "utilisation": worst, "gap_m": 0.01, "lower_bound_s": 1.0}
    return sealed({"format": "clamber-plan/1", "scenario": Scene(tree, FIRST).tree, "planner": {}, "status": "solved",
                   "steps": steps, "summary": summary})


def sealed(plan):
    """The plan with the digest that belongs to its scenario."""
    return plan | {"scenario_sha256": canonical.sha256(plan["scenario"])}


def written(plan, folder):
    path = folder / "plan.json"
    path.write_text(json.dumps(plan), encoding="utf-8")
    return path


def verdict(plan, folder, capsys):
    """Exit code and the rules that are reported as broken."""
    code = main([str(written(plan, folder))])
    return code, {line.split(": ")[1] for line in capsys.readouterr().out.splitlines()}


def test_the_plan_written_by_hand_is_right(tmp_path, capsys):
    assert verdict(hand_plan(), tmp_path, capsys) == (0, set())
    assert not refuses(written(hand_plan(), tmp_path))


@pytest.mark.parametrize("done, plan", list(mutations(hand_plan())), ids=lambda value: value if isinstance(value, str) else "")
def test_a_changed_figure_is_noticed(done, plan, tmp_path):
    assert refuses(written(plan, tmp_path)), done


@pytest.mark.parametrize("rule, path, value", [
    ("load", ("limits", "hold_factor"), 60.0), ("load", ("kind", "cobble", "drive_force_n"), 0.5),
    ("reach", ("kind", "cobble", "shell_reach_deg"), 25.0), ("hop", ("kind", "cobble", "hop_limit_deg"), 60.0),
    ("stuck", ("module", 1, "stuck"), True), ("goal", ("goal", "slot", 1, "toward"), [0, -0.52, math.sqrt(0.75)]),
    ("overlap", ("deck", 1, "outline_m"), [[0.05, -1], [0.4, -1], [0.4, 1], [0.05, 1]]),
    ("outline", ("deck", 0, "outline_m"), [[-4, -4], [0.03, -4], [0.03, 4], [-4, 4]]),
    ("goal", ("goal", "slot", 1, "module"), "m1"), ("hold", ("module", 1, "hold"), "braced")])
def test_a_harder_scene_breaks_the_rule(rule, path, value, tmp_path, capsys):
    code, rules = verdict(sealed(changed(hand_plan(), "scenario", *path, to=value)), tmp_path, capsys)
    assert code == 1 and rule in rules


def test_the_shape_must_carry_what_its_slots_hold(tmp_path, capsys):
    heavy = changed(changed(hand_plan(), "scenario", "goal", "slot", 1, "payload_kg", to=300.0),
                    "scenario", "deck", 0, "friction", to=0.3)
    assert verdict(sealed(heavy), tmp_path, capsys) == (1, {"goal"})


def test_a_module_cannot_slide_while_it_is_carried(tmp_path, capsys):
    plan = changed(changed(hand_plan(), "steps", 1, "start_s", by=-1.0), "steps", 1, "after", to=[])
    assert "schedule" in verdict(plan, tmp_path, capsys)[1]


def crossing_plan():
    """Two modules cross at the same time; they are closest at 6 s, 0.1 m apart along both axes."""
    starts, headings = {"m1": [-0.4, 0.0], "m2": [0.0, -0.2]}, {"m1": [1, 0, 0], "m2": [0, 1, 0]}
    tree = kit.scene([{"name": m, "on": "ground", "at_m": starts[m], "facing": headings[m]} for m in starts],
                     limits={"sway_deg": 0.0})
    ends = {"m1": ([0.0, 0.0, 0.06], [0, 0, 0, 1]), "m2": ([0.0, 0.2, 0.06], [0, 0, math.sqrt(0.5), math.sqrt(0.5)])}
    gap = 0.1 * math.sqrt(2) - 0.12
    steps = [{"module": m, "move": "slide", "travel_m": 0.4, "curvature_per_m": 0.0, "start_s": 0.0, "duration_s": 8.0,
              "after": [], "end": {"position_m": ends[m][0], "orientation_xyzw": ends[m][1], "on": "ground",
                                   "hold": "rolling"}, "utilisation": 0.0, "gap_m": gap} for m in starts]
    summary = {"moves": 2, "makespan_s": 8.0, "energy_j": 2 * 8 * (6 + 0.8), "travel_m": 0.8, "utilisation": 0.0,
               "gap_m": gap, "lower_bound_s": 8.0}
    return sealed({"format": "clamber-plan/1", "scenario": Scene(tree, FIRST).tree, "planner": {}, "status": "solved",
                   "steps": steps, "summary": summary})


def test_moves_at_the_same_time_are_judged_together(tmp_path, capsys):
    assert verdict(crossing_plan(), tmp_path, capsys) == (0, set())
    nearer = sealed(changed(crossing_plan(), "scenario", "module", 1, "at_m", 0, by=-0.05))
    assert "overlap" in verdict(nearer, tmp_path, capsys)[1]


def test_a_crooked_heading_forbids_the_hop(tmp_path, capsys):
    plan = sealed(changed(hand_plan(), "scenario", "module", 1, "facing", to=[0.01, 1.0, 0.0]))
    assert "hop" in verdict(plan, tmp_path, capsys)[1]


def test_no_plan_at_all(tmp_path, capsys):
    assert verdict({"format": "something else"}, tmp_path, capsys)[0] == 2
    assert verdict(changed(hand_plan(), "steps", 0, "start_s", to=math.nan), tmp_path, capsys)[0] == 2
