"""When a formed machine may make a step (section 6, `stride`)."""

import math

import numpy as np
import shapely

from .pose import angle_between
from .solids import Plane

TOL, SQUARE, ARMS, EQUAL = 1e-6, 1e-3, 1e-8, 1e-9
INSTANTS = 401


def resting_on(crew, k):
    """The ground whose top a shell touches, or None."""
    tol = crew.scene.limits.touch_tol_m
    return next((g for g in crew.scene.grounds
                 if g.margin(crew.p[k]) >= -TOL and abs(g.plane.over(crew.p[k]) - crew.radii[k]) <= tol), None)


def magnet_acts(kind, ground):
    return ground.ferrous and kind.magnet_force_n > 0


def problems(motion, crew):
    """What forbids this stride."""
    i, scene = motion.mover, crew.scene
    old, new = crew.ground(i), scene.ground_of[motion.new]
    if old is None:
        yield "stride", "the mover stands on no deck"
        return
    for ground in (old, new):
        if not ground.plane.level or magnet_acts(crew.kinds[i], ground):
            yield "stride", f"{ground.name} is sloped, or the mover's magnets act on it"
    if len(set(motion.planted)) < 3 or len(set(motion.planted)) < len(motion.planted):
        yield "stride", "fewer than three planted modules"
    for k in motion.planted:
        for message in not_planted(motion, crew, k):
            yield "stride", f"{crew.names[k]} {message}"
    if any(np.linalg.norm(arm - motion.arms[0]) > ARMS for arm in motion.arms):
        yield "stride", "the planted modules do not stand alike to their hosts"
    yield from landing(motion, crew, new)


def not_planted(motion, crew, k):
    """Why a module cannot be planted."""
    if k not in motion.group or k == motion.mover:
        yield "is no part of the machine"
    if crew.scene.modules[k].stuck or crew.lost(k, "drive") or crew.braced[k]:
        yield "cannot roll"
    if crew.standing_on(k):
        yield "is stood on"
    if abs(crew.radii[k] - motion.radius) > EQUAL:
        yield "has another radius"
    if abs(angle_between(crew.rot[k][:, 0], motion.axis) - math.pi / 2) > SQUARE:
        yield "has its tracks not square to the axis"
    ground = resting_on(crew, k)
    if ground is None:
        yield "touches the top of no deck"
    else:
        if not ground.plane.level or ground.relief_m > 0:
            yield f"rolls on {ground.name}, which is sloped or has relief"
        start = crew.p[k][:2]
        line = shapely.LineString([start, start + motion.radius * motion.angle * motion.ahead[:2]])
        if not ground.outline.buffer(TOL).covers(line):
            yield f"rolls off {ground.name}"


def foot_enters(deck, sole, radius):
    """Whether a level disc lies in part in the solid of a deck."""
    if sole[2] <= getattr(deck, "bottom_m", -math.inf) + TOL:
        return False
    deep = shapely.intersection(deck.polygon, deck.plane.where_above(Plane(sole[2] + TOL)))
    return not deep.is_empty and deep.distance(shapely.Point(sole[:2])) < radius - 1e-9


def landing(motion, crew, ground):
    """The mover's foot comes down on the ground and passes through nothing on the way."""
    i, there = motion.mover, crew.copy()
    radius = crew.kinds[i].foot_radius_m
    for progress in np.linspace(0, 1, INSTANTS):
        motion.place(there, progress)
        for deck in there.scene.decks.values():
            if foot_enters(deck, there.sole(i), radius):
                yield "stride", f"the foot passes through {deck.name} at progress {progress:.4f}"
                return
    sole = there.sole(i)
    if abs(ground.plane.over(sole)) > TOL:
        yield "stride", f"the foot does not come down on {ground.name}"
    if ground.margin(sole) < radius - TOL:
        yield "outline", f"the foot comes down outside the outline of {ground.name}"
