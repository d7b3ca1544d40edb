"""Canonical JSON of RFC 8785 and its SHA-256 digest."""

import hashlib
import json
import math


def number(value):
    """A number as ECMAScript prints it (RFC 8785, section 3.2.2.3)."""
    x = float(value)
    if not math.isfinite(x):
        raise ValueError("a number in canonical JSON must be finite")
    if x == 0:
        return "0"
    sign = "-" if x < 0 else ""
    mantissa, _, exponent = f"{abs(x)!r}".partition("e")
    whole, _, fraction = mantissa.partition(".")
    fraction = fraction if fraction != "0" else ""
    digits = (whole + fraction).lstrip("0")
    point = len(whole) + int(exponent or 0)
    if whole == "0":
        point -= 1 + len(fraction) - len(fraction.lstrip("0"))
    digits = digits.rstrip("0")
    count = len(digits)
    if count <= point <= 21:
        text = digits + "0" * (point - count)
    elif 0 < point <= 21:
        text = digits[:point] + "." + digits[point:]
    elif -6 < point <= 0:
        text = "0." + "0" * -point + digits
    else:
        tail = f"e{'+' if point > 0 else '-'}{abs(point - 1)}"
        text = digits[0] + ("." + digits[1:] if count > 1 else "") + tail
    return sign + text


def canonical(tree):
    """The canonical text of a JSON tree."""
    if tree is None or isinstance(tree, bool):
        return json.dumps(tree)
    if isinstance(tree, (int, float)):
        return number(tree)
    if isinstance(tree, str):
        return json.dumps(tree, ensure_ascii=False)
    if isinstance(tree, list):
        return "[" + ",".join(map(canonical, tree)) + "]"
    keys = sorted(tree, key=lambda key: key.encode("utf-16-be"))
    return "{" + ",".join(f"{canonical(key)}:{canonical(tree[key])}" for key in keys) + "}"


def sha256(tree):
    """The digest, as lower-case hexadecimal digits."""
    return hashlib.sha256(canonical(tree).encode("utf-8")).hexdigest()
