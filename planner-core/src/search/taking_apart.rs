//! Plans how the target comes apart into the start, and runs that backwards.
//!
//! Undoing a sequence of sound moves is sound: every configuration, gap and load is the same. A finished shape has few free modules and so
//! few first moves, where the scattered start has many. First depth-first with backtracking, every module once (`rebuilding.rs`); where that is
//! not enough, because one has to lend its weight on the way, best-first.

use super::assignment::Targets;
use super::best_first::{Order, Search};
use super::bridging::{Journey, Scout, turned_round};
use super::goal::is_met_apart_from_holds;
use super::planner::{HASTE, InputError, Observer, Options, Planner, validate};
use super::rebuilding::rebuild;
use super::successors::after_trip;
use super::{Budget, Outcome, impossible_goal};
use crate::math::DVec3;
use crate::model::{Body, Configuration, Goal, Hold, ModuleId, Placement, Problem, Slot, SlotId, SlotPlace};
use crate::motion::{Status, is_sound_at_rest};
use crate::travel::Trip;

/// Reverse taking-apart.
#[derive(Clone, Copy, Debug, Default)]
pub struct TakingApart;

impl Planner for TakingApart {
    fn name(&self) -> &'static str {
        "taking-apart"
    }

    fn plan(
        &self,
        problem: &Problem,
        options: &Options,
        budget: &Budget<'_>,
        observer: &dyn Observer,
    ) -> Result<Outcome, InputError> {
        validate(problem, options)?;
        if let Some(proof) = impossible_goal(problem) {
            return Ok(Outcome::impossible(problem, &proof));
        }
        let Some(backwards) = backwards(problem) else {
            let mut outcome = super::AStar.plan(problem, options, budget, observer)?;
            outcome.note = Some(
                "the goal is not one whole shape, so there is nothing to take apart; searched forwards"
                    .into(),
            );
            return Ok(outcome);
        };
        match rebuild(problem, &backwards.start, budget) {
            Ok(Some(trips)) if leads_to_goal(problem, &trips) => return Ok(Outcome::solved(problem, trips)),
            Ok(_) => {}
            Err(stop) => return Ok(Outcome::stopped(problem, stop)),
        }
        let targets = Targets::new(&backwards);
        let greed = options.greed.unwrap_or(HASTE);
        let search = Search {
            problem: &backwards,
            seed: options.seed,
            order: Order::Cost(greed),
            worth_s: options.worth_s,
            is_goal: &|c| is_met_apart_from_holds(&backwards, c),
            estimate: &|c| targets.estimate_s(&backwards, c, greed),
        };
        let found = search.run(&targets, budget, observer);
        let reached = match found.unfinished {
            None => forwards(&backwards, &found.trips, &found.last)
                .and_then(|trips| sound_from_the_start(problem, trips, budget)),
            Some(_) => None,
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
        Ok(outcome)
    }
}

/// The same trips, or others to the same ends, sound with the headings that modules really have; `None` if there are none.
fn sound_from_the_start(problem: &Problem, trips: Vec<Trip>, budget: &Budget<'_>) -> Option<Vec<Trip>> {
    let scout = Scout { problem, budget };
    let mut journey = Journey::new(problem, &problem.start);
    journey.go_all(&scout, trips).ok()?.then_some(journey.trips)
}

/// Whether the trips end in the goal.
fn leads_to_goal(problem: &Problem, trips: &[Trip]) -> bool {
    let start = super::successors::braced(problem, &problem.start);
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

/// The crew in its slots; whoever has none stays where it is.
fn target_shape(problem: &Problem) -> Option<Configuration> {
    let targets = Targets::new(problem);
    let filling = targets.assign(problem, &problem.start)?;
    let mut shape = super::successors::braced(problem, &problem.start);
    let mut centres: Vec<(ModuleId, DVec3)> = Vec::new();
    for (slot, &module) in problem.goal.slots.iter().zip(&filling) {
        let kind = problem.kind(module);
        let hold = slot.hold.unwrap_or_else(|| shape.get(module).hold);
        let place = match slot.place {
            SlotPlace::OnDeck(deck, at) => {
                Placement::on_deck(deck, &problem.decks[deck.index()], kind, at, None)
            }
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
    // Whoever stays must not have lost its host.
    let stays = problem.module_ids().filter(|m| !filling.contains(m));
    for module in stays {
        if shape.get(module).host.module().is_some_and(|h| filling.contains(&h)) {
            return None;
        }
    }
    Some(shape)
}

/// The places of a configuration as slots, hosts first, each named after the module that stands there and for its class.
pub(super) fn shape_as_slots(problem: &Problem, shape: &Configuration) -> Vec<Slot> {
    let family = crate::model::Family::new(shape);
    let mut slot_of = vec![SlotId(0); problem.modules.len()];
    let mut slots = Vec::new();
    for &id in &family.order {
        let place = shape.get(id);
        let module = &problem.modules[id.index()];
        let alone_in_class = problem.modules.iter().filter(|m| m.class == module.class).count() == 1;
        slot_of[id.index()] = SlotId::at(slots.len());
        slots.push(Slot {
            name: module.name.clone(),
            place: match place.host {
                Body::Deck(deck) => SlotPlace::OnDeck(deck, place.position.truncate()),
                Body::Module(host) => SlotPlace::OnSlot(slot_of[host.index()], place.up()),
            },
            kind: Some(module.kind),
            module: alone_in_class.then_some(id),
            hold: None::<Hold>,
            payload_kg: 0.0,
        });
    }
    slots
}

/// Turns the trips of the reversed problem round, and gives every module the name of the one at whose start it ended.
fn forwards(backwards: &Problem, trips: &[Trip], last: &Configuration) -> Option<Vec<Trip>> {
    // Slots are in the order of the forest of the start; their names are the modules'.
    let filling = backwards.filling(last)?;
    let mut renamed = vec![ModuleId(0); filling.len()];
    for (slot, &module) in backwards.goal.slots.iter().zip(&filling) {
        let name = backwards.modules.iter().position(|m| m.name == slot.name)?;
        renamed[module.index()] = ModuleId::at(name);
    }
    let turned = turned_round(backwards, &backwards.start, trips)?;
    Some(turned.into_iter().map(|(trip, _)| trip.renamed(|module| renamed[module.index()])).collect())
}
