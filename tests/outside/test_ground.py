"""`clamber ground` on made-up ground of known shape and on open elevation data, against NumPy, Shapely and the reference reader of scenes."""

import importlib.util
import itertools
import json
import math
import tomllib
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely.geometry import Point, Polygon

import kit
from reference.scene import Scene

FOOT = 0.04


def write_grid(path, low, cell, heights):
    """An ESRI ASCII grid; row 0 of the array is the lowest y."""
    rows, columns = heights.shape
    lines = [f"ncols {columns}", f"nrows {rows}", f"xllcorner {low[0]}", f"yllcorner {low[1]}", f"cellsize {cell}", "NODATA_value -9999"]
    lines += [" ".join("-9999" if math.isnan(z) else f"{z:.5f}" for z in row) for row in heights[::-1]]
    path.write_text("\n".join(lines) + "\n", encoding="ascii")


def write_stl(path, triangles):
    record = np.zeros(len(triangles), dtype=[("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")])
    record["v"] = triangles
    path.write_bytes(bytes(80) + np.uint32(len(triangles)).tobytes() + record.tobytes())


def ground(survey, tolerance, *more, foot=FOOT):
    """The scene that the tool makes, and what it says."""
    out = survey.with_name("site.toml")
    run = kit.clamber("ground", survey, "-o", out, "--tolerance", tolerance, "--foot-radius", foot, "--friction", 0.6, "--json", *more)
    assert run.returncode == 0, run.stdout[:2000] + run.stderr[:2000]
    return tomllib.loads(out.read_text(encoding="utf-8")), json.loads(run.stdout)


def outline(deck):
    return Polygon([corner[:2] for corner in deck["outline_m"]])


def plane(deck):
    """z = c + gx x + gy y through the first three corners not in line (the model page, section 9)."""
    if "top_m" in deck:
        return np.array([deck["top_m"], 0.0, 0.0])
    corners = np.array(deck["outline_m"])
    a, b = corners[0], corners[1]
    along = (b - a)[:2] / np.linalg.norm((b - a)[:2])
    off = [abs(along[0] * (p - a)[1] - along[1] * (p - a)[0]) for p in corners[2:]]
    c = corners[2:][np.argmax(np.array(off) > 1e-6)]
    return np.linalg.solve([[1, *p[:2]] for p in (a, b, c)], [p[2] for p in (a, b, c)])


def well_formed(scene, said):
    """Outlines are simple and run counter-clockwise, do not overlap, and meet without gaps; decks of one surface are one ground."""
    decks = scene["deck"]
    shapes = [outline(deck) for deck in decks]
    assert all(shape.is_valid and shape.exterior.is_ccw for shape in shapes)
    tree = shapely.STRtree(shapes)
    for i, j in tree.query(shapes, predicate="intersects").T:
        if i < j:
            assert shapes[i].intersection(shapes[j]).area < 1e-12, (decks[i]["name"], decks[j]["name"])
    union = shapely.union_all(shapes)
    assert union.area == pytest.approx(sum(shape.area for shape in shapes), abs=1e-9)
    # Gaps of up to 2e-6 m would be closed by this.
    closed = union.buffer(1e-6, join_style="mitre").buffer(-1e-6, join_style="mitre")
    assert closed.area == pytest.approx(union.area, abs=1e-9)
    for deck in decks:
        if "top_m" not in deck:
            c, gx, gy = plane(deck)
            assert max(abs(z - c - gx * x - gy * y) for x, y, z in deck["outline_m"]) < 1e-7
    read = Scene(scene | {"kind": {"cobble": kit.COBBLE}, "module": []})
    of = {deck.name: index for index, each in enumerate(read.grounds) for deck in each.decks}
    for surface in said["surfaces"]:
        parts = [shapes[[d["name"] for d in decks].index(name)] for name in surface["decks"]]
        assert sum(part.area for part in parts) == pytest.approx(surface["area_m2"], rel=1e-9)
        joined = shapely.union_all([part.buffer(2e-7) for part in parts])
        if joined.geom_type == "Polygon":
            assert len({of[name] for name in surface["decks"]}) == 1, surface["decks"]
    return shapes


def residuals(scene, said, shapes, points):
    """Each facet's points: no residual beyond the tolerance but near outlines, and the share that relief_m states."""
    tree = shapely.STRtree(shapes)
    at, deck = tree.query([Point(p[:2]) for p in points], predicate="within")
    owner = {name: surface for surface in said["surfaces"] for name in surface["decks"]}
    found = {}
    for i, k in zip(at, deck):
        found.setdefault(owner[scene["deck"][k]["name"]]["name"], []).append((i, k))
    for surface in (s for s in said["surfaces"] if s["sort"] == "facet"):
        members = found[surface["name"]]
        border = shapely.union_all([shapes[k] for k in {k for _, k in members}]).boundary
        c, gx, gy = plane(scene["deck"][members[0][1]])
        z = points[[i for i, _ in members]]
        distance = np.abs(z[:, 2] - c - gx * z[:, 0] - gy * z[:, 1]) / math.sqrt(1 + gx * gx + gy * gy)
        inner = shapely.distance(shapely.points(z[:, :2]), border) > said["edge_known_m"]
        assert distance[inner].max(initial=0.0) <= said["tolerance_m"] + 1e-9
        accuracy = said["accuracy_m"] or 0.0
        kept = distance[distance <= said["tolerance_m"]]
        # A point on an outline may count for either side.
        low, high = (np.quantile(kept, min(max(0.95 + d / len(kept), 0), 1), method="inverted_cdf") for d in (-2, 2))
        assert low - 1e-9 <= surface["relief_m"] - accuracy <= high + 1.1e-4
        assert surface["worst_m"] <= said["tolerance_m"]


def test_the_lane(tmp_path):
    survey = kit.ROOT / "fixtures" / "surveys" / "lane.asc"
    lines = survey.read_text(encoding="ascii").splitlines()
    heights = np.array([[float(word) for word in line.split()] for line in lines[6:]])[::-1]
    low, cell = (float(lines[2].split()[1]), float(lines[3].split()[1])), float(lines[4].split()[1])
    y, x = np.indices(heights.shape)
    points = np.column_stack([low[0] + (x.ravel() + 0.5) * cell, low[1] + (y.ravel() + 0.5) * cell, heights.ravel()])
    copy = tmp_path / "lane.asc"
    copy.write_bytes(survey.read_bytes())
    scene, said = ground(copy, 0.004, "--accuracy", 0.001)
    shapes = well_formed(scene, said)
    residuals(scene, said, shapes, points[points[:, 2] > -9000])
    committed = tomllib.loads((survey.parent / "site.toml").read_text(encoding="utf-8"))
    assert committed == scene, "fixtures/surveys/site.toml is what the tool makes of lane.asc"


def hip_roof(length, width, pitch):
    """Four planes over a rectangle that meet in a ridge: areas seen from above by elementary geometry."""
    half = width / 2
    eaves = np.array([[0, 0, 0], [length, 0, 0], [length, width, 0], [0, width, 0]])
    ridge = np.array([[half, half, half * pitch], [length - half, half, half * pitch]])
    a, b, c, d = eaves
    r, s = ridge
    triangles = np.array([[a, b, s], [a, s, r], [b, c, s], [c, d, r], [c, r, s], [d, a, r]])
    return triangles, sorted([half * half, half * half, length * half - half * half, length * half - half * half])


@pytest.mark.parametrize("seed", range(6))
def test_areas_of_a_hip_roof(tmp_path, seed):
    rng = np.random.default_rng(seed)
    length, width, pitch = rng.uniform(1.2, 2.0), rng.uniform(0.5, 1.0), rng.uniform(0.1, 0.6)
    triangles, areas = hip_roof(length, width, pitch)
    turn, shift = rng.uniform(0, 2 * math.pi), [*rng.uniform(-5, 5, 2), rng.uniform(-1, 1)]
    rotation = np.array([[math.cos(turn), -math.sin(turn), 0], [math.sin(turn), math.cos(turn), 0], [0, 0, 1]])
    survey = tmp_path / "roof.stl"
    write_stl(survey, (triangles @ rotation.T + shift) * 1000)
    scene, said = ground(survey, 0.004, "--accuracy", "unknown", "--unit", "mm")
    shapes = well_formed(scene, said)
    assert sorted(shape.area for shape in shapes) == pytest.approx(areas, abs=2e-4)
    slopes = [math.degrees(math.atan(pitch))] * 4
    assert [s["slope_deg"] for s in said["surfaces"]] == pytest.approx(slopes, abs=0.02)
    # All four meet their neighbours without a step: ridge and hips.
    tight = [m for m in said["meetings"] if max(abs(m["least_step_m"]), abs(m["greatest_step_m"])) < 1.5e-4]
    assert len(tight) == 5


def test_blocks_on_a_floor(tmp_path):
    """Blocks turned any way on a floor, with noise: a hole in the floor for each, and their tops as decks."""
    rng = np.random.default_rng(5)
    cell, n = 0.02, 140
    y, x = (np.indices((n, n)) + 0.5) * cell
    heights = rng.normal(0.0, 0.0006, (n, n))
    blocks = []
    for (i, j), top in zip(itertools.product((0.6, 1.4, 2.2), repeat=2), rng.uniform(0.05, 0.3, 9)):
        turn = rng.uniform(0, math.pi / 2)
        u, v = (x - i) * math.cos(turn) + (y - j) * math.sin(turn), (y - j) * math.cos(turn) - (x - i) * math.sin(turn)
        heights[(abs(u) < 0.2) & (abs(v) < 0.15)] += top
        blocks.append(top)
    survey = tmp_path / "blocks.asc"
    write_grid(survey, (0, 0), cell, heights)
    scene, said = ground(survey, 0.004, "--accuracy", 0.0)
    shapes = well_formed(scene, said)
    residuals(scene, said, shapes, np.column_stack([x.ravel(), y.ravel(), heights.ravel()]))
    facets = [s for s in said["surfaces"] if s["sort"] == "facet"]
    assert len(facets) == 10 and len(facets[0]["decks"]) > 1
    assert sorted(s["height_m"] for s in facets[1:]) == pytest.approx(sorted(blocks), abs=5e-4)
    # Half a cell around 1.4 m of edges is the most that cells can hide; straight edges do better.
    assert [s["area_m2"] for s in facets[1:]] == pytest.approx([0.12] * 9, abs=0.004)


def test_open_elevation_data(tmp_path):
    """The Jacksboro fault (USGS, public domain; it comes with Matplotlib), one to a thousand, on cells of 0.09 m."""
    package = Path(importlib.util.find_spec("matplotlib").origin).parent
    with np.load(package / "mpl-data" / "sample_data" / "jacksboro_fault_dem.npz") as data:
        heights = data["elevation"][::-1][60:130, 80:160] * 1e-3
    survey = tmp_path / "fault.asc"
    write_grid(survey, (0, 0), 0.09, heights)
    scene, said = ground(survey, 0.04, "--accuracy", 0.005, foot=0.2)
    shapes = well_formed(scene, said)
    y, x = (np.indices(heights.shape) + 0.5) * 0.09
    points = np.column_stack([x.ravel(), y.ravel(), np.round(heights, 5).ravel()])
    residuals(scene, said, shapes, points)
    assert shapely.union_all(shapes).area == pytest.approx(heights.size * 0.09**2, rel=1e-3)
