"""Plans of the tool replayed by the reference, and changed plans given to both."""

import json

import pytest

import kit
from mutate import mutations
from reference import replay, scene

FIXTURES = ["pair", "column", "row", "stand", "regroup"]


def same(a, b):
    """Two resolved scenarios say the same."""
    if isinstance(a, dict):
        return isinstance(b, dict) and a.keys() == b.keys() and all(same(a[k], b[k]) for k in a)
    if isinstance(a, list):
        return isinstance(b, list) and len(a) == len(b) and all(map(same, a, b))
    return a == b


@pytest.fixture(scope="module", params=FIXTURES)
def planned(request, tmp_path_factory):
    """(scenario file, plan file, the plan)."""
    source = kit.ROOT / "fixtures" / f"{request.param}.toml"
    assert source.exists(), f"{source} is missing"
    path = tmp_path_factory.mktemp("plans") / f"{request.param}.json"
    run = kit.clamber("plan", source, "-o", path, "--seed", 1)
    assert run.returncode == 0, run.stderr[:2000]
    return source, path, json.loads(path.read_text(encoding="utf-8"))


def test_replay_finds_nothing_wrong(planned):
    """Every rule, and every figure: times and sums to 1e-6, sampled extremes to 1e-4 and never beyond the claim."""
    assert replay.replay(planned[1]) == []


def test_the_plan_is_about_this_scenario(planned):
    source, _, plan = planned
    resolved = scene.load(source).tree
    assert same(scene.resolve(plan["scenario"]), resolved)
    written = plan["scenario"]
    for key in ("site", "limits", "deck", "kind", "module"):
        assert same(written[key], resolved[key]), f"{key}: a default is not written out"


def test_the_tool_accepts_its_own_plan(planned):
    run = kit.clamber("check", planned[1])
    assert run.returncode == 0, (run.stdout + run.stderr)[:2000]


def test_both_refuse_a_changed_plan(planned, tmp_path):
    plan = planned[2]
    assert plan["steps"], "a fixture whose plan is empty tests nothing"
    for k, (done, changed) in enumerate(mutations(plan)):
        path = tmp_path / f"{k}.json"
        path.write_text(json.dumps(changed), encoding="utf-8")
        assert kit.clamber("check", path).returncode != 0, f"the tool accepts: {done}"
        assert replay.main([str(path)]) != 0, f"the reference accepts: {done}"
