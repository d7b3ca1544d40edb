//! Shortest drives on one host, around all obstacles.
//!
//! A shortest path around circular obstacles consists of straight pieces that touch their rims and of pieces of the rims (tangent graph). Every piece
//! is tested against the true bodies before it is used: the rings only propose.

use super::Waypoint;
use super::carrier::carrier_of;
use super::clearance::Clearance;
use super::few_rims::Few;
use super::network::Network;
use super::obstacles::{bends_round, beside_solid};
use super::rig;
use super::site_face::{Inside, Seen, SiteFace, memo_key};
use super::tangents::Tangents;
use super::waypoint::are_opposite;
use crate::control::{Interrupt, Stopped};
use crate::geometry::surface::{Carrier, Obstacle, Ring};
use crate::geometry::{Path, Prism};
use crate::math::{DVec2, DVec3, acos, asin};
use crate::model::{Body, Configuration, ModuleId, Problem};
use std::cell::OnceCell;
use std::f64::consts::FRAC_PI_2;
use std::sync::Arc;

/// Clearance that drives keep from obstacles where there is room, in metres.
pub(super) const ROOM_M: f64 = 0.001;

/// Relative margin of bounds on paths, so that rounding excludes none.
const ROUNDING: f64 = 1e-9;

/// The surface of one host as a mover sees it: all obstacles there.
#[derive(Clone, Debug)]
pub struct Face<'a> {
    pub(super) problem: &'a Problem,
    pub(super) others: &'a Configuration,
    pub(super) mover: ModuleId,
    /// The mover and everything that stands on it.
    pub(super) rig: Vec<ModuleId>,
    pub(super) host: Body,
    pub(super) carrier: Carrier,
    /// Rims of obstacles, widened by the clearance where there is room.
    pub(super) rings: Vec<Ring>,
    /// For a bare mover on a plane, the modules whose rims the first of them are.
    pub(super) modules: Vec<ModuleId>,
    pub(super) clearance: Clearance<'a>,
    /// On terrain what the site gives of these rims; they are the last of them.
    pub(super) site: Option<Arc<SiteFace>>,
    /// Where there are many rims, the same with those that were in the way so far.
    pub(super) few: Few<'a>,
    /// What all searches on this face share; computed for the first.
    pub(super) tangents: OnceCell<Tangents>,
}

impl<'a> Face<'a> {
    /// The host's face for `mover`, with everything that stands on it in `others`, while the rest stands as there.
    ///
    /// # Errors
    /// When `interrupt` says stop: on terrain with many corners the first face of a ground takes long.
    pub fn new(
        problem: &'a Problem,
        others: &'a Configuration,
        mover: ModuleId,
        host: Body,
        interrupt: Interrupt<'_>,
    ) -> Result<Self, Stopped> {
        let carrier = carrier_of(problem, others, mover, host);
        let rig = others.carried_with(mover);
        let clearance = Clearance::new(problem, others, mover, &rig, host, carrier);
        let (rings, modules, few, tangents) = (Vec::new(), Vec::new(), Few::default(), OnceCell::new());
        let site = None;
        let mut face = Self {
            problem,
            others,
            mover,
            rig,
            host,
            carrier,
            rings,
            modules,
            clearance,
            site,
            few,
            tangents,
        };
        (face.modules, face.rings) = face.rings_of_crew();
        face.site = face.site_on_terrain(interrupt)?;
        match &face.site {
            Some(site) => face.rings.extend_from_slice(&site.tight),
            None => {
                let rings = face.rings_of_site();
                face.rings.extend(rings);
            }
        }
        face.rings = face.with_room(&face.rings);
        let level = matches!(carrier, Carrier::Plane(_));
        face.rings.retain(|ring| level || ring.radius < FRAC_PI_2);
        Ok(face)
    }

    /// What the site gives to this face, if it is terrain and the mover is bare.
    fn site_on_terrain(&self, interrupt: Interrupt<'_>) -> Result<Option<Arc<SiteFace>>, Stopped> {
        let (Body::Ground(ground), 1) = (self.host, self.rig.len()) else { return Ok(None) };
        if self.problem.is_plain() {
            return Ok(None); // few rims, and none of them only shared by edges that modules cross
        }
        let (kind, ground) = (self.problem.kind(self.mover), self.problem.ground(ground));
        let make = || {
            let tight = self.rings_of_site();
            let roomy = self.with_room(&tight);
            SiteFace::new(self, (&ground.outline, kind.foot_radius_m), tight, roomy, interrupt)
        };
        ground.memo.try_get(&memo_key(self.problem, kind), make).map(Some)
    }

    /// Whether it is the plane of a terrain, driven over by a bare mover.
    pub(super) const fn is_of_terrain(&self) -> bool {
        self.site.is_some()
    }

    /// The index among the rims that the site gives, of one as wide as the site allows; `None` for other rims.
    pub(super) fn site_index(&self, index: usize) -> Option<usize> {
        let site = self.site.as_ref()?;
        let own = index.checked_sub(self.rings.len() - site.roomy.len())?;
        (self.rings[index].radius == site.roomy[own].radius).then_some(own)
    }

    /// Where on such a rim the foot is inside the outline.
    pub(super) fn site_rim(&self, index: usize) -> Option<&[Inside]> {
        let own = self.site_index(index)?;
        self.site.as_ref().map(|site| site.inside[own].as_slice())
    }

    /// Those of the rims that the site gives that are seen from a place.
    pub(super) fn seen_from(&self, place: DVec3) -> Arc<[Seen]> {
        self.site.as_ref().map_or_else(|| Arc::from([]), |site| site.seen_from(self, place))
    }

    /// Straight paths between such rims that meet no deck.
    pub(super) fn site_links(&self) -> impl Iterator<Item = ([usize; 2], [DVec3; 2])> + '_ {
        self.site.iter().flat_map(|site| {
            let first = self.rings.len() - site.roomy.len();
            let own = site.links.iter().map(move |(rims, ends)| (rims.map(|rim| first + rim), *ends));
            own.filter(|(rims, _)| rims.iter().all(|&rim| self.site_rim(rim).is_some()))
        })
    }

    /// Shortest drives from one free place of this face to others: for each target, the places where the drive changes between straight and circular,
    /// ending with the target; `None` where there is no path along tangents and rims.
    ///
    /// Complexity: one clearance test per target that is in sight; for the others, one search of the tangent graph, whose size is quadratic in the
    /// obstacles near the host. What does not depend on the places is kept for the next search.
    #[must_use]
    pub fn routes(&self, from: DVec3, targets: &[DVec3]) -> Vec<Option<Vec<Waypoint>>> {
        let mut routes: Vec<Option<Vec<Waypoint>>> = targets
            .iter()
            .map(|&target| {
                let straight = Waypoint::straight(self.host, target);
                self.is_clear(from, &straight).then(|| vec![straight])
            })
            .collect();
        let hidden: Vec<usize> = (0..targets.len()).filter(|&t| routes[t].is_none()).collect();
        let places: Vec<DVec3> = hidden.iter().map(|&t| targets[t]).collect();
        let any_m = vec![f64::INFINITY; places.len()];
        for (target, route) in hidden.into_iter().zip(self.routes_past(from, None, &places, &any_m)) {
            routes[target] = route;
        }
        routes
    }

    /// Shortest drives to places that are not in sight, where they are shorter than a given worth. For a mover with a heading the yaw before the
    /// first drive counts as the length of a drive of equal duration.
    pub(super) fn routes_past(
        &self,
        from: DVec3,
        heading: Option<DVec3>,
        hidden: &[DVec3],
        worth_m: &[f64],
    ) -> Vec<Option<Vec<Waypoint>>> {
        let mut routes: Vec<Option<Vec<Waypoint>>> =
            hidden.iter().map(|&target| self.half_round(from, heading, target)).collect();
        let mut left: Vec<usize> =
            (0..hidden.len()).filter(|&t| routes[t].is_none() && !self.are_parted(from, hidden[t])).collect();
        if let ([target], true) = (&left[..], self.has_many_rims()) {
            routes[*target] = self.route_round_few(from, heading, hidden[*target], worth_m[*target]);
            return routes;
        }
        let worth_of = |left: &[usize]| left.iter().map(|&t| worth_m[t]).collect::<Vec<f64>>();
        let places_of = |left: &[usize]| left.iter().map(|&t| hidden[t]).collect::<Vec<DVec3>>();
        let mut cut_off = self.cut_off(from, heading, &places_of(&left), &worth_of(&left)).into_iter();
        left.retain(|_| cut_off.next() != Some(true));
        if !left.is_empty() && !self.rings.is_empty() {
            let tangents = self.tangents.get_or_init(|| Tangents::new(self));
            let places = places_of(&left);
            let found = Network::new(self, tangents, from, heading, &places).search(&worth_of(&left));
            left.into_iter().zip(found).for_each(|(target, route)| routes[target] = route);
        }
        routes
    }

    /// Whether the site alone is seen to leave no drive between two places.
    fn are_parted(&self, from: DVec3, to: DVec3) -> bool {
        let Some(site) = &self.site else { return false };
        match [from, to].map(|place| site.part_of(self, place)) {
            [Some(from), Some(to)] => from != to,
            // From a place that sees no rim all of its part is in sight.
            _ => !self.clearance.site_allows(&Path::Line { from, step: to - from }),
        }
    }

    /// To the opposite point of a shell all paths are equally short: of those that are free, the one with the least yaw. It goes straight forwards or
    /// backwards, or touches a rim.
    fn half_round(&self, from: DVec3, heading: Option<DVec3>, target: DVec3) -> Option<Vec<Waypoint>> {
        let Carrier::Sphere { centre, radius } = self.carrier else { return None };
        if !are_opposite(from - centre, target - centre) {
            return None;
        }
        let ahead = heading.unwrap_or_else(|| (from - centre).normalize().any_orthonormal_vector());
        let touching = self.rings.iter().filter_map(|ring| self.carrier.tangents(from, ring)).flatten();
        let past = touching.filter_map(|touch| self.carrier.along(from, touch - from).try_normalize());
        let mut directions: Vec<DVec3> = [ahead, -ahead].into_iter().chain(past).collect();
        directions.sort_by(|a, b| b.dot(ahead).abs().total_cmp(&a.dot(ahead).abs()));
        directions.into_iter().find_map(|direction| {
            let quarter = Waypoint::straight(self.host, centre + direction * radius);
            let end = Waypoint::straight(self.host, target);
            let is_free = self.is_clear(from, &quarter) && self.is_clear(quarter.position, &end);
            is_free.then(|| vec![quarter, end])
        })
    }

    /// Least path length of the sole between places whose centres are this far apart, in metres.
    pub(super) fn sole_m(&self, chord: f64) -> f64 {
        match self.carrier {
            Carrier::Plane(_) => chord,
            Carrier::Sphere { radius, .. } => {
                2.0 * (radius - self.problem.kind(self.mover).ride_height_m)
                    * asin((0.5 * chord / radius).min(1.0))
            }
        }
    }

    /// Upper bound on the path length of the centre, in metres, of any drive that takes less than a given time.
    pub(super) fn most_m(&self, time_s: f64) -> f64 {
        let kind = self.problem.kind(self.mover);
        let sole_share = match self.carrier {
            Carrier::Plane(_) => 1.0,
            Carrier::Sphere { radius, .. } => (radius - kind.ride_height_m) / radius,
        };
        time_s * kind.slide_speed_mps / sole_share * (1.0 + ROUNDING)
    }

    /// The length of a drive that takes as long as a yaw, in metres.
    pub(super) fn yaw_m(&self, yaw_rad: f64) -> f64 {
        let kind = self.problem.kind(self.mover);
        yaw_rad / kind.yaw_rate_rolling_radps * kind.slide_speed_mps
    }

    /// The yaw from a heading to the straight path to a place, as the length of a drive in metres; the tracks drive either way.
    pub(super) fn yaw_to_m(&self, from: DVec3, heading: DVec3, to: DVec3) -> f64 {
        let direction = self.carrier.along(from, to - from);
        let cos = direction.dot(heading).abs() / direction.length();
        if cos.is_finite() { self.yaw_m(acos(cos.min(1.0))) } else { 0.0 }
    }

    /// Whether one drive, straight or circular, is free of overlap and stays within the reach or the outline of the host.
    #[must_use]
    pub fn is_clear(&self, from: DVec3, to: &Waypoint) -> bool {
        self.clearance.is_clear(from, to)
    }

    /// The same for a straight drive, of which it may be known already that the site allows it.
    pub(super) fn is_straight_clear(&self, from: DVec3, to: DVec3, is_allowed: bool) -> bool {
        (is_allowed && self.clearance.crew_allows(from, to))
            || self.is_clear(from, &Waypoint::straight(self.host, to))
    }

    /// Rims widened by the clearance wanted, or by less than half of the free space beside them.
    fn with_room(&self, tight: &[Ring]) -> Vec<Ring> {
        let unit = match self.carrier {
            Carrier::Sphere { radius, .. } => radius,
            Carrier::Plane(_) => 1.0,
        };
        let mut roomy = tight.to_vec();
        for (index, ring) in roomy.iter_mut().enumerate() {
            let mut room = ROOM_M / unit;
            for (other, beside) in tight.iter().enumerate() {
                let apart = match self.carrier {
                    Carrier::Sphere { .. } => crate::math::angle_between(ring.pole, beside.pole),
                    Carrier::Plane(_) => ring.pole.distance(beside.pole),
                };
                let free = apart - tight[index].radius - beside.radius;
                if other != index && free > 0.0 {
                    room = room.min(0.45 * free);
                }
            }
            ring.radius += room;
        }
        roomy
    }

    /// Free places of a shell where a shortest path bends at the edge of a deck.
    pub(super) fn corners(&self) -> Vec<DVec3> {
        let Carrier::Sphere { centre, radius } = self.carrier else { return Vec::new() };
        let keep = self.problem.kind(self.mover).shell_radius_m + self.problem.limits.clearance_m;
        let near = self.problem.decks.iter().filter(|deck| deck.solid.distance(centre) < radius + keep);
        near.flat_map(|deck| bends_round(&deck.solid, keep, centre, radius).0).collect()
    }

    /// The rims of what other modules forbid, and of the first of them the modules.
    fn rings_of_crew(&self) -> (Vec<ModuleId>, Vec<Ring>) {
        let (problem, kind) = (self.problem, self.problem.kind(self.mover));
        let keep = kind.shell_radius_m + problem.limits.clearance_m;
        let mut own: Vec<(ModuleId, Ring)> = Vec::new();
        for (id, other) in self.others.iter() {
            if !self.rig.contains(&id) && Body::Module(id) != self.host {
                let radius = keep + problem.kind(id).shell_radius_m;
                own.extend(self.ring_of_ball(other.position, radius).map(|ring| (id, ring)));
            }
        }
        own.retain(|(_, ring)| !self.is_idle(ring));
        let (modules, mut rings): (Vec<ModuleId>, Vec<Ring>) = own.into_iter().unzip();
        let mut of_rig = self.rings_of_rig();
        of_rig.retain(|ring| !self.is_idle(ring));
        rings.extend(of_rig);
        (modules, rings)
    }

    /// Whether no place of the foot comes near to a rim: then it is in nobody's way.
    fn is_idle(&self, ring: &Ring) -> bool {
        let (Body::Ground(ground), Carrier::Plane(plane)) = (self.host, self.carrier) else { return false };
        let outline = &self.problem.ground(ground).outline;
        let foot = self.problem.kind(self.mover).foot_radius_m;
        outline.inset(plane.coordinates(ring.pole)) + ring.radius < foot - ROOM_M
    }

    /// The rims of what the site forbids, and that of the reach.
    fn rings_of_site(&self) -> Vec<Ring> {
        let (problem, kind) = (self.problem, self.problem.kind(self.mover));
        let keep = kind.shell_radius_m + problem.limits.clearance_m;
        let mut rings = Vec::new();
        for stone in &problem.stones {
            rings.extend(self.ring_of_ball(stone.centre, keep + stone.radius_m));
        }
        for deck in problem.decks_off(self.host.ground()) {
            let solid = &deck.solid;
            let keep = keep + problem.ground(deck.ground).surfacing.beyond_m(kind.ride_height_m);
            for corner in &solid.outline {
                let z = self.height_beside(*corner, solid);
                rings.extend(self.ring_of_ball(corner.extend(z), keep));
            }
            if let Carrier::Plane(plane) = &self.carrier
                && !(plane.is_level() && solid.top.is_level())
            {
                for obstacle in beside_solid(plane, solid, keep, 0.0) {
                    let Obstacle::NearPolygon { outline, .. } = obstacle else { continue };
                    let corners = outline.iter().map(|&at| plane.point(at));
                    let is_free =
                        |at: &DVec3| self.clearance.site_allows(&Path::Line { from: *at, step: DVec3::ZERO });
                    rings.extend(corners.filter(is_free).map(|pole| Ring { pole, radius: 0.0 }));
                }
            }
            if let Carrier::Sphere { centre, radius } = self.carrier
                && solid.distance(centre) < radius + keep
            {
                let planes = bends_round(solid, keep, centre, radius).1;
                rings.extend(planes.iter().filter_map(|plane| {
                    let cos = plane.height(centre) / radius;
                    (cos > 0.0 && cos < 1.0).then(|| Ring { pole: -plane.normal, radius: acos(cos) })
                }));
            }
        }
        rings.retain(|ring| !self.is_idle(ring));
        match (self.host, self.carrier) {
            (Body::Module(host), _) => {
                let beyond = std::f64::consts::PI - problem.kind(host).shell_reach_rad;
                if beyond > 0.0 && beyond < FRAC_PI_2 {
                    rings.push(Ring { pole: -self.others.get(host).up(), radius: beyond });
                }
            }
            (Body::Ground(ground), Carrier::Plane(plane)) => {
                // Reflex corners of the ground's own outline.
                for outline in &problem.ground(ground).outline.rings {
                    let count = outline.len();
                    for i in 0..count {
                        let (a, b, c) = (outline[i], outline[(i + 1) % count], outline[(i + 2) % count]);
                        if (b - a).perp_dot(c - b) < 0.0 {
                            rings.push(Ring { pole: plane.point(b), radius: kind.foot_radius_m });
                        }
                    }
                }
            }
            (Body::Ground(_), Carrier::Sphere { .. }) | (Body::Stone(_), _) => {}
        }
        rings
    }

    /// The rims of what other modules forbid to the parts of the rig, for some heading.
    fn rings_of_rig(&self) -> Vec<Ring> {
        let (problem, mut rings) = (self.problem, Vec::new());
        for part in rig::parts(problem, self.others, self.mover, &self.rig, &self.carrier) {
            for (id, other) in self.others.iter().filter(|(id, _)| !self.rig.contains(id)) {
                let keep = part.radius + problem.kind(id).shell_radius_m + problem.limits.clearance_m;
                rings.extend(match self.carrier {
                    Carrier::Sphere { centre, .. } => {
                        let (apart, reach) = (other.position - centre, part.distance);
                        let length = apart.length();
                        let cos = (length * length + reach * reach - keep * keep) / (2.0 * length * reach);
                        (cos > -1.0 && cos < 1.0)
                            .then(|| Ring { pole: apart / length, radius: acos(cos) + part.angle })
                    }
                    Carrier::Plane(plane) => {
                        let squared = keep * keep - (part.lift - plane.above(other.position)).powi(2);
                        let radius = squared.max(0.0).sqrt() + part.aside;
                        (squared > 0.0).then(|| Ring { pole: plane.onto(other.position), radius })
                    }
                });
            }
        }
        rings
    }

    /// The height at which a wall's corner is nearest to a plane face; its top otherwise.
    fn height_beside(&self, corner: DVec2, solid: &Prism) -> f64 {
        let top = solid.top.height_at(corner);
        match self.carrier {
            Carrier::Plane(plane) => plane.height_at(corner).max(solid.bottom.max(-1e9)).min(top),
            Carrier::Sphere { .. } => top,
        }
    }

    fn ring_of_ball(&self, ball: DVec3, keep: f64) -> Option<Ring> {
        match self.carrier {
            Carrier::Sphere { centre, radius } => {
                let apart = ball - centre;
                let length = apart.length();
                let cos = (length * length + radius * radius - keep * keep) / (2.0 * length * radius);
                (cos > 0.0 && cos < 1.0).then(|| Ring { pole: apart / length, radius: acos(cos) })
            }
            Carrier::Plane(plane) => {
                let squared = keep * keep - plane.above(ball).powi(2);
                (squared > 0.0).then(|| Ring { pole: plane.onto(ball), radius: squared.sqrt() })
            }
        }
    }
}
