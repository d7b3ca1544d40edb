"""Fixed bodies: decks joined to grounds, and stones (section 3)."""

import math
from types import SimpleNamespace

import numpy as np
import shapely

from .solids import DEEP, Plane, Prism

NEAR = 1e-6
SURFACE = ("friction", "ferrous", "sealable", "relief_m", "tilt_deg")


def plane_of(deck):
    """The plane of a resolved deck; a sloped one is fixed by its first three corners not in line."""
    if "top_m" in deck:
        return Plane(deck["top_m"])
    a, b, *rest = np.array(deck["outline_m"], float)
    along = (b - a)[:2] / np.linalg.norm((b - a)[:2])
    third = next(c for c in rest if abs(along[0] * (c - a)[1] - along[1] * (c - a)[0]) > NEAR)
    return Plane.through([a, b, third])


def deck_of(entry):
    """A deck as an object: the fields of the file, its plane, its outline seen from above and its solid."""
    deck = SimpleNamespace(**entry)
    deck.plane = plane_of(entry)
    deck.outline = np.array([corner[:2] for corner in entry["outline_m"]], float)
    deck.polygon = shapely.Polygon(deck.outline)
    deck.solid = Prism(deck.polygon, deck.plane, Plane(getattr(deck, "bottom_m", DEEP)))
    return deck


class Ground:
    """Decks in one plane that hang together: one body, and one surface for feet."""

    def __init__(self, decks):
        self.decks, self.plane = decks, decks[0].plane
        self.name, self.friction, self.ferrous, self.sealable, self.relief_m, self.tilt_deg = (
            getattr(decks[0], key) for key in ("name", *SURFACE))
        self.rough = self.relief_m > 0 or self.tilt_deg > 0
        self.solids = [deck.solid for deck in decks]
        self.outline = decks[0].polygon
        if len(decks) > 1:  # a closing joins what is less than 1e-6 m apart
            whole = shapely.union_all([deck.polygon for deck in decks])
            self.outline = whole.buffer(NEAR, join_style="mitre", mitre_limit=1e3).buffer(-NEAR, join_style="mitre", mitre_limit=1e3)
        shapely.prepare(self.outline)
        across = np.array([-self.plane.gradient[1], self.plane.gradient[0]]) if not self.plane.level else np.array([1.0, 0.0])
        first = np.append(across / np.linalg.norm(across), 0.0)  # level, so it is as long from above as in the plane
        self.basis = np.array([first, np.cross(self.plane.normal, first)])
        self.in_plane = shapely.transform(self.outline, self.flat)
        self.edge = self.in_plane.boundary
        shapely.prepare((self.in_plane, self.edge))

    def flat(self, at):
        """Coordinates within the plane of points seen from above."""
        return (self.plane.lift(at) - [0, 0, self.plane.z0]) @ self.basis.T

    def margin(self, at):
        """How far inside the outline points of the plane lie, measured in the plane; negative outside."""
        points = shapely.points(self.flat(np.asarray(at, float)[..., :2]))
        span = shapely.distance(self.edge, points)
        return np.where(shapely.covers(self.in_plane, points), span, -span)

    def holders(self, at):
        """The decks that may be called the host of a foot here: the first that holds the point, and those within 1e-6 m before it."""
        found = []
        for deck in self.decks:
            point = shapely.Point(at[:2])
            edge, within = deck.polygon.boundary.distance(point), deck.polygon.covers(point)
            if within or edge <= NEAR:
                found.append(deck.name)
            if within and edge > NEAR:
                break
        return found

    def nearest(self, points):
        """The nearest points of the body, and the distances; inside a distance is <= 0."""
        return nearest_of(self.solids, points)


def nearest_of(solids, points):
    """The nearest points of several solids together."""
    found = [solid.nearest(points) for solid in solids]
    best = np.argmin([distance for _, distance in found], axis=0)
    rows = np.arange(len(points))
    return np.array([point for point, _ in found])[best, rows], np.array([distance for _, distance in found])[best, rows]


class Stone:
    """A fixed ball."""

    relief_m = tilt_deg = 0.0
    rough = False

    def __init__(self, entry):
        self.name, self.radius, self.friction = entry["name"], entry["radius_m"], entry["friction"]
        self.centre = np.array(entry["at_m"], float)

    def nearest(self, points):
        line = points - self.centre
        away = np.linalg.norm(line, axis=1)
        return self.centre + self.radius * line / np.maximum(away, 1e-300)[:, None], away - self.radius


def in_one_plane(first, other):
    """Whether a deck lies in the plane of the first deck of a ground."""
    off = np.abs(first.plane.height(other.outline) - other.plane.height(other.outline)).max()
    turn = math.atan2(np.linalg.norm(np.cross(first.plane.normal, other.plane.normal)), first.plane.normal @ other.plane.normal)
    return off <= NEAR and turn <= 1e-6


def grounds(decks, join):
    """The grounds in the order of the list of decks; where decks do not join, each is a ground of its own."""
    out, waiting = [], list(decks)
    while waiting:
        members = [waiting.pop(0)]
        first = members[0]
        alike = [d for d in waiting if join and in_one_plane(first, d) and all(getattr(d, k) == getattr(first, k) for k in SURFACE)]
        for member in members:  # grows while it is gone through
            for deck in [d for d in alike if d.polygon.distance(member.polygon) <= NEAR]:
                alike.remove(deck)
                waiting.remove(deck)
                members.append(deck)
        out.append(Ground(sorted(members, key=decks.index)))
    return out
