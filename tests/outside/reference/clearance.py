"""Rule 5 of section 4: how much gap a moving shell keeps from what does not move with it."""

import math

import numpy as np
import shapely

from .ground import Stone, nearest_of
from .history import span
from .solids import sphere_points

POINTS = 20000  # on a ball that is partly no body
NEAR = 1e-4  # what is this close to too little between samples is looked at closely


def own_grounds(crew, motions, i):
    """The grounds that a module's own foot stands on; in a cross and a stride the old one and the new one."""
    for motion in motions:
        if motion.mover == i and motion.move in ("cross", "stride"):
            return [crew.scene.ground_of[name] for name in {motion.old, motion.new} if name in crew.scene.decks]
    return [crew.ground(i)] if crew.ground(i) else []


def hidden(points, own):
    """Which points lie, seen from above, within the outline of such a ground and not above its plane."""
    out = np.zeros(len(points), bool)
    for ground in own:
        out |= shapely.intersects_xy(ground.outline, points[:, 0], points[:, 1]) & (ground.plane.over(points) <= 1e-9)
    return out


def rim(centre, radius, plane):
    """Points of the circle in which a ball comes out of a plane, just above it."""
    height = plane.over(centre)
    if abs(height) >= radius:
        return np.zeros((0, 3))
    width = math.sqrt(radius**2 - height**2)
    across = np.linalg.svd(plane.normal[None])[2][1:]
    turn = np.linspace(0, 2 * math.pi, POINTS // 10, endpoint=False)
    return centre + (1e-8 - height) * plane.normal + width * np.column_stack([np.cos(turn), np.sin(turn)]) @ across


def surface_left(centre, radius, own):
    """Points all over what is left of a ball without what is hidden of it."""
    surface = np.concatenate([centre + radius * sphere_points(POINTS), *(rim(centre, radius, g.plane) for g in own)])
    return surface[~hidden(surface, own)]


def ball_distance(centres, radius, points, own):
    """Distance of each point from a ball about its centre, without what is hidden of the ball."""
    line = points - centres
    away = np.linalg.norm(line, axis=1)
    out = away - radius
    surfaces = {}
    for k in np.where(hidden(centres + radius * line / np.maximum(away, 1e-300)[:, None], own))[0]:
        at = centres[k].tobytes()
        if at not in surfaces:
            surfaces = {at: surface_left(centres[k], radius, own)}
        out[k] = np.linalg.norm(surfaces[at] - points[k], axis=1).min(initial=np.inf)
    return out


class Bodies:
    """Distances to bodies without what is hidden; solids cut to that are kept."""

    def __init__(self, scene):
        self.scene, self.cut = scene, {}

    def solids(self, body, own):
        """The solids of a ground without what lies under the own grounds."""
        key = (body.name, *(g.name for g in own))
        if key not in self.cut:
            solids = body.solids
            for ground in own:
                solids = [part for solid in solids for part in solid.without_below(ground.outline, ground.plane)]
            self.cut[key] = solids
        return self.cut[key]

    def gap(self, crew, motions, i, j):
        """Gaps of shell i and body j (bodies count after modules), one for each instant of the crew."""
        n, own, centres = len(crew.names), own_grounds(crew, motions, i), np.atleast_2d(crew.p[i])
        if j < n:
            return ball_distance(np.atleast_2d(crew.p[j]), crew.radii[j], centres, own) - crew.radii[i]
        body = self.scene.bodies[j - n]
        if isinstance(body, Stone):
            return ball_distance(np.broadcast_to(body.centre, centres.shape), body.radius, centres, own) - crew.radii[i]
        if body in own:
            return np.full(len(centres), np.inf) if not strides(motions, i) else body.nearest(centres)[1] - crew.radii[i]
        solids = self.solids(body, own)
        return nearest_of(solids, centres)[1] - crew.radii[i] if solids else np.full(len(centres), np.inf)


def strides(motions, i):
    return any(m.move == "stride" and m.mover == i for m in motions)


def wanted(scene, centres, j, n):
    """The clearance that body j asks for at each place of a shell."""
    body = scene.bodies[j - n] if j >= n else None
    if body is None or not body.rough:
        return np.full(len(centres), scene.limits.clearance_m)
    above = np.maximum(0.0, body.plane.over(centres))
    return scene.limits.clearance_m + body.relief_m + above * math.sin(math.radians(body.tilt_deg))


def pairs(phase):
    """(motion, shell that it moves, body that it does not move), not bonded to each other."""
    crew, n = phase.crew, len(phase.crew.names)
    bonds = {(i, crew.body_of(host)) for i, host in enumerate(crew.host)}
    bonds |= {(m.mover, crew.body_of(m.new)) for m in phase.motions if m.move == "hop"}
    bonds -= {(m.mover, crew.body_of(m.old)) for m in phase.motions if m.move == "stride"}
    for motion in phase.motions:
        if not motion.displaces:
            continue
        crossed = {crew.body_of(motion.old), crew.body_of(motion.new)} if motion.move == "cross" else set()
        for i in motion.group:
            others = set(range(n + len(crew.scene.bodies))) - set(motion.group) - crossed
            if i in motion.planted:
                others |= set(motion.group) - set(motion.planted)
            for j in sorted(others):
                if (i, j) not in bonds and (j, i) not in bonds:
                    yield motion, i, j


def least_at_ends(phase, history, bodies, i, j):
    """The least gap that counts at the start and end of the moves under way that move either; inf where none does."""
    tol, found = phase.crew.scene.limits.touch_tol_m, [math.inf]
    for motion in phase.motions:
        if motion.displaces and {i, j} & set(motion.group):
            for t, crew in zip(span(motion), (motion.before, motion.after)):
                gap = bodies.gap(crew, phase.motions, i, j)[0]
                if abs(gap) <= tol or history.counts(crew, i, j, t):
                    found.append(gap)
    return min(found)


def margins(phase, history, bodies, crew, plain):
    """(i, j, margin) of pairs that come near, `margin` a function of a crew at several instants: how much more than wanted their gap is.

    `crew` and `plain`, the gaps of all its pairs, are samples of the phase.
    """
    scene, n = phase.crew.scene, len(phase.crew.names)
    for _, i, j in pairs(phase):
        asked = wanted(scene, crew.p[i], j, n)
        if asked.max() <= 0 or (plain[:, i, j] >= asked + NEAR).all():
            continue
        least = least_at_ends(phase, history, bodies, i, j)
        def margin(crew, i=i, j=j, least=least):
            return bodies.gap(crew, phase.motions, i, j) - np.minimum(wanted(scene, crew.p[i], j, n), least)
        yield i, j, margin
