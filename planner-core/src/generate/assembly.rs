//! Rehearsal of shapes of touching balls: ball by ball, hosts first.

use super::GenerateError;
use super::draft::Draft;
use super::known::Known;
use super::placed::{Placed, ground};
use super::rehearsal::Rehearsal;
use crate::math::DVec3;
use crate::model::{Body, ModuleId};

/// So many modules are tried for a place, and so many balls of the foot as the way up, nearest first.
const TRIES: usize = 3;
/// Balls of the foot count as neighbours up to so many standing distances.
const BESIDE: f64 = 1.01;

/// What a rehearsal of the whole crew shows, shape by shape.
pub(super) fn rehearse(draft: &Draft, shapes: &[Placed]) -> Result<Known, GenerateError> {
    let mut crew = Rehearsal::new(draft.problem()?, draft.setting.frame);
    let mut free: Vec<ModuleId> = crew.problem.module_ids().collect();
    let formed = shapes.iter().all(|shape| assemble(&mut crew, shape, &mut free));
    Ok(Known::of(if formed { crew.trips_to_goal() } else { None }))
}

/// Forms a shape out of some of these modules, each by the nearest that gets there; returns whether it was formed. Who has a place is taken off the list.
pub(super) fn assemble(crew: &mut Rehearsal, shape: &Placed, free: &mut Vec<ModuleId>) -> bool {
    let mut who: Vec<ModuleId> = Vec::with_capacity(shape.balls.len());
    for (number, ball) in shape.balls.iter().enumerate() {
        let spot = shape.at(number);
        let away = |crew: &Rehearsal, id: ModuleId| crew.at(id).distance_squared(spot);
        free.sort_by(|&a, &b| away(crew, a).total_cmp(&away(crew, b)));
        let can_go = (0..free.len()).filter(|&index| !crew.now.is_stood_on(free[index]));
        let candidates: Vec<usize> = can_go.take(TRIES).collect();
        let comes = candidates.into_iter().find(|&index| {
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
    for foot in feet.into_iter().take(TRIES) {
        // The host stays where it is, so that it is not stood on elsewhere.
        let beside = neighbours(crew, shape, who, foot);
        let can_weigh = beside.into_iter().filter(|&number| Body::Module(who[number]) != host);
        let weights: Vec<usize> =
            can_weigh.filter(|&number| weigh(crew, shape, who, (number, foot))).collect();
        let arrived = crew.go(mover, host, place);
        let back = weights.into_iter().rev().all(|number| {
            let place = self::place(crew, shape, number, who[number]);
            crew.go(who[number], ground(), place)
        });
        if arrived || !back {
            return arrived && back;
        }
    }
    false
}

/// The balls of the foot that are beside one of them.
fn neighbours(crew: &Rehearsal, shape: &Placed, who: &[ModuleId], foot: usize) -> Vec<usize> {
    let base = crew.kind(who[foot]);
    let near = BESIDE * base.standing_distance(base);
    let is_near = |&number: &usize| {
        number != foot && shape.balls[number].on.is_none() && shape.at(number).distance(shape.at(foot)) < near
    };
    (0..who.len()).filter(is_near).collect()
}

/// Puts a ball of the foot onto its neighbour, on the side where it is; returns whether it got there.
fn weigh(crew: &mut Rehearsal, shape: &Placed, who: &[ModuleId], (number, foot): (usize, usize)) -> bool {
    let (mover, base) = (who[number], who[foot]);
    let way = (shape.at(number) - shape.at(foot)).normalize();
    let place = crew.beside(mover, base, way);
    crew.go(mover, Body::Module(base), place)
}
