//! Plans how the target shape is taken apart into the start, and reverses the plan.
//!
//! The reverse of a sequence of sound moves is sound: every configuration, gap and load is the same. A finished shape has few bare modules and so few
//! first moves, where the scattered start has many. First a depth-first search with backtracking moves every module once (`rebuilding.rs`). Where
//! that fails, because a module has to serve as a counterweight on the way, a best-first search follows.

use super::AStar;
use super::rebuilding::rebuild;
use crate::control::Budget;
use crate::math::DVec3;
use crate::model::{Configuration, Goal, ModuleId, Placement, Problem, SlotPlace};
use crate::motion::is_sound_at_rest;
use crate::plan::Status;
use crate::search::frontier::best_first::{Order, search_from_start};
use crate::search::guidance::assignment::Targets;
use crate::search::guidance::goal::is_met_apart_from_holds;
use crate::search::guidance::shape_goal::shape_as_slots;
use crate::search::outcome::Ended;
use crate::search::planner::{FAST_WEIGHT, Task};
use crate::search::trips::successors::{after_trip, braced};
use crate::search::trips::trip_sequence::{TripFinder, TripSequence, turned_round};
use crate::search::{Outcome, Planner};
use crate::travel::Trip;

/// The backward planner.
#[derive(Clone, Copy, Debug, Default)]
pub struct TakingApart;

impl Planner for TakingApart {
    fn name(&self) -> &'static str {
        "taking-apart"
    }

    fn search(&self, task: &Task<'_>) -> Outcome {
        let (problem, budget) = (task.problem, task.budget);
        let Some(backwards) = backwards(problem) else {
            let note =
                "the goal is not one whole shape, so there is nothing to take apart; searched forwards";
            return Outcome { note: Some(note.into()), ..AStar.search(task) };
        };
        match rebuild(problem, &backwards.start, budget) {
            Ok(Some(trips)) if leads_to_goal(problem, &trips) => return Outcome::solved(problem, trips),
            Ok(_) => {}
            Err(stop) => return Outcome::stopped(problem, stop),
        }
        let weight = task.options.weight.unwrap_or(FAST_WEIGHT);
        let found = search_from_start(&Task { problem: &backwards, ..*task }, Order::Cost(weight), weight);
        let reached = match found.ended {
            Ended::AtGoal => forwards(&backwards, &found.trips, &found.last)
                .and_then(|trips| sound_from_the_start(problem, trips, budget))
                // Drives with passengers lead elsewhere with other headings.
                .filter(|trips| leads_to_goal(problem, trips)),
            _ => None,
        };
        let mut outcome = Outcome::of_search(problem, found);
        outcome.trips = reached.unwrap_or_default();
        if outcome.trips.is_empty()
            && outcome.status == Status::Solved
            && !problem.goal_is_met(&problem.start)
        {
            outcome.status = Status::BudgetSpent;
            outcome.note = Some("the way back could not be turned round".into());
        }
        outcome
    }
}

/// The same trips, or others to the same ends, that are sound with the true headings of the modules; `None` if there are none.
fn sound_from_the_start(problem: &Problem, trips: Vec<Trip>, budget: &Budget<'_>) -> Option<Vec<Trip>> {
    let finder = TripFinder { problem, budget };
    let mut sequence = TripSequence::new(problem, &problem.start);
    sequence.go_all(&finder, trips).ok()?.then_some(sequence.trips)
}

/// Whether the trips end in the goal.
fn leads_to_goal(problem: &Problem, trips: &[Trip]) -> bool {
    let start = braced(problem, &problem.start);
    let end = trips.iter().try_fold(start, |now, trip| after_trip(problem, &now, trip));
    end.is_some_and(|end| is_met_apart_from_holds(problem, &end))
}

/// The problem that starts at the target shape and asks for the start; `None` if the goal does not fix a whole, sound shape.
fn backwards(problem: &Problem) -> Option<Problem> {
    if problem.goal.slots.is_empty() || problem.goal.gather.is_some() {
        return None;
    }
    let target = target_shape(problem)?;
    let mut reversed = problem.clone();
    reversed.start = target;
    reversed.goal = Goal { slots: shape_as_slots(problem, &problem.start), gather: None };
    is_sound_at_rest(&reversed, &reversed.start).then_some(reversed)
}

/// The crew in its slots; modules without a slot stay where they are.
fn target_shape(problem: &Problem) -> Option<Configuration> {
    let targets = Targets::new(problem);
    let filling = targets.assign(problem, &problem.start)?;
    let mut shape = braced(problem, &problem.start);
    let mut centres: Vec<(ModuleId, DVec3)> = Vec::new();
    for (slot, &module) in problem.goal.slots.iter().zip(&filling) {
        let kind = problem.kind(module);
        let hold = slot.hold.unwrap_or_else(|| shape.get(module).hold);
        let place = match slot.place {
            SlotPlace::OnGround(deck, at) => Placement::on_ground(deck, problem.ground(deck), kind, at, None),
            SlotPlace::OnSlot(below, toward) => {
                let (host, centre) = *centres.get(below.index())?;
                // Facing up or down, as a module does that has just hopped on from below or is about to hop off.
                let place =
                    |facing| Placement::on_shell(host, centre, problem.kind(host), kind, toward, facing);
                place(Some(DVec3::Z)).or_else(|_| place(None))
            }
        }
        .ok()?;
        centres.push((module, place.position));
        *shape.get_mut(module) = Placement { hold, ..place };
    }
    // A module that stays must still have its host.
    let stays = problem.module_ids().filter(|m| !filling.contains(m));
    for module in stays {
        if shape.get(module).host.module().is_some_and(|h| filling.contains(&h)) {
            return None;
        }
    }
    Some(shape)
}

/// Reverses the trips of the reversed problem, and renames each module to the one at whose start it ended.
fn forwards(backwards: &Problem, trips: &[Trip], last: &Configuration) -> Option<Vec<Trip>> {
    // Slots are in the order of the bond forest of the start; their names are those of the modules.
    let filling = backwards.filling(last)?;
    let mut renamed = vec![ModuleId(0); backwards.goal.slots.len()];
    for (slot, module) in
        backwards.goal.slots.iter().zip(filling).filter_map(|(slot, filler)| Some((slot, filler?)))
    {
        let name = backwards.modules.iter().position(|m| m.name == slot.name)?;
        renamed[module.index()] = ModuleId::at(name);
    }
    let turned = turned_round(backwards, &backwards.start, trips)?;
    Some(turned.into_iter().map(|(trip, _)| trip.renamed(|module| renamed[module.index()])).collect())
}
