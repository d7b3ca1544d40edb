"""The whole plan in time: how long modules keep their places, and who hops or strides where."""

import math

import numpy as np

from .pose import cross
from .timeline import TIME_TOL


def leaves(motion, k):
    """Whether a module of the moving group leaves its place; a yaw on the spot does not."""
    if not motion.displaces:
        return False
    if motion.move != "yaw":
        return True
    arm = motion.p[motion.group.index(k)] - motion.centre
    return np.linalg.norm(cross(motion.axis, arm)) > 1e-9 and motion.angle != 0


class History:
    """`motions` are all of a plan, `start` and `end` its first and last instant."""

    def __init__(self, motions, phases):
        self.motions = motions
        self.start, self.end = phases[0].start, phases[-1].end
        self.away = {}  # spans in which a module is on the way
        for motion in motions:
            for k in motion.group:
                if leaves(motion, k):
                    self.away.setdefault(k, []).append(span(motion))

    def stays(self, pair, one, other):
        """Whether neither of a pair leaves its place between two instants."""
        low, high = min(one, other), max(one, other)
        return not any(a < high - TIME_TOL and b > low + TIME_TOL for k in pair for a, b in self.away.get(k, []))

    def changes(self, crew, i, j):
        """Instants (from, to) around which one of a pair hops or strides to or from the other; bodies count after modules."""
        for motion in self.motions:
            if motion.move not in ("hop", "stride") or motion.mover not in (i, j):
                continue
            other = j if motion.mover == i else i
            begins, ends = span(motion)
            if crew.body_of(motion.old) == other:
                yield (begins, ends) if motion.move == "hop" else (begins, begins)
            if crew.body_of(motion.new) == other:
                yield (begins, ends) if motion.move == "hop" else (ends, ends)

    def counts(self, crew, i, j, t):
        """Whether a gap of a pair at this instant counts without a touch: for a hop or stride there, or the plan's start or end."""
        if self.stays((i, j), self.start, t) or self.stays((i, j), t, self.end):
            return True
        return any(self.stays((i, j), t, min(max(t, begins), ends)) for begins, ends in self.changes(crew, i, j))


def span(motion):
    return motion.step["start_s"], motion.step["start_s"] + motion.step["duration_s"]
