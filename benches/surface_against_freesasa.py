"""The whole accessible surface with its adjacency, side by side with FreeSASA's area alone (Lee & Richards, 1000 slices, one thread).

    target/outside-venv/bin/python benches/surface_against_freesasa.py

Dense crews of equal shells thrown at random without overlap; the mover, as large, is the probe. Of each the fastest of several rounds counts,
taken in turns, so that a busy machine slows both. FreeSASA with 20,000 slices tells how far 1000 are off.
"""

import json
import math
import random
import subprocess
import time
from pathlib import Path

import freesasa

ROOT = Path(__file__).resolve().parent.parent
RADIUS_M = 0.06
ROUNDS = 5


def dense(count, seed):
    """Centres of shells in a box that is as full as throwing makes it."""
    rng = random.Random(seed)
    side = 1.25 * 2 * RADIUS_M * count ** (1 / 3)
    centres = []
    while len(centres) < count:
        centre = [rng.random() * side for _ in range(3)]
        if all(math.dist(centre, other) >= 2 * RADIUS_M for other in centres):
            centres.append(centre)
    return centres


def by_freesasa(centres, slices):
    """Area in m² and processor time in seconds."""
    parameters = freesasa.Parameters(
        {"algorithm": freesasa.LeeRichards, "n-slices": slices, "probe-radius": RADIUS_M, "n-threads": 1}
    )
    flat = [x for centre in centres for x in centre]
    begun = time.perf_counter()
    area = freesasa.calcCoord(flat, [RADIUS_M] * len(centres), parameters).totalArea()
    return area, time.perf_counter() - begun


def main():
    build = ["cargo", "build", "--release", "-q", "-p", "clamber-benches", "--example", "surface_times"]
    subprocess.run(build, cwd=ROOT, check=True)
    crews = [dense(count, seed=1) for count in (7, 100, 1000)]
    ours, theirs = [None] * len(crews), [None] * len(crews)
    for _ in range(ROUNDS):
        answer = subprocess.run(
            [ROOT / "target/release/examples/surface_times"], input=json.dumps(crews), text=True, check=True,
            capture_output=True,
        )
        for index, line in enumerate(answer.stdout.splitlines()):
            found = json.loads(line)
            if ours[index] is None or found["fastest_s"] < ours[index]["fastest_s"]:
                ours[index] = found
        for index, crew in enumerate(crews):
            area, seconds = min((by_freesasa(crew, 1000) for _ in range(3)), key=lambda run: run[1])
            if theirs[index] is None or seconds < theirs[index][1]:
                theirs[index] = (area, seconds)
    print("modules   clamber ms  FreeSASA ms  times faster   off at 1000 slices   off at 20,000   hop arcs")
    for crew, found, (area, seconds) in zip(crews, ours, theirs):
        fine = by_freesasa(crew, 20000)[0]
        off = [abs(a / found["area_m2"] - 1) for a in (area, fine)]
        print(
            f"{len(crew):7} {found['fastest_s'] * 1e3:12.3f} {seconds * 1e3:12.3f} {seconds / found['fastest_s']:13.1f}"
            f" {off[0]:20.1e} {off[1]:15.1e} {found['hop_arcs']:10}"
        )


if __name__ == "__main__":
    main()
