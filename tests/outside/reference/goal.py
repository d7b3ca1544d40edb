"""Whether a crew at rest meets the goal (sections 7 and 9)."""

import numpy as np
import shapely

from .sound import load_status, utilisation

SLOT_TOL = 1e-3
NEAR = 1e-6


def slot_place(crew, slot, filler, places, chosen):
    """The nominal place of a slot, for the module that fills it."""
    kind = crew.kinds[filler]
    if slot.on in crew.scene.decks:
        plane = crew.scene.ground_of[slot.on].plane
        return plane.lift(slot.at_m) + kind.ride_height_m * plane.normal
    away = np.array(slot.toward, float) / np.linalg.norm(slot.toward)
    return places[slot.on] + (crew.radii[chosen[slot.on]] + kind.ride_height_m) * away


def fits(crew, slot, i, places, chosen):
    """The slot's place if module i, which fills no slot yet, may fill it; the slot's host is filled."""
    module, name = crew.scene.modules[i], crew.names[i]
    on_deck = slot.on in crew.scene.decks
    if on_deck and crew.ground(i) is not crew.scene.ground_of[slot.on]:
        return None
    if not on_deck and crew.host[i] != crew.names[chosen[slot.on]]:
        return None
    hold = crew.held(i) if crew.braced[i] == (crew.held(i) == "braced") else None  # braced with a lost cup is neither
    wanted = (getattr(slot, "kind", module.kind), getattr(slot, "module", name), getattr(slot, "hold", hold))
    if wanted != (module.kind, name, hold):
        return None
    place = slot_place(crew, slot, i, places, chosen)
    return place if np.linalg.norm(crew.p[i] - place) <= SLOT_TOL else None


def assignments(crew, slots, places, chosen, empty=()):
    """Every way to fill the slots; {slot: module}. Hosts of slots come before the slots on them."""
    free = [i for i in range(len(crew.names)) if i not in chosen.values()]
    if not slots:
        hosted = [s for s in empty if s.on in crew.scene.decks or s.on in chosen]
        if not any(fits(crew, s, i, places, chosen) is not None for s in hosted for i in free):
            yield dict(chosen)
        return
    left_out = {s.name for s in empty}
    ready = next(s for s in slots if s.on in crew.scene.decks or s.on in chosen or s.on in left_out)
    rest = [s for s in slots if s is not ready]
    if ready.optional:
        yield from assignments(crew, rest, places, chosen, (*empty, ready))
    if ready.on in left_out:
        return
    for i in free:
        place = fits(crew, ready, i, places, chosen)
        if place is not None:
            yield from assignments(crew, rest, places | {ready.name: place}, chosen | {ready.name: i}, empty)


def loaded(crew, slots, chosen):
    """The crew with the payloads of the filled slots on it."""
    crew = crew.copy()
    for slot in slots:
        if slot.name in chosen:
            crew.payload[chosen[slot.name]] += slot.payload_kg
    return crew


def gathered(crew, name):
    """How many modules stand on a deck: on its ground, the sole's centre in its outline."""
    deck, ground = crew.scene.decks[name], crew.scene.ground_of[name]
    if len(ground.decks) == 1:
        return sum(crew.ground(i) is ground for i in range(len(crew.names)))
    return sum(crew.ground(i) is ground and deck.polygon.distance(shapely.Point(crew.sole(i)[:2])) <= NEAR for i in range(len(crew.names)))


def unmet(crew):
    """What the goal still lacks (messages), and the least utilisation with the slots' payloads on."""
    scene, problems = crew.scene, []
    if scene.gather and gathered(crew, scene.gather.deck) < scene.gather.count:
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
