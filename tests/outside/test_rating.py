"""`clamber rate`: every figure of a rating, worked out again from the table of pulls with SciPy and the formulas of docs/rating.md."""

import csv
import json
import math
import random
import subprocess
import sys
import tomllib

import jsonschema
import numpy as np
import pytest
from scipy import optimize, stats
from scipy.special import log_ndtr

import kit

PULLS = kit.ROOT / "fixtures" / "pulls"
SLIP = 0.93
HEADER = "pull,module,kind,hold,surface,angle_deg,offset_m,temperature_c,force_n,result,batch"


def rated(path, *options, code=0):
    run = kit.clamber("rate", path, "--json", *options)
    assert run.returncode == code, run.stderr[:2000] + run.stdout[:500]
    return json.loads(run.stdout)


def written(folder, pulls, rig_limit=None):
    """A table of (module, hold, surface, angle, offset, temperature, force, result, batch)."""
    lines = ["# clamber-pulls/1", *([f"# rig_limit_n = {rig_limit}"] if rig_limit else []), HEADER]
    for number, (module, hold, surface, angle, offset, temperature, force, result, batch) in enumerate(pulls, 1):
        lines.append(f"{number},{module},cobble,{hold},{surface},{angle},{offset},{temperature},{force!r},{result},{batch}")
    path = folder / "pulls.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def axial(forces, modules=None, held=()):
    modules = modules or [f"m{index}" for index in range(len(forces))]
    return [(module, "rolling", "shell", 0, 0, "", force, "held" if index in held else "came_off", "A")
            for index, (module, force) in enumerate(zip(modules, forces))]


def factor(n, share=0.95, confidence=0.95):
    """ISO 16269-6: the quantile of the noncentral t distribution over the root of n."""
    return stats.nct.ppf(confidence, n - 1, stats.norm.ppf(share) * math.sqrt(n)) / math.sqrt(n)


@pytest.mark.parametrize("n", [2, 5, 10, 20, 50])
@pytest.mark.parametrize("share, confidence", [(0.95, 0.95), (0.9, 0.99), (0.99, 0.9)])
def test_limits_of_one_pull_each(tmp_path, n, share, confidence):
    forces = np.round(np.random.default_rng(n).normal(84, 8, n), 3).tolist()
    answer = rated(written(tmp_path, axial(forces)), "--share", 100 * share, "--confidence", 100 * confidence, "--method",
                   "log-normal", code=1)
    series = answer["series"][0]
    k = factor(n, share, confidence)
    assert series["normal"]["factor"] == pytest.approx(k, rel=1e-8)
    assert series["normal"]["limit_n"] == pytest.approx(np.mean(forces) - k * np.std(forces, ddof=1), rel=1e-9)
    logs = np.log(forces)
    assert series["log_normal"]["limit_n"] == pytest.approx(math.exp(logs.mean() - k * logs.std(ddof=1)), rel=1e-9)
    if n > 2:
        assert series["skewness"] == pytest.approx(stats.skew(forces), rel=1e-9)
    # Wilks: how sure the lowest is, and from where on it is sure enough.
    assert series["order"]["least_confidence"] == pytest.approx(1 - share**n, rel=1e-10)
    assert series["order"]["modules_needed"] == math.ceil(math.log(1 - confidence) / math.log(share))


def test_order_statistics(tmp_path):
    for n, rank in [(59, 1), (92, 1), (93, 2), (130, 3)]:
        forces = np.round(np.random.default_rng(n).weibull(6, n) * 90, 3).tolist()
        order = rated(written(tmp_path, axial(forces)), code=1)["series"][0]["order"]
        reached = [r for r in range(1, n) if stats.binom.sf(r - 1, n, 0.05) >= 0.95]
        assert order["rank"] == reached[-1] == rank
        assert order["limit_n"] == sorted(forces)[rank - 1]
        # Clopper & Pearson: the lowest is a limit of the share whose upper bound, with no failure in n, it is.
        bound = stats.binomtest(0, n).proportion_ci(0.90, "exact").high
        assert stats.binom.sf(0, n, bound) == pytest.approx(0.95, rel=1e-9)


def test_several_pulls_of_a_module(tmp_path):
    """One-way analysis of variance with unequal numbers: s² = variance of the means + (1 − mean 1/r) · variance within."""
    source = np.random.default_rng(4)
    groups = [source.normal(source.normal(50, 2), 1, r).round(3) for r in (1, 3, 4, 2, 5, 3)]
    modules = [f"m{index}" for index, group in enumerate(groups) for _ in group]
    answer = rated(written(tmp_path, axial(np.concatenate(groups).tolist(), modules)), code=1)
    means = [group.mean() for group in groups]
    within = sum(((group - group.mean()) ** 2).sum() for group in groups) / sum(len(group) - 1 for group in groups)
    sd = math.sqrt(np.var(means, ddof=1) + (1 - np.mean([1 / len(group) for group in groups])) * within)
    normal = answer["series"][0]["normal"]
    assert normal["how"] == "several_pulls"
    assert normal["sd"] == pytest.approx(sd, rel=1e-12)
    assert normal["limit_n"] == pytest.approx(np.mean(means) - factor(6) * sd, rel=1e-9)
    # Balanced, the part between modules is that of SciPy's F test.
    balanced = [source.normal(source.normal(50, 2), 1, 3).round(3) for _ in range(6)]
    modules = [f"m{index}" for index in range(6) for _ in range(3)]
    normal = rated(written(tmp_path, axial(np.concatenate(balanced).tolist(), modules)), code=1)["series"][0]["normal"]
    within = np.mean([np.var(group, ddof=1) for group in balanced])
    between = stats.f_oneway(*balanced).statistic * within / 3
    assert normal["sd"] ** 2 == pytest.approx(between + 2 / 3 * within, rel=1e-10)


def fitted(known, exceeded):
    """The most likely normal distribution, by SciPy: its own fit of censored data, and a finer minimum of the same likelihood."""
    data = stats.CensoredData(uncensored=known, right=exceeded)
    rough = stats.norm.fit(data)

    def cost(at):
        mean, sd = at[0], math.exp(at[1])
        return -stats.norm.logpdf(known, mean, sd).sum() - stats.norm.logsf(exceeded, mean, sd).sum()

    fine = optimize.minimize(cost, [rough[0], math.log(rough[1])], method="Nelder-Mead",
                             options={"xatol": 1e-10, "fatol": 1e-13, "maxiter": 4000}).x
    assert fine[0] == pytest.approx(rough[0], abs=1e-2 * rough[1])
    return fine[0], math.exp(fine[1])


def simulated_factor(n, known, draws=20000):
    """The 95 % quantile of (mean − quantile)/sd over fits of normal samples of which the `known` smallest are known; Newton's method, vectorised."""
    z = np.sort(np.random.default_rng(7).standard_normal((draws, n)), axis=1)
    cut = z[:, known - 1:known].repeat(n, axis=1)
    values, seen = np.minimum(z, cut), np.arange(n) < known
    inverse = 1 / values[:, :known].std(axis=1)
    centre = values[:, :known].mean(axis=1) * inverse
    for _ in range(40):
        u = inverse[:, None] * values - centre[:, None]
        hazard = np.exp(-0.5 * u * u - 0.5 * math.log(2 * math.pi) - log_ndtr(-u))
        pull, bend = np.where(seen, u, hazard), np.where(seen, 1.0, hazard * (hazard - u))
        g = pull.sum(1), known / inverse - (pull * values).sum(1)
        a, b = bend.sum(1), -(bend * values).sum(1)
        d = (bend * values * values).sum(1) + known / inverse**2
        step = (d * g[0] - b * g[1]) / (a * d - b * b), (a * g[1] - b * g[0]) / (a * d - b * b)
        damped = np.minimum(1.0, 0.5 * inverse / np.maximum(np.abs(step[1]), 1e-300))
        centre, inverse = centre + damped * step[0], inverse + damped * step[1]
    return float(np.quantile(centre + stats.norm.ppf(0.95) * inverse, 0.95))


@pytest.mark.parametrize("n, known", [(8, 5), (10, 7), (20, 16)])
def test_pulls_that_held(tmp_path, n, known):
    forces = sorted(np.random.default_rng(n).normal(100, 6, n).round(2).tolist())
    limit = round(forces[known - 1] + 0.3, 2)
    forces = [min(force, limit) for force in forces]
    answer = rated(written(tmp_path, axial(forces, held=range(known, n)), rig_limit=limit), code=1)
    normal = answer["series"][0]["normal"]
    mean, sd = fitted(forces[:known], forces[known:])
    assert normal["how"] == "some_held"
    assert normal["mean"] == pytest.approx(mean, abs=1e-4)
    assert normal["sd"] == pytest.approx(sd, abs=1e-4)
    # 20,000 draws on both sides, the tool's three standard errors on the safe side.
    assert -0.02 < normal["factor"] / simulated_factor(n, known) - 1 < 0.06


def test_the_published_censored_sample(tmp_path):
    """98.2 … 110.8 and two above 112: μ 107.10486, σ 5.37990 by maximum likelihood (type I censoring)."""
    forces = [98.2, 101.5, 103.0, 104.4, 106.1, 107.9, 109.3, 110.8, 112.0, 112.0]
    normal = rated(written(tmp_path, axial(forces, held=(8, 9)), rig_limit=112), code=1)["series"][0]["normal"]
    assert normal["mean"] == pytest.approx(107.10486, abs=1e-4)
    assert normal["sd"] == pytest.approx(5.37990, abs=1e-4)


def test_groups_outliers_and_drifts(tmp_path):
    source = random.Random(11)
    pulls = []
    for index in range(12):
        for surface, centre in [("dry", 31.0), ("wet", 29.5)]:
            temperature = round(source.uniform(5, 35), 1)
            force = round(centre * (1 - 0.004 * (temperature - 20)) + source.gauss(0, 0.4), 3)
            force = 24.0 if (surface, index) == ("dry", 5) else force
            pulls.append((f"m{index}", "rolling", surface, 0, 0, temperature, force, "came_off", "AB"[index % 2]))
    # Were they made module by module, time would follow from module and surface.
    later = pulls[2:]
    source.shuffle(later)
    pulls[2:] = later
    answer = rated(written(tmp_path, pulls), "--compare", "batch", code=1)
    of = {surface: [pull[6] for pull in pulls if pull[2] == surface] for surface in ("dry", "wet")}

    # Welch: surfaces, and batches within a surface.
    assert len(answer["comparisons"]) == 3
    for found in answer["comparisons"]:
        if found["of"] == "surface":
            groups = [of[found["first"]], of[found["second"]]]
        else:
            surface = found["among"].split(", ")[-1]
            groups = [[p[6] for p in pulls if p[2] == surface and p[8] == found[key]] for key in ("first", "second")]
        test = stats.ttest_ind(groups[1], groups[0], equal_var=False)
        interval = test.confidence_interval()
        for key, value in [("t", test.statistic), ("freedom", test.df), ("p", test.pvalue), ("low", interval.low), ("high", interval.high)]:
            assert found["welch"][key] == pytest.approx(value, rel=1e-8), (found["of"], key)

    # Grubbs, one-sided, 5 %: flags the one module that was spoilt, and drops nothing.
    for series in answer["series"]:
        values = np.array(of[series["surface"]])
        t = stats.t.ppf(1 - 0.05 / 12, 10)
        critical = 11 / math.sqrt(12) * math.sqrt(t * t / (10 + t * t))
        is_out = (values.mean() - values.min()) / values.std(ddof=1) > critical
        assert series["flagged"] == (["m5"] if is_out else [])
        assert series["pulls"] == 12
    assert [series["flagged"] for series in answer["series"]] == [["m5"], []]

    # Temperature and time: least squares with a mean for each series and, as every module was pulled twice, for each module.
    y = np.array([pull[6] / np.mean(of[pull[2]]) for pull in pulls])
    means = [[pull[2] == surface for surface in ("dry", "wet")] + [pull[0] == f"m{index}" for index in range(1, 12)] for pull in pulls]
    freedom = 24 - 2 - 11 - 1
    for found, column in [(answer["temperature"], [pull[5] for pull in pulls]), (answer["time"], np.arange(24) / 23)]:
        design = np.column_stack([column, np.array(means, dtype=float)])
        slope, rest, *_ = np.linalg.lstsq(design, y, rcond=None)
        error = math.sqrt(rest[0] / freedom * np.linalg.inv(design.T @ design)[0, 0])
        reach = stats.t.ppf(0.975, freedom) * error
        assert found["change"] == pytest.approx(slope[0], rel=1e-7)
        assert found["low"] == pytest.approx(slope[0] - reach, rel=1e-6, abs=1e-9)
        assert found["high"] == pytest.approx(slope[0] + reach, rel=1e-6, abs=1e-9)


def floor_3(value):
    places = 2 - math.floor(math.log10(value))
    return math.floor(value * 10**places * (1 + 1e-15)) / 10**places


FIXTURES = {"cobble": "pair", "anchor": "outfall", "barnacle": "gate-sill", "boulder": "sump", "kerber": "rough/kerbs", "limpet": "headwall-low",
            "pebble": "outfall", "shingle": "cairn"}


def test_every_kind_of_the_fixtures_has_pulls():
    kinds = {kind for path in (kit.ROOT / "fixtures").rglob("*.toml") for kind in tomllib.loads(path.read_text(encoding="utf-8")).get("kind", {})}
    assert kinds == set(FIXTURES) == {path.stem for path in PULLS.glob("*.csv")}


@pytest.mark.parametrize("kind", FIXTURES)
def test_the_rated_kind_of_the_fixtures(tmp_path, kind):
    """The invented pulls of a demo kind, by hand: the same numbers, in JSON and in the file; and the file is a kind."""
    path = tmp_path / f"{kind}.toml"
    scene = kit.ROOT / "fixtures" / f"{FIXTURES[kind]}.toml"
    answer = rated(PULLS / f"{kind}.csv", "--from", scene, "-o", path)
    demo = tomllib.loads(scene.read_text(encoding="utf-8"))["kind"][kind]
    lines = (PULLS / f"{kind}.csv").read_text(encoding="utf-8").splitlines()
    rows = [row for row in csv.DictReader(line for line in lines if not line.startswith("#")) if not row["dropped"]]
    groups = {}
    for row in rows:
        key = row["hold"], row["surface"], float(row["angle_deg"]), float(row["offset_m"])
        groups.setdefault(key, []).append(float(row["force_n"]))
    limits = {key: np.mean(forces) - factor(len(forces)) * np.std(forces, ddof=1) for key, forces in groups.items()}
    assert len(limits) == len(answer["series"])
    for series in answer["series"]:
        key = series["hold"], series["surface"], series["angle_deg"], series["offset_m"]
        assert series["limit_n"] == pytest.approx(limits[key], rel=1e-9), key

    axial_limit = {hold: min(limit for key, limit in limits.items() if key[0] == hold and key[2] == key[3] == 0)
                   for hold in ("rolling", "braced")}
    area, foot = demo["cup_area_m2"], demo["foot_radius_m"]
    vacuum = min(float(row["vacuum_pa"]) for row in rows
                 if row["hold"] == "braced" and float(row["angle_deg"]) == float(row["offset_m"]) == 0)
    magnet = floor_3(axial_limit["rolling"])
    cup = floor_3(min((axial_limit["braced"] - axial_limit["rolling"]) / area, vacuum))
    adhesion = {"rolling": magnet, "braced": magnet + cup * area}
    friction, peel = [], [foot]
    for (hold, _, angle, offset), limit in limits.items():
        psi, left = math.radians(angle), adhesion[hold] - limit * math.cos(math.radians(angle))
        if angle and left > 0:
            friction.append(limit * math.sin(psi) / (SLIP * left))
        if offset and adhesion[hold] > limit:
            peel.append(offset * limit / (adhesion[hold] - limit))
    expected = {"magnet_force_n": magnet, "cup_vacuum_pa": cup, "bond_friction": floor_3(min(friction)),
                "peel_radius_m": floor_3(min(peel))}
    assert {figure["name"]: figure["value"] for figure in answer["figures"]} == pytest.approx(expected, rel=1e-12)

    kinds = tomllib.loads(path.read_text(encoding="utf-8"))
    jsonschema.validate(kinds, json.loads(kit.clamber("schema", "kinds").stdout))
    for field, value in expected.items():
        assert kinds["kind"][kind][field] == value
    for field, value in demo.items():
        assert kinds["kind"][kind][field] == expected.get(field, value)
    # The numbers of the fixtures' kind are those, or a little less.
    assert all(0.92 * value <= demo.get(field, foot) <= value for field, value in expected.items())
    committed = tomllib.loads((PULLS / f"{kind}.toml").read_text(encoding="utf-8"))
    assert committed["kind"] == kinds["kind"]


def test_the_invented_pulls_are_those_of_the_script(tmp_path):
    script = tmp_path / "make.py"
    script.write_text((PULLS / "make.py").read_text(encoding="utf-8"), encoding="utf-8")
    subprocess.run([sys.executable, script], check=True)
    for kind in FIXTURES:
        assert (tmp_path / f"{kind}.csv").read_bytes() == (PULLS / f"{kind}.csv").read_bytes()
