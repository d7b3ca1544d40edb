//! The effect of each move on a configuration.

use super::crossed::{CrossError, crossed};
use super::striding::{Stride, StrideError};
use super::{Move, Planted};
use crate::geometry::Sweep;
use crate::math::{DQuat, DVec3, angle_between, asin, tolerance};
use crate::model::{Body, Configuration, Hold, ModuleId, Placement, Problem};

/// Why a move cannot begin.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum MoveError {
    /// Stuck modules make no moves.
    #[error("it is stuck and cannot move by itself")]
    Stuck,
    /// The tracks have failed.
    #[error("its drive is lost: it cannot slide, hop or cross")]
    DriveLost,
    /// The turning of the foot has failed.
    #[error("its yaw is lost: it cannot turn, and slides only straight")]
    YawLost,
    /// The cup has failed.
    #[error("its cup is lost: it cannot brace")]
    CupLost,
    /// A move turns by more than any plan needs.
    #[error("it turns by {angle_rad:.3e} rad in one move; at most {MOST_TURN_RAD} rad is taken")]
    TurnsTooFar {
        /// The angle, in radians.
        angle_rad: f64,
    },
    /// Braced with a lost cup it only releases.
    #[error("it is braced with a lost cup and may not move until it is released")]
    NotReleased,
    /// Slides, hops, crosses and strides need the rolling hold.
    #[error("it is braced: slides, hops, crosses and strides need the rolling hold")]
    Braced,
    /// Bracing what is braced.
    #[error("it is braced already")]
    AlreadyBraced,
    /// Releasing what is rolling.
    #[error("it is rolling already")]
    AlreadyRolling,
    /// A module stands on one that hops or crosses.
    #[error("something stands on it, and to hop or cross it must be bare")]
    StoodOn,
    /// A hop to the current host, to itself, or from deck to deck.
    #[error("a hop leads to another host, and never from deck to deck")]
    NoOtherHost,
    /// A cross that does not lead over an edge as it must.
    #[error("it cannot cross: {0}")]
    Cross(#[from] CrossError),
    /// A stride that its machine cannot make.
    #[error("it cannot stride: {0}")]
    Stride(#[from] StrideError),
    /// The centre is not where a module standing on the new host would be.
    #[error("its centre is {:.4} mm from the new host and would have to be {:.4} mm", found_m * 1e3, asked_m * 1e3)]
    WrongDistance {
        /// Distance found, in metres (above a deck: the height).
        found_m: f64,
        /// Distance that a module standing there has, in metres.
        asked_m: f64,
    },
    /// The pivot is larger than the kind allows.
    #[error("the pivot is {:.3}° and the hop limit {:.3}°", found_rad.to_degrees(), limit_rad.to_degrees())]
    PivotTooLarge {
        /// Angle between the old and the new normal, in radians.
        found_rad: f64,
        /// The kind's limit, in radians.
        limit_rad: f64,
    },
    /// The heading is not square to the pivot axis.
    #[error("the heading is {found_rad:.6} rad from square to the pivot axis; at most 0.001 rad is allowed")]
    HeadingNotSquare {
        /// Deviation from square, in radians.
        found_rad: f64,
    },
}

/// The motions of what a move moves: one for all of it, but in a stride another for the planted modules.
#[derive(Clone, Copy, Debug)]
pub struct Sweeps {
    machine: Sweep,
    rolling: Option<(Planted, Sweep)>,
}

impl Sweeps {
    /// The motion of one module.
    #[must_use]
    pub fn of(&self, module: ModuleId) -> Sweep {
        match self.rolling {
            Some((planted, sweep)) if planted.ids().contains(&module) => sweep,
            _ => self.machine,
        }
    }

    /// The planted modules and how they roll, in a stride.
    #[must_use]
    pub const fn rolling(&self) -> Option<(Planted, Sweep)> {
        self.rolling
    }

    /// Whether nothing moves.
    #[must_use]
    pub fn is_nothing(&self) -> bool {
        self.machine.is_nothing()
    }
}

/// The motions of what a move moves; `None` as in [`sweep_of`].
#[must_use]
pub fn sweeps_of(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    action: &Move,
) -> Option<Sweeps> {
    if let (Move::Stride { planted, .. }, Some(stride)) = (action, Stride::of(action)) {
        let [machine, rolls] = stride.sweeps(problem, configuration)?;
        return Some(Sweeps { machine, rolling: Some((*planted, rolls)) });
    }
    sweep_of(problem, configuration, mover, action).map(|machine| Sweeps { machine, rolling: None })
}

/// The rigid motion of a yaw or a slide, and the way of the centre in a cross; `None` for the moves that move no centre of the group and turn no
/// other module, for crosses that cannot begin, and for strides, which have two motions ([`sweeps_of`]).
#[must_use]
pub fn sweep_of(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    action: &Move,
) -> Option<Sweep> {
    let place = configuration.get(mover);
    match *action {
        Move::Yaw { angle_rad } => {
            Some(Sweep::Turn { point: place.position, axis: place.up(), angle: angle_rad })
        }
        Move::Slide { travel_m, curvature_per_m } => {
            let (up, forward) = (place.up(), place.heading());
            let left = up.cross(forward);
            match place.host {
                Body::Module(host) => {
                    // Per metre of the sole the body turns by (left + k·R·up)/R about the host's centre.
                    let radius = problem.kind(host).shell_radius_m;
                    let turn = left + up * (curvature_per_m * radius);
                    let rate = turn.length();
                    Some(Sweep::Turn {
                        point: configuration.get(host).position,
                        axis: turn / rate,
                        angle: travel_m * rate / radius,
                    })
                }
                Body::Ground(_) if curvature_per_m.abs() < STRAIGHT_PER_M => {
                    Some(Sweep::Shift { step: forward * travel_m })
                }
                Body::Ground(_) | Body::Stone(_) => Some(Sweep::Turn {
                    point: place.position + left / curvature_per_m,
                    axis: up,
                    angle: travel_m * curvature_per_m,
                }),
            }
        }
        Move::Cross { to, travel_m } => {
            let after = crossed(problem, mover, place, to, travel_m).ok()?;
            Some(Sweep::Shift { step: after.position - place.position })
        }
        Move::Hop { .. } | Move::Stride { .. } | Move::Brace | Move::Release => None,
    }
}

/// A move that turns further is refused: it would be many turns on one spot, and its certificate would never end.
const MOST_TURN_RAD: f64 = 100.0;

/// On a deck, a curvature below this is straight: the circle's centre would be too far away for double precision.
const STRAIGHT_PER_M: f64 = 1e-9;

/// The configuration after a whole move (section 6 of the model). `mover` makes the move `action`; yaws and slides carry along everything that
/// stands on it.
///
/// Checks only what the move itself needs; whether every instant is sound is checked elsewhere ([`check_plan`](crate::check_plan)). Complexity:
/// linear in the modules.
///
/// # Errors
/// When the move cannot begin: see [`MoveError`].
pub fn apply(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    action: &Move,
) -> Result<Configuration, MoveError> {
    let after = placed_after(problem, configuration, mover, action)?;
    let mut changed = configuration.clone();
    if let Some(sweeps) = sweeps_of(problem, configuration, mover, action) {
        for id in configuration.carried_with(mover) {
            *changed.get_mut(id) = carried(configuration.get(id), &sweeps.of(id));
        }
    }
    *changed.get_mut(mover) = after;
    Ok(changed)
}

/// The placement of the mover itself after a whole move.
///
/// # Errors
/// As [`apply`].
pub(crate) fn placed_after(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    action: &Move,
) -> Result<Placement, MoveError> {
    may_begin(problem, configuration, mover, action)?;
    let mut place = *configuration.get(mover);
    match *action {
        Move::Brace => place.hold = Hold::Braced,
        Move::Release => place.hold = Hold::Rolling,
        Move::Hop { to } => {
            place.orientation = pivoted(problem, configuration, mover, to)?;
            place.host = to;
        }
        Move::Cross { to, travel_m } => {
            if configuration.is_stood_on(mover) {
                return Err(MoveError::StoodOn);
            }
            place = crossed(problem, mover, &place, to, travel_m)?;
        }
        Move::Stride { angle_rad, .. } => {
            if angle_rad.is_nan() || angle_rad.abs() > MOST_TURN_RAD {
                return Err(MoveError::TurnsTooFar { angle_rad });
            }
            if let Some(stride) = Stride::of(action) {
                place = stride.placed(problem, configuration, mover)?;
            }
        }
        Move::Yaw { .. } | Move::Slide { .. } => {
            if let Some(sweep) = sweep_of(problem, configuration, mover, action) {
                if let Sweep::Turn { angle, .. } = sweep
                    && (angle.is_nan() || angle.abs() > MOST_TURN_RAD)
                {
                    return Err(MoveError::TurnsTooFar { angle_rad: angle });
                }
                carry_one(&mut place, &sweep, sweep.rotation_at(1.0), 1.0);
            }
        }
    }
    Ok(place)
}

/// Moves a rigid group by a fraction of a sweep.
pub(crate) fn carry(configuration: &mut Configuration, group: &[ModuleId], sweep: &Sweep, share: f64) {
    let rotation = sweep.rotation_at(share);
    for &id in group {
        carry_one(configuration.get_mut(id), sweep, rotation, share);
    }
}

/// A placement carried along by a whole sweep.
pub(crate) fn carried(place: &Placement, sweep: &Sweep) -> Placement {
    let mut after = *place;
    carry_one(&mut after, sweep, sweep.rotation_at(1.0), 1.0);
    after
}

fn carry_one(place: &mut Placement, sweep: &Sweep, rotation: DQuat, share: f64) {
    place.position = sweep.point_at(place.position, share);
    place.orientation = (rotation * place.orientation).normalize();
}

fn may_begin(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    action: &Move,
) -> Result<(), MoveError> {
    let place = configuration.get(mover);
    let module = &problem.modules[mover.index()];
    let lost = module.lost;
    if module.stuck {
        return Err(MoveError::Stuck);
    }
    match *action {
        Move::Slide { .. } | Move::Hop { .. } | Move::Cross { .. } if lost.drive => {
            return Err(MoveError::DriveLost);
        }
        Move::Yaw { .. } if lost.yaw => return Err(MoveError::YawLost),
        Move::Slide { curvature_per_m, .. } if lost.yaw && curvature_per_m != 0.0 => {
            return Err(MoveError::YawLost);
        }
        Move::Brace if lost.cup => return Err(MoveError::CupLost),
        Move::Yaw { .. } if lost.cup && place.hold == Hold::Braced => return Err(MoveError::NotReleased),
        _ => {}
    }
    match (action, place.hold) {
        (Move::Slide { .. } | Move::Hop { .. } | Move::Cross { .. } | Move::Stride { .. }, Hold::Braced) => {
            Err(MoveError::Braced)
        }
        (Move::Brace, Hold::Braced) => Err(MoveError::AlreadyBraced),
        (Move::Release, Hold::Rolling) => Err(MoveError::AlreadyRolling),
        _ => Ok(()),
    }
}

/// The normal of a foot on a host when the module's centre is at `position`, if it can stand there: the distance must be right within 1e-6 m.
pub(crate) fn normal_on(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    position: DVec3,
    host: Body,
) -> Result<DVec3, MoveError> {
    let kind = problem.kind(mover);
    let (normal, found_m, asked_m) = match host {
        Body::Ground(deck) => {
            let plane = &problem.ground(deck).plane;
            (plane.normal, plane.above(position), kind.ride_height_m)
        }
        Body::Stone(_) => return Err(MoveError::NoOtherHost),
        Body::Module(other) => {
            let apart = position - configuration.get(other).position;
            let distance = apart.length();
            (apart / distance, distance, kind.standing_distance(problem.kind(other)))
        }
    };
    if (found_m - asked_m).abs() <= tolerance::LENGTH_M {
        Ok(normal)
    } else {
        Err(MoveError::WrongDistance { found_m, asked_m })
    }
}

/// Orientation after a hop.
fn pivoted(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    to: Body,
) -> Result<DQuat, MoveError> {
    let place = configuration.get(mover);
    let deck_to_deck = place.host.ground().is_some() && to.ground().is_some();
    if to == place.host || to == Body::Module(mover) || deck_to_deck {
        return Err(MoveError::NoOtherHost);
    }
    if configuration.is_stood_on(mover) {
        return Err(MoveError::StoodOn);
    }
    let (old, new) = (place.up(), normal_on(problem, configuration, mover, place.position, to)?);
    let pivot = angle_between(old, new);
    let limit_rad = problem.kind(mover).hop_limit_rad;
    if pivot > limit_rad + tolerance::ANGLE_RAD {
        return Err(MoveError::PivotTooLarge { found_rad: pivot, limit_rad });
    }
    let turn = if pivot < tolerance::ANGLE_RAD {
        DQuat::from_rotation_arc(old, new)
    } else {
        let axis = old.cross(new).try_normalize().unwrap_or(place.orientation * DVec3::Y);
        let found_rad = asin(place.heading().dot(axis).clamp(-1.0, 1.0)).abs();
        if found_rad > tolerance::HOP_HEADING_RAD {
            return Err(MoveError::HeadingNotSquare { found_rad });
        }
        DQuat::from_axis_angle(axis, pivot)
    };
    // Body z is set exactly to the new normal; the rounding error of the rotation goes into the heading.
    Ok(crate::math::heading_frame(new, turn * place.heading()).unwrap_or(turn * place.orientation))
}

/// Duration of a move that begins in a configuration, in seconds (section 6).
#[must_use]
pub fn duration_at_s(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    action: &Move,
) -> f64 {
    match Stride::of(action) {
        Some(stride) => problem.kind(mover).ramped_s(stride.full_s(problem, configuration)),
        None => duration_s(problem, mover, configuration.get(mover).hold, action),
    }
}

/// Duration of a move in seconds, by the rates and times of the mover's kind (section 6). `hold` is the mover's hold, on which the yaw rate depends. That
/// of a stride depends on where it begins ([`duration_at_s`]); this is the least that it can be.
#[must_use]
pub fn duration_s(problem: &Problem, mover: ModuleId, hold: Hold, action: &Move) -> f64 {
    let kind = problem.kind(mover);
    match *action {
        Move::Slide { travel_m, curvature_per_m } => kind.slide_s(problem.edition, travel_m, curvature_per_m),
        Move::Yaw { angle_rad } => kind.yaw_s(hold, angle_rad),
        Move::Hop { .. } => kind.hop_time_s,
        Move::Cross { travel_m, .. } => kind.cross_s(travel_m),
        Move::Stride { angle_rad, planted, .. } => {
            let of = |&id: &ModuleId| {
                let kind = problem.kind(id);
                angle_rad.abs() * kind.shell_radius_m / kind.slide_speed_mps
            };
            kind.ramped_s(planted.ids().iter().map(of).fold(0.0, f64::max))
        }
        Move::Brace => kind.brace_time_s,
        Move::Release => kind.release_time_s,
    }
}

/// Energy of a move beyond idle power, in joules: the power of the move times `duration_s`, or the energy of a brace (section 6).
#[must_use]
pub fn energy_j(problem: &Problem, mover: ModuleId, action: &Move, duration_s: f64) -> f64 {
    let kind = problem.kind(mover);
    match action {
        Move::Stride { planted, .. } => {
            planted.ids().iter().map(|&id| problem.kind(id).drive_power_w).sum::<f64>() * duration_s
        }
        Move::Slide { .. } => kind.drive_power_w * duration_s,
        Move::Yaw { .. } => kind.yaw_power_w * duration_s,
        Move::Hop { .. } | Move::Cross { .. } => kind.hop_power_w * duration_s,
        Move::Brace => kind.brace_energy_j,
        Move::Release => 0.0,
    }
}
