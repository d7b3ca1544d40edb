//! A stride: a formed machine makes a step on modules that roll (section 6 of the model).
//!
//! Every planted module is a crank: it turns about the same horizontal axis by the same angle, and the centre of its host is a fixed point of its body.
//! The vectors from their centres to their hosts' are equal but for their parts along the axis, so all hosts move alike, and the rest of the machine is
//! carried without turning, on a trochoid.

use super::Move;
use crate::geometry::{Path, Sweep, foot_enters, leaves_outline};
use crate::math::{DVec3, asin, tolerance};
use crate::model::{Body, Configuration, GroundId, Hold, ModuleId, Placement, Problem};

/// Least number of planted modules.
const FEWEST: usize = 3;
/// Lengths of the direction are one within this.
const UNIT: f64 = 1e-6;
/// Planted modules have equal radii within this, in metres.
const SAME_RADIUS_M: f64 = 1e-9;
/// They stand alike to their hosts within this, in metres.
const ALIKE_M: f64 = 1e-8;

/// Why a machine cannot stride.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum StrideError {
    /// The mover stands on another module.
    #[error("its foot stands on no deck")]
    OnNoDeck,
    /// The direction is no unit vector.
    #[error("its direction is {found} long, and a unit vector is allowed")]
    NotUnit {
        /// The length found.
        found: f64,
    },
    /// The foot leaves or reaches a slope.
    #[error("its foot leaves or reaches a slope; level decks are allowed")]
    Sloped,
    /// Its magnets hold it.
    #[error("its magnets act on the deck that it leaves or reaches")]
    Held,
    /// Too few stand.
    #[error("{found} different modules are planted, and at least 3 are needed")]
    TooFew {
        /// How many are planted.
        found: usize,
    },
    /// A planted module is not one that may roll.
    #[error("a planted module {0}")]
    NotPlanted(NotPlanted),
    /// The foot is not on the deck at the end.
    #[error("its sole ends {:.4} mm above the deck it goes to", above_m * 1e3)]
    EndsAbove {
        /// Signed height of the sole's centre over the deck, in metres.
        above_m: f64,
    },
    /// The foot meets a deck on its way.
    #[error("its foot passes through a deck at {:.1} % of the way", share * 100.0)]
    FootMeets {
        /// Where it does, as a fraction of the way.
        share: f64,
    },
}

/// What is wrong with a planted module.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum NotPlanted {
    /// It does not stand on the mover, directly or not.
    #[error("is no part of the machine")]
    NoPart,
    /// It is stuck, braced, or has no drive.
    #[error("cannot roll: it is stuck or braced, or its drive is lost")]
    CannotRoll,
    /// Something stands on it.
    #[error("is stood on")]
    StoodOn,
    /// Its shell is of another size.
    #[error("has a shell of another radius than the first")]
    OtherRadius,
    /// Its tracks are not square to the axis.
    #[error("has its tracks {found_rad:.6} rad from square to the axis; at most 0.001 rad is allowed")]
    NotSquare {
        /// Deviation from square, in radians.
        found_rad: f64,
    },
    /// It touches the top of no level, smooth deck.
    #[error("touches the top of no level deck without relief")]
    OnNoDeck,
    /// It rolls over an edge.
    #[error("rolls off its deck: its touch comes within {:.3} mm of the edge or beyond", inset_m * 1e3)]
    RollsOff {
        /// Least signed distance of its touch inside the outline, in metres.
        inset_m: f64,
    },
    /// It stands otherwise to its host than the first.
    #[error("stands {off_m:.3e} m otherwise to its host than the first; 1e-8 m is allowed")]
    NotAlike {
        /// The difference, in metres.
        off_m: f64,
    },
}

/// The parameters of a stride.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stride<'a> {
    pub(super) ahead: DVec3,
    pub(super) angle_rad: f64,
    pub(super) planted: &'a [ModuleId],
    pub(super) to: GroundId,
}

impl<'a> Stride<'a> {
    /// Those of a move, if it is a stride.
    pub(super) fn of(action: &'a Move) -> Option<Self> {
        let Move::Stride { direction, angle_rad, planted, to } = action else { return None };
        Some(Self { ahead: direction.extend(0.0), angle_rad: *angle_rad, planted: planted.ids(), to: *to })
    }

    /// The axis about which planted modules turn.
    pub(super) fn axis(&self) -> DVec3 {
        DVec3::Z.cross(self.ahead)
    }

    /// The motions of the machine and of its planted modules; `None` without a planted module on a host.
    pub(super) fn sweeps(&self, problem: &Problem, there: &Configuration) -> Option<[Sweep; 2]> {
        let first = *self.planted.first()?;
        let (axis, angle) = (self.axis(), self.angle_rad);
        let step = self.ahead * (problem.kind(first).shell_radius_m * angle);
        let arm = self.arm(there, first)?;
        Some([Sweep::Ride { step, arm, axis, angle }, Sweep::Roll { step, axis, angle }])
    }

    /// The vector from a planted module's centre to its host's, without its part along the axis.
    fn arm(&self, there: &Configuration, planted: ModuleId) -> Option<DVec3> {
        let place = there.get(planted);
        let arm = there.get(place.host.module()?).position - place.position;
        Some(arm - self.axis() * arm.dot(self.axis()))
    }

    /// Its duration at full rate, in seconds: the longest that any planted module takes to turn round its host, or to roll.
    pub(super) fn full_s(&self, problem: &Problem, there: &Configuration) -> f64 {
        let (angle, axis) = (self.angle_rad.abs(), self.axis());
        let of = |&id: &ModuleId| {
            let (kind, place) = (problem.kind(id), there.get(id));
            let host_m = place.host.module().map_or(0.0, |host| problem.kind(host).shell_radius_m);
            let along = place.up().dot(axis).clamp(-1.0, 1.0);
            let travel_m = angle * host_m * (1.0 - along * along).max(0.0).sqrt();
            let turned_s = angle * along.abs() / kind.yaw_rate_rolling_radps;
            let rolled_m = angle * kind.shell_radius_m;
            (travel_m.max(rolled_m) / kind.slide_speed_mps).max(turned_s)
        };
        self.planted.iter().map(of).fold(0.0, f64::max)
    }

    /// The placement of the mover after it.
    ///
    /// # Errors
    /// When the stride cannot be made.
    pub(super) fn placed(
        &self,
        problem: &Problem,
        there: &Configuration,
        mover: ModuleId,
    ) -> Result<Placement, StrideError> {
        let place = there.get(mover);
        let Some(from) = place.host.ground() else { return Err(StrideError::OnNoDeck) };
        let found = self.ahead.length();
        if found.is_nan() || (found - 1.0).abs() > UNIT {
            return Err(StrideError::NotUnit { found });
        }
        for ground in [from, self.to].map(|ground| problem.ground(ground)) {
            if !ground.plane.is_level() {
                return Err(StrideError::Sloped);
            }
            if ground.surfacing.ferrous && problem.kind(mover).magnet_force_n > 0.0 {
                return Err(StrideError::Held);
            }
        }
        let mut different = self.planted.to_vec();
        different.sort_unstable();
        different.dedup();
        if different.len() < FEWEST || different.len() < self.planted.len() {
            return Err(StrideError::TooFew { found: different.len() });
        }
        let machine = there.carried_with(mover);
        for &id in self.planted {
            if id == mover || !machine.contains(&id) {
                return Err(StrideError::NotPlanted(NotPlanted::NoPart));
            }
            self.may_roll(problem, there, id).map_err(StrideError::NotPlanted)?;
        }
        let Some([ride, _]) = self.sweeps(problem, there) else { return Err(StrideError::OnNoDeck) };
        self.foot_is_clear(problem, mover, place, &ride)?;
        let mut after = *place;
        after.position = ride.point_at(place.position, 1.0);
        after.host = Body::Ground(self.to);
        let above_m = problem.ground(self.to).plane.above(after.position) - problem.kind(mover).ride_height_m;
        if above_m.abs() > tolerance::LENGTH_M {
            return Err(StrideError::EndsAbove { above_m });
        }
        Ok(after)
    }

    /// Whether a module of the machine may roll on the deck that it touches.
    fn may_roll(&self, problem: &Problem, there: &Configuration, id: ModuleId) -> Result<(), NotPlanted> {
        let (module, place) = (&problem.modules[id.index()], there.get(id));
        let radius_m = problem.kind(id).shell_radius_m;
        let first = self.planted[0];
        if module.stuck || module.lost.drive || place.hold == Hold::Braced {
            return Err(NotPlanted::CannotRoll);
        }
        if there.is_stood_on(id) {
            return Err(NotPlanted::StoodOn);
        }
        if (radius_m - problem.kind(first).shell_radius_m).abs() > SAME_RADIUS_M {
            return Err(NotPlanted::OtherRadius);
        }
        let found_rad = asin(place.heading().dot(self.axis()).clamp(-1.0, 1.0)).abs();
        if found_rad > tolerance::HOP_HEADING_RAD {
            return Err(NotPlanted::NotSquare { found_rad });
        }
        let Some((own, others)) = self.arm(there, id).zip(self.arm(there, first)) else {
            return Err(NotPlanted::NoPart);
        };
        let off_m = own.distance(others);
        if off_m > ALIKE_M {
            return Err(NotPlanted::NotAlike { off_m });
        }
        let Some(ground) = ground_under(problem, id, place, None) else { return Err(NotPlanted::OnNoDeck) };
        let ground = problem.ground(ground);
        if !ground.plane.is_level() || ground.surfacing.relief_m > 0.0 {
            return Err(NotPlanted::OnNoDeck);
        }
        let way = Path::Line { from: place.position, step: self.ahead * (radius_m * self.angle_rad) };
        match leaves_outline(&way.in_frame(&ground.plane), &ground.outline, tolerance::LENGTH_M) {
            Some(inset_m) => Err(NotPlanted::RollsOff { inset_m }),
            None => Ok(()),
        }
    }

    /// Whether the foot passes through no deck on its way.
    fn foot_is_clear(
        &self,
        problem: &Problem,
        mover: ModuleId,
        place: &Placement,
        ride: &Sweep,
    ) -> Result<(), StrideError> {
        let kind = problem.kind(mover);
        let sole = ride.path_of(place.position - DVec3::Z * kind.ride_height_m);
        let met = problem
            .decks
            .iter()
            .filter_map(|deck| foot_enters(&sole, kind.foot_radius_m, &deck.solid, tolerance::LENGTH_M));
        match met.reduce(f64::min) {
            Some(share) => Err(StrideError::FootMeets { share }),
            None => Ok(()),
        }
    }
}

/// The ground whose top a module's shell touches from above, if any: the first, or `only` this one.
pub(crate) fn ground_under(
    problem: &Problem,
    id: ModuleId,
    place: &Placement,
    only: Option<GroundId>,
) -> Option<GroundId> {
    let radius_m = problem.kind(id).shell_radius_m;
    problem.ground_ids().filter(|&id| only.is_none_or(|only| only == id)).find(|&id| {
        let ground = problem.ground(id);
        let above_m = ground.plane.above(place.position) - radius_m;
        ground.inset(place.position) >= -tolerance::LENGTH_M && above_m.abs() <= problem.limits.touch_tol_m
    })
}
