//! Drives of a module that carries others: to the places that the goal has for it and, where somebody that it carries cannot get off, out of the way.

use super::asides::asides;
use super::successor::Successor;
use crate::control::{Budget, Stopped};
use crate::math::{DVec3, angle_between, atan2, perpendicular_part, tolerance, wrap_angle};
use crate::model::{Body, Configuration, Hold, ModuleId, Problem, SlotPlace};
use crate::motion::{Move, Refused, Stretch, apply, duration_s};
use crate::search::guidance::assignment::Targets;
use crate::statics::WarmStart;
use crate::travel::{Face, Trip, Waypoint, ways_to_drive};

/// Places nearer than this are one, in metres.
const SAME_PLACE_M: f64 = 1e-6;
/// A slot's tolerance on the length of a bond, as an angle that places on a shell may differ by, in radians.
const SAME_SLOPE_RAD: f64 = 1e-3;

/// The sound drives of a module with all that stands on it to its places of the goal, and beside what is in its way. Those to the goal are also turned
/// so that what it carries comes to places of the goal as well where it can. With them what the load refuses.
///
/// A straight drive is tried first: it may lead past others in one heading only. Then come the shortest drives that are clear in every heading. Every
/// move is certified as a whole. Complexity: for each place one search for shortest drives, and the certificates of a few moves.
pub(crate) fn carried_drives(
    problem: &Problem,
    targets: &Targets,
    configuration: &Configuration,
    mover: ModuleId,
    limit: f64,
    budget: &Budget<'_>,
) -> Result<(Vec<Successor>, Refused), Stopped> {
    let mut start = configuration.clone();
    start.get_mut(mover).hold = Hold::Rolling;
    let place = *start.get(mover);
    let mut rig =
        Rig { problem, mover, limit, budget, hint: WarmStart::default(), refused: Refused::default() };
    let mut found = Vec::new();
    let slots = targets.slots_on(problem, &start, mover);
    let mut ends: Vec<(Option<usize>, DVec3)> =
        slots.into_iter().map(|(slot, at)| (Some(slot), at)).collect();
    ends.extend(asides(problem, targets, &start, mover).into_iter().map(|at| (None, at)));
    if ends.is_empty() {
        return Ok((found, rig.refused));
    }
    let face = Face::new(problem, &start, mover, place.host, budget.interrupt)?;
    for (slot, target) in ends {
        budget.go_on()?;
        let driven = if target.distance(place.position) < SAME_PLACE_M {
            Some(Driven { moves: Vec::new(), there: start.clone() })
        } else {
            let straight = [Waypoint::straight(place.host, target)];
            match rig.drive(&start, &straight)? {
                Some(driven) => Some(driven),
                None => match face.routes(place.position, &[target]).swap_remove(0) {
                    Some(route) if route != straight => rig.drive(&start, &route)?,
                    _ => None,
                },
            }
        };
        let Some(driven) = driven else { continue };
        let mut turns = vec![None];
        if let Some(slot) = slot {
            turns.extend(turns_at(problem, targets, &driven.there, mover, slot).into_iter().map(Some));
        }
        for turn in turns {
            let Some(Driven { moves, mut there }) = rig.turned(driven.clone(), turn)? else { continue };
            if moves.is_empty() {
                continue;
            }
            there.get_mut(mover).hold = configuration.get(mover).hold;
            let time_s = moves.iter().map(|action| duration_s(problem, mover, Hold::Rolling, action)).sum();
            found.push(Successor { trip: Trip::carrying(mover, moves), after: there, time_s });
        }
    }
    Ok((found, rig.refused))
}

/// Moves that were made, and where they lead.
#[derive(Clone)]
struct Driven {
    moves: Vec<Move>,
    there: Configuration,
}

/// A module with all that stands on it.
struct Rig<'a, 'b> {
    problem: &'a Problem,
    mover: ModuleId,
    limit: f64,
    budget: &'a Budget<'b>,
    hint: WarmStart,
    refused: Refused,
}

impl Rig<'_, '_> {
    /// Drives through waypoints on one host: at each, the first way of turning to it that is sound.
    fn drive(&mut self, start: &Configuration, route: &[Waypoint]) -> Result<Option<Driven>, Stopped> {
        let mut driven = Driven { moves: Vec::new(), there: start.clone() };
        for waypoint in route {
            let mut next = None;
            for way in ways_to_drive(self.problem, &driven.there, self.mover, waypoint) {
                next = self.made(&driven, &way)?;
                if next.is_some() {
                    break;
                }
            }
            let Some(next) = next else { return Ok(None) };
            driven = next;
        }
        Ok(Some(driven))
    }

    /// With a yaw at the end, if any: the shorter one, or otherwise the longer one.
    fn turned(&mut self, driven: Driven, turn: Option<f64>) -> Result<Option<Driven>, Stopped> {
        let Some(angle) = turn else { return Ok(Some(driven)) };
        for angle_rad in [angle, angle - std::f64::consts::TAU.copysign(angle)] {
            if let Some(turned) = self.made(&driven, &[Move::Yaw { angle_rad }])? {
                return Ok(Some(turned));
            }
        }
        Ok(None)
    }

    /// With further moves, if they are sound.
    fn made(&mut self, before: &Driven, moves: &[Move]) -> Result<Option<Driven>, Stopped> {
        let mut driven = before.clone();
        for action in moves {
            self.budget.go_on()?;
            let Ok(after) = apply(self.problem, &driven.there, self.mover, action) else { return Ok(None) };
            let stretch = Stretch::of_move(self.problem, &driven.there, self.mover, action, &after);
            if !stretch.is_clear() || !stretch.keeps_clearance() {
                return Ok(None);
            }
            if !stretch.carries(self.limit, &mut self.hint, self.budget.interrupt)? {
                let end = *after.get(self.mover);
                self.refused.note(self.mover, || Some((driven.there.clone(), vec![(*action, end)])));
                return Ok(None);
            }
            driven.moves.push(*action);
            driven.there = after;
        }
        Ok(Some(driven))
    }
}

/// The yaws in a slot that bring a module on the mover to a slot on that slot.
fn turns_at(
    problem: &Problem,
    targets: &Targets,
    there: &Configuration,
    mover: ModuleId,
    slot: usize,
) -> Vec<f64> {
    let place = there.get(mover);
    let (up, mut turns) = (place.up(), Vec::new());
    for (index, wanted) in problem.goal.slots.iter().enumerate() {
        let SlotPlace::OnSlot(below, toward) = wanted.place else { continue };
        if below.index() != slot {
            continue;
        }
        for rider in there.standing_on(Body::Module(mover)).filter(|rider| targets.takes(index, *rider)) {
            let now = there.get(rider).up();
            if (angle_between(up, now) - angle_between(up, toward)).abs() > SAME_SLOPE_RAD {
                continue;
            }
            let angle = turn_between(up, now, toward);
            let known = turns.iter().any(|turn: &f64| wrap_angle(turn - angle).abs() < tolerance::ANGLE_RAD);
            if angle.abs() > tolerance::ANGLE_RAD && !known {
                turns.push(angle);
            }
        }
    }
    turns
}

/// The angle about an axis from one direction to another; 0 where one is along the axis.
fn turn_between(axis: DVec3, from: DVec3, to: DVec3) -> f64 {
    let (from, to) = (perpendicular_part(from, axis), perpendicular_part(to, axis));
    if from.length() < SAME_PLACE_M || to.length() < SAME_PLACE_M {
        return 0.0;
    }
    atan2(axis.dot(from.cross(to)), from.dot(to))
}
