"""Replay a plan file and report every rule it breaks: `python -m reference.replay PLAN.json`.

Prints one line per violation. Exit code 0: none; 1: some; 2: the file cannot be read as a plan.
"""

import json
import math
import sys

import numpy as np

from . import canonical, goal, sound, steps, timeline
from .load import Undecided
from .pose import Crew, matrix, turn_between
from .scene import Scene, SceneError, demand, numeric

PARAMETERS = {"yaw": ["angle_rad"], "slide": ["travel_m", "curvature_per_m"], "hop": ["to"], "brace": [], "release": []}
SAMPLED = 1e-4  # how far a sampled extreme may stay behind the true one


def near(a, b, relative=1e-6, absolute=1e-7):
    return numeric(a) and abs(a - b) <= max(relative * max(abs(a), abs(b)), absolute)


def read(path):
    """The plan and its scene; SceneError where the file is no plan."""
    def refuse(text):
        raise SceneError(f"{text} is no JSON number")
    try:
        with open(path, encoding="utf-8") as file:
            plan = json.load(file, parse_constant=refuse)
    except (OSError, ValueError) as error:
        raise SceneError(str(error)) from error
    demand(isinstance(plan, dict) and plan.get("format") == "clamber-plan/1", "format: not clamber-plan/1")
    for key, kind in {"scenario": dict, "scenario_sha256": str, "status": str, "steps": list, "summary": dict}.items():
        demand(isinstance(plan.get(key), kind), f"{key}: missing")
    scene = Scene(plan["scenario"])
    for k, step in enumerate(plan["steps"]):
        check_step(step, scene, f"steps[{k}]", len(plan["steps"]))
    return plan, scene


def check_step(step, scene, where, count):
    """The fields of one step."""
    demand(isinstance(step, dict), f"{where}: not an object")
    move, names = step.get("move"), {m.name for m in scene.modules}
    demand(move in PARAMETERS, f"{where}.move: unknown")
    demand(step.get("module") in names, f"{where}.module: unknown")
    every = {p for fields in PARAMETERS.values() for p in fields}
    demand({p for p in every if p in step} == set(PARAMETERS[move]), f"{where}: wrong parameters for a {move}")
    for key in [p for p in PARAMETERS[move] if p != "to"] + ["start_s", "duration_s", "utilisation"]:
        demand(numeric(step.get(key)), f"{where}.{key}: not a finite number")
    demand(step["duration_s"] >= 0 and step["start_s"] >= -timeline.TIME_TOL, f"{where}: negative time")
    demand(move != "hop" or step["to"] in names - {step["module"]} | set(scene.decks), f"{where}.to: unknown")
    after = step.get("after")
    demand(isinstance(after, list) and all(type(a) is int and 0 <= a < count for a in after), f"{where}.after: no steps")
    end = step.get("end")
    demand(isinstance(end, dict) and set(end) == {"position_m", "orientation_xyzw", "on", "hold"}, f"{where}.end: fields")
    for key, length in (("position_m", 3), ("orientation_xyzw", 4)):
        demand(isinstance(end[key], list) and len(end[key]) == length and all(map(numeric, end[key])), f"{where}.end.{key}")


class Replay:
    """One run through a plan; `violations` lists what it breaks."""

    def __init__(self, plan, scene):
        self.plan, self.scene, self.violations = plan, scene, []
        self.number = {id(step): k for k, step in enumerate(plan["steps"])}
        self.loads = {k: [] for k in self.number.values()}
        self.samples = {k: [] for k in self.number.values()}
        self.gaps, self.energy = {}, 0.0

    def say(self, rule, message, step=None, t=None):
        where = "plan" if step is None else f"step {self.number[id(step)]}"
        line = f"{where}: {rule}: {message}" + ("" if t is None else f" at {t:.6f} s")
        if not any(v.startswith(f"{where}: {rule}: {message}") for v in self.violations):
            self.violations.append(line)

    def run(self):
        plan, steps_ = self.plan, self.plan["steps"]
        if canonical.sha256(plan["scenario"]) != plan["scenario_sha256"]:
            self.say("digest", "scenario_sha256 does not belong to the scenario")
        if plan["scenario"] != self.scene.tree:
            self.say("scenario", "a default is not written out")
        if plan["status"] != "solved":
            self.say("status", f"the plan is {plan['status']}")
        crew = Crew(self.scene)
        last, rests = crew, [crew]
        for step in steps_:
            for a in step["after"]:
                if steps_[a]["start_s"] + steps_[a]["duration_s"] > step["start_s"] + timeline.TIME_TOL or steps_[a] is step:
                    self.say("after", f"begins before step {a} has ended", step)
        for phase in timeline.run(crew, steps_, lambda s, rule, text: self.say(rule, text, s), self.ended):
            if phase.motions:
                self.phase(phase)
            else:
                rests.append(phase.crew)
            last = phase.crew
        self.rest_load = max([u for u in map(self.rest, rests)], default=0.0)
        unmet, self.final_load = goal.unmet(last)
        for message in unmet:
            self.say("goal", message)
        self.summary()
        return self.violations

    def rest(self, crew):
        for rule, message in sound.placed(crew):
            self.say(rule, message)
        u = sound.utilisation(crew)
        if sound.load_status(crew, u) != "carried":
            self.say("load", "at rest the load is not carried" if u is None else f"at rest utilisation {u:.7f}")
        return u or 0.0

    def phase(self, phase):
        """All rules at every sampled instant while the same moves are under way."""
        first = phase.motions[0].step
        times, pairs = steps.places(phase, lambda rule, message, t: self.say(rule, message, first, t))
        u = steps.worst_load(phase)
        if sound.load_status(phase.crew, u) != "carried":
            self.say("load", "no forces balance" if u is None else f"utilisation {u:.7f} over the limit", first, phase.start)
        for motion in phase.motions:
            k = self.number[id(motion.step)]
            self.loads[k].append(math.inf if u is None else u)
            self.samples[k].append((phase, times, pairs))

    def ended(self, motion, crew):
        """Duration, end pose, gap and load of a step whose phases have all been looked at."""
        step, i, end = motion.step, motion.mover, motion.step["end"]
        kind = crew.kinds[i]
        seconds, joules = timeline.cost(step, kind, motion.before.braced[i])
        self.energy += joules
        if not near(step["duration_s"], seconds):
            self.say("duration", f"{step['duration_s']} s instead of {seconds} s", step)
        quaternion = np.array(end["orientation_xyzw"], float)
        if np.linalg.norm(crew.p[i] - end["position_m"]) > 1e-6:
            self.say("end", "the position is not where the move leads", step)
        if abs(np.linalg.norm(quaternion) - 1) > 1e-6 or turn_between(matrix(quaternion), crew.rot[i]) > 1e-6:
            self.say("end", "the orientation is not where the move leads", step)
        if end["on"] != crew.host[i] or end["hold"] != ("braced" if crew.braced[i] else "rolling"):
            self.say("end", "not this host or hold", step)
        k = self.number[id(step)]
        self.gaps[k] = steps.smallest_gap(motion, motion.before, crew, self.samples[k])
        self.compare_gap(step.get("gap_m"), self.gaps[k], step)
        worst = max(self.loads[k], default=0.0)
        if not worst - 1e-6 <= step["utilisation"] <= worst + SAMPLED:
            self.say("utilisation", f"{step['utilisation']} instead of {worst:.7f}", step)

    def compare_gap(self, claim, found, step=None):
        if found is None or claim is None:
            if found is not claim:
                self.say("gap", f"{claim} instead of {found}", step)
        elif not numeric(claim) or not found - SAMPLED <= claim <= found + 1e-6:
            self.say("gap", f"{claim} instead of {found:.7f}", step)

    def summary(self):
        """The figures of the whole plan."""
        summary, steps_ = self.plan["summary"], self.plan["steps"]
        makespan = max((s["start_s"] + s["duration_s"] for s in steps_), default=0.0)
        idle = sum(self.scene.kinds[m.kind].idle_power_w for m in self.scene.modules)
        expected = {"moves": len(steps_), "makespan_s": makespan, "energy_j": self.energy + idle * makespan,
                    "travel_m": sum(abs(s["travel_m"]) for s in steps_ if s["move"] == "slide")}
        for key, value in expected.items():
            if not near(summary.get(key), value):
                self.say("summary", f"{key} {summary.get(key)} instead of {value}")
        self.compare_gap(summary.get("gap_m"), min((g for g in self.gaps.values() if g is not None), default=None))
        if "lower_bound_s" in summary and not summary["lower_bound_s"] <= makespan * (1 + 1e-6) + 1e-7:
            self.say("summary", "lower_bound_s is above the makespan")
        worst = max([self.rest_load, *(u for loads in self.loads.values() for u in loads)])
        allowed = {worst, max(worst, self.final_load or 0.0)}  # the page does not say whether slot payloads count here
        claim = summary.get("utilisation")
        if not numeric(claim) or not any(u - 1e-6 <= claim <= u + SAMPLED for u in allowed):
            self.say("summary", f"utilisation {claim} instead of {worst:.7f}")


def replay(path):
    """All violations of a plan file."""
    return Replay(*read(path)).run()


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
