"""What several tests share: random crews with the tool's answers, and the plans of the fixtures."""

import copy
import json
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

import crews
import kit
import made
import test_random_plans
from reference.pose import Crew
from reference.scene import Scene

SEEDS = range(240)
FIXTURES = ["pair", "column", "row", "stand", "regroup"]


@pytest.fixture(scope="session")
def random_crews():
    """(tree, crew as the reference places it), one for each seed."""
    trees = [crews.random_tree(seed) for seed in SEEDS]
    return [(tree, Crew(Scene(tree, kit.EDITION))) for tree in trees]


@pytest.fixture(scope="session")
def inspected(random_crews, tmp_path_factory):
    """What the tool says about each random crew, in the same order."""
    folder = tmp_path_factory.mktemp("scenes")
    return kit.inspect([kit.write_toml(tree, folder / f"crew_{seed:03}.toml")
                        for seed, (tree, _) in zip(SEEDS, random_crews)])


@pytest.fixture(scope="session", params=FIXTURES)
def planned(request, tmp_path_factory):
    """(scenario file, plan file, the plan)."""
    source = kit.ROOT / "fixtures" / f"{request.param}.toml"
    assert source.exists(), f"{source} is missing"
    path = tmp_path_factory.mktemp("plans") / f"{request.param}.json"
    run = kit.clamber("plan", source, "-o", path, "--seed", 1, "--rearrange", 20)
    assert run.returncode == 0, run.stderr[:2000]
    return source, path, json.loads(path.read_text(encoding="utf-8"))


def pytest_collection_modifyitems(items):
    """All tests of one plan, of the random crews and of the race go to one worker each, so that those are made once."""
    for item in items:
        planned = item.callspec.params.get("planned") if hasattr(item, "callspec") else None
        shared = planned or next((name for name in ("random_crews", "raced") if name in item.fixturenames), None)
        if shared:
            item.add_marker(pytest.mark.xdist_group(shared))


def pytest_terminal_summary(terminalreporter):
    """What tests have counted (`record_property`)."""
    for reports in terminalreporter.stats.values():
        for report in reports:
            if getattr(report, "when", None) == "call":
                for name, value in report.user_properties:
                    terminalreporter.write_line(f"{name}: {value}")


@pytest.fixture(autouse=True)
def told_alike(request, monkeypatch, tmp_path):
    """The tool finds the same rules broken by every plan that a test of the second edition makes by hand.

    It takes bodies that lie partly under the own ground whole.
    """
    plans = []
    partly_hidden = request.function.__name__ in ("test_what_lies_under_the_own_ground_is_no_body", "test_a_cap_of_a_stone",
                                                  "test_a_stone_sunk_in_the_own_ground_is_no_body")
    if request.module.__name__.startswith("test_second_") and not partly_hidden:
        make = made.Made.__init__

        def noting(self, *arguments, **more):
            make(self, *arguments, **more)
            plans.append((copy.deepcopy(self.plan), self.broken))

        monkeypatch.setattr(made.Made, "__init__", noting)
    yield
    wrong = [line for k, plan in enumerate(plans) for line in told_otherwise(*plan, tmp_path / f"made_{k}.json")]
    assert not wrong, "\n".join(wrong)


def told_otherwise(plan, broken, path):
    """How the tool's account of the rules that a plan breaks differs from the reference's."""
    words = test_random_plans.SAME | {"cross": "move", "stride": "move", "lost": "move"}
    broken = {words.get(rule, rule) for rule in broken} - {"goal"}
    tree = plan | {"planner": {"name": "made", "seed": 1, "version": "0"}}
    path.write_text(json.dumps(tree), encoding="utf-8")
    run = kit.clamber("check", path, "--json")
    if run.returncode not in (0, 1):
        return [f"{path}: {run.stderr[:2000]}"]
    rules = {finding["rule"] for finding in json.loads(run.stdout)["findings"]} - {"figure", "goal"}
    if broken & test_random_plans.UNDEFINED:
        return [] if rules & test_random_plans.UNDEFINED else [f"{path}: {broken} against {rules}"]
    return [] if rules == broken else [f"{path}: the reference {sorted(broken)}, the tool {sorted(rules)}"]
