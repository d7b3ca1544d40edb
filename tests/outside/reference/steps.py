"""What happens within a step: worst load and smallest gap, sampled and then refined around the worst instant."""

import numpy as np
from scipy.optimize import minimize_scalar

from . import clearance, load, sound
from .gaps import gaps

PLACES, LOADS, REFINED_PAIRS = 401, 31, 3
NEARBY = 0.01  # no pair comes nearer by this much from one of the places to the next


def refine(function, t, phase, count):
    """The least value of a function of time near a sample."""
    step = (phase.end - phase.start) / (count - 1)
    low, high = max(phase.start, t - step), min(phase.end, t + step)
    if high <= low:
        return function(t)
    return min(function(t), minimize_scalar(function, bounds=(low, high), method="bounded",
                                            options={"xatol": (high - low) * 1e-5}).fun)


def all_pairs(phase, crews):
    """Gaps of shells to shells and then to bodies (T, n, n + bodies); infinite between a crossing module and the two grounds."""
    crew = phase.crew
    pairs = np.concatenate(gaps(crew.scene, np.array([c.p for c in crews]), crew.radii), axis=-1)
    for motion in phase.motions:
        if motion.move == "cross":
            pairs[:, motion.mover, [crew.body_of(motion.old), crew.body_of(motion.new)]] = np.inf
    return pairs


def phase_gaps(phase):
    """Sampled instants, crews, and gaps of all pairs: (T, n, n + bodies)."""
    still = not any(m.displaces for m in phase.motions)
    times = np.linspace(phase.start, phase.end, 1 if still else PLACES)
    crews = [phase.at(t) for t in times]
    return times, crews, all_pairs(phase, crews)


def free(motion, before, after):
    """Pairs of what moves and what it neither leaves, holds nor touches at the step's ends."""
    n = len(before.names)
    mask = np.zeros((n, n + len(before.scene.bodies)), bool)
    if motion.move in ("brace", "release"):
        return mask
    mask[motion.group] = True
    mask[:, motion.group] = False
    rest = [k for k in motion.group if k not in motion.planted]
    mask[np.ix_(motion.planted, rest)] = True
    for crew in (before, after):
        mask &= np.abs(np.hstack(gaps(crew.scene, crew.p, crew.radii))) > crew.scene.limits.touch_tol_m
        for i, host in enumerate(crew.host):
            j = crew.body_of(host)
            mask[i, j] = False
            if j < n:
                mask[j, i] = False
    return mask


def places(phase, history, bodies, report):
    """Rules 1 to 3 and 5 all along a phase; returns the sampled gaps for later."""
    times, crews, pairs = phase_gaps(phase)
    n, names = len(phase.crew.names), phase.crew.names
    movers = [m.mover for m in phase.motions] + [k for m in phase.motions for k in m.planted]
    for k, (crew, gap) in enumerate(zip(crews, pairs)):
        for rule, message in sound.bonded(crew, phase.motions, None if k == 0 else movers):
            report(rule, message, times[k])
        for rule, message in sound.overlaps(crew, gap[:, :n], gap[:, n:]) if gap.min() < -sound.TOL else ():
            report(rule, message, times[k])
    for flat in np.argsort(pairs.min(0), axis=None)[:REFINED_PAIRS if len(times) > 1 else 0]:
        i, j = np.unravel_index(flat, pairs.shape[1:])
        if pairs[:, i, j].min() > NEARBY:
            continue
        t = times[pairs[:, i, j].argmin()]
        least = refine(lambda t: all_pairs(phase, [phase.at(t)])[0, i, j], t, phase, len(times))
        if least < -sound.TOL:
            report("overlap", f"{names[i]} overlaps by {-least:.3g} m", t)
    for i, j, margin in clearance.margins(phase, history, bodies, crews, pairs):
        found = margin(crews)
        least, t = found.min(), times[found.argmin()]
        if -sound.TOL <= least < clearance.NEAR and len(times) > 1:
            least = refine(lambda t: margin([phase.at(t)])[0], t, phase, len(times))
        if least < -sound.TOL:
            other = names[j] if j < n else crews[0].scene.bodies[j - n].name
            report("clearance", f"{names[i]} comes {-least:.3g} m too near to {other}", t)
    return times, pairs


def smallest_gap(motion, sampled):
    """The step's free gap; None where there is none. `sampled` lists (phase, times, pairs)."""
    mask, found = free(motion, motion.before, motion.after), []
    for phase, times, pairs in sampled:
        least = np.where(mask, pairs.min(0), np.inf)
        for flat in np.argsort(least, axis=None)[:REFINED_PAIRS]:
            i, j = np.unravel_index(flat, least.shape)
            if np.isfinite(least[i, j]):
                t = times[pairs[:, i, j].argmin()]
                found.append(refine(lambda t: all_pairs(phase, [phase.at(t)])[0, i, j], t, phase, len(times))
                             if len(times) > 1 else least[i, j])
    return min(found, default=None)


def worst_load(phase, recovery):
    """The greatest utilisation of a phase (None where some instant has no equilibrium), the limit, and whether it is kept.

    While some structure is in recovery each sample has limits of its own, and only samples are judged.
    """
    changes = any(m.displaces for m in phase.motions)
    times = np.linspace(phase.start, phase.end, LOADS if changes else 1)
    judged, values, top, kept = bool(recovery.ill), [], recovery.usual, True
    for t in times:
        parts = sound.by_structure(phase.at(t), phase.motions)
        limit, keeps = recovery.judge(parts, phase.motions)
        values.append(load.worst([u for _, u in parts]))
        top, kept = max(top, limit), kept and keeps
    if None in values:
        return None, top, False
    def below(t):
        u = sound.utilisation(phase.at(t), phase.motions)
        return -np.inf if u is None else -u
    worst = values[0] if len(times) == 1 else -refine(below, times[int(np.argmax(values))], phase, len(times))
    if np.isinf(worst):
        return None, top, False
    return worst, top, kept if judged else worst <= recovery.usual + sound.TOL
