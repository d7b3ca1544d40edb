//! The margins of a plan: how much more it would bear than is asked.

use super::judge::Look;
use super::replay::looks_of;
use crate::control::{Interrupt, Stopped};
use crate::model::{Body, ModuleId, Problem};
use crate::motion::load_at_rest;
use crate::plan::Plan;
use crate::statics::{DIRECTIONS, LoadCase, assess};
use rayon::prelude::*;

/// The margins of a plan, over its rests and over the beginning, middle and end of every stretch of time in which the moves under way stay the same.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Margins {
    /// How much further gravity may tilt, beyond the tilt that is asked for at each instant, in radians; and when that is least, in seconds.
    pub tilt: Option<(f64, f64)>,
    /// The least force by which a foot that weight alone holds is short of slipping or tipping, in newtons.
    pub held_by_weight: Option<HeldByWeight>,
    /// The largest utilisation of a bond.
    pub utilisation: f64,
    /// The same where no touch carries anything; `None` where nothing balances the crew then.
    pub without_touches: Option<f64>,
    /// When the plan first depends on touches, in seconds: without them it would not carry its load.
    pub depends_on_touches_s: Option<f64>,
}

/// A foot that weight alone holds, at the instant at which it is nearest to its limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeldByWeight {
    /// The module.
    pub module: ModuleId,
    /// The body it stands on.
    pub host: Body,
    /// The force by which all such feet are short of their limits, in newtons, in the equilibrium that is best for this.
    pub reserve_n: f64,
    /// When, in seconds.
    pub at_s: f64,
}

/// The margins of a plan that is sound.
///
/// Complexity: for each instant a few cone programmes where bodies touch.
///
/// # Errors
/// When interrupted; the interrupt is polled before every instant.
pub fn margins(problem: &Problem, plan: &Plan, interrupt: Interrupt<'_>) -> Result<Margins, Stopped> {
    let looks = looks_of(problem, plan, interrupt)?;
    let instants: Vec<Instant> = looks.iter().flat_map(|look| instants(problem, look)).collect();
    let parts: Result<Vec<Margins>, Stopped> =
        instants.par_iter().map(|instant| instant.margins(problem, interrupt)).collect();
    let mut all = parts?.into_iter().fold(Margins::NOTHING, Margins::worse);
    for instant in &instants {
        interrupt.go_on()?;
        all.tilt = instant.least_tilt(problem, all.tilt);
        all.held_by_weight = instant.least_reserve(problem, all.held_by_weight);
    }
    Ok(all)
}

/// A load case of a plan.
struct Instant {
    case: LoadCase,
    /// The tilt that is asked for, in radians.
    sway_rad: f64,
    at_s: f64,
}

fn instants(problem: &Problem, look: &Look<'_>) -> Vec<Instant> {
    match look {
        Look::Rest { crew, at_s, .. } => {
            let (case, sway_rad) = (load_at_rest(problem, crew), problem.limits.sway_rad);
            vec![Instant { case, sway_rad, at_s: *at_s }]
        }
        Look::Stretch { stretch, from, to, .. } => {
            let limits = &problem.limits;
            let sway_rad = if stretch.drives() { limits.moving_sway_rad() } else { limits.sway_rad };
            let variants = stretch.hop_variants();
            let shares = [0.0, 0.5, 1.0];
            let pairs = variants.flat_map(|hops| shares.map(|share| (hops, share)));
            pairs
                .map(|(hops, share)| Instant {
                    case: stretch.load_at(share, hops),
                    sway_rad,
                    at_s: from + share * (to - from),
                })
                .collect()
        }
    }
}

impl Instant {
    /// The margins but for the tilt and the feet that weight holds.
    fn margins(&self, problem: &Problem, interrupt: Interrupt<'_>) -> Result<Margins, Stopped> {
        interrupt.go_on()?;
        let limit = problem.limits.utilisation();
        let report = assess(problem, &self.case);
        let mut bare = self.case.clone();
        bare.touches.clear();
        let without = (0..DIRECTIONS)
            .map(|direction| bare.utilisation(direction))
            .reduce(|a, b| a.worse(b))
            .unwrap_or(crate::statics::Utilisation::NOTHING);
        Ok(Margins {
            tilt: None,
            held_by_weight: None,
            utilisation: report.utilisation.unwrap_or(f64::INFINITY),
            without_touches: without.within(f64::INFINITY).then_some(without.value),
            depends_on_touches_s: (!without.within(limit)).then_some(self.at_s),
        })
    }

    /// The least further tilt, given the least of other instants: it is worked out only where it is less.
    fn least_tilt(&self, problem: &Problem, least: Option<(f64, f64)>) -> Option<(f64, f64)> {
        let limit = problem.limits.utilisation();
        let bears = |tilt: f64| self.case.clone().with_sway(self.sway_rad + tilt).carries(limit);
        let most = least.map_or(std::f64::consts::FRAC_PI_2 - self.sway_rad, |(tilt, _)| tilt);
        if most <= 0.0 || bears(most) {
            return least.or(Some((most, self.at_s)));
        }
        Some((greatest(most, TILT_RAD, bears), self.at_s))
    }

    /// The least reserve of feet that weight alone holds, given the least of other instants.
    fn least_reserve(&self, problem: &Problem, least: Option<HeldByWeight>) -> Option<HeldByWeight> {
        let bonds = &self.case.bonds;
        if bonds.iter().all(|bond| bond.adhesion_n > 0.0) {
            return least;
        }
        let limit = problem.limits.utilisation();
        let reserving = |reserve_n: f64| {
            let mut case = self.case.clone();
            let of = |adhesion_n: f64| if adhesion_n > 0.0 { [0.0; 2] } else { [reserve_n; 2] };
            let bounds: Vec<[f64; 2]> = bonds.iter().map(|bond| of(bond.adhesion_n)).collect();
            case.set_margin(&bounds, 1.0);
            case
        };
        let bears = |reserve_n: f64| reserving(reserve_n).carries(limit);
        let weight_n =
            problem.module_ids().map(|m| problem.mass_kg(m)).sum::<f64>() * self.case.gravity[0].length();
        let most = least.map_or(weight_n, |held| held.reserve_n);
        if most <= 0.0 || bears(most) {
            return least;
        }
        let reserve_n = greatest(most, RESERVE_SHARE * weight_n, bears);
        // Of several such feet, the one that is nearest to its limit.
        let report = assess(problem, &self.case);
        let held = report.bonds.iter().filter(|bond| bond.adhesion_n <= 0.0);
        let nearest = held.max_by(|a, b| a.needs_n.total_cmp(&b.needs_n))?;
        Some(HeldByWeight { module: nearest.child, host: nearest.host, reserve_n, at_s: self.at_s })
    }
}

/// The tilt is worked out to this, in radians.
const TILT_RAD: f64 = 1e-4;
/// The reserve is worked out to this share of the crew's weight.
const RESERVE_SHARE: f64 = 1e-4;

/// The greatest value below one that is too great for which something holds, by bisection, to within a width.
fn greatest(most: f64, width: f64, holds: impl Fn(f64) -> bool) -> f64 {
    let (mut low, mut high) = (0.0, most);
    while high - low > width {
        let middle = 0.5 * (low + high);
        if holds(middle) { low = middle } else { high = middle }
    }
    low
}

impl Margins {
    const NOTHING: Self = Self {
        tilt: None,
        held_by_weight: None,
        utilisation: 0.0,
        without_touches: Some(0.0),
        depends_on_touches_s: None,
    };

    fn worse(self, other: Self) -> Self {
        let least = |a: Option<f64>, b: Option<f64>| a.into_iter().chain(b).reduce(f64::min);
        Self {
            tilt: None,
            held_by_weight: None,
            utilisation: self.utilisation.max(other.utilisation),
            without_touches: self.without_touches.zip(other.without_touches).map(|(a, b)| a.max(b)),
            depends_on_touches_s: least(self.depends_on_touches_s, other.depends_on_touches_s),
        }
    }
}
