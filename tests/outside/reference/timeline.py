"""Steps in time: phases in which the same moves are under way."""

import numpy as np

from .beginnings import conflicts, may_begin
from .motion import motion as motion_of

TIME_TOL = 1e-7
FEWEST = 5  # samples of a phase in which anything is displaced


class Phase:
    """A closed span of time with the same moves under way."""

    def __init__(self, start, end, motions, crew):
        self.start, self.end, self.motions, self.crew = start, end, motions, crew

    def at(self, t, only=None):
        """The crew at an instant of this phase, or at several; of the moving modules perhaps only some are where they are then."""
        crew = self.crew.copy() if np.ndim(t) == 0 else self.crew.during(len(t))
        for motion in self.motions:
            if only is None or not only.isdisjoint(motion.group):
                motion.place(crew, progress(motion, t))
        return crew

    def times(self, most):
        """Sampled instants, its ends among them: as dense as so many in the shortest of its motions, and at least a few."""
        shortest = min((m.step["duration_s"] for m in self.motions), default=0.0)
        share = (self.end - self.start) / shortest if shortest > 0 else 1.0
        return np.linspace(self.start, self.end, max(FEWEST, round(most * min(1.0, share))))


def progress(motion, t):
    begin, span = motion.step["start_s"], motion.step["duration_s"]
    return np.clip((np.asarray(t) - begin) / span, 0.0, 1.0) if span > 0 else 1.0


def instants(steps):
    """All starts and ends, those within the time tolerance taken together."""
    times = sorted({0.0, *(s["start_s"] for s in steps), *(s["start_s"] + s["duration_s"] for s in steps)})
    return [t for k, t in enumerate(times) if k == 0 or t - times[k - 1] > TIME_TOL]


def run(crew, steps, report):
    """The phases in order, and the motions in the order in which they end, each with the crew `before` and `after` it.

    `report(step, rule, message)` hears what may not begin so.
    """
    waiting = sorted(steps, key=lambda step: step["start_s"])
    active, phases, ended, times = [], [], [], instants(steps)
    crew = crew.copy()

    def finish(t):
        for motion in active:
            motion.place(crew, progress(motion, t))
        for motion in [m for m in active if m.step["start_s"] + m.step["duration_s"] <= t + TIME_TOL]:
            motion.finish(crew)
            active.remove(motion)
            motion.after = crew.copy()
            ended.append(motion)

    for t, end in zip(times, [*times[1:], times[-1]]):
        finish(t)
        while waiting and waiting[0]["start_s"] <= t + TIME_TOL:
            motion = motion_of(waiting.pop(0), crew)
            motion.before = crew.copy()
            for rule, message in may_begin(motion, crew):
                report(motion.step, rule, message)
            motion.begin(crew)
            active.append(motion)
            for step, message in conflicts(active):
                report(step, "schedule", message)
            if motion.step["duration_s"] <= TIME_TOL:
                phases.append(Phase(t, t, list(active), crew.copy()))
                finish(t)
        phases.append(Phase(t, end, list(active), crew.copy()))
    return phases, ended
