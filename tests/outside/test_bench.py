"""Races: the tool's results read by a second reader, and its statistics against SciPy and against sums of our own.

Scores: IPC 2008 (quality) and 2018 (agile), PAR2 of the SAT competitions, shifted geometric means as in Mittelmann's benchmarks.
"""

import csv
import json
import math
import tomllib

import jsonschema
import numpy as np
import pytest
from scipy import stats

import kit
import races
import results


@pytest.fixture(scope="module")
def schemas():
    """The schemas of suites and results; both are valid."""
    out = {}
    for what in ("suite", "results"):
        out[what] = json.loads(kit.clamber("schema", what).stdout)
        jsonschema.Draft202012Validator.check_schema(out[what])
    return out


def report(path, *arguments):
    run = kit.clamber("bench", "report", path, "--json", *arguments)
    assert run.returncode == 0, run.stderr
    return json.loads(run.stdout)


# ---------------------------------------------------------------- files

SUITE = """
format = "clamber-suite/1"
name = "two quick fixtures"
scenes = [{scenes}]
seeds = [1, 2]
[limits]
time_s = 60
"""


@pytest.fixture(scope="module")
def raced(tmp_path_factory):
    """A real race over two fixtures."""
    folder = tmp_path_factory.mktemp("race")
    scenes = ", ".join(json.dumps(str(kit.ROOT / "fixtures" / f"{name}.toml")) for name in ("pair", "row"))
    (folder / "suite.toml").write_text(SUITE.format(scenes=scenes), encoding="utf-8")
    run = kit.clamber("bench", folder / "suite.toml", "-o", folder / "results.jsonl", "--plans", folder / "plans", timeout=1200)
    assert run.returncode == 0, run.stderr
    return folder


def test_the_second_reader_reads_what_the_tool_writes(raced, schemas):
    text = (raced / "results.jsonl").read_text(encoding="utf-8")
    rows = results.read(schemas["results"], text)
    validator = jsonschema.Draft202012Validator(schemas["results"])
    assert all(validator.is_valid(row) for row in rows)
    solved = [row for row in rows if row["status"] == "solved"]
    assert solved and all(row["checked"] is True and row["plan"]["moves"] > 0 for row in solved)
    figures = report(raced / "results.jsonl")
    assert figures["checked_plans"] == len(solved)
    assert {p["name"] for p in figures["planners"]} == set(results.by_planner_and_scene(rows))
    # A torn last line is no row.
    assert results.read(schemas["results"], text[:-1]) == rows[:-1]


def test_the_plans_of_a_race_pass_the_reference_replay(raced, schemas):
    """The rows say that the plans were checked; the Python reference replays one of each planner and scene."""
    from reference import replay
    rows = results.read(schemas["results"], (raced / "results.jsonl").read_text(encoding="utf-8"))
    replayed = 0
    for row in rows:
        if row["seed"] == 1 and row["status"] == "solved":
            path = raced / "plans" / f"{row['scene']}--{row['planner']}--seed1--1.json"
            plan = json.loads(path.read_text(encoding="utf-8"))
            assert plan["scenario_sha256"] == row["scene_sha256"]
            assert plan["summary"]["makespan_s"] == pytest.approx(row["plan"]["makespan_s"], rel=1e-9)
            assert replay.main([str(path)]) == 0
            replayed += 1
    assert replayed >= 2


BROKEN_ROWS = {
    "no planner": lambda row: {k: v for k, v in row.items() if k != "planner"},
    "an unknown field": lambda row: row | {"colour": "red"},
    "another format": lambda row: row | {"format": "clamber-result/2"},
    "a status there is not": lambda row: row | {"status": "perhaps"},
    "a seed in words": lambda row: row | {"seed": "one"},
    "half a repeat": lambda row: row | {"repeat": 0.5},
    "moves in words": lambda row: row | {"plan": row["plan"] | {"moves": "many"}},
    "an unknown field of the plan": lambda row: row | {"plan": row["plan"] | {"beauty": 1}},
    "solved and not checked": lambda row: {k: v for k, v in row.items() if k != "checked"},
    "solved by a plan that failed": lambda row: row | {"checked": False},
    "solved without a plan": lambda row: {k: v for k, v in row.items() if k != "plan"},
    "work without a time": lambda row: row | {"work": {k: v for k, v in row["work"].items() if k != "time_s"}},
}


@pytest.mark.parametrize("how", BROKEN_ROWS)
def test_a_broken_row_is_read_by_nobody(how, schemas, tmp_path):
    row = BROKEN_ROWS[how](races.row("alder", "culvert", 1, time_s=1.0, makespan_s=30.0))
    assert not jsonschema.Draft202012Validator(schemas["results"]).is_valid(row)
    with pytest.raises(ValueError, match="line 1"):
        results.read(schemas["results"], json.dumps(row) + "\n")
    run = kit.clamber("bench", "report", races.write([row], tmp_path / "broken.jsonl"))
    assert run.returncode == 2 and "broken.jsonl, line 1: " in run.stderr


def test_the_example_suite_is_valid(schemas):
    suite = tomllib.loads((kit.ROOT / "benches" / "suites" / "fixtures.toml").read_text(encoding="utf-8"))
    assert list(results.misfits(schemas["suite"], suite, "suite")) == []
    assert jsonschema.Draft202012Validator(schemas["suite"]).is_valid(suite)


# ---------------------------------------------------------------- statistics

@pytest.fixture(scope="module", params=[1, 2])
def made_up(request, tmp_path_factory):
    """(rows by planner and scene, what the report makes of them), with some unsolved runs."""
    rows = races.race(scenes=10, seeds=4, draw=request.param)
    rows = [races.row(r["planner"], r["scene"], r["seed"], status="crashed", signal=11)
            if (r["planner"], r["seed"]) == ("birch", 2) and r["scene"] < "culvert-03" else r for r in rows]
    path = races.write(rows, tmp_path_factory.mktemp("race") / "results.jsonl")
    return results.by_planner_and_scene(rows), report(path, "--resamples", 100_000)


def limited(row):
    time_s = results.solved_s(row)
    return races.LIMIT_S if time_s is None else time_s


def agile(time_s):
    if time_s is None or time_s >= races.LIMIT_S:
        return 0.0
    return 1.0 if time_s <= 1 else 1 - math.log(time_s) / math.log(races.LIMIT_S)


def by_scene(scenes, of):
    return np.array([np.mean([of(row) for row in scenes[name]]) for name in sorted(scenes)])


def test_scores_of_planners(made_up):
    raced, figures = made_up
    for planner in figures["planners"]:
        scenes = raced[planner["name"]]
        runs = [row for rows in scenes.values() for row in rows]
        assert planner["runs"] == len(runs)
        assert planner["endings"]["solved"] == sum(row["status"] == "solved" for row in runs)
        times = [results.solved_s(row) for row in runs]
        assert planner["par2_s"]["value"] == pytest.approx(np.mean([2 * races.LIMIT_S if t is None else t for t in times]), rel=1e-12)
        assert planner["time_s"]["value"] == pytest.approx(stats.gmean([limited(row) + 1 for row in runs]) - 1, rel=1e-12)
        assert planner["agile"] == pytest.approx(by_scene(scenes, lambda row: agile(results.solved_s(row))).sum(), rel=1e-12)
        for figure, field in (("makespan", "makespan_s"), ("moves", "moves"), ("energy", "energy_j")):
            best = {name: min(row["plan"][field] for other in raced.values() for row in other[name] if "plan" in row) for name in scenes}
            score = by_scene(scenes, lambda row: best[row["scene"]] / row["plan"][field] if "plan" in row else 0.0).sum()
            assert planner["quality"][figure] == pytest.approx(score, rel=1e-12)


def test_means_over_plans(made_up):
    raced, figures = made_up
    keys = [{(row["scene"], row["seed"]) for rows in scenes.values() for row in rows if "plan" in row} for scenes in raced.values()]
    common = set.intersection(*keys)
    for planner in figures["planners"]:
        plans = [row["plan"] for rows in raced[planner["name"]].values() for row in rows if (row["scene"], row["seed"]) in common]
        means = planner["plans"]
        assert means["runs"] == len(common) > 0
        assert means["makespan_s"] == pytest.approx(stats.gmean([plan["makespan_s"] for plan in plans]), rel=1e-8)
        assert means["moves"] == pytest.approx(stats.gmean([plan["moves"] for plan in plans]), rel=1e-8)
        assert means["over_bound"] == pytest.approx(stats.gmean([plan["makespan_s"] / 4.0 for plan in plans]), rel=1e-8)
        assert means["margin"] == pytest.approx(0.25)


def by_hand(raced, first, second, measure):
    """Per scene, first minus second, of logarithms for all but the share solved."""
    fields = {"makespan": "makespan_s", "moves": "moves", "energy": "energy_j"}
    out = []
    for name in sorted(raced[first]):
        pairs = list(zip(raced[first][name], raced[second][name]))
        if measure == "solved":
            out.append(np.mean([(a["status"] == "solved") - (b["status"] == "solved") for a, b in pairs]))
        elif measure == "time":
            out.append(np.mean([math.log((limited(a) + 1) / (limited(b) + 1)) for a, b in pairs]))
        else:
            logs = [math.log(a["plan"][fields[measure]] / b["plan"][fields[measure]]) for a, b in pairs if "plan" in a and "plan" in b]
            out += [np.mean(logs)] if logs else []
    return np.array(out)


def test_differences_against_scipy(made_up):
    raced, figures = made_up
    tested = [d for d in figures["differences"] if np.abs(d["by_scene"]).max() > 1e-12]
    assert len(figures["differences"]) == 15 and len(tested) >= 12
    for difference in tested:
        d = by_hand(raced, difference["first"], difference["second"], difference["measure"])
        assert difference["by_scene"] == pytest.approx(d, rel=1e-9, abs=1e-12)
        exact = stats.permutation_test((d,), np.sum, permutation_type="samples", n_resamples=np.inf, alternative="two-sided")
        assert difference["p"] == pytest.approx(exact.pvalue, abs=1e-12), difference
    # Holm (1979): the k-th smallest times (m - k + 1), none smaller than the one before.
    order = np.argsort([d["p"] for d in tested], kind="stable")
    raw = np.array([tested[i]["p"] for i in order]) * np.arange(len(tested), 0, -1)
    adjusted = np.minimum(np.maximum.accumulate(raw), 1.0)
    assert [tested[i]["adjusted_p"] for i in order] == pytest.approx(adjusted, abs=1e-12)
    for difference in tested:
        assert (difference["verdict"] == "real") == (difference["adjusted_p"] < 0.05)
    # What was put into the made-up race.
    verdict = {(d["first"], d["second"], d["measure"]): d["verdict"] for d in figures["differences"]}
    assert verdict["alder", "cedar", "time"] == verdict["alder", "cedar", "makespan"] == "real"
    assert verdict["birch", "cedar", "time"] != "real"


def test_intervals_against_scipy(made_up):
    """Bias-corrected and accelerated, 100,000 resamples in both; they differ by chance, so by a few per cent of the width."""
    raced, figures = made_up
    compared = 0
    for difference in figures["differences"]:
        d = by_hand(raced, difference["first"], difference["second"], difference["measure"])
        # Where few values differ at all, the corrections rest on nothing: only the rest is compared.
        if len(set(np.round(d, 12))) < 5:
            continue
        theirs = stats.bootstrap((d,), np.mean, method="BCa", n_resamples=100_000, confidence_level=0.95, rng=np.random.default_rng(5))
        low, high = theirs.confidence_interval
        interval = difference["estimate"]["interval"]
        ours = [interval["low"], interval["high"]]
        if difference["measure"] != "solved":
            ours = np.log(ours)
        assert ours == pytest.approx([low, high], abs=0.02 * (high - low)), difference
        compared += 1
    assert compared >= 12


def test_intervals_of_times_against_scipy(made_up):
    """One scene that takes much longer than the others rules these means: two seeds of SciPy differ by up to 3 % of the width."""
    raced, figures = made_up
    for planner in figures["planners"]:
        par2 = by_scene(raced[planner["name"]], lambda row: 2 * races.LIMIT_S if results.solved_s(row) is None else results.solved_s(row))
        theirs = stats.bootstrap((par2,), np.mean, method="BCa", n_resamples=100_000, rng=np.random.default_rng(5)).confidence_interval
        interval = planner["par2_s"]["interval"]
        assert [interval["low"], interval["high"]] == pytest.approx(list(theirs), abs=0.05 * (theirs.high - theirs.low))


def test_scatter_from_run_to_run_against_scipy(made_up):
    raced, figures = made_up
    compared = 0
    for of in figures["scenes"]:
        if not of["behind"] or of["behind"].get("p") is None:
            continue
        quickest = next(o["planner"] for o in figures["scenes"] if o["scene"] == of["scene"] and o["behind"] and o["behind"]["p"] is None)
        logs = [[math.log(results.solved_s(row)) for row in raced[name][of["scene"]]] for name in (of["planner"], quickest)]
        exact = stats.permutation_test(logs, lambda a, b: np.mean(a) - np.mean(b), permutation_type="independent", n_resamples=np.inf)
        assert of["behind"]["p"] == pytest.approx(exact.pvalue, abs=1e-12)
        compared += 1
    assert compared >= 10


def test_the_table_of_runs_has_every_row(made_up, tmp_path):
    raced, _ = made_up
    rows = [row for scenes in raced.values() for rows in scenes.values() for row in rows]
    path = races.write(rows, tmp_path / "results.jsonl")
    assert kit.clamber("bench", "report", path, "-o", tmp_path / "report").returncode == 0
    with open(tmp_path / "report" / "runs.csv", encoding="utf-8", newline="") as file:
        table = {(line["scene"], line["planner"], int(line["seed"])): line for line in csv.DictReader(file)}
    assert len(table) == len(rows)
    for row in rows:
        line = table[row["scene"], row["planner"], row["seed"]]
        assert line["status"] == row["status"].replace("_", " ")
        if "plan" in row:
            assert float(line["makespan_s"]) == row["plan"]["makespan_s"]
