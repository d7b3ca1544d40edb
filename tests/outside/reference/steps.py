"""What happens within a step: worst load and smallest gap, sampled and then refined around the worst instant."""

import numpy as np
from scipy.optimize import minimize_scalar

from . import sound
from .gaps import gaps, nearest_on_deck

PLACES, LOADS, REFINED_PAIRS = 401, 31, 3


def refine(function, t, phase, count):
    """The least value of a function of time near a sample."""
    step = (phase.end - phase.start) / (count - 1)
    low, high = max(phase.start, t - step), min(phase.end, t + step)
    if high <= low:
        return function(t)
    return min(function(t), minimize_scalar(function, bounds=(low, high), method="bounded",
                                            options={"xatol": (high - low) * 1e-5}).fun)


def phase_gaps(phase):
    """Sampled instants, crews, and gaps of all pairs: (T, n, n + decks)."""
    still = not any(m.displaces for m in phase.motions)
    times = np.linspace(phase.start, phase.end, 1 if still else PLACES)
    crews = [phase.at(t) for t in times]
    scene, crew = phase.crew.scene, phase.crew
    centres = np.array([c.p for c in crews])
    apart = np.linalg.norm(centres[:, :, None] - centres[:, None], axis=-1) - crew.radii[:, None] - crew.radii
    apart[:, np.arange(len(crew.names)), np.arange(len(crew.names))] = np.inf
    decks = [nearest_on_deck(deck, centres.reshape(-1, 3))[1].reshape(len(times), -1) - crew.radii
             for deck in scene.decks.values()]
    return times, crews, np.concatenate([apart, np.stack(decks, -1)], axis=-1)


def pair_gap(phase, i, j):
    """Gap of one pair as a function of time; j counts decks after modules."""
    n = len(phase.crew.names)
    def at(t):
        crew = phase.at(t)
        apart, decks = gaps(crew.scene, crew.p, crew.radii)
        return apart[i, j] if j < n else decks[i, j - n]
    return at


def free(motion, before, after):
    """Pairs of what moves and what it neither leaves, holds nor touches at the step's ends."""
    n, decks = len(before.names), list(before.scene.decks)
    mask = np.zeros((n, n + len(decks)), bool)
    if motion.move in ("brace", "release"):
        return mask
    mask[motion.group] = True
    mask[:, motion.group] = False
    for crew in (before, after):
        apart, solids = gaps(crew.scene, crew.p, crew.radii)
        mask &= np.abs(np.hstack([apart, solids])) > crew.scene.limits.touch_tol_m
        for i, host in enumerate(crew.host):
            j = n + decks.index(host) if host in decks else crew.index[host]
            mask[i, j] = False
            if j < n:
                mask[j, i] = False
    return mask


def places(phase, report):
    """Rules 1 to 3 all along a phase; returns the sampled gaps for later."""
    times, crews, pairs = phase_gaps(phase)
    n = len(phase.crew.names)
    movers = [m.mover for m in phase.motions]
    for k, (crew, gap) in enumerate(zip(crews, pairs)):
        for rule, message in sound.bonded(crew, phase.motions, None if k == 0 else movers):
            report(rule, message, times[k])
        for rule, message in sound.overlaps(crew, gap[:, :n], gap[:, n:]):
            report(rule, message, times[k])
    for flat in np.argsort(pairs.min(0), axis=None)[:REFINED_PAIRS if len(times) > 1 else 0]:
        i, j = np.unravel_index(flat, pairs.shape[1:])
        least = refine(pair_gap(phase, i, j), times[pairs[:, i, j].argmin()], phase, len(times))
        if least < -sound.TOL:
            report("overlap", f"{phase.crew.names[i]} overlaps by {-least:.3g} m", times[pairs[:, i, j].argmin()])
    return times, pairs


def smallest_gap(motion, before, after, sampled):
    """The step's free gap; None where there is none. `sampled` lists (phase, times, pairs)."""
    mask, found = free(motion, before, after), []
    for phase, times, pairs in sampled:
        least = np.where(mask, pairs.min(0), np.inf)
        for flat in np.argsort(least, axis=None)[:REFINED_PAIRS]:
            i, j = np.unravel_index(flat, least.shape)
            if np.isfinite(least[i, j]):
                t = times[pairs[:, i, j].argmin()]
                found.append(refine(pair_gap(phase, i, j), t, phase, len(times)) if len(times) > 1 else least[i, j])
    return min(found, default=None)


def worst_load(phase):
    """The greatest utilisation of a phase; None where some instant has no equilibrium."""
    changes = any(m.displaces for m in phase.motions)
    times = np.linspace(phase.start, phase.end, LOADS if changes else 1)
    values = [sound.utilisation(phase.at(t), phase.motions) for t in times]
    if None in values:
        return None
    if len(times) == 1:
        return values[0]
    def below(t):
        u = sound.utilisation(phase.at(t), phase.motions)
        return -np.inf if u is None else -u
    worst = -refine(below, times[int(np.argmax(values))], phase, len(times))
    return None if np.isinf(worst) else worst
