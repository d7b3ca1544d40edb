"""The two editions of the model page, as what differs between them."""

from dataclasses import dataclass

FIVE = {"yaw": ["angle_rad"], "slide": ["travel_m", "curvature_per_m"], "hop": ["to"], "brace": [], "release": []}
TWO = {"cross": ["to", "travel_m"], "stride": ["direction", "angle_rad", "planted", "to"]}


@dataclass(frozen=True)
class Edition:
    """Rules that an edition has; whatever is a field of the scene needs no entry here."""

    number: int
    moves: dict  # the parameters of every move
    heavy: frozenset  # while one of these moves is under way, gravity is multiplied by motion_factor
    later: bool  # the fields of the second edition are known; decks join to grounds
    ramps: bool  # a drive takes time to start and stop
    curves_turn: bool  # a curved slide keeps to the rate and the torque of a rolling yaw
    hops_slip: bool  # the shell of a hopping module slips on what it touches


FIRST = Edition(1, FIVE, frozenset({"slide", "yaw", "hop"}), False, False, False, False)
SECOND = Edition(2, FIVE | TWO, frozenset(FIVE | TWO), True, True, True, True)
OF_FORMAT = {f"clamber-plan/{edition.number}": edition for edition in (FIRST, SECOND)}
