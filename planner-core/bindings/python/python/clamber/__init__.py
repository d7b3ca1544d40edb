"""Plans how a crew of ball-shaped magnetic robot modules rearranges itself.

Metres, seconds, radians; z is up; orientations are quaternions ``[x, y, z, w]`` that turn the body into the world.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from . import _native
from ._native import ClamberError, __version__

__all__ = [
    "ClamberError", "Command", "Finding", "Follower", "Place", "Plan", "Recovery", "Scene", "Settled", "Step", "Stop",
    "Whereabouts", "__version__",
]

Progress = Callable[[str, int, float | None], object]
#: What measured poses are off by, and how far a module may be from where it should be: metres and radians.
SCATTER = (0.5e-3, 0.5 * np.pi / 180)
TUBE = (2.5e-3, 0.025)


@dataclass(frozen=True, slots=True)
class Place:
    """Where a module stands."""

    module: str
    position_m: tuple[float, float, float]
    orientation_xyzw: tuple[float, float, float, float]
    on: str
    hold: str


@dataclass(frozen=True, slots=True)
class Step:
    """A timed move. What the move is given and does not have is ``None``."""

    module: str
    move: str
    start_s: float
    duration_s: float
    after: tuple[int, ...]
    end: Place
    utilisation: float
    gap_m: float | None
    angle_rad: float | None = None
    travel_m: float | None = None
    curvature_per_m: float | None = None
    to: str | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """A rule that a plan breaks."""

    rule: str
    step: int | None
    at_s: float | None
    message: str


@dataclass(frozen=True, slots=True)
class Settled:
    """A crew as it stands, exactly. ``hops`` tells how interrupted hops, crosses and strides should end: module, host, whether it goes on."""

    places: tuple[Place, ...]
    residuals: tuple[tuple[float, float | None], ...]
    unsound: tuple[str, ...]
    hops: tuple[tuple[str, str, bool], ...]

    @property
    def is_sound(self) -> bool:
        return not self.unsound


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """Where the crew is, and the modules beyond the tube: name, metres, radians."""

    settled: Settled
    beyond: tuple[tuple[str, float, float], ...]

    @property
    def on_course(self) -> bool:
        return not self.beyond


@dataclass(frozen=True, slots=True)
class Command:
    """What to do: ``start``, ``hold``, ``finish``, ``take_back`` a step, or ``brace`` a module."""

    command: str
    step: int | None
    module: str


@dataclass(frozen=True, slots=True)
class Stop:
    """How the crew stops. Without findings the check has proven it."""

    commands: tuple[Command, ...]
    findings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Recovery:
    """What to do after a deviation: ``go_on``, ``refit``, ``replan``, ``fewer_slots`` (then ``plan`` is the new one, after the commands), or ``stop``."""

    remedy: str
    commands: tuple[Command, ...]
    plan: Plan | None
    findings: tuple[str, ...]


class Scene:
    """A scene: site, crew, start and goal."""

    __slots__ = ("_native",)

    def __init__(self, text: str, name: str = "scene.toml") -> None:
        self._native = _native.Scene(text, name)

    @classmethod
    def read(cls, path: str | os.PathLike[str]) -> Scene:
        return cls(Path(path).read_text(encoding="utf-8"), os.fspath(path))

    @classmethod
    def _of(cls, native: Any) -> Scene:
        scene = cls.__new__(cls)
        scene._native = native
        return scene

    @property
    def name(self) -> str:
        return self._native.name()

    @property
    def modules(self) -> tuple[str, ...]:
        return tuple(self._native.modules())

    @property
    def radii_m(self) -> np.ndarray:
        return np.array(self._native.radii_m())

    @property
    def decks(self) -> dict[str, np.ndarray]:
        """Outlines from above."""
        return {name: np.array(outline) for name, outline in self._native.decks()}

    @property
    def start(self) -> tuple[Place, ...]:
        return tuple(Place(*_tuples(place)) for place in self._native.start())

    def to_toml(self) -> str:
        return self._native.text(False)

    def to_json(self) -> str:
        return self._native.text(True)

    def plan(
        self,
        time_s: float = 60.0,
        *,
        seed: int = 1,
        planner: str = "auto",
        shortening: int | None = None,
        patience: int | None = None,
        progress: Progress | None = None,
    ) -> Plan:
        """Searches for a plan. ``progress`` is called with the phase, the configurations expanded, and the makespan of the best plan. Other threads
        run meanwhile; Ctrl-C stops the search."""
        return Plan._of(self._native.plan(time_s, seed, planner, shortening, patience, progress))

    def settle(
        self,
        positions_m: Any,
        orientations_xyzw: Any,
        *,
        on: Sequence[str] | None = None,
        holds: Sequence[str] | None = None,
        scatter: tuple[float, float] = SCATTER,
    ) -> Settled:
        """The configuration nearest to measured poses in which bonds, touches and non-overlap hold exactly."""
        return _settled(self._native.settle(_Poses(positions_m, orientations_xyzw, on, holds, scatter)))


class Plan:
    """A timed plan with its scene. It does not change."""

    __slots__ = ("_native", "_steps")

    def __init__(self, text: str, name: str = "plan.json") -> None:
        self._native, self._steps = _native.Plan(text, name), None

    @classmethod
    def read(cls, path: str | os.PathLike[str]) -> Plan:
        return cls(Path(path).read_text(encoding="utf-8"), os.fspath(path))

    @classmethod
    def _of(cls, native: Any) -> Plan:
        plan = cls.__new__(cls)
        plan._native, plan._steps = native, None
        return plan

    @property
    def scene(self) -> Scene:
        return Scene._of(self._native.scene())

    @property
    def status(self) -> str:
        return self._native.status()

    @property
    def is_solved(self) -> bool:
        return self.status == "solved"

    @property
    def reason(self) -> str | None:
        """Why the goal is not reached."""
        return self._native.reason()

    @property
    def steps(self) -> tuple[Step, ...]:
        if self._steps is None:
            self._steps = tuple(_step(entry) for entry in self._native.steps())
        return self._steps

    @property
    def makespan_s(self) -> float:
        return self._native.figures()[0]

    @property
    def energy_j(self) -> float:
        return self._native.figures()[1]

    @property
    def travel_m(self) -> float:
        return self._native.figures()[2]

    @property
    def utilisation(self) -> float:
        return self._native.figures()[3]

    @property
    def gap_m(self) -> float | None:
        return self._native.figures()[4]

    def to_json(self) -> str:
        """The plan file."""
        return self._native.text()

    def check(self) -> tuple[Finding, ...]:
        """Every rule that the plan breaks; none: it is sound."""
        return tuple(Finding(*entry) for entry in self._native.check())

    def poses(self, times_s: Any) -> tuple[np.ndarray, np.ndarray]:
        """Centres, shape (times, modules, 3), and orientations, shape (times, modules, 4)."""
        times = np.atleast_1d(np.asarray(times_s, dtype=float))
        raw = np.frombuffer(self._native.poses(times.tolist()), dtype=float)
        numbers = raw.reshape(len(times), len(self.scene.modules), 7)
        return numbers[..., :3], numbers[..., 3:]


class Follower:
    """Follows a plan without a clock: report what has happened, and be told what to do.

    ``state`` is a text to keep; ``Follower(plan, state)`` goes on from there."""

    __slots__ = ("_native", "plan")

    def __init__(self, plan: Plan, state: str | None = None) -> None:
        self._native, self.plan = _native.Follower(plan._native, state), plan

    @property
    def state(self) -> str:
        return self._native.state()

    @property
    def steps(self) -> tuple[tuple[str, float], ...]:
        """For each step ``waiting``, ``under_way``, ``done`` or ``stalled``, and the share of its move that is done."""
        return tuple(self._native.steps())

    @property
    def is_done(self) -> bool:
        return self._native.is_done()

    @property
    def is_moving(self) -> bool:
        return self._native.is_moving()

    @property
    def is_halted(self) -> bool:
        return self._native.is_halted()

    @property
    def expected(self) -> tuple[Place, ...]:
        return tuple(Place(*_tuples(place)) for place in self._native.expected())

    def may_start(self) -> tuple[int, ...]:
        return tuple(self._native.may_start())

    def started(self, step: int) -> tuple[Command, ...]:
        return _commands(self._native.started(step))

    def share(self, step: int, share: float) -> tuple[Command, ...]:
        return _commands(self._native.share(step, share))

    def ended(self, step: int) -> tuple[Command, ...]:
        return _commands(self._native.ended(step))

    def stalled(self, step: int, share: float) -> tuple[Command, ...]:
        return _commands(self._native.stalled(step, share))

    def lost(self, module: str, part: str) -> tuple[Command, ...]:
        """``part`` is ``drive``, ``yaw``, ``cup`` or ``all``."""
        return _commands(self._native.lost(module, part))

    def halt(self) -> Stop:
        commands, findings = self._native.halt()
        return Stop(_commands(commands), tuple(findings))

    def whereabouts(
        self,
        positions_m: Any,
        orientations_xyzw: Any,
        *,
        on: Sequence[str] | None = None,
        holds: Sequence[str] | None = None,
        scatter: tuple[float, float] = SCATTER,
        tube: tuple[float, float] = TUBE,
    ) -> Whereabouts:
        poses = _Poses(positions_m, orientations_xyzw, on, holds, scatter)
        settled, beyond = self._native.whereabouts(poses, tube)
        return Whereabouts(_settled(settled), tuple(tuple(own) for own in beyond))

    def recover(
        self,
        positions_m: Any,
        orientations_xyzw: Any,
        *,
        on: Sequence[str] | None = None,
        holds: Sequence[str] | None = None,
        scatter: tuple[float, float] = SCATTER,
        tube: tuple[float, float] = TUBE,
        time_s: float = 10.0,
        seed: int = 1,
        progress: Progress | None = None,
    ) -> Recovery:
        """The crew stands: go on, refit, replan, or stay."""
        poses = _Poses(positions_m, orientations_xyzw, on, holds, scatter)
        remedy, commands, plan, findings = self._native.recover(poses, tube, time_s, seed, progress)
        return Recovery(remedy, _commands(commands), plan and Plan._of(plan), tuple(findings))


class _Poses:
    """Poses as the native half takes them."""

    def __init__(self, positions: Any, orientations: Any, on: Any, holds: Any, scatter: tuple[float, float]) -> None:
        self.positions = np.asarray(positions, dtype=float).reshape(-1, 3).tolist()
        self.orientations = np.asarray(orientations, dtype=float).reshape(-1, 4).tolist()
        self.on = None if on is None else list(on)
        self.holds = None if holds is None else list(holds)
        self.scatter = tuple(map(float, scatter))


def _tuples(place: Any) -> tuple[Any, ...]:
    module, position, orientation, on, hold = place
    return module, tuple(position), tuple(orientation), on, hold


def _settled(entry: Any) -> Settled:
    places, residuals, unsound, hops = entry
    return Settled(tuple(Place(*_tuples(place)) for place in places), tuple(residuals), tuple(unsound), tuple(hops))


def _commands(entries: Any) -> tuple[Command, ...]:
    return tuple(Command(*entry) for entry in entries)


def _step(entry: Any) -> Step:
    module, move, start_s, duration_s, after, end, utilisation, gap_m, numbers, to = entry
    end = Place(*_tuples(end))
    return Step(module, move, start_s, duration_s, tuple(after), end, utilisation, gap_m, **numbers, to=to)
