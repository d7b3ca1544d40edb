"""Waits of timed plans against networkx, and lower bounds that hold for every schedule."""

import json

import kit
import networkx
import pytest

PAUSE_S = 0.001  # between a step and one that waits for it


def graph(plan):
    """Steps as nodes; an edge weighs as much as its first step and the pause. Starts and ends join one node each."""
    found = networkx.DiGraph()
    for k, step in enumerate(plan["steps"]):
        found.add_edge("begin", k, weight=0.0)
        found.add_edge(k, "end", weight=step["duration_s"])
        for before in step["after"]:
            found.add_edge(before, k, weight=plan["steps"][before]["duration_s"] + PAUSE_S)
    return found


def test_the_makespan_is_the_longest_path(planned):
    """networkx.dag_longest_path: no step starts later than its waits ask, so the longest chain of waits is the makespan."""
    found = graph(planned[2])
    assert networkx.is_directed_acyclic_graph(found)
    longest = networkx.dag_longest_path_length(found)
    assert longest == pytest.approx(planned[2]["summary"]["makespan_s"], abs=1e-6)


def test_no_wait_is_said_twice(planned):
    """What follows from other waits is left out: `after` is its own transitive reduction."""
    waits = networkx.DiGraph((before, k) for k, step in enumerate(planned[2]["steps"]) for before in step["after"])
    assert set(networkx.transitive_reduction(waits).edges) == set(waits.edges)


def test_slack(planned):
    """A script's slack is the makespan less the longest chain through the step."""
    run = kit.clamber("script", planned[1], "--json")
    assert run.returncode == 0, run.stderr
    answer, found = json.loads(run.stdout), graph(planned[2])
    assert answer["needs_clock"] is False
    longest = networkx.dag_longest_path_length(found)
    moves = [move for script in answer["scripts"] for move in script["moves"]]
    assert len(moves) == len(planned[2]["steps"])
    for move in moves:
        step = move["step"]
        before = networkx.dag_longest_path_length(found.subgraph(networkx.ancestors(found, step) | {step}))
        after = networkx.dag_longest_path_length(found.subgraph(networkx.descendants(found, step) | {step}))
        assert move["slack_s"] == pytest.approx(max(0.0, longest - before - after), abs=1e-6)
        assert set(move["resume"]) == (networkx.ancestors(found, step) | {step}) - {"begin"}


def test_every_schedule_is_above_its_lower_bounds(planned):
    """Graham 1966: the work of one module, and all work shared by all modules. Moves here need one module each."""
    steps, makespan = planned[2]["steps"], planned[2]["summary"]["makespan_s"]
    work = {}
    for step in steps:
        work[step["module"]] = work.get(step["module"], 0.0) + step["duration_s"]
    assert makespan >= max(work.values())
    assert makespan >= sum(work.values()) / len(planned[2]["scenario"]["module"])
    assert makespan >= planned[2]["summary"]["lower_bound_s"]
