"""The Python package, against the tool and against closed forms."""

import dataclasses
import json
import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import clamber
import numpy as np
import pytest

ROOT = Path(__file__).parents[4]
QUICK = {"shortening": 0, "patience": 0}


@pytest.fixture(scope="module")
def scene():
    return clamber.Scene.read(ROOT / "fixtures/row.toml")


@pytest.fixture(scope="module")
def plan(scene):
    return scene.plan(time_s=60, **QUICK)


def exact(places):
    return np.array([p.position_m for p in places]), np.array([p.orientation_xyzw for p in places])


def test_plans_are_those_of_the_tool(plan, tmp_path):
    tool = os.environ["CLAMBER_BIN"]
    file = tmp_path / "plan.json"
    subprocess.run([tool, "plan", ROOT / "fixtures/row.toml", "--polish", "0", "--rearrange", "0", "-o", file], check=True, capture_output=True)
    assert file.read_text() == plan.to_json()
    again = clamber.Plan.read(file)
    assert again.steps == plan.steps and again.check() == ()


def test_plans_do_not_change(plan):
    with pytest.raises(dataclasses.FrozenInstanceError):
        plan.steps[0].start_s = 1.0
    with pytest.raises(AttributeError):
        plan.makespan_s = 0.0


def test_broken_plans_are_found(plan):
    broken = json.loads(plan.to_json())
    broken["steps"][0]["duration_s"] *= 2
    findings = clamber.Plan(json.dumps(broken)).check()
    assert findings and all(isinstance(finding.message, str) for finding in findings)


def test_poses_over_time(plan):
    positions, orientations = plan.poses([0.0, plan.makespan_s])
    start, _ = exact(plan.scene.start)
    assert positions.shape == (2, 3, 3) and orientations.shape == (2, 3, 4)
    np.testing.assert_allclose(positions[0], start, atol=1e-12)
    last = {step.module: step.end.position_m for step in sorted(plan.steps, key=lambda s: s.start_s + s.duration_s)}
    for module, name in enumerate(plan.scene.modules):
        if name in last:
            np.testing.assert_allclose(positions[1, module], last[name], atol=1e-9)
    np.testing.assert_allclose(np.linalg.norm(orientations, axis=2), 1.0, atol=1e-12)


def test_a_drive_is_straight_and_even(plan):
    # Progress is uniform: the middle of a straight drive on the ground is the mean of its ends.
    step = next(s for s in plan.steps if s.move == "slide" and s.curvature_per_m == 0 and s.end.on not in plan.scene.modules)
    module = plan.scene.modules.index(step.module)
    at = step.start_s + step.duration_s * np.array([0.0, 0.5, 1.0])
    (begin, middle, end), _ = (poses[:, module] for poses in plan.poses(at))
    np.testing.assert_allclose(middle, (begin + end) / 2, atol=1e-9)
    assert np.linalg.norm(end - begin) == pytest.approx(abs(step.travel_m), abs=1e-9)


def test_mistakes_are_told():
    with pytest.raises(clamber.ClamberError, match="odd.toml:1"):
        clamber.Scene("nonsense = ", "odd.toml")
    with pytest.raises(ValueError):
        clamber.Plan("{}")


def test_settling(scene):
    positions, orientations = exact(scene.start)
    positions[0, 2] += 0.4e-3
    settled = scene.settle(positions, orientations)
    assert settled.is_sound and 0.3e-3 < settled.residuals[0][0] < 0.41e-3
    with pytest.raises(clamber.ClamberError, match="off the surface"):
        scene.settle(positions + [0, 0, 0.05], orientations)
    with pytest.raises(clamber.ClamberError, match="3 modules"):
        scene.settle(positions[:1], orientations[:1])


def test_following_and_recovering(plan):
    follower = clamber.Follower(plan)
    first = follower.may_start()[0]
    follower.started(first)
    with pytest.raises(clamber.ClamberError, match="was not to"):
        follower.started(first)
    follower.share(first, 0.25)
    again = clamber.Follower(plan, follower.state)
    assert (again.state, again.may_start()) == (follower.state, follower.may_start())
    commands = follower.stalled(first, 0.5)
    assert follower.is_halted and all(command.command != "start" for command in commands)
    positions, orientations = exact(follower.expected)
    assert follower.whereabouts(positions, orientations).on_course
    off = positions.copy()
    off[0, 0] += 5e-3
    assert not follower.whereabouts(off, orientations).on_course
    recovery = follower.recover(positions + 0.2e-3, orientations)
    assert recovery.remedy == "refit" and recovery.plan.check() == ()
    assert follower.halt().findings == ()


def test_other_threads_run_and_progress_is_told():
    tower = clamber.Scene.read(ROOT / "fixtures/stand.toml")
    ticks, told = [0], []
    done = threading.Event()

    def count():
        while not done.wait(0.001):
            ticks[0] += 1

    thread = threading.Thread(target=count)
    thread.start()
    tower.plan(time_s=20, progress=lambda *words: told.append(words), **QUICK)
    done.set()
    thread.join()
    assert ticks[0] > 10 and told and told[0][0] in ("searching", "improving")


def test_exceptions_of_progress_stop_the_search():
    scene = clamber.Scene.read(ROOT / "fixtures/boom.toml")

    def stop(*_):
        raise KeyError("enough")

    begin = time.monotonic()
    with pytest.raises(KeyError):
        scene.plan(time_s=600, progress=stop)
    assert time.monotonic() - begin < 300


def test_interrupts_stop_the_search():
    scene = clamber.Scene.read(ROOT / "fixtures/boom.toml")
    timer = threading.Timer(0.3, os.kill, (os.getpid(), signal.SIGINT))
    timer.start()
    with pytest.raises(KeyboardInterrupt):
        while True:
            scene.plan(time_s=600)


def test_the_example_runs(tmp_path):
    pytest.importorskip("matplotlib")
    picture = tmp_path / "picture.png"
    example = Path(__file__).parents[1] / "examples/follow_and_draw.py"
    run = subprocess.run([sys.executable, example, ROOT / "fixtures/row.toml", picture], capture_output=True, text=True)
    assert run.returncode == 0, run.stderr
    assert "stopped half-way: refit" in run.stdout and picture.read_bytes().startswith(b"\x89PNG")
