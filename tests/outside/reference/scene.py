"""Scenario files (section 7): read, checked, every default written out."""

import json
import tomllib
from types import SimpleNamespace

from . import fields
from .checks import check
from .edition import SECOND
from .fields import SceneError, demand, table, with_later
from .ground import Stone, deck_of, grounds

TOUCH_TOL, GIVES = 2e-4, 1e-3  # the default touch tolerance without ride clearance, and how much of that counts


def touch_tolerance(tree, edition):
    """The default of touch_tol_m: a crew gives by its ride clearance before weight is carried."""
    used = [tree["kind"][m["kind"]] for m in tree["module"] if m["kind"] in tree["kind"]]
    clearance = max((k["ride_height_m"] - k["shell_radius_m"] for k in used), default=0.0)
    return TOUCH_TOL + min(GIVES, max(0.0, clearance)) if edition.later else TOUCH_TOL


def resolve(tree, edition):
    """The same tree with every default written out."""
    known = fields.SECOND if edition.later else fields.FIRST
    demand(isinstance(tree, dict), "not a table")
    for key in tree:
        demand(key in {"format", "name", "site", "limits", "goal", *known} - {"slot", "gather"}, f"{key}: unknown field")
    demand(tree.get("format") == "clamber-scenario/1", "format: not clamber-scenario/1")
    demand(isinstance(tree.get("name"), str), "name: missing")
    out = {"format": tree["format"], "name": tree["name"], "site": table(tree.get("site", {}), known["site"], "site")}
    for name in ("deck", "stone", "module"):
        if name in tree or name != "stone":
            out[name] = [table(d, known[name], f"{name}[{i}]") for i, d in enumerate(tree.get(name, []))]
    out["kind"] = {name: table(k, known["kind"], f"kind.{name}") for name, k in tree.get("kind", {}).items()}
    demand(isinstance(tree.get("limits", {}), dict), "limits: not a table")
    out["limits"] = table({"touch_tol_m": touch_tolerance(out, edition)} | tree.get("limits", {}), known["limits"], "limits")
    goal = tree.get("goal", {})
    demand(isinstance(goal, dict) and set(goal) <= {"slot", "gather"}, "goal: unknown field")
    out["goal"] = {}
    if "slot" in goal:
        out["goal"]["slot"] = [table(s, known["slot"], f"goal.slot[{i}]") for i, s in enumerate(goal["slot"])]
    if "gather" in goal:
        out["goal"]["gather"] = table(goal["gather"], known["gather"], "goal.gather")
        out["goal"]["gather"].setdefault("count", len(out["module"]))
    check(out)
    if not out["goal"]:
        del out["goal"]
    return out


class Scene:
    """A resolved scenario as objects; field names are the file's."""

    def __init__(self, tree, edition=SECOND):
        self.edition, self.tree = edition, resolve(tree, edition)
        self.site = SimpleNamespace(**self.tree["site"])
        self.limits = SimpleNamespace(**{"recover_factor": None} | with_later(self.tree["limits"], "limits"))
        self.grounds = grounds([deck_of(with_later(d, "deck")) for d in self.tree["deck"]], edition.later)
        self.decks = {deck.name: deck for ground in self.grounds for deck in ground.decks}
        self.ground_of = {deck.name: ground for ground in self.grounds for deck in ground.decks}
        self.stones = [Stone(entry) for entry in self.tree.get("stone", [])]
        self.bodies = [*self.grounds, *self.stones]
        self.kinds = {name: SimpleNamespace(**with_later(kind, "kind")) for name, kind in self.tree["kind"].items()}
        self.modules = [SimpleNamespace(**with_later(m, "module")) for m in self.tree["module"]]
        self.slots = [SimpleNamespace(**with_later(s, "slot")) for s in self.tree.get("goal", {}).get("slot", [])]
        gather = self.tree.get("goal", {}).get("gather")
        self.gather = SimpleNamespace(**gather) if gather else None


def load(path, edition=SECOND):
    """Read a scenario file."""
    try:
        with open(path, "rb") as file:
            tree = json.load(file) if str(path).endswith(".json") else tomllib.load(file)
    except (ValueError, OSError) as error:
        raise SceneError(f"{path}: {error}") from error
    return Scene(tree, edition)
