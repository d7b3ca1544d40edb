//! The ways of one module as keyframes.

use clamber_core::unstable::course::{Course, Leg};
use clamber_core::unstable::geometry::Sweep;
use clamber_core::{DQuat, DVec3, ModuleId};

/// Between keyframes a centre goes along a chord; it is at most this far off its arc, in metres, and rounding to 32 bits comes on top.
pub(super) const CHORD_M: f64 = 1e-4;
/// Longest turn between keyframes: well under the half-turn at which a rotation could go either way.
const TURN_RAD: f64 = 1.0;

/// Instants with poses; instants grow strictly.
#[derive(Default)]
pub(super) struct Keyframes {
    pub(super) times: Vec<f32>,
    pub(super) translations: Vec<[f32; 3]>,
    pub(super) rotations: Vec<[f32; 4]>,
}

impl Keyframes {
    /// The keyframes of a module; fewer than two if it never moves.
    pub(super) fn of(course: &Course<'_>, module: ModuleId) -> Self {
        let mut frames = Self::default();
        for leg in &course.legs[module.index()] {
            let pieces = pieces(leg);
            for piece in 0..=pieces {
                let share = f64::from(piece) / f64::from(pieces);
                let at_s = leg.from_s + share * (leg.to_s - leg.from_s);
                let (position, orientation) = leg.pose(at_s);
                frames.push(at_s as f32, position.to_array().map(|v| v as f32), orientation);
            }
        }
        frames
    }

    fn push(&mut self, time: f32, translation: [f32; 3], orientation: DQuat) {
        let mut rotation = orientation.to_array().map(|v| v as f32);
        // Two signs stand for one orientation; the nearer one makes the short way round.
        if let Some(last) = self.rotations.last()
            && last.iter().zip(&rotation).map(|(a, b)| a * b).sum::<f32>() < 0.0
        {
            rotation = rotation.map(|v| -v);
        }
        if self.times.last().is_some_and(|last| *last >= time) {
            self.times.pop();
            self.translations.pop();
            self.rotations.pop();
        }
        self.times.push(time);
        self.translations.push(translation);
        self.rotations.push(rotation);
    }
}

/// Into how many equal parts a leg must be cut: the chord_error of a part is `r (1 − cos(angle/2))`.
fn pieces(leg: &Leg) -> u32 {
    let (arm, axis, angle) = match leg.sweep {
        Sweep::Turn { point, axis, angle } => (leg.start.position - point, axis, angle),
        Sweep::Ride { arm, axis, angle, .. } => (arm, axis, angle),
        Sweep::Roll { axis, angle, .. } => (DVec3::ZERO, axis, angle),
        Sweep::Shift { .. } => return 1,
    };
    let radius = (arm - axis * arm.dot(axis)).length();
    let bend = if radius > CHORD_M { 2.0 * (1.0 - CHORD_M / radius).acos() } else { TURN_RAD };
    let pieces = (angle.abs() / bend.min(TURN_RAD)).ceil();
    // A way without end would fill the disk; beyond this the bound is given up.
    pieces.clamp(1.0, 1e6) as u32
}
