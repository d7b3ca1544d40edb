//! A gap between two decks, narrow enough to get over on one peer.

use super::GenerateError;
use super::draft::{Draft, concrete};
use super::rehearsal::Rehearsal;
use crate::math::DVec3;
use crate::math::SplitMix64;
use crate::model::{Body, DeckId, ModuleId};

/// All get over; of four or five all but three, who are the bridge and hold it down.
pub(super) fn cross(title: String, modules: usize, random: &mut SplitMix64) -> Result<Draft, GenerateError> {
    let width = Draft::scattered_width_m(modules);
    let gap = random.thousandths(0.005, 0.025);
    let edge = 0.5 * width + 0.8;
    let decks = vec![
        concrete("near", [-width - 0.6, -edge], [0.0, edge], 0.0),
        concrete("far", [gap, -edge], [width + 0.8, edge], 0.0),
    ];
    let mut draft = Draft::new(title, decks);
    draft.scatter("near", modules, [-width - 0.25, -0.5 * width], random);
    draft.gather("far", if modules >= 2 * HELPERS { modules } else { modules - HELPERS });
    let mut crew = Rehearsal::new(draft.problem()?);
    let across = random.thousandths(-0.1, 0.1);
    if rehearse(&mut crew, gap, across) {
        draft.rehearsed = Some(crew.trips);
    }
    Ok(draft)
}

/// The bridge at the near edge and a weight on either side of it.
const HELPERS: usize = 3;

/// One at the edge with a weight on either side; the others go over it from behind. Then three of them make the same bridge on the far side
/// for those that are left.
fn rehearse(crew: &mut Rehearsal, gap: f64, across: f64) -> bool {
    let (near, far) = (Body::Deck(DeckId(0)), Body::Deck(DeckId(1)));
    let bond = crew.bond_m();
    let (level, foot) = (0.5 * bond, crew.problem.kinds[0].foot_radius_m);
    let at = |x: f64, y: f64| DVec3::new(x, across + y, level);
    let root_at = at(-foot, 0.0);
    let mut order: Vec<ModuleId> = crew.problem.module_ids().collect();
    order.sort_by(|&a, &b| crew.at(a).distance(root_at).total_cmp(&crew.at(b).distance(root_at)));
    let (helpers, movers) = order.split_at(HELPERS);
    let [root, left, right] = [helpers[0], helpers[1], helpers[2]];
    let shell = Body::Module(root);
    let built = crew.go(root, near, root_at)
        && crew.go(left, shell, root_at + DVec3::Y * bond)
        && crew.go(right, shell, root_at - DVec3::Y * bond);
    let waiting = |index: usize| at(gap + 0.3, 0.16 * (index as f64 - 0.5 * movers.len() as f64));
    let over = (shell, root_at + DVec3::Z * bond);
    let crossed =
        built && movers.iter().enumerate().all(|(index, &m)| crew.go_past(m, over, far, waiting(index)));
    let &[beyond, one_side, other_side, ..] = movers else { return crossed };
    // Far enough aside to be clear of the near bridge.
    let beyond_at = at(gap + foot, 0.45);
    let shell = Body::Module(beyond);
    let over = (shell, beyond_at + DVec3::Z * bond);
    crossed
        && crew.go(beyond, far, beyond_at)
        && crew.go(one_side, shell, beyond_at + DVec3::Y * bond)
        && crew.go(other_side, shell, beyond_at - DVec3::Y * bond)
        && [left, right, root]
            .into_iter()
            .enumerate()
            .all(|(index, mover)| crew.go_past(mover, over, far, at(gap + 0.5, 0.16 * (index as f64 - 1.0))))
        && crew.go(one_side, far, crew.at(one_side))
        && crew.go(other_side, far, crew.at(other_side))
}
