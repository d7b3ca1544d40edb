"""Replay a plan file and report every rule it breaks: `python -m reference.replay PLAN.json`.

Prints one line per violation. Exit code 0: none; 1: some; 2: the file cannot be read as a plan.
"""

import math
import sys

import numpy as np

from . import canonical, costs, goal, sound, steps, timeline
from .clearance import Bodies
from .fields import SceneError, numeric
from .history import History
from .load import Undecided
from .plan_file import read
from .pose import Crew, matrix, turn_between
from .recovery import Recovery

SAMPLED = 1e-4  # how far a sampled extreme may stay behind the true one


def near(a, b, relative=1e-6, absolute=1e-7):
    return numeric(a) and abs(a - b) <= max(relative * max(abs(a), abs(b)), absolute)


class Broken(Exception):
    """Ends a replay that looks for one violation only."""


class Replay:
    """One run through a plan; `violations` lists what it breaks. What is quick to see comes first."""

    def __init__(self, plan, scene, first_only=False):
        self.plan, self.scene, self.violations, self.first_only = plan, scene, [], first_only
        self.number = {id(step): k for k, step in enumerate(plan["steps"])}
        self.loads = {k: [] for k in self.number.values()}
        self.samples = {k: [] for k in self.number.values()}
        self.limits = {k: 1 / scene.limits.hold_factor for k in self.number.values()}
        self.gaps, self.energy = {}, 0.0
        self.bodies, self.proven = Bodies(scene), plan.get("utilisation_is") == "bound"

    def say(self, rule, message, step=None, t=None):
        where = "plan" if step is None else f"step {self.number[id(step)]}"
        line = f"{where}: {rule}: {message}" + ("" if t is None else f" at {t:.6f} s")
        if not any(v.startswith(f"{where}: {rule}: {message}") for v in self.violations):
            self.violations.append(line)
        if self.first_only:
            raise Broken

    def run(self):
        plan, steps_ = self.plan, self.plan["steps"]
        if canonical.sha256(plan["scenario"]) != plan["scenario_sha256"]:
            self.say("digest", "scenario_sha256 does not belong to the scenario")
        if plan["scenario"] != self.scene.tree:
            self.say("scenario", "a default is not written out")
        if plan["status"] != "solved":
            self.say("status", f"the plan is {plan['status']}")
        crew = Crew(self.scene)
        for step in steps_:
            for a in step["after"]:
                if steps_[a]["start_s"] + steps_[a]["duration_s"] > step["start_s"] + timeline.TIME_TOL or steps_[a] is step:
                    self.say("after", f"begins before step {a} has ended", step)
        phases, ended = timeline.run(crew, steps_, lambda s, rule, text: self.say(rule, text, s))
        for motion in ended:
            self.ended(motion)
        self.totals()
        self.recovery, self.history = Recovery(crew), History(ended, phases)
        rests = [self.rest(crew)]
        for phase in phases:
            if phase.motions:
                self.phase(phase)
            else:
                rests.append(self.rest(phase.crew))
        for motion in ended:
            self.extremes(motion)
        self.rest_load = max(rests)
        if self.rest_load > 1 / self.scene.limits.hold_factor and (u := sound.utilisation(phases[-1].crew)):
            if sound.load_status(crew, u) != "carried":
                self.say("load", f"the plan ends at utilisation {u:.7f}")
        unmet, self.final_load = goal.unmet(phases[-1].crew)
        for message in unmet:
            self.say("goal", message)
        self.extremes_of_plan()
        return self.violations

    def rest(self, crew):
        for rule, message in sound.placed(crew):
            self.say(rule, message)
        parts = sound.by_structure(crew)
        us = [u for _, u in parts]
        if not self.recovery.judge(parts, ())[1]:
            self.say("load", "at rest the load is not carried" if None in us else f"at rest utilisation {max(us):.7f}")
        return max([u for u in us if u is not None], default=0.0) if None not in us else 0.0

    def phase(self, phase):
        """All rules at every sampled instant while the same moves are under way."""
        first = phase.motions[0].step
        times, pairs = steps.places(phase, self.history, self.bodies, lambda rule, text, t: self.say(rule, text, first, t))
        u, limit, kept = steps.worst_load(phase, self.recovery)
        if not kept:
            self.say("load", "no forces balance" if u is None else f"utilisation {u:.7f} over the limit", first, phase.start)
        for motion in phase.motions:
            k = self.number[id(motion.step)]
            self.loads[k].append(math.inf if u is None else u)
            self.limits[k] = max(self.limits[k], limit)
            self.samples[k].append((phase, times, pairs))

    def ended(self, motion):
        """Duration and end pose of a step."""
        step, i, end, crew = motion.step, motion.mover, motion.step["end"], motion.after
        seconds = costs.duration(motion, motion.before)
        self.energy += costs.energy(motion, motion.before, seconds)
        if not near(step["duration_s"], seconds):
            self.say("duration", f"{step['duration_s']} s instead of {seconds} s", step)
        quaternion = np.array(end["orientation_xyzw"], float)
        if np.linalg.norm(crew.p[i] - end["position_m"]) > 1e-6:
            self.say("end", "the position is not where the move leads", step)
        if abs(np.linalg.norm(quaternion) - 1) > 1e-6 or turn_between(matrix(quaternion), crew.rot[i]) > 1e-6:
            self.say("end", "the orientation is not where the move leads", step)
        hosts = (crew.ground(i).holders(crew.sole(i)) if crew.ground(i) else []) or [crew.host[i]]
        if end["on"] not in hosts or end["hold"] != ("braced" if crew.braced[i] else "rolling"):
            self.say("end", "not this host or hold", step)

    def extremes(self, motion):
        """Gap and load of a step whose phases have all been looked at."""
        step = motion.step
        k = self.number[id(step)]
        self.gaps[k] = steps.smallest_gap(motion, self.samples[k])
        self.compare_gap(step.get("gap_m"), self.gaps[k], step)
        worst = max(self.loads[k], default=0.0)
        if not self.claimed(step["utilisation"], worst, self.limits[k]):
            self.say("utilisation", f"{step['utilisation']} instead of {worst:.7f}", step)

    def claimed(self, claim, worst, limit):
        """Whether a utilisation may be claimed; one that is a bound need not be near."""
        return numeric(claim) and worst - 1e-6 <= claim <= (limit + 1e-6 if self.proven else worst + SAMPLED)

    def compare_gap(self, claim, found, step=None):
        if found is None or claim is None:
            if found is not claim:
                self.say("gap", f"{claim} instead of {found}", step)
        elif not numeric(claim) or not found - SAMPLED <= claim <= found + 1e-6:
            self.say("gap", f"{claim} instead of {found:.7f}", step)

    def totals(self):
        """Sums over the whole plan, and its bound."""
        summary, steps_ = self.plan["summary"], self.plan["steps"]
        makespan = max((s["start_s"] + s["duration_s"] for s in steps_), default=0.0)
        idle = sum(self.scene.kinds[m.kind].idle_power_w for m in self.scene.modules)
        expected = {"moves": len(steps_), "makespan_s": makespan, "energy_j": self.energy + idle * makespan,
                    "travel_m": sum(abs(s["travel_m"]) for s in steps_ if s["move"] in ("slide", "cross"))}
        for key, value in expected.items():
            if not near(summary.get(key), value):
                self.say("summary", f"{key} {summary.get(key)} instead of {value}")
        if "lower_bound_s" in summary and not summary["lower_bound_s"] <= makespan * (1 + 1e-6) + 1e-7:
            self.say("summary", "lower_bound_s is above the makespan")

    def extremes_of_plan(self):
        """Gap and load of the whole plan."""
        summary = self.plan["summary"]
        self.compare_gap(summary.get("gap_m"), min((g for g in self.gaps.values() if g is not None), default=None))
        worst = max([self.rest_load, *(u for loads in self.loads.values() for u in loads)])
        limit = max([1 / self.scene.limits.hold_factor, self.rest_load, *self.limits.values()])
        claim, allowed = summary.get("utilisation"), {worst, max(worst, self.final_load or 0.0)}  # whether slot payloads count is not said
        if not any(self.claimed(claim, u, limit) for u in allowed):
            self.say("summary", f"utilisation {claim} instead of {worst:.7f}")


def replay(path):
    """All violations of a plan file."""
    return Replay(*read(path)).run()


def refuses(path):
    """Whether a plan file is no plan or breaks a rule; no more of it is replayed than it takes to see that."""
    try:
        Replay(*read(path), first_only=True).run()
    except (SceneError, Undecided, Broken):
        return True
    return False


def main(arguments):
    if len(arguments) != 1:
        print(__doc__, file=sys.stderr)
        return 2
    try:
        violations = replay(arguments[0])
    except SceneError as error:
        print(f"{arguments[0]}: {error}", file=sys.stderr)
        return 2
    except Undecided as error:
        violations = [f"plan: load: undecided: {error}"]
    print(*violations, sep="\n", end="\n" if violations else "")
    return 1 if violations else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
