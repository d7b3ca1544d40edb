"""What several tests share: random crews with the tool's answers, and the plans of the fixtures."""

import json
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

import crews
import kit
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
    run = kit.clamber("plan", source, "-o", path, "--seed", 1)
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
