#!/usr/bin/env python3
"""Prints the README's table of plans from the results of a race. Standard library only.

    clamber bench benches/suites/auto.toml -o results.jsonl
    python3 benches/table.py results.jsonl
"""

import json
import pathlib
import sys

HEAD = """| scene | moves | makespan | of the bound for any plan | of that with nobody carried | search | in all |
|---|---|---|---|---|---|---|"""


def times(makespan_s, bound_s):
    return f"{makespan_s / bound_s:.1f} ×" if bound_s else ""


def line(row):
    work = row.get("work", {})
    search = f"{work['search_s']:.1f} s" if "search_s" in work else ""
    whole = f"{row['wall_s']:.1f} s"
    plan = row.get("plan")
    if row["status"] != "solved" or not row.get("checked"):
        return f"| `{row['scene']}` | {row['status'].replace('_', ' ')} | | | | {search} | {whole} |"
    makespan_s = plan["makespan_s"]
    bounds = [times(makespan_s, plan.get(name)) for name in ("lower_bound_s", "uncarried_bound_s")]
    return f"| `{row['scene']}` | {plan['moves']} | {makespan_s:.1f} s | {' | '.join(bounds)} | {search} | {whole} |"


def main():
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    text = pathlib.Path(sys.argv[1]).read_text(encoding="utf-8")
    print(HEAD)
    for row in text.splitlines():
        print(line(json.loads(row)))


if __name__ == "__main__":
    main()
