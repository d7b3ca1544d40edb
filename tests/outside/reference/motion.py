"""Moves under way: who moves, and where they are at a progress between 0 and 1 (section 6)."""

import numpy as np

from .pose import angle_between, cross, rotation

STANDS = ("hop", "cross")  # load is looked at before and after these, never between
DISPLACES = ("slide", "yaw", "cross", "stride")
CARRIES = ("slide", "yaw", "stride")


class Motion:
    """One step under way: a rotation about an axis through a centre, and a shift, of the mover and what it carries."""

    def __init__(self, step, crew):
        self.step, self.move = step, step["move"]
        self.mover = i = crew.index[step["module"]]
        self.old = crew.host[i]
        self.new = step.get("to", self.old)
        self.displaces, self.stands = self.move in DISPLACES, self.move in STANDS
        self.group = [i, *crew.standing_on(i)] if self.move in CARRIES else [i]
        self.planted = []
        self.p, self.rot = crew.p[self.group].copy(), crew.rot[self.group].copy()
        self.centre, self.axis, self.angle, self.shift = crew.p[i].copy(), crew.rot[i][:, 2].copy(), 0.0, np.zeros(3)
        self.chain = crew.chain(self.old) + (crew.chain(self.new) if self.new != self.old else [])
        self.prepare(crew)

    def prepare(self, crew):
        """The motion of each move; a brace or a release has none."""
        if self.move == "yaw":
            self.angle = self.step["angle_rad"]
        elif self.move == "slide":
            self.slide(crew, self.step["travel_m"], self.step["curvature_per_m"])
        elif self.stands:
            self.change_host(crew)

    def slide(self, crew, travel, bend):
        i = self.mover
        ahead, left, up = crew.rot[i].T.copy()
        if crew.ground(i) is None:
            host = crew.index[self.old]
            self.centre = crew.p[host].copy()
            spin = left / crew.radii[host] + bend * up
            self.axis, self.angle = spin, travel * np.linalg.norm(spin)
        elif bend == 0:
            self.shift = travel * ahead
        else:
            self.centre, self.angle = crew.p[i] + left / bend, travel * bend

    def change_host(self, crew):
        """Hop and cross: body z turns to the new normal by the least rotation; in a cross the centre goes straight as well."""
        i = self.mover
        self.normals = (crew.rot[i][:, 2].copy(), crew.normal(i, self.new))
        self.angle = angle_between(*self.normals)
        self.axis = cross(*self.normals) if self.angle > 1e-12 else crew.rot[i][:, 0].copy()
        if self.move == "cross":
            heading = crew.rot[i][:2, 0] / np.linalg.norm(crew.rot[i][:2, 0])
            start = crew.sole(i)[:2]
            self.way = np.array([start, start + self.step["travel_m"] * heading])  # of the sole's centre, from above
            plane = crew.scene.ground_of[self.new].plane
            self.shift = plane.lift(self.way[1]) + crew.kinds[i].ride_height_m * plane.normal - crew.p[i]

    def place(self, crew, progress):
        """Put the group where it is at this progress, one number or one for each instant of the crew.

        A hop is as before until it is over, never half turned.
        """
        if self.move in ("brace", "release"):
            return
        turn = rotation(self.axis, (np.floor(progress) if self.move == "hop" else progress) * self.angle)
        several = crew.p.ndim > self.p.ndim
        p, rot = (self.p[:, None], self.rot[:, None]) if several else (self.p, self.rot)
        crew.rot[self.group] = turn @ rot
        if self.displaces:
            arms = (turn @ (p - self.centre)[..., None])[..., 0]
            crew.p[self.group] = self.centre + arms + np.multiply.outer(progress, self.shift)

    def stand(self, crew, over):
        """Put a hopping or crossing module where it stands before or after."""
        self.place(crew, 1.0 if over else 0.0)
        crew.host[self.mover] = self.new if over else self.old

    def begin(self, crew):
        if self.move == "release":
            crew.braced[self.mover] = False

    def finish(self, crew):
        self.place(crew, 1.0)
        if self.move == "brace":
            crew.braced[self.mover] = True
        crew.host[self.mover] = self.new
        if self.new in crew.scene.decks:
            crew.settle(self.mover)


class Stride(Motion):
    """Planted modules roll on their decks; the rest of the machine shifts without turning."""

    def prepare(self, crew):
        self.planted = [crew.index[name] for name in self.step["planted"]]
        first = self.planted[0]
        self.ahead = np.array([*self.step["direction"], 0.0])
        self.axis, self.angle = np.array([-self.ahead[1], self.ahead[0], 0.0]), self.step["angle_rad"]
        self.arms = [arm - self.axis * (arm @ self.axis) for k in self.planted
                     for arm in [crew.p[crew.index.get(crew.host[k], k)] - crew.p[k]]]
        self.radius = crew.radii[first]

    def place(self, crew, progress):
        turn = rotation(self.axis, progress * self.angle)
        roll = np.multiply.outer(self.radius * progress * self.angle, self.ahead)
        for k, p, rot in zip(self.group, self.p, self.rot):
            rolls = k in self.planted
            crew.p[k] = p + roll + (0 if rolls else turn @ self.arms[0] - self.arms[0])
            crew.rot[k] = turn @ rot if rolls else rot


def motion(step, crew):
    """The motion of a step that begins now."""
    return (Stride if step["move"] == "stride" else Motion)(step, crew)
