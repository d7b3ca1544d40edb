//! The geometry of a stride: ends as cranks that turn alike.

use crate::math::{DVec2, DVec3, atan2, hypot, sin_cos};
use crate::model::GroundId;

/// Number of bisections for the crank that leads exactly so far.
const BISECTIONS: usize = 60;

/// A stride without its legs.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stride {
    pub(super) ahead: DVec3,
    pub(super) angle_rad: f64,
    /// How far ends are ahead of and below their hosts when it begins, in metres.
    pub(super) back_m: f64,
    pub(super) below_m: f64,
    /// How far they roll, in metres.
    pub(super) rolls_m: f64,
    pub(super) to: GroundId,
}

/// What a stride has to do: its step seen from above, how far it rises, and the ends that roll.
#[derive(Clone, Copy, Debug)]
pub(super) struct Step {
    pub(super) step: DVec2,
    pub(super) rise_m: f64,
    pub(super) radius_m: f64,
    pub(super) longest_m: f64,
}

impl Step {
    /// How far ends have to be ahead of their hosts, which are so far above them, and by what angle they turn. The farther ahead, the longer the stride.
    pub(super) fn crank(&self, below_m: f64) -> Option<(f64, f64)> {
        let distance_m = self.step.length();
        let after_m = below_m + self.rise_m;
        let gained = after_m * after_m - below_m * below_m;
        let far = |back_m: f64| {
            let front_m = (back_m * back_m - gained).max(0.0).sqrt();
            let angle_rad = atan2(front_m, after_m) + atan2(back_m, below_m);
            (self.radius_m * angle_rad + front_m + back_m, angle_rad)
        };
        let (mut low, mut high) = (gained.max(0.0).sqrt(), self.longest_m);
        if low >= high || far(low).0 > distance_m || far(high).0 < distance_m {
            return None;
        }
        for _ in 0..BISECTIONS {
            let middle = 0.5 * (low + high);
            if far(middle).0 < distance_m {
                low = middle;
            } else {
                high = middle;
            }
        }
        Some((high, far(high).1))
    }
}

impl Stride {
    /// Where an end is from its host at a fraction of the stride: so far aside, to the left.
    pub(super) fn end_off(&self, aside_m: f64, share: f64) -> DVec3 {
        let crank_m = hypot(self.back_m, self.below_m);
        let (sin, cos) = sin_cos(share * self.angle_rad - atan2(self.back_m, self.below_m));
        let left = DVec3::Z.cross(self.ahead);
        left * aside_m - self.ahead * (crank_m * sin) - DVec3::Z * (crank_m * cos)
    }

    /// How far aside an end stands that is so far from its host; `None` if the crank is longer.
    pub(super) fn aside_m(&self, end_m: f64) -> Option<f64> {
        let squared = end_m * end_m - self.back_m * self.back_m - self.below_m * self.below_m;
        (squared > 0.0).then(|| squared.sqrt())
    }

    /// The way that ends roll.
    pub(super) fn rolls(&self) -> DVec3 {
        self.ahead * self.rolls_m
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const R: f64 = 0.060;

    fn step(distance_m: f64, rise_m: f64) -> Step {
        Step { step: DVec2::new(0.6, 0.8) * distance_m, rise_m, radius_m: R, longest_m: 2.0 * R }
    }

    /// Cranks of 48 mm that turn from 60° behind to 60° ahead of upright lead R 2π/3 + 2 · 48 mm sin 60° far on the level, and by 60° and 45° so much
    /// higher: 48 mm (cos 45° − cos 60°).
    #[test]
    fn cranks_lead_as_far_as_their_closed_form() {
        let (rho, back, below) = (0.048, 60_f64.to_radians(), 0.024);
        for front_deg in [60.0_f64, 45.0, 75.0] {
            let front = front_deg.to_radians();
            let (distance_m, rise_m) =
                (R * (back + front) + rho * (back.sin() + front.sin()), rho * (front.cos() - back.cos()));
            let (back_m, angle_rad) = step(distance_m, rise_m).crank(below).expect("it is in reach");
            assert!((back_m - rho * back.sin()).abs() < 1e-12, "{front_deg}: {back_m}");
            assert!((angle_rad - back - front).abs() < 1e-12, "{front_deg}: {angle_rad}");
        }
        // Straight up its crank rises by no more than what is left of it.
        assert_eq!(step(0.01, 0.010).crank(below), None, "too near to rise");
        assert_eq!(step(0.60, 0.0).crank(below), None, "too far");
    }

    /// The vector from host to end keeps its length and its part along the axis, and goes from behind to ahead.
    #[test]
    fn ends_go_round_their_hosts() {
        let (back_m, angle_rad) = step(0.15, 0.004).crank(0.03).expect("it is in reach");
        let ahead = DVec3::new(0.6, 0.8, 0.0);
        let (to, rolls_m) = (GroundId(0), R * angle_rad);
        let stride = Stride { ahead, angle_rad, back_m, below_m: 0.03, rolls_m, to };
        let aside_m = stride.aside_m(2.0 * R).expect("the end is farther than the crank");
        for share in [0.0, 0.3, 1.0] {
            let off = stride.end_off(-aside_m, share);
            assert!((off.length() - 2.0 * R).abs() < 1e-12);
            assert!((off.dot(DVec3::Z.cross(ahead)) + aside_m).abs() < 1e-12);
        }
        let [first, last] = [0.0, 1.0].map(|share| stride.end_off(aside_m, share));
        assert!((first.dot(ahead) - back_m).abs() < 1e-12 && (first.z + 0.03).abs() < 1e-12);
        // The hub moves by what the ends roll and by what the hosts gain on them.
        let moved = stride.rolls() - (last - first);
        assert!((moved.dot(ahead) - 0.15).abs() < 1e-12 && (moved.z - 0.004).abs() < 1e-12);
    }
}
