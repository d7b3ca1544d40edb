"""A second reader of results files, with the standard library only: from the schema that the tool prints, not from its sources.

    python results.py SCHEMA.json RESULTS.jsonl    one line per run; exit code 0, or 1 with what is wrong
"""

import json
import re
import sys

KNOWN = {"$schema", "title", "description", "type", "properties", "required", "additionalProperties", "const", "enum", "oneOf", "anyOf",
         "allOf", "if", "then", "pattern", "minimum", "maximum", "minItems", "items", "default", "format"}
TYPES = {"object": dict, "array": list, "string": str, "boolean": bool, "null": type(None)}


def read(schema, text):
    """The rows of a results file; a last line without its end is what a kill leaves, and is no row. Raises ValueError."""
    whole, _, _torn = text.rpartition("\n")
    rows = []
    for number, line in enumerate(whole.split("\n") if whole else [], start=1):
        row = json.loads(line)
        faults = list(misfits(schema, row, "row"))
        if faults:
            raise ValueError(f"line {number}: {'; '.join(faults)}")
        rows.append(row)
    return rows


def misfits(schema, value, at):
    """How a value does not fit a schema (as much of JSON Schema 2020-12 as the tool uses; anything more is an error)."""
    if schema is True:
        return
    unknown = set(schema) - KNOWN
    if unknown:
        raise ValueError(f"the schema uses {sorted(unknown)}, which this reader does not know")
    kind = schema.get("type")
    if kind and not any(is_a(value, name) for name in ([kind] if isinstance(kind, str) else kind)):
        yield f"{at} is no {kind}"
        return
    if "const" in schema and value != schema["const"]:
        yield f"{at} is not {schema['const']!r}"
    if "enum" in schema and value not in schema["enum"]:
        yield f"{at} is none of {schema['enum']}"
    for choice in ("oneOf", "anyOf"):
        if choice in schema and all(list(misfits(one, value, at)) for one in schema[choice]):
            yield f"{at} fits no choice"
    for rule in schema.get("allOf", []):
        yield from misfits(rule, value, at)
    if "if" in schema and not list(misfits(schema["if"], value, at)):
        yield from misfits(schema.get("then", True), value, at)
    if "pattern" in schema and not re.search(schema["pattern"], value):
        yield f"{at} does not match {schema['pattern']}"
    if "minimum" in schema and value < schema["minimum"]:
        yield f"{at} is below {schema['minimum']}"
    if "maximum" in schema and value > schema["maximum"]:
        yield f"{at} is above {schema['maximum']}"
    if isinstance(value, dict):
        yield from misfits_of_object(schema, value, at)
    if isinstance(value, list):
        if len(value) < schema.get("minItems", 0):
            yield f"{at} is too short"
        for index, item in enumerate(value):
            yield from misfits(schema.get("items", True), item, f"{at}[{index}]")


def misfits_of_object(schema, value, at):
    properties, others = schema.get("properties", {}), schema.get("additionalProperties", True)
    for name in schema.get("required", []):
        if name not in value:
            yield f"{at} has no {name}"
    for name, inner in value.items():
        if name in properties:
            yield from misfits(properties[name], inner, f"{at}.{name}")
        elif others is False:
            yield f"{at} has an unknown {name}"
        elif others is not True:
            yield from misfits(others, inner, f"{at}.{name}")


def is_a(value, name):
    if name == "integer":
        return isinstance(value, int) and not isinstance(value, bool)
    if name == "number":
        return isinstance(value, (int, float)) and not isinstance(value, bool)
    return isinstance(value, TYPES[name])


def solved_s(row):
    """Time to a plan that counts, or None."""
    return row["work"]["time_s"] if row["status"] == "solved" else None


def planner(row):
    """How a report calls who made a run."""
    def text(value):
        if isinstance(value, bool):
            return "true" if value else "false"
        return f"{value:g}" if isinstance(value, (int, float)) else value
    return " ".join([row["planner"], *(f"{key}={text(value)}" for key, value in sorted(row["options"].items()))])


def by_planner_and_scene(rows):
    """{planner: {scene: rows in the order of seed and repeat}}."""
    out = {}
    for row in sorted(rows, key=lambda row: (row["scene"], row["seed"], row["repeat"])):
        out.setdefault(planner(row), {}).setdefault(row["scene"], []).append(row)
    return out


def main(arguments):
    schema_path, results_path = arguments
    with open(schema_path, encoding="utf-8") as schema, open(results_path, encoding="utf-8") as results:
        try:
            rows = read(json.load(schema), results.read())
        except ValueError as error:
            print(f"{results_path}: {error}")
            return 1
    for row in rows:
        time_s = solved_s(row)
        print(row["scene"], planner(row), row["seed"], row["repeat"], row["status"], "-" if time_s is None else f"{time_s:.3f} s")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
