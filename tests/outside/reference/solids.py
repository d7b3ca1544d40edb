"""Planes and solids: where a point is nearest to a prism between two planes, or to a ball (section 3)."""

import numpy as np
import shapely

DEEP = -1e4  # a bottom at minus infinity is taken this far down
SPECK = 1e-12  # pieces of an outline smaller than this (in square metres) are rounding
DISTANT = 1e3  # half-planes reach this far


class Plane:
    """z = z0 + gx x + gy y."""

    def __init__(self, z0, gx=0.0, gy=0.0):
        self.z0, self.gradient = float(z0), np.array([gx, gy], float)
        upward = np.array([-gx, -gy, 1.0])
        self.normal = upward / np.linalg.norm(upward)
        self.level = gx == 0 and gy == 0

    @classmethod
    def through(cls, corners):
        """The plane over three corners [x, y, z]."""
        a, b, c = np.array(corners, float)
        gradient = np.linalg.solve([b[:2] - a[:2], c[:2] - a[:2]], [b[2] - a[2], c[2] - a[2]])
        return cls(a[2] - gradient @ a[:2], *gradient)

    def height(self, at):
        return self.z0 + np.asarray(at)[..., :2] @ self.gradient

    def lift(self, at):
        """The points of the plane over points seen from above."""
        at = np.asarray(at, float)
        return np.concatenate([at[..., :2], self.height(at)[..., None]], axis=-1)

    def over(self, points):
        """Signed distance above the plane."""
        return (points[..., 2] - self.height(points)) * self.normal[2]

    def where_above(self, other):
        """The part of the plan, as a polygon, in which this plane lies over the other one."""
        lift, slope = self.z0 - other.z0, self.gradient - other.gradient
        steep = np.linalg.norm(slope)
        if steep < 1e-12:
            return shapely.box(-DISTANT, -DISTANT, DISTANT, DISTANT) if lift > 1e-9 else shapely.Polygon()
        ahead = slope / steep
        left = np.array([-ahead[1], ahead[0]])
        start = -(lift - 1e-9) / steep * ahead
        return shapely.Polygon([start - DISTANT * left, start + DISTANT * ahead - DISTANT * left,
                                start + DISTANT * ahead + DISTANT * left, start + DISTANT * left])


def on_segments(a, b, points):
    """The points of each segment nearest to each point; shape (points, segments, 3)."""
    along = b - a
    share = ((points[:, None] - a) * along).sum(-1) / np.maximum((along * along).sum(-1), 1e-300)
    return a + np.clip(share, 0, 1)[..., None] * along


class Prism:
    """What lies over a polygon and between two planes."""

    def __init__(self, polygon, top, bottom):
        self.polygon, self.top, self.bottom = polygon, top, bottom
        shapely.prepare(polygon)
        rings = [np.array(ring.coords)[:, :2] for part in shapely.get_parts(polygon) for ring in (part.exterior, *part.interiors)]
        self.a = np.concatenate([ring[:-1] for ring in rings])
        self.b = np.concatenate([ring[1:] for ring in rings])

    def candidates(self, points):
        """On every face and edge the point nearest to each point; inf where a face has none of its own."""
        a, b = self.a, self.b
        yield on_segments(self.top.lift(a), self.top.lift(b), points)
        yield on_segments(self.bottom.lift(a), self.bottom.lift(b), points)
        yield on_segments(self.bottom.lift(a), self.top.lift(a), points)
        along = b - a
        share = ((points[:, None, :2] - a) * along).sum(-1) / (along * along).sum(-1)
        side = np.concatenate([a + share[..., None] * along, np.broadcast_to(points[:, None, 2:], (*share.shape, 1))], -1)
        z = side[..., 2]
        beside = (share >= 0) & (share <= 1) & (z <= self.top.height(side)) & (z >= self.bottom.height(side))
        yield np.where(beside[..., None], side, np.inf)
        for plane in (self.top, self.bottom):
            foot = points - plane.over(points)[:, None] * plane.normal
            yield np.where(shapely.intersects_xy(self.polygon, foot[:, 0], foot[:, 1])[:, None], foot, np.inf)[:, None]

    def nearest(self, points):
        """The nearest points of the surface, and the distances; inside a distance is <= 0."""
        found = np.concatenate(list(self.candidates(points)), axis=1)
        spans = np.linalg.norm(found - points[:, None], axis=-1)
        best = spans.argmin(1)
        rows = np.arange(len(points))
        inside = (shapely.intersects_xy(self.polygon, points[:, 0], points[:, 1])
                  & (points[:, 2] <= self.top.height(points)) & (points[:, 2] >= self.bottom.height(points)))
        return found[rows, best], np.where(inside, -spans[rows, best], spans[rows, best])

    def without_below(self, polygon, plane):
        """What is left of it without what lies over the polygon and not above the plane."""
        outside = shapely.difference(self.polygon, polygon)
        within = shapely.intersection(shapely.intersection(self.polygon, polygon), self.top.where_above(plane))
        raised = shapely.intersection(within, plane.where_above(self.bottom))
        for part, bottom in ((outside, self.bottom), (raised, plane), (shapely.difference(within, raised), self.bottom)):
            parts = [p for p in shapely.get_parts(part) if p.geom_type == "Polygon" and p.area > SPECK]
            if parts:
                yield Prism(shapely.MultiPolygon(parts), self.top, bottom)


def sphere_points(count):
    """A Fibonacci lattice of unit vectors."""
    k = np.arange(count) + 0.5
    z, turn = 1 - 2 * k / count, np.pi * (1 + np.sqrt(5)) * k
    return np.column_stack([np.sqrt(1 - z * z) * np.cos(turn), np.sqrt(1 - z * z) * np.sin(turn), z])
