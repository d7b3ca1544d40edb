//! Crews that are too small to bridge or climb the gap between two decks.

use super::Impossible;
use crate::math::cos;
use crate::model::{Body, GroundId, Problem, SlotPlace};
use crate::search::bounds::first_arrivals;
use crate::search::bounds::stances::{Sizes, bonds_between};

/// Decks that chains of the whole crew might reach, one after the other: an over-estimate of what the crew can reach.
pub(super) fn within_reach(problem: &Problem) -> Vec<GroundId> {
    let arrivals = first_arrivals(problem, &Sizes::new(problem));
    problem.ground_ids().filter(|deck| arrivals[deck.index()].is_finite()).collect()
}

/// Decks that a module has to stand on at the end, in the order of the goal.
fn asked(problem: &Problem) -> impl Iterator<Item = GroundId> + '_ {
    let gather = problem.goal.gather.filter(|g| g.count > 0).map(|g| g.ground);
    let slots = problem.goal.slots.iter().filter_map(|slot| match slot.place {
        SlotPlace::OnGround(deck, _) => Some(deck),
        SlotPlace::OnSlot(..) => None,
    });
    slots.chain(gather)
}

/// A deck of the goal that is out of reach.
pub(super) fn to_reach(problem: &Problem) -> Option<Impossible> {
    let within_reach = within_reach(problem);
    let deck = asked(problem).find(|deck| !within_reach.contains(deck))?;
    let sizes = Sizes::new(problem);
    let modules = |from: GroundId| bonds_between(problem, &sizes, from, deck) + 1;
    let nearest = within_reach.iter().copied().min_by_key(|&from| modules(from))?;
    Some(Impossible::TooFewToReach { deck, nearest, needed: modules(nearest), within_reach })
}

/// The last module on another deck, if all are to gather.
///
/// When it leaves, all others are on chains that end on the deck to gather on. Its hop leads onto one of them, and the pivot limits how high that
/// shell is.
pub(super) fn for_last(problem: &Problem) -> Option<Impossible> {
    let gather = problem.goal.gather.filter(|g| g.count == problem.modules.len())?;
    let starts = |m| problem.start.hosts_below(m).find_map(Body::ground);
    if problem.module_ids().all(|m| starts(m) == Some(gather.ground)) {
        return None;
    }
    let lowest = lowest_hung_m(problem, gather.ground);
    let highest = |from: GroundId| highest_hop_m(problem, from);
    let others = problem.ground_ids().filter(|deck| *deck != gather.ground);
    let (from, room) =
        others.map(|from| (from, lowest - highest(from))).min_by(|a, b| a.1.total_cmp(&b.1))?;
    let top = problem.ground(from).height_m();
    (room > 1e-4).then_some(Impossible::TooFewForLast {
        deck: gather.ground,
        from,
        highest_m: highest(from) - top,
        lowest_m: lowest - top,
    })
}

/// Greatest height of a shell's centre onto which a module standing on a deck can hop, in metres.
fn highest_hop_m(problem: &Problem, from: GroundId) -> f64 {
    let sizes = Sizes::new(problem);
    let centre = problem.ground(from).height_m() + sizes.ride_m[1];
    let rise = -cos(sizes.hop_limit_rad);
    centre + if rise > 0.0 { rise * sizes.bond_m[1] } else { rise * sizes.bond_m[0] }
}

/// Least height of the centre of a module on a chain from a deck, in metres, if all but one of the crew are on it.
///
/// The first bond down cannot be steep: a centre below the deck's top keeps a shell radius from the deck's side, and the foot above stands inside its
/// edge.
fn lowest_hung_m(problem: &Problem, deck: GroundId) -> f64 {
    let sizes = Sizes::new(problem);
    let solid = problem.ground(deck);
    let bond = sizes.bond_m[1];
    let centre = solid.height_m() + sizes.ride_m[0];
    let mut drop = 0.0;
    let below = problem.modules.len() as f64 - 2.0;
    if below > 0.0 {
        let side = sizes.radius_m + sizes.foot_m;
        let first = if solid.bottom > centre - bond {
            bond // it may hang under the deck
        } else {
            (bond * bond - side * side).max(0.0).sqrt().max(sizes.ride_m[1])
        };
        drop = first + (below - 1.0) * bond;
    }
    centre - drop
}
