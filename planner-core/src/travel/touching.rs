//! Places at which the mover stands on one body and its shell touches a deck or another shell, or its foot reaches a deck's brink.

use super::Interest;
use super::carrier::carrier_of;
use super::obstacles::{face_obstacles, shells, touch_obstacles};
use super::site_face::memo_key;
use super::surface::interaction_m;
use crate::control::{Interrupt, Stopped};
use crate::geometry::surface::{Arc, Carrier, Curve, Obstacle, Plane, free_arcs, free_stretches};
use crate::geometry::{Outline, Prism};
use crate::math::{DVec2, DVec3, tolerance};
use crate::model::{Body, Configuration, GroundId, ModuleId, Problem};

/// Calls `offer` with the places. On shells: the ends and middles of the arcs along which a wall or a shell is touched, and the places straight
/// across an edge. On decks: the ends and middles of walls and brinks, and the points nearest to the mover, to beacons and to modules that stand
/// near, all where another body is within the mover's range. On terrain, where modules cross from ground to ground, none is nearer to another than the
/// foot's radius, and grounds that modules cross to are no such bodies.
///
/// Not all of them are tested for overlap.
///
/// # Errors
/// When interrupted; the interrupt is polled for every host.
pub(super) fn touching_places(
    problem: &Problem,
    bare: &Configuration,
    mover: ModuleId,
    interest: &Interest,
    interrupt: Interrupt<'_>,
    mut offer: impl FnMut(DVec3),
) -> Result<(), Stopped> {
    let compass_m = interaction_m(problem, mover);
    let all: Vec<ModuleId> = problem.module_ids().filter(|id| *id != mover).collect();
    let touching = Touching { problem, bare, mover, compass_m, others: &all };
    for &host in &all {
        interrupt.go_on()?;
        touching.on_shell(host, &mut offer);
    }
    for deck in problem.ground_ids() {
        interrupt.go_on()?;
        touching.on_deck(deck, interest, interrupt, &mut offer)?;
    }
    Ok(())
}

struct Touching<'a> {
    problem: &'a Problem,
    bare: &'a Configuration,
    mover: ModuleId,
    /// Two bodies farther apart than this do not interact, in metres.
    compass_m: f64,
    others: &'a [ModuleId],
}

impl Touching<'_> {
    fn on_shell(&self, host: ModuleId, offer: &mut impl FnMut(DVec3)) {
        let kind = self.problem.kind(self.mover);
        let centre = self.bare.get(host).position;
        let distance = kind.standing_distance(self.problem.kind(host));
        let keep = kind.shell_radius_m;
        for deck in &self.problem.decks {
            let (solid, ground) = (&deck.solid, deck.ground);
            if solid.distance(centre) >= distance + keep {
                continue;
            }
            for (a, b) in solid.edges() {
                let side = Side::new(solid, a, b);
                let wall = Plane { normal: side.out, offset: side.out.dot(a.extend(0.0)) + keep };
                if let Some(curve) = Curve::in_plane(centre, distance, &wall) {
                    self.along(&curve, [Body::Module(host), Body::Ground(ground)], side.beyond(), offer);
                }
                side.straight_across(centre, distance, keep).for_each(&mut *offer);
            }
            if kind.ride_height_m > keep + tolerance::LENGTH_M {
                let plane = solid.top;
                let top = Plane { normal: plane.normal, offset: plane.normal.dot(plane.origin) + keep };
                if let Some(curve) = Curve::in_plane(centre, distance, &top) {
                    let corners: Vec<DVec2> =
                        solid.outline.iter().map(|&at| plane.coordinates(plane.under(at))).collect();
                    let outline = std::sync::Arc::new(Outline::of_all(&[&corners]));
                    let outside = Obstacle::OutsideArea { plane, outline, radius: 0.0 };
                    self.along(&curve, [Body::Module(host), Body::Ground(ground)], vec![outside], offer);
                }
            }
        }
        for &other in self.others.iter().filter(|other| **other != host) {
            let beside = self.problem.kind(other);
            let touching = keep + beside.shell_radius_m;
            // If the foot is exactly at the shell, the mover can hop where it touches.
            if kind.standing_distance(beside) > touching + tolerance::LENGTH_M {
                let there = self.bare.get(other).position;
                if let Some(curve) = Curve::between_spheres(centre, distance, there, touching) {
                    self.along(&curve, [host, other].map(Body::Module), Vec::new(), offer);
                }
            }
        }
    }

    /// Ends and middles of the free parts of a curve along which the mover stands on the first body and touches the second.
    fn along(&self, curve: &Curve, met: [Body; 2], beyond: Vec<Obstacle>, offer: &mut impl FnMut(DVec3)) {
        let mut obstacles = beyond;
        obstacles.extend(touch_obstacles(self.problem, self.bare, self.mover, (curve, met), self.others));
        for (from, width) in free_stretches(curve, &obstacles) {
            for share in [0.0, 0.5, 1.0] {
                offer(curve.at(from + share * width));
            }
        }
    }

    fn on_deck(
        &self,
        deck: GroundId,
        interest: &Interest,
        interrupt: Interrupt<'_>,
        offer: &mut impl FnMut(DVec3),
    ) -> Result<(), Stopped> {
        let host = Body::Ground(deck);
        // Grounds that modules cross to from here are no reason to stand at the edge.
        let apart: Vec<GroundId> =
            self.problem.ground_ids().filter(|d| *d != deck && !self.problem.are_linked(*d, deck)).collect();
        let modules = self.others.iter().map(|&id| self.bare.get(id).position);
        let ground = self.problem.ground(deck);
        let is_far = |p: DVec3| ground.outline.is_far_from(ground.plane.coordinates(p), self.compass_m);
        let has_room = ground.may_hold(self.problem.kind(self.mover).foot_radius_m);
        if !has_room || (apart.is_empty() && modules.clone().all(is_far)) {
            return Ok(());
        }
        let carrier = carrier_of(self.problem, self.bare, self.mover, host);
        let Carrier::Plane(plane) = carrier else { return Ok(()) };
        // Where grounds meet on which modules cross, there are many short walls and edges.
        let is_terrain = apart.len() + 1 < self.problem.grounds.len();
        let apart_m = is_terrain.then_some(self.problem.kind(self.mover).foot_radius_m);
        let mut offered: Vec<DVec3> = Vec::new();
        let near = |p: DVec3, q: DVec3| p.distance_squared(q) <= self.compass_m * self.compass_m;
        let is_beside = |p: DVec3| {
            modules.clone().any(|q| near(p, q))
                || apart.iter().any(|d| {
                    // Even where a deck extends far down: a structure over its edge may be several modules tall.
                    self.problem.ground(*d).inset(p) >= -self.compass_m
                })
        };
        for arc in &self.brinks(deck, interrupt)? {
            let mut places = vec![arc.at(0.0), arc.at(1.0)];
            if let Curve::Line { .. } = arc.curve {
                places.push(arc.at(0.5));
                let wanted = interest.beacons.iter().copied();
                let wanted = wanted.chain([self.bare.get(self.mover).position]);
                places.extend(wanted.filter_map(|p| foot_on(arc, p)));
                let beside = modules.clone().filter_map(|p| foot_on(arc, p).filter(|&q| near(p, q)));
                places.extend(beside);
            }
            for place in places.into_iter().map(|p| plane.onto(p)).filter(|p| is_beside(*p)) {
                let is_near = |apart_m: f64| offered.iter().any(|known| known.distance(place) < apart_m);
                if !apart_m.is_some_and(is_near) {
                    offered.push(place);
                    offer(place);
                }
            }
        }
        Ok(())
    }
}

impl Touching<'_> {
    /// The free pieces of a ground's brinks and of the walls on it. On terrain there are many, and those that the site leaves are kept.
    fn brinks(&self, deck: GroundId, interrupt: Interrupt<'_>) -> Result<Vec<Arc>, Stopped> {
        let (problem, host) = (self.problem, Body::Ground(deck));
        let bounding = |others: &[ModuleId]| {
            let (carrier, obstacles) = face_obstacles(problem, self.bare, self.mover, host, others);
            let mut arcs = free_arcs(&carrier, &obstacles, interrupt)?.unwrap_or_default();
            // Those of balls are hop arcs.
            arcs.retain(|arc| !matches!(obstacles[arc.obstacle], Obstacle::Ball { .. }));
            Ok(arcs)
        };
        if problem.is_plain() {
            return bounding(self.others);
        }
        let key = memo_key(problem, problem.kind(self.mover));
        let of_site = problem.ground(deck).memo.try_get(&key, || bounding(&[]))?;
        let shells = shells(problem, self.bare, self.mover, self.others, &[]);
        Ok(of_site.iter().flat_map(|arc| arc.left_by(&shells)).collect())
    }
}

/// The foot of the perpendicular from a place to a straight piece, if it is on the piece.
fn foot_on(arc: &Arc, place: DVec3) -> Option<DVec3> {
    let Curve::Line { from, direction, .. } = &arc.curve else { return None };
    let along = (place - *from).dot(*direction);
    (along >= arc.from && along <= arc.from + arc.width).then(|| arc.curve.at(along))
}

/// One side wall of a deck.
struct Side<'a> {
    solid: &'a Prism,
    from: DVec2,
    along: DVec3,
    out: DVec3,
    length: f64,
}

impl<'a> Side<'a> {
    fn new(solid: &'a Prism, from: DVec2, to: DVec2) -> Self {
        let length = from.distance(to);
        let along = ((to - from) / length).extend(0.0);
        Self { solid, from, along, out: along.cross(DVec3::Z), length }
    }

    /// The half-spaces from which the nearest point of the solid is not on this wall.
    fn beyond(&self) -> Vec<Obstacle> {
        let half_space =
            |normal: DVec3, at: DVec3| Obstacle::Inside(vec![Plane { normal, offset: normal.dot(at) }]);
        let end = self.from.extend(0.0) + self.along * self.length;
        let mut beyond = vec![
            half_space(self.along, self.from.extend(0.0)),
            half_space(-self.along, end),
            half_space(-self.solid.top.normal, self.solid.top.origin),
        ];
        if self.solid.bottom.is_finite() {
            beyond.push(half_space(DVec3::Z, DVec3::Z * self.solid.bottom));
        }
        beyond
    }

    /// Places on a sphere, in the vertical plane through its centre square to the wall, at a given distance from an edge.
    fn straight_across(&self, centre: DVec3, radius: f64, keep: f64) -> impl Iterator<Item = DVec3> {
        let arm = centre - self.from.extend(0.0);
        let beside = (0.0..=self.length).contains(&arm.dot(self.along));
        // Only level edges: those of a slope are left out.
        let top = Some(self.solid.height_m()).filter(|_| self.solid.top.is_level());
        let edges = [top, Some(self.solid.bottom).filter(|z| z.is_finite())];
        let (out, away) = (self.out, arm.dot(self.out));
        edges.into_iter().flatten().filter(move |_| beside).flat_map(move |z| {
            // Two circles: of this radius around the centre, of that to keep around the edge.
            let to = DVec2::new(-away, z - centre.z);
            let length = to.length();
            let share = (length * length + radius * radius - keep * keep) / (2.0 * length);
            let half = (radius * radius - share * share).sqrt();
            [half, -half].into_iter().filter(|half| half.is_finite()).map(move |half| {
                let flat = to / length * share + to.perp() / length * half;
                centre + out * flat.x + DVec3::Z * flat.y
            })
        })
    }
}
