"""Seeded random plans: slides, yaws, hops and braces of random crews, some of them at the same time.

Nothing makes them sound; ends, durations and figures are the reference's own, so that only the rules of the model
decide, and both implementations can be asked about every one of them.
"""

import math
import random

import numpy as np

import crews
import kit
from reference import canonical, costs
from reference.motion import motion as motion_of
from reference.pose import Crew, angle_between
from reference.replay import Replay
from reference.scene import Scene

STEPS = 4


def scenario(seed):
    """A random crew made strong enough that it often carries itself while it moves."""
    rng = random.Random(f"plan {seed}")
    tree = crews.random_tree(seed)
    tree["deck"][0] |= {"ferrous": rng.random() < 0.8, "sealable": True}
    tree["limits"]["sway_deg"] = rng.choice([0.0, 3.0])
    for kind in tree["kind"].values():
        kind |= {"magnet_force_n": round(rng.uniform(30, 120), 2), "mass_kg": round(rng.uniform(0.2, 0.5), 3),
                 "shell_reach_deg": rng.choice([95.0, 175.0]), "hop_limit_deg": rng.choice([100.0, 170.0]),
                 "drive_force_n": rng.choice([6.0, 14.0, 30.0]), "yaw_torque_rolling_nm": rng.choice([0.1, 0.5, 2.0])}
    for module in tree["module"]:
        up = np.array(module.get("toward", [0, 0, 1.0]), float)
        facing = np.cross(up, [rng.gauss(0, 1) for _ in range(3)])
        module |= {"facing": facing.tolist(), "payload_kg": rng.choice([0.0, 0.0, 0.2])}
    return tree, rng


def hops(crew, i):
    """(host to hop to, yaw that makes the heading square to the pivot axis)."""
    ahead, left, up = crew.rot[i].T
    for to in [*crew.names, *crew.scene.decks]:
        if to in (crew.names[i], crew.host[i]) or (to in crew.scene.decks and crew.ground(i)):
            continue
        if abs(crew.off_place(i, to)) < 1e-8:
            axis = np.cross(up, crew.normal(i, to))
            yield to, math.atan2(axis @ left, axis @ ahead) - math.pi / 2


def moves(rng, crew):
    """One or two moves of one module, as (module, move, parameters)."""
    i = rng.randrange(len(crew.names))
    name, can_hop = crew.names[i], list(hops(crew, i))
    if can_hop and not crew.braced[i] and not crew.standing_on(i) and rng.random() < 0.8:
        to, yaw = rng.choice(can_hop)
        return [(name, "yaw", {"angle_rad": math.remainder(yaw, math.pi)}), (name, "hop", {"to": to})]
    if rng.random() < 0.2:
        return [(name, "release" if crew.braced[i] else "brace", {})]
    if crew.braced[i] or rng.random() < 0.3:
        return [(name, "yaw", {"angle_rad": rng.uniform(-2, 2)})]
    bend = rng.choice([0.0, 0.0, rng.uniform(-40, 40)])
    return [(name, "slide", {"travel_m": rng.uniform(-0.12, 0.12), "curvature_per_m": bend})]


def quaternion(m):
    """[x, y, z, w] of a rotation matrix, by the largest of its four sums (Shepperd 1978)."""
    squares = 1 + np.array([[1, -1, -1], [-1, 1, -1], [-1, -1, 1], [1, 1, 1]]) @ np.diag(m)
    k = int(squares.argmax())
    skew = np.array([m[2, 1] - m[1, 2], m[0, 2] - m[2, 0], m[1, 0] - m[0, 1]])
    if k == 3:
        q = np.array([*skew, squares[3]])
    else:
        q = np.array([*(m[k] + m[:, k]), skew[k]])
        q[k] = squares[k]
    return (q / np.linalg.norm(q)).tolist()


def random_plan(seed):
    """(plan, rules it breaks by the reference's account)."""
    tree, rng = scenario(seed)
    scene = Scene(tree, kit.EDITION)
    crew, steps, clock = Crew(scene), [], 0.0
    while len(steps) < STEPS:
        for name, move, parameters in moves(rng, crew):
            step = {"module": name, "move": move, **parameters, "after": [], "utilisation": 0.0}
            motion = motion_of(step, crew)
            step["duration_s"] = costs.duration(motion, crew)
            last = steps[-1] if steps else None
            apart = last and last["module"] not in [name, *(crew.names[k] for k in motion.group + motion.chain)]
            early = last is not None and (apart and rng.random() < 0.7 or rng.random() < 0.03)
            step["start_s"] = rng.uniform(last["start_s"], clock) if early else clock + rng.choice([0.0, 0.001])
            step["start_s"] = max([step["start_s"], *(s["start_s"] + s["duration_s"] for s in steps[:-1])])
            motion.begin(crew)
            motion.finish(crew)
            i = motion.mover
            step["end"] = {"position_m": crew.p[i].tolist(), "orientation_xyzw": quaternion(crew.rot[i]),
                           "on": crew.host[i], "hold": "braced" if crew.braced[i] else "rolling"}
            steps.append(step)
            clock = max(clock, step["start_s"] + step["duration_s"])
    plan = {"format": f"clamber-plan/{kit.EDITION.number}", "scenario": scene.tree, "scenario_sha256": canonical.sha256(scene.tree),
            "planner": {"name": "random", "seed": seed, "version": "0"}, "status": "solved", "steps": steps,
            "summary": {}}
    replay = Replay(plan, scene)
    replay.run()
    broken = {line.split(": ")[1] for line in replay.violations} - {"utilisation", "gap", "summary"}
    return claimed(plan, replay), broken


def claimed(plan, replay):
    """The plan with the reference's figures as its claims."""
    steps = plan["steps"]
    for k, step in enumerate(steps):
        step["utilisation"] = min(max(replay.loads[k], default=0.0), 1e3)
        if replay.gaps.get(k) is not None:
            step["gap_m"] = replay.gaps[k]
    makespan = max((s["start_s"] + s["duration_s"] for s in steps), default=0.0)
    idle = sum(replay.scene.kinds[m.kind].idle_power_w for m in replay.scene.modules)
    least = min((g for g in replay.gaps.values() if g is not None), default=None)
    plan["summary"] = {"moves": len(steps), "makespan_s": makespan, "energy_j": replay.energy + idle * makespan,
                       "travel_m": sum(abs(s["travel_m"]) for s in steps if s["move"] in ("slide", "cross")),
                       "utilisation": max((s["utilisation"] for s in steps), default=0.0), "lower_bound_s": 0.0}
    if least is not None:
        plan["summary"]["gap_m"] = least
    return plan
