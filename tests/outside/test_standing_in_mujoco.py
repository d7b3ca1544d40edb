"""Plain standing: how far a crew can be tilted before it tips or slips, against rigid-body simulation.

MuJoCo (Todorov, Erez, Tassa: MuJoCo: a physics engine for model-based control, IROS 2012) knows neither peel nor
torsion limits, so the bonds between modules are taken as unbreakable there and made very strong here: only the foot
on a nonferrous deck decides.
"""

import math

import mujoco
import numpy as np
import pytest

import kit

G, RING = 9.80665, 48
STRONG = kit.COBBLE | {"magnet_force_n": 3000.0, "bond_friction": 5.0}
ROOT = {"name": "m1", "on": "ground", "at_m": [0, 0]}
ABOVE = {"name": "m2", "on": "m1", "toward": [0, 0, 1]}
CREWS = {  # modules, friction of the deck, payload of the last
    "one": ([ROOT], 3.0),
    "one that slips": ([ROOT], 0.4),
    "column of two": ([ROOT, ABOVE], 3.0),
    "column of three": ([ROOT, ABOVE, {"name": "m3", "on": "m2", "toward": [0, 0, 1]}], 3.0),
    "leaning pair": ([ROOT, ABOVE | {"toward": [-0.2, 0, 1]}], 3.0),
    "leaning pair with a load": ([ROOT, ABOVE | {"toward": [-0.1, 0, 1], "payload_kg": 0.3}], 3.0),
}


def points(modules):
    """Masses and where they are."""
    at, out = {}, []
    for module in modules:
        up = np.array([0, 0, 1.0]) if "at_m" in module else np.array(module["toward"]) / np.linalg.norm(module["toward"])
        at[module["name"]] = np.array([0, 0, 0.06]) if "at_m" in module else at[module["on"]] + 0.12 * up
        out.append((0.5, at[module["name"]] - 0.010 * up))
        if "payload_kg" in module:
            out.append((module["payload_kg"], at[module["name"]]))
    return out


def simulate(modules, friction, tilt_deg, azimuth_deg, seconds=1.0):
    """How far the crew has moved (m) and turned (rad), and the sum of the normal forces (N)."""
    tilt, azimuth = math.radians(tilt_deg), math.radians(azimuth_deg)
    gravity = G * np.array([math.sin(tilt) * math.cos(azimuth), math.sin(tilt) * math.sin(azimuth), -math.cos(tilt)])
    ring = "".join(f'<geom type="sphere" size=".002" mass="0" pos="{0.04 * math.cos(a)} {0.04 * math.sin(a)} .002"/>'
                   for a in np.arange(RING) * 2 * math.pi / RING)
    weights = "".join(f'<geom type="sphere" size=".06" mass="{m}" pos="{p[0]} {p[1]} {p[2]}" contype="0" conaffinity="0"/>'
                      for m, p in points(modules))
    model = mujoco.MjModel.from_xml_string(f"""
      <mujoco><option cone="elliptic" impratio="100" timestep=".001" gravity="{gravity[0]} {gravity[1]} {gravity[2]}"/>
      <default><geom friction="{friction} 0 0" condim="3" solref=".004 1"/></default>
      <worldbody><geom type="plane" size="5 5 .1"/><body><freejoint/>{ring}{weights}</body></worldbody></mujoco>""")
    data = mujoco.MjData(model)
    for _ in range(int(seconds / model.opt.timestep)):
        mujoco.mj_step(model, data)
        turned = 2 * math.acos(min(1.0, abs(data.qpos[3])))
        if turned > 0.5 or np.linalg.norm(data.qpos[:2]) > 0.1:
            break
    force, normal = np.zeros(6), 0.0
    for k in range(data.ncon):
        mujoco.mj_contactForce(model, data, k, force)
        normal += force[0]
    return float(np.linalg.norm(data.qpos[:2])), turned, normal


def stands(*arguments):
    moved, turned, _ = simulate(*arguments)
    return moved < 0.004 and turned < 0.05


def tree(name):
    modules, friction = CREWS[name]
    return kit.scene(modules, [kit.slab(friction=friction)], {"cobble": STRONG})


@pytest.mark.parametrize("name", CREWS)
def test_normal_forces_carry_the_weight(name):
    """The simulation itself is set up as meant."""
    modules, friction = CREWS[name]
    weight = sum(m for m, _ in points(modules)) * G
    assert simulate(modules, friction, 0.0, 0.0)[2] == pytest.approx(weight, rel=1e-3)


@pytest.fixture(scope="module")
def tilts(tmp_path_factory):
    """What the tool says each crew survives."""
    folder = tmp_path_factory.mktemp("standing")
    answers = kit.inspect([kit.write_toml(tree(name), folder / f"{k}.toml") for k, name in enumerate(CREWS)])
    return {name: answer["tilt_survived_deg"] for name, answer in zip(CREWS, answers)}


@pytest.mark.parametrize("name", CREWS)
def test_tilt_survived(name, tilts):
    """Just below the tool's angle the crew stands whichever way it leans, just above it falls in the worst way.

    The tool takes 0.93 of the friction (a margin of the model), so the simulation gets 0.93 of it too.
    """
    modules, friction = CREWS[name]
    below = [stands(modules, 0.93 * friction, tilts[name] - 1.0, azimuth) for azimuth in range(0, 360, 45)]
    above = [stands(modules, 0.93 * friction, tilts[name] + 1.0, azimuth) for azimuth in range(0, 360, 45)]
    assert all(below) and not all(above)
