"""Areas of the accessible surface against FreeSASA (Lee & Richards, J. Mol. Biol. 55 (1971) 379; S. Mitternacht, F1000Research 5
(2016) 189): the mover is the probe.

FreeSASA knows no half-space and no reach, so shells may be stood on all over, the crew grows from a small pillar, and hosts near the
pillar are left out. Its finest setting (20,000 slices) errs by a few millionths of a sphere.
"""

import json
import math
import random

import freesasa
import pytest

import kit

RADIUS = {"cobble": 0.06, "pebble": 0.045, "boulder": 0.09}
KINDS = {name: kit.COBBLE | {"shell_radius_m": r, "ride_height_m": r, "foot_radius_m": 0.6 * r, "shell_reach_deg": 180.0}
         for name, r in RADIUS.items()}
PILLAR = 0.06
CREWS = 60


def grow(seed):
    """A crew that grows from one module by random directions, free of overlap, and places of all centres."""
    rng = random.Random(seed)
    count = rng.randint(2, 60) if seed % 4 == 0 else rng.randint(2, 20)
    kinds = ["cobble"] if seed % 2 else list(RADIUS)
    root = rng.choice(kinds)
    crew = [{"name": "m0", "kind": root, "on": "pillar", "at_m": [0.0, 0.0]}]
    centres = [((0.0, 0.0, RADIUS[root]), RADIUS[root])]
    for _ in range(40 * count):
        if len(crew) == count:
            break
        host, kind = rng.randrange(len(crew)), rng.choice(kinds)
        way = [rng.gauss(0, 1), rng.gauss(0, 1), rng.gauss(0.4, 1)]
        (centre, radius), length = centres[host], math.hypot(*way)
        place = tuple(c + w / length * (radius + RADIUS[kind]) for c, w in zip(centre, way))
        # Clear of the pillar by height, and of all shells but the host.
        free = all(math.dist(place, c) > r + RADIUS[kind] for i, (c, r) in enumerate(centres) if i != host)
        if free and place[2] > RADIUS[kind] + 0.001:
            crew.append({"name": f"m{len(crew)}", "kind": kind, "on": f"m{host}", "toward": way})
            centres.append((place, RADIUS[kind]))
    probe = rng.choice(list(RADIUS))
    crew.append({"name": "probe", "kind": probe, "on": "far", "at_m": [50.0, 0.0]})
    return crew, centres, RADIUS[probe]


def areas_by_freesasa(centres, probe):
    parameters = freesasa.Parameters({"algorithm": freesasa.LeeRichards, "n-slices": 20000, "probe-radius": probe})
    flat = [c for centre, _ in centres for c in centre]
    result = freesasa.calcCoord(flat, [radius for _, radius in centres], parameters)
    return [result.atomArea(i) for i in range(len(centres))]


def test_area_of_every_shell(tmp_path):
    compared = [compare(seed, tmp_path) for seed in range(CREWS)]
    assert sum(compared) > 400 and max(compared) > 40, compared


def compare(seed, tmp_path):
    """Compares all shells of one crew that the pillar is no obstacle on; how many those were."""
    crew, centres, probe = grow(seed)
    decks = [kit.slab("pillar", PILLAR, bottom_m=-1.0)]
    decks.append(kit.slab("far", top=0.0) | {"outline_m": [[49, -1], [51, -1], [51, 1], [49, 1]]})
    path = kit.write_toml(kit.scene(crew, decks, KINDS), tmp_path / "crew.toml")
    run = kit.clamber("inspect", path, "--module", "probe", "--json")
    assert run.returncode in (0, 1), run.stderr[:1000]
    answer = json.loads(run.stdout)
    found = {}
    for part in answer["parts"]:
        found[part["host"]] = found.get(part["host"], 0.0) + part["area_m2"]
    compared = 0
    for index, (expected, (centre, radius)) in enumerate(zip(areas_by_freesasa(centres, probe), centres)):
        if centre[2] - (radius + probe) < probe + 0.001 and math.hypot(*centre[:2]) < radius + 2 * probe + 0.1:
            continue  # the pillar may forbid a part of this shell
        sphere = 4 * math.pi * (radius + probe) ** 2
        assert found.get(f"m{index}", 0.0) == pytest.approx(expected, abs=2e-5 * sphere), f"shell of m{index}, seed {seed}"
        compared += 1
    return compared
