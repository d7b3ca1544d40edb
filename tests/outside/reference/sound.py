"""Whether a configuration is sound at one instant (sections 4, 5, 6, 9)."""

import itertools
import math
from dataclasses import replace

import numpy as np

from . import load
from .gaps import gaps
from .pose import angle_between
from .touches import touches

TOL = 1e-6
TILTING = {"slide", "yaw", "hop", "cross", "stride"}


def ambient_pressure(altitude):
    """ISO 2533 standard atmosphere, geopotential altitude up to 20 km."""
    g0, gas, lapse, warm = 9.80665, 287.05287, 0.0065, 288.15
    low = 101325.0 * (1 - lapse * min(altitude, 11000.0) / warm) ** (g0 / (gas * lapse))
    return low * math.exp(-g0 * max(altitude - 11000.0, 0.0) / (gas * (warm - lapse * 11000.0)))


def adhesion(crew, i, host):
    """Magnet and cup of module i on a host, in its present hold."""
    deck, kind, scene = crew.scene.ground_of.get(host), crew.kinds[i], crew.scene
    magnet = kind.magnet_force_n if deck is None or deck.ferrous else 0.0
    vacuum = min(kind.cup_vacuum_pa, 0.9 * ambient_pressure(scene.site.altitude_m))
    seals = crew.held(i) == "braced" and (deck is None or deck.sealable)
    return magnet + (kind.cup_area_m2 * vacuum if seals else 0.0)


def stances(crew, motions, of=None):
    """The crew in every combination of before and after of the hops and crosses under way, or of those of some modules."""
    changes = [m for m in motions if m.stands and (of is None or m.mover in of)]
    for over in itertools.product((False, True), repeat=len(changes)):
        stance = crew.copy() if changes else crew
        for motion, done in zip(changes, over):
            motion.stand(stance, done)
        yield stance


def lifted(motions):
    """Modules whose foot is in the air: they stride."""
    return {m.mover for m in motions if m.move == "stride"}


def bonded(crew, motions=(), only=None):
    """Rules 1 and 2, for all modules or some: (rule, message, whether it is broken, at each of the crew's instants)."""
    changing = {m.mover for m in motions if m.stands}
    for i in sorted(set(range(len(crew.names)) if only is None else only) - lifted(motions)):
        hosts = {m.new for m in motions if m.mover == i} | {crew.host[i]}
        for stance in stances(crew, motions, changing & {i, *(crew.index[h] for h in hosts if h in crew.index)}):
            host, normal, name = stance.host[i], stance.rot[i][..., 2], crew.names[i]
            askew = angle_between(normal, stance.normal(i, host))
            yield "bond", f"{name} is not where a bond to {host} holds it", (abs(stance.off_place(i, host)) > TOL) | (askew > TOL)
            ground = stance.ground(i)
            if ground is None:
                j = crew.index[host]
                reach = math.radians(crew.kinds[j].shell_reach_deg)
                yield "reach", f"{name} stands out of reach of {host}", angle_between(stance.rot[j][..., 2], normal) > reach + TOL
            else:
                outside = ground.margin(stance.sole(i)) < crew.kinds[i].foot_radius_m - TOL
                yield "outline", f"the foot of {name} leaves the outline of {host}", outside


def overlaps(crew, pairs):
    """Rule 3 from the gaps of all pairs, shells and then bodies, as in `bonded`."""
    n, deep = len(crew.names), pairs < -TOL
    for i, j in np.argwhere(deep.any(axis=tuple(range(deep.ndim - 2)))):
        if j >= n:
            yield "overlap", f"{crew.names[i]} is in {crew.scene.bodies[j - n].name}", deep[..., i, j]
        elif i < j:
            yield "overlap", f"{crew.names[i]} and {crew.names[j]} overlap", deep[..., i, j]


def placed(crew):
    """Rules 1 to 3 at rest: (rule, message)."""
    pairs = np.hstack(gaps(crew.scene, crew.p, crew.radii))
    return [(rule, message) for rule, message, broken in [*bonded(crew), *overlaps(crew, pairs)] if broken]


def masses(crew, i):
    """Weight of a module and of its payload, and where it acts."""
    kind = crew.kinds[i]
    return [(kind.mass_kg, crew.p[i] + kind.com_height_m * crew.rot[i][:, 2]), (crew.payload[i], crew.p[i])]


def bond_of(crew, i, motions):
    """The bond under a module, with the limits of the moves under way."""
    kind, ground, host = crew.kinds[i], crew.ground(i), crew.host[i]
    bond = load.Bond(i, None if ground else crew.index[host], crew.rot[i][:, 2], crew.sole(i), adhesion(crew, i, host),
                     ground.friction if ground else kind.bond_friction, kind.peel_radius_m)
    for motion in motions:
        if i in motion.planted:
            bond.drive = kind.drive_force_n
        if i != motion.mover:
            continue
        if motion.stands:
            bond.adhesion *= kind.hop_hold
        elif motion.move == "slide":
            bond.drive = kind.drive_force_n
            if crew.scene.edition.curves_turn and motion.step["curvature_per_m"] != 0:
                bond.torque = kind.yaw_torque_rolling_nm
        elif motion.move == "yaw":
            bond.torque = kind.yaw_torque_braced_nm if crew.held(i) == "braced" else kind.yaw_torque_rolling_nm
    return bond


def structures(crew, bonds, counted):
    """Modules joined by bonds and counted touches, as lists."""
    label = list(range(len(crew.names)))
    for a, b in [(bond.child, bond.host) for bond in bonds] + [(touch.a, touch.b) for touch in counted]:
        if b is not None and label[a] != label[b]:
            label = [label[a] if x == label[b] else x for x in label]
    return [[i for i, x in enumerate(label) if x == one] for one in sorted(set(label))]


def held_by(stance, motions):
    """All bonds and counted touches of a crew that stands on one choice of hosts."""
    bonds = [bond_of(stance, i, motions) for i in range(len(stance.names)) if i not in lifted(motions)]
    return bonds, [touch for touch, _, _ in touches(stance, motions)]


def choices(crew, motions):
    """(modules, stance): every choice of hosts of those modules that could be of one structure, while the others stand as before.

    A hop only joins or parts its mover and others, and two that hop never touch, so what any choice joins is joined before all hops or after them.
    """
    changes = [m for m in motions if m.stands]
    if len(changes) < 2:
        yield from ((set(range(len(crew.names))), stance) for stance in stances(crew, motions))
        return
    ends = [crew.copy(), crew.copy()]
    for over, stance in enumerate(ends):
        for motion in changes:
            motion.stand(stance, bool(over))
    joined = [held_by(stance, motions) for stance in ends]
    for members in structures(crew, joined[0][0] + joined[1][0], joined[0][1] + joined[1][1]):
        yield from ((set(members), stance) for stance in stances(crew, motions, set(members)))


def tilts(crew, members, bonds, counted):
    """The greatest tilt of the rough decks that a foot or a touch joins to a structure, in degrees."""
    grounds = [crew.ground(b.child) for b in bonds if b.host is None and b.child in members]
    return max((g.tilt_deg for g in grounds + [t.body for t in counted if t.body and t.a in members]), default=0.0)


def programmes(crew, motions=(), sway=None, factor=None, tilted=None, of=None):
    """(members, programme) of every structure, or of those with one of some modules, in every choice of hosts.

    The moves under way decide on the motion's factor and tilt of gravity, unless the caller does.
    """
    scene, under_way = crew.scene, {m.move for m in motions}
    tilted = bool(under_way & TILTING) if tilted is None else tilted
    factor = bool(under_way & scene.edition.heavy) if factor is None else factor
    base = scene.limits.sway_deg if sway is None else math.degrees(sway)
    base += scene.limits.motion_tilt_deg if tilted else 0.0
    gravity = scene.site.gravity_mps2 * (scene.limits.motion_factor if factor else 1.0)
    for within, stance in choices(crew, motions):
        bonds, counted = held_by(stance, motions)
        for members in structures(stance, bonds, counted):
            if not within.issuperset(members) or of is not None and not of & set(members):
                continue
            tilt = base + tilts(stance, members, bonds, counted)
            local = {None: None} | {i: k for k, i in enumerate(members)}
            yield members, load.Programme(
                stance.p[members], [masses(stance, i) for i in members],
                [replace(b, child=local[b.child], host=local[b.host]) for b in bonds if b.child in local],
                [replace(t, a=local[t.a], b=local[t.b]) for t in counted if t.a in local],
                load.directions(gravity, math.radians(tilt)))


def by_structure(crew, motions=(), **which):
    """(members, utilisation) of the structures as in `programmes`; None where no forces balance."""
    return [(members, load.worst(programme.least())) for members, programme in programmes(crew, motions, **which)]


def utilisation(crew, motions=(), **which):
    """Worst utilisation at this instant; None where no forces balance within the hard conditions."""
    return load.worst([u for _, u in by_structure(crew, motions, **which)])


def load_status(crew, u):
    """The contract's three outcomes."""
    if u is None:
        return "no_equilibrium"
    return "carried" if u <= 1 / crew.scene.limits.hold_factor + TOL else "over_limit"
