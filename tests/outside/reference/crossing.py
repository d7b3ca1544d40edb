"""Where a module may drive over the edge between two grounds (section 6, `cross`)."""

import math

import numpy as np
import shapely

from .pose import angle_between

IN_LINE, CLOSE, SQUARE = 1e-6, 1e-3, 1e-3
SLACK = 1e-9


def straight_pieces(outline):
    """The outline as straight pieces (start, end); edges in line within 1e-6 m are one piece."""
    for part in shapely.get_parts(outline):
        for ring in (part.exterior, *part.interiors):
            corners = np.array(ring.coords)[:-1]
            yield from pieces_of(corners)


def off_line(points, start, end):
    along = (end - start) / np.linalg.norm(end - start)
    return max((abs(along[0] * (p - start)[1] - along[1] * (p - start)[0]) for p in points), default=0.0)


def pieces_of(corners):
    n = len(corners)
    first = next((k for k in range(n) if off_line([corners[k]], corners[k - 1], corners[(k + 1) % n]) > IN_LINE), 0)
    ring = np.concatenate([corners[first:], corners[:first + 1]])
    start = 0
    for end in range(1, n + 1):
        if end == n or off_line(ring[start + 1:end + 1], ring[start], ring[end + 1]) > IN_LINE:
            yield ring[start], ring[end]
            start = end


def meeting(way, piece):
    """Where the way meets a piece, or None."""
    (s, e), (a, b) = way, piece
    matrix = np.column_stack([e - s, a - b])
    if abs(np.linalg.det(matrix)) < 1e-15:
        return None
    share, along = np.linalg.solve(matrix, a - s)
    return s + share * (e - s) if -SLACK <= share <= 1 + SLACK and -SLACK <= along <= 1 + SLACK else None


def within(ground, line):
    """Whether a line lies in the outline of a ground, within 1 mm."""
    return ground.outline.buffer(CLOSE + SLACK, quad_segs=256).covers(shapely.LineString(line))


def crossing_points(way, old, new, foot):
    """The points at which the way leads over an edge of the two grounds as the page wants it."""
    heading = (way[1] - way[0]) / np.linalg.norm(way[1] - way[0])
    for ground, other in ((old, new), (new, old)):
        for piece in straight_pieces(ground.outline):
            point = meeting(way, piece)
            if point is None:
                continue
            along = (piece[1] - piece[0]) / np.linalg.norm(piece[1] - piece[0])
            if abs(math.asin(min(1.0, abs(along @ heading)))) > SQUARE:
                continue
            if min(np.linalg.norm(point - end) for end in piece) < foot - SLACK:
                continue
            if (within(other, [point - foot * along, point + foot * along]) and within(old, [way[0], point])
                    and within(new, [point, way[1]])):
                yield point


def problems(motion, crew):
    """What forbids this cross."""
    i, scene = motion.mover, crew.scene
    kind, old, new = crew.kinds[i], crew.ground(i), scene.ground_of[motion.new]
    if old is None or old is new:
        yield "cross", f"no cross from {motion.old} to {motion.new}"
        return
    if crew.standing_on(i):
        yield "cross", "something stands on the module"
    if abs(motion.step["travel_m"]) > 4 * kind.shell_radius_m + SLACK:
        yield "cross", "the way is longer than four shell radii"
    if motion.step["travel_m"] == 0:
        yield "cross", "no way"
        return
    points = list(crossing_points(motion.way, old, new, kind.foot_radius_m))
    if not points:
        yield "cross", "the way does not lead straight over an edge between the two grounds"
    elif not any(abs(old.plane.height(p) - new.plane.height(p)) <= kind.step_limit_m + CLOSE + SLACK for p in points):
        yield "cross", "the step is too high"
    if angle_between(old.plane.normal, new.plane.normal) > math.radians(kind.crease_limit_deg) + 1e-6:
        yield "cross", "the slope changes too much"
