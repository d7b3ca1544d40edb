"""Plans with one number or word changed, each of which breaks a rule."""

import copy


def changed(plan, *path, by=None, to=None):
    """A copy of the plan with one value moved by, or set to, something else."""
    plan = copy.deepcopy(plan)
    *way, last = path
    at = plan
    for key in way:
        at = at[key]
    at[last] = at[last] + by if to is None else to
    return plan


def mutations(plan):
    """(what was done, the plan) for a plan with at least one step."""
    last = len(plan["steps"]) - 1
    step = plan["steps"][last]
    yield "end position nudged", changed(plan, "steps", last, "end", "position_m", 1, by=1e-4)
    yield "duration nudged", changed(plan, "steps", last, "duration_s", by=1e-3)
    yield "utilisation too small", changed(plan, "steps", last, "utilisation", by=-1e-2)
    yield "end on another host", changed(plan, "steps", last, "end", "on", to=step["module"])
    yield "hold at the end", changed(plan, "steps", last, "end", "hold",
                                     to="rolling" if step["end"]["hold"] == "braced" else "braced")
    yield "makespan", changed(plan, "summary", "makespan_s", by=0.5)
    yield "energy", changed(plan, "summary", "energy_j", by=-1.0)
    yield "travel", changed(plan, "summary", "travel_m", by=1e-3)
    yield "moves", changed(plan, "summary", "moves", by=1)
    yield "digest", changed(plan, "scenario_sha256", to="0" * 64)
    yield "scenario but not its digest", changed(plan, "scenario", "limits", "hold_factor", by=0.01)
    yield "the last step is missing", plan | {"steps": plan["steps"][:-1]}
    for k, one in enumerate(plan["steps"]):
        if one["move"] == "slide":
            yield f"travel of step {k}", changed(plan, "steps", k, "travel_m", by=1e-3)
            yield f"curvature of step {k}", changed(plan, "steps", k, "curvature_per_m", by=0.5)
            break
    for k, one in enumerate(plan["steps"]):
        if one["move"] == "yaw":
            yield f"angle of step {k}", changed(plan, "steps", k, "angle_rad", by=1e-2)
            break
    for k, one in enumerate(plan["steps"]):
        if one["after"]:
            yield f"step {k} starts too early", changed(plan, "steps", k, "start_s", by=-0.5)
            break
