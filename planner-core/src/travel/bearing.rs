//! Whether the crew carries a moving module: quickly where the places that carry it are known to be convex, otherwise by the certificate of a
//! stretch.

use super::Waypoint;
use super::drive::{Stance, compile_alone, normal_at, stand_at};
use crate::control::{Interrupt, Stopped};
use crate::geometry::Path;
use crate::math::{DVec3, sin_cos};
use crate::model::{Body, Configuration, ModuleId, Problem, Touch, touches};
use crate::motion::{Move, Stretch, Underway};
use crate::statics::{CrewProof, Rider, WarmStart};
use indexmap::IndexMap;
use rustc_hash::FxBuildHasher;
use std::f64::consts::FRAC_PI_3;

/// Number of halvings after which a drive counts as not carried.
const DEEPEST: u32 = 10;

/// Load checks for one bare mover while all others stand; the answers do not depend on its heading.
pub(super) struct Bearing<'a> {
    problem: &'a Problem,
    start: &'a Configuration,
    mover: ModuleId,
    limit: f64,
    /// Polled before every load case.
    pub(super) interrupt: Interrupt<'a>,
    /// Touches in which the mover takes no part.
    between: Vec<Touch>,
    riders: IndexMap<Body, Rider, FxBuildHasher>,
    hint: WarmStart,
    hop_hint: WarmStart,
    /// A proof that the crew carries the mover somewhere.
    crew_proof: Option<CrewProof>,
}

/// Whether the load is carried while the mover hops.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Hopping {
    /// It is not.
    Refused,
    /// It is, without touches of the mover's shell.
    Carried,
    /// It is with these, if they can push as they have to while the shell slips: that depends on where it hops.
    WithTouches,
}

impl<'a> Bearing<'a> {
    /// For utilisations up to `limit`; an infinite limit ignores loads.
    pub(super) fn new(
        problem: &'a Problem,
        start: &'a Configuration,
        mover: ModuleId,
        limit: f64,
        interrupt: Interrupt<'a>,
    ) -> Self {
        let mut between = touches(problem, start);
        between.retain(|touch| touch.module != mover && touch.other != Body::Module(mover));
        let (hint, hop_hint) = (WarmStart::default(), WarmStart::default());
        let (riders, crew_proof) = (IndexMap::default(), None);
        Self { problem, start, mover, limit, interrupt, between, riders, hint, hop_hint, crew_proof }
    }

    /// Whether the load is carried at a place while the mover slides or yaws there: no touch of its own counts.
    pub(super) fn carries_moving(&mut self, at: &Waypoint) -> Result<bool, Stopped> {
        if self.limit == f64::INFINITY {
            return Ok(true);
        }
        let normal = normal_at(self.problem, self.start, at);
        if !self.others_carry(at.host, at.position)? {
            return Ok(false);
        }
        if self.rider(at.host).grips_moving(normal.z) {
            return Ok(true);
        }
        self.interrupt.go_on()?;
        let mut there = self.start.clone();
        *there.get_mut(self.mover) = stand_at(self.problem, self.start, self.mover, at);
        let stretch = Stretch::of_move(self.problem, &there, self.mover, &Move::DRIVE_ON_THE_SPOT, &there);
        stretch.carries(self.limit, &mut self.hint, self.interrupt)
    }

    /// Whether the load is carried at a place while the mover hops from or to the host it has there: its touches count, as if they did not slip.
    pub(super) fn carries_hopping(&mut self, at: &Waypoint) -> Result<Hopping, Stopped> {
        if self.limit == f64::INFINITY {
            return Ok(Hopping::Carried);
        }
        let normal = normal_at(self.problem, self.start, at);
        if self.rider(at.host).grips_hopping(normal.z) && self.others_carry(at.host, at.position)? {
            return Ok(Hopping::Carried);
        }
        self.interrupt.go_on()?;
        let place = stand_at(self.problem, self.start, self.mover, at);
        let mut there = self.start.clone();
        *there.get_mut(self.mover) = place;
        // Without a pivot nothing slips, and every force that slipping allows is among those without: so a no is final.
        let hop = Stretch::new(self.problem, there, &[], &[(self.mover, place)]);
        if !hop.held_load(0).carries_warm(self.limit, &mut self.hop_hint) {
            return Ok(Hopping::Refused);
        }
        Ok(if self.problem.edition.hops_slip() { Hopping::WithTouches } else { Hopping::Carried })
    }

    /// Whether the load is carried while the mover hops from one host to another at one place, with its shell slipping on what it touches.
    pub(super) fn carries_hop(&mut self, from: &Waypoint, to: &Waypoint) -> Result<bool, Stopped> {
        self.interrupt.go_on()?;
        let mut there = self.start.clone();
        *there.get_mut(self.mover) = stand_at(self.problem, self.start, self.mover, from);
        let end = stand_at(self.problem, self.start, self.mover, to);
        Stretch::new(self.problem, there, &[], &[(self.mover, end)]).carries(
            self.limit,
            &mut self.hop_hint,
            self.interrupt,
        )
    }

    /// Whether a cross from one place to another keeps clear of all but the two grounds, and is carried before and after.
    pub(super) fn carries_cross(&mut self, from: &Waypoint, to: &Waypoint) -> Result<bool, Stopped> {
        self.interrupt.go_on()?;
        let mut there = self.start.clone();
        *there.get_mut(self.mover) = stand_at(self.problem, self.start, self.mover, from);
        let end = stand_at(self.problem, self.start, self.mover, to);
        let stretch = Stretch::new(self.problem, there, &[], &[(self.mover, end)]);
        Ok(stretch.is_clear()
            && stretch.keeps_clearance()
            && (self.limit == f64::INFINITY
                || stretch.carries(self.limit, &mut self.hop_hint, self.interrupt)?))
    }

    /// Whether the load is carried all along drives on one shell, given that it is carried at their ends.
    pub(super) fn carries_drives(
        &mut self,
        from: &Stance,
        host: ModuleId,
        legs: &[Waypoint],
    ) -> Result<bool, Stopped> {
        if self.limit == f64::INFINITY {
            return Ok(true);
        }
        let (body, centre) = (Body::Module(host), self.start.get(host).position);
        let mut begins = from.position;
        let mut grips = true;
        for (index, leg) in legs.iter().enumerate() {
            let Some(sweep) = leg.sweep_from(begins, Some(centre)) else { continue };
            let path = sweep.path_of(begins);
            let is_last = index + 1 == legs.len();
            if !((is_last || self.others_carry(body, leg.position)?)
                && self.others_carry_along(body, &path)?)
            {
                return Ok(false);
            }
            let steepest = (path.least_along(DVec3::Z) - centre.z) / begins.distance(centre);
            grips &= self.rider(body).grips_moving(steepest);
            begins = leg.position;
        }
        if grips { Ok(true) } else { self.carries_stretches(from, body, legs) }
    }

    /// The same by the certificates of the slides.
    fn carries_stretches(&mut self, from: &Stance, host: Body, legs: &[Waypoint]) -> Result<bool, Stopped> {
        let mut now = self.start.clone();
        *now.get_mut(self.mover) = from.placed(host, self.start.get(self.mover));
        let Ok(moves) = compile_alone(self.problem, &mut now, self.mover, legs) else {
            return Ok(false);
        };
        for (action, after) in moves {
            // A bare module needs no torque to yaw, as its mass is over its foot; where it yaws it also slides.
            if !matches!(action, Move::Yaw { .. }) {
                self.interrupt.go_on()?;
                let underway = Underway { mover: self.mover, action, share: 1.0 };
                let stretch = Stretch::new(self.problem, now.clone(), &[underway], &[]);
                if !stretch.carries(self.limit, &mut self.hint, self.interrupt)? {
                    return Ok(false);
                }
            }
            *now.get_mut(self.mover) = after;
        }
        Ok(true)
    }

    /// Whether all bonds but the mover's own carry it along a path of its centre, given that they do at the ends.
    fn others_carry_along(&mut self, host: Body, path: &Path) -> Result<bool, Stopped> {
        match *path {
            // A single module goes straight or round.
            Path::Trochoid { .. } => Ok(false),
            // The places that carry it are convex.
            Path::Line { .. } => Ok(true),
            Path::Arc { centre, cosine, sine, span } => {
                self.others_carry_between(host, [centre, cosine, sine], (0.0, span), 0)
            }
        }
    }

    /// The same between two angles of an arc, given that they carry it there: the arc lies within the triangle of its chord and its tangents there.
    fn others_carry_between(
        &mut self,
        host: Body,
        arc: [DVec3; 3],
        (from, to): (f64, f64),
        depth: u32,
    ) -> Result<bool, Stopped> {
        let (half, middle) = (0.5 * (to - from), 0.5 * (from + to));
        let (sin, cos) = sin_cos(middle);
        let out = arc[1] * cos + arc[2] * sin;
        if half.abs() < FRAC_PI_3 && self.others_carry(host, arc[0] + out / crate::math::cos(half))? {
            return Ok(true);
        }
        Ok(depth < DEEPEST
            && self.others_carry(host, arc[0] + out)?
            && self.others_carry_between(host, arc, (from, middle), depth + 1)?
            && self.others_carry_between(host, arc, (middle, to), depth + 1)?)
    }

    fn others_carry(&mut self, host: Body, position: DVec3) -> Result<bool, Stopped> {
        self.interrupt.go_on()?;
        self.rider(host);
        let rider = self.riders.get_mut(&host);
        Ok(rider.is_some_and(|rider| rider.others_carry_at(position, &mut self.hint, &mut self.crew_proof)))
    }

    fn rider(&mut self, host: Body) -> &Rider {
        let Self { problem, start, mover, limit, between, .. } = self;
        self.riders
            .entry(host)
            .or_insert_with(|| Rider::new(problem, start, *mover, host, between.clone(), *limit))
    }
}
