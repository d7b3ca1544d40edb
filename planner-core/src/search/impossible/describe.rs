//! Proofs in words.

use super::{CutOffPlace, Impossible};
use crate::model::{Body, GroundId, Hold, Problem, Slot, SlotId};
use crate::statics::FailureMode;

/// The proof as a sentence without a full stop.
pub(super) fn sentence(proof: &Impossible, problem: &Problem) -> String {
    let slot = |id: SlotId| &problem.goal.slots[id.index()].name;
    let deck = |id: GroundId| problem.name_of(Body::Ground(id));
    match *proof {
        Impossible::TooFewToGather { crew, asked } => {
            format!("the crew has {crew} modules and {asked} are to gather")
        }
        Impossible::NoAssignment => no_assignment(problem),
        Impossible::SlotsOverlap { a, b, apart_m, needed_m } => format!(
            "slots {} and {} are {:.1} mm apart, and modules in them need at least {:.1} mm",
            slot(a),
            slot(b),
            apart_m * 1e3,
            needed_m * 1e3
        ),
        Impossible::SlotInSolid { slot: id, deck: solid } => {
            format!("a module in slot {} would be inside {}", slot(id), deck(solid))
        }
        Impossible::SlotOverEdge { slot: id } => {
            format!("a foot in slot {} would stand over the edge of its deck", slot(id))
        }
        Impossible::SlotBeyondReach { slot: id, angle_rad, limit_rad } => format!(
            "slot {} is {:.1}° from the top of its host; shell reach is {:.1}°",
            slot(id),
            angle_rad.to_degrees(),
            limit_rad.to_degrees()
        ),
        Impossible::StuckElsewhere { slot: id, module } => format!(
            "slot {} is for {}, which is stuck on a deck somewhere else",
            slot(id),
            problem.module_name(module)
        ),
        Impossible::TakenForGood { slot: id, module } => {
            let (asked, own) = (&problem.goal.slots[id.index()], &problem.modules[module.index()]);
            let why = if own.stuck { "is stuck" } else { "has lost its drive" };
            let name = problem.module_name(module);
            let lacks = match asked.hold {
                _ if asked.module.is_some_and(|m| m != module)
                    || asked.kind.is_some_and(|k| k != own.kind) =>
                {
                    "is for another module".to_owned()
                }
                Some(Hold::Braced) if own.lost.cup => {
                    "asks for a braced hold, and its cup is lost".to_owned()
                }
                Some(hold) => format!(
                    "asks for a {} hold, and it keeps the one it has, which is {}",
                    hold.word(),
                    problem.start.get(module).hold.word()
                ),
                None => "does not take it".to_owned(),
            };
            format!("{name} stands in slot {} for good, because it {why}, and the slot {lacks}", slot(id))
        }
        Impossible::KeepTheirHosts { frozen } => format!(
            "{frozen} of the {} modules can never leave their hosts, because they or what stands on them cannot drive, and with their \
             places not all {} slots can be filled",
            problem.modules.len(),
            problem.goal.slots.len()
        ),
        Impossible::TooFewCanGather { able, asked } => format!(
            "only {able} modules can ever come to where {asked} are to gather: the others keep their hosts, because they or what stands \
             on them cannot drive"
        ),
        Impossible::TooFewToReach { deck: to, nearest, needed, .. } => format!(
            "a chain from {} to {} takes at least {needed} modules, and the crew has {}",
            deck(nearest),
            deck(to),
            problem.modules.len()
        ),
        Impossible::TooFewForLast { deck: to, from, highest_m, lowest_m } => format!(
            "the last module on {} can hop onto a shell whose centre is at most {:.1} mm above it, and the lowest that the other {} \
             can hang down there from {} is at {:.1} mm",
            deck(from),
            highest_m * 1e3,
            problem.modules.len() - 1,
            deck(to),
            lowest_m * 1e3
        ),
        Impossible::CutOff { target, .. } => {
            let place = match target {
                CutOffPlace::Slot(id) => format!("slot {}", slot(id)),
                CutOffPlace::Deck(id) => match problem.goal.gather {
                    Some(gather) => problem.deck_to_gather_on(gather).name.clone(),
                    None => deck(id).to_owned(),
                },
            };
            let radii = problem.module_ids().map(|m| problem.kind(m).shell_radius_m);
            let across_mm = 2e3 * radii.fold(f64::INFINITY, f64::min);
            format!("{place} is walled in: no opening lets a module, {across_mm:.0} mm across, through to it")
        }
        Impossible::Overloaded { slot: id, governs, needs_n, holds_n } => {
            let fails = if governs == FailureMode::Slip { "slips" } else { "peels" };
            let reserve = problem.limits.reserve();
            format!(
                "in the final shape whoever fills slot {} {fails}: the bond needs at least {needs_n:.1} N and, braced, holds \
                 {holds_n:.1} N {reserve}; nobody is left to help",
                slot(id)
            )
        }
    }
}

/// Which slot nobody can fill, or that there are not enough for all.
fn no_assignment(problem: &Problem) -> String {
    let takers = |slot: &Slot| problem.module_ids().filter(|&m| problem.slot_takes(slot, m)).count();
    let mut slots = problem.goal.slots.iter();
    if let Some(slot) = slots.find(|slot| !slot.optional && takers(slot) == 0) {
        let asked = [
            slot.module.map(|m| format!("it is for {}", problem.module_name(m))),
            slot.kind.map(|k| format!("it is for the kind {}", problem.kinds[k.index()].name)),
            (slot.hold == Some(Hold::Braced))
                .then(|| "whoever fills it has to brace, which takes a cup".to_owned()),
        ];
        let asked: Vec<String> = asked.into_iter().flatten().collect();
        return format!("no module can fill slot {}: {}", slot.name, asked.join(", and "));
    }
    let (modules, slots) = (problem.modules.len(), problem.goal.slots.len());
    format!("no assignment of the {modules} modules fills all {slots} slots")
}
