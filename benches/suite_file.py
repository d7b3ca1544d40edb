"""Writes the suite of a folder of scenes: the default planner once on each, on two threads."""

TEXT = """format = "clamber-suite/1"
name = "{name}"
scenes = ["{pattern}"]
seeds = [1]

[limits]
time_s = {time_s}
threads = 2

[[planner]]
name = "auto"
"""


def write_suite(folder, name, pattern, time_s):
    """Writes `suite.toml` into the folder, for the scenes there whose names match the pattern."""
    text = TEXT.format(name=name, pattern=pattern, time_s=float(time_s))
    (folder / "suite.toml").write_text(text, encoding="utf-8")
