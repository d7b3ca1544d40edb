"""`clamber risk` against crude Monte Carlo: needs from the second load solver at dense instants, strengths drawn one by one."""

import json
import math
from copy import copy

import jsonschema
import numpy as np
import pytest

import kit
import made
from reference import load, sound
from reference.pose import Crew
from reference.plan_file import read
from reference.timeline import run

DRAWS = 200_000
DENSE = 41


def arm_that_turns(folder):
    """A level arm of three on a plinth of steel: the root is braced, the arm turns with its first module, half round."""
    plinth = made.deck("plinth", (-0.05, -0.05), (0.05, 0.05), top=0.5, bottom_m=0.0, ferrous=True, sealable=True)
    modules = [{"name": "root", "on": "plinth", "at_m": [0, 0], "hold": "braced"},
               {"name": "a", "on": "root", "toward": [0, 0.6, 0.8], "hold": "braced"},
               {"name": "b", "on": "a", "toward": [1, 0, 0.3], "hold": "braced"}]
    tree = kit.scene(modules, [plinth], goal={"gather": {"deck": "plinth", "count": 1}})
    plan = made.Made(tree, [("a", "yaw", {"angle_rad": 2.5})])
    plan.plan["planner"] = {"name": "made", "seed": 1, "version": "0"}
    path = folder / "turns.json"
    path.write_text(json.dumps(plan.plan), encoding="utf-8")
    return path


def needs(path):
    """The most that each bond needs, as {(module, braced): newtons}, hop or not, over dense instants and nine directions."""
    plan, scene = read(path)
    phases, _ = run(Crew(scene), plan["steps"], lambda *_: None)
    most = {}
    for phase in phases:
        for t in np.linspace(phase.start, phase.end, DENSE):
            crew = phase.at(t)
            for members, programme in sound.programmes(crew, phase.motions):
                forces = np.linalg.solve(programme.matrix, programme.right) * programme.force
                for bond, six in zip(programme.bonds, np.split(forces, len(programme.bonds))):
                    normal, first, second, spin, lean, tip = six
                    peel = np.hypot(lean, tip) * programme.length / bond.radius
                    slide = np.hypot(np.hypot(first, second), 1.5 * abs(spin) * programme.length / bond.radius)
                    need = (np.maximum(peel, slide / (load.SURFACE * bond.friction)) - normal).max()
                    i = members[bond.child]
                    key = crew.names[i], crew.held(i) == "braced"
                    most[key] = max(most.get(key, -math.inf), need)
    return most


def answer(path, *more):
    ran = kit.clamber("risk", path, "--json", *more)
    assert ran.returncode == 0, ran.stderr[:2000]
    said = json.loads(ran.stdout)
    jsonschema.Draft202012Validator(json.loads(kit.clamber("schema", "risk").stdout)).validate(said)
    return said


@pytest.fixture(scope="module")
def turns(tmp_path_factory):
    return arm_that_turns(tmp_path_factory.mktemp("risk"))


@pytest.mark.parametrize("cv", [0.25, 0.4])
def test_the_product_is_what_draws_give(turns, cv):
    said = answer(turns, "--hold-cv", cv, "--mass-cv", 0, "--place-mm", 0, "--place-deg", 0)
    assert said["chance"]["by"] == "product" and not said["chance"]["is_bound"]
    most = needs(turns)
    for bond in said["bonds"]:
        assert bond["needs_n"] == pytest.approx(most[bond["module"], bond["braced"]], abs=2e-3)
    rng = np.random.default_rng(11)
    kind = kit.COBBLE
    cup = kind["cup_area_m2"] * kind["cup_vacuum_pa"]
    fails = np.zeros(DRAWS, bool)
    for name in sorted({name for name, _ in most}):
        magnet = kind["magnet_force_n"] * (1 + cv * rng.standard_normal(DRAWS))
        cups = cup * (1 + cv * rng.standard_normal(DRAWS))
        for (other, braced), need in most.items():
            if other == name:
                fails |= magnet + (cups if braced else 0.0) < need
    share = fails.mean()
    assert said["chance"]["fails"] == pytest.approx(share, abs=4 * math.sqrt(share / DRAWS) + 2e-5)


def test_draws_of_masses_and_places_are_what_whole_crews_give(turns):
    """Every draw is a crew of its own, with its masses and places, loaded anew at the instants that matter."""
    said = answer(turns, "--hold-cv", 0.25, "--mass-cv", 0.1, "--place-mm", 3, "--place-deg", 0, "--draws", 50000)
    chance = said["chance"]
    assert chance["by"] == "draws" and chance["low"] <= chance["fails"] <= chance["high"]
    fixed = answer(turns, "--hold-cv", 0.25, "--mass-cv", 0, "--place-mm", 0, "--place-deg", 0)["chance"]["fails"]
    plan, scene = read(turns)
    phases, _ = run(Crew(scene), plan["steps"], lambda *_: None)
    at = sorted({bond["at_s"] for bond in said["bonds"]})
    rng, count, fails = np.random.default_rng(12), 500, 0
    kind = kit.COBBLE
    whole = kind["magnet_force_n"] + kind["cup_area_m2"] * kind["cup_vacuum_pa"]
    crews = [(phase.at(t), phase.motions) for t in at for phase in phases if phase.start <= t <= phase.end and phase.motions]
    for _ in range(count):
        masses = 1 + 0.1 * rng.standard_normal(3)
        shifts = 0.003 * rng.standard_normal((3, 3))
        hold = np.hypot(*(np.array([kind["magnet_force_n"], whole - kind["magnet_force_n"]]) * 0.25)) * rng.standard_normal(3) + whole
        broken = False
        for crew, motions in crews:
            crew = crew.copy()
            for i in (1, 2):  # each takes all that it carries with it
                crew.p[[i, *crew.standing_on(i)]] += shifts[i]
            for members, programme in sound.programmes(with_masses(crew, masses), motions):
                forces = np.linalg.solve(programme.matrix, programme.right) * programme.force
                for bond, six in zip(programme.bonds, np.split(forces, len(programme.bonds))):
                    normal, first, second, spin, lean, tip = six
                    peel = np.hypot(lean, tip) * programme.length / bond.radius
                    slide = np.hypot(np.hypot(first, second), 1.5 * abs(spin) * programme.length / bond.radius)
                    need = (np.maximum(peel, slide / (load.SURFACE * bond.friction)) - normal).max()
                    broken |= need > hold[members[bond.child]]
        fails += broken
    share = fails / count
    assert chance["fails"] == pytest.approx(share, abs=4 * math.sqrt(share / count) + 0.002)
    assert chance["fails"] > fixed
    assert answer(turns, "--hold-cv", 0.25, "--mass-cv", 0.1, "--place-mm", 3, "--place-deg", 0, "--draws", 50000) == said


def with_masses(crew, factors):
    """The crew with every mass multiplied; kinds are shared, so each module gets its own."""
    kinds = [copy(kind) for kind in crew.kinds]
    for kind, factor in zip(kinds, factors):
        object.__setattr__(kind, "mass_kg", kind.mass_kg * factor)
    crew.kinds = kinds
    return crew
