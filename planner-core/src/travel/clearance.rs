//! Whether one drive on a face is free: clear of shells and decks, and within the reach or the outline of the host.
//!
//! On a shell nearly every obstacle is a spherical cap, and so is the region beyond the reach. A drive is free when the largest cosine between it and
//! each pole stays small, which needs no angle. Obstacles that are no caps (walls and edges) are checked with exact distances.

mod near_solids;
mod wide;

use self::wide::Wide;
use super::Waypoint;
use super::rig::{self, Part};
use super::waypoint::are_opposite;
use crate::geometry::surface::{Carrier, Curve, Obstacle, Plane, free_stretches};
use crate::geometry::{Bounds, Outline, Path, Prism, Slope, keeps_off_prism_by, stays_inside};
use crate::math::{DVec2, DVec3, acos, cos};
use crate::model::{Body, Configuration, Deck, Ground, ModuleId, Problem};
use std::f64::consts::PI;

/// Shells may overlap by this, in metres: half the model's tolerance.
pub(super) const CLEAR_M: f64 = 5e-7;

/// How far beyond the reach of a shell a place may be, as a length on it in metres: rests are put exactly at the reach.
const AT_REACH_M: f64 = 1e-9;
/// Unit directions whose squared distance is below this are equal.
const SAME_DIRECTION_SQUARED: f64 = 1e-18;

/// A cap of a shell in which the mover's centre may not be: where the cosine of the angle to the pole is larger than this.
#[derive(Clone, Copy, Debug)]
struct Cap {
    pole: DVec3,
    cos: f64,
}

/// A ball in which the mover's centre may not be, where the host is a deck.
#[derive(Clone, Copy, Debug)]
struct Ball {
    /// The module that it is about, where it is one.
    module: Option<ModuleId>,
    centre: DVec3,
    keep: f64,
    /// Square of the radius of the disc that it forbids.
    disc: f64,
}

/// A solid that is no cap, and what keeps off it.
#[derive(Clone, Debug)]
struct Solid<'a> {
    prism: &'a Prism,
    bounds: Bounds,
    keep: Keep<'a>,
}

impl<'a> Solid<'a> {
    fn new(prism: &'a Prism, keep: Keep<'a>) -> Self {
        Self { prism, bounds: prism.bounds(), keep }
    }

    /// Whether a path of the mover's centre is clear of it; `normal` is that of the plane it goes along.
    fn is_clear_of(&self, path: &Path, normal: DVec3) -> bool {
        let Keep { lift, distance, rough } = self.keep;
        let path = path.shifted(normal * lift);
        let beyond = |part: &Path| rough.map_or(0.0, |ground| ground.beyond_m(part));
        self.bounds.is_far_from(&path, distance + beyond(&path))
            || keeps_off_prism_by(&path, self.prism, &|part| distance + beyond(part))
    }
}

/// A ball above the mover's centre along the plane's normal, and the distance to keep from a solid, in metres.
#[derive(Clone, Copy, Debug)]
struct Keep<'a> {
    lift: f64,
    distance: f64,
    /// The ground, where it is rough and counts as such.
    rough: Option<&'a Ground>,
}

impl Ball {
    /// Whether a straight path along the plane stays outside it.
    fn is_clear_of(&self, plane: &Slope, a: DVec2, b: DVec2) -> bool {
        let (way, to) = (b - a, plane.coordinates(self.centre) - a);
        let length = way.length_squared();
        let share = if length > 0.0 { (to.dot(way) / length).clamp(0.0, 1.0) } else { 0.0 };
        (to - way * share).length_squared() >= self.disc
    }

    /// The same for any path.
    fn is_clear_of_path(&self, path: &Path) -> bool {
        path.at(0.5 * path.span()).distance(self.centre) - path.reach_from_middle() >= self.keep
            || path.least_distance_to_point(self.centre).0 >= self.keep
    }
}

/// All that a drive on one face has to keep clear of.
#[derive(Clone, Debug)]
pub(super) struct Clearance<'a> {
    carrier: Carrier,
    caps: Vec<Cap>,
    balls: Vec<Ball>,
    solids: Vec<Solid<'a>>,
    keep: f64,
    /// For a ground its outline, and the inset to keep.
    outline: Option<(&'a Outline, f64)>,
    /// For a convex ground the half-planes within which a straight path may begin and end.
    sides: Vec<(DVec2, f64)>,
    /// The same with the clearance asked for, if any, and what may come nearer.
    wide: Option<Box<Wide<'a>>>,
}

impl<'a> Clearance<'a> {
    pub(super) fn new(
        problem: &'a Problem,
        others: &'a Configuration,
        mover: ModuleId,
        rig: &[ModuleId],
        host: Body,
        carrier: Carrier,
    ) -> Self {
        let tight = Self::with_margin(problem, others, mover, rig, host, carrier, None);
        if !problem.asks_for_clearance() {
            return tight;
        }
        let margin = Some(problem.limits.clearance_m);
        let clearance = Self::with_margin(problem, others, mover, rig, host, carrier, margin);
        let wide = Wide::new(clearance, problem, others, mover, host, rig.len() > 1);
        Self { wide: Some(Box::new(wide)), ..tight }
    }

    /// What a drive has to keep clear of: by a margin in metres and more from rough ground, or without either.
    fn with_margin(
        problem: &'a Problem,
        others: &Configuration,
        mover: ModuleId,
        rig: &[ModuleId],
        host: Body,
        carrier: Carrier,
        margin: Option<f64>,
    ) -> Self {
        let rough = |deck: &'a Deck| {
            let ground = problem.ground(deck.ground);
            (margin.is_some() && ground.surfacing.is_rough()).then_some(ground)
        };
        let margin = margin.unwrap_or(0.0);
        let kind = problem.kind(mover);
        let keep = kind.shell_radius_m - CLEAR_M + margin;
        let (caps, balls, solids, sides) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        let mut found = Self { carrier, caps, balls, solids, keep, outline: None, sides, wide: None };
        if let Body::Ground(ground) = host {
            found.outline = Some((&problem.ground(ground).outline, kind.foot_radius_m - CLEAR_M));
        }
        for (id, other) in others.iter().filter(|(id, _)| !rig.contains(id) && Body::Module(*id) != host) {
            found.add_ball(Some(id), other.position, keep + problem.kind(id).shell_radius_m);
        }
        for stone in &problem.stones {
            found.add_ball(None, stone.centre, keep + stone.radius_m);
        }
        found.add_solids(problem, mover, host, rough);
        for part in rig::parts(problem, others, mover, rig, &carrier) {
            for (id, other) in others.iter().filter(|(id, _)| !rig.contains(id)) {
                let keep = part.radius + problem.kind(id).shell_radius_m - CLEAR_M + margin;
                found.add_ball_for(&part, other.position, keep);
            }
            for stone in &problem.stones {
                found.add_ball_for(&part, stone.centre, part.radius + stone.radius_m - CLEAR_M + margin);
            }
            // On a plane a part keeps its height over the own ground.
            for deck in problem.decks_off(host.ground()) {
                found.add_solid_for(&part, &deck.solid, margin, rough(deck));
            }
        }
        match (host, carrier) {
            (Body::Module(host), Carrier::Sphere { radius, .. }) => {
                let limit = problem.kind(host).shell_reach_rad;
                found.caps.push(Cap { pole: -others.get(host).up(), cos: AT_REACH_M / radius - cos(limit) });
            }
            (Body::Ground(ground), _) => {
                let outline = &*problem.ground(ground).outline;
                let inset = kind.foot_radius_m - CLEAR_M;
                if outline.is_convex() {
                    found.sides.extend(outline.edges().map(|(a, b)| {
                        let inwards = (b - a).perp().normalize();
                        (inwards, inwards.dot(a) + inset)
                    }));
                }
            }
            (Body::Module(_), Carrier::Plane(_)) | (Body::Stone(_), _) => {}
        }
        found
    }

    fn add_ball(&mut self, module: Option<ModuleId>, ball: DVec3, keep: f64) {
        match self.carrier {
            Carrier::Sphere { centre, radius } => {
                let apart = ball - centre;
                let length = apart.length();
                if length < radius + keep {
                    let cos = (length * length + radius * radius - keep * keep) / (2.0 * length * radius);
                    self.caps.push(Cap { pole: apart / length, cos });
                }
            }
            Carrier::Plane(plane) => {
                let disc = keep * keep - plane.above(ball).powi(2);
                if disc > 0.0 {
                    self.balls.push(Ball { module, centre: ball, keep, disc });
                }
            }
        }
    }

    /// Whether the centre of a foot on the own ground comes near to a solid, by the boxes around them.
    fn comes_near(&self, solid: &Prism, keep: f64, rough: Option<&Ground>) -> bool {
        let (Some((outline, _)), Carrier::Plane(plane)) = (self.outline, &self.carrier) else { return true };
        let places = || outline.corners().map(|at| plane.point(at));
        let highest = |ground: &Ground| places().map(|p| ground.plane.above(p)).fold(0.0, f64::max);
        let reach = keep + rough.map_or(0.0, |ground| ground.surfacing.beyond_m(highest(ground)));
        Bounds::of(places()).distance_to(&solid.bounds()) <= reach
    }

    fn add_solid(&mut self, solid: &'a Prism, rough: Option<&'a Ground>) {
        let keep = Keep { lift: 0.0, distance: self.keep, rough };
        match self.carrier {
            Carrier::Sphere { centre, radius } => {
                let most = keep_above(self.keep, rough);
                if solid.distance(centre) >= radius + most {
                    return;
                }
                if covers(solid, centre, radius, most) {
                    // Never beyond the outline, so only the top counts.
                    let cos = (solid.top.above(centre) - most) / radius;
                    self.caps.push(Cap { pole: -solid.top.normal, cos });
                } else {
                    self.solids.push(Solid::new(solid, keep));
                }
            }
            Carrier::Plane(plane) => {
                if is_beside(&plane, solid, self.keep, rough) && self.comes_near(solid, self.keep, rough) {
                    self.solids.push(Solid::new(solid, keep));
                }
            }
        }
    }

    /// The places of the mover at which a part of its rig could meet a ball, for some heading.
    fn add_ball_for(&mut self, part: &Part, ball: DVec3, keep: f64) {
        match self.carrier {
            Carrier::Sphere { centre, .. } => {
                let (apart, reach) = (ball - centre, part.distance);
                let length = apart.length();
                if length < reach + keep && length > 0.0 {
                    let cos = (length * length + reach * reach - keep * keep) / (2.0 * length * reach);
                    let angle = acos(cos.clamp(-1.0, 1.0)) + part.angle;
                    let cos = if angle < PI { crate::math::cos(angle) } else { -1.0 };
                    self.caps.push(Cap { pole: apart / length, cos });
                }
            }
            Carrier::Plane(plane) => {
                let squared = keep * keep - (part.lift - plane.above(ball)).powi(2);
                if squared > 0.0 {
                    let keep = squared.sqrt() + part.aside;
                    self.balls.push(Ball { module: None, centre: plane.onto(ball), keep, disc: keep * keep });
                }
            }
        }
    }

    /// The same for a solid; on a shell only where the solid's top is level ground below.
    fn add_solid_for(&mut self, part: &Part, solid: &'a Prism, margin: f64, rough: Option<&'a Ground>) {
        let own = part.radius - CLEAR_M + margin;
        let keep = keep_above(own, rough);
        match self.carrier {
            Carrier::Sphere { centre, .. } => {
                let cos = (solid.top.above(centre) - keep) / part.distance;
                if covers(solid, centre, part.distance, keep) {
                    let angle = acos(cos.clamp(-1.0, 1.0)) + part.angle;
                    let cos = if angle < PI { crate::math::cos(angle) } else { -1.0 };
                    self.caps.push(Cap { pole: -solid.top.normal, cos });
                }
            }
            Carrier::Plane(plane) => {
                if is_beside(&plane.raised(part.lift), solid, own, rough) {
                    let keep = Keep { lift: part.lift, distance: own + part.aside, rough };
                    self.solids.push(Solid::new(solid, keep));
                }
            }
        }
    }

    /// Whether one drive, straight or circular, is free all along.
    pub(super) fn is_clear(&self, from: DVec3, to: &Waypoint) -> bool {
        match &self.wide {
            None => self.is_free(from, to),
            // What keeps the clearance is free.
            Some(wide) => {
                wide.clearance.is_free(from, to)
                    || (!wide.carries && self.is_free(from, to) && wide.is_left_out(from, to))
            }
        }
    }

    /// The modules that a drive on a plane meets.
    pub(super) fn met_by(&self, from: DVec3, to: &Waypoint) -> Vec<ModuleId> {
        let Carrier::Plane(plane) = self.carrier else { return Vec::new() };
        let (a, b) = (plane.coordinates(from), plane.coordinates(to.position));
        let path = to.round.and_then(|_| to.sweep_from(from, None)).map(|sweep| sweep.path_of(from));
        let meets = |ball: &&Ball| match &path {
            None => !ball.is_clear_of(&plane, a, b),
            Some(path) => !ball.is_clear_of_path(path),
        };
        if self.is_clear(from, to) {
            return Vec::new();
        }
        self.widest().balls.iter().filter(meets).filter_map(|ball| ball.module).collect()
    }

    /// The same with some of the modules only; for a plane.
    pub(super) fn among(&self, is_in: &impl Fn(ModuleId) -> bool) -> Self {
        let mut some = self.clone();
        let mut all = Some(&mut some);
        while let Some(clearance) = all {
            clearance.balls.retain(|ball| ball.module.is_none_or(is_in));
            all = clearance.wide.as_mut().map(|wide| &mut wide.clearance);
        }
        some
    }

    /// What rims of obstacles have to keep clear of.
    fn widest(&self) -> &Self {
        self.wide.as_ref().map_or(self, |wide| &wide.clearance)
    }

    fn is_free(&self, from: DVec3, to: &Waypoint) -> bool {
        match self.carrier {
            Carrier::Sphere { centre, radius } => {
                let (first, last) = ((from - centre) / radius, (to.position - centre) / radius);
                let across = first.cross(last);
                let Some(axis) = to.round.map(|round| round.axis).or_else(|| across.try_normalize()) else {
                    return false;
                };
                if to.round.is_none() && are_opposite(first, last) {
                    return false;
                }
                let is_wide = axis.dot(across) < 0.0 && first.distance_squared(last) > SAME_DIRECTION_SQUARED;
                let (level, turned) = (axis.dot(first), axis.cross(first));
                let arc = CapArc { first, last, turned, axis, level, is_wide };
                !self.caps.iter().any(|cap| arc.enters(cap))
                    && (self.solids.is_empty()
                        || to
                            .sweep_from(from, Some(centre))
                            .is_some_and(|sweep| self.clears_solids(&sweep.path_of(from))))
            }
            Carrier::Plane(plane) if to.round.is_none() => {
                let (a, b) = (plane.coordinates(from), plane.coordinates(to.position));
                self.balls.iter().all(|ball| ball.is_clear_of(&plane, a, b))
                    && self.clears_solids(&Path::Line { from, step: to.position - from })
            }
            Carrier::Plane(_) => to.sweep_from(from, None).is_some_and(|sweep| {
                let path = sweep.path_of(from);
                self.clears_balls(&path) && self.clears_solids(&path)
            }),
        }
    }

    fn clears_balls(&self, path: &Path) -> bool {
        self.balls.iter().all(|ball| ball.is_clear_of_path(path))
    }

    /// Whether a path keeps all clearance from decks, and on a deck the foot within the outline: whether it is free where there are no shells.
    pub(super) fn site_allows(&self, path: &Path) -> bool {
        self.clears_solids(path) && self.wide.as_ref().is_none_or(|wide| wide.clearance.clears_solids(path))
    }

    /// Whether a straight path along a plane keeps all clearance from shells.
    pub(super) fn crew_allows(&self, from: DVec3, to: DVec3) -> bool {
        let Carrier::Plane(plane) = &self.carrier else { return false };
        let [a, b] = [from, to].map(|place| plane.coordinates(place));
        self.widest().balls.iter().all(|ball| ball.is_clear_of(plane, a, b))
    }

    /// Whether a path is clear of decks, and on a deck keeps the foot within the outline.
    pub(super) fn clears_solids(&self, path: &Path) -> bool {
        let normal = match &self.carrier {
            Carrier::Plane(plane) => plane.normal,
            Carrier::Sphere { .. } => DVec3::ZERO,
        };
        let seen = match &self.carrier {
            Carrier::Plane(plane) => path.in_frame(plane),
            Carrier::Sphere { .. } => *path,
        };
        self.outline.is_none_or(|(outline, foot)| match &seen {
            Path::Line { from, step } if !self.sides.is_empty() => {
                let ends = [*from, *from + *step].map(DVec3::truncate);
                self.sides.iter().all(|(inwards, least)| ends.iter().all(|p| inwards.dot(*p) >= *least))
            }
            _ => stays_inside(&seen, outline, foot),
        }) && self.solids.iter().all(|solid| solid.is_clear_of(path, normal))
    }

    /// Intervals of a circle of the carrier that are free of shells and within reach, as start and width of its parameter.
    pub(super) fn free_stretches(&self, circle: &Curve) -> Vec<(f64, f64)> {
        let this = self.widest();
        let mut obstacles: Vec<Obstacle> =
            this.balls.iter().map(|b| Obstacle::Ball { centre: b.centre, radius: b.keep }).collect();
        if let Carrier::Sphere { centre, radius } = self.carrier {
            obstacles.extend(this.caps.iter().map(|cap| {
                // Beyond the cap's rim: the direction against its pole is outside.
                let offset = -cap.pole.dot(centre) - radius * cap.cos;
                Obstacle::Inside(vec![Plane { normal: -cap.pole, offset }])
            }));
        }
        free_stretches(circle, &obstacles)
    }

    /// Whether all of a circle is clear of decks.
    pub(super) fn circle_clears_solids(&self, circle: &Curve) -> bool {
        if self.solids.is_empty() && self.outline.is_none() {
            return true;
        }
        let Curve::Circle { centre, u, v, .. } = *circle else { return false };
        self.widest().clears_solids(&Path::Arc { centre, cosine: u, sine: v, span: std::f64::consts::TAU })
    }

    /// Whether an arc that is free of shells is clear of decks as well.
    pub(super) fn piece_clears_solids(&self, from: DVec3, to: &Waypoint) -> bool {
        (self.solids.is_empty() && self.outline.is_none())
            || to.sweep_from(from, None).is_none_or(|sweep| self.widest().clears_solids(&sweep.path_of(from)))
    }
}

/// The distance above the plane of a top from which a shell keeps `keep` to it, and more where it is rough.
fn keep_above(keep: f64, rough: Option<&Ground>) -> f64 {
    rough.map_or(keep, |ground| {
        (keep + ground.surfacing.relief_m) / (1.0 - crate::math::sin(ground.surfacing.tilt_rad)).max(1e-9)
    })
}

/// Whether a solid's nearest point to any place of a sphere that comes within `keep` of it lies on its top.
fn covers(solid: &Prism, centre: DVec3, radius: f64, keep: f64) -> bool {
    // The foot on a slope lies aside of the place, by less than the place is above it.
    let aside = if solid.top.is_level() { 0.0 } else { keep.max(0.0) };
    solid.bottom < centre.z - radius && solid.inset(centre.truncate()) > radius + aside
}

/// Whether places of a plane may be nearer than `keep` to a solid, by their heights.
fn is_beside(plane: &Slope, solid: &Prism, keep: f64, rough: Option<&Ground>) -> bool {
    if !plane.is_level() || rough.is_some() {
        return true;
    }
    let height = plane.origin.z;
    height - solid.top_range()[1] < keep && solid.bottom - height < keep
}

/// An arc on the unit sphere about an axis.
struct CapArc {
    first: DVec3,
    last: DVec3,
    /// The cross product of the axis and the first point: the direction in which the arc begins.
    turned: DVec3,
    axis: DVec3,
    /// Height of the arc along its axis.
    level: f64,
    /// Whether it is more than half a turn.
    is_wide: bool,
}

impl CapArc {
    fn enters(&self, cap: &Cap) -> bool {
        if cap.pole.dot(self.first) > cap.cos || cap.pole.dot(self.last) > cap.cos {
            return true;
        }
        // Along the arc the cosine is a wave: level + along·cos t + across·sin t.
        let height = cap.pole.dot(self.axis);
        let mean = height * self.level;
        let along = cap.pole.dot(self.first) - mean;
        let across = cap.pole.dot(self.turned);
        let excess = cap.cos - mean;
        if excess >= 0.0 && along * along + across * across <= excess * excess {
            return false; // the whole circle is clear
        }
        // Whether the maximum lies on the arc, or for more than half a turn not on the rest of the circle.
        let beyond = self.axis.dot(cap.pole.cross(self.last));
        if self.is_wide { across > 0.0 || beyond > 0.0 } else { across > 0.0 && beyond > 0.0 }
    }
}
