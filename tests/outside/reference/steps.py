"""What happens within a step: worst load and smallest gap, sampled and then refined around the worst instant."""

import numpy as np
from scipy.optimize import minimize_scalar

from . import clearance, load, sound
from .gaps import gap, gaps

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


def phase_gaps(phase):
    """Sampled instants, the crew at them, and gaps of all pairs, shells and then bodies: (T, n, n + bodies).

    They are infinite between a crossing module and the two grounds.
    """
    still = not any(m.displaces for m in phase.motions)
    times = np.array([phase.start]) if still else phase.times(PLACES)
    crew = phase.at(times)
    pairs = np.concatenate(gaps(crew.scene, crew.centres, crew.radii), axis=-1)
    for motion in phase.motions:
        if motion.move == "cross":
            pairs[:, motion.mover, [crew.body_of(motion.old), crew.body_of(motion.new)]] = np.inf
    return times, crew, pairs


def least_gap(phase, times, pairs, i, j):
    """The least gap of a pair in a phase, from the sampled gaps of all pairs."""
    sampled = pairs[:, i, j]
    if len(times) == 1:
        return float(sampled[0])
    def at(t):
        crew = phase.at(t, {i, j})
        return float(gap(crew.scene, crew.centres, crew.radii, i, j))
    return refine(at, times[sampled.argmin()], phase, len(times))


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
    times, crew, pairs = phase_gaps(phase)
    n, names = len(crew.names), crew.names
    movers = [m.mover for m in phase.motions] + [k for m in phase.motions for k in m.planted]
    every = sound.bonded(phase.at(times[:1]), phase.motions)  # what does not move is looked at once
    for rule, message, broken in [*every, *sound.bonded(crew, phase.motions, movers), *sound.overlaps(crew, pairs)]:
        if broken.any():
            report(rule, message, times[broken.argmax()])
    for flat in np.argsort(pairs.min(0), axis=None)[:REFINED_PAIRS if len(times) > 1 else 0]:
        i, j = np.unravel_index(flat, pairs.shape[1:])
        if pairs[:, i, j].min() > NEARBY:
            continue
        least = least_gap(phase, times, pairs, i, j)
        if least < -sound.TOL:
            report("overlap", f"{names[i]} overlaps by {-least:.3g} m", times[pairs[:, i, j].argmin()])
    for i, j, margin in clearance.margins(phase, history, bodies, crew, pairs):
        found = margin(crew)
        least, t = found.min(), times[found.argmin()]
        if -sound.TOL <= least < clearance.NEAR and len(times) > 1:
            least = refine(lambda t: margin(phase.at([t]))[0], t, phase, len(times))
        if least < -sound.TOL:
            other = names[j] if j < n else crew.scene.bodies[j - n].name
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
                found.append(least_gap(phase, times, pairs, i, j))
    return min(found, default=None)


def worst_load(phase, recovery):
    """The greatest utilisation of a phase (None where some instant has no equilibrium), the limit, and whether it is kept.

    While some structure is in recovery each sample has limits of its own, and only samples are judged. Else the structure that is used most in any
    sample is followed around that.
    """
    changes = any(m.displaces for m in phase.motions)
    times = phase.times(LOADS) if changes else np.array([phase.start])
    judged, sampled, top, kept = bool(recovery.ill), [], recovery.usual, True
    moved = {i for m in phase.motions for i in (*m.group, *m.planted)}
    first = sound.by_structure(phase.at(times[0]), phase.motions)
    still = [part for part in first if not moved & set(part[0])]  # as it is all along the phase, so it is solved once
    def parts_at(t):
        return still + sound.by_structure(phase.at(t), phase.motions, of=moved)
    for k, t in enumerate(times):
        parts = parts_at(t) if k else first
        limit, keeps = recovery.judge(parts, phase.motions)
        sampled.append(parts)
        top, kept = max(top, limit), kept and keeps
    if any(u is None for parts in sampled for _, u in parts):
        return None, top, False
    values = [load.worst([u for _, u in parts]) for parts in sampled]
    at = int(np.argmax(values))
    of = set(max(sampled[at], key=lambda part: part[1])[0])
    def below(t):
        u = load.worst([u for _, u in sound.by_structure(phase.at(t), phase.motions, of=of)])
        return -np.inf if u is None else -u
    worst = values[0] if len(times) == 1 else max(values[at], -refine(below, times[at], phase, len(times)))
    if np.isinf(worst):
        return None, top, False
    return worst, top, kept if judged else worst <= recovery.usual + sound.TOL
