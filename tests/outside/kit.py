"""Shared by the tests: the tool under test, scene files, one kind of module."""

import json
import os
import subprocess
from pathlib import Path

from reference.edition import SECOND

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
EDITION = SECOND  # of the model page that the tool under test follows
BINARY = Path(os.environ.get("CLAMBER_BIN", ROOT / "target" / "release" / "clamber"))

COBBLE = {
    "shell_radius_m": 0.060, "ride_height_m": 0.060, "foot_radius_m": 0.040, "mass_kg": 0.50, "com_height_m": -0.010,
    "shell_reach_deg": 130.0, "hop_limit_deg": 100.0, "magnet_force_n": 30.0, "cup_area_m2": 1.2e-3,
    "cup_vacuum_pa": 45000.0, "bond_friction": 0.6, "shell_friction": 0.25, "hop_hold": 0.6, "drive_force_n": 14.0,
    "yaw_torque_rolling_nm": 0.5, "yaw_torque_braced_nm": 1.6, "slide_speed_mps": 0.05, "yaw_rate_rolling_radps": 0.8,
    "yaw_rate_braced_radps": 0.3, "hop_time_s": 4.0, "brace_time_s": 2.0, "release_time_s": 1.0, "drive_power_w": 6.0,
    "yaw_power_w": 4.0, "hop_power_w": 6.0, "brace_energy_j": 15.0, "idle_power_w": 0.8,
}


def slab(name="ground", size=4.0, top=0.0, **more):
    """A square deck about the origin."""
    outline = [[-size, -size], [size, -size], [size, size], [-size, size]]
    return {"name": name, "outline_m": outline, "top_m": top, "friction": 0.7} | more


def scene(modules, decks=None, kinds=None, **more):
    """A whole scenario tree; the goal is one that any crew meets."""
    decks = decks or [slab()]
    return {"format": "clamber-scenario/1", "name": "made by a test", "deck": decks, "kind": kinds or {"cobble": COBBLE},
            "module": [{"kind": "cobble"} | m for m in modules],
            "goal": {"gather": {"deck": decks[0]["name"], "count": 1}}} | more


def write_toml(tree, path):
    """Write a scenario as TOML (the few constructs it needs)."""
    lines = [f"{key} = {json.dumps(tree[key])}" for key in ("format", "name")]
    def section(head, entries):
        lines.extend([head, *(f"{key} = {json.dumps(value)}" for key, value in entries.items())])
    for key in ("site", "limits"):
        if key in tree:
            section(f"[{key}]", tree[key])
    for name, kind in tree["kind"].items():
        section(f"[kind.{name}]", kind)
    for key in ("deck", "stone", "module"):
        for entry in tree.get(key, []):
            section(f"[[{key}]]", entry)
    for slot in tree["goal"].get("slot", []):
        section("[[goal.slot]]", slot)
    if "gather" in tree["goal"]:
        section("[goal.gather]", tree["goal"]["gather"])
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def clamber(*arguments, timeout=300):
    """Run the tool; a missing binary is a failure, never a skip."""
    assert BINARY.exists(), f"{BINARY} is missing: build it with `cargo build --release` or set CLAMBER_BIN"
    return subprocess.run([BINARY, *map(str, arguments)], capture_output=True, text=True, timeout=timeout, check=False)


def inspect(paths, chunk=40):
    """What the tool says about each scene, in order."""
    answers = []
    for at in range(0, len(paths), chunk):
        run = clamber("inspect", *paths[at:at + chunk], "--json")
        lines = [json.loads(line) for line in run.stdout.splitlines() if line.strip()]
        assert len(lines) == len(paths[at:at + chunk]), f"one answer per scene wanted: {run.stderr[:2000]}"
        answers += lines
    return answers
