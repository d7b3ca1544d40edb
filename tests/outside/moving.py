"""Whole plans in a rigid-body simulation: every module a free body, every bond a weld that is driven along the plan.

Contacts are off, so what touches carry is not there. The wrench of a bond is the sum of the constraint forces on all that
stands on it, as the simulation finds them (MuJoCo: Todorov, Erez, Tassa, IROS 2012); forces between those modules cancel.
"""

import math

import mujoco
import numpy as np
from reference import load, plan_file, sound, timeline
from reference.pose import Crew, cross

STEP_S = 1e-3
EVERY = 5  # steps between two looks at the loads
SETTLE_S = 1.5  # after a hop, and after the start
SURFACE = 0.93


def ramped(t, span, ramp):
    """Share of a move done at a time, and it starts and stops evenly in `ramp` seconds at most."""
    if span <= 0 or t >= span:
        return 1.0
    if t <= 0:
        return 0.0
    ramp = min(ramp, span / 2)
    rate = 1 / (span - ramp)
    if t > span - ramp:
        return 1 - rate * (span - t) ** 2 / (2 * ramp)
    return rate * t * t / (2 * ramp) if t < ramp else rate * (t - ramp / 2)


class Replayed:
    """What came of one plan: `over` is the most by which a bond is used beyond 1.1 times its static utilisation, which is
    that in the worst of the nine directions of gravity.

    `ramp` is how fast drives start and stop, if not as their kind does; hops, and the time after them, are left out.
    """

    def __init__(self, path, ramp=None):
        self.plan, self.scene = plan_file.read(path)
        self.ramp = ramp
        crew = Crew(self.scene)
        self.phases, motions = timeline.run(crew, self.plan["steps"], lambda *_: None)
        self.hops = [(m.step["start_s"], m.step["start_s"] + m.step["duration_s"], m.mover) for m in motions
                     if m.move in ("hop", "cross")]
        self.over, self.worst, self.most = -math.inf, None, 0.0
        self.directions = load.directions(self.scene.site.gravity_mps2, math.radians(self.scene.limits.sway_deg))
        self.model(crew)
        self.run()

    def model(self, crew):
        bodies = ""
        for i, kind in enumerate(crew.kinds):
            load = f'<geom type="sphere" size=".01" mass="{crew.payload[i]}"/>' if crew.payload[i] > 0 else ""
            bodies += (f'<body name="b{i}"><freejoint/><geom type="sphere" size="{kind.shell_radius_m}" '
                       f'mass="{kind.mass_kg}" pos="0 0 {kind.com_height_m}"/>{load}</body>')
        welds = "".join(f'<weld body1="world" body2="b{i}" solref=".002 1" solimp=".99999 .99999 .001"/>'
                        for i in range(len(crew.kinds)))
        self.mj = mujoco.MjModel.from_xml_string(f"""
          <mujoco><option timestep="{STEP_S}" gravity="0 0 {-self.scene.site.gravity_mps2}" iterations="200" tolerance="1e-12"/>
          <default><geom contype="0" conaffinity="0"/></default>
          <worldbody>{bodies}</worldbody><equality>{welds}</equality></mujoco>""")
        self.data = mujoco.MjData(self.mj)
        for i in range(len(crew.kinds)):
            self.data.qpos[7 * i:7 * i + 3] = crew.p[i]
            self.data.qpos[7 * i + 3:7 * i + 7] = quaternion(crew.rot[i])

    def at(self, phase, t):
        """Where the plan has the crew, with ramps; a hop turns evenly, on the host it leaves until its end."""
        crew = phase.crew.copy()
        for motion in phase.motions:
            begin, span = motion.step["start_s"], motion.step["duration_s"]
            if motion.move in ("brace", "release"):
                continue
            hops = motion.move == "hop"
            ramp = span / 2 if hops or motion.move == "cross" else self.ramp or crew.kinds[motion.mover].ramp_time_s
            share = ramped(t - begin, span, ramp)
            if hops:
                motion.move = "cross"  # which turns on its way
                motion.place(crew, share)
                motion.move = "hop"
            else:
                motion.place(crew, share)
        return crew

    def weld(self, crew):
        for i, host in enumerate(crew.host):
            j = crew.index.get(host)
            p, rot = (np.zeros(3), np.eye(3)) if j is None else (crew.p[j], crew.rot[j])
            self.mj.eq_obj1id[i] = 0 if j is None else j + 1
            self.mj.eq_data[i, 0:3] = 0
            self.mj.eq_data[i, 3:6] = rot.T @ (crew.p[i] - p)
            self.mj.eq_data[i, 6:10] = quaternion(rot.T @ crew.rot[i])
            self.mj.eq_data[i, 10] = 1

    def run(self):
        t, count = 0.0, 0
        for phase in self.phases:
            while t < phase.end - 1e-9:
                t += STEP_S
                crew = self.at(phase, t)
                self.weld(crew)
                mujoco.mj_step(self.mj, self.data)
                count += 1
                if count % EVERY == 0 and t > SETTLE_S and not any(a < t < b + SETTLE_S for a, b, _ in self.hops):
                    self.look(crew, t)
        self.end = self.at(self.phases[-1], self.phases[-1].end)
        # A quarter of the step, and welds sixteen times as stiff: how far the crew ends off its places is not theirs.
        self.mj.opt.timestep, self.mj.eq_solref[:, 0] = STEP_S / 4, STEP_S / 2
        for _ in range(int(4 * SETTLE_S / STEP_S)):
            self.weld(self.end)
            mujoco.mj_step(self.mj, self.data)
        self.rest_n = max(np.abs(wrench - at_rest(weight, self.directions[0])).max()
                          for _, wrench, weight in self.wrenches(self.end))
        self.off_m = max(np.linalg.norm(self.data.qpos[7 * i:7 * i + 3] - p) for i, p in enumerate(self.end.p))

    def wrenches(self, crew):
        """For each bond: the module, the wrench about its sole, and mass and first moment of what stands on it."""
        pushed = self.data.qfrc_constraint.reshape(-1, 6)
        for i in range(len(crew.kinds)):
            sole, wrench, mass, first = crew.sole(i), np.zeros(6), 0.0, np.zeros(3)
            for k in [i, *crew.standing_on(i)]:
                kind, p, rot = crew.kinds[k], crew.p[k], crew.rot[k]
                force, moment = pushed[k, :3], rot @ pushed[k, 3:]
                wrench += [*force, *moment + cross(p - sole, force)]
                for m, at in ((kind.mass_kg, p + kind.com_height_m * rot[:, 2]), (crew.payload[k], p)):
                    mass, first = mass + m, first + m * (at - sole)
            yield i, wrench, (mass, first)

    def look(self, crew, t):
        for i, wrench, weight in self.wrenches(crew):
            adhesion = sound.adhesion(crew, i, crew.host[i])
            if adhesion <= 0:
                continue
            moving = self.used(crew, i, wrench, adhesion)
            still = max(self.used(crew, i, at_rest(weight, down), adhesion) for down in self.directions)
            self.most = max(self.most, moving)
            if moving - 1.1 * max(still, 0.0) > self.over:
                self.over, self.worst = moving - 1.1 * max(still, 0.0), (crew.names[i], round(t, 3), moving, still)

    @staticmethod
    def used(crew, i, wrench, adhesion):
        kind, ground, normal = crew.kinds[i], crew.ground(i), crew.rot[i][:, 2]
        friction = kind.bond_friction if ground is None else ground.friction
        force, moment = wrench[:3], wrench[3:]
        push, spin = force @ normal, moment @ normal
        slide = math.hypot(np.linalg.norm(force - push * normal), 1.5 * spin / kind.peel_radius_m)
        peel = np.linalg.norm(moment - spin * normal) / kind.peel_radius_m
        return (max(peel, slide / (SURFACE * friction)) - push) / adhesion


def at_rest(weight, gravity):
    """The wrench of a bond that carries a mass with this first moment about its sole."""
    mass, first = weight
    return np.array([*-mass * gravity, *cross(first, -gravity)])


def quaternion(rot):
    out = np.zeros(4)
    mujoco.mju_mat2Quat(out, np.ascontiguousarray(rot).ravel())
    return out
