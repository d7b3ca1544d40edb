//! A gap between two decks, narrow enough to get over on one peer.

use super::GenerateError;
use super::draft::{Draft, concrete};
use super::random::SplitMix64;
use super::rehearsal::Rehearsal;
use crate::math::DVec3;
use crate::model::{Body, DeckId, ModuleId};

/// All get over.
pub(super) fn cross(title: String, modules: usize, random: &mut SplitMix64) -> Result<Draft, GenerateError> {
    let width = Draft::scattered_width_m(modules);
    let gap = random.thousandths(0.005, 0.038);
    let edge = 0.5 * width + 0.4;
    let decks = vec![
        concrete("near", [-width - 0.6, -edge], [0.0, edge], 0.0),
        concrete("far", [gap, -edge], [width + 0.6, edge], 0.0),
    ];
    let mut draft = Draft::new(title, decks);
    draft.scatter("near", modules, [-width - 0.25, -0.5 * width], random);
    draft.gather("far", modules);
    let mut crew = Rehearsal::new(draft.problem()?);
    let across = random.thousandths(-0.1, 0.1);
    if rehearse(&mut crew, gap, across) {
        draft.rehearsed = Some(crew.trips);
    }
    Ok(draft)
}

/// One at the edge with a counterweight behind; the others go over it. Two of them do the same for the last two from the far side.
fn rehearse(crew: &mut Rehearsal, gap: f64, across: f64) -> bool {
    let (near, far) = (Body::Deck(DeckId(0)), Body::Deck(DeckId(1)));
    let bond = crew.bond_m();
    let (level, foot) = (0.5 * bond, crew.problem.kinds[0].foot_radius_m);
    let at = |x: f64, y: f64| DVec3::new(x, across + y, level);
    let edge = at(-foot, 0.0);
    let mut order: Vec<ModuleId> = crew.problem.module_ids().collect();
    order.sort_by(|&a, &b| crew.at(a).distance(edge).total_cmp(&crew.at(b).distance(edge)));
    let (root, weight) = (order[0], order[1]);
    let built = crew.go(root, near, edge) && crew.go(weight, Body::Module(root), edge - DVec3::X * bond);
    let over = (Body::Module(root), edge + DVec3::Z * bond);
    let crossed = built
        && order[2..].iter().enumerate().all(|(index, &mover)| {
            let row = index as f64 - 0.5 * modules_over(crew) as f64;
            crew.go_past(mover, over, far, at(gap + 0.35, 0.15 * row))
        });
    // A bond length across the gap and as far along it as that leaves, so that the two roots touch.
    let away = gap + 2.0 * foot;
    let beyond = at(gap + foot, (bond * bond - away * away).max(0.0).sqrt());
    let (root_over, weight_over) = (order[2], order[3]);
    crossed
        && crew.go(root_over, far, beyond)
        && crew.go(weight_over, Body::Module(root_over), beyond + (beyond - edge).normalize() * bond)
        && {
            let top = (Body::Module(root_over), beyond + DVec3::Z * bond);
            crew.go_past(weight, top, far, at(gap + 0.5, 0.3))
                && crew.go_past(root, top, far, at(gap + 0.5, -0.3))
                && crew.go(weight_over, far, crew.at(weight_over))
        }
}

/// How many go over the near root.
fn modules_over(crew: &Rehearsal) -> usize {
    crew.problem.modules.len() - 2
}
