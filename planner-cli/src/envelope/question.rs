//! The questions of an envelope, and what is known about each from the kind alone.

use clamber_core::unstable::scene::{KindEntry, LimitsEntry, SiteEntry};
use clap::ValueEnum;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A question about what a crew of one kind can do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, ValueEnum)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Question {
    /// How many modules stand on top of each other on bare ground, all but the lowest braced
    Column,
    /// How many braced modules a level arm on the side of a root on steel has
    LevelArm,
    /// How near to level a straight braced arm of all but the root is held, in degrees
    RaisedArm,
    /// How heavy a payload is held at the end of a level arm of all but the root, in kilograms
    Payload,
    /// How narrow a doorway a module drives through, in metres
    Doorway,
    /// How high a wall of steel one of the crew gets up, in metres
    Wall,
    /// How wide a gap between two decks of steel one of the crew gets over, in metres
    Gap,
}

/// What the numbers of a question are, and where they are looked for.
#[derive(Clone, Copy, Debug)]
pub(super) struct Range {
    /// Surely possible, if anything is.
    pub(super) easy: f64,
    /// Surely more than is possible.
    pub(super) hard: f64,
    /// Bounds are worked out to this.
    pub(super) to: f64,
}

/// Lengths and forces of a kind, in SI units.
pub(super) struct Sizes {
    pub(super) shell_m: f64,
    pub(super) foot_m: f64,
    peel_m: f64,
    /// From centre to centre of a module and the one that stands on it.
    pub(super) apart_m: f64,
    /// From the sole to the centre of mass.
    com_m: f64,
    ride_m: f64,
    weight_n: f64,
    gravity_mps2: f64,
    /// What a braced bond on a shell may be used for, in newtons.
    allowed_n: f64,
    sway_rad: f64,
}

impl Sizes {
    pub(super) fn of(kind: &KindEntry, braced_n: f64) -> Self {
        let (site, limits) = (SiteEntry::default(), LimitsEntry::default());
        Self {
            shell_m: kind.shell_radius_m,
            foot_m: kind.foot_radius_m,
            peel_m: kind.peel_radius_m.unwrap_or(kind.foot_radius_m),
            apart_m: kind.shell_radius_m + kind.ride_height_m,
            com_m: kind.ride_height_m + kind.com_height_m,
            ride_m: kind.ride_height_m,
            weight_n: kind.mass_kg * site.gravity_mps2,
            gravity_mps2: site.gravity_mps2,
            allowed_n: braced_n / limits.hold_factor,
            sway_rad: limits.sway_deg.to_radians(),
        }
    }

    /// What the most loaded bond of a straight arm needs, in newtons: at its first link or at the root on steel, at an elevation in radians, with a
    /// payload at its end. Gravity straight down, or tilted towards the arm by the sway.
    fn arm_needs_n(&self, links: f64, elevation_rad: f64, payload_kg: f64) -> f64 {
        let (weight, extra) = (self.weight_n, payload_kg * self.gravity_mps2);
        let down = |tilt: f64| {
            let lower = elevation_rad - tilt;
            let first_nm = weight * links * ((links - 1.0) / 2.0 * self.apart_m + self.com_m)
                + extra * ((links - 1.0) * self.apart_m + self.ride_m);
            let first = first_nm * lower.cos() / self.peel_m - (links * weight + extra) * lower.sin();
            let along = weight * links * ((links - 1.0) / 2.0 * self.apart_m + self.com_m + self.shell_m)
                + extra * links * self.apart_m;
            // About the sole of the root: what the arm does, and what all masses do at their heights as gravity tilts.
            let heights = weight * self.com_m + (links * weight + extra) * self.ride_m;
            let root_nm = along * lower.cos() + heights * tilt.sin();
            let root = root_nm / self.peel_m - ((links + 1.0) * weight + extra) * tilt.cos();
            first.max(root)
        };
        down(0.0).max(down(self.sway_rad))
    }
}

impl Question {
    /// Whether it asks what one of a crew gets up or over, for which the others may stand still.
    pub(super) const fn lets_others_stand(self) -> bool {
        matches!(self, Self::Wall | Self::Gap)
    }

    /// Whether it asks for a number of modules.
    pub(super) const fn counts(self) -> bool {
        matches!(self, Self::Column | Self::LevelArm)
    }

    /// Whether it is about one module, however many there are.
    pub(super) const fn is_of_one(self) -> bool {
        matches!(self, Self::Doorway)
    }

    /// Whether the answer is a shape that stands, and not a way.
    pub(super) const fn is_shape(self) -> bool {
        matches!(self, Self::Column | Self::LevelArm | Self::RaisedArm | Self::Payload)
    }

    pub(super) const fn heading(self) -> &'static str {
        match self {
            Self::Column => "Tallest free column",
            Self::LevelArm => "Longest level arm",
            Self::RaisedArm => "Lowest straight arm",
            Self::Payload => "Heaviest payload at the end of a level arm",
            Self::Doorway => "Narrowest doorway",
            Self::Wall => "Highest wall",
            Self::Gap => "Widest gap",
        }
    }

    pub(super) const fn unit(self) -> &'static str {
        match self {
            Self::Column | Self::LevelArm => "modules",
            Self::RaisedArm => "°",
            Self::Payload => "kg",
            Self::Doorway | Self::Wall | Self::Gap => "m",
        }
    }

    /// The unit as a word beside an axis.
    pub(super) const fn measured_in(self) -> &'static str {
        match self {
            Self::RaisedArm => "degrees",
            _ => self.unit(),
        }
    }

    /// Where the answer is looked for; `None` where the crew is too small for the question.
    pub(super) fn range(self, sizes: &Sizes, modules: usize) -> Option<Range> {
        let crew = modules as f64;
        let (r, d) = (sizes.shell_m, sizes.apart_m);
        let range = |easy: f64, hard: f64, to: f64| Some(Range { easy, hard, to });
        match self {
            Self::Column => range(1.0, crew + 1.0, 1.0),
            Self::LevelArm if modules > 1 => range(1.0, crew, 1.0),
            Self::RaisedArm if modules > 1 => range(90.0, 0.0, 0.01),
            Self::Payload if modules > 1 => {
                let most_n = sizes.allowed_n * sizes.peel_m / sizes.ride_m;
                let most_kg = most_n / sizes.gravity_mps2;
                range(0.0, 2.0 * most_kg, 1e-3 * most_kg)
            }
            Self::Doorway => range(4.0 * r, 1.8 * r, 0.01 * r),
            Self::Wall if modules > 1 => range(0.25 * r, d * (crew + 1.0), 0.05 * r),
            Self::Gap if modules > 1 => range(0.25 * r, d * (crew + 1.0), 0.05 * r),
            Self::LevelArm | Self::RaisedArm | Self::Payload | Self::Wall | Self::Gap => None,
        }
    }

    /// The closed form, which is drawn beside what was found; and what it assumes.
    pub(super) fn closed_form(self, sizes: &Sizes, modules: usize) -> Option<f64> {
        let links = modules.saturating_sub(1) as f64;
        let (r, d, b) = (sizes.shell_m, sizes.apart_m, sizes.foot_m);
        let holds = |links: f64, elevation_rad: f64, payload_kg: f64| {
            sizes.arm_needs_n(links, elevation_rad, payload_kg) <= sizes.allowed_n
        };
        match self {
            Self::Column => {
                let tips = |n: f64| {
                    let com_m = sizes.com_m + (n - 1.0) / 2.0 * d;
                    sizes.sway_rad.tan() * com_m > sizes.peel_m
                };
                (1..=modules).map(|n| n as f64).take_while(|n| !tips(*n)).last()
            }
            Self::LevelArm => {
                Some((1..modules).map(|n| n as f64).take_while(|n| holds(*n, 0.0, 0.0)).last().unwrap_or(0.0))
            }
            Self::RaisedArm => {
                let lowest = |degrees: &f64| holds(links, degrees.to_radians(), 0.0);
                (0..=9000).map(|k| f64::from(k) / 100.0).find(lowest)
            }
            Self::Payload => {
                let (mut low, mut high) = (0.0, self.range(sizes, modules)?.hard);
                if !holds(links, 0.0, low) {
                    return None;
                }
                while high - low > 1e-6 {
                    let middle = f64::midpoint(low, high);
                    if holds(links, 0.0, middle) { low = middle } else { high = middle }
                }
                Some(low)
            }
            Self::Doorway => Some(2.0 * r),
            Self::Wall => Some(d * (links - 1.0) + (d * d - (r + b).powi(2)).max(0.0).sqrt()),
            Self::Gap => Some((d * links - 2.0 * b).max(0.0)),
        }
    }

    /// What the closed form is.
    pub(super) const fn closed_form_is(self) -> &'static str {
        match self {
            Self::Column => {
                "a stack tips when its centre of mass, tilted by the sway, leaves the rim of the lowest foot"
            }
            Self::LevelArm | Self::RaisedArm | Self::Payload => {
                "moments about the soles of the first link and of the root, gravity straight down or tilted along the arm; a bond that slips before it peels allows less"
            }
            Self::Doorway => "a shell is two radii wide",
            Self::Wall => {
                "the last module hops onto the brink from a vertical stack of all others that touches the wall; not a limit: leaning shapes may do more"
            }
            Self::Gap => {
                "the last link of a straight level chain of all but the root lands beyond; geometry alone, loads allow less"
            }
        }
    }
}
