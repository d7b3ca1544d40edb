//! Which standing modules have to be braced before a move.

use crate::model::{Body, Configuration, Hold, ModuleId, Problem};
use crate::motion::{Move, Stretch};
use crate::statics::{LoadCase, LoadStatus, assess};

/// Modules to brace, in order, so that a move carries its load; `None` if no bracing helps.
pub(super) fn braces_for_move(
    problem: &Problem,
    before: &Configuration,
    mover: ModuleId,
    action: &Move,
    after: &Configuration,
) -> Option<Vec<ModuleId>> {
    // Only a yaw can be made braced.
    let rolling = (!matches!(action, Move::Yaw { .. })).then_some(mover);
    braces_until(problem, before, rolling, |braced| {
        let mut end = after.clone();
        for (id, place) in braced.iter() {
            if Some(id) != rolling {
                end.get_mut(id).hold = place.hold;
            }
        }
        let stretch = Stretch::of_move(problem, braced, mover, action, &end);
        if stretch.carries(problem.limits.utilisation()) {
            return None;
        }
        let worst = stretch.worst_strain();
        Some(stretch.load_at(worst.share, worst.hops_done))
    })
}

/// Modules to brace so that a load case of the final shape is carried; `None` if no bracing helps.
pub(super) fn braces_for_rest(
    problem: &Problem,
    last: &Configuration,
    case: impl Fn(&Configuration) -> LoadCase,
) -> Option<Vec<ModuleId>> {
    braces_until(problem, last, None, |braced| {
        let case = case(braced);
        (!case.carries(problem.limits.utilisation())).then_some(case)
    })
}

/// Braces the bond that fails, again and again, until `failing` finds no load case that fails. Then takes back every brace that is not needed.
fn braces_until(
    problem: &Problem,
    before: &Configuration,
    rolling: Option<ModuleId>,
    failing: impl Fn(&Configuration) -> Option<LoadCase>,
) -> Option<Vec<ModuleId>> {
    let mut braced = before.clone();
    let mut chosen: Vec<ModuleId> = Vec::new();
    while let Some(case) = failing(&braced) {
        let next = blamed(problem, &braced, rolling, &case)?;
        braced.get_mut(next).hold = Hold::Braced;
        chosen.push(next);
    }
    for candidate in chosen.clone() {
        braced.get_mut(candidate).hold = Hold::Rolling;
        if failing(&braced).is_none() {
            chosen.retain(|&c| c != candidate);
        } else {
            braced.get_mut(candidate).hold = Hold::Braced;
        }
    }
    Some(chosen)
}

/// The rolling module whose brace would help most: the one the report blames, else the one with the largest demand.
fn blamed(
    problem: &Problem,
    now: &Configuration,
    rolling: Option<ModuleId>,
    case: &LoadCase,
) -> Option<ModuleId> {
    let report = assess(problem, case);
    if report.status == LoadStatus::Carried {
        return None;
    }
    let may_brace = |id: ModuleId| {
        let place = now.get(id);
        let sealed = match place.host {
            Body::Deck(deck) => problem.decks[deck.index()].sealable,
            Body::Module(_) => true,
        };
        Some(id) != rolling && place.hold == Hold::Rolling && !problem.modules[id.index()].stuck && sealed
    };
    if let Some(reason) = report.reason.filter(|r| may_brace(r.child)) {
        return Some(reason.child);
    }
    let mut others: Vec<_> = report.bonds.iter().filter(|b| may_brace(b.child)).collect();
    others.sort_by(|a, b| b.needs_n.total_cmp(&a.needs_n));
    others.first().map(|b| b.child)
}
