//! The crew of one shape as a problem of its own.

use crate::model::{Configuration, Goal, ModuleId, Problem, Slot, SlotId, SlotPlace};
use crate::motion::structure::part_of;
use crate::search::trips::successors::{after_trip, braced};
use crate::search::trips::trip_goal::TripGoal;
use crate::travel::Trip;

/// Some modules with some slots, as if there were nothing else. Modules and slots are renumbered in their order.
pub(super) struct CrewOf {
    members: Vec<ModuleId>,
    pub(super) problem: Problem,
}

impl CrewOf {
    /// Some modules of a crew, where they are in a configuration. They stand on each other only; slots stand on slots among these.
    pub(super) fn new(problem: &Problem, now: &Configuration, members: &[ModuleId], slots: &[usize]) -> Self {
        let (mut alone, there) = part_of(problem, now, members);
        let started = |id: ModuleId| problem.start.get(members[id.index()]).hold;
        alone.start = there.with_holds(started);
        let slot = |slot: &usize| {
            let wanted = &problem.goal.slots[*slot];
            let place = match wanted.place {
                SlotPlace::OnSlot(below, toward) => SlotPlace::OnSlot(
                    SlotId::at(slots.binary_search(&below.index()).unwrap_or_default()),
                    toward,
                ),
                on_ground => on_ground,
            };
            let module = wanted.module.map(|m| ModuleId::at(members.binary_search(&m).unwrap_or_default()));
            Slot { place, module, ..wanted.clone() }
        };
        alone.goal = Goal { slots: slots.iter().map(slot).collect(), gather: None };
        alone.assign_classes();
        Self { members: members.to_vec(), problem: alone }
    }

    /// A trip of the whole crew, as one of this crew.
    pub(super) fn named(&self, trip: &Trip) -> Trip {
        trip.clone().renamed(|m| ModuleId::at(self.members.binary_search(&m).unwrap_or_default()))
    }

    /// The goals of trips of this crew, as goals of the whole crew.
    pub(super) fn goals(&self, trips: &[Trip]) -> Vec<TripGoal> {
        let mut now = braced(&self.problem, &self.problem.start);
        let mut goals = Vec::with_capacity(trips.len());
        for trip in trips {
            let Some(after) = after_trip(&self.problem, &now, trip) else { break };
            goals.push(TripGoal::of(trip, &after).renamed(|m| self.members[m.index()]));
            now = after;
        }
        goals
    }
}
