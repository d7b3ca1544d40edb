"""Seeded random crews whose touches are exact by construction (pockets, walls, ground), about half of them sound."""

import itertools
import math
import random

import numpy as np

import kit
from reference.pose import Crew, cross
from reference.scene import Scene

WALL_X, WALL_Y = 0.35, 0.40


def decks(rng):
    """Open ground with a wall in +x and one in +y."""
    def surface():
        return {"friction": round(rng.uniform(0.25, 0.9), 3), "ferrous": rng.random() < 0.35, "sealable": rng.random() < 0.5}
    out = [kit.slab(size=1.0) | surface()]
    for name, low, high in (("east", [WALL_X, -1.0], [WALL_X + 0.1, 1.0]), ("north", [-1.0, WALL_Y], [WALL_X, WALL_Y + 0.1])):
        corners = [low, [high[0], low[1]], high, [low[0], high[1]]]
        out.append({"name": name, "outline_m": corners, "top_m": rng.choice([0.1, 0.3, 0.7]), "bottom_m": -0.5} | surface())
    return out


def kinds(rng):
    """Two kinds: one rides as high as its shell, the other may ride higher."""
    out = {}
    for name in ("cobble", "boulder"):
        radius = round(rng.uniform(0.04, 0.08), 4)
        foot = round(radius * rng.uniform(0.4, 0.8), 4)
        ride = radius if name == "cobble" else round(radius * rng.choice([1.0, 1.15, 1.3]), 5)
        out[name] = kit.COBBLE | {
            "shell_radius_m": radius, "ride_height_m": ride, "foot_radius_m": foot, "shell_reach_deg": 175.0,
            "mass_kg": round(rng.uniform(0.2, 0.9), 3), "com_height_m": round(rng.uniform(-0.3, 0.3) * radius, 4),
            "magnet_force_n": round(math.exp(rng.uniform(math.log(3), math.log(60))), 2),
            "cup_area_m2": rng.choice([6e-4, 1.2e-3, 2.4e-3]), "cup_vacuum_pa": rng.choice([45000.0, 70000.0]),
            "bond_friction": round(rng.uniform(0.3, 0.9), 3), "shell_friction": round(rng.uniform(0.1, 0.6), 3)}
    return out


def meet(spheres, planes):
    """Points at given distances from centres and on planes: 3 conditions in all, at least one sphere."""
    (c0, r0), *rest = spheres
    rows = [(2 * (c - c0), r0**2 - r**2 + c @ c - c0 @ c0) for c, r in rest] + list(planes)
    a, b = np.array([r[0] for r in rows]), np.array([r[1] for r in rows])
    line = cross(*a)
    if np.linalg.norm(line) < 1e-9:
        return []
    foot = np.linalg.lstsq(a, b, rcond=None)[0]
    line /= np.linalg.norm(line)
    half, rest2 = line @ (foot - c0), (foot - c0) @ (foot - c0) - r0**2
    under = half * half - rest2
    return [foot + s * line for s in (-half - math.sqrt(under), -half + math.sqrt(under))] if under > 1e-8 else []


def places(rng, tree, crew, kind):
    """Candidate places for one more module: (host, centre); `pocket` ones touch two other bodies."""
    radius, ride = kind["shell_radius_m"], kind["ride_height_m"]
    hosts = list(range(len(crew.names)))
    rng.shuffle(hosts)
    for host in hosts:
        centre, reach = crew.p[host], crew.radii[host] + ride
        bodies = [("s", (crew.p[j], crew.radii[j] + radius)) for j in hosts if j != host]
        bodies += [("p", (np.array([0, 0, 1.0]), radius)), ("p", (np.array([1.0, 0, 0]), WALL_X - radius)),
                   ("p", (np.array([0, 1.0, 0]), WALL_Y - radius))]
        pairs = list(itertools.combinations(bodies, 2))
        rng.shuffle(pairs)
        free = np.array([rng.gauss(0, 1) for _ in range(3)])
        lean = ("p", (free / np.linalg.norm(free), free @ centre / np.linalg.norm(free)))
        one = [(body, lean) for body in bodies]
        rng.shuffle(one)
        for pair in (pairs if rng.random() < 0.3 else one if rng.random() < 0.6 else []):
            spheres = [(centre, reach)] + [b for kind_, b in pair if kind_ == "s"]
            for point in meet(spheres, [b for kind_, b in pair if kind_ == "p"]):
                yield crew.names[host], point
        for _ in range(4):
            away = np.array([rng.gauss(0, 0.6), rng.gauss(0, 0.6), rng.choice([0.8, 0.8, -0.4])])
            yield crew.names[host], centre + reach * away / np.linalg.norm(away)


def clear(crew, centre, radius):
    """Whether one more shell overlaps nothing, and every gap of it is plainly a touch or plainly none."""
    spans = np.array([*(np.linalg.norm(crew.p - centre, axis=1) - crew.radii),
                      *(body.nearest(centre[None])[1][0] for body in crew.scene.bodies)]) - radius
    return bool(np.all((np.abs(spans) < 1e-9) | (spans > 2e-3)))


def random_tree(seed):
    """A scenario with 2 to 9 modules."""
    rng = random.Random(seed)
    tree = kit.scene([], decks=decks(rng), kinds=kinds(rng), site={"altitude_m": rng.choice([0.0, 800.0, 3500.0])},
                     limits={"sway_deg": rng.choice([0.0, 3.0, 8.0])})
    wanted = rng.randint(2, 9)
    while len(tree["module"]) < wanted:
        name, kind = f"m{len(tree['module']) + 1}", rng.choice(["cobble", "cobble", "boulder"])
        base = {"name": name, "kind": kind, "hold": rng.choice(["rolling", "rolling", "braced"]),
                "payload_kg": rng.choice([0.0, 0.0, 0.0, 0.4, 2.0])}
        crew, radius = Crew(Scene(tree, kit.EDITION)), tree["kind"][kind]["shell_radius_m"]
        spots = []
        if not tree["module"] or rng.random() < 0.35:
            x, y = rng.uniform(-0.1, 0.25), rng.uniform(-0.1, 0.25)
            spots = [("ground", [x, y]), ("ground", [WALL_X - radius, y]), ("ground", [WALL_X - radius, WALL_Y - radius])]
            rng.shuffle(spots)
            spots = [({"on": on, "at_m": at}, np.array([*at, tree["kind"][kind]["ride_height_m"]])) for on, at in spots]
        if tree["module"]:
            spots += (({"on": host, "toward": (point - crew.p[crew.index[host]]).tolist()}, point)
                      for host, point in places(rng, tree, crew, tree["kind"][kind]))
        for spot, centre in spots:
            if clear(crew, centre, radius):
                tree = tree | {"module": [*tree["module"], base | spot]}
                break
        else:
            wanted -= 1
    return tree
