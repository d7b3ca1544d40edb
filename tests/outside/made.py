"""Scenes and plans of the second edition made by hand: small, of another kind than the fixtures, and turned about the vertical."""

import copy
import math

import numpy as np

import kit
from random_plans import claimed, quaternion
from reference import canonical, costs
from reference.edition import FIRST, SECOND
from reference.motion import motion as motion_of
from reference.pose import Crew
from reference.replay import Replay
from reference.scene import Scene

TURN_DEG, SHIFT = -135.0, (2.75, -1.375)  # a multiple of 45 degrees keeps the eight tilted directions of section 5
STILL = {"sway_deg": 0.0}
PEBBLE = kit.COBBLE | {
    "shell_radius_m": 0.035, "ride_height_m": 0.035, "foot_radius_m": 0.021, "mass_kg": 0.18, "com_height_m": 0.004,
    "magnet_force_n": 11.0, "cup_area_m2": 4e-4, "bond_friction": 0.52, "shell_friction": 0.3, "hop_hold": 0.7,
    "drive_force_n": 5.0, "yaw_torque_rolling_nm": 0.08, "yaw_torque_braced_nm": 0.2, "slide_speed_mps": 0.04,
    "yaw_rate_rolling_radps": 0.9, "yaw_rate_braced_radps": 0.25, "hop_time_s": 3.0, "brace_time_s": 1.5, "release_time_s": 0.8,
    "drive_power_w": 3.0, "yaw_power_w": 2.0, "hop_power_w": 3.5, "brace_energy_j": 6.0, "idle_power_w": 0.4}
W = PEBBLE["mass_kg"] * 9.80665
R, B = PEBBLE["shell_radius_m"], PEBBLE["foot_radius_m"]


def deck(name, low, high, top=0.0, **more):
    """A rectangular level deck between two corners."""
    (x, y), (u, v) = low, high
    return {"name": name, "outline_m": [[x, y], [u, y], [u, v], [x, v]], "top_m": top, "friction": 0.6} | more


def ramp(name, low, high, height, degrees=None, **more):
    """A rectangular deck that rises along x, from `height` at its low x."""
    (x, y), (u, v) = low, high
    top = height + (u - x) * math.tan(math.radians(degrees))
    return {"name": name, "outline_m": [[x, y, height], [u, y, top], [u, v, top], [x, v, height]], "friction": 0.6} | more


def turned(tree, degrees=TURN_DEG, shift=SHIFT):
    """The scene turned about the vertical and shifted."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    def way(v):
        return [c * v[0] - s * v[1], s * v[0] + c * v[1], *v[2:]]
    def at(p):
        x, y, *z = way(p)
        return [x + shift[0], y + shift[1], *z]
    tree = copy.deepcopy(tree)
    for d in tree["deck"]:
        d["outline_m"] = [at(p) for p in d["outline_m"]]
    for entry in [*tree["module"], *tree.get("stone", []), *tree["goal"].get("slot", [])]:
        entry |= {key: at(entry[key]) for key in ("at_m",) if key in entry}
        entry |= {key: way(entry[key]) for key in ("toward", "facing") if key in entry}
    for module in tree["module"]:
        if "facing" not in module:  # as by default, but turned: along x, or along y where that is the host's direction
            ahead = [1.0, 0.0, 0.0] if np.linalg.norm(np.cross(module.get("toward", [0, 0, 1]), way([1.0, 0.0, 0.0]))) > 1e-9 else [0.0, 1.0, 0.0]
            module["facing"] = way(ahead)
    return tree


def scene(modules, decks, change=None, limits=STILL, **more):
    """A scene of pebbles without a goal, turned; `change` is of the kind."""
    modules = [{"kind": "pebble"} | m for m in modules]
    return turned(kit.scene(modules, decks, {"pebble": PEBBLE | (change or {})}, limits=limits, **({"goal": {}} | more)))


def way(x, y, degrees=TURN_DEG):
    """A horizontal direction of the turned scene."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return [c * x - s * y, s * x + c * y]


def place(p):
    """A point of a scene as written, in the turned one."""
    return np.array([*np.add(way(*p[:2]), SHIFT), *p[2:]])


def crew(tree, edition=SECOND):
    return Crew(Scene(tree, edition))


class Made:
    """A plan of given moves, one after the other or at given times; ends, durations and figures are the reference's own.

    So only the rules of the model decide: `broken` are the rules that it breaks.
    """

    def __init__(self, tree, moves, edition=SECOND):
        self.scene = Scene(tree, edition)
        here, clock, steps = Crew(self.scene), 0.0, []
        for module, move, parameters in moves:
            parameters = dict(parameters)
            start = parameters.pop("start_s", clock)
            step = {"module": module, "move": move, **parameters, "start_s": start, "after": [], "utilisation": 0.0}
            motion = motion_of(step, here)
            step["duration_s"] = costs.duration(motion, here)
            motion.begin(here)
            motion.finish(here)
            i = motion.mover
            step["end"] = {"position_m": here.p[i].tolist(), "orientation_xyzw": quaternion(here.rot[i]), "on": here.host[i],
                           "hold": "braced" if here.braced[i] else "rolling"}
            steps.append(step)
            clock = max(clock, start + step["duration_s"])
        self.plan = {"format": f"clamber-plan/{edition.number}", "scenario": self.scene.tree,
                     "scenario_sha256": canonical.sha256(self.scene.tree), "planner": {}, "status": "solved", "steps": steps,
                     "summary": {}}
        self.steps, self.last = steps, here
        self.replay = Replay(self.plan, self.scene)
        self.replay.run()
        self.broken = {line.split(": ")[1] for line in self.replay.violations} - {"utilisation", "gap", "summary"}
        claimed(self.plan, self.replay)

    def utilisation(self, k=0):
        return max(self.replay.loads[k])


def broken(tree, moves):
    """The rules that a plan of these moves breaks."""
    return Made(tree, moves).broken


def slide(module, travel, bend=0.0, **more):
    return module, "slide", {"travel_m": travel, "curvature_per_m": bend, **more}


def yaw(module, angle, **more):
    return module, "yaw", {"angle_rad": angle, **more}


def hop(module, to, **more):
    return module, "hop", {"to": to, **more}
