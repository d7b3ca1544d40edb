"""Strides of a formed machine (second edition, section 6), against the design basis of this move.

L01 to L13 (but L09 and L10: tests/pages/hull.test.mjs) are check values of that basis, part A: a hub on its foot, three knees on the hub, three ends beside the knees on the
ground; the demo kind, bare concrete of friction 0.7. Its closed forms: with |v| = rho, and the crank at -a before and b after,
a stride of angle a + b advances by R (a + b) + rho (sin a + sin b) and rises by rho (cos b - cos a).
"""

import functools
import math

import numpy as np
import pytest
from scipy.optimize import brentq, minimize

import kit
import made
from reference import costs, sound, striding
from reference.beginnings import may_begin
from reference.motion import motion as motion_of
from reference.pose import Crew
from reference.scene import Scene

R, RHO, HEIGHT = 0.060, 0.048, 0.024
LATERAL = math.sqrt(0.120**2 - RHO**2)
ENDS = {"e1": ("k1", 1), "e2": ("k2", 1), "e3": ("k3", -1)}
AZIMUTH = {"k1": 180.0, "k2": 50.0, "k3": -90.0}
CONCRETE = kit.slab("concrete", size=2.0)


def machine(decks=(CONCRETE,), crank=60.0, ends=(), **more):
    """The stance of L03: knees 24 mm above the hub; each end behind and below its knee by the crank's angle."""
    out = [{"name": "hub", "on": decks[0]["name"], "at_m": [0, 0], "kind": "cobble"}]
    level = math.sqrt(0.120**2 - HEIGHT**2)
    for knee, azimuth in AZIMUTH.items():
        a = math.radians(azimuth)
        out.append({"name": knee, "on": "hub", "toward": [level * math.cos(a), level * math.sin(a), HEIGHT], "hold": "braced"})
    a = math.radians(crank)
    for end, (knee, side) in ENDS.items():
        # v, from end to knee, is rho (-sin a, 0, cos a): the crank leans back before the stride.
        down = [RHO * math.sin(a), side * LATERAL, -RHO * math.cos(a)]
        out.append({"name": end, "on": knee, "toward": down, "facing": [1, 0, 1], **dict(ends)})
    tree = kit.scene(out, list(decks), goal={}, **more)
    for module in tree["module"]:
        if module["name"] in ENDS:
            normal = np.array(module["toward"]) / 0.120
            module["facing"] = np.cross(normal, [0, 1, 0]).tolist()  # the tracks are square to the axis
    return tree


def stride(degrees=120.0, to="concrete", planted=tuple(ENDS), direction=(1.0, 0.0)):
    return "hub", "stride", {"direction": list(direction), "angle_rad": math.radians(degrees), "planted": list(planted), "to": to}


def turned(tree, move, degrees=made.TURN_DEG):
    """The scene and its stride turned about the vertical."""
    name, kind, parameters = move
    return made.turned(tree), (name, kind, parameters | {"direction": made.way(*parameters["direction"], degrees)})


def broken(move=None, **scene):
    tree, move = turned(machine(**scene), move or stride())
    return made.broken(tree, [move])


@functools.cache
def walked():
    """The cycle of L03 to L06: one stride, then each end goes on round its knee."""
    tree, move = turned(machine(), stride())
    here = Crew(Scene(tree))
    motion_of({"module": move[0], "move": move[1], **move[2]}, here).finish(here)
    recoveries = []
    for name in ("e2", "e3", "e1"):
        i = here.index[name]
        axis = np.array([*made.way(0, 1), 0])
        along, across = float(here.rot[i][:, 2] @ axis), float(here.rot[i][:, 1] @ axis)
        recoveries.append((name, math.radians(240.0) * R * across, along / (R * across)))
    return made.Made(tree, [move, *(made.slide(*r) for r in recoveries)])


def test_the_stride_of_the_design_basis():
    """L03: advance 0.208802 m, end height 0; the rise of 0.024 m lies half-way."""
    plan = walked()
    assert plan.broken == set()
    motion, = (m for m in plan.replay.history.motions if m.move == "stride")
    ahead = motion.after.p[0] - motion.before.p[0]
    assert np.allclose(ahead, [*made.way(0.208802, 0), 0.0], atol=1e-6)
    half = motion.before.copy()
    motion.place(half, 0.5)
    assert half.p[0][2] - motion.before.p[0][2] == pytest.approx(0.024, abs=1e-12)


def test_its_times():
    """L04, L05 and the cycle: 2.71327 s, three times 4.99886 s, 17.710 s; the planted slides alone would take 2.39943 s (notes of the basis)."""
    durations = [step["duration_s"] for step in walked().steps]
    assert durations == pytest.approx([2.71327, 4.99886, 4.99886, 4.99886], abs=1e-5)
    assert walked().plan["summary"]["makespan_s"] == pytest.approx(17.710, abs=1e-3)
    motion, = (m for m in walked().replay.history.motions if m.move == "stride")
    assert motion.radius * motion.angle / 0.05 == pytest.approx(2.51327, abs=1e-5)
    slow = {"cobble": kit.COBBLE | {"yaw_rate_rolling_radps": 0.8 * 2.39943 / 3.0}}
    tree, move = turned(machine(kinds=slow), stride())
    here = Crew(Scene(tree))
    assert costs.duration(motion_of({"module": "hub", "move": "stride", **move[2]}, here), here) == pytest.approx(3.2, abs=1e-5)


def test_its_energy():
    """Drive power of three planted modules, then of one; idle power of seven."""
    makespan = walked().plan["summary"]["makespan_s"]
    assert walked().plan["summary"]["energy_j"] == pytest.approx(3 * 6 * 2.71327 + 3 * 6 * 4.99886 + 7 * 0.8 * makespan, abs=1e-3)
    assert walked().plan["summary"]["travel_m"] == pytest.approx(3 * 0.100531, abs=1e-5)  # L05; strides do not count


def test_its_loads():
    """L07: u 0.5103 at the start, 0.5077 at the end, 0.1298 at the least; L06: recoveries 0.459100, 0.356694, 0.470510; L08: at most 0.5512."""
    motion, = (m for m in walked().replay.history.motions if m.move == "stride")
    us = []
    for progress in np.linspace(0, 1, 25):
        here = motion.before.copy()
        motion.place(here, progress)
        us.append(sound.utilisation(here, [motion]))
    assert (us[0], us[-1]) == (pytest.approx(0.5103, abs=1e-3), pytest.approx(0.5077, abs=1e-3))
    assert min(us) == pytest.approx(0.1298, abs=5e-3) and max(us) <= 0.5512
    assert [walked().utilisation(k) for k in (1, 2, 3)] == pytest.approx([0.459100, 0.356694, 0.470510], abs=1e-4)


def rates(here, knees_drive):
    """What the rates of a machine that sits with its foot in the air must meet: rows for each end's touch, that its point of contact stays;
    columns for the hub's motion (3 of translation, 3 of rotation about its centre) and for each bond's slide and yaw."""
    hub = here.p[here.index["hub"]]
    columns = []
    for k in range(6):
        along, about = np.eye(3)[k % 3], k < 3
        columns.append([along if about else np.cross(along, contact(here, end) - hub) for end in ENDS])
    for name in (*AZIMUTH, *ENDS) if knees_drive else ENDS:
        i = here.index[name]
        host = here.p[here.index[here.host[i]]]
        for axis in (here.rot[i][:, 1], here.rot[i][:, 2]):
            carried = [end for end in ENDS if end == name or here.host[here.index[end]] == name]
            columns.append([np.cross(axis, contact(here, end) - host) if end in carried else np.zeros(3) for end in ENDS])
    return np.array([np.concatenate(column) for column in columns]).T


def contact(here, end):
    return here.p[here.index[end]] - [0, 0, R]


def test_the_mobility_of_the_machine():
    """L01: of 18 rates with all six bonds driving 9 are left free, of 12 with the ends' bonds only 3: ranks 9 and 9, at random headings too."""
    dice = np.random.default_rng(5)
    for turn in (False, True):
        here = Crew(Scene(machine()))
        if turn:
            for name in (*ENDS, *AZIMUTH):
                i = here.index[name]
                angle = dice.uniform(0, 2 * math.pi)
                x, y = here.rot[i][:, 0].copy(), here.rot[i][:, 1].copy()
                here.rot[i][:, 0], here.rot[i][:, 1] = math.cos(angle) * x + math.sin(angle) * y, math.cos(angle) * y - math.sin(angle) * x
        everything, ends = rates(here, True), rates(here, False)
        assert everything.shape == (9, 18) and np.linalg.matrix_rank(everything, 1e-9) == 9
        assert ends.shape == (9, 12) and np.linalg.matrix_rank(ends, 1e-9) == 9


def test_at_the_top_of_the_crank():
    """L02: there the ends alone have rank 8, and of the hub's motions only that along the way is left."""
    motion, = (m for m in walked().replay.history.motions if m.move == "stride")
    here = motion.before.copy()
    motion.place(here, 0.5)
    matrix = rates(here, False)
    assert np.linalg.matrix_rank(matrix, 1e-9) == 8
    free = np.linalg.svd(matrix)[2][8:]
    _, sizes, ways = np.linalg.svd(free[:, :6])
    assert sizes[0] > 1e-2 and np.all(sizes[1:] < 1e-9)
    assert abs(ways[0][:3] @ [*made.way(1, 0), 0]) == pytest.approx(np.linalg.norm(ways[0]), abs=1e-9)


@pytest.mark.parametrize("progress, expected", [(0.0, 1.754), (0.5, 1.376), (1.0, 1.559)])
def test_drives_that_fight(progress, expected):
    """L11: over all touch forces that balance straight down the worst utilisation is at least 1.754, 1.376 and 1.559: one end leads and the others follow by force."""
    motion, = (m for m in walked().replay.history.motions if m.move == "stride")
    here = motion.before.copy()
    motion.place(here, progress)
    (_, programme), = sound.programmes(here, [motion])
    forces = 6 * len(programme.bonds)
    # What is balanced without the touches' limits, and how it can change: three ways.
    some = np.linalg.lstsq(programme.matrix, programme.right[:, 0], rcond=None)[0]
    ways = np.linalg.svd(programme.matrix)[2][len(programme.matrix):]
    assert len(ways) == 3
    frictions = np.array([touch.friction for touch in programme.touches])

    def room(unknowns):
        """How far inside their cones the touches' forces are, the least of them."""
        push = unknowns[..., forces:].reshape(*unknowns.shape[:-1], -1, 3)
        return (frictions * push[..., 0] - np.hypot(push[..., 1], push[..., 2])).min(axis=-1)

    def used(unknowns):
        """The greatest utilisation of a bond."""
        scale, length = programme.force, programme.length
        worst = np.full(unknowns.shape[:-1], -np.inf)
        for k, bond in enumerate(programme.bonds):
            normal, a, b, spin, lean, tip = (scale * unknowns[..., 6 * k + j] for j in range(6))
            peel = length * np.hypot(lean, tip) / bond.radius - normal
            slip = np.hypot(np.hypot(a, b), 1.5 * length * spin / bond.radius) / (0.93 * bond.friction) - normal
            worst = np.maximum(worst, np.maximum(peel, slip) / bond.adhesion)
        return worst

    # From a balance well inside the cones to their borders: where every utilisation, which is convex, is greatest.
    inside = some + minimize(lambda c: -room(some + c @ ways), np.zeros(3), method="Nelder-Mead", options={"maxiter": 4000}).x @ ways
    assert room(inside) > 0
    dice = np.random.default_rng(7).normal(size=(40000, 3))
    rays = (dice / np.linalg.norm(dice, axis=1, keepdims=True)) @ ways
    low, high = np.zeros(len(rays)), np.full(len(rays), 100.0)
    for _ in range(60):
        middle = 0.5 * (low + high)
        fits = room(inside + middle[:, None] * rays) >= 0
        low, high = np.where(fits, middle, low), np.where(fits, high, middle)
    # The published figures are maxima over sampled directions, so lower bounds of the true ones. Here every ray goes to the border, where a convex
    # function is greatest, and 1,000 rays or 40,000 give the same to 0.1 % at the start and half-way: 2.3 % and 0.03 % above the published ones.
    assert 1.0 <= used(inside + low[:, None] * rays).max() / expected < 1.025


@pytest.mark.parametrize("lands, height, advance", [(45.0, 0.009941, 0.18547), (30.0, 0.017569, 0.15982)])
def test_a_step_up(lands, height, advance):
    """L12: from 60 to 45 or 30 degrees the hub comes down higher: 9.941 / 185.47 mm and 17.569 / 159.82 mm."""
    for off, wrong in ((0.0, set()), (3e-6, {"stride"})):
        step = made.deck("kerb", (advance - 0.05, -0.05), (advance + 0.05, 0.05), top=RHO * (math.cos(math.radians(lands)) - 0.5) + off)
        move = stride(60.0 + lands, "kerb")
        tree, move = turned(machine((CONCRETE, step)), move)
        here = Crew(Scene(tree))
        motion = motion_of({"module": "hub", "move": "stride", **move[2]}, here)
        assert {rule for rule, _ in striding.problems(motion, here)} == wrong
        start = here.p[0].copy()
        motion.finish(here)
        assert np.allclose(here.p[0] - start, [*made.way(advance, 0), height], atol=1e-5)


def test_the_stand_drives_on_its_hub():
    """L13: u 0.3380 while the low stand's hub drives with its legs braced (knees 8 degrees up, ends 8 degrees down)."""
    c, s = math.cos(math.radians(8)), math.sin(math.radians(8))
    modules = [{"name": "hub", "on": "concrete", "at_m": [0, 0]}]
    for k, azimuth in enumerate((90.0, 210.0, 330.0)):
        x, y = c * math.cos(math.radians(azimuth)), c * math.sin(math.radians(azimuth))
        modules += [{"name": f"k{k}", "on": "hub", "toward": [x, y, s], "hold": "braced"},
                    {"name": f"e{k}", "on": f"k{k}", "toward": [x, y, -s], "hold": "braced"}]
    plan = made.Made(kit.scene(modules, [CONCRETE], goal={}), [made.slide("hub", 0.1)])
    assert plan.broken == set() and plan.utilisation() == pytest.approx(0.3380, abs=1e-3)


def problems(tree, move):
    """What forbids a stride, without its load."""
    here = Crew(Scene(tree))
    return {rule for rule, _ in may_begin(motion_of({"module": move[0], "move": move[1], **move[2]}, here), here)}


def with_module(tree, name, **change):
    """The scene with one module changed."""
    tree["module"] = [m | change if m["name"] == name else m for m in tree["module"]]
    return tree


def hole(x, y, half):
    """Concrete with a square pit: four decks of one ground around it."""
    return [made.deck("a", (-2, -2), (x - half, 2), friction=0.7), made.deck("b", (x + half, -2), (2, 2), friction=0.7),
            made.deck("c", (x - half, -2), (x + half, y - half), friction=0.7), made.deck("d", (x - half, y + half), (x + half, 2), friction=0.7)]


def askew(angle):
    """One end's tracks turned about its normal; the axis lies 0.4 across them, so they are askew by 0.4 of it."""
    tree = machine()
    end, = (m for m in tree["module"] if m["name"] == "e2")
    ahead, normal = np.array(end["facing"]) / np.linalg.norm(end["facing"]), np.array(end["toward"]) / 0.120
    return with_module(tree, "e2", facing=(math.cos(angle) * ahead + math.sin(angle) * np.cross(normal, ahead)).tolist())


def kerb(top, **more):
    """Something 10 mm long in the middle of the way."""
    return machine((CONCRETE, made.deck("kerb", (LANDING / 2 - 0.005, -0.01), (LANDING / 2 + 0.005, 0.01), top=top, **more)))


def wedge(top):
    """The same, but it rises to one side: the disc meets its high corners last, sqrt(40^2 - 10^2) mm before them."""
    x, y = (LANDING / 2 - 0.005, LANDING / 2 + 0.005), (-0.01, 0.01)
    corners = [[x[0], y[0], 0.0], [x[1], y[0], 0.0], [x[1], y[1], top], [x[0], y[1], top]]
    return machine((CONCRETE, {"name": "wedge", "outline_m": corners, "friction": 0.7}))


def risen(before):
    """How high the foot is when the hub is this far before the middle of its way."""
    return RHO * (math.cos(brentq(lambda beta: R * beta + RHO * math.sin(beta) - before, 0, 1)) - 0.5)


LANDING = 0.208802
KERB, WEDGE = risen(0.045), risen(0.005 + math.sqrt(0.04**2 - 0.01**2))
UNDER_E1 = (-0.076, LATERAL)  # where e1 touches the ground (basis, A7)


@pytest.mark.parametrize("what, tree, move, wrong", [
    ("as it is", lambda: machine(), stride(), set()),
    ("backwards, to where the cranks lean ahead", lambda: machine(crank=-60.0), stride(-120.0), set()),
    ("two planted modules", lambda: machine(), stride(planted=("e1", "e2")), {"stride"}),
    ("one of them twice", lambda: machine(), stride(planted=("e1", "e2", "e2", "e3")), {"stride"}),
    ("a planted knee", lambda: machine(), stride(planted=("e1", "e2", "e3", "k1")), {"stride"}),
    ("a braced end", lambda: with_module(machine(), "e2", hold="braced"), stride(), {"stride"}),
    ("a stuck end", lambda: with_module(machine(), "e2", stuck=True), stride(), {"stride"}),
    ("an end without a drive", lambda: with_module(machine(), "e2", lost=["drive"]), stride(), {"stride"}),
    ("a hub without a drive", lambda: with_module(machine(), "hub", lost=["drive"]), stride(), set()),
    ("a stuck hub", lambda: with_module(machine(), "hub", stuck=True), stride(), {"stuck"}),
    ("a braced hub", lambda: with_module(machine(), "hub", hold="braced"), stride(), {"hold"}),
    ("steel under the hub", lambda: machine((CONCRETE | {"ferrous": True},)), stride(), {"stride"}),
    ("steel, but no magnets", lambda: machine((CONCRETE | {"ferrous": True},), kinds={"cobble": kit.COBBLE | {"magnet_force_n": 0.0}}), stride(), set()),
    ("relief under the ends", lambda: machine((CONCRETE | {"relief_m": 1e-4},)), stride(), {"stride"}),
    ("tilted facets are allowed", lambda: machine((CONCRETE | {"tilt_deg": 1.0},)), stride(), set()),
    ("it comes down short of the angle", lambda: machine(), stride(119.0), {"stride"}),
    ("another direction", lambda: machine(), stride(direction=(math.cos(2e-3), math.sin(2e-3))), {"stride"}),
    ("tracks askew by 9e-4", lambda: askew(9e-4 / 0.4), stride(), set()), ("tracks askew by 1.1e-3", lambda: askew(1.1e-3 / 0.4), stride(), {"stride"}),
    ("a pit under the way of an end", lambda: machine(hole(*np.add(UNDER_E1, (0.06, 0)), 0.01)), stride(to="a"), {"stride"}),
    ("a pit beside it", lambda: machine(hole(*np.add(UNDER_E1, (0.06, 0.02)), 0.01)), stride(to="a"), set()),
    ("a pit where the foot comes down", lambda: machine(hole(LANDING, 0.045, 0.01)), stride(to="a"), {"outline"}),
    ("a pit beside the foot", lambda: machine(hole(LANDING, 0.051, 0.01)), stride(to="a"), set()),
    ("a kerb that the foot clears", lambda: kerb(KERB - 1e-5), stride(), set()), ("a kerb too high", lambda: kerb(KERB + 2e-4), stride(), {"stride"}),
    ("a wedge that the foot clears", lambda: wedge(WEDGE - 1e-5), stride(), set()), ("a wedge too high", lambda: wedge(WEDGE + 2e-4), stride(), {"stride"}),
    ("a beam over the foot", lambda: kerb(0.5, bottom_m=0.03), stride(), set())])
def test_rules_of_a_stride(what, tree, move, wrong):
    scene, step = turned(tree(), move)
    assert problems(scene, step) == wrong, what
    made.Made(scene, [step])  # the tool finds the same rules broken by this stride


@pytest.mark.parametrize("off, wrong", [(0.9e-8, set()), (2e-8, {"stride"})])
def test_the_cranks_are_alike(off, wrong):
    """v of one end differs from that of the first: its direction is turned about the axis by off / rho."""
    tree = machine()
    entry, = (m for m in tree["module"] if m["name"] == "e3")
    x, y, z = entry["toward"]
    turn = off / RHO
    entry["toward"] = [x * math.cos(turn) + z * math.sin(turn), y, z * math.cos(turn) - x * math.sin(turn)]
    assert problems(*turned(tree, stride())) == wrong


def test_planted_modules_keep_clear_of_the_rest_of_the_machine():
    """The free gap of the basis is 13.7 mm; it is between an end and a module of the machine, so rule 5 and gap_m see it."""
    gap = walked().replay.gaps[0]
    assert gap == pytest.approx(0.0137, abs=1e-4)


@pytest.mark.parametrize("clearance, wrong", [(0.0136, False), (0.0138, True)])
def test_clearance_within_the_machine(clearance, wrong):
    """Where the stride is not the start of the plan the 13.7 mm between an end and the hub must be enough."""
    tree, move = turned(machine(limits={"clearance_m": clearance}), stride())
    moves = [made.slide("hub", 0.03), made.slide("hub", -0.03), move]
    assert ("clearance" in made.broken(tree, moves)) == wrong
    assert "clearance" not in made.broken(tree, [move])


def test_a_planted_drive_holds_its_part():
    """drive_force limits every planted module's bond: with next to none the stride has no balance."""
    tree, move = turned(machine(kinds={"cobble": kit.COBBLE | {"drive_force_n": 0.05}}), stride())
    here = Crew(Scene(tree))
    motion = motion_of({"module": "hub", "move": "stride", **move[2]}, here)
    assert sound.utilisation(here) is not None and sound.utilisation(here, [motion]) is None


def test_nothing_else_moves_in_the_machine():
    tree, move = turned(machine(), stride())
    late = ("e1", "brace", {"start_s": 1.0})
    assert "schedule" in made.broken(tree, [move, late])
