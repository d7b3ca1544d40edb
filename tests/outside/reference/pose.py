"""Where modules are: placement and bonds (section 2)."""

import copy
import math

import numpy as np

from .checks import project


def cross(a, b):
    """Cross product of vectors, or of rows of vectors; numpy's takes many times as long for single ones."""
    a, b = a.T, b.T
    return np.array([a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]).T


def length(v):
    """Of a vector, or of every row."""
    return np.sqrt((v * v).sum(-1))


def rotation(axis, angle):
    """Rotation matrix about an axis of any length (Rodrigues), or one for each of several angles."""
    x, y, z = axis / np.linalg.norm(axis)
    across = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.eye(3) + np.multiply.outer(np.sin(angle), across) + np.multiply.outer(1 - np.cos(angle), across @ across)


def angle_between(a, b):
    """Angle between two vectors, or the vectors of two rows, exact near 0 and pi."""
    return np.arctan2(length(cross(a, b)), (a * b).sum(-1))


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
    """All modules at one instant; or at several, and then places `p` and rotations `rot` of every module have one row for each."""

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
            ground = self.scene.ground_of[module.on]
            up = ground.plane.normal
            self.p[i] = ground.plane.lift(module.at_m) + kind.ride_height_m * up
        else:
            host = self.index[module.on]
            self.put(host)
            up = np.array(module.toward, float) / np.linalg.norm(module.toward)
            self.p[i] = self.p[host] + (self.radii[host] + kind.ride_height_m) * up
        ahead = project(np.array(module.facing, float), up)
        self.rot[i] = np.column_stack([ahead, np.cross(up, ahead), up])
        if module.on in self.scene.decks:
            self.settle(i)

    def copy(self):
        other = copy.copy(self)
        other.host, other.braced, other.payload = list(self.host), list(self.braced), list(self.payload)
        other.p, other.rot = self.p.copy(), self.rot.copy()
        return other

    def during(self, count):
        """A copy at so many instants, the same at each."""
        other = self.copy()
        other.p = np.repeat(self.p[:, None], count, axis=1)
        other.rot = np.repeat(self.rot[:, None], count, axis=1)
        return other

    @property
    def centres(self):
        """The centres of all modules; at several instants one array of them for each."""
        return np.moveaxis(self.p, 0, -2)

    def settle(self, i):
        """The host of a module on a ground is the first of its decks that holds the sole's centre."""
        holders = self.ground(i).holders(self.sole(i))
        if holders and self.host[i] not in holders:
            self.host[i] = holders[0]

    def ground(self, i):
        """The ground that a module stands on; None on a shell."""
        return self.scene.ground_of.get(self.host[i])

    def sole(self, i):
        """The centre of the sole."""
        return self.p[i] - self.kinds[i].ride_height_m * self.rot[i][..., 2]

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
            return self.scene.ground_of[host].plane.normal
        line = self.p[i] - self.p[self.index[host]]
        return line / length(line)[..., None]

    def off_place(self, i, host):
        """How far the centre of module i is from where a bond to this host wants it (signed distance)."""
        ride = self.kinds[i].ride_height_m
        if host in self.scene.decks:
            return self.scene.ground_of[host].plane.over(self.p[i]) - ride
        j = self.index[host]
        return length(self.p[i] - self.p[j]) - self.radii[j] - ride

    def lost(self, i, part):
        return part in self.scene.modules[i].lost

    def held(self, i):
        """The hold that counts: a lost cup holds like rolling."""
        return "braced" if self.braced[i] and not self.lost(i, "cup") else "rolling"

    def body_of(self, host):
        """Column of a host (name) in the gaps of shells and then of fixed bodies."""
        if host in self.index:
            return self.index[host]
        return len(self.names) + self.scene.bodies.index(self.scene.ground_of[host])
