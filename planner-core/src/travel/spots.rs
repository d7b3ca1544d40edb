//! Spots: places worth standing at or passing, as exact points of the accessible surface, without sampling.

use super::clearance::CLEAR_M;
use super::surface::interaction_m;
use super::touching::touching_places;
use super::{HopArc, Surface};
use crate::control::{Interrupt, Stopped, uninterrupted};
use crate::geometry::Bounds;
use crate::geometry::surface::Curve;
use crate::math::{DVec3, NearPoints, PointGrid, atan2, cos, hypot, turn_of};
use crate::model::{Body, Configuration, Deck, ModuleId, Problem};
use std::f64::consts::PI;

/// A place where the mover's centre can be, with every host it could stand on there.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// The shell's centre in the world frame, in metres.
    pub position: DVec3,
    /// Hosts at the right distance and within reach, decks first.
    pub hosts: Vec<Body>,
    /// Whether a trip may end here; otherwise the spot is only a via point.
    pub rest: bool,
}

/// Places that the caller requests, besides those that the geometry offers.
#[derive(Clone, Debug, Default)]
pub struct Interest {
    /// Exact places at which a trip may end.
    pub places: Vec<DVec3>,
    /// Points whose directions matter: hop arcs from decks get rests nearest to and farthest from them.
    pub beacons: Vec<DVec3>,
}

/// Tolerance for distances to hosts, and for reach as a length on the shell, in metres.
const ON_HOST_M: f64 = 1e-9;
/// Places nearer than this are one spot, in metres.
pub(super) const SAME_SPOT_M: f64 = 1e-7;
/// Its square, in m².
const SAME_SPOT_M2: f64 = 1e-14;
/// A place nearer to the axis of a circle than this fraction of its radius faces no particular point of it.
const ON_AXIS: f64 = 1e-6;

/// All spots of a mover while the others stand as in `bare`; the mover is no obstacle to itself.
///
/// Rests are: the places of interest; tops of shells; ends of hop arcs (pockets, limits of reach); where a shell meets a deck, the points that face a
/// beacon or a nearby wall, turn away from it, or are opposite a module that stands on that shell, as a counterweight would be; and places that touch
/// walls, edges or shells, or are at a deck's brink, where another body is near. Middles of hop arcs and their points facing beacons are via points.
/// Complexity: that of the hop arcs, each spot tested against all bodies.
#[must_use]
pub fn spots(problem: &Problem, bare: &Configuration, mover: ModuleId, interest: &Interest) -> Vec<Spot> {
    uninterrupted(|interrupt| spots_until(problem, bare, mover, interest, interrupt))
}

/// The same, with an interrupt.
///
/// # Errors
/// When interrupted; the interrupt is polled for every hop arc.
pub(super) fn spots_until(
    problem: &Problem,
    bare: &Configuration,
    mover: ModuleId,
    interest: &Interest,
    interrupt: Interrupt<'_>,
) -> Result<Vec<Spot>, Stopped> {
    let mut scan = scan(problem, bare, mover, interest, interrupt)?;
    touching_places(problem, bare, mover, interest, interrupt, |place| scan.offer(place, true))?;
    interrupt.go_on()?;
    Ok(scan.found)
}

/// The same without the places that touch walls, edges or shells, at which trips end but hardly go on.
pub(super) fn hop_spots(
    problem: &Problem,
    bare: &Configuration,
    mover: ModuleId,
    interest: &Interest,
    interrupt: Interrupt<'_>,
) -> Result<Vec<Spot>, Stopped> {
    Ok(scan(problem, bare, mover, interest, interrupt)?.found)
}

/// The spots that lie at places of interest, on tops of shells and on hop arcs.
fn scan<'a>(
    problem: &'a Problem,
    bare: &'a Configuration,
    mover: ModuleId,
    interest: &Interest,
    interrupt: Interrupt<'_>,
) -> Result<Scan<'a>, Stopped> {
    let bounds = problem.decks.iter().map(|deck| deck.solid.bounds()).collect();
    let interaction_m = interaction_m(problem, mover);
    let others = NearPoints::new(interaction_m, bare.iter().map(|(_, place)| place.position));
    let places = PointGrid::new(problem.kind(mover).foot_radius_m, []);
    let mut scan = Scan { problem, bare, mover, bounds, others, found: Vec::new(), places };
    for &place in &interest.places {
        scan.offer(place, true);
    }
    for (id, place) in bare.iter().filter(|(id, _)| *id != mover) {
        let distance = problem.kind(mover).standing_distance(problem.kind(id));
        scan.offer(place.position + place.up() * distance, true);
    }
    interrupt.go_on()?;
    for hop_arc in Surface::hop_arcs_of(problem, bare, mover) {
        interrupt.go_on()?;
        scan.along(&hop_arc, interest);
    }
    Ok(scan)
}

struct Scan<'a> {
    problem: &'a Problem,
    bare: &'a Configuration,
    mover: ModuleId,
    /// Boxes around the decks.
    bounds: Vec<Bounds>,
    /// Where all modules are.
    others: NearPoints,
    found: Vec<Spot>,
    /// Positions of the spots.
    places: PointGrid,
}

impl Scan<'_> {
    /// The spots of one hop arc.
    fn along(&mut self, hop_arc: &HopArc, interest: &Interest) {
        let arc = &hop_arc.arc;
        if !arc.is_ring() {
            self.offer(arc.at(0.0), true);
            self.offer(arc.at(1.0), true);
        }
        self.offer(arc.at(0.5), false);
        let mut facing: Vec<(f64, bool)> = Vec::new();
        let towards = |point: DVec3| angle_towards(&arc.curve, point);
        let ground = match hop_arc.hosts {
            [Body::Ground(ground), Body::Module(shell)] => Some((ground, shell)),
            _ => None,
        };
        for &beacon in &interest.beacons {
            let angles = towards(beacon).into_iter().flat_map(|angle| [angle, angle + PI]);
            facing.extend(angles.map(|angle| (angle, ground.is_some())));
        }
        facing.extend(towards(self.bare.get(self.mover).position).map(|angle| (angle, ground.is_some())));
        if let Some((ground, shell)) = ground {
            let here = self.bare.get(shell).position;
            let compass_m = interaction_m(self.problem, self.mover);
            let plane = self.problem.ground(ground).plane;
            let level = plane.raised(plane.above(arc.at(0.0)));
            // Walls: not ground that modules cross to.
            let is_wall = |deck: &&Deck| !self.problem.are_linked(deck.ground, ground);
            for deck in self.problem.decks.iter().filter(is_wall) {
                let wall = deck.solid.nearest_point(level.onto(here));
                if wall.distance(here) <= compass_m {
                    facing.extend(towards(wall).into_iter().flat_map(|a| [a, a + PI]).map(|a| (a, true)));
                }
            }
            for guest in self.bare.standing_on(Body::Module(shell)).filter(|g| *g != self.mover) {
                facing.extend(towards(self.bare.get(guest).position).map(|angle| (angle + PI, true)));
            }
        }
        for (angle, rest) in facing {
            if turn_of(angle - arc.from) <= arc.width {
                self.offer(arc.curve.at(angle), rest);
            }
        }
    }

    /// Adds a position if the mover can be there and stand on a host.
    fn offer(&mut self, position: DVec3, rest: bool) {
        let is_same = |spot: &usize| self.found[*spot].position.distance_squared(position) < SAME_SPOT_M2;
        if let Some(known) = self.places.within(position, SAME_SPOT_M).filter(is_same).min() {
            self.found[known].rest |= rest;
            return;
        }
        let hosts = self.hosts_at(position);
        if !hosts.is_empty() {
            self.places.insert(self.found.len(), position);
            self.found.push(Spot { position, hosts, rest });
        }
    }

    fn hosts_at(&self, position: DVec3) -> Vec<Body> {
        let (problem, kind) = (self.problem, self.problem.kind(self.mover));
        let mut hosts = Vec::new();
        for id in problem.ground_ids() {
            let ground = problem.ground(id);
            if (ground.plane.above(position) - kind.ride_height_m).abs() <= ON_HOST_M
                && ground.inset(position) >= kind.foot_radius_m - CLEAR_M
            {
                hosts.push(Body::Ground(id));
            }
        }
        let mut near = Vec::new();
        self.others.find(position, &mut near);
        for id in near.into_iter().map(ModuleId::at).filter(|id| *id != self.mover) {
            let (place, host) = (self.bare.get(id), problem.kind(id));
            let apart = position - place.position;
            let distance = apart.length();
            if distance < host.shell_radius_m + kind.shell_radius_m - CLEAR_M {
                return Vec::new();
            }
            if (distance - kind.standing_distance(host)).abs() <= ON_HOST_M
                && apart.dot(place.up()) >= distance * cos(host.shell_reach_rad) - ON_HOST_M
            {
                hosts.push(Body::Module(id));
            }
        }
        let keep = kind.shell_radius_m - CLEAR_M;
        let meets = |(deck, bounds): (&Deck, &Bounds)| {
            bounds.distance(position) < keep && deck.solid.distance(position) < keep
        };
        let blocked = problem.decks.iter().zip(&self.bounds).any(meets)
            || problem.stone_ids().any(|stone| problem.distance_to_stone(stone, position) < keep);
        if blocked { Vec::new() } else { hosts }
    }
}

/// The parameter of the point of a circle nearest to a place; `None` if the place is near the axis.
fn angle_towards(curve: &Curve, place: DVec3) -> Option<f64> {
    let Curve::Circle { centre, u, v, .. } = curve else { return None };
    let to = place - *centre;
    let (x, y) = (to.dot(*u), to.dot(*v));
    (hypot(x, y) > ON_AXIS * u.length()).then(|| atan2(y, x))
}
