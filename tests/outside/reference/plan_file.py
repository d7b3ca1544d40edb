"""Plan files (section 7): read, and the fields of every step checked."""

import json

import numpy as np

from . import edition
from .fields import SceneError, demand, numeric
from .scene import Scene
from .timeline import TIME_TOL


def read(path):
    """The plan and its scene, in the edition of the plan's format; SceneError where the file is no plan."""
    def refuse(text):
        raise SceneError(f"{text} is no JSON number")
    try:
        with open(path, encoding="utf-8") as file:
            plan = json.load(file, parse_constant=refuse)
    except (OSError, ValueError) as error:
        raise SceneError(str(error)) from error
    demand(isinstance(plan, dict) and plan.get("format") in edition.OF_FORMAT, f"format: none of {', '.join(edition.OF_FORMAT)}")
    for key, kind in {"scenario": dict, "scenario_sha256": str, "status": str, "steps": list, "summary": dict}.items():
        demand(isinstance(plan.get(key), kind), f"{key}: missing")
    scene = Scene(plan["scenario"], edition.OF_FORMAT[plan["format"]])
    demand(scene.edition.later or "utilisation_is" not in plan, "utilisation_is: unknown field")
    known = ("exact", "bound")
    demand(plan.get("utilisation_is", "exact") in known, f"utilisation_is: none of {known}")
    for k, step in enumerate(plan["steps"]):
        check_step(step, scene, f"steps[{k}]", len(plan["steps"]))
    return plan, scene


def check_step(step, scene, where, count):
    """The fields of one step."""
    demand(isinstance(step, dict), f"{where}: not an object")
    parameters, names = scene.edition.moves, {m.name for m in scene.modules}
    move = step.get("move")
    demand(move in parameters, f"{where}.move: unknown")
    demand(step.get("module") in names, f"{where}.module: unknown")
    every = {p for fields in parameters.values() for p in fields}
    demand({p for p in every if p in step} == set(parameters[move]), f"{where}: wrong parameters for a {move}")
    for key in [p for p in parameters[move] if p.endswith(("_m", "_rad"))] + ["start_s", "duration_s", "utilisation"]:
        demand(numeric(step.get(key)), f"{where}.{key}: not a finite number")
    if move == "slide":
        demand(numeric(step["curvature_per_m"]), f"{where}.curvature_per_m: not a finite number")
    demand(step["duration_s"] >= 0 and step["start_s"] >= -TIME_TOL, f"{where}: negative time")
    targets = {"hop": names - {step["module"]} | set(scene.decks), "cross": set(scene.decks), "stride": set(scene.decks)}
    demand(move not in targets or step["to"] in targets[move], f"{where}.to: unknown")
    if move == "stride":
        way, planted = step["direction"], step["planted"]
        demand(isinstance(way, list) and len(way) == 2 and all(map(numeric, way)) and abs(np.hypot(*way) - 1) <= 1e-9,
               f"{where}.direction: no unit vector")
        demand(isinstance(planted, list) and planted and all(name in names for name in planted), f"{where}.planted: unknown")
    after = step.get("after")
    demand(isinstance(after, list) and all(type(a) is int and 0 <= a < count for a in after), f"{where}.after: no steps")
    end = step.get("end")
    demand(isinstance(end, dict) and set(end) == {"position_m", "orientation_xyzw", "on", "hold"}, f"{where}.end: fields")
    for key, length in (("position_m", 3), ("orientation_xyzw", 4)):
        demand(isinstance(end[key], list) and len(end[key]) == length and all(map(numeric, end[key])), f"{where}.end.{key}")
