"""Whole plans replayed in a rigid-body simulation: do drives that ramp up in 0.2 s need no more than the motion factor allows?

`CLAMBER_PLANS=row,ferry,boom,twin-booms` looks at these fixtures.
"""

import os

import pytest

import kit
import moving

PLANS = os.environ.get("CLAMBER_PLANS", "row").split(",")
FACTOR_SLACK = 0.01  # of a hold


@pytest.fixture(scope="module", params=PLANS)
def plan(request, tmp_path_factory):
    path = tmp_path_factory.mktemp("moving") / "plan.json"
    run = kit.clamber("plan", kit.ROOT / "fixtures" / f"{request.param}.toml", "--rearrange", 0, "-o", path)
    assert run.returncode == 0, run.stderr[:2000]
    return path


def test_drives_need_no_more_than_the_motion_factor(plan):
    """At rest the simulated wrenches are those of statics, the crew ends where the plan says, and on the way no bond is used
    beyond 1.1 times its static share."""
    replayed = moving.Replayed(plan)
    assert replayed.most > 0.1, "hardly anything is carried: this tests nothing"
    assert replayed.rest_n < 1e-3
    assert replayed.off_m < 1e-6
    assert replayed.over < FACTOR_SLACK, replayed.worst


def test_sudden_drives_need_more(plan):
    """So the test before can fail."""
    assert moving.Replayed(plan, ramp=0.05).over > FACTOR_SLACK
