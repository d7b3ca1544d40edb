"""Touches: which count, and what they may push (sections 2, 5, 6, 9)."""

import math

import numpy as np

from .gaps import between_shells
from .load import Touch
from .pose import cross


def keeping(crew, motions):
    """(group of every module, 0 for those that keep their places; planted modules are groups of their own)."""
    group = np.zeros(len(crew.names), int)
    for motion in motions:
        if motion.displaces:
            group[motion.group] = group.max() + 1
        for k in motion.planted:
            group[k] = group.max() + 1
    return group


def under(crew, body, i):
    """Whether a shell lies on the top of a ground (that is: not on an edge or a wall of it)."""
    ground = crew.scene.ground_of.get(body.name)
    return ground is not None and ground.margin(crew.p[i]) >= 0 and abs(ground.plane.over(crew.p[i]) - crew.radii[i]) <= crew.scene.limits.touch_tol_m


def slips(crew, touch, hops):
    """The touch as it is while modules hop: the hopping one is its first body, and slips."""
    hop = hops.get(touch.a) or hops.get(touch.b)
    if hop is None:
        return touch
    if touch.a != hop.mover:
        touch = Touch(touch.b, touch.a, -touch.normal, touch.point, touch.friction)
    touch.slip = touch.normal
    if 1e-6 <= hop.angle <= math.pi - 1e-6:
        along = cross(hop.axis / np.linalg.norm(hop.axis), touch.point - crew.p[hop.mover])
        speed = np.linalg.norm(along)
        if speed >= 1e-9 * crew.radii[hop.mover]:
            touch.slip = touch.normal - touch.friction * along / speed
    return touch


def touches(crew, motions=()):
    """The counted touches of a crew that stands on one choice of hosts: (touch, name of the other body, gap)."""
    scene, tol = crew.scene, crew.scene.limits.touch_tol_m
    group = keeping(crew, motions)
    planted = {k for motion in motions for k in motion.planted}
    hops = {m.mover: m for m in motions if m.move == "hop"} if scene.edition.hops_slip else {}
    out = []
    apart = between_shells(crew.p, crew.radii)
    for i, j in zip(*np.where(np.triu(np.abs(apart) <= tol, 1))):
        if crew.host[i] == crew.names[j] or crew.host[j] == crew.names[i] or group[i] != group[j] or {i, j} <= hops.keys():
            continue
        normal = (crew.p[i] - crew.p[j]) / np.linalg.norm(crew.p[i] - crew.p[j])
        point = crew.p[j] + (crew.radii[j] + apart[i, j] / 2) * normal
        friction = min(crew.kinds[i].shell_friction, crew.kinds[j].shell_friction)
        out.append((Touch(i, j, normal, point, friction), apart[i, j]))
    for body in scene.bodies:
        if body.relief_m > tol:
            continue
        point, distance = body.nearest(crew.p)
        for i in np.where(np.abs(distance - crew.radii) <= tol)[0]:
            if crew.ground(i) is not body and (not group[i] or (i in planted and under(crew, body, i))):
                normal = (crew.p[i] - point[i]) / distance[i]
                out.append((Touch(i, None, normal, point[i], body.friction, body=body), distance[i] - crew.radii[i]))
    return [(touch, crew.names[touch.b] if touch.body is None else touch.body.name, gap)
            for touch, gap in ((slips(crew, touch, hops), gap) for touch, gap in out)]
