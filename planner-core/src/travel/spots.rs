//! Places worth standing or passing at.

use super::face::CLEAR_M;
use crate::geometry::surface::{Curve, Obstacle, Plane, free_stretches};
use crate::math::DVec3;
use crate::model::{Body, Configuration, ModuleId, Problem};
use std::f64::consts::TAU;

/// A place where the mover's centre can be, with every host it could stand on there.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// The shell's centre.
    pub position: DVec3,
    /// Hosts at the right distance and within reach, decks first.
    pub hosts: Vec<Body>,
    /// Whether a trip may end here; else the spot only helps to get past something.
    pub rest: bool,
}

/// Places that somebody asks for, besides those that the geometry offers.
#[derive(Clone, Debug, Default)]
pub struct Interest {
    /// Exact places a trip may end at.
    pub places: Vec<DVec3>,
    /// Points whose directions are worth facing: circles round shells get rests nearest to and farthest from them.
    pub beacons: Vec<DVec3>,
}

/// Distances to hosts agree within this.
const ON_HOST_M: f64 = 1e-9;
/// All spots of a mover while the others stand as in `bare`; the mover is no obstacle to itself.
///
/// Complexity: cubic in the modules that are near each other.
#[must_use]
pub fn spots(problem: &Problem, bare: &Configuration, mover: ModuleId, interest: &Interest) -> Vec<Spot> {
    let mut scan = Scan { problem, bare, mover, found: Vec::new() };
    for &place in &interest.places {
        scan.offer(place, true);
    }
    let balls: Vec<Ball> = scan.balls();
    let planes: Vec<f64> = scan.planes();
    for (index, ball) in balls.iter().enumerate() {
        scan.offer(ball.centre + ball.up * ball.distance, true);
        for &height in &planes {
            let circle = ball.circle_at(height);
            scan.faced(&circle, ball, interest);
            scan.portal(&circle, &balls, interest);
        }
        for other in &balls[index + 1..] {
            scan.portal(&ball.circle_with(other), &balls, interest);
        }
    }
    scan.found
}

/// A shell as the mover sees it: its centre stays on or outside a sphere.
struct Ball {
    id: ModuleId,
    centre: DVec3,
    up: DVec3,
    /// Centre distance when the mover stands on it.
    distance: f64,
    /// Least centre distance.
    nearest: f64,
}

/// A circle of possible centres; empty circles have no radius.
struct Circle {
    centre: DVec3,
    axis: DVec3,
    radius: f64,
}

impl Ball {
    /// Where the mover's centre is at this height and it stands on the ball.
    fn circle_at(&self, height: f64) -> Circle {
        let rise = height - self.centre.z;
        let squared = self.distance * self.distance - rise * rise;
        let centre = DVec3::new(self.centre.x, self.centre.y, height);
        Circle { centre, axis: DVec3::Z, radius: squared.max(0.0).sqrt() }
    }

    /// Where the mover's centre is when it could stand on both.
    fn circle_with(&self, other: &Self) -> Circle {
        let apart = other.centre - self.centre;
        let length = apart.length();
        let along = (length * length + self.distance * self.distance - other.distance * other.distance)
            / (2.0 * length);
        let squared = self.distance * self.distance - along * along;
        let axis = apart / length;
        Circle { centre: self.centre + axis * along, axis, radius: squared.max(0.0).sqrt() }
    }
}

impl Circle {
    fn at(&self, angle: f64) -> DVec3 {
        let (u, v) = self.frame();
        let (sin, cos) = angle.sin_cos();
        self.centre + (u * cos + v * sin) * self.radius
    }

    fn frame(&self) -> (DVec3, DVec3) {
        let u = if self.axis == DVec3::Z { DVec3::X } else { self.axis.any_orthonormal_vector() };
        (u, self.axis.cross(u))
    }

    fn curve(&self) -> Curve {
        let (u, v) = self.frame();
        Curve::Circle { centre: self.centre, axis: self.axis, u: u * self.radius, v: v * self.radius }
    }

    /// Whether a ball is one of those that the circle keeps its distance to.
    fn is_on(&self, ball: &Ball) -> bool {
        let squared = self.at(0.0).distance_squared(ball.centre);
        let other = self.at(2.0).distance_squared(ball.centre);
        (squared - ball.distance * ball.distance).abs() < 1e-12 && (other - squared).abs() < 1e-12
    }

    /// The angle of the point nearest to `beacon`, if it has a side at all.
    fn towards(&self, beacon: DVec3) -> Option<f64> {
        let (u, v) = self.frame();
        let to = beacon - self.centre;
        let (x, y) = (to.dot(u), to.dot(v));
        (x.hypot(y) > 1e-6).then(|| y.atan2(x))
    }
}

struct Scan<'a> {
    problem: &'a Problem,
    bare: &'a Configuration,
    mover: ModuleId,
    found: Vec<Spot>,
}

impl Scan<'_> {
    fn balls(&self) -> Vec<Ball> {
        let kind = self.problem.kind(self.mover);
        self.bare
            .iter()
            .filter(|(id, _)| *id != self.mover)
            .map(|(id, place)| {
                let host = self.problem.kind(id);
                Ball {
                    id,
                    centre: place.position,
                    up: place.up(),
                    distance: kind.standing_distance(host),
                    nearest: host.shell_radius_m + kind.shell_radius_m,
                }
            })
            .collect()
    }

    /// Heights of the mover's centre on the decks.
    fn planes(&self) -> Vec<f64> {
        let ride = self.problem.kind(self.mover).ride_height_m;
        let mut planes: Vec<f64> = self.problem.decks.iter().map(|d| d.solid.top + ride).collect();
        planes.sort_by(f64::total_cmp);
        planes.dedup();
        planes
    }

    /// Takes a position if the mover can be there and stand on something.
    fn offer(&mut self, position: DVec3, rest: bool) {
        if !position.is_finite() {
            return;
        }
        if let Some(known) = self.found.iter_mut().find(|s| s.position.distance_squared(position) < 1e-14) {
            known.rest |= rest;
            return;
        }
        let hosts = self.hosts_at(position);
        if !hosts.is_empty() {
            self.found.push(Spot { position, hosts, rest });
        }
    }

    fn hosts_at(&self, position: DVec3) -> Vec<Body> {
        let (problem, kind) = (self.problem, self.problem.kind(self.mover));
        let mut hosts = Vec::new();
        for id in problem.deck_ids() {
            let solid = &problem.decks[id.index()].solid;
            if (position.z - solid.top - kind.ride_height_m).abs() <= ON_HOST_M
                && solid.inset(position.truncate()) >= kind.foot_radius_m - CLEAR_M
            {
                hosts.push(Body::Deck(id));
            }
        }
        for (id, place) in self.bare.iter().filter(|(id, _)| *id != self.mover) {
            let host = problem.kind(id);
            let apart = position - place.position;
            let distance = apart.length();
            if distance < host.shell_radius_m + kind.shell_radius_m - CLEAR_M {
                return Vec::new();
            }
            if (distance - kind.standing_distance(host)).abs() <= ON_HOST_M
                && apart.dot(place.up()) >= distance * host.shell_reach_rad.cos() - 1e-9
            {
                hosts.push(Body::Module(id));
            }
        }
        let blocked =
            problem.decks.iter().any(|d| d.solid.distance(position) < kind.shell_radius_m - CLEAR_M);
        if blocked { Vec::new() } else { hosts }
    }

    /// The arcs of a circle on which the mover can go from one of two hosts to the other: their ends, which touch a third body or a limit of
    /// reach, are rests; their middles and the points that face somewhere are good for passing.
    fn portal(&mut self, circle: &Circle, balls: &[Ball], interest: &Interest) {
        if circle.radius <= 0.0 {
            return;
        }
        let obstacles: Vec<Obstacle> = balls
            .iter()
            .filter(|ball| !circle.is_on(ball))
            .map(|ball| Obstacle::Ball { centre: ball.centre, radius: ball.nearest })
            .chain(self.solids())
            .collect();
        let towards: Vec<f64> = interest
            .beacons
            .iter()
            .copied()
            .chain([self.bare.get(self.mover).position])
            .filter_map(|beacon| circle.towards(beacon))
            .collect();
        for (from, width) in free_stretches(&circle.curve(), &obstacles) {
            let ring = width >= TAU * (1.0 - 1e-12);
            if !ring {
                self.offer(circle.at(from), true);
                self.offer(circle.at(from + width), true);
            }
            self.offer(circle.at(from + 0.5 * width), false);
            for angle in &towards {
                if (angle - from).rem_euclid(TAU) <= width {
                    self.offer(circle.at(*angle), false);
                }
            }
        }
    }

    /// The decks' solids, grown by the shell's radius where their tops are met.
    fn solids(&self) -> Vec<Obstacle> {
        let radius = self.problem.kind(self.mover).shell_radius_m;
        let grown = |normal: DVec3, offset: f64| Plane { normal, offset: offset + radius };
        self.problem
            .decks
            .iter()
            .map(|deck| {
                let mut planes = vec![grown(DVec3::Z, deck.solid.top)];
                if deck.solid.bottom.is_finite() {
                    planes.push(grown(DVec3::NEG_Z, -deck.solid.bottom));
                }
                for (a, b) in deck.solid.edges() {
                    let along = (b - a).normalize();
                    let out = DVec3::new(along.y, -along.x, 0.0);
                    planes.push(grown(out, out.truncate().dot(a)));
                }
                Obstacle::Inside(planes)
            })
            .collect()
    }

    /// Rests on a circle round a ball: facing the beacons or turned away from them, nearest to where the mover is now, and across from
    /// whoever stands on the ball, as a counterweight would.
    fn faced(&mut self, circle: &Circle, ball: &Ball, interest: &Interest) {
        if circle.radius <= 0.0 {
            return;
        }
        let half = 0.5 * TAU;
        let mut angles: Vec<f64> = Vec::new();
        for beacon in &interest.beacons {
            angles.extend(circle.towards(*beacon).into_iter().flat_map(|angle| [angle, angle + half]));
        }
        angles.extend(circle.towards(self.bare.get(self.mover).position));
        for guest in self.bare.standing_on(Body::Module(ball.id)).filter(|g| *g != self.mover) {
            angles.extend(circle.towards(self.bare.get(guest).position).map(|angle| angle + half));
        }
        for angle in angles {
            self.offer(circle.at(angle), true);
        }
    }
}
