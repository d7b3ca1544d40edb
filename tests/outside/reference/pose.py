"""Where modules are: placement, forward kinematics, and the rigid motion of every move (sections 2 and 6)."""

import copy
import math

import numpy as np

from .scene import project

UP = np.array([0.0, 0.0, 1.0])


def cross(a, b):
    """Cross product of two single vectors; numpy's takes many times as long for them."""
    return np.array([a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]])


def rotation(axis, angle):
    """Rotation matrix about an axis of any length (Rodrigues)."""
    x, y, z = axis / np.linalg.norm(axis)
    across = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.eye(3) + math.sin(angle) * across + (1 - math.cos(angle)) * across @ across


def angle_between(a, b):
    """Angle between two vectors, exact near 0 and pi."""
    return math.atan2(np.linalg.norm(cross(a, b)), float(a @ b))


def matrix(quaternion):
    """Rotation matrix of a quaternion [x, y, z, w]."""
    x, y, z, w = np.array(quaternion, float) / np.linalg.norm(quaternion)
    return np.array([[1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
                     [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
                     [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)]])


def turn_between(a, b):
    """Angle of the rotation that takes one rotation matrix to the other."""
    return 2 * math.asin(min(1.0, np.linalg.norm(a - b) / math.sqrt(8)))


class Crew:
    """All modules at one instant."""

    def __init__(self, scene):
        self.scene = scene
        self.names = [m.name for m in scene.modules]
        self.index = {name: i for i, name in enumerate(self.names)}
        self.kinds = [scene.kinds[m.kind] for m in scene.modules]
        self.radii = np.array([k.shell_radius_m for k in self.kinds])
        self.host = [m.on for m in scene.modules]
        self.braced = [m.hold == "braced" for m in scene.modules]
        self.payload = [m.payload_kg for m in scene.modules]
        self.p = np.full((len(self.names), 3), np.nan)
        self.rot = np.zeros((len(self.names), 3, 3))
        for i in range(len(self.names)):
            self.put(i)

    def put(self, i):
        """Place a module as the scenario says, after its host."""
        module, kind = self.scene.modules[i], self.kinds[i]
        if not np.isnan(self.p[i, 0]):
            return
        if module.on in self.scene.decks:
            up = UP
            self.p[i] = [*module.at_m, self.scene.decks[module.on].top_m + kind.ride_height_m]
        else:
            host = self.index[module.on]
            self.put(host)
            up = np.array(module.toward, float) / np.linalg.norm(module.toward)
            self.p[i] = self.p[host] + (self.radii[host] + kind.ride_height_m) * up
        ahead = project(np.array(module.facing, float), up)
        self.rot[i] = np.column_stack([ahead, np.cross(up, ahead), up])

    def copy(self):
        other = copy.copy(self)
        other.host, other.braced, other.payload = list(self.host), list(self.braced), list(self.payload)
        other.p, other.rot = self.p.copy(), self.rot.copy()
        return other

    def on_deck(self, i):
        return self.host[i] in self.scene.decks

    def standing_on(self, i):
        """Everything that stands on module i, directly or not."""
        direct = [j for j, host in enumerate(self.host) if host == self.names[i]]
        return direct + [k for j in direct for k in self.standing_on(j)]

    def chain(self, host):
        """The modules below, from a host (name) down to the deck."""
        out = []
        while host not in self.scene.decks:
            out.append(self.index[host])
            host = self.host[out[-1]]
        return out

    def normal(self, i, host):
        """The direction in which module i would stand away from a host (name)."""
        if host in self.scene.decks:
            return UP
        line = self.p[i] - self.p[self.index[host]]
        return line / np.linalg.norm(line)

    def off_place(self, i, host):
        """How far the centre of module i is from where a bond to this host wants it (signed distance)."""
        ride = self.kinds[i].ride_height_m
        if host in self.scene.decks:
            return self.p[i, 2] - self.scene.decks[host].top_m - ride
        j = self.index[host]
        return np.linalg.norm(self.p[i] - self.p[j]) - self.radii[j] - ride


class Motion:
    """One step under way: the mover, what it carries, and where they are at a progress between 0 and 1."""

    def __init__(self, step, crew):
        self.step, self.move = step, step["move"]
        self.mover = i = crew.index[step["module"]]
        self.old = crew.host[i]
        self.new = step["to"] if self.move == "hop" else self.old
        self.displaces = self.move in ("slide", "yaw")
        self.group = [i, *crew.standing_on(i)] if self.displaces else [i]
        self.p, self.rot = crew.p[self.group].copy(), crew.rot[self.group].copy()
        ahead, left, up = crew.rot[i].T.copy()
        self.centre, self.axis, self.angle, self.shift = crew.p[i].copy(), up, 0.0, np.zeros(3)
        if self.move == "yaw":
            self.angle = step["angle_rad"]
        elif self.move == "slide":
            travel, bend = step["travel_m"], step["curvature_per_m"]
            if not crew.on_deck(i):
                host = crew.index[self.old]
                self.centre = crew.p[host]
                spin = left / crew.radii[host] + bend * up
                self.axis, self.angle = spin, travel * np.linalg.norm(spin)
            elif bend == 0:
                self.shift = travel * ahead
            else:
                self.centre, self.angle = crew.p[i] + left / bend, travel * bend
        elif self.move == "hop":
            self.normals = (up, crew.normal(i, self.new))
            self.angle = angle_between(*self.normals)
            self.axis = np.cross(*self.normals) if self.angle > 1e-12 else ahead
        self.chain = crew.chain(self.old) + (crew.chain(self.new) if self.move == "hop" else [])

    def place(self, crew, progress):
        """Put the group where it is at this progress."""
        if self.move in ("brace", "release") or (self.move == "hop" and progress < 1):
            return  # a hop is judged as it stands before and after, never half turned
        turn = rotation(self.axis, progress * self.angle)
        crew.rot[self.group] = turn @ self.rot
        if self.displaces:
            crew.p[self.group] = self.centre + (self.p - self.centre) @ turn.T + progress * self.shift

    def begin(self, crew):
        if self.move == "release":
            crew.braced[self.mover] = False

    def finish(self, crew):
        self.place(crew, 1.0)
        if self.move == "brace":
            crew.braced[self.mover] = True
        crew.host[self.mover] = self.new
