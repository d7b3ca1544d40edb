"""Scene, plan and kinds files against the tool's own schemas, by the jsonschema library; the digest by RFC 8785."""

import json
import tomllib

import jsonschema
import pytest

import kit
from conftest import FIXTURES
from mutate import changed, without
from reference import canonical


@pytest.fixture(scope="module")
def validators():
    """A validator for scenes, one for plans and one for kinds; the schemas themselves are valid."""
    out = {}
    for what in ("scenario", "plan", "kinds"):
        run = kit.clamber("schema", what)
        assert run.returncode == 0, run.stderr
        schema = json.loads(run.stdout)
        jsonschema.Draft202012Validator.check_schema(schema)
        out[what] = jsonschema.Draft202012Validator(schema)
    return out


def scene_of(name):
    path = kit.ROOT / "fixtures" / f"{name}.toml"
    assert path.exists(), f"{path} is missing"
    return tomllib.loads(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", FIXTURES)
def test_a_fixture_is_valid(name, validators):
    assert [e.message for e in validators["scenario"].iter_errors(scene_of(name))] == []


def test_a_plan_is_valid_and_so_is_its_scenario(planned, validators):
    _, _, plan = planned
    assert [e.message for e in validators["plan"].iter_errors(plan)] == []
    assert [e.message for e in validators["scenario"].iter_errors(plan["scenario"])] == []


def test_the_digest_of_a_plan(planned):
    source, _, plan = planned
    assert plan["scenario_sha256"] == canonical.sha256(plan["scenario"])
    answer, = kit.inspect([source])
    assert answer["scenario_sha256"] == plan["scenario_sha256"]


def test_a_kind_may_be_taken_from_a_file(validators, tmp_path):
    scene = scene_of("pair")
    kinds = {"format": "clamber-kinds/1", "kind": scene["kind"]}
    taken = scene | {"kind": {"cobble": {"from": "crew.json", "mass_kg": 0.52}}}
    whole = scene | {"kind": {"cobble": scene["kind"]["cobble"] | {"mass_kg": 0.52}}}
    assert validators["kinds"].is_valid(kinds) and validators["scenario"].is_valid(taken)
    assert not validators["kinds"].is_valid(changed(kinds, "kind", "cobble", "from", to="crew.json"))
    assert not validators["scenario"].is_valid(without(taken, "kind", "cobble", "from"))
    for name, tree in (("crew", kinds), ("taken", taken), ("whole", whole)):
        (tmp_path / f"{name}.json").write_text(json.dumps(tree), encoding="utf-8")
    first, second = kit.inspect([tmp_path / "taken.json", tmp_path / "whole.json"])
    assert first["scenario_sha256"] == second["scenario_sha256"]


BROKEN_SCENES = {
    "another format": lambda s: s | {"format": "clamber-scenario/2"},
    "an unknown field": lambda s: s | {"colour": "red"},
    "an unknown field of a module": lambda s: changed(s, "module", 0, "colour", to="red"),
    "no decks": lambda s: without(s, "deck"),
    "a module without a kind": lambda s: without(s, "module", 0, "kind"),
    "a number as a word": lambda s: changed(s, "kind", "cobble", "mass_kg", to="0.5"),
    "a mass below nothing": lambda s: changed(s, "kind", "cobble", "mass_kg", to=-0.5),
    "a hold there is not": lambda s: changed(s, "module", 0, "hold", to="glued"),
    "a place with three numbers": lambda s: changed(s, "module", 0, "at_m", to=[0, 0, 0]),
    "an outline of two corners": lambda s: changed(s, "deck", 0, "outline_m", to=[[0, 0], [1, 0]]),
}
BROKEN_PLANS = {
    "another format": lambda p: p | {"format": "clamber-plan/3"},
    "no digest": lambda p: without(p, "scenario_sha256"),
    "a status there is not": lambda p: p | {"status": "perhaps"},
    "a move there is not": lambda p: changed(p, "steps", 0, "move", to="jump"),
    "a parameter of another move": lambda p: changed(p, "steps", 0, "to", to="m1"),
    "a step without its end": lambda p: without(p, "steps", 0, "end"),
    "an orientation of three numbers": lambda p: changed(p, "steps", 0, "end", "orientation_xyzw", to=[0, 0, 1]),
    "a step waits for half a step": lambda p: changed(p, "steps", 0, "after", to=[0.5]),
    "moves counted in words": lambda p: changed(p, "summary", "moves", to="seven"),
}


@pytest.mark.parametrize("how", BROKEN_SCENES)
def test_a_broken_scene_is_not_valid_and_not_read(how, validators, tmp_path):
    broken = BROKEN_SCENES[how](scene_of("pair"))
    assert not validators["scenario"].is_valid(broken)
    path = tmp_path / "broken.json"
    path.write_text(json.dumps(broken), encoding="utf-8")
    assert kit.clamber("inspect", path).returncode == 2


@pytest.mark.parametrize("planned", ["pair"], indirect=True)
@pytest.mark.parametrize("how", BROKEN_PLANS)
def test_a_broken_plan_is_not_valid_and_not_read(how, planned, validators, tmp_path):
    broken = BROKEN_PLANS[how](planned[2])
    assert not validators["plan"].is_valid(broken)
    path = tmp_path / "broken.json"
    path.write_text(json.dumps(broken), encoding="utf-8")
    assert kit.clamber("check", path).returncode == 2


@pytest.mark.parametrize("value, text", [
    (0.0, "0"), (-0.0, "0"), (5e-324, "5e-324"), (-1.7976931348623157e308, "-1.7976931348623157e+308"),
    (9007199254740992.0, "9007199254740992"), (295147905179352830000.0, "295147905179352830000"),
    (9.999999999999997e22, "9.999999999999997e+22"), (1e23, "1e+23"), (1e21, "1e+21"),
    (999999999999999900000.0, "999999999999999900000"),
    (333333333.3333332, "333333333.3333332"), (0.000001, "0.000001"), (1e-7, "1e-7")])
def test_numbers_of_the_canonical_form(value, text):
    """The samples of RFC 8785, appendix B, and the two switches to exponents."""
    assert canonical.number(value) == text
