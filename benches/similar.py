#!/usr/bin/env python3
"""Writes similar tasks: scenes scaled, turned, shifted, and with other masses, and a suite of them. Standard library only.

    python3 benches/similar.py -o similar fixtures/*.toml                        # eight scales of each
    python3 benches/similar.py -o turned --scale 1 --turn 33 --shift 4 -2 fixtures/*.toml
    python3 benches/similar.py -o drawn --draw 30 --seed 5 fixtures/*.toml       # 30 of each: sizes, headings, shifts and masses from a seed
    python3 benches/similar.py -o tilted --scale 1 --motion-tilt 3 fixtures/*.toml
    python3 benches/similar.py -o clear --scale 1 --ride-clearance 1 fixtures/*.toml
    clamber bench similar/suite.toml -o similar.jsonl
    python3 benches/count.py similar.jsonl

A similar task has the same answer. With lengths and speeds times k, forces as before and torques times k, every load condition is the same; with
masses and forces times m likewise. Turns by multiples of 45° keep the eight tilted directions of gravity; others change them a little.
A motion tilt and a ride clearance make other tasks of them, which a crew should do as well.
"""

import argparse
import json
import math
import pathlib
import random
import tomllib

from suite_file import write_suite

SCALES = [0.3, 0.5, 0.8, 1.2, 1.375, 2.0, 3.0, 4.0]
LENGTHS = ["shell_radius_m", "ride_height_m", "foot_radius_m", "com_height_m", "peel_radius_m", "step_limit_m"]
SPEEDS = ["slide_speed_mps"]
FORCES = ["magnet_force_n", "drive_force_n"]
TORQUES = ["yaw_torque_rolling_nm", "yaw_torque_braced_nm"]
LEAST_TOUCH_M, MOST_CLEARANCE_M = 2e-4, 1e-3  # of which the default of touch_tol_m is made


def times(table, names, factor):
    """Multiplies those numbers of a table that it has."""
    for name in names:
        if name in table:
            table[name] *= factor


def facing(module):
    """The way a module faces by default."""
    x, y, z = module.get("toward", [0, 0, 1])
    return [0, 1, 0] if math.hypot(y, z) < 1e-9 * abs(x) else [1, 0, 0]


def similar(scene, scale, turn_deg, shift_m, mass):
    """The scene as a similar task, changed in place."""
    c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))

    def way(v):
        return [c * v[0] - s * v[1], s * v[0] + c * v[1], *v[2:]]

    def at(p):
        x, y, *z = way([scale * x for x in p])
        return [x + shift_m[0], y + shift_m[1], *z]

    limits = scene.setdefault("limits", {})
    clearance = max(scene["kind"][m["kind"]]["ride_height_m"] - scene["kind"][m["kind"]]["shell_radius_m"] for m in scene["module"])
    limits.setdefault("touch_tol_m", LEAST_TOUCH_M + min(clearance, MOST_CLEARANCE_M))
    times(limits, ["touch_tol_m", "clearance_m"], scale)
    for kind in scene["kind"].values():
        times(kind, LENGTHS + SPEEDS, scale)
        times(kind, ["mass_kg", "cup_area_m2", *FORCES], mass)
        times(kind, TORQUES, scale * mass)
    for deck in scene["deck"]:
        deck["outline_m"] = [at(corner) for corner in deck["outline_m"]]
        times(deck, ["top_m", "bottom_m", "relief_m"], scale)
    for stone in scene.get("stone", []):
        stone["at_m"] = at(stone["at_m"])
        times(stone, ["radius_m"], scale)
    for module in scene["module"]:
        module.setdefault("facing", facing(module))
    for place in scene["module"] + scene.get("goal", {}).get("slot", []):
        times(place, ["payload_kg"], mass)
        for name, moved in [("at_m", at), ("toward", way), ("facing", way)]:
            if name in place:
                place[name] = moved(place[name])
    changes = [word for word, is_changed in [(f"scale {scale:g}", scale != 1), (f"turn {turn_deg:g}", turn_deg != 0),
                                             (f"shift {shift_m[0]:g} {shift_m[1]:g}", shift_m != [0.0, 0.0]),
                                             (f"mass {mass:g}", mass != 1)] if is_changed]
    scene["name"] = " ".join([scene["name"], *changes])
    return scene


def with_ride_clearance(scene, clearance_m):
    """The scene with feet that stand so much prouder of their shells, changed in place."""
    for kind in scene["kind"].values():
        kind["ride_height_m"] = kind["shell_radius_m"] + clearance_m
    scene.get("limits", {}).pop("touch_tol_m", None)
    return scene


def variants(args, scene_seed):
    """Name, scale, turn, shift and mass of each task that is made of a scene."""
    if not args.draw:
        return [(f"{scale:g}", scale, args.turn, args.shift, args.mass) for scale in args.scale]
    chance = random.Random(scene_seed)
    least, most = math.log(min(SCALES)), math.log(max(SCALES))
    return [(f"drawn{n}", round(math.exp(chance.uniform(least, most)), 4), round(chance.uniform(0, 360), 2),
             [round(chance.uniform(-5, 5), 3) for _ in "xy"], round(math.exp(chance.uniform(-math.log(2), math.log(2))), 4))
            for n in range(args.draw)]


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("scenes", nargs="+", type=pathlib.Path, help="scenes in TOML")
    parser.add_argument("-o", "--output", required=True, type=pathlib.Path, help="folder to write to")
    parser.add_argument("--scale", nargs="+", type=float, default=SCALES)
    parser.add_argument("--turn", type=float, default=0.0, metavar="DEG")
    parser.add_argument("--shift", nargs=2, type=float, default=[0.0, 0.0], metavar=("X_M", "Y_M"))
    parser.add_argument("--mass", type=float, default=1.0, metavar="FACTOR")
    parser.add_argument("--draw", type=int, default=0, metavar="N", help="N tasks of each scene, with all four drawn from the seed")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--motion-tilt", type=float, metavar="DEG")
    parser.add_argument("--ride-clearance", type=float, metavar="MM")
    parser.add_argument("--time", type=float, default=20.0, metavar="SECONDS", help="time limit of a run in the suite")
    args = parser.parse_args()
    args.output.mkdir(parents=True, exist_ok=True)
    for path in args.scenes:
        for name, scale, turn, shift, mass in variants(args, f"{path.stem} {args.seed}"):
            scene = tomllib.loads(path.read_text(encoding="utf-8"))
            if args.ride_clearance is not None:
                with_ride_clearance(scene, args.ride_clearance / 1000)
            if args.motion_tilt is not None:
                scene.setdefault("limits", {})["motion_tilt_deg"] = args.motion_tilt
            similar(scene, scale, turn, shift, mass)
            file = args.output / f"{path.stem}_{name}.json"
            file.write_text(json.dumps(scene, indent=1) + "\n", encoding="utf-8")
    write_suite(args.output, "similar tasks", "*.json", args.time)


if __name__ == "__main__":
    main()
