"""`clamber whatif` against a second implementation: every answer is held against the same crew with one thing taken away, at dense instants.

The crew's places and loads at an instant are those of `reference`. A failure is made by changing the crew: the hold of a module without its cup,
the modules that are left when a bond lets go, a mass, a list of touches. Then the answer must be reached at its own instant, and no instant may be
worse. `CLAMBER_PAIRS=500` looks at so many random pairs of plan and failure.
"""

import json
import math
import os
import random
from dataclasses import replace

import jsonschema
import numpy as np
import pytest

import kit
from reference import load, sound
from reference.goal import assignments, loaded
from reference.plan_file import read
from reference.pose import Crew
from reference.timeline import progress, run
from reference.touches import touches

PAIRS = int(os.environ.get("CLAMBER_PAIRS", "12"))
DENSE = 5  # instants of every phase
HEAVIER = 1.1
pytestmark = pytest.mark.xdist_group("what_if")  # the plans are made once


class Failing:
    """A plan, and what the tool says about it."""

    def __init__(self, source, folder, seed=1):
        path = folder / f"{source.stem}-{seed}.json"
        made = kit.clamber("plan", source, "-o", path, "--seed", seed, "--polish", 0, "--rearrange", 0)
        assert made.returncode == 0, made.stderr[:2000]
        answer = kit.clamber("whatif", path, "--json")
        assert answer.returncode in (0, 1), answer.stderr[:2000]
        self.answer = json.loads(answer.stdout)
        jsonschema.Draft202012Validator(json.loads(kit.clamber("schema", "whatif").stdout)).validate(self.answer)
        assert (self.answer["verdict"] in ("not_proven", "falls")) == (answer.returncode == 1)
        plan, self.scene = read(path)
        self.phases, motions = run(Crew(self.scene), plan["steps"], lambda *_: None)
        end = motions[-1].after
        # Whoever fills a slot bears its payload at the end.
        filled = next(assignments(end, self.scene.slots, {}, {}), {}) if self.scene.slots else {}
        self.end = loaded(end, self.scene.slots, filled)

    def rows(self):
        """(failure, module, other body, the answer's worst) of all rows that say something."""
        rows = [(f["failure"], f["module"], None, f.get("worst")) for f in self.answer["failures"]]
        rows += [("touch", t["module"], t["other"], t["worst"]) for t in self.answer["touches"]]
        return [row for row in rows if row[3] is not None]

    def instants(self, failure, name, at=None):
        """(time, crew, motions) at which a failure is tried: the start at rest and dense ones, or those at one time."""
        if at is None or at <= 1e-6:
            yield 0.0, Crew(self.scene), []
        if at is None or at >= self.phases[-1].end - 1e-6:
            yield self.phases[-1].end, self.end, []
        for phase in self.phases:
            if at is not None and not phase.start - 1e-6 <= at <= phase.end + 1e-6:
                continue
            moves = any(m.displaces for m in phase.motions)
            times = [at] if at is not None else np.linspace(phase.start, phase.end, DENSE if moves else 1)
            for t in times:
                yield t, phase.at(min(max(t, phase.start), phase.end)), phase.motions


def without_limits(bond):
    return replace(bond, drive=math.inf, torque=math.inf)


def tried(crew, motions, failure, name, other):
    """The worst utilisation of the structures that a failure concerns; None where no forces balance; NaN where it concerns nothing."""
    scene, worst = crew.scene, math.nan
    i = crew.index[name]
    under_way = {m.move for m in motions}
    gravity = scene.site.gravity_mps2 * (scene.limits.motion_factor if under_way & scene.edition.heavy else 1.0)
    sway = math.radians(scene.limits.sway_deg + (scene.limits.motion_tilt_deg if under_way & sound.TILTING else 0.0))
    gravities = load.directions(gravity, sway)
    stances = list(sound.stances(crew, motions))
    every = {id(s): [sound.bond_of(s, k, motions) for k in range(len(s.names))] for s in stances}
    joined = [touch for s in stances for touch, _, _ in touches(s, motions)]
    # What hops belongs to the structures of both its hosts.
    parts = sound.structures(crew, [bond for bonds in every.values() for bond in bonds], joined)
    if failure == "touch":
        pairs = [{s.names[t.a], body} for s in stances for t, body, _ in touches(s, motions)]
        if not any(same(scene, pair, name, other) for pair in pairs):
            return math.nan
    for stance in stances:
        bonds = {k: without_limits(bond) for k, bond in enumerate(every[id(stance)])}
        counted = [(touch, body) for touch, body, _ in touches(stance, motions)]
        members = next(part for part in parts if i in part)
        weights = {k: sound.masses(stance, k) for k in members}
        if failure == "cup":
            if not stance.braced[i] or stance.held(i) != "braced":
                continue
            deck = stance.ground(i)
            magnet = stance.kinds[i].magnet_force_n if deck is None or deck.ferrous else 0.0
            if magnet >= bonds[i].adhesion:
                continue
            bonds[i] = replace(bonds[i], adhesion=magnet)
        elif failure == "bond":
            if bonds[i].adhesion <= 0:
                continue
            gone = {i, *stance.standing_on(i)}
            members = [k for k in members if k not in gone]
            if not members:
                continue
            counted = [(t, body) for t, body in counted if t.a not in gone and t.b not in gone]
        elif failure == "mass":
            weights[i] = [(HEAVIER * kg, at) for kg, at in weights[i]]
        else:
            counted = [(t, body) for t, body in counted if not same(scene, {stance.names[t.a], body}, name, other)]
        local = {None: None} | {k: place for place, k in enumerate(members)}
        programme = load.Programme(
            stance.p[members], [weights[k] for k in members],
            [replace(bonds[k], child=local[k], host=local[bonds[k].host]) for k in members],
            [replace(t, a=local[t.a], b=local[t.b]) for t, _ in counted if t.a in local], gravities)
        used = load.worst(programme.least())
        if used is None:
            return None
        worst = used if math.isnan(worst) else max(worst, used)
    return worst


def same(scene, pair, name, other):
    """Whether a touch is the one that is named: decks of one ground are one body."""
    ground = scene.ground_of.get(other)
    hit = {other} if ground is None else {deck for deck, g in scene.ground_of.items() if g is ground} | {ground.name}
    return name in pair and bool((set(pair) - {name}) & hit)


def verdict(used, limit):
    if used is None or used > 1 + 1e-6:
        return "falls"
    return "stands" if used <= limit + 1e-6 else "uses_margin"


def check(failing, row):
    failure, name, other, worst = row
    at_its_instant = [tried(crew, motions, failure, name, other) for _, crew, motions in failing.instants(failure, name, worst["at_s"])]
    at_its_instant = [used for used in at_its_instant if used is None or not math.isnan(used)]
    assert at_its_instant, f"{row}: nothing of this fails then"
    found = worst.get("utilisation")
    reached = None if None in at_its_instant else max(at_its_instant)
    if found is None:
        assert reached is None, f"{row}: balanced by {reached}"
    elif worst["utilisation_is"] == "exact":
        assert reached is not None and abs(reached - found) <= 2e-5 * max(1.0, found), f"{row}: {reached}"
    assert verdict(found, failing.answer["limit"]) == worst["verdict"]
    if found is None:
        return
    for t, crew, motions in failing.instants(failure, name):
        used = tried(crew, motions, failure, name, other)
        assert used is not None, f"{row}: nothing balances at {t}"
        assert math.isnan(used) or used <= found + 2e-5 * max(1.0, found), f"{row}: {used} at {t}"


@pytest.fixture(scope="module")
def failing(tmp_path_factory):
    folder = tmp_path_factory.mktemp("failing")
    names, seeds = ["pair", "column", "stand", "boom"], [1]
    if PAIRS > 100:
        names += ["buttress", "row", "ferry", "regroup", "headwall-low", "stand-tall", "slot", "twin-booms"]
        seeds = range(1, 5)
    return [Failing(kit.ROOT / "fixtures" / f"{name}.toml", folder, seed) for seed in seeds for name in names]


def test_random_pairs_of_plan_and_failure(failing, record_property):
    dice = random.Random(5)
    pairs = [(plan, row) for plan in failing for row in plan.rows()]
    dice.shuffle(pairs)
    assert len(pairs) >= PAIRS
    for plan, row in pairs[:PAIRS]:
        check(plan, row)
    record_property("pairs of plan and failure", PAIRS)


def test_rows_without_an_answer_have_nothing_to_fail(failing):
    """A module without a `worst` is never braced, has no bond with adhesion, or takes its whole structure with it."""
    for plan in failing[:2]:
        for row in plan.answer["failures"]:
            if "worst" in row:
                continue
            for _, crew, motions in plan.instants(row["failure"], row["module"]):
                used = tried(crew, motions, row["failure"], row["module"], None)
                assert used is not None and math.isnan(used), row


def test_the_timeline_is_the_worst_of_its_rows(failing):
    order = ["stands", "uses_margin", "not_proven", "falls"]
    for plan in failing:
        worst = max((order.index(f["worst"]["verdict"]) for f in plan.answer["failures"] if "worst" in f), default=0)
        pieces = plan.answer["timeline"]
        assert max(order.index(piece["verdict"]) for piece in pieces) == worst
        assert all(a["to_s"] == b["from_s"] and a["verdict"] != b["verdict"] for a, b in zip(pieces, pieces[1:]))
        for row in plan.answer["failures"]:
            if "worst" in row:
                at = row["worst"]["at_s"]
                there = [order.index(p["verdict"]) for p in pieces if p["from_s"] - 1e-6 <= at <= p["to_s"] + 1e-6]
                assert max(there) >= order.index(row["worst"]["verdict"])


def test_the_tilt_is_borne_everywhere_and_no_more(failing):
    """Half a tenth of a degree less is borne at every dense instant; a fifth more is not borne in the stretch of time that is named."""
    for plan in failing:
        limits = plan.scene.limits
        for key, limit in (("margin", 1 / limits.hold_factor), ("falls", 1.0)):
            tilt = plan.answer["further_tilt"][key]
            def used(crew, motions, more, **which):
                return sound.utilisation(crew, motions, sway=math.radians(limits.sway_deg + tilt["further_deg"] + more), **which)
            for phase in plan.phases[::3]:
                u = used(phase.at(0.5 * (phase.start + phase.end)), phase.motions, -0.05)
                assert u is not None and u <= limit + 1e-4, (key, phase.start, u)
            if tilt["further_deg"] > 60 or "at_s" not in tilt:
                continue
            here = [p for p in plan.phases if p.start - 1e-6 <= tilt["at_s"] < p.end - 1e-6]
            members = {plan.phases[0].crew.index[name] for name in tilt["modules"]}
            beyond = [used(phase.at(t), phase.motions, 0.2, of=members) for phase in here for t in np.linspace(phase.start, phase.end, 21)]
            if tilt["at_s"] >= plan.phases[-1].end - 1e-6:
                beyond.append(used(plan.end, [], 0.2, of=members))
            assert any(u is None or u > limit - 1e-6 for u in beyond), (key, tilt, beyond)
