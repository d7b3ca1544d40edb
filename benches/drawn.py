#!/usr/bin/env python3
"""Writes scenes of drawn kinds from seeds, and a suite of them. Standard library only.

    cargo build --release -p clamber
    python3 benches/drawn.py -o drawn                       # all families with 4, 6, 8 and 10 modules: 60 scenes
    clamber bench drawn/suite.toml -o drawn.jsonl
    python3 benches/count.py drawn.jsonl

Every scene was rehearsed, so every scene can be solved; the few that were not say so, and are left out.
"""

import argparse
import pathlib
import subprocess

from suite_file import write_suite

ROOT = pathlib.Path(__file__).resolve().parent.parent
FAMILIES = ["scattered-to-shape", "shape-to-shape", "climb", "cross", "reach"]
SEEDS = {"random": 2, "mixed": 1}  # of each family and size


def scene(clamber, family, modules, seed, kind):
    """The scene's text if it was rehearsed."""
    command = [clamber, "scene", family, "--modules", str(modules), "--seed", str(seed), "--kind", kind]
    text = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    return text if text.splitlines()[1].startswith("# Solvable") else None


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("-o", "--output", required=True, type=pathlib.Path, help="folder to write to")
    parser.add_argument("--clamber", default=ROOT / "target/release/clamber", type=pathlib.Path, help="the program")
    parser.add_argument("--family", nargs="+", default=FAMILIES, choices=FAMILIES)
    parser.add_argument("--kind", nargs="+", default=list(SEEDS), choices=["cobble", *SEEDS])
    parser.add_argument("--modules", nargs="+", type=int, default=[4, 6, 8, 10])
    parser.add_argument("--seeds", nargs=2, type=int, metavar=("FIRST", "LAST"), help="seeds of each family, size and kind")
    parser.add_argument("--time", type=float, default=20.0, metavar="SECONDS", help="time limit of a run in the suite")
    args = parser.parse_args()
    args.output.mkdir(parents=True, exist_ok=True)
    for kind in args.kind:
        first, last = args.seeds or (1, SEEDS.get(kind, 1))
        for family in args.family:
            for modules in args.modules:
                for seed in range(first, last + 1):
                    if text := scene(args.clamber, family, modules, seed, kind):
                        (args.output / f"{family}_{modules}_{seed}_{kind}.toml").write_text(text, encoding="utf-8")
    write_suite(args.output, "drawn kinds", "*_*.toml", args.time)


if __name__ == "__main__":
    main()
