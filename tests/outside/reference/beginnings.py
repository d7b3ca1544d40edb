"""What may begin, and what may not be under way at the same time (sections 6 and 9)."""

import math

from . import crossing, striding
from .motion import CARRIES, STANDS
from .pose import angle_between

TOL = 1e-6
SQUARE_TOL = 1e-3
ROLLING = ("slide", "hop", "cross", "stride")


def may_begin(motion, crew):
    """What forbids this move at its start."""
    i, move = motion.mover, motion.move
    if crew.scene.modules[i].stuck:
        yield "stuck", "a stuck module moves"
    yield from lost_parts(motion, crew)
    if move in ROLLING and crew.braced[i]:
        yield "hold", f"{move} of a braced module"
    if move in ("brace", "release") and crew.braced[i] == (move == "brace"):
        yield "hold", f"{move} changes nothing"
    yield from {"hop": hop, "cross": crossing.problems, "stride": striding.problems}.get(move, lambda *_: ())(motion, crew)


def lost_parts(motion, crew):
    i, move = motion.mover, motion.move
    if crew.lost(i, "drive") and move in ("slide", "hop", "cross"):
        yield "lost", f"{move} without a drive"
    if crew.lost(i, "yaw") and (move == "yaw" or move == "slide" and motion.step["curvature_per_m"] != 0):
        yield "lost", "a turn without a yaw drive"
    if crew.lost(i, "cup") and (move == "brace" or crew.braced[i] and move != "release"):
        yield "lost", f"{move} without a cup"


def hop(motion, crew):
    i, step = motion.mover, motion.step
    if crew.standing_on(i):
        yield "hop", "something stands on the module"
    if step["to"] == crew.host[i] or (step["to"] in crew.scene.decks and crew.ground(i) is not None):
        yield "hop", f"no hop from {crew.host[i]} to {step['to']}"
    if abs(crew.off_place(i, step["to"])) > TOL:
        yield "hop", f"the centre is not at the right distance from {step['to']}"
    if motion.angle > math.radians(crew.kinds[i].hop_limit_deg) + TOL:
        yield "hop", f"pivot {math.degrees(motion.angle):.4f} deg over the limit"
    if motion.angle >= 1e-6 and abs(angle_between(crew.rot[i][:, 0], motion.axis) - math.pi / 2) > SQUARE_TOL:
        yield "hop", "the heading is not square to the pivot axis"


def conflicts(motions):
    """Two moves of one module, or a host of a mover that moves."""
    for k, one in enumerate(motions):
        for other in motions[k + 1:]:
            if set(one.group) & set(other.group):
                yield other.step, "a module takes part in two moves at once"
            for a, b in ((one, other), (other, one)):
                if b.move in CARRIES + STANDS and set(a.chain) & set(b.group):
                    yield other.step, "a host of a mover moves"
