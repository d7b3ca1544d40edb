//! Verifies an enclosure: every neighbour of its cells is a cell, or lies wholly near to one point of a solid.

use super::decks::winding;
use crate::geometry::Prism;
use crate::math::{DVec2, DVec3, tolerance};
use crate::model::{GroundId, Problem, SlotId, SlotPlace};
use crate::search::bounds::stances::Sizes;
use crate::search::impossible::{CutOffPlace, Enclosure};

/// Whether a path of a module's centre cannot leave or enter the cells.
pub(super) fn is_closed(problem: &Problem, enclosure: &Enclosure, within_reach: &[GroundId]) -> bool {
    let sizes = Sizes::new(problem);
    let steps = [[1, 0, 0], [-1, 0, 0], [0, 1, 0], [0, -1, 0], [0, 0, 1], [0, 0, -1]];
    let stack_m = sizes.ride_m[1] + (problem.modules.len() as f64 - 1.0) * sizes.bond_m[1];
    let too_high =
        |bottom: f64| within_reach.iter().all(|deck| problem.ground(*deck).height_m() + stack_m < bottom);
    enclosure.cells.is_sorted()
        && enclosure.cell_m > 0.0
        && problem.is_one_size()
        && enclosure.cells.iter().all(|cell| {
            steps.iter().all(|step| {
                let beside = std::array::from_fn(|axis| cell[axis] + step[axis]);
                let centre = enclosure.centre(beside);
                enclosure.cells.binary_search(&beside).is_ok()
                    || too_high(centre.z - 0.5 * enclosure.cell_m)
                    || problem
                        .decks
                        .iter()
                        .any(|deck| is_filled(&deck.solid, centre, enclosure.cell_m, sizes.radius_m))
            })
        })
}

/// Whether one point of a solid is nearer than a radius to all corners of a cell, and so, as a ball is convex, to the whole cell.
fn is_filled(solid: &Prism, centre: DVec3, cell_m: f64, radius_m: f64) -> bool {
    let xy = centre.truncate();
    let level = if winding(solid.edges(), xy) { xy } else { nearest_on_edges(solid.edges(), xy) };
    let point = level.extend(centre.z.max(solid.bottom).min(solid.height_m()));
    let corner = |n: u32| {
        let sign = |bit: u32| if n >> bit & 1 == 1 { 0.5 } else { -0.5 };
        centre + DVec3::new(sign(0), sign(1), sign(2)) * cell_m
    };
    (0..8).all(|n| corner(n).distance(point) < radius_m - tolerance::LENGTH_M)
}

fn nearest_on_edges(edges: impl Iterator<Item = (DVec2, DVec2)>, p: DVec2) -> DVec2 {
    let on_edges =
        edges.map(|(a, b)| a.lerp(b, ((p - a).dot(b - a) / (b - a).length_squared()).clamp(0.0, 1.0)));
    on_edges.min_by(|a, b| a.distance_squared(p).total_cmp(&b.distance_squared(p))).unwrap_or(p)
}

/// Whether the goal needs more modules at a place inside than there are inside.
pub(super) fn is_asked(problem: &Problem, enclosure: &Enclosure, target: CutOffPlace) -> bool {
    let inside = |p: DVec3| enclosure.holds(p);
    match target {
        CutOffPlace::Slot(slot) => {
            let place = nominal(problem, slot);
            let offs = [-1.0, 0.0, 1.0].map(|off| 1.005 * tolerance::SLOT_M * off);
            let around =
                offs.iter().flat_map(|x| offs.iter().flat_map(move |y| offs.map(|z| DVec3::new(*x, *y, z))));
            let takers =
                problem.module_ids().filter(|&m| problem.slot_takes(&problem.goal.slots[slot.index()], m));
            // Cells are wider than the play, so corners and centre of its cube meet every cell that the cube meets.
            enclosure.cell_m > 1.01 * tolerance::SLOT_M
                && around.into_iter().all(|off| inside(place + off))
                && takers.into_iter().all(|m| !inside(problem.start.get(m).position))
        }
        CutOffPlace::Deck(deck) => {
            let there = problem.start.iter().filter(|(_, p)| inside(p.position)).count();
            problem.goal.gather.is_some_and(|g| g.ground == deck && there < g.count)
                && holds_all_stances(problem, enclosure, deck)
        }
    }
}

/// Whether every place at which a module can stand on a deck lies in the cells, checked on a grid finer than the cells.
fn holds_all_stances(problem: &Problem, enclosure: &Enclosure, deck: GroundId) -> bool {
    let sizes = Sizes::new(problem);
    let solid = problem.ground(deck);
    let within =
        problem.goal.gather.and_then(|gather| gather.within).map(|deck| &problem.decks[deck.index()].solid);
    let low = solid.outline.corners().fold(DVec2::INFINITY, DVec2::min);
    let high = solid.outline.corners().fold(DVec2::NEG_INFINITY, DVec2::max);
    let step = 0.5 * enclosure.cell_m;
    let [columns, rows] = ((high - low) / step).to_array().map(|n| n.ceil() as u32);
    let is_blocked = |cell: [i32; 3]| {
        let centre = enclosure.centre(cell);
        problem.decks.iter().any(|d| is_filled(&d.solid, centre, enclosure.cell_m, sizes.radius_m))
    };
    // Cells on both sides of a place may be filled by different solids.
    let blocked = |place: DVec3| enclosure.around(place).all(is_blocked);
    (0..=columns).all(|i| {
        (0..=rows).all(|j| {
            let xy = low + DVec2::new(f64::from(i), f64::from(j)) * step;
            let place = xy.extend(solid.height_m() + sizes.ride_m[0]);
            let to_edge = nearest_on_edges(solid.edges(), xy).distance(xy);
            let is_within = within.is_none_or(|deck| winding(deck.edges(), xy));
            let stands = is_within && winding(solid.edges(), xy) && to_edge >= sizes.foot_m - step;
            !stands || enclosure.holds(place) || blocked(place)
        })
    })
}

/// A slot's nominal place, by adding up the directions of its chain.
pub(super) fn nominal(problem: &Problem, slot: SlotId) -> DVec3 {
    let kind = problem.kind(crate::model::ModuleId(0));
    let mut above = DVec3::ZERO;
    let mut here = slot;
    loop {
        match problem.goal.slots[here.index()].place {
            SlotPlace::OnSlot(below, toward) => {
                above += toward * (kind.shell_radius_m + kind.ride_height_m);
                here = below;
            }
            SlotPlace::OnGround(deck, at) => {
                return above + at.extend(problem.ground(deck).height_m() + kind.ride_height_m);
            }
        }
    }
}
