//! Scenes with a gap between two decks that is narrow enough to cross over one module.

use super::GenerateError;
use super::draft::{Draft, concrete};
use super::rehearsal::Rehearsal;
use crate::math::{DVec3, SplitMix64};
use crate::model::{Body, GroundId, ModuleId};

/// All modules cross. In a crew of four or five, three stay: the bridge and its counterweights.
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

/// The bridge at the near edge and a counterweight on either side of it.
const HELPERS: usize = 3;

/// One module at the edge with a counterweight on either side; the others cross it from behind. Then three of them form the same bridge on the far
/// side for those that are left.
fn rehearse(crew: &mut Rehearsal, gap: f64, across: f64) -> bool {
    let (near, far) = (Body::Ground(GroundId(0)), Body::Ground(GroundId(1)));
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
    // Far enough to the side to be clear of the near bridge.
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
