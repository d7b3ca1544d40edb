"""Plans of the tool replayed by the reference, and changed plans given to both."""

import json
import random

import kit
from mutate import mutations
from reference import replay, scene

STEPS, ASKED = 3, 2  # of each plan: steps that are changed, and changed plans that the (slow) reference is asked about


def same(a, b):
    """Two resolved scenarios say the same."""
    if isinstance(a, dict):
        return isinstance(b, dict) and a.keys() == b.keys() and all(same(a[k], b[k]) for k in a)
    if isinstance(a, list):
        return isinstance(b, list) and len(a) == len(b) and all(map(same, a, b))
    return a == b


def test_replay_finds_nothing_wrong(planned):
    """Every rule, and every figure: times and sums to 1e-6, sampled extremes to 1e-4 and never beyond the claim."""
    assert replay.replay(planned[1]) == []


def test_the_plan_is_about_this_scenario(planned):
    """The resolved scenario, every default written out."""
    source, _, plan = planned
    assert same(plan["scenario"], scene.load(source, kit.EDITION).tree)


def test_the_tool_accepts_its_own_plan(planned):
    run = kit.clamber("check", planned[1])
    assert run.returncode == 0, (run.stdout + run.stderr)[:2000]


def changed_plans(plan, folder):
    """(what was done, file) for changes to the plan and to a few of its steps."""
    assert plan["steps"], "a fixture whose plan is empty tests nothing"
    rng = random.Random(len(plan["steps"]))
    for k, (done, changed) in enumerate(mutations(plan, rng.sample(range(len(plan["steps"])), STEPS))):
        path = folder / f"{k}.json"
        path.write_text(json.dumps(changed), encoding="utf-8")
        yield done, path


def test_the_tool_refuses_changed_plans(planned, tmp_path):
    accepted = [done for done, path in changed_plans(planned[2], tmp_path) if kit.clamber("check", path).returncode == 0]
    assert not accepted, f"the tool accepts: {accepted}"


def test_the_reference_refuses_changed_plans(planned, tmp_path):
    plans = list(changed_plans(planned[2], tmp_path))
    chosen = random.Random(len(plans)).sample(plans, ASKED if len(planned[2]["steps"]) > 10 else 5 * ASKED)
    accepted = [done for done, path in chosen if not replay.refuses(path)]
    assert not accepted, f"the reference accepts: {accepted}"
