"""`clamber inspect` against the reference: load by ECOS, and places, touches and soundness by plain geometry."""

import collections
import math

import numpy as np
import pytest

import kit
from reference import sound
from reference.load import Undecided
from reference.pose import Crew, matrix, turn_between
from reference.scene import Scene

CLOSE = {"rel": 1e-5, "abs": 1e-5}


def test_the_random_crews_are_worth_asking(random_crews, record_property):
    """Without this the comparison below could pass on easy crews only."""
    outcomes = collections.Counter(sound.load_status(crew, sound.utilisation(crew)) for _, crew in random_crews)
    touching = sum(bool(sound.touches(crew)) for _, crew in random_crews)
    record_property("random crews", f"{len(random_crews)}, {touching} with touches, {dict(outcomes)}")
    assert outcomes["carried"] >= 80 and outcomes["over_limit"] >= 40 and outcomes["no_equilibrium"] >= 20
    assert touching >= 200


def test_load_status_and_utilisation(random_crews, inspected):
    wrong = []
    for seed, ((_, crew), answer) in enumerate(zip(random_crews, inspected)):
        u, said = sound.utilisation(crew), answer["load"]
        limit = 1 / crew.scene.limits.hold_factor
        assert said["limit"] == pytest.approx(limit, rel=1e-9)
        status = sound.load_status(crew, u)
        if u is not None and abs(u - limit) < 1e-5:
            status = said["status"] if said["status"] != "no_equilibrium" else status
        if said["status"] != status or said.get("utilisation") != (None if u is None else pytest.approx(u, **CLOSE)):
            wrong.append((seed, status, u, said["status"], said.get("utilisation")))
    assert not wrong, f"{len(wrong)} differ (seed, ours, theirs): {wrong[:10]}"


def test_adhesion_of_every_bond(random_crews, inspected):
    for (_, crew), answer in zip(random_crews, inspected):
        for bond in answer["load"].get("bonds", []):
            i = crew.index[bond["module"]]
            assert bond["adhesion_n"] == pytest.approx(sound.adhesion(crew, i, bond["host"]), rel=1e-6, abs=1e-9)


def test_places(random_crews, inspected):
    for (_, crew), answer in zip(random_crews, inspected):
        assert [m["module"] for m in answer["modules"]] == crew.names
        for i, module in enumerate(answer["modules"]):
            assert np.allclose(module["position_m"], crew.p[i], rtol=0, atol=1e-9)
            assert turn_between(matrix(module["orientation_xyzw"]), crew.rot[i]) < 1e-7


def test_touches(random_crews, inspected):
    for seed, ((_, crew), answer) in enumerate(zip(random_crews, inspected)):
        ours = {frozenset((crew.names[t.a], other)) for t, other, _ in sound.touches(crew)}
        assert {frozenset((t["a"], t["b"])) for t in answer["touches"]} == ours, f"seed {seed}"


def test_soundness(random_crews, inspected):
    for seed, ((_, crew), answer) in enumerate(zip(random_crews, inspected)):
        rules = {rule for rule, _ in sound.placed(crew)}
        if answer["load"]["status"] != "carried":
            rules.add("load")
        assert answer["sound"] == (not rules), f"seed {seed}"
        assert {p["rule"] for p in answer["problems"]} == rules, f"seed {seed}"


def survives(crew):
    """Largest sway the crew carries its load at, in degrees, by bisection."""
    def carries(sway):
        try:
            return sound.load_status(crew, sound.utilisation(crew, sway=math.radians(sway))) == "carried"
        except Undecided:  # at the very edge, where either answer will do
            return False
    low, high = 0.0, 80.0
    assert carries(low)
    while high - low > 1e-4:
        middle = (low + high) / 2
        low, high = (middle, high) if carries(middle) else (low, middle)
    return low


def test_tilt_survived(random_crews, inspected):
    compared = 0
    for seed, ((tree, crew), answer) in enumerate(zip(random_crews, inspected)):
        upright = sound.load_status(crew, sound.utilisation(crew, sway=0.0))
        assert ("tilt_survived_deg" in answer) == (upright == "carried"), f"seed {seed}"
        if upright == "carried" and compared < 12:
            ours = survives(Crew(Scene(tree, kit.EDITION)))
            assert ours > 79 or answer["tilt_survived_deg"] == pytest.approx(ours, abs=0.01), f"seed {seed}"
            compared += 1


def test_a_scene_with_a_wrong_field_is_refused_by_name(tmp_path):
    tree = kit.scene([{"name": "m1", "on": "ground", "at_m": [0, 0], "colour": "red"}])
    path = kit.write_toml(tree, tmp_path / "odd.toml")
    run = kit.clamber("inspect", path, "--json")
    assert run.returncode != 0 and "odd.toml" in run.stderr and "colour" in run.stderr
