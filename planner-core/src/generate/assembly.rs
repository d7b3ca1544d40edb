//! Rehearsal of a shape of touching balls: ball by ball, hosts first.

use super::placed::{Placed, ground};
use super::rehearsal::Rehearsal;
use crate::math::DVec3;
use crate::model::{Body, ModuleId};

/// So many modules are tried for a place, and so many balls of the foot as the way up, nearest first.
const TRIES: usize = 3;
/// Balls of the foot count as neighbours up to so many standing distances.
const BESIDE: f64 = 1.01;

/// Forms a shape out of some of these modules, each by the nearest that gets there; returns whether it was formed. Who has a place is taken off the list.
pub(super) fn assemble(crew: &mut Rehearsal, shape: &Placed, free: &mut Vec<ModuleId>) -> bool {
    let mut who: Vec<ModuleId> = Vec::with_capacity(shape.balls.len());
    for (number, ball) in shape.balls.iter().enumerate() {
        let spot = shape.at(number);
        let away = |crew: &Rehearsal, id: ModuleId| crew.at(id).distance_squared(spot);
        free.sort_by(|&a, &b| away(crew, a).total_cmp(&away(crew, b)));
        let comes = (0..free.len().min(TRIES)).find(|&index| {
            let mover = free[index];
            let place = place(crew, shape, number, mover);
            match ball.on {
                None => crew.go(mover, ground(), place),
                Some(host) => {
                    let host = Body::Module(who[host]);
                    crew.go(mover, host, place) || go_steadied(crew, shape, &who, (mover, host, place))
                }
            }
        });
        let Some(index) = comes else { return false };
        who.push(free.remove(index));
    }
    true
}

/// The centre of a module in a place of a shape.
fn place(crew: &Rehearsal, shape: &Placed, number: usize, module: ModuleId) -> DVec3 {
    shape.at(number) + DVec3::Z * crew.kind(module).ride_height_m
}

/// Sends a module up over a ball of the foot that its neighbours hold down: they stand on that ball for the while, as counterweights.
fn go_steadied(
    crew: &mut Rehearsal,
    shape: &Placed,
    who: &[ModuleId],
    (mover, host, place): (ModuleId, Body, DVec3),
) -> bool {
    let mut feet: Vec<usize> = (0..who.len()).filter(|&number| shape.balls[number].on.is_none()).collect();
    let away = |crew: &Rehearsal, id: ModuleId| crew.at(id).distance_squared(crew.at(mover));
    feet.sort_by(|&a, &b| away(crew, who[a]).total_cmp(&away(crew, who[b])));
    feet.truncate(TRIES);
    feet.into_iter().any(|foot| {
        let steadied = steady(crew, shape, who, foot);
        let arrived = crew.go(mover, host, place);
        let back = steadied.into_iter().rev().all(|number| {
            let place = self::place(crew, shape, number, who[number]);
            crew.go(who[number], ground(), place)
        });
        arrived && back
    })
}

/// Puts the neighbours of a ball of the foot onto it, where they can go; returns which.
fn steady(crew: &mut Rehearsal, shape: &Placed, who: &[ModuleId], foot: usize) -> Vec<usize> {
    let base = who[foot];
    let near = BESIDE * crew.kind(base).standing_distance(crew.kind(base));
    let neighbours = (0..who.len()).filter(|&number| {
        let apart = shape.at(number) - shape.at(foot);
        number != foot && shape.balls[number].on.is_none() && apart.length() < near
    });
    let neighbours: Vec<usize> = neighbours.collect();
    neighbours
        .into_iter()
        .filter(|&number| {
            let way = (shape.at(number) - shape.at(foot)).normalize();
            let place = crew.beside(who[number], base, way);
            crew.go(who[number], Body::Module(base), place)
        })
        .collect()
}
