"""Shortest drives on one face past round obstacles against shortest paths over a fine graph of points (Dijkstra of SciPy).

Every edge of the graph is clear, so a drive is never longer than the path found there; points lie close and on the rims themselves, so it is not
shorter by more than a percent. Drives keep 1 mm of room where there is any, so the graph keeps it too, and scenes are thrown again where
obstacles leave less than 2.4 mm between them. Yaws cost nothing here and hops nearly everything: what is fastest is shortest.
"""

import json
import math

import numpy as np
import pytest
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import dijkstra
from scipy.spatial import cKDTree

import kit

ROOM_M = 0.001
FACES = 60
RIM_POINTS = 120
GRID_ERROR = 0.01
R = 0.06
KINDS = {
    name: kit.COBBLE | {
        "shell_radius_m": radius, "ride_height_m": radius, "foot_radius_m": 0.6 * radius, "shell_reach_deg": 180.0,
        "magnet_force_n": 1e5, "drive_force_n": 1e5, "yaw_rate_rolling_radps": 1e6, "hop_time_s": 1e4,
    }
    for name, radius in {"cobble": R, "pebble": 0.03, "grain": 0.015}.items()
}


def graph_distance(points, reach, length_of, is_clear):
    """Length of the shortest path from the first point to the second along clear edges."""
    pairs = cKDTree(points).query_pairs(reach, output_type="ndarray")
    a, b = points[pairs[:, 0]], points[pairs[:, 1]]
    keep = is_clear(a, b)
    (i, j), lengths = pairs[keep].T, length_of(a[keep], b[keep])
    graph = coo_matrix((lengths, (i, j)), shape=(len(points),) * 2).tocsr()
    return dijkstra(graph, directed=False, indices=0)[1]


def way(modules, decks, slots, path, host, place):
    """Way of the sole that the tool finds to a place on a host; none where it says that there is no way."""
    tree = kit.scene(modules, decks, KINDS) | {"goal": {"slot": slots}}
    run = kit.clamber("inspect", kit.write_toml(tree, path), "--module", "mover", "--json")
    assert run.returncode in (0, 1), run.stderr[:1000]
    rests = json.loads(run.stdout)["rests"]
    found = [rest["way_m"] for rest in rests if rest["on"] == host and math.dist(rest["position_m"], place) < 1e-7]
    return min(found, default=math.inf)


def apart_enough(separations):
    """No passage that is only just too narrow, or has less room than drives want."""
    return all(gap > 2.4 * ROOM_M or gap < -0.002 for gap in separations)


def compare(found, expected, case):
    if math.isinf(expected):
        return False  # the graph may miss what is only just open
    assert found <= expected * (1 + 1e-9), f"{case}: a path of {expected} is shorter than the drive of {found}"
    assert found >= expected * (1 - GRID_ERROR), f"{case}: {found} is shorter than the best path, {expected}"
    return True


def deck_case(rng):
    """Discs on a deck: centres and radii as the mover's centre sees them, and two free ends. None if thrown badly."""
    count = rng.integers(2, 9)
    centres = rng.uniform(-0.4, 0.4, (count, 2))
    for i in range(count):
        if any(math.dist(centres[i], centres[j]) < 2 * R + 0.001 for j in range(i)):
            return None
    gaps = [math.dist(centres[i], centres[j]) - 4 * R for i in range(count) for j in range(i)]
    start, goal = rng.uniform(-0.5, 0.5, (2, 2))
    far = all(math.dist(end, c) > 2 * R + 0.002 for end in (start, goal) for c in centres)
    hides = any(seen(start, goal, c) < 2 * R for c in centres)
    return (centres, start, goal) if far and hides and apart_enough(gaps) else None


def seen(a, b, c):
    """Distance of a point from a segment."""
    along = b - a
    share = np.clip((c - a) @ along / (along @ along), 0, 1)
    return math.dist(a + along * share, c)


def test_on_decks(tmp_path):
    rng = np.random.default_rng(20260101)
    compared = 0
    while compared < FACES:
        case = deck_case(rng)
        if case is None:
            continue
        centres, start, goal = case
        keep = 2 * R + ROOM_M
        turns = np.linspace(0, 2 * np.pi, RIM_POINTS, endpoint=False)
        # Corners of a polygon round each disc: its sides touch the rim.
        rim = np.stack([np.cos(turns), np.sin(turns)], 1) * keep / math.cos(math.pi / RIM_POINTS)
        axis = np.arange(-0.6, 0.601, 0.02)
        grid = np.stack(np.meshgrid(axis, axis), -1).reshape(-1, 2)
        points = np.concatenate([[start, goal], grid, *(rim + c for c in centres)])

        def is_clear(a, b):
            clear = np.ones(len(a), bool)
            along = b - a
            squares = np.maximum((along**2).sum(1), 1e-30)
            for centre in centres:
                share = np.clip(((centre - a) * along).sum(1) / squares, 0, 1)
                clear &= np.linalg.norm(a + along * share[:, None] - centre, axis=1) >= keep - 1e-12
            return clear

        expected = graph_distance(points, 0.16, lambda a, b: np.linalg.norm(a - b, axis=1), is_clear)
        modules = [{"name": f"m{i}", "on": "ground", "at_m": list(c)} for i, c in enumerate(centres)]
        modules.append({"name": "mover", "on": "ground", "at_m": list(start)})
        slots = [{"name": "there", "on": "ground", "at_m": list(goal)}]
        place = [*goal, R]
        found = way(modules, [kit.slab(ferrous=True)], slots, tmp_path / "deck.toml", "ground", place)
        compared += compare(found, expected, case)


def shell_case(rng):
    """Caps on the upper half of a shell: kinds, poles, angular radii, and two free ends. None if thrown badly."""
    count = rng.integers(2, 5)
    kinds = rng.choice(["pebble", "grain"], count)
    poles = rng.normal(size=(count, 3))
    poles /= np.linalg.norm(poles, axis=1)[:, None]
    radii = np.array([KINDS[k]["shell_radius_m"] for k in kinds])
    away = R + radii
    if any(R + poles[:, 2] * away < radii + 0.001):
        return None  # in the ground
    keep = R + radii
    caps = np.arccos((away**2 + (2 * R) ** 2 - keep**2) / (4 * R * away))
    gaps = []
    for i in range(count):
        for j in range(i):
            if math.dist(poles[i] * away[i], poles[j] * away[j]) < radii[i] + radii[j] + 0.001:
                return None
            gaps.append((math.acos(poles[i] @ poles[j]) - caps[i] - caps[j]) * 2 * R)
    # The ground forbids the lower half: no narrow passage along it either.
    gaps += [(math.asin(pole[2]) - cap) * 2 * R for pole, cap in zip(poles, caps)]
    ends = rng.normal(size=(2, 3))
    ends[:, 2] = abs(ends[:, 2])
    ends /= np.linalg.norm(ends, axis=1)[:, None]
    free = np.arccos(ends @ poles.T) > caps + 2 * ROOM_M / R
    across = np.cross(*ends)
    hides = any(
        abs(pole @ across) / np.linalg.norm(across) < math.sin(cap)
        and np.cross(across, ends[0]) @ pole > 0 and np.cross(ends[1], across) @ pole > 0
        for pole, cap in zip(poles, caps)
    )
    good = free.all() and hides and min(ends[:, 2]) > 0.05 and apart_enough(gaps)
    return (kinds, poles, caps, ends) if good else None


def fibonacci(count):
    """Points spread over the unit sphere."""
    index = np.arange(count) + 0.5
    z, turn = 1 - 2 * index / count, np.pi * (1 + 5**0.5) * index
    across = np.sqrt(1 - z * z)
    return np.stack([across * np.cos(turn), across * np.sin(turn), z], 1)


def ring(pole, radius):
    """Corners of a polygon round a cap whose sides, great circles, touch its rim."""
    first = np.cross(pole, [1, 0, 0] if abs(pole[0]) < 0.8 else [0, 1, 0])
    first /= np.linalg.norm(first)
    second = np.cross(pole, first)
    out = math.atan(math.tan(radius) / math.cos(math.pi / RIM_POINTS))
    turns = np.linspace(0, 2 * np.pi, RIM_POINTS, endpoint=False)[:, None]
    return math.cos(out) * pole + math.sin(out) * (np.cos(turns) * first + np.sin(turns) * second)


def test_on_shells(tmp_path):
    rng = np.random.default_rng(20260102)
    compared = 0
    while compared < FACES:
        case = shell_case(rng)
        if case is None:
            continue
        kinds, poles, caps, ends = case
        wide = caps + ROOM_M / (2 * R)
        points = np.concatenate([ends, fibonacci(6000), *(ring(p, w) for p, w in zip(poles, wide))])
        points = points[points[:, 2] >= 0]

        def is_clear(a, b):
            clear = np.ones(len(a), bool)
            across = np.cross(a, b)
            length = np.linalg.norm(across, axis=1)
            for pole, cap in zip(poles, wide):
                nearest = np.maximum(a @ pole, b @ pole)
                on_it = (np.cross(across, a) @ pole > 0) & (np.cross(b, across) @ pole > 0)
                crest = np.sqrt(np.maximum(1 - (across @ pole / length) ** 2, 0))
                nearest = np.where(on_it, np.maximum(nearest, crest), nearest)
                clear &= nearest <= math.cos(cap) + 1e-12
            return clear

        def angle(a, b):
            return 2 * np.arcsin(np.linalg.norm(a - b, axis=1) / 2)

        expected = graph_distance(points, 0.22, angle, is_clear) * R
        modules = [{"name": "m0", "on": "ground", "at_m": [0.0, 0.0]}]
        modules += [{"name": f"m{i + 1}", "kind": str(k), "on": "m0", "toward": list(p)} for i, (k, p) in enumerate(zip(kinds, poles))]
        modules.append({"name": "mover", "on": "m0", "toward": list(ends[0])})
        slots = [{"name": "base", "on": "ground", "at_m": [0.0, 0.0]}, {"name": "there", "on": "base", "toward": list(ends[1])}]
        place = [2 * R * ends[1][0], 2 * R * ends[1][1], R + 2 * R * ends[1][2]]
        found = way(modules, [kit.slab(ferrous=True)], slots, tmp_path / "shell.toml", "m0", place)
        compared += compare(found, expected, case)


@pytest.mark.parametrize("count", [400, 2500])
def test_the_graph_itself(count):
    """Finer graphs come nearer to the straight line and are never shorter."""
    axis = np.linspace(-0.2, 1.2, int(count**0.5))
    grid = np.stack(np.meshgrid(axis, axis), -1).reshape(-1, 2)
    points = np.concatenate([[[0, 0], [1, 0.37]], grid])
    found = graph_distance(points, 0.5, lambda a, b: np.linalg.norm(a - b, axis=1), lambda a, _: np.ones(len(a), bool))
    assert 1 <= found / math.hypot(1, 0.37) < 1.02
