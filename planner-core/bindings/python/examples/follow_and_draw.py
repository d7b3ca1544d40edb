"""Plans a scene, follows the plan with a crew that stops half-way, replans, and draws where everybody went.

Usage: python follow_and_draw.py SCENE [PICTURE.png]
"""

import sys

import clamber
import numpy as np


def measure(places, dice):
    """Poses with errors up to half a millimetre and half a degree."""
    positions = np.array([place.position_m for place in places]) + dice.uniform(-0.5e-3, 0.5e-3, (len(places), 3))
    orientations = np.array([place.orientation_xyzw for place in places])
    axes = dice.normal(size=(len(places), 3))
    axes /= np.linalg.norm(axes, axis=1, keepdims=True)
    half = dice.uniform(-0.5, 0.5, (len(places), 1)) * np.pi / 360
    turns = np.hstack([axes * np.sin(half), np.cos(half)])
    x, y, z, w = turns.T
    a, b, c, d = orientations.T
    turned = np.stack([w * a + x * d + y * c - z * b, w * b - x * c + y * d + z * a, w * c + x * b - y * a + z * d, w * d - x * a - y * b - z * c])
    return positions, turned.T


def drive(plan, dice, stalls):
    """Every step at once; the first drive stops half-way if `stalls`. Returns the plans that were followed."""
    follower = clamber.Follower(plan)
    while not follower.is_done:
        for step in follower.may_start():
            follower.started(step)
            if stalls and plan.steps[step].move == "slide":
                follower.stalled(step, 0.5)
                break
            follower.ended(step)
        if follower.is_halted:
            recovery = follower.recover(*measure(follower.expected, dice))
            print(f"stopped half-way: {recovery.remedy}")
            if recovery.plan is None:
                raise SystemExit("it stands, and needs help: " + "; ".join(recovery.findings))
            return [plan, *drive(recovery.plan, dice, stalls=False)]
    return [plan]


def draw(plans, path):
    import matplotlib

    matplotlib.use("Agg")
    from matplotlib import pyplot

    figure, axes = pyplot.subplots()
    for outline in plans[0].scene.decks.values():
        axes.fill(*outline.T, color="0.92", edgecolor="0.6")
    for number, plan in enumerate(plans):
        centres, _ = plan.poses(np.linspace(0.0, plan.makespan_s, 200))
        for module, name in enumerate(plan.scene.modules):
            label = name if number == 0 else None
            axes.plot(*centres[:, module, :2].T, color=f"C{module % 10}", linestyle=["-", "--"][number % 2], label=label)
    axes.set(aspect="equal", xlabel="x in m", ylabel="y in m", title=plans[0].scene.name)
    axes.legend(fontsize="small")
    figure.savefig(path, dpi=120)


scene = clamber.Scene.read(sys.argv[1])
first = scene.plan(time_s=20, shortening=0, patience=0, progress=lambda phase, expanded, best: None)
print(f"{first.status}: {len(first.steps)} steps in {first.makespan_s:.1f} s, {len(first.check())} findings")
followed = drive(first, np.random.default_rng(1), stalls=True)
if len(sys.argv) > 2:
    draw(followed, sys.argv[2])
