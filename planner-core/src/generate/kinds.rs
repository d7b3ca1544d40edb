//! The kinds of generated crews: the demo kind, and kinds drawn from a seed.

use super::rounding::{digits, hundredths, micrometres};
use crate::math::SplitMix64;
use crate::model::STANDARD_GRAVITY_MPS2;
use crate::scene::{KindEntry, LimitsEntry};
use std::f64::consts::PI;

/// The demo kind.
pub(super) fn cobble() -> KindEntry {
    KindEntry {
        shell_radius_m: 0.060,
        ride_height_m: 0.060,
        foot_radius_m: 0.040,
        mass_kg: 0.50,
        com_height_m: -0.010,
        shell_reach_deg: 130.0,
        hop_limit_deg: 100.0,
        magnet_force_n: 30.0,
        cup_area_m2: 1.2e-3,
        cup_vacuum_pa: 45_000.0,
        bond_friction: 0.6,
        shell_friction: 0.25,
        hop_hold: 0.6,
        ramp_time_s: None,
        peel_radius_m: None,
        step_limit_m: None,
        crease_limit_deg: None,
        cross_time_s: None,
        drive_force_n: 14.0,
        yaw_torque_rolling_nm: 0.5,
        yaw_torque_braced_nm: 1.6,
        slide_speed_mps: 0.05,
        yaw_rate_rolling_radps: 0.8,
        yaw_rate_braced_radps: 0.3,
        hop_time_s: 4.0,
        brace_time_s: 2.0,
        release_time_s: 1.0,
        drive_power_w: 6.0,
        yaw_power_w: 4.0,
        hop_power_w: 6.0,
        brace_energy_j: 15.0,
        idle_power_w: 0.8,
    }
}

/// Least and greatest shell radius of drawn kinds, in metres.
pub(super) const RADIUS_M: [f64; 2] = [0.020, 0.150];
/// Magnets hold so many times a module's weight.
const HOLD: [f64; 2] = [4.0, 12.0];

/// A kind with a shell of this radius. Masses follow from densities, and forces, torques, speeds and powers go with weight and size, so that small
/// and large kinds are about as able. Any module can hang at the side of a shell by its magnets, and hop there, with the usual limits.
pub(super) fn draw(radius_m: f64, clearance_m: f64, random: &mut SplitMix64) -> KindEntry {
    let density = random.between(250.0, 800.0);
    let mass_kg = digits(density * 4.0 / 3.0 * PI * radius_m * radius_m * radius_m);
    let weight = mass_kg * STANDARD_GRAVITY_MPS2;
    let moment = weight * radius_m;
    let foot_radius_m = micrometres(radius_m * random.between(0.45, 0.72));
    let peel_radius_m =
        (random.below(2) == 0).then(|| micrometres(foot_radius_m * random.between(0.85, 1.0)));
    let ride_height_m = micrometres(radius_m + clearance_m);
    let com_height_m = micrometres(radius_m * random.between(-0.3, 0.05));
    let bond_friction = hundredths(random.between(0.45, 0.85));
    let hop_hold = hundredths(random.between(0.5, 0.95));
    let needed =
        hanging(bond_friction, (ride_height_m + com_height_m) / peel_radius_m.unwrap_or(foot_radius_m))
            / hop_hold;
    let hold = random.between(HOLD[0].max(needed), HOLD[1].max(1.05 * needed));
    let cup_vacuum_pa = digits(random.between(25_000.0, 60_000.0));
    // Rim and hinge take some of the foot.
    let room_m2 = 0.7 * PI * foot_radius_m * foot_radius_m;
    let cup_area_m2 = room_m2.min(weight * random.between(2.0, HOLD[1]) / cup_vacuum_pa);
    let yaw_torque = moment * random.between(1.0, 3.0);
    let [slide_speed, yaw_rate] = [random.between(0.4, 1.6), random.between(0.5, 1.2)];
    let hop_time_s = hundredths(random.between(2.0, 6.0));
    let power = weight * radius_m * random.between(10.0, 30.0);
    KindEntry {
        shell_radius_m: radius_m,
        ride_height_m,
        foot_radius_m,
        mass_kg,
        com_height_m,
        shell_reach_deg: random.between(112.0, 150.0).round(),
        hop_limit_deg: random.between(100.0, 150.0).round(),
        magnet_force_n: digits(weight * hold),
        cup_area_m2: digits(cup_area_m2),
        cup_vacuum_pa,
        bond_friction,
        shell_friction: hundredths(random.between(0.15, 0.45)),
        hop_hold,
        ramp_time_s: Some(hundredths(random.between(0.05, 0.5))),
        peel_radius_m,
        step_limit_m: None,
        crease_limit_deg: None,
        cross_time_s: None,
        drive_force_n: digits(weight * random.between(1.7, 4.0)),
        yaw_torque_rolling_nm: digits(yaw_torque),
        yaw_torque_braced_nm: digits(yaw_torque * random.between(1.5, 3.5)),
        slide_speed_mps: digits(radius_m * slide_speed),
        yaw_rate_rolling_radps: hundredths(yaw_rate),
        yaw_rate_braced_radps: hundredths(yaw_rate * random.between(0.2, 0.6)),
        hop_time_s,
        brace_time_s: hundredths(random.between(1.0, 3.0)),
        release_time_s: hundredths(random.between(0.5, 1.5)),
        drive_power_w: digits(power),
        yaw_power_w: digits(power * random.between(0.4, 0.8)),
        hop_power_w: digits(power * random.between(0.8, 1.2)),
        brace_energy_j: digits(power * random.between(1.0, 3.0)),
        idle_power_w: digits(power * random.between(0.1, 0.2)),
    }
}

/// The adhesion, in weights, with which a module can stand on its foot in any direction within the usual limits, and a tenth more. `arm` is the height
/// of its centre of mass in peel radii. With the foot's axis at an angle `a` to the vertical, peel needs `arm sin a - cos a` weights and slip needs
/// `sin a / (0.93 μ) - cos a`, and the greatest value of `s sin a - cos a` is `√(s² + 1)`.
fn hanging(friction: f64, arm: f64) -> f64 {
    let limits = LimitsEntry::default();
    let slope = arm.max(1.0 / (0.93 * friction));
    1.1 * limits.hold_factor * limits.motion_factor * (slope * slope + 1.0).sqrt()
}
