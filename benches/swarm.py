#!/usr/bin/env python3
"""Writes scenes of large crews, and a suite of them. Standard library only.

    cargo build --release -p clamber
    python3 benches/swarm.py -o swarm                       # 35 scenes of 5 to 1024 modules
    python3 benches/swarm.py -o swarm --most 64             # those of at most 64 modules
    clamber bench swarm/suite.toml -o swarm.jsonl
    python3 benches/count.py swarm.jsonl

Nobody knows of the larger scenes whether they can be solved as a whole; the second line of each says what was rehearsed.
"""

import argparse
import pathlib
import subprocess

from suite_file import write_suite

ROOT = pathlib.Path(__file__).resolve().parent.parent
# Sizes of each family, by ground.
SIZES = {
    "fields": {"steel": [16, 64, 256, 1024], "concrete": [8, 16, 64]},
    "fields-various": {"steel": [16, 64, 256], "concrete": [8, 16, 64]},
    "arch": {"steel": [8, 64]},
    "pyramid": {"steel": [14, 30, 91, 204], "concrete": [14, 30]},
    "wall": {"steel": [15, 62, 252], "concrete": [15, 62]},
    "raft": {"steel": [19, 61, 217], "concrete": [19, 61]},
    "transport": {"steel": [14, 62], "concrete": [5, 14]},
}


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("-o", "--output", required=True, type=pathlib.Path, help="folder to write to")
    parser.add_argument("--clamber", default=ROOT / "target/release/clamber", type=pathlib.Path, help="the program")
    parser.add_argument("--family", nargs="+", default=list(SIZES), choices=list(SIZES))
    parser.add_argument("--most", type=int, default=2000, metavar="MODULES", help="leave out larger crews")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--kind", default="cobble", choices=["cobble", "random"])
    parser.add_argument("--time", type=float, default=60.0, metavar="SECONDS", help="time limit of a run in the suite")
    args = parser.parse_args()
    args.output.mkdir(parents=True, exist_ok=True)
    for family in args.family:
        for ground, sizes in SIZES[family].items():
            for modules in (size for size in sizes if size <= args.most):
                path = args.output / f"{family}_{modules:04}_{ground}.toml"
                command = [args.clamber, "scene", family, "--modules", str(modules), "--seed", str(args.seed)]
                subprocess.run([*command, "--kind", args.kind, "--ground", ground, "-o", path], check=True)
    write_suite(args.output, "large crews", "*_*.toml", args.time)


if __name__ == "__main__":
    main()
