"""Scenario files (section 7): read, checked, every default written out."""

import json
import math
import tomllib
from types import SimpleNamespace

import numpy as np

REQUIRED = object()
KIND = """shell_radius_m ride_height_m foot_radius_m mass_kg com_height_m shell_reach_deg hop_limit_deg magnet_force_n
cup_area_m2 cup_vacuum_pa bond_friction shell_friction hop_hold drive_force_n yaw_torque_rolling_nm
yaw_torque_braced_nm slide_speed_mps yaw_rate_rolling_radps yaw_rate_braced_radps hop_time_s brace_time_s
release_time_s drive_power_w yaw_power_w hop_power_w brace_energy_j idle_power_w""".split()
POSITIVE = {"shell_radius_m", "ride_height_m", "foot_radius_m", "mass_kg", "slide_speed_mps", "hold_factor",
            "yaw_rate_rolling_radps", "yaw_rate_braced_radps", "gravity_mps2"}
SIGNED = {"com_height_m", "altitude_m", "top_m", "bottom_m"}
# field: (type, default); a default of None leaves an absent field absent
SITE = {"altitude_m": (float, 0.0), "gravity_mps2": (float, 9.80665)}
LIMITS = {"hold_factor": (float, 1.5), "sway_deg": (float, 3.0), "motion_factor": (float, 1.1),
          "touch_tol_m": (float, 0.0002)}
DECK = {"name": (str, REQUIRED), "outline_m": (list, REQUIRED), "top_m": (float, REQUIRED), "bottom_m": (float, None),
        "friction": (float, REQUIRED), "ferrous": (bool, False), "sealable": (bool, False)}
PLACE = {"name": (str, REQUIRED), "on": (str, REQUIRED), "at_m": (list, None), "toward": (list, None)}
MODULE = PLACE | {"kind": (str, REQUIRED), "facing": (list, None), "hold": (str, "rolling"), "stuck": (bool, False),
                  "payload_kg": (float, 0.0)}
SLOT = PLACE | {"kind": (str, None), "module": (str, None), "hold": (str, None), "payload_kg": (float, 0.0)}
GATHER = {"deck": (str, REQUIRED), "count": (int, None)}
NOTHING = 1e-9  # a direction whose projection is shorter than this projects to nothing


class SceneError(Exception):
    """The file says something that the model page does not allow."""


def demand(condition, message):
    if not condition:
        raise SceneError(message)


def numeric(value):
    return isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)


def table(source, fields, where):
    """Check one table against its fields and write the defaults out."""
    demand(isinstance(source, dict), f"{where}: not a table")
    for key in source:
        demand(key in fields, f"{where}.{key}: unknown field")
    out = {}
    for key, (kind, default) in fields.items():
        value = source.get(key, default)
        demand(value is not REQUIRED, f"{where}.{key}: missing")
        if value is None:
            demand(key not in source, f"{where}.{key}: no value")
            continue
        if kind is float:
            demand(numeric(value), f"{where}.{key}: not a finite number")
            demand(key in SIGNED or value > 0 or (value == 0 and key not in POSITIVE), f"{where}.{key}: out of range")
            value = float(value)
        demand(isinstance(value, kind) and (kind is bool) == isinstance(value, bool), f"{where}.{key}: wrong type")
        out[key] = value
    return out


def vector(value, length, where):
    demand(isinstance(value, list) and len(value) == length and all(map(numeric, value)), f"{where}: not {length} numbers")
    return np.array(value, float)


def project(direction, normal):
    """The part of a direction that lies in the surface, as a unit vector; None where nothing is left."""
    direction = direction / max(np.linalg.norm(direction), 1e-300)
    flat = direction - normal * (direction @ normal)
    return flat / np.linalg.norm(flat) if np.linalg.norm(flat) > NOTHING else None


def place(entry, decks, where):
    """A place is x, y on a deck, or a direction on a module (or slot)."""
    wanted, other = ("at_m", "toward") if entry["on"] in decks else ("toward", "at_m")
    demand(wanted in entry and other not in entry, f"{where}: needs {wanted} and no {other} on {entry['on']}")
    at = vector(entry[wanted], 2 if wanted == "at_m" else 3, f"{where}.{wanted}")
    demand(wanted == "at_m" or np.linalg.norm(at) > 0, f"{where}.toward: no direction")
    return at


def no_ring(entries, decks, what):
    """Every chain of 'on' must end on a deck."""
    on = {entry["name"]: entry["on"] for entry in entries}
    for name in on:
        seen, at = set(), name
        while at not in decks:
            demand(at in on, f"{what} {name}: stands on unknown {at}")
            demand(at not in seen, f"{what} {name}: bonds form a ring")
            seen.add(at)
            at = on[at]


def simple(outline):
    """A counter-clockwise polygon that does not cross itself."""
    n = len(outline)
    if n < 3 or sum(outline[i - 1][0] * outline[i][1] - outline[i][0] * outline[i - 1][1] for i in range(n)) <= 0:
        return False
    def side(a, b, c):
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    for i in range(n):
        for j in range(i + 2, n - (i == 0)):
            a, b, c, d = outline[i], outline[i + 1], outline[j], outline[(j + 1) % n]
            if side(a, b, c) * side(a, b, d) <= 0 and side(c, d, a) * side(c, d, b) <= 0:
                return False
    return True


def resolve(tree):
    """The same tree with every default written out."""
    demand(isinstance(tree, dict), "not a table")
    for key in tree:
        demand(key in {"format", "name", "site", "limits", "deck", "kind", "module", "goal"}, f"{key}: unknown field")
    demand(tree.get("format") == "clamber-scenario/1", "format: not clamber-scenario/1")
    demand(isinstance(tree.get("name"), str), "name: missing")
    out = {"format": tree["format"], "name": tree["name"], "site": table(tree.get("site", {}), SITE, "site"),
           "limits": table(tree.get("limits", {}), LIMITS, "limits")}
    out["deck"] = [table(d, DECK, f"deck[{i}]") for i, d in enumerate(tree.get("deck", []))]
    fields = {name: (float, REQUIRED) for name in KIND}
    out["kind"] = {name: table(k, fields, f"kind.{name}") for name, k in tree.get("kind", {}).items()}
    out["module"] = [table(m, MODULE, f"module[{i}]") for i, m in enumerate(tree.get("module", []))]
    goal = tree.get("goal", {})
    demand(isinstance(goal, dict) and set(goal) <= {"slot", "gather"}, "goal: unknown field")
    out["goal"] = {}
    if "slot" in goal:
        out["goal"]["slot"] = [table(s, SLOT, f"goal.slot[{i}]") for i, s in enumerate(goal["slot"])]
    if "gather" in goal:
        out["goal"]["gather"] = table(goal["gather"], GATHER, "goal.gather")
        out["goal"]["gather"].setdefault("count", len(out["module"]))
    check(out)
    if not out["goal"]:
        del out["goal"]
    return out


def check(tree):
    """Names, places and values that depend on one another; writes the default facing."""
    decks = {d["name"] for d in tree["deck"]}
    slots = tree["goal"].get("slot", [])
    for group in (tree["module"], slots):
        names = [d["name"] for d in tree["deck"]] + [e["name"] for e in group]
        demand(len(set(names)) == len(names), "name: used twice")
        no_ring(group, decks, "module" if group is tree["module"] else "slot")
    for deck in tree["deck"]:
        outline = [list(vector(v, 2, f"deck {deck['name']}.outline_m")) for v in deck["outline_m"]]
        demand(simple(outline), f"deck {deck['name']}.outline_m: not counter-clockwise and simple")
        demand(deck.get("bottom_m", -math.inf) < deck["top_m"], f"deck {deck['name']}.bottom_m: above the top")
    for name, kind in tree["kind"].items():
        demand(kind["ride_height_m"] >= kind["shell_radius_m"], f"kind {name}.ride_height_m: below the shell radius")
    for module in tree["module"]:
        where = f"module {module['name']}"
        demand(module["kind"] in tree["kind"], f"{where}.kind: unknown")
        at = place(module, decks, where)
        normal = np.array([0, 0, 1.0]) if module["on"] in decks else at / np.linalg.norm(at)
        if "facing" in module:
            demand(project(vector(module["facing"], 3, where), normal) is not None, f"{where}.facing: projects to nothing")
        else:
            ahead = project(np.array([1.0, 0, 0]), normal) is not None
            module["facing"] = [1.0, 0.0, 0.0] if ahead else [0.0, 1.0, 0.0]
    for slot in slots:
        place(slot, decks, f"slot {slot['name']}")
        demand(slot.get("kind", None) in {None, *tree["kind"]}, f"slot {slot['name']}.kind: unknown")
        demand(slot.get("module") in {None, *(m["name"] for m in tree["module"])}, f"slot {slot['name']}.module: unknown")
    for entry in [*tree["module"], *slots]:
        demand(entry.get("hold", "rolling") in ("rolling", "braced"), f"{entry['name']}.hold: neither rolling nor braced")
    if "gather" in tree["goal"]:
        demand(tree["goal"]["gather"]["deck"] in decks, "goal.gather.deck: unknown")


class Scene:
    """A resolved scenario as objects; field names are the file's."""

    def __init__(self, tree):
        self.tree = resolve(tree)
        self.site = SimpleNamespace(**self.tree["site"])
        self.limits = SimpleNamespace(**self.tree["limits"])
        self.decks = {d["name"]: SimpleNamespace(**{"bottom_m": -math.inf} | d) for d in self.tree["deck"]}
        for deck in self.decks.values():
            deck.outline = np.array(deck.outline_m, float)
        self.kinds = {name: SimpleNamespace(**kind) for name, kind in self.tree["kind"].items()}
        self.modules = [SimpleNamespace(**m) for m in self.tree["module"]]
        self.slots = [SimpleNamespace(**s) for s in self.tree.get("goal", {}).get("slot", [])]
        gather = self.tree.get("goal", {}).get("gather")
        self.gather = SimpleNamespace(**gather) if gather else None


def load(path):
    """Read a scenario file."""
    try:
        with open(path, "rb") as file:
            tree = json.load(file) if str(path).endswith(".json") else tomllib.load(file)
    except (ValueError, OSError) as error:
        raise SceneError(f"{path}: {error}") from error
    return Scene(tree)
