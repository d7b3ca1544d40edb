"""Whether a configuration is sound at one instant (sections 4, 5, 6, 9)."""

import itertools
import math

import numpy as np

from . import load
from .gaps import foot_margin, gaps, nearest_on_deck
from .pose import angle_between

TOL = 1e-6


def ambient_pressure(altitude):
    """ISO 2533 standard atmosphere, geopotential altitude up to 20 km."""
    g0, gas, lapse, warm = 9.80665, 287.05287, 0.0065, 288.15
    low = 101325.0 * (1 - lapse * min(altitude, 11000.0) / warm) ** (g0 / (gas * lapse))
    return low * math.exp(-g0 * max(altitude - 11000.0, 0.0) / (gas * (warm - lapse * 11000.0)))


def adhesion(crew, i, host):
    """Magnet and cup of module i on a host, in its present hold."""
    deck, kind, scene = crew.scene.decks.get(host), crew.kinds[i], crew.scene
    magnet = kind.magnet_force_n if deck is None or deck.ferrous else 0.0
    vacuum = min(kind.cup_vacuum_pa, 0.9 * ambient_pressure(scene.site.altitude_m))
    seals = crew.braced[i] and (deck is None or deck.sealable)
    return magnet + (kind.cup_area_m2 * vacuum if seals else 0.0)


def stances(motions):
    """Every combination of hosts to stand on while hops are under way: {module: (host, normal)}."""
    hops = [m for m in motions if m.move == "hop"]
    for hosts in itertools.product(*[((m.old, m.normals[0]), (m.new, m.normals[1])) for m in hops]):
        yield {m.mover: stance for m, stance in zip(hops, hosts)}


def feet(crew, stance):
    """Host and normal of every bond."""
    return [stance.get(i, (crew.host[i], crew.rot[i][:, 2])) for i in range(len(crew.names))]


def bonded(crew, motions=(), only=None):
    """Rules 1 and 2, for all modules or some; a list of (rule, message)."""
    problems = []
    for stance in stances(motions):
        hosts = feet(crew, stance)
        for i in range(len(hosts)) if only is None else only:
            (host, normal), name, kind = hosts[i], crew.names[i], crew.kinds[i]
            if abs(crew.off_place(i, host)) > TOL or angle_between(normal, crew.normal(i, host)) > TOL:
                problems.append(("bond", f"{name} is not where a bond to {host} holds it"))
            if host in crew.scene.decks:
                sole = crew.p[i] - kind.ride_height_m * normal
                if foot_margin(crew.scene.decks[host], sole[0], sole[1], kind.foot_radius_m) < -TOL:
                    problems.append(("outline", f"the foot of {name} leaves the outline of {host}"))
            else:
                j = crew.index[host]
                if angle_between(crew.rot[j][:, 2], normal) > math.radians(crew.kinds[j].shell_reach_deg) + TOL:
                    problems.append(("reach", f"{name} stands out of reach of {host}"))
    return problems


def overlaps(crew, apart, decks):
    """Rule 3 from the gaps of all pairs."""
    for i, j in zip(*np.where(np.triu(apart < -TOL, 1))):
        yield "overlap", f"{crew.names[i]} and {crew.names[j]} overlap"
    for i, d in zip(*np.where(decks < -TOL)):
        yield "overlap", f"{crew.names[i]} is in {list(crew.scene.decks)[d]}"


def placed(crew):
    """Rules 1 to 3 at rest."""
    return bonded(crew) + list(overlaps(crew, *gaps(crew.scene, crew.p, crew.radii)))


def touches(crew, stance=None, motions=()):
    """The counted touches, for one choice of hosts."""
    scene, tol = crew.scene, crew.scene.limits.touch_tol_m
    hosts = [host for host, _ in feet(crew, stance or {})]
    moving = np.zeros(len(hosts), int)
    for k, motion in enumerate(motions):
        if motion.displaces:
            moving[motion.group] = k + 1
    out = []
    apart, _ = gaps(scene, crew.p, crew.radii)
    for i, j in zip(*np.where(np.triu(np.abs(apart) <= tol, 1))):
        if hosts[i] == crew.names[j] or hosts[j] == crew.names[i] or moving[i] != moving[j]:
            continue
        normal = (crew.p[i] - crew.p[j]) / np.linalg.norm(crew.p[i] - crew.p[j])
        point = crew.p[j] + (crew.radii[j] + apart[i, j] / 2) * normal
        friction = min(crew.kinds[i].shell_friction, crew.kinds[j].shell_friction)
        out.append((load.Touch(i, j, normal, point, friction), crew.names[j], apart[i, j]))
    for name, deck in scene.decks.items():
        point, distance = nearest_on_deck(deck, crew.p)
        for i in np.where(np.abs(distance - crew.radii) <= tol)[0]:
            if hosts[i] != name and not moving[i]:
                normal = (crew.p[i] - point[i]) / distance[i]
                out.append((load.Touch(i, None, normal, point[i], deck.friction), name, distance[i] - crew.radii[i]))
    return out


def masses(crew, normals):
    """Weight of every module and of its payload, and where it acts; `normals` are the body z axes."""
    return [[(k.mass_kg, crew.p[i] + k.com_height_m * normals[i]), (crew.payload[i], crew.p[i])]
            for i, k in enumerate(crew.kinds)]


def programmes(crew, motions=(), sway=None):
    """The programme of every choice of hosts; a module under a hop stands upright on either, never half turned."""
    scene = crew.scene
    sway = math.radians(scene.limits.sway_deg) if sway is None else sway
    factor = scene.limits.motion_factor if any(m.move in ("slide", "yaw", "hop") for m in motions) else 1.0
    movers = {m.mover: m.move for m in motions}
    for stance in stances(motions):
        bonds, stands = [], feet(crew, stance)
        for i, (host, normal) in enumerate(stands):
            kind, deck = crew.kinds[i], scene.decks.get(host)
            bond = load.Bond(i, None if deck else crew.index[host], normal, crew.p[i] - kind.ride_height_m * normal,
                             adhesion(crew, i, host), deck.friction if deck else kind.bond_friction, kind.foot_radius_m)
            if movers.get(i) == "hop":
                bond.adhesion *= kind.hop_hold
            elif movers.get(i) == "slide":
                bond.drive = kind.drive_force_n
            elif movers.get(i) == "yaw":
                bond.torque = kind.yaw_torque_braced_nm if crew.braced[i] else kind.yaw_torque_rolling_nm
            bonds.append(bond)
        gravity = load.directions(scene.site.gravity_mps2 * factor, sway)
        counted = [touch for touch, _, _ in touches(crew, stance, motions)]
        yield load.Programme(crew.p, masses(crew, [normal for _, normal in stands]), bonds, counted, gravity)


def utilisation(crew, motions=(), sway=None):
    """Worst utilisation at this instant; None where no forces balance within the hard conditions."""
    return load.worst([u for programme in programmes(crew, motions, sway) for u in programme.least()])


def load_status(crew, u):
    """The contract's three outcomes."""
    if u is None:
        return "no_equilibrium"
    return "carried" if u <= 1 / crew.scene.limits.hold_factor + TOL else "over_limit"
