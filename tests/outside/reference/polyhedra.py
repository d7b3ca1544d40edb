"""The programme of section 5 with polyhedra in place of cones, solved by HiGHS: bounds on both sides of the answer.

A ball of radius t is replaced by the polytope `D v <= t` around it, or by `D v <= rho t` within it, where rho is the
in-radius of the hull of the unit directions D.
"""

import functools
import math

import numpy as np
from scipy.optimize import linprog
from scipy.spatial import ConvexHull


@functools.cache
def facets(dimension):
    """Directions and the in-radius of their hull."""
    if dimension == 1:
        return np.array([[1.0], [-1.0]]), 1.0
    if dimension == 2:
        turn = np.arange(64) * 2 * math.pi / 64
        return np.column_stack([np.cos(turn), np.sin(turn)]), math.cos(math.pi / 64)
    k = np.arange(1200) + 0.5  # a Fibonacci lattice on the sphere
    z, turn = 1 - 2 * k / len(k), math.pi * (1 + math.sqrt(5)) * k
    points = np.column_stack([np.sqrt(1 - z * z) * np.cos(turn), np.sqrt(1 - z * z) * np.sin(turn), z])
    return points, float(-ConvexHull(points).equations[:, -1].max())


def bound(programme, column, inner):
    """Least utilisation with the cones made smaller (an upper bound) or larger (a lower one); None: no equilibrium."""
    rows, limits = [], []
    for (top, constant), rest in programme.cones():
        if not rest:
            rows.append(-top[None])
            limits.append([constant])
            continue
        directions, rho = facets(len(rest))
        share = rho if inner else 1.0
        rows.append(directions @ np.array([r for r, _ in rest]) - share * top)
        limits.append(np.full(len(directions), share * constant))
    cost = np.zeros(programme.unknowns + 1)
    cost[-1] = 1.0
    equations = np.hstack([programme.matrix, np.zeros((len(programme.matrix), 1))])
    answer = linprog(cost, np.vstack(rows), np.concatenate(limits), equations, programme.right[:, column],
                     bounds=(None, None), method="highs")
    assert answer.status in (0, 2), answer.message
    return answer.fun if answer.status == 0 else None
