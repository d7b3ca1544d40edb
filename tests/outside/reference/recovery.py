"""How much the bonds of a structure may be used at an instant (section 5, recovery)."""

from . import sound
from .sound import TOL


class Recovery:
    """Instants are asked about in their order in time."""

    def __init__(self, start):
        limits = start.scene.limits
        self.start, self.usual, self.gravities = start, 1 / limits.hold_factor, {}
        self.ill = set()
        if limits.recover_factor is not None:
            for members, u in sound.by_structure(start):
                if u is not None and self.usual + TOL < u <= 1 / limits.recover_factor + TOL:
                    self.ill |= set(members)

    def at_start(self, motions):
        """Utilisation of every module's structure as it was at the start, under the gravity of these moves."""
        moves = frozenset(m.move for m in motions)
        key = (bool(moves & self.start.scene.edition.heavy), bool(moves & sound.TILTING))
        if key not in self.gravities:
            under = {"factor": key[0], "tilted": key[1]}
            self.gravities[key] = {i: u for members, u in sound.by_structure(self.start, **under) for i in members}
        return self.gravities[key]

    def limit(self, members, motions):
        """The most that the bonds of a structure may be used now; None where the start itself has no balance."""
        ill = self.ill & set(members)
        if not ill:
            return self.usual
        worst = [self.at_start(motions)[i] for i in ill]
        return float("inf") if None in worst else max(self.usual, *worst)

    def judge(self, parts, motions):
        """The limit that holds at an instant (for the structure nearest to it), and whether all keep theirs; `parts` as by_structure."""
        kept, top = True, self.usual
        for members, u in parts:
            limit = self.limit(members, motions)
            kept &= u is not None and u <= limit + TOL
            top = max(top, limit)
        recovered = {}
        for members, u in parts:
            for i in members:
                recovered[i] = recovered.get(i, True) and u is not None and u <= self.usual + TOL
        self.ill -= {i for i, well in recovered.items() if well}
        return top, kept
