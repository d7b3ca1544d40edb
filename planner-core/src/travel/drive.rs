//! From waypoints to moves: yaws, slides along circles and straight lines, hops.

use super::Waypoint;
use crate::geometry::Sweep;
use crate::math::{
    DQuat, DVec2, DVec3, are_aligned, atan2, heading_frame, perpendicular_part, tolerance, wrap_angle,
};
use crate::model::{Body, Configuration, Edition, GroundId, Hold, Kind, ModuleId, Placement, Problem};
use crate::motion::{Move, MoveError, apply, placed_after};

/// A yaw smaller than this is omitted; the next drive makes up for it.
pub(super) const NO_YAW_RAD: f64 = 1e-8;
/// A slide shorter than this is omitted.
const NO_TRAVEL_M: f64 = 1e-9;

/// The moves that take a module through waypoints, and the configuration after each.
///
/// A change of host between two waypoints is a hop, which needs them to have one position; a change of position is a slide. A yaw precedes either
/// where the heading requires it. The tracks drive forwards or backwards, whichever needs the smaller yaw.
///
/// # Errors
/// When a move cannot begin. Soundness of the moves is not checked.
pub fn compile(
    problem: &Problem,
    start: &Configuration,
    mover: ModuleId,
    waypoints: &[Waypoint],
) -> Result<Vec<(Move, Configuration)>, MoveError> {
    let mut moves: Vec<(Move, Configuration)> = Vec::new();
    let mut now = start.clone();
    drive_through(problem, &mut now, mover, waypoints, |now, action| {
        *now = apply(problem, now, mover, &action)?;
        moves.push((action, now.clone()));
        Ok(())
    })?;
    Ok(moves)
}

/// The same for a bare mover: its own placement after each move. `start` is unchanged.
pub(super) fn compile_alone(
    problem: &Problem,
    start: &mut Configuration,
    mover: ModuleId,
    waypoints: &[Waypoint],
) -> Result<Vec<(Move, Placement)>, MoveError> {
    let mut moves: Vec<(Move, Placement)> = Vec::with_capacity(2 * waypoints.len());
    let first = *start.get(mover);
    let driven = drive_through(problem, start, mover, waypoints, |now, action| {
        *now.get_mut(mover) = placed_after(problem, now, mover, &action)?;
        moves.push((action, *now.get(mover)));
        Ok(())
    });
    *start.get_mut(mover) = first;
    driven.map(|()| moves)
}

/// Makes the moves through waypoints one by one; `step` updates the configuration.
fn drive_through(
    problem: &Problem,
    now: &mut Configuration,
    mover: ModuleId,
    waypoints: &[Waypoint],
    mut step: impl FnMut(&mut Configuration, Move) -> Result<(), MoveError>,
) -> Result<(), MoveError> {
    for waypoint in waypoints {
        let place = *now.get(mover);
        if waypoint.host == place.host {
            let ground = ground(problem, now, place.host);
            let Some(leg) = leg(ground, place.position, place.up(), waypoint) else { continue };
            let (yaw, forward) = yaw_to(place.up(), place.heading(), leg.begins);
            if yaw.abs() > NO_YAW_RAD {
                step(now, Move::Yaw { angle_rad: yaw })?;
            }
            let sign = if forward { 1.0 } else { -1.0 };
            let (travel_m, curvature_per_m) = (sign * leg.travel_m, sign * leg.curvature_per_m);
            step(now, Move::Slide { travel_m, curvature_per_m })?;
        } else if let (Body::Ground(from), Body::Ground(to)) = (place.host, waypoint.host) {
            let way = way_over(problem, (from, place.position), (to, waypoint.position));
            let (yaw, travel_m) = Stance::of(&place).yaw_before_cross(way);
            if yaw.abs() > NO_YAW_RAD {
                step(now, Move::Yaw { angle_rad: yaw })?;
            }
            step(now, Move::Cross { to, travel_m })?;
        } else {
            let normal = normal_at(problem, now, waypoint);
            let (yaw, _) = Stance::of(&place).yaw_before_hop(normal);
            if yaw != 0.0 {
                step(now, Move::Yaw { angle_rad: yaw })?;
            }
            step(now, Move::Hop { to: waypoint.host })?;
        }
    }
    Ok(())
}

/// The ways to drive to a waypoint on the mover's host: forwards or backwards, turning the shorter or the longer way round before; the least yaw first.
#[must_use]
pub(crate) fn ways_to_drive(
    problem: &Problem,
    now: &Configuration,
    mover: ModuleId,
    waypoint: &Waypoint,
) -> Vec<Vec<Move>> {
    let place = now.get(mover);
    let ground = ground(problem, now, place.host);
    let Some(leg) = leg(ground, place.position, place.up(), waypoint) else { return vec![Vec::new()] };
    let (yaw, forward) = yaw_to(place.up(), place.heading(), leg.begins);
    let other = wrap_angle(yaw + std::f64::consts::PI);
    let mut ways: Vec<(f64, bool)> = [(yaw, forward), (other, !forward)]
        .into_iter()
        .flat_map(|(yaw, forward)| [(yaw, forward), (yaw - std::f64::consts::TAU.copysign(yaw), forward)])
        .collect();
    ways.sort_by(|a, b| a.0.abs().total_cmp(&b.0.abs()));
    let way = |(yaw, forward): (f64, bool)| {
        let sign = if forward { 1.0 } else { -1.0 };
        let (travel_m, curvature_per_m) = (sign * leg.travel_m, sign * leg.curvature_per_m);
        let slide = Move::Slide { travel_m, curvature_per_m };
        if yaw.abs() > NO_YAW_RAD { vec![Move::Yaw { angle_rad: yaw }, slide] } else { vec![slide] }
    };
    ways.into_iter().map(way).collect()
}

/// The foot's normal at a waypoint.
pub(super) fn normal_at(problem: &Problem, configuration: &Configuration, waypoint: &Waypoint) -> DVec3 {
    match waypoint.host {
        Body::Ground(ground) => problem.ground(ground).plane.normal,
        Body::Stone(stone) => (waypoint.position - problem.stones[stone.index()].centre).normalize(),
        Body::Module(host) => (waypoint.position - configuration.get(host).position).normalize(),
    }
}

/// The way of the sole seen from above, from a place of the centre on one ground to one on another.
pub(super) fn way_over(problem: &Problem, from: (GroundId, DVec3), to: (GroundId, DVec3)) -> DVec2 {
    let sole = |(ground, centre): (GroundId, DVec3)| problem.ground(ground).plane.onto(centre).truncate();
    sole(to) - sole(from)
}

/// A placement at a waypoint, with an arbitrary heading.
pub(super) fn stand_at(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    waypoint: &Waypoint,
) -> Placement {
    let place = configuration.get(mover);
    let up = normal_at(problem, configuration, waypoint);
    let orientation = heading_frame(up, place.heading())
        .or_else(|| heading_frame(up, DVec3::X))
        .or_else(|| heading_frame(up, DVec3::Y))
        .unwrap_or(place.orientation);
    Placement { position: waypoint.position, orientation, host: waypoint.host, hold: place.hold }
}

/// One slide: its directions at start and end (not normalised, driven forwards), the sole's path length in metres, and its curvature.
pub(super) struct Leg {
    begins: DVec3,
    ends: DVec3,
    travel_m: f64,
    curvature_per_m: f64,
}

/// The surface that a mover drives on: for a shell its centre and radius, `None` for a deck.
pub(super) type Ground = Option<(DVec3, f64)>;

/// The surface of a host.
pub(super) fn ground(problem: &Problem, configuration: &Configuration, host: Body) -> Ground {
    host.module().map(|h| (configuration.get(h).position, problem.kind(h).shell_radius_m))
}

/// The slide from a place with this normal to a waypoint on the same host; `None` between opposite points and for zero length.
fn leg(ground: Ground, from: DVec3, up: DVec3, target: &Waypoint) -> Option<Leg> {
    let found = match target.sweep_from(from, ground.map(|(centre, _)| centre))? {
        Sweep::Shift { step } => Leg {
            begins: step,
            ends: step,
            travel_m: perpendicular_part(step, up).length(),
            curvature_per_m: 0.0,
        },
        Sweep::Roll { .. } | Sweep::Ride { .. } => return None,
        Sweep::Turn { point, axis, angle } => {
            let arm = from - point;
            let (begins, ends) = (axis.cross(arm), axis.cross(target.position - point));
            let (travel_m, curvature_per_m) = match ground {
                Some((_, radius)) => {
                    // The axis is sin ρ·left + cos ρ·up for a circle of angular radius ρ (the left of the drive).
                    let (sin, cos) = (axis.cross(up).length(), axis.dot(up));
                    let curvature = if target.round.is_some() { cos / sin / radius } else { 0.0 };
                    (radius * sin * angle, curvature)
                }
                None => {
                    let radius = perpendicular_part(arm, up).length();
                    (radius * angle, axis.dot(up).signum() / radius)
                }
            };
            Leg { begins, ends, travel_m, curvature_per_m }
        }
    };
    (found.travel_m > NO_TRAVEL_M).then_some(found)
}

/// The smaller yaw that lines the tracks up with a direction, and whether they then drive forwards; when square to it they do, independent of
/// rounding.
pub(super) fn yaw_to(up: DVec3, heading: DVec3, direction: DVec3) -> (f64, bool) {
    let left = up.cross(heading);
    let angle = atan2(direction.dot(left), direction.dot(heading));
    if angle.abs() <= std::f64::consts::FRAC_PI_2 + NO_YAW_RAD {
        (angle, true)
    } else {
        (wrap_angle(angle + std::f64::consts::PI), false)
    }
}

/// Whether the tracks drive forwards in a direction: with the smaller yaw; when square to it they do, independent of rounding.
fn goes_forward(heading: DVec3, direction: DVec3) -> bool {
    direction.dot(heading) >= -NO_YAW_RAD * direction.length()
}

/// The state of a mover on its way through waypoints, as far as its pace depends on it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stance {
    pub(super) position: DVec3,
    pub(super) up: DVec3,
    pub(super) heading: DVec3,
}

impl Stance {
    pub(super) fn of(place: &Placement) -> Self {
        Self { position: place.position, up: place.up(), heading: place.heading() }
    }

    /// Drives to a waypoint on the same host, and returns the duration of the yaw and the slide of [`compile`], in seconds; `None` between opposite
    /// points.
    pub(super) fn drive(
        &mut self,
        (kind, edition): (&Kind, Edition),
        ground: Ground,
        target: &Waypoint,
    ) -> Option<f64> {
        let Some(leg) = leg(ground, self.position, self.up, target) else {
            return (self.position.distance(target.position) < NO_TRAVEL_M).then_some(0.0);
        };
        let (yaw, forward) = yaw_to(self.up, self.heading, leg.begins);
        let ends = leg.ends.normalize();
        self.heading = if forward { ends } else { -ends };
        self.position = target.position;
        if let Some((centre, _)) = ground {
            self.up = (target.position - centre).normalize();
        }
        Some(yaw_time_s(kind, yaw) + kind.slide_s(edition, leg.travel_m, leg.curvature_per_m))
    }

    /// The heading after a straight drive to a place on the same host.
    pub(super) fn heading_at(&self, ground: Ground, target: DVec3) -> DVec3 {
        let step = target - self.position;
        let (begins, ends) = match ground {
            None => (step, step),
            Some((centre, _)) => {
                let (arm, end) = (self.position - centre, target - centre);
                let Some(axis) = arm.cross(end).try_normalize() else { return self.heading };
                (axis.cross(arm), axis.cross(end))
            }
        };
        let Some(ends) = ends.try_normalize() else { return self.heading };
        if goes_forward(self.heading, begins) { ends } else { -ends }
    }

    /// Duration in seconds of the yaw and the slide of a straight drive whose sole's path length is known.
    pub(super) fn straight_s(&self, kind: &Kind, sole_m: f64, target: DVec3) -> f64 {
        if sole_m <= NO_TRAVEL_M {
            return 0.0;
        }
        // A great circle begins along the chord, projected onto the surface.
        let (yaw, _) = yaw_to(self.up, self.heading, target - self.position);
        yaw_time_s(kind, yaw) + kind.ramped_s(sole_m / kind.slide_speed_mps)
    }

    /// Hops to a host whose normal is `up`, and returns the duration with the yaw before, in seconds.
    pub(super) fn hop(&mut self, kind: &Kind, up: DVec3) -> f64 {
        let (yaw_rad, forward) = self.yaw_before_hop(up);
        if !are_aligned(self.up, up, tolerance::ANGLE_RAD) {
            // The pivot takes the old normal to the new one, and the heading with it.
            let ahead = perpendicular_part(up, self.up).normalize();
            let pivoted = ahead * self.up.dot(up) - self.up * ahead.dot(up);
            self.heading = if forward { pivoted } else { -pivoted };
        }
        self.up = up;
        yaw_time_s(kind, yaw_rad) + kind.hop_time_s
    }

    /// The yaw that a hop to a host with the normal `up` needs, and whether the module then hops forwards.
    pub(super) fn yaw_before_hop(&self, up: DVec3) -> (f64, bool) {
        if are_aligned(self.up, up, tolerance::ANGLE_RAD) {
            return (0.0, true);
        }
        let (yaw, forward) = yaw_to(self.up, self.heading, perpendicular_part(up, self.up));
        (if yaw.abs() > NO_YAW_RAD { yaw } else { 0.0 }, forward)
    }

    /// Crosses to a ground whose normal is `up` and a place there, and returns the duration with the yaw before, in seconds. `way` is that of the sole
    /// seen from above.
    pub(super) fn cross(&mut self, kind: &Kind, way: DVec2, (position, up): (DVec3, DVec3)) -> f64 {
        let (yaw_rad, travel_m) = self.yaw_before_cross(way);
        let turned = DQuat::from_axis_angle(self.up, yaw_rad) * self.heading;
        self.heading = DQuat::from_rotation_arc(self.up, up) * turned;
        (self.position, self.up) = (position, up);
        yaw_time_s(kind, yaw_rad) + kind.cross_s(travel_m)
    }

    /// The yaw that a cross needs whose sole goes this way, seen from above, and its travel in metres: forwards or backwards.
    pub(super) fn yaw_before_cross(&self, way: DVec2) -> (f64, f64) {
        // The direction along the ground that leads this way.
        let ahead = way.extend(-self.up.truncate().dot(way) / self.up.z);
        let (yaw, forward) = yaw_to(self.up, self.heading, ahead);
        (yaw, if forward { way.length() } else { -way.length() })
    }

    /// Whether that hop needs no yaw.
    pub(super) fn may_hop_as_it_heads(&self, up: DVec3) -> bool {
        let across = perpendicular_part(up, self.up);
        let ahead = across * across.dot(self.heading).signum();
        are_aligned(self.up, up, tolerance::ANGLE_RAD) || are_aligned(ahead, self.heading, NO_YAW_RAD)
    }

    /// The placement on a host.
    pub(super) fn placed(&self, host: Body, like: &Placement) -> Placement {
        let orientation = heading_frame(self.up, self.heading).unwrap_or(like.orientation);
        Placement { position: self.position, orientation, host, hold: like.hold }
    }
}

fn yaw_time_s(kind: &Kind, yaw_rad: f64) -> f64 {
    if yaw_rad.abs() > NO_YAW_RAD { kind.yaw_s(Hold::Rolling, yaw_rad) } else { 0.0 }
}
