//! The order in which shapes are made.

use super::shapes::places;
use crate::math::Grid;
use crate::model::{ModuleId, Problem};

/// A module is in the way of a slot if their centres are nearer than this, in diameters of the largest shell.
const IN_THE_WAY: f64 = 2.0;

/// The shapes in an order in which few modules of later shapes stand in the way of earlier ones. Of several shapes with equally many, the one that takes
/// longest comes first: who comes first waits for nobody.
pub(super) fn in_turn(
    problem: &Problem,
    shapes: &[Vec<usize>],
    crews: &[Vec<ModuleId>],
    lasts_s: &[f64],
) -> Vec<usize> {
    let places = places(problem);
    let largest_m = problem.kinds.iter().map(|kind| kind.shell_radius_m).fold(0.0, f64::max);
    let near_m = IN_THE_WAY * 2.0 * largest_m;
    let mut starts = Grid::new(near_m);
    for (shape, crew) in crews.iter().enumerate() {
        for &id in crew {
            starts.insert(problem.start.get(id).position, 0.0, (shape, id));
        }
    }
    // For each shape how many modules are in its way, and for each crew the shapes that its modules are in the way of.
    let mut in_the_way = vec![0_usize; shapes.len()];
    let mut ways_of: Vec<Vec<usize>> = vec![Vec::new(); shapes.len()];
    for (shape, slots) in shapes.iter().enumerate() {
        let mut near: Vec<(usize, ModuleId)> = Vec::new();
        for &slot in slots {
            starts.collect(places[slot], near_m, &mut near);
        }
        near.sort_unstable();
        near.dedup();
        near.retain(|&(crew, id)| {
            let at = problem.start.get(id).position.truncate();
            crew != shape && slots.iter().any(|&slot| places[slot].truncate().distance(at) < near_m)
        });
        in_the_way[shape] = near.len();
        near.iter().for_each(|&(crew, _)| ways_of[crew].push(shape));
    }
    let mut left: Vec<usize> = (0..shapes.len()).collect();
    let mut order = Vec::with_capacity(left.len());
    while !left.is_empty() {
        let next = (0..left.len()).min_by(|&a, &b| {
            let (a, b) = (left[a], left[b]);
            in_the_way[a].cmp(&in_the_way[b]).then(lasts_s[b].total_cmp(&lasts_s[a])).then(a.cmp(&b))
        });
        let shape = left.swap_remove(next.unwrap_or_default());
        ways_of[shape].iter().for_each(|&other| in_the_way[other] = in_the_way[other].saturating_sub(1));
        order.push(shape);
    }
    order
}
