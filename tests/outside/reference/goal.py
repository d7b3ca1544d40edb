"""Whether a crew at rest meets the goal (sections 7 and 9)."""

import numpy as np

from .pose import UP
from .sound import load_status, utilisation

SLOT_TOL = 1e-3


def slot_place(crew, slot, filler, places, chosen):
    """The nominal place of a slot, for the module that fills it."""
    kind = crew.kinds[filler]
    if slot.on in crew.scene.decks:
        return np.array([*slot.at_m, crew.scene.decks[slot.on].top_m]) + kind.ride_height_m * UP
    away = np.array(slot.toward, float) / np.linalg.norm(slot.toward)
    return places[slot.on] + (crew.radii[chosen[slot.on]] + kind.ride_height_m) * away


def assignments(crew, slots, places, chosen):
    """Every way to fill the slots; {slot: module}. Hosts of slots come before the slots on them."""
    if not slots:
        yield dict(chosen)
        return
    ready = next(s for s in slots if s.on in crew.scene.decks or s.on in chosen)
    rest = [s for s in slots if s is not ready]
    host = ready.on if ready.on in crew.scene.decks else crew.names[chosen[ready.on]]
    for i, name in enumerate(crew.names):
        module = crew.scene.modules[i]
        if i in chosen.values() or crew.host[i] != host or getattr(ready, "kind", module.kind) != module.kind:
            continue
        if getattr(ready, "module", name) != name:
            continue
        if getattr(ready, "hold", None) not in (None, "braced" if crew.braced[i] else "rolling"):
            continue
        place = slot_place(crew, ready, i, places, chosen)
        if np.linalg.norm(crew.p[i] - place) <= SLOT_TOL:
            yield from assignments(crew, rest, places | {ready.name: place}, chosen | {ready.name: i})


def loaded(crew, slots, chosen):
    """The crew with the slots' payloads on it."""
    crew = crew.copy()
    for slot in slots:
        crew.payload[chosen[slot.name]] += slot.payload_kg
    return crew


def unmet(crew):
    """What the goal still lacks (messages), and the least utilisation with the slots' payloads on."""
    scene, problems = crew.scene, []
    if scene.gather and sum(host == scene.gather.deck for host in crew.host) < scene.gather.count:
        problems.append(f"fewer than {scene.gather.count} modules stand on {scene.gather.deck}")
    if not scene.slots:
        return problems, None
    filled = list(assignments(crew, scene.slots, {}, {}))
    if not filled:
        return [*problems, "the slots are not all filled"], None
    loads = [utilisation(loaded(crew, scene.slots, chosen)) for chosen in filled]
    carried = [u for u in loads if load_status(crew, u) == "carried"]
    heavier = any(slot.payload_kg > 0 for slot in scene.slots)  # without payloads this is the load at rest, judged elsewhere
    return problems + (["the shape does not carry its payloads"] if heavier and not carried else []), min(carried, default=None)
