"""Plans with one number or word changed, each of which breaks a rule."""

import copy
import math


def changed(plan, *path, by=None, to=None):
    """A copy of the plan with one value moved by, or set to, something else."""
    plan = copy.deepcopy(plan)
    *way, last = path
    at = plan
    for key in way:
        at = at[key]
    at[last] = at[last] + by if to is None else to
    return plan


def without(plan, *path):
    """A copy of the plan without one field."""
    plan = copy.deepcopy(plan)
    *way, last = path
    at = plan
    for key in way:
        at = at[key]
    del at[last]
    return plan


def turned(orientation, angle):
    """The orientation after a small turn about body z."""
    x, y, z, w = orientation
    s, c = math.sin(angle / 2), math.cos(angle / 2)
    return [x * c + y * s, y * c - x * s, z * c + w * s, w * c - z * s]


def of_step(plan, k):
    """Changes to one step."""
    step = plan["steps"][k]
    hold = "rolling" if step["end"]["hold"] == "braced" else "braced"
    yield "end moved", changed(plan, "steps", k, "end", "position_m", 1, by=3e-6)
    yield "end turned", changed(plan, "steps", k, "end", "orientation_xyzw",
                                to=turned(step["end"]["orientation_xyzw"], 1.7e-6))
    yield "end on another host", changed(plan, "steps", k, "end", "on", to=step["module"])
    yield "end in the other hold", changed(plan, "steps", k, "end", "hold", to=hold)
    yield "duration", changed(plan, "steps", k, "duration_s", by=1e-7 + 3e-6 * step["duration_s"])
    yield "utilisation too small", changed(plan, "steps", k, "utilisation", by=-1e-4)
    if "gap_m" in step:
        yield "gap too large", changed(plan, "steps", k, "gap_m", by=1e-4)
        yield "gap left out", without(plan, "steps", k, "gap_m")
    if step["move"] == "slide":
        yield "travel", changed(plan, "steps", k, "travel_m", by=1e-4)
        yield "curvature", changed(plan, "steps", k, "curvature_per_m", by=0.5)
    if step["move"] == "yaw":
        yield "angle", changed(plan, "steps", k, "angle_rad", by=1e-4)
    if step["move"] == "hop":
        yield "hop to itself", changed(plan, "steps", k, "to", to=step["module"])
    if step["after"]:
        yield "starts too early", changed(plan, "steps", k, "start_s", by=-0.02)


def of_plan(plan):
    """Changes to the figures of the whole plan and to its scenario."""
    yield "makespan", changed(plan, "summary", "makespan_s", by=1e-3)
    yield "energy", changed(plan, "summary", "energy_j", by=-1e-2)
    yield "travel", changed(plan, "summary", "travel_m", by=1e-4)
    yield "moves", changed(plan, "summary", "moves", by=1)
    yield "lower bound", changed(plan, "summary", "lower_bound_s", to=plan["summary"]["makespan_s"] + 1)
    yield "digest", changed(plan, "scenario_sha256", to="0" * 64)
    yield "scenario but not its digest", changed(plan, "scenario", "limits", "hold_factor", by=0.01)
    yield "a default left out", without(plan, "scenario", "limits", "hold_factor")
    yield "status", changed(plan, "status", to="budget_spent")
    yield "the last step is missing", plan | {"steps": plan["steps"][:-1]}


def mutations(plan, steps=None):
    """(what was done, the plan) for a plan with at least one step; `steps` are the indices of steps to change."""
    yield from of_plan(plan)
    for k in range(len(plan["steps"])) if steps is None else steps:
        for done, one in of_step(plan, k):
            yield f"step {k}: {done}", one
