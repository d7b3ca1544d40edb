//! Kinds: the parameters that all modules of one kind share.

/// A kind of module. SI units; the unit of a field is its suffix. The body frame is that of the model, section 1: origin at the shell's centre, `+z`
/// away from the foot, `+x` the direction in which the tracks drive.
#[derive(Clone, Debug, PartialEq)]
pub struct Kind {
    /// Its name in the scene.
    pub name: String,
    /// Radius `R` of the shell.
    pub shell_radius_m: f64,
    /// Ride height `h ≥ R`: distance of the sole below the centre.
    pub ride_height_m: f64,
    /// Radius `b` of the foot, which acts as a disc.
    pub foot_radius_m: f64,
    /// Mass without payload.
    pub mass_kg: f64,
    /// Coordinate of the centre of mass along body z.
    pub com_height_m: f64,
    /// Largest angle from its own `+z` at which other modules may stand on this shell.
    pub shell_reach_rad: f64,
    /// Largest pivot of a hop.
    pub hop_limit_rad: f64,
    /// Magnet force on steel.
    pub magnet_force_n: f64,
    /// Area of the cup.
    pub cup_area_m2: f64,
    /// Vacuum that the pump reaches, below ambient pressure.
    pub cup_vacuum_pa: f64,
    /// Coefficient of friction of this module's foot on a shell.
    pub bond_friction: f64,
    /// Coefficient of friction of this shell where it touches another body.
    pub shell_friction: f64,
    /// Fraction of the adhesion that is left during a hop.
    pub hop_hold: f64,
    /// Time that a drive needs from rest to full rate, and from full rate to rest.
    pub ramp_time_s: f64,
    /// Radius about which the foot peels, at most that of the foot.
    pub peel_radius_m: f64,
    /// Highest step between two decks that it crosses.
    pub step_limit_m: f64,
    /// Largest angle between the normals of two decks that it crosses.
    pub crease_limit_rad: f64,
    /// Least duration of a cross.
    pub cross_time_s: f64,
    /// Largest tangential force of the tracks in a slide.
    pub drive_force_n: f64,
    /// Largest torque of a yaw, rolling.
    pub yaw_torque_rolling_nm: f64,
    /// Largest torque of a yaw, braced.
    pub yaw_torque_braced_nm: f64,
    /// Speed of the sole in a slide.
    pub slide_speed_mps: f64,
    /// Rate of a yaw, rolling.
    pub yaw_rate_rolling_radps: f64,
    /// Rate of a yaw, braced.
    pub yaw_rate_braced_radps: f64,
    /// Duration of a hop.
    pub hop_time_s: f64,
    /// Duration of a brace.
    pub brace_time_s: f64,
    /// Duration of a release.
    pub release_time_s: f64,
    /// Power of a slide.
    pub drive_power_w: f64,
    /// Power of a yaw.
    pub yaw_power_w: f64,
    /// Power of a hop.
    pub hop_power_w: f64,
    /// Energy of one brace.
    pub brace_energy_j: f64,
    /// Power of a module that is switched on, at all times.
    pub idle_power_w: f64,
}

impl Kind {
    /// Distance between a host's centre and that of a module of this kind standing on it, in metres.
    #[must_use]
    pub fn standing_distance(&self, host: &Self) -> f64 {
        host.shell_radius_m + self.ride_height_m
    }

    /// Adhesion of the cup at an ambient pressure in pascals, in newtons.
    #[must_use]
    pub fn cup_force_n(&self, ambient_pa: f64) -> f64 {
        self.cup_area_m2 * self.cup_vacuum_pa.min(0.9 * ambient_pa)
    }

    /// Duration in seconds of a drive that would take `full_s` at full rate: it needs time to start and to stop.
    #[must_use]
    pub fn ramped_s(&self, full_s: f64) -> f64 {
        if full_s < self.ramp_time_s {
            2.0 * (full_s * self.ramp_time_s).sqrt()
        } else {
            full_s + self.ramp_time_s
        }
    }

    /// Duration in seconds of a slide of this length and curvature of the sole's path.
    #[must_use]
    pub fn slide_s(&self, edition: super::Edition, travel_m: f64, curvature_per_m: f64) -> f64 {
        let turned_s = if edition.curves_turn() {
            (travel_m * curvature_per_m).abs() / self.yaw_rate_rolling_radps
        } else {
            0.0
        };
        self.ramped_s((travel_m.abs() / self.slide_speed_mps).max(turned_s))
    }

    /// Duration in seconds of a cross whose sole goes so far, seen from above.
    #[must_use]
    pub fn cross_s(&self, travel_m: f64) -> f64 {
        self.cross_time_s.max(travel_m.abs() / self.slide_speed_mps)
    }

    /// Duration in seconds of a yaw.
    #[must_use]
    pub fn yaw_s(&self, hold: super::Hold, angle_rad: f64) -> f64 {
        let rate = match hold {
            super::Hold::Rolling => self.yaw_rate_rolling_radps,
            super::Hold::Braced => self.yaw_rate_braced_radps,
        };
        self.ramped_s(angle_rad.abs() / rate)
    }

    /// Lever of the foot's torsional friction in metres: `r = 2c/3`, a uniformly pressed disc (Shigley, disc clutch, from memory).
    #[must_use]
    pub fn spin_lever_m(&self) -> f64 {
        2.0 * self.peel_radius_m / 3.0
    }
}
