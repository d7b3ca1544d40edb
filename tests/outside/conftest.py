"""Random crews, written once and inspected once by the tool under test."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

import crews
import kit
from reference.pose import Crew
from reference.scene import Scene

SEEDS = range(240)


@pytest.fixture(scope="session")
def random_crews():
    """(tree, crew as the reference places it), one for each seed."""
    trees = [crews.random_tree(seed) for seed in SEEDS]
    return [(tree, Crew(Scene(tree))) for tree in trees]


@pytest.fixture(scope="session")
def inspected(random_crews, tmp_path_factory):
    """What the tool says about each random crew, in the same order."""
    folder = tmp_path_factory.mktemp("scenes")
    return kit.inspect([kit.write_toml(tree, folder / f"crew_{seed:03}.toml")
                        for seed, (tree, _) in zip(SEEDS, random_crews)])
