"""Section 5: the least possible largest utilisation.

Every wrench at every bond and every touch force is a variable; every module has its six equations of equilibrium. The
programme is solved with ECOS (Domahidi, Chu, Boyd: ECOS, an SOCP solver for embedded systems, ECC 2013); without
touches the equations alone decide and are solved directly. Lengths are scaled by the largest shell, forces by the mean weight.
"""

import functools
import itertools
import math
from dataclasses import dataclass

import ecos
import numpy as np
import scipy.sparse as sparse

from .polyhedra import bound
from .pose import cross

TOLERANCES = (1e-9, 1e-8, 1e-7, 3e-7)  # tried in turn; programmes at the edge of what is feasible, and closed chains, may need the last
LARGEST = 1e3  # no force or moment of an answer is larger, in the scaled units
SURFACE = 0.93  # the elliptic limit surface over-predicts the exact one by up to 7 %


@dataclass
class Bond:
    child: int
    host: int | None  # None: a deck
    normal: np.ndarray
    sole: np.ndarray
    adhesion: float
    friction: float
    radius: float  # the peel radius
    drive: float = math.inf  # bound on the tangential force
    torque: float = math.inf  # bound on the moment about the normal


@dataclass
class Touch:
    a: int
    b: int | None  # None: a deck
    normal: np.ndarray  # from b to a
    point: np.ndarray
    friction: float
    body: object = None  # the fixed body, if b is None
    slip: np.ndarray | None = None  # the direction of the force on a that slips over b; the touch has no other force then

    @property
    def axes(self):
        return frame(self.normal) if self.slip is None else self.slip[:, None]


class Undecided(Exception):
    """The solver neither solved the programme nor proved that it has no solution."""


def frame(normal):
    """Orthonormal columns, the normal first."""
    helper = np.eye(3)[np.abs(normal).argmin()]
    first = cross(normal, helper)
    first /= np.linalg.norm(first)
    return np.column_stack([normal, first, cross(normal, first)])


def lever(arm):
    """The matrix that takes a force to its moment."""
    x, y, z = arm
    return np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])


def directions(gravity, sway):
    """Straight down and eight tilted directions."""
    tilted = [[math.sin(sway) * math.cos(k * math.pi / 4), math.sin(sway) * math.sin(k * math.pi / 4), -math.cos(sway)]
              for k in range(8)]
    return gravity * np.array([[0.0, 0.0, -1.0], *tilted])


class Programme:
    """The equations and conditions of one configuration; only the right-hand side depends on the direction."""

    def __init__(self, centres, masses, bonds, touches, gravities):
        """`masses`: for each module a list of (kilograms, point); bodies of bonds and touches count from 0."""
        self.bonds, self.touches = bonds, touches
        self.length = max((np.linalg.norm(b.sole - centres[b.child]) for b in bonds), default=1.0)
        self.force = max(sum(m for body in masses for m, _ in body) * np.linalg.norm(gravities[0]) / len(masses), 1e-9)
        n = len(centres)
        self.at = list(itertools.accumulate((1 if t.slip is not None else 3 for t in touches), initial=6 * len(bonds)))
        self.unknowns = self.at.pop()
        self.matrix = np.zeros((6 * n, self.unknowns))
        for k, bond in enumerate(bonds):
            axes = frame(bond.normal)
            for body, sign in ((bond.child, 1), (bond.host, -1)):
                if body is not None:
                    self.push(body, 6 * k, sign * axes, bond.sole - centres[body])
                    self.matrix[6 * body + 3:6 * body + 6, 6 * k + 3:6 * k + 6] += sign * axes
        for k, touch in enumerate(touches):
            for body, sign in ((touch.a, 1), (touch.b, -1)):
                if body is not None:
                    self.push(body, self.at[k], sign * touch.axes, touch.point - centres[body])
        self.right = np.zeros((6 * n, len(gravities)))
        for body, parts in enumerate(masses):
            for mass, point in parts:
                weight = mass * gravities / self.force
                self.right[6 * body:6 * body + 3] -= weight.T
                self.right[6 * body + 3:6 * body + 6] -= lever((point - centres[body]) / self.length) @ weight.T

    def push(self, body, column, axes, arm):
        columns = slice(column, column + axes.shape[1])
        self.matrix[6 * body:6 * body + 3, columns] += axes
        self.matrix[6 * body + 3:6 * body + 6, columns] += lever(arm / self.length) @ axes

    def cones(self):
        """The conditions as (t, v): |v| <= t, each row a (coefficients, constant) pair; utilisation is the last variable."""
        width = self.unknowns + 1
        def row(entries, constant=0.0):
            out = np.zeros(width)
            for column, value in entries:
                out[column] = value
            return out, constant
        for k, bond in enumerate(self.bonds):
            at, radius, adhesion = 6 * k, bond.radius / self.length, bond.adhesion / self.force
            grip = [(at, 1.0), (self.unknowns, adhesion)]
            twist = 1.5 / radius  # 1 / r with r = 2 c / 3
            yield row([(c, radius * v) for c, v in grip]), [row([(at + 4, 1.0)]), row([(at + 5, 1.0)])]
            yield (row([(c, SURFACE * bond.friction * v) for c, v in grip]),
                   [row([(at + 1, 1.0)]), row([(at + 2, 1.0)]), row([(at + 3, twist)])])
            if bond.drive < math.inf:
                yield row([], bond.drive / self.force), [row([(at + 1, 1.0)]), row([(at + 2, 1.0)])]
            if bond.torque < math.inf:
                yield row([], bond.torque / self.force / self.length), [row([(at + 3, 1.0)])]
        for at, touch in zip(self.at, self.touches):
            yield row([(at, 1.0)]), []
            if touch.slip is None:
                yield row([(at, touch.friction)]), [row([(at + 1, 1.0)]), row([(at + 2, 1.0)])]
        yield row([(self.unknowns, 1.0)]), []

    def by_equations(self):
        """Statically determinate: the only forces there are, and the utilisation they give in each direction (None: a hard condition fails)."""
        used, broken = np.zeros(self.right.shape[1]), np.zeros(self.right.shape[1], bool)
        for bond, forces in zip(self.bonds, np.split(np.linalg.solve(self.matrix, self.right) * self.force, len(self.bonds))):
            normal, first, second, spin, lean, tip = forces
            shear, spin = np.hypot(first, second), abs(spin) * self.length
            peel = np.hypot(lean, tip) * self.length / bond.radius
            slide = np.hypot(shear, 1.5 * spin / bond.radius)
            need = slide / (SURFACE * bond.friction) if bond.friction > 0 else np.where(slide > 0, math.inf, 0.0)
            missing = np.maximum(peel, need) - normal
            broken |= (shear > bond.drive + 1e-6) | (spin > bond.torque + 1e-6)
            if bond.adhesion > 0:
                used = np.maximum(used, missing / bond.adhesion)
            else:
                broken |= missing > 1e-9
        return [None if one else float(u) for one, u in zip(broken, used)]

    @functools.cached_property
    def conic(self):
        """Cost, cone rows, their constants, the sizes of the cones and the equations, as ECOS wants them."""
        linear, second_order = [], []
        for top, rest in self.cones():
            if not rest:
                linear.append(top)
            elif len(rest) == 1:
                linear += [(top[0] - rest[0][0], top[1]), (top[0] + rest[0][0], top[1])]
            else:
                second_order.append([top, *rest])
        rows = linear + [r for cone in second_order for r in cone]
        g = sparse.csc_matrix(-np.array([r[0] for r in rows]))
        h = np.array([r[1] for r in rows], float)
        cost = np.zeros(self.unknowns + 1)
        cost[-1] = 1.0
        equations = sparse.csc_matrix(np.hstack([self.matrix, np.zeros((len(self.matrix), 1))]))
        return cost, g, h, {"l": len(linear), "q": [len(cone) for cone in second_order]}, equations

    def by_cones(self, column):
        """Least utilisation by the cone programme; None where it is proved to have no solution."""
        cost, g, h, dims, equations = self.conic
        for tolerance in TOLERANCES:
            answer = ecos.solve(cost, g, h, dims, equations, self.right[:, column].copy(), verbose=False, max_iters=200,
                                abstol=tolerance, reltol=tolerance, feastol=tolerance)
            flag = answer["info"]["exitFlag"]
            if flag == 1 and self.proves(answer, column):
                return None
            if flag == 0:
                return max(0.0, answer["x"][-1])
        if bound(self, column, inner=False) is None:  # no equilibrium even with larger cones: a proof
            return None
        raise Undecided(answer["info"]["infostring"])

    def proves(self, answer, column):
        """Whether the solver's certificate of infeasibility is one (Farkas' lemma): at closed chains it claims some that are none."""
        _, g, h, _, equations = self.conic
        residual = equations.T @ answer["y"] + g.T @ answer["z"]
        return LARGEST * np.abs(residual).sum() < -(self.right[:, column] @ answer["y"] + h @ answer["z"])

    def least(self, always_cones=False):
        """The utilisation in each direction (None: no equilibrium)."""
        determinate = len(self.right) == self.unknowns == 6 * len(self.bonds)
        if determinate and not always_cones:
            return self.by_equations()
        return [self.by_cones(column) for column in range(self.right.shape[1])]


def worst(utilisations):
    """The utilisation over all directions; None where one direction has no equilibrium."""
    return None if None in utilisations else max(utilisations)
