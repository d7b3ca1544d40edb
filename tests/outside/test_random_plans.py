"""`clamber check` against the reference on random plans: which rules are broken, and the figures of sound ones."""

import collections
import json

import pytest

import kit
from random_plans import random_plan
from reference.load import Undecided
from reference.replay import SAMPLED

CHUNK, SEEDS = 16, 64
SAME = {"hop": "move", "hold": "move", "stuck": "move", "schedule": "one move at a time"}  # the tool's words
UNDEFINED = {"move", "one move at a time"}  # what happens after an impossible move is nobody's business


def figures_differ(claim, found, what):
    """Whether the tool's extreme lies off the reference's sampled one, or on the wrong side of it."""
    low, high = (1e-6, SAMPLED) if what == "utilisation" else (SAMPLED, 1e-6)
    return not claim - low <= found <= claim + high


def differences(seed, folder):
    """(rules broken by the reference's account, how the tool's account differs)."""
    plan, broken = random_plan(seed)
    broken = {SAME.get(rule, rule) for rule in broken}
    path = folder / f"{seed}.json"
    path.write_text(json.dumps(plan), encoding="utf-8")
    run = kit.clamber("check", path, "--json")
    assert run.returncode in (0, 1), f"seed {seed}: {run.stderr[:2000]}"
    findings = json.loads(run.stdout)["findings"]
    rules = {finding["rule"] for finding in findings} - {"figure"}
    if broken & UNDEFINED:
        return broken, [] if rules & UNDEFINED else [f"seed {seed}: {broken} against {rules}"]
    wrong = [] if rules == broken else [f"seed {seed}: {sorted(broken)} against {sorted(rules)}"]
    for finding in findings if not broken else []:
        what = next((w for w in ("utilisation", "gap_m") if f"claims {w} " in finding["message"]), None)
        if what is None or "value" not in finding or figures_differ(finding["value"], finding["limit"], what):
            wrong.append(f"seed {seed}: {finding['message']}")
    return broken, wrong


@pytest.mark.parametrize("first", range(0, SEEDS, CHUNK))
def test_rules_and_figures(first, tmp_path, record_property):
    wrong, outcomes = [], collections.Counter()
    for seed in range(first, first + CHUNK):
        try:
            broken, differs = differences(seed, tmp_path)
        except Undecided:
            outcomes["undecided"] += 1
            continue
        outcomes[", ".join(sorted(broken)) or "sound"] += 1
        wrong += differs
    record_property(f"random plans {first} to {first + CHUNK - 1}", dict(outcomes))
    assert not wrong, "\n".join(wrong)
    assert outcomes["sound"] >= 2 and outcomes["undecided"] <= 2
    assert sum(outcomes.values()) - outcomes["sound"] >= 4
