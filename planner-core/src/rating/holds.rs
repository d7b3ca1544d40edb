//! From the limits of the series to the rated holds, so that the capacity of the model lies nowhere above a limit.
//!
//! Along each tested ray the model's limit is reciprocal-linear in the force `F` of the pull: axial `F = A`; at an offset `e` `F = A b/(b + e)`; at an angle `ψ`
//! `F (sin ψ/(0.93 μ) + cos ψ) = A`. So with the adhesion `A` rated first, each limit `L` bounds one number:
//! `b ≤ e L/(A − L)` and `0.93 μ ≤ L sin ψ/(A − L cos ψ)` where these denominators are positive; where they are not, the limit is kept whatever the number.

use super::figure::{Figure, FigureName};
use super::options::RatingOptions;
use super::pull::Pull;
use super::rounding::rounded_down;
use super::series::{Series, TestKind};
use crate::math::sin_cos;

/// Significant digits of rated numbers.
const DIGITS: i32 = 3;
/// Of the slip limit, since the elliptic limit surface over-predicts the exact one by up to 7 % (model, section 5).
pub(super) const SLIP: f64 = 0.93;

/// The rated holds.
pub(super) struct Holds {
    pub(super) figures: Vec<Figure>,
    /// The rated adhesion, rolling.
    pub(super) rolling_n: Option<f64>,
    /// The rated adhesion, braced.
    pub(super) braced_n: Option<f64>,
    /// What the braced limit adds to the rolling one.
    pub(super) cup_force_n: Option<f64>,
}

/// A value, the series that decides it, and words for how; or why there is none.
type Found = Result<(f64, Option<usize>, String), Lack>;

/// Why a number is not rated.
#[derive(Clone)]
struct Lack {
    why: String,
    /// Whether there are tests, but none puts a bound on the number.
    is_unbounded: bool,
}

impl Lack {
    fn of_tests(why: impl Into<String>) -> Self {
        Self { why: why.into(), is_unbounded: false }
    }
}

pub(super) fn holds(series: &[Series], pulls: &[Pull], options: &RatingOptions) -> Holds {
    let magnet = adhesion(series, false);
    let braced = adhesion(series, true);
    let magnet_figure = figure(FigureName::MagnetForceN, magnet.clone());
    let rolling_n = magnet_figure.value;
    let has_braced = series.iter().any(Series::is_braced);
    let mut cup_force_n = None;
    let mut cup = match (&magnet, &braced) {
        (Ok((rolling, ..)), Ok((braced, index, why))) => {
            let force = (braced - rolling).max(0.0);
            cup_force_n = Some(force);
            cup_figure(force, *index, why, *rolling, vacuum(series, pulls), options)
        }
        (_, Err(lack)) | (Err(lack), _) => figure(FigureName::CupVacuumPa, Err(lack.clone())),
    };
    if !has_braced {
        // Without a cup there is nothing to rate.
        cup.lacks_tests = options.cup_area_m2.is_some_and(|area| area > 0.0);
    }
    let braced_n = match (rolling_n, cup.value, options.cup_area_m2) {
        (Some(rolling), Some(vacuum), Some(area)) => Some(rolling + vacuum * area),
        (Some(_), None, _) => braced.ok().map(|(limit, ..)| rounded_down(limit, DIGITS)),
        _ => None,
    };
    let rated = |series: &Series| if series.is_braced() { braced_n } else { rolling_n };
    let friction = figure(FigureName::BondFriction, least(series, TestKind::Angled, &rated, friction_bound));
    let peel = least(series, TestKind::Eccentric, &rated, peel_bound);
    let peel = figure(FigureName::PeelRadiusM, within_foot(peel, options.foot_radius_m));
    Holds { figures: vec![magnet_figure, cup, friction, peel], rolling_n, braced_n, cup_force_n }
}

/// The least limit of the axial series of a hold, over all surfaces.
fn adhesion(series: &[Series], braced: bool) -> Found {
    let hold = if braced { "braced" } else { "rolling" };
    let axial =
        || series.iter().enumerate().filter(|(_, s)| s.test == TestKind::Axial && s.is_braced() == braced);
    let mut least: Option<(f64, usize)> = None;
    for (index, series) in axial() {
        let limit = rateable(series)?;
        if least.is_none_or(|(least, _)| limit < least) {
            least = Some((limit, index));
        }
    }
    let (limit, index) = least.ok_or_else(|| Lack::of_tests(format!("there are no axial {hold} pulls")))?;
    if limit <= 0.0 {
        return Err(not_above_zero(&series[index]));
    }
    Ok((limit, Some(index), format!("limit {limit:.2} N of {}", series[index].name())))
}

/// The limit of a series, or why it has none.
fn rateable(series: &Series) -> Result<f64, Lack> {
    series.limit_n.ok_or_else(|| Lack::of_tests(format!("{} is too small to be rated", series.name())))
}

fn not_above_zero(series: &Series) -> Lack {
    Lack::of_tests(format!("the limit of {} is not above 0: its forces scatter too much", series.name()))
}

fn cup_figure(
    force: f64,
    index: Option<usize>,
    why: &str,
    rolling: f64,
    vacuum: Option<f64>,
    options: &RatingOptions,
) -> Figure {
    let why = format!("{why}, less {rolling:.2} N rolling: {force:.2} N");
    let Some(area) = options.cup_area_m2.filter(|area| *area > 0.0) else {
        let why = format!("{why}; cup_area_m2 is not known, and cup_vacuum_pa is this force over that area");
        let left_open = figure(FigureName::CupVacuumPa, Err(Lack::of_tests(why)));
        return Figure { lacks_tests: false, governed_by: index, ..left_open };
    };
    let (value, why) = match (force / area, vacuum) {
        (effective, Some(reached)) if reached < effective => (
            reached,
            format!(
                "{why}, over {area} m²; that is more than the lowest vacuum in these pulls, {reached} Pa, which counts instead"
            ),
        ),
        (effective, _) => (effective, format!("{why}, over {area} m²")),
    };
    let why = if value > 0.0 { why } else { format!("{why}: bracing adds nothing") };
    figure(FigureName::CupVacuumPa, Ok((value, index, why)))
}

/// The lowest vacuum in the cups of the braced axial pulls, where it was noted.
fn vacuum(series: &[Series], pulls: &[Pull]) -> Option<f64> {
    let braced = series.iter().filter(|s| s.test == TestKind::Axial && s.is_braced());
    let reached = braced.flat_map(|s| &s.members).filter_map(|index| pulls[*index].vacuum_pa);
    reached.filter(|vacuum| *vacuum > 0.0).reduce(f64::min)
}

/// The least of the bounds that the series of a test put on a number. `Err` where a series is too small, an adhesion is not rated, or nothing binds.
fn least(
    series: &[Series],
    test: TestKind,
    rated: &dyn Fn(&Series) -> Option<f64>,
    bound: fn(&Series, f64, f64) -> Option<f64>,
) -> Found {
    let mut least: Option<(f64, usize)> = None;
    let mut any = false;
    for (index, series) in series.iter().enumerate().filter(|(_, series)| series.test == test) {
        any = true;
        let limit = rateable(series)?;
        let adhesion = rated(series)
            .ok_or_else(|| Lack::of_tests(format!("the adhesion {} is not rated", series.hold)))?;
        if let Some(bound) = bound(series, limit, adhesion)
            && least.is_none_or(|(least, _)| bound < least)
        {
            least = Some((bound, index));
        }
    }
    let what = if test == TestKind::Angled { "angled" } else { "eccentric" };
    match least {
        None if any => {
            Err(Lack { why: format!("no {what} series is weak enough to bound it"), is_unbounded: true })
        }
        None => Err(Lack::of_tests(format!("there are no {what} pulls"))),
        Some((bound, index)) if bound > 0.0 => {
            let decides = &series[index];
            let adhesion = rated(decides).unwrap_or_default();
            let limit = decides.limit_n.unwrap_or_default();
            let why = format!("limit {limit:.2} N of {}, with {adhesion:.2} N of adhesion", decides.name());
            Ok((bound, Some(index), why))
        }
        Some((_, index)) => Err(not_above_zero(&series[index])),
    }
}

fn friction_bound(series: &Series, limit: f64, adhesion: f64) -> Option<f64> {
    let (sine, cosine) = sin_cos(series.angle_deg.to_radians());
    let left = adhesion - limit * cosine;
    (left > 0.0).then(|| limit * sine / (SLIP * left))
}

fn peel_bound(series: &Series, limit: f64, adhesion: f64) -> Option<f64> {
    (adhesion > limit).then(|| series.offset_m * limit / (adhesion - limit))
}

/// The foot peels within its disc.
fn within_foot(peel: Found, foot_radius_m: Option<f64>) -> Found {
    let Some(foot) = foot_radius_m else { return peel };
    let capped = |tests: String, why: String| {
        format!("foot_radius_m, which it may not exceed; the eccentric pulls would allow {tests} ({why})")
    };
    match peel {
        Ok((radius, index, why)) if radius > foot => {
            Ok((foot, index, capped(format!("{:.1} mm", 1e3 * radius), why)))
        }
        Err(Lack { why, is_unbounded: true }) => Ok((foot, None, capped("more".into(), why))),
        other => other,
    }
}

fn figure(name: FigureName, found: Found) -> Figure {
    match found {
        Ok((value, index, why)) => Figure {
            name,
            value: Some(rounded_down(value, DIGITS)),
            unrounded: Some(value),
            governed_by: index,
            lacks_tests: false,
            why,
        },
        Err(Lack { why, .. }) => {
            Figure { name, value: None, unrounded: None, governed_by: None, lacks_tests: true, why }
        }
    }
}
