//! The geometry of a stride: ends as cranks that turn alike.

use crate::math::{DVec2, DVec3, atan2, sin_cos};
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
        let crank_m = self.back_m.hypot(self.below_m);
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
