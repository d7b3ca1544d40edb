"""Published and elementary values against what `clamber inspect` says: no solver stands between.

"From memory" marks a source quoted from memory; its numbers were worked out again.
"""

import math

import pytest

import kit

W = 0.5 * 9.80665  # standard gravity: CGPM 3 (1901)
BALL = kit.COBBLE | {"com_height_m": 0.0, "shell_reach_deg": 180.0, "magnet_force_n": 10.0}
STRONG = BALL | {"magnet_force_n": 1e5, "bond_friction": 9.0}
UPRIGHT = {"limits": {"sway_deg": 0.0}}
ROOT = {"name": "m1", "on": "ground", "at_m": [0, 0], "kind": "strong"}
COLUMN = [ROOT, {"name": "m2", "on": "m1", "toward": [0, 0, 1], "kind": "strong"}]


def look(tmp_path, *trees):
    """What the tool says about each scene; all of them are placed as the rules want."""
    answers = kit.inspect([kit.write_toml(tree, tmp_path / f"{k}.toml") for k, tree in enumerate(trees)])
    assert all({p["rule"] for p in answer["problems"]} <= {"load"} for answer in answers)
    return answers


def bond(answer, name):
    found, = (b for b in answer["load"]["bonds"] if b["module"] == name)
    return found


def on_shell(degrees, ball):
    """A module at an angle from the top of a ball that a strong column holds out."""
    toward = [math.sin(math.radians(degrees)), 0, math.cos(math.radians(degrees))]
    host = {"name": "host", "on": "m2", "toward": [1, 0, 0], "kind": "strong"}
    return kit.scene([*COLUMN, host, {"name": "m3", "on": "host", "toward": toward}], [kit.slab(ferrous=True)],
                     {"cobble": ball, "strong": STRONG}, **UPRIGHT)


def worst_angle(tmp_path, ball, degrees, expected, governs):
    """At the worst angle the bond needs `expected` weights; a degree off it needs less."""
    at, before, after = look(tmp_path, *(on_shell(d, ball) for d in (degrees, degrees - 1, degrees + 1)))
    assert at["load"]["utilisation"] * ball["magnet_force_n"] / W == pytest.approx(expected, abs=2e-6)
    assert bond(at, "m3")["needs_n"] / W == pytest.approx(expected, abs=2e-6)
    assert bond(at, "m3")["governs"] == governs
    assert max(before["load"]["utilisation"], after["load"]["utilisation"]) < at["load"]["utilisation"]


@pytest.mark.parametrize("friction, degrees, weights", [
    (0.15, 98.531, 6.741249), (0.2, 101.310, 5.099020), (0.3, 106.699, 3.480102), (0.5, 116.565, 2.236068)])
def test_sliding_off_a_ball(friction, degrees, weights, tmp_path):
    """P >= W (sin t / mu - cos t), worst sqrt(1 + 1/mu^2) W (elementary statics); the tool takes 0.93 of the friction."""
    worst_angle(tmp_path, BALL | {"bond_friction": friction / 0.93, "foot_radius_m": 0.058}, degrees, weights, "slip")


@pytest.mark.parametrize("slenderness, weights", [(1.5, 1.802776), (2.5, 2.692582), (4.0, 4.123106)])
def test_tipping_off_a_ball(slenderness, weights, tmp_path):
    """P >= W (R/b sin t - cos t), worst sqrt(1 + (R/b)^2) W (elementary statics; rigid rim)."""
    ball = BALL | {"bond_friction": 9.0, "foot_radius_m": 0.060 / slenderness}
    worst_angle(tmp_path, ball, 180 - math.degrees(math.atan(slenderness)), weights, "peel")


def arm(n, ball):
    """A level chain of n modules from the top of a strong column."""
    chain = [{"name": f"a{k}", "on": f"a{k - 1}" if k else "m2", "toward": [1, 0, 0]} for k in range(n)]
    return kit.scene([*COLUMN, *chain], [kit.slab(ferrous=True)],
                     {"cobble": ball, "strong": STRONG | {key: ball[key] for key in ("shell_radius_m", "ride_height_m")}},
                     limits={"sway_deg": 0.0, "hold_factor": 1.0})


def test_a_level_chain(tmp_path):
    """Arithmetic series: n^2 R W about the first contact, W L n (n + 1) / 2 about the anchor's centre."""
    for n, answer in enumerate(look(tmp_path, *(arm(n, BALL | {"bond_friction": 9.0}) for n in range(1, 7))), 1):
        first, anchor = [1, 4, 9, 16, 25, 36][n - 1], [1, 3, 6, 10, 15, 21][n - 1]
        assert bond(answer, "a0")["needs_n"] == pytest.approx(first * 0.060 * W / 0.040, rel=1e-9)
        assert bond(answer, "m2")["needs_n"] == pytest.approx(anchor * 0.120 * W / 0.040 - (n + 1) * W, rel=1e-9)


def test_how_long_a_chain_may_be(tmp_path):
    """120 N, mu 0.3, b 20 mm, 0.5 kg, R 50 mm: three hang level by the rim rule (2.2065 of 2.4 N m), four do not."""
    ball = BALL | {"shell_radius_m": 0.050, "ride_height_m": 0.050, "foot_radius_m": 0.020, "magnet_force_n": 120.0,
                   "bond_friction": 0.3 / 0.93}
    three, four = look(tmp_path, arm(3, ball), arm(4, ball))
    assert (three["load"]["status"], four["load"]["status"]) == ("carried", "over_limit")
    assert bond(three, "a0")["needs_n"] * 0.020 == pytest.approx(2.2065, abs=1e-4)


def test_torsion_of_a_foot(tmp_path):
    """2/3 mu N b: disc under uniform pressure (Shigley, Mechanical Engineering Design; from memory)."""
    tree = arm(1, BALL)
    tree["module"].append({"name": "b", "kind": "cobble", "on": "a0", "toward": [0, 1, 0]})
    answer, = look(tmp_path, tree)
    twist = W * 0.120 / (2 / 3 * 0.040)
    assert bond(answer, "a0")["governs"] == "slip"
    assert bond(answer, "a0")["needs_n"] == pytest.approx(math.hypot(2 * W, twist) / (0.93 * 0.6), rel=1e-9)


def cup(area, vacuum, altitude):
    """One braced module without magnets on a sealable deck."""
    ball = BALL | {"magnet_force_n": 0.0, "cup_area_m2": area, "cup_vacuum_pa": vacuum}
    return kit.scene([{"name": "m1", "on": "ground", "at_m": [0, 0], "hold": "braced"}], [kit.slab(sealable=True)],
                     {"cobble": ball}, site={"altitude_m": altitude})


def test_force_of_a_cup(tmp_path):
    """F = dp pi d^2 / 4 at 60 kPa, as makers of vacuum cups state it."""
    answers = look(tmp_path, *(cup(math.pi * d * d / 4, 60000.0, 0.0) for d in (0.030, 0.040, 0.050)))
    assert [bond(a, "m1")["adhesion_n"] for a in answers] == pytest.approx([42.4115, 75.3982, 117.8097], abs=1e-4)


PRESSURES = {0: 101325.00, 500: 95460.84, 1000: 89874.56, 1500: 84555.99, 2000: 79495.20, 2500: 74682.52,
             3000: 70108.53, 4000: 61640.21, 5000: 54019.89}


def test_cup_force_falls_with_altitude(tmp_path):
    """Standard atmosphere over geopotential altitude (ISO 2533:1975); the pump leaves a tenth of the ambient pressure."""
    answers = look(tmp_path, *(cup(1e-3, 1e6, float(h)) for h in PRESSURES))
    forces = [bond(a, "m1")["adhesion_n"] for a in answers]
    assert [f / (0.9 * 1e-3) for f in forces] == pytest.approx(list(PRESSURES.values()), abs=0.1)
    share = dict(zip(PRESSURES, (f / forces[0] for f in forces)))
    assert [share[h] for h in (1000, 2000, 3000, 5000)] == pytest.approx([0.88699, 0.78456, 0.69192, 0.53313], abs=1e-5)


def star(n):
    """A hub, n arms whose shells lie on the ground 2R from its axis, and a load that brings the mass 2R up."""
    arms = [{"name": f"a{k}", "on": "m1", "toward": [math.cos(t), math.sin(t), 0], "kind": "strong"}
            for k in range(n) for t in [2 * math.pi * k / n]]
    return kit.scene([ROOT, *arms, COLUMN[1] | {"payload_kg": 0.5 * n}], [kit.slab(friction=9.0)], {"strong": STRONG})


@pytest.mark.parametrize("n, degrees", [(3, 26.565051), (4, 35.264390), (6, 40.893395)])
def test_a_stand_of_n_feet_tips(n, degrees, tmp_path):
    """atan(r cos(pi/n) / h), here with r = h (elementary)."""
    answer, = look(tmp_path, star(n))
    assert answer["tilt_survived_deg"] == pytest.approx(degrees, abs=1e-3)


def test_a_rigid_pile_of_four_tips(tmp_path):
    """Four equal balls held together: mass 1.4082483 R up, an edge R / sqrt 3 away: 22.292531 degrees (elementary)."""
    s, c = math.sqrt(0.75), 0.5
    toward = {"a": [s, c, 0], "b": [s, -c, 0], "top": [1 / math.sqrt(3), 0, math.sqrt(2 / 3)]}
    above = [{"name": name, "on": "m1", "toward": way, "kind": "strong"} for name, way in toward.items()]
    answer, = look(tmp_path, kit.scene([ROOT, *above], [kit.slab(friction=9.0)], {"strong": STRONG}))
    assert len(answer["touches"]) == 5
    assert answer["tilt_survived_deg"] == pytest.approx(22.292531, abs=1e-3)


def pile(feet, between, floor):
    """Balls that only lie on one another: no adhesion, and feet so small that they are points. `feet`: places in radii.

    The last ball lies on the others; friction counts 0.93-fold in bonds and in full in touches.
    """
    ball = BALL | {"foot_radius_m": 1e-5, "magnet_force_n": 0.0, "bond_friction": between / 0.93, "shell_friction": between}
    on_ground = [{"name": f"m{k}", "on": "ground", "at_m": [0.060 * x, 0.060 * y]} for k, (x, y) in enumerate(feet)]
    middle = [sum(p[axis] for p in feet) / len(feet) for axis in (0, 1)]
    up = math.sqrt(4 - math.hypot(middle[0] - feet[0][0], middle[1] - feet[0][1]) ** 2)
    toward = [middle[0] - feet[0][0], middle[1] - feet[0][1], up]
    return kit.scene([*on_ground, {"name": "top", "on": "m0", "toward": toward}], [kit.slab(friction=floor / 0.93)],
                     {"cobble": ball}, **UPRIGHT)


TWO, THREE = [(0, 0), (2, 0)], [(0, 0), (2, 0), (1, math.sqrt(3))]


@pytest.mark.parametrize("feet, between, floor", [
    (THREE, math.sqrt(3) - math.sqrt(2), (math.sqrt(3) - math.sqrt(2)) / 4),  # Gregory, Classical Mechanics, 2006, 11.19
    (TWO, 2 - math.sqrt(3), (2 - math.sqrt(3)) / 3),  # the classic three cylinders, here balls in a row (from memory)
])
def test_friction_a_pile_needs(feet, between, floor, tmp_path):
    enough, slips, slides = look(tmp_path, pile(feet, between + 2e-3, floor + 2e-3), pile(feet, between - 2e-3, 0.9),
                                 pile(feet, 0.9, floor - 2e-3))
    assert enough["load"]["status"] == "carried"
    assert slips["load"]["status"] == slides["load"]["status"] == "no_equilibrium"
