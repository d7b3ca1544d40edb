//! The assignment of modules to slots.

use super::{Body, Configuration, ModuleId, Problem, Slot, SlotId, SlotPlace};
use crate::math::{DVec3, tolerance};

impl Problem {
    /// The nominal place of a slot's centre in the world frame when `module` fills it and `host` fills the slot it stands on (with that slot's
    /// nominal place); `None` where the host is missing.
    #[must_use]
    pub fn slot_place(
        &self,
        slot: &Slot,
        module: ModuleId,
        host: Option<(ModuleId, DVec3)>,
    ) -> Option<DVec3> {
        let kind = self.kind(module);
        match slot.place {
            SlotPlace::OnGround(ground, at) => Some(self.ground(ground).stand(at, kind.ride_height_m)),
            SlotPlace::OnSlot(_, toward) => {
                let (host, centre) = host?;
                Some(centre + toward * kind.standing_distance(self.kind(host)))
            }
        }
    }

    /// Whether a slot accepts a module, by its kind and name, and by its cup where it has to be braced.
    #[must_use]
    pub fn slot_takes(&self, slot: &Slot, module: ModuleId) -> bool {
        let has_cup = !self.modules[module.index()].lost.cup;
        slot.module.is_none_or(|m| m == module)
            && slot.kind.is_none_or(|k| k == self.modules[module.index()].kind)
            && (has_cup || slot.hold != Some(super::Hold::Braced))
    }

    /// Whether all kinds have one shell radius and one ride height, so that the places of slots do not depend on the assignment.
    #[must_use]
    pub fn is_one_size(&self) -> bool {
        let same = |a: &super::Kind, b: &super::Kind| {
            a.shell_radius_m == b.shell_radius_m && a.ride_height_m == b.ride_height_m
        };
        self.kinds.windows(2).all(|pair| same(&pair[0], &pair[1]))
    }

    /// The module in each slot, regardless of holds; `None` for a slot that is not filled.
    ///
    /// A slot is filled by a module whose host is the slot's deck or the module in the slot's host, and whose centre is within 1 mm of the slot's
    /// nominal place. Complexity: slots times modules; as shells do not overlap, the assignment is unique.
    #[must_use]
    pub fn fillers(&self, configuration: &Configuration) -> Vec<Option<ModuleId>> {
        let mut found: Vec<Option<(ModuleId, DVec3)>> = Vec::with_capacity(self.goal.slots.len());
        for slot in &self.goal.slots {
            let filler = configuration.iter().find_map(|(id, place)| {
                if !self.slot_takes(slot, id) || found.iter().flatten().any(|(m, _)| *m == id) {
                    return None;
                }
                let (asked_host, host) = match slot.place {
                    SlotPlace::OnGround(ground, _) => (Body::Ground(ground), None),
                    SlotPlace::OnSlot(SlotId(below), _) => {
                        let below = (*found.get(usize::from(below))?)?;
                        (Body::Module(below.0), Some(below))
                    }
                };
                let nominal = self.slot_place(slot, id, host)?;
                (place.host == asked_host && place.position.distance(nominal) <= tolerance::SLOT_M)
                    .then_some((id, nominal))
            });
            found.push(filler);
        }
        found.into_iter().map(|filler| filler.map(|(id, _)| id)).collect()
    }

    /// The module in each slot if all that are not optional are filled, with the holds asked for; `None` if some slot is not.
    #[must_use]
    pub fn filling(&self, configuration: &Configuration) -> Option<Vec<Option<ModuleId>>> {
        let fillers = self.fillers(configuration).into_iter();
        let filled = self.goal.slots.iter().zip(fillers).map(|(slot, filler)| {
            let filler = filler.filter(|module| self.holds_as_asked(slot, *module, configuration));
            (filler.is_some() || slot.optional).then_some(filler)
        });
        filled.collect()
    }

    /// Whether a module has the hold that a slot asks for. Braced with a lost cup is neither hold.
    #[must_use]
    pub fn holds_as_asked(&self, slot: &Slot, module: ModuleId, configuration: &Configuration) -> bool {
        let hold = configuration.get(module).hold;
        let broken = hold == super::Hold::Braced && self.modules[module.index()].lost.cup;
        slot.hold.is_none_or(|asked| asked == hold && !broken)
    }

    /// The number of modules that stand on the deck to gather on; `None` when no module is to gather.
    #[must_use]
    pub fn gathered(&self, configuration: &Configuration) -> Option<usize> {
        let gather = self.goal.gather?;
        Some(self.module_ids().filter(|m| self.has_gathered(gather, configuration.get(*m))).count())
    }

    /// The deck to gather on, or the first deck of its ground.
    #[must_use]
    pub fn deck_to_gather_on(&self, gather: super::Gather) -> &super::Deck {
        let deck = gather.within.unwrap_or(self.ground(gather.ground).decks[0]);
        &self.decks[deck.index()]
    }

    /// Whether a module stands where it is to gather: on the deck's ground, and within the deck's outline.
    #[must_use]
    pub fn has_gathered(&self, gather: super::Gather, place: &super::Placement) -> bool {
        let is_within = |deck: super::DeckId| {
            let inset_m = self.decks[deck.index()].solid.inset(self.sole_from_above(gather.ground, place));
            inset_m >= -crate::geometry::JOINED_M
        };
        place.host == Body::Ground(gather.ground) && gather.within.is_none_or(is_within)
    }

    /// The sole's centre of a module on a ground, seen from above.
    #[must_use]
    pub fn sole_from_above(&self, ground: super::GroundId, place: &super::Placement) -> crate::math::DVec2 {
        self.ground(ground).plane.onto(place.position).truncate()
    }

    /// Whether places, hosts, holds and counts of the goal are met. Whether the shape carries its payloads is checked elsewhere.
    #[must_use]
    pub fn goal_is_met(&self, configuration: &Configuration) -> bool {
        let gathered = match (self.goal.gather, self.gathered(configuration)) {
            (Some(gather), Some(count)) => count >= gather.count,
            _ => true,
        };
        gathered && self.filling(configuration).is_some()
    }
}
