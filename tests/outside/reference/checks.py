"""What a scenario may say: places, names, outlines, and values that depend on one another (sections 7 and 9)."""

import math

import numpy as np
import shapely

from .fields import demand, vector
from .ground import plane_of

NOTHING = 1e-9  # a direction whose projection is shorter than this projects to nothing
STEEPEST_DEG = 60.0
PARTS = ("drive", "yaw", "cup")


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
    """A counter-clockwise polygon that does not cross or touch itself, without corners twice in a row."""
    if len(outline) < 3 or any(outline[k - 1] == outline[k] for k in range(len(outline))):
        return False
    polygon = shapely.Polygon(outline)
    return bool(polygon.is_valid and polygon.exterior.is_ccw)


def check_deck(deck):
    """An outline with heights or a top; a plane that is not too steep; a bottom below it."""
    where = f"deck {deck['name']}"
    sloped = "top_m" not in deck
    outline = [list(vector(v, 3 if sloped else 2, f"{where}.outline_m")) for v in deck["outline_m"]]
    demand(simple([corner[:2] for corner in outline]), f"{where}.outline_m: not counter-clockwise and simple")
    plane = plane_of(deck)
    heights = plane.height(np.array(outline))
    if sloped:
        demand(np.abs(heights - np.array(outline)[:, 2]).max() <= 1e-3, f"{where}.outline_m: the corners lie in no plane")
        demand(plane.normal[2] >= math.cos(math.radians(STEEPEST_DEG)) - 1e-12, f"{where}.outline_m: steeper than {STEEPEST_DEG} deg")
    demand(deck.get("bottom_m", -math.inf) < heights.min(), f"{where}.bottom_m: above the top")


def check_limits(limits, decks):
    """What limits, kinds and decks may say together."""
    tilt = max((d.get("tilt_deg", 0.0) for d in decks), default=0.0)
    total = limits["sway_deg"] + limits.get("motion_tilt_deg", 0.0) + tilt
    demand(total <= 90.0, "limits: sway, motion tilt and tilt of a deck are more than 90 deg together")
    if "recover_factor" in limits:
        demand(1 <= limits["recover_factor"] < limits["hold_factor"], "limits.recover_factor: not in [1, hold_factor)")


def check(tree):
    """Names, places and values that depend on one another; writes the default facing."""
    fixed = [entry["name"] for entry in [*tree["deck"], *tree.get("stone", [])]]
    slots = tree["goal"].get("slot", [])
    decks = {d["name"]: d for d in tree["deck"]}
    for group in (tree["module"], slots):
        names = fixed + [e["name"] for e in group]
        demand(len(set(names)) == len(names), "name: used twice")
        no_ring(group, decks, "module" if group is tree["module"] else "slot")
    for deck in tree["deck"]:
        check_deck(deck)
    check_limits(tree["limits"], tree["deck"])
    for stone in tree.get("stone", []):
        vector(stone["at_m"], 3, f"stone {stone['name']}.at_m")
    for name, kind in tree["kind"].items():
        demand(kind["ride_height_m"] >= kind["shell_radius_m"], f"kind {name}.ride_height_m: below the shell radius")
        demand(kind.get("peel_radius_m", 0.0) <= kind["foot_radius_m"], f"kind {name}.peel_radius_m: above the foot radius")
    for module in tree["module"]:
        check_module(module, decks, tree["kind"])
    for slot in slots:
        check_slot(slot, decks, tree, {s["name"]: s for s in slots})
    for entry in [*tree["module"], *slots]:
        demand(entry.get("hold", "rolling") in ("rolling", "braced"), f"{entry['name']}.hold: neither rolling nor braced")
    if "gather" in tree["goal"]:
        demand(tree["goal"]["gather"]["deck"] in decks, "goal.gather.deck: unknown")


def check_module(module, decks, kinds):
    where = f"module {module['name']}"
    demand(module["kind"] in kinds, f"{where}.kind: unknown")
    at = place(module, decks, where)
    lost = module.get("lost", [])
    demand(all(part in PARTS for part in lost) and len(set(lost)) == len(lost), f"{where}.lost: other than drive, yaw, cup")
    normal = plane_of(decks[module["on"]]).normal if module["on"] in decks else at / np.linalg.norm(at)
    if "facing" in module:
        demand(project(vector(module["facing"], 3, where), normal) is not None, f"{where}.facing: projects to nothing")
    else:
        ahead = project(np.array([1.0, 0, 0]), normal) is not None
        module["facing"] = [1.0, 0.0, 0.0] if ahead else [0.0, 1.0, 0.0]


def check_slot(slot, decks, tree, slots):
    where = f"slot {slot['name']}"
    place(slot, decks, where)
    demand(slot.get("kind", None) in {None, *tree["kind"]}, f"{where}.kind: unknown")
    demand(slot.get("module") in {None, *(m["name"] for m in tree["module"])}, f"{where}.module: unknown")
    if not slot.get("optional"):
        demand(not slots.get(slot["on"], {}).get("optional"), f"{where}.on: stands on a slot that may stay empty")
