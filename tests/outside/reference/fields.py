"""The fields of a scenario file, their types, defaults and ranges (section 7)."""

import math

import numpy as np

REQUIRED = object()
KIND = {name: (float, REQUIRED) for name in """shell_radius_m ride_height_m foot_radius_m mass_kg com_height_m shell_reach_deg
hop_limit_deg magnet_force_n cup_area_m2 cup_vacuum_pa bond_friction shell_friction hop_hold drive_force_n
yaw_torque_rolling_nm yaw_torque_braced_nm slide_speed_mps yaw_rate_rolling_radps yaw_rate_braced_radps hop_time_s
brace_time_s release_time_s drive_power_w yaw_power_w hop_power_w brace_energy_j idle_power_w""".split()}
POSITIVE = {"shell_radius_m", "ride_height_m", "foot_radius_m", "mass_kg", "slide_speed_mps", "hold_factor",
            "yaw_rate_rolling_radps", "yaw_rate_braced_radps", "gravity_mps2", "peel_radius_m", "radius_m"}
SIGNED = {"com_height_m", "altitude_m", "top_m", "bottom_m"}
PLACE = {"name": (str, REQUIRED), "on": (str, REQUIRED), "at_m": (list, None), "toward": (list, None)}
# field: (type, default); a default of None leaves an absent field absent, a function takes the fields read so far
FIRST = {
    "site": {"altitude_m": (float, 0.0), "gravity_mps2": (float, 9.80665)},
    "limits": {"hold_factor": (float, 1.5), "sway_deg": (float, 3.0), "motion_factor": (float, 1.1),
               "touch_tol_m": (float, 0.0002)},
    "deck": {"name": (str, REQUIRED), "outline_m": (list, REQUIRED), "top_m": (float, REQUIRED), "bottom_m": (float, None),
             "friction": (float, REQUIRED), "ferrous": (bool, False), "sealable": (bool, False)},
    "kind": KIND,
    "module": PLACE | {"kind": (str, REQUIRED), "facing": (list, None), "hold": (str, "rolling"), "stuck": (bool, False),
                       "payload_kg": (float, 0.0)},
    "slot": PLACE | {"kind": (str, None), "module": (str, None), "hold": (str, None), "payload_kg": (float, 0.0)},
    "gather": {"deck": (str, REQUIRED), "count": (int, None)},
}
LATER = {
    "limits": {"clearance_m": (float, 0.0), "motion_tilt_deg": (float, 0.0), "recover_factor": (float, None)},
    "deck": {"top_m": (float, None), "relief_m": (float, 0.0), "tilt_deg": (float, 0.0)},
    "stone": {"name": (str, REQUIRED), "at_m": (list, REQUIRED), "radius_m": (float, REQUIRED), "friction": (float, REQUIRED)},
    "kind": {"ramp_time_s": (float, 0.2), "peel_radius_m": (float, lambda kind: kind["foot_radius_m"]),
             "step_limit_m": (float, 0.0), "crease_limit_deg": (float, 0.0),
             "cross_time_s": (float, lambda kind: kind["hop_time_s"])},
    "module": {"lost": (list, lambda _: [])},
    "slot": {"optional": (bool, False)},
}
SECOND = {name: FIRST.get(name, {}) | LATER.get(name, {}) for name in FIRST | LATER}


class SceneError(Exception):
    """The file says something that the model page does not allow."""


def demand(condition, message):
    if not condition:
        raise SceneError(message)


def numeric(value):
    return isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)


def vector(value, length, where):
    demand(isinstance(value, list) and len(value) == length and all(map(numeric, value)), f"{where}: not {length} numbers")
    return np.array(value, float)


def table(source, fields, where):
    """Check one table against its fields and write the defaults out."""
    demand(isinstance(source, dict), f"{where}: not a table")
    for key in source:
        demand(key in fields, f"{where}.{key}: unknown field")
    out = {}
    for key, (kind, default) in fields.items():
        demand(key in source or default is not REQUIRED, f"{where}.{key}: missing")
        value = source[key] if key in source else default(out) if callable(default) else default
        if value is None:
            demand(key not in source, f"{where}.{key}: no value")
            continue
        if kind is float:
            demand(numeric(value), f"{where}.{key}: not a finite number")
            demand(key in SIGNED or value > 0 or (value == 0 and key not in POSITIVE), f"{where}.{key}: out of range")
            value = float(value)
        demand(isinstance(value, kind) and (kind is bool) == isinstance(value, bool), f"{where}.{key}: wrong type")
        out[key] = value
    return out


def with_later(entry, name):
    """The entry with the neutral values of the fields that the first edition does not know."""
    return table({key: entry[key] for key in entry}, SECOND[name], name)
