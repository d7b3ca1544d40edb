"""The reference against closed forms, so that it can be trusted on its own."""

import math

import numpy as np
import pytest

import crews
import kit
from reference import canonical, sound
from reference.edition import FIRST
from reference.fields import SceneError
from reference.motion import Motion
from reference.pose import Crew, turn_between
from reference.scene import Scene, load

G = 9.80665
STILL = {"sway_deg": 0.0}


def crew(modules, decks=None, limits=STILL, **change):
    return Crew(Scene(kit.scene(modules, decks, {"cobble": kit.COBBLE | change}, limits=limits)))


ROOT = {"name": "m1", "on": "ground", "at_m": [0, 0]}


def test_lone_module_tips_at_the_angle_of_its_rim_or_slips():
    tip, slip = math.degrees(math.atan(0.040 / 0.050)), math.degrees(math.atan(0.93 * 0.5))
    for friction, edge in ((5.0, tip), (0.5, slip)):
        deck = [kit.slab(friction=friction)]
        assert sound.utilisation(crew([ROOT], deck, {"sway_deg": edge - 0.01})) == 0
        assert sound.utilisation(crew([ROOT], deck, {"sway_deg": edge + 0.01})) is None


@pytest.mark.parametrize("degrees", [0, 40, 90, 110, 180])
def test_module_on_a_shell_at_an_angle_from_the_top(degrees):
    """Adhesion needed: W (sin/mu - cos) against sliding, W ((h/b) sin - cos) against tipping; elementary statics."""
    angle, weight, grip = math.radians(degrees), 0.5 * G, 0.93 * 0.6
    way = [("up", "m1", [0, 0, 1]), ("top", "up", [0, 0, 1]), ("near", "top", [1, 0, 0]), ("far", "near", [1, 0, 0]),
           ("m2", "far", [math.sin(angle), 0, math.cos(angle)])]  # far out, so that nothing touches it
    here = crew([ROOT, *({"name": name, "on": on, "toward": toward} for name, on, toward in way)], [kit.slab(ferrous=True)])
    _, programme = next(sound.programmes(here))
    assert not programme.touches
    for bond in programme.bonds[:5]:
        bond.adhesion = 1e8  # leave the bond between the last two
    need = weight * (math.sin(angle) * max(1 / grip, 0.050 / 0.040) - math.cos(angle))
    for always_cones in (False, True):
        assert max(programme.least(always_cones)) == pytest.approx(max(0, need / 30.0), abs=1e-6)


@pytest.mark.parametrize("n", [1, 2, 3, 4])
def test_horizontal_chain_has_moment_n_squared_r_w(n):
    """Moment about the first contact: n^2 R W (arithmetic series)."""
    column = [ROOT, {"name": "up", "on": "m1", "toward": [0, 0, 1]}]
    chain = [{"name": f"c{k}", "on": f"c{k - 1}" if k else "up", "toward": [1, 0, 0]} for k in range(n)]
    here = crew(column + chain, [kit.slab(ferrous=True)], com_height_m=0.0, bond_friction=50.0)
    _, programme = next(sound.programmes(here))
    for k, bond in enumerate(programme.bonds):
        bond.adhesion = 30.0 if k == 2 else 1e6
    assert max(programme.least(True)) == pytest.approx(n**2 * 0.060 * 0.5 * G / (0.040 * 30.0), abs=1e-6)


def test_a_touch_relieves_a_bond():
    """A module beside its host rests on the ground; without ground friction it cannot help more than that."""
    side = [ROOT, {"name": "m2", "on": "m1", "toward": [1, 0, 0]}]
    assert [name for _, name, _ in sound.touches(crew(side))] == ["ground"]
    assert sound.utilisation(crew(side)) == pytest.approx(0, abs=1e-7)


def test_iso_2533():
    for altitude, pascal in ((0, 101325.0), (1000, 89874.6), (5000, 54019.9), (11000, 22632.0), (15000, 12044.6)):
        assert sound.ambient_pressure(altitude) == pytest.approx(pascal, abs=0.5)


def test_cup_needs_a_brace_and_a_seal_and_air():
    def adhesion(hold, altitude=0.0, **deck):
        tree = kit.scene([ROOT | {"hold": hold}], [kit.slab(**deck)], site={"altitude_m": altitude})
        return sound.adhesion(Crew(Scene(tree)), 0, "ground")
    assert adhesion("rolling", ferrous=True, sealable=True) == 30
    assert adhesion("braced", sealable=True) == pytest.approx(54)
    assert adhesion("braced", ferrous=True) == 30
    assert adhesion("braced", 9000.0, sealable=True) == pytest.approx(1.2e-3 * 0.9 * sound.ambient_pressure(9000.0))


def slide(here, name, travel, bend):
    motion = Motion({"module": name, "move": "slide", "travel_m": travel, "curvature_per_m": bend}, here)
    motion.finish(here)
    return here


def test_small_circle_closes_after_its_circumference():
    """A circle of geodesic curvature k on a sphere of radius R has length 2 pi / sqrt(k^2 + 1/R^2)."""
    here = crew([ROOT, {"name": "m2", "on": "m1", "toward": [0.3, 0.2, 1]}])
    before, bend = here.copy(), 25.0
    round_trip = 2 * math.pi / math.hypot(bend, 1 / 0.060)
    half = slide(here.copy(), "m2", round_trip / 2, bend)
    left = before.rot[1][:, 1]
    chord = half.p[1] - before.p[1]
    assert chord @ left > 0 and abs(chord @ before.rot[1][:, 0]) < 1e-12
    assert np.linalg.norm(chord) == pytest.approx(2 * 0.120 * math.sin(math.atan(1 / (bend * 0.060))))
    slide(here, "m2", round_trip, bend)
    assert np.allclose(here.p, before.p) and np.allclose(here.rot, before.rot)


def test_deck_arc_bends_left():
    here = slide(crew([ROOT]), "m1", math.pi / 2 * 0.3, 1 / 0.3)
    assert np.allclose(here.p[0], [0.3, 0.3, 0.060]) and np.allclose(here.rot[0][:, 0], [0, 1, 0])
    here = slide(crew([ROOT]), "m1", -math.pi / 2 * 0.3, 1 / 0.3)
    assert np.allclose(here.p[0], [-0.3, 0.3, 0.060]) and np.allclose(here.rot[0][:, 0], [0, -1, 0])


def test_yaw_carries_everything_above():
    here = crew([ROOT, {"name": "m2", "on": "m1", "toward": [1, 0, 1]}, {"name": "m3", "on": "m2", "toward": [0, 0, 1]}])
    Motion({"module": "m1", "move": "yaw", "angle_rad": math.pi / 2}, here).finish(here)
    side = 0.120 / math.sqrt(2)
    assert np.allclose(here.p[1:], [[0, side, 0.060 + side], [0, side, 0.180 + side]])
    assert turn_between(np.eye(3), here.rot[0]) == pytest.approx(math.pi / 2)


def test_hop_turns_body_z_onto_the_new_normal():
    here = crew([ROOT, {"name": "m2", "on": "m1", "toward": [0, 0, 1]},
                 {"name": "m3", "on": "ground", "at_m": [0.12 * math.sqrt(2) * 0.5, 0]}])
    here.p[2] = here.p[1] + [0.12, 0, 0]
    Motion({"module": "m2", "move": "hop", "to": "m3"}, here).finish(here)
    assert here.host[1] == "m3" and np.allclose(here.rot[1][:, 2], [-1, 0, 0])
    assert np.allclose(here.rot[1][:, 0], [0, 0, 1])


def test_distances_to_a_prism():
    deck = Scene(kit.scene([ROOT], [kit.slab(size=1.0, bottom_m=-0.5)])).grounds[0]
    centres = np.array([[0, 0, 2], [1.3, 0, 0.4], [1.3, 1.4, -0.2], [1.3, 1.4, -1.7], [0, 0.9, -0.3]], float)
    _, distance = deck.nearest(centres)
    assert np.allclose(distance, [2, 0.5, 0.5, 1.3, -0.1])
    assert deck.margin([0.9, 0]) == pytest.approx(0.1)
    assert deck.margin([1.1, 0]) == pytest.approx(-0.1)


def test_canonical_numbers():
    """RFC 8785, appendix B."""
    for bits, text in (("0000000000000001", "5e-324"), ("7fefffffffffffff", "1.7976931348623157e+308"),
                       ("4340000000000000", "9007199254740992"), ("4430000000000000", "295147905179352830000"),
                       ("44b52d02c7e14af6", "1e+23"), ("444b1ae4d6e2ef4f", "999999999999999900000"),
                       ("444b1ae4d6e2ef50", "1e+21"), ("3eb0c6f7a0b5ed8c", "9.999999999999997e-7"),
                       ("3eb0c6f7a0b5ed8d", "0.000001"), ("41b3de4355555553", "333333333.3333332"),
                       ("becbf647612f3696", "-0.0000033333333333333333"), ("43143ff3c1cb0959", "1424953923781206.2"),
                       ("8000000000000000", "0")):
        value = np.array([int(bits, 16)], np.uint64).view(np.float64)[0]
        assert canonical.number(value) == text
    assert canonical.canonical({"b": [1, True, None], "a": "\u20ac\n"}) == '{"a":"\u20ac\\n","b":[1,true,null]}'


@pytest.mark.parametrize("change", [{"on": "nowhere"}, {"at_m": [0, math.nan]}, {"holds": "braced"}, {"payload_kg": -1.0},
                                    {"facing": [0, 0, 1]}, {"toward": [0, 0, 1]}])
def test_bad_modules_are_errors(change):
    with pytest.raises(SceneError):
        Scene(kit.scene([ROOT | change]))


def test_a_scene_survives_being_written_as_toml(tmp_path):
    for seed in range(20):
        tree = crews.random_tree(seed)
        assert load(kit.write_toml(tree, tmp_path / "scene.toml"), FIRST).tree == Scene(tree, FIRST).tree
