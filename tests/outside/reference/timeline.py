"""Steps in time: phases in which the same moves are under way, and what may begin (sections 6 and 9)."""

import math

from .pose import Motion, angle_between

TIME_TOL = 1e-7
TOL = 1e-6
SQUARE_TOL = 1e-3


class Phase:
    """A closed span of time with the same moves under way."""

    def __init__(self, start, end, motions, crew):
        self.start, self.end, self.motions, self.crew = start, end, motions, crew

    def at(self, t):
        """The crew at an instant of this phase."""
        crew = self.crew.copy()
        for motion in self.motions:
            begin, span = motion.step["start_s"], motion.step["duration_s"]
            motion.place(crew, min(1.0, max(0.0, (t - begin) / span if span > 0 else 1.0)))
        return crew


def cost(step, kind, braced):
    """Duration and energy of one step."""
    move = step["move"]
    if move == "slide":
        seconds, watts = abs(step["travel_m"]) / kind.slide_speed_mps, kind.drive_power_w
    elif move == "yaw":
        rate = kind.yaw_rate_braced_radps if braced else kind.yaw_rate_rolling_radps
        seconds, watts = abs(step["angle_rad"]) / rate, kind.yaw_power_w
    elif move == "hop":
        seconds, watts = kind.hop_time_s, kind.hop_power_w
    else:
        return (kind.brace_time_s, kind.brace_energy_j) if move == "brace" else (kind.release_time_s, 0.0)
    return seconds, seconds * watts


def may_begin(motion, crew):
    """What forbids this move at its start."""
    i, step, move = motion.mover, motion.step, motion.move
    kind = crew.kinds[i]
    if crew.scene.modules[i].stuck:
        yield "stuck", "a stuck module moves"
    if move in ("slide", "hop") and crew.braced[i]:
        yield "hold", f"{move} of a braced module"
    if move in ("brace", "release") and crew.braced[i] == (move == "brace"):
        yield "hold", f"{move} changes nothing"
    if move != "hop":
        return
    if crew.standing_on(i):
        yield "hop", "something stands on the module"
    if step["to"] == crew.host[i] or (step["to"] in crew.scene.decks and crew.on_deck(i)):
        yield "hop", f"no hop from {crew.host[i]} to {step['to']}"
    if abs(crew.off_place(i, step["to"])) > TOL:
        yield "hop", f"the centre is not at the right distance from {step['to']}"
    if motion.angle > math.radians(kind.hop_limit_deg) + TOL:
        yield "hop", f"pivot {math.degrees(motion.angle):.4f} deg over the limit"
    if motion.angle >= 1e-6 and abs(angle_between(crew.rot[i][:, 0], motion.axis) - math.pi / 2) > SQUARE_TOL:
        yield "hop", "the heading is not square to the pivot axis"


def conflicts(motions):
    """Two moves of one module, or a host of a mover that moves."""
    for k, one in enumerate(motions):
        for other in motions[k + 1:]:
            if set(one.group) & set(other.group):
                yield other.step, "a module takes part in two moves at once"
            for a, b in ((one, other), (other, one)):
                if b.move in ("slide", "yaw", "hop") and set(a.chain) & set(b.group):
                    yield other.step, "a host of a mover moves"


def instants(steps):
    """All starts and ends, those within the time tolerance taken together."""
    times = sorted({0.0, *(s["start_s"] for s in steps), *(s["start_s"] + s["duration_s"] for s in steps)})
    return [t for k, t in enumerate(times) if k == 0 or t - times[k - 1] > TIME_TOL]


def run(crew, steps, report, ended):
    """Yield the phases in order.

    `report(step, rule, message)` hears what may not begin so; `ended(motion, crew)` sees every step's end.
    """
    waiting = sorted(steps, key=lambda step: step["start_s"])
    active, times = [], instants(steps)
    crew = crew.copy()

    def finish(t):
        for motion in active:
            span = motion.step["duration_s"]
            motion.place(crew, min(1.0, (t - motion.step["start_s"]) / span) if span > 0 else 1.0)
        for motion in [m for m in active if m.step["start_s"] + m.step["duration_s"] <= t + TIME_TOL]:
            motion.finish(crew)
            active.remove(motion)
            ended(motion, crew.copy())

    for t, end in zip(times, [*times[1:], times[-1]]):
        finish(t)
        while waiting and waiting[0]["start_s"] <= t + TIME_TOL:
            motion = Motion(waiting.pop(0), crew)
            motion.before = crew.copy()
            for rule, message in may_begin(motion, crew):
                report(motion.step, rule, message)
            motion.begin(crew)
            active.append(motion)
            for step, message in conflicts(active):
                report(step, "schedule", message)
            if motion.step["duration_s"] <= TIME_TOL:
                yield Phase(t, t, list(active), crew.copy())
                finish(t)
        yield Phase(t, end, list(active), crew.copy())
