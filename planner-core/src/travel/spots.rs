//! Places worth standing or passing at.

use crate::math::{DVec2, DVec3, Wave};
use crate::model::{Body, Configuration, ModuleId, Problem};
use std::f64::consts::{FRAC_PI_2, TAU};

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

/// Points on every ring; neighbours are 30° apart.
const RING: usize = 12;
/// Directions spread over each shell to get past odd obstacles.
const SPREAD: usize = 24;
/// Distances to hosts agree within this.
const ON_HOST_M: f64 = 1e-9;
/// Shells may be this deep in each other: half the model's tolerance.
pub(super) const CLEAR_M: f64 = 5e-7;

/// All spots of a mover while the others stand as in `bare`; the mover is no obstacle to itself.
///
/// Complexity: cubic in the modules for pockets, each tested against all bodies.
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
            scan.ring(&circle);
        }
        for other in &balls[index + 1..] {
            let circle = ball.circle_with(other);
            scan.pockets(&circle, &balls, &planes);
            scan.ring(&circle);
        }
        for &height in &planes {
            scan.pockets(&ball.circle_at(height), &balls, &[]);
        }
        scan.bypasses(ball, &balls, &planes);
    }
    scan.deck_bypasses(&balls);
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

    /// Points around a circle.
    fn ring(&mut self, circle: &Circle) {
        if circle.radius > 0.0 {
            for k in 0..RING {
                self.offer(circle.at(TAU * k as f64 / RING as f64), false);
            }
        }
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

    /// Points of a circle that also are at the right distance from a third body.
    fn pockets(&mut self, circle: &Circle, balls: &[Ball], planes: &[f64]) {
        if circle.radius <= 0.0 {
            return;
        }
        let (u, v) = circle.frame();
        let mut angles: Vec<f64> = Vec::new();
        for ball in balls {
            let offset = circle.centre - ball.centre;
            let mean = offset.length_squared() + circle.radius.powi(2) - ball.distance.powi(2);
            if mean.abs() < 1e-12 && offset.cross(circle.axis).length() < 1e-9 {
                continue; // one of the circle's own balls
            }
            let factor = 2.0 * circle.radius;
            angles.extend(Wave::new(mean, factor * offset.dot(u), factor * offset.dot(v)).roots(TAU));
        }
        for height in planes {
            let wave = Wave::new(circle.centre.z - height, circle.radius * u.z, circle.radius * v.z);
            angles.extend(wave.roots(TAU));
        }
        for angle in angles {
            self.offer(circle.at(angle), true);
        }
    }

    /// On one shell: a ring just outside every cap that another body forbids, and directions all over it.
    fn bypasses(&mut self, ball: &Ball, balls: &[Ball], planes: &[f64]) {
        let mut caps: Vec<(DVec3, f64)> = Vec::new();
        for other in balls.iter().filter(|o| o.id != ball.id) {
            let apart = other.centre - ball.centre;
            let length = apart.length();
            let cos = (length * length + ball.distance.powi(2) - other.nearest.powi(2))
                / (2.0 * length * ball.distance);
            if cos.abs() < 1.0 {
                caps.push((apart / length, cos.acos()));
            }
        }
        for height in planes {
            let cos = (ball.centre.z - height) / ball.distance;
            if cos.abs() < 1.0 {
                caps.push((DVec3::NEG_Z, cos.acos()));
            }
        }
        for (axis, angle) in caps {
            // A great circle between neighbours on the ring just clears the cap: tan ρ = tan α / cos(half a step).
            let half_step = 0.5 * TAU / RING as f64;
            let wide = if angle < FRAC_PI_2 { (angle.tan() / half_step.cos()).atan() } else { angle };
            let (sin, cos) = (wide + 0.002).sin_cos();
            let circle = Circle {
                centre: ball.centre + axis * (cos * ball.distance),
                axis,
                radius: sin * ball.distance,
            };
            for k in 0..RING {
                self.offer(circle.at(TAU * (k as f64 + 0.5) / RING as f64), false);
            }
        }
        for k in 0..SPREAD {
            // Fibonacci directions.
            let z = 1.0 - (2.0 * k as f64 + 1.0) / SPREAD as f64;
            let (sin, cos) = (k as f64 * 2.399_963_229_728_653).sin_cos();
            let across = (1.0 - z * z).sqrt();
            self.offer(ball.centre + DVec3::new(across * cos, across * sin, z) * ball.distance, false);
        }
    }

    /// On decks: rings around the shells that stand in the way, and points off the corners of higher decks.
    fn deck_bypasses(&mut self, balls: &[Ball]) {
        let kind = self.problem.kind(self.mover);
        let half_step = 0.5 * TAU / RING as f64;
        for deck in &self.problem.decks {
            let height = deck.solid.top + kind.ride_height_m;
            for ball in balls {
                let squared = ball.nearest.powi(2) - (height - ball.centre.z).powi(2);
                if squared <= 0.0 {
                    continue;
                }
                let radius = squared.sqrt() / half_step.cos() + 1e-4;
                let circle = Circle {
                    centre: DVec3::new(ball.centre.x, ball.centre.y, height),
                    axis: DVec3::Z,
                    radius,
                };
                for k in 0..RING {
                    self.offer(circle.at(TAU * (k as f64 + 0.5) / RING as f64), false);
                }
            }
            for wall in &self.problem.decks {
                if wall.solid.top > deck.solid.top {
                    let corners: Vec<DVec2> = wall.solid.outline.clone();
                    for corner in corners {
                        for k in 0..8 {
                            let (sin, cos) = (TAU * (f64::from(k) + 0.5) / 8.0).sin_cos();
                            let off = DVec2::new(cos, sin) * (kind.shell_radius_m * 1.1);
                            self.offer((corner + off).extend(height), false);
                        }
                    }
                }
            }
        }
    }
}
