#!/usr/bin/env python3
"""Counts how the runs of a results file ended, and lists those that were not solved. Standard library only.

    python3 benches/count.py results.jsonl [column]

Scenes are counted by a part of their file's name, which is split at `_`: by the first part, or by the given one, from 0; -1 is the last.
"""

import collections
import json
import pathlib
import statistics
import sys


def main():
    if len(sys.argv) not in (2, 3):
        sys.exit(__doc__)
    rows = [json.loads(line) for line in pathlib.Path(sys.argv[1]).read_text(encoding="utf-8").splitlines()]
    column = int(sys.argv[2]) if len(sys.argv) == 3 else 0
    groups = collections.defaultdict(list)
    for row in rows:
        groups[row["scene"].split("_")[column]].append(row)
    endings = sorted({row["status"] for row in rows}, key=lambda ending: (ending != "solved", ending))
    print("| scenes | " + " | ".join(ending.replace("_", " ") for ending in endings) + " | median of first solutions |")
    print("|---|" + "---|" * len(endings) + "---|")
    for name, group in [*sorted(groups.items()), ("all", rows)]:
        counts = collections.Counter(row["status"] for row in group)
        times = [row["work"]["search_s"] for row in group if row["status"] == "solved"]
        median = f"{statistics.median(times):.2f} s" if times else ""
        print(f"| {name} | " + " | ".join(str(counts[ending]) for ending in endings) + f" | {median} |")
    for row in sorted(rows, key=lambda row: row["scene"]):
        if row["status"] != "solved":
            print(f"{row['scene']}: {row['status'].replace('_', ' ')} after {row['wall_s']:.1f} s. {row.get('note') or ''}".rstrip())


if __name__ == "__main__":
    main()
