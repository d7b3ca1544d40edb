"""Durations and energies (section 6)."""

import math


def ramped(seconds, kind, edition):
    """A drive needs time to start and stop."""
    ramp = kind.ramp_time_s if edition.ramps else 0.0
    return 2 * math.sqrt(seconds * ramp) if seconds < ramp else seconds + ramp


def rolling(motion, crew, k):
    """Time at full rate in which a planted module turns over its host: a small circle of its sole about the stride's axis."""
    kind, along = crew.kinds[k], float(crew.rot[k][:, 2] @ motion.axis)
    angle, host = abs(motion.angle), crew.radii[crew.index.get(crew.host[k], k)]
    travel = angle * host * math.sqrt(max(0.0, 1 - along * along))
    return max(travel / kind.slide_speed_mps, angle * abs(along) / kind.yaw_rate_rolling_radps,
               motion.radius * angle / kind.slide_speed_mps)


def duration(motion, crew):
    """Seconds, for a crew as it is when the move begins."""
    step, move, edition = motion.step, motion.move, crew.scene.edition
    kind = crew.kinds[motion.mover]
    if move == "slide":
        seconds = abs(step["travel_m"]) / kind.slide_speed_mps
        if edition.curves_turn:
            seconds = max(seconds, abs(step["travel_m"] * step["curvature_per_m"]) / kind.yaw_rate_rolling_radps)
        return ramped(seconds, kind, edition)
    if move == "yaw":
        braced = crew.held(motion.mover) == "braced"
        return ramped(abs(step["angle_rad"]) / (kind.yaw_rate_braced_radps if braced else kind.yaw_rate_rolling_radps), kind, edition)
    if move == "stride":
        return ramped(max(rolling(motion, crew, k) for k in motion.planted), kind, edition)
    if move == "cross":
        return max(kind.cross_time_s, abs(step["travel_m"]) / kind.slide_speed_mps)
    return {"hop": kind.hop_time_s, "brace": kind.brace_time_s, "release": kind.release_time_s}[move]


def energy(motion, crew, seconds):
    """Joules of a move of this duration, without what the crew uses idle."""
    kind = crew.kinds[motion.mover]
    if motion.move == "brace":
        return kind.brace_energy_j
    watts = {"slide": kind.drive_power_w, "yaw": kind.yaw_power_w, "hop": kind.hop_power_w, "cross": kind.hop_power_w, "release": 0.0,
             "stride": sum(crew.kinds[k].drive_power_w for k in motion.planted)}[motion.move]
    return watts * seconds
