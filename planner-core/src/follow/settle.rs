//! From measured poses to the nearest configuration that meets bonds, touches and non-overlap exactly.

use super::measured::{Measured, as_configuration};
use crate::math::angle_between;
use crate::model::nearest::{Nearest, Seen};
use crate::model::{Body, BondForest, Configuration, Invalid, ModuleId, Problem, touches};
use crate::motion::{Fault, faults_at_rest};

/// How far a settled pose lies from the measured one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Residual {
    /// Of the centre, in metres.
    pub position_m: f64,
    /// Of the orientation, in radians; `None` for a module in the middle of a hop, whose orientation tells nothing.
    pub angle_rad: Option<f64>,
}

/// A touch that was taken to be there, because the gap was within the scatter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Closed {
    /// The module.
    pub module: ModuleId,
    /// What it touches.
    pub other: Body,
    /// The gap that was closed, in metres, negative where the measured bodies overlap.
    pub gap_m: f64,
}

/// How an interrupted hop, cross or stride ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Finish {
    /// The module that hops, crosses or strides.
    pub module: ModuleId,
    /// The host to stand on: the new one, or the old one again.
    pub host: Body,
    /// Whether that is going on, not going back.
    pub goes_on: bool,
}

/// A crew as it stands, exactly.
#[derive(Clone, Debug, PartialEq)]
pub struct Settled {
    /// The configuration. Where a hop was interrupted, it is the one after the hop has ended as in [`hops`](Self::hops).
    pub configuration: Configuration,
    /// How far each module's settled pose lies from the measured one.
    pub residuals: Vec<Residual>,
    /// The touches that were taken to be there.
    pub closed: Vec<Closed>,
    /// How interrupted hops, crosses and strides should end: the nearer end that is sound.
    pub hops: Vec<Finish>,
    /// Rules that the settled configuration does not keep at rest, each as a sentence. Empty: it is sound.
    pub unsound: Vec<String>,
}

impl Settled {
    /// Whether the configuration keeps every rule at rest.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        self.unsound.is_empty()
    }
}

/// Why measured poses are refused.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Unsettled {
    /// Values make no sense.
    #[error(transparent)]
    Invalid(#[from] Invalid),
    /// The poses contradict what the modules are said to stand on.
    #[error("the measured poses contradict the model: {}", .0.join("; "))]
    Contradiction(Vec<String>),
}

/// A touch is taken to be there where the gap is at most this many scatters of a position.
const CLOSED_SCATTERS: f64 = 3.0;
/// A module further from its host, or a pose further from the nearest sound one, than this many scatters contradicts the model.
const ODD_SCATTERS: f64 = 4.0;
/// Steps from the measured to the expected poses.
const TOWARDS_EXPECTED: u32 = 4;
/// Most hops that may be interrupted at once for all their ends to be tried.
const MOST_HOPS: usize = 6;

/// The configuration nearest to measured poses, one for each module in the order of the crew, in which bonds, touches and non-overlap hold exactly.
///
/// Where `expected` is given, as by a plan that is being followed, the bodies that touch there touch here; otherwise bodies touch where the gap is
/// within the scatter. A crew at the limit of its load may be sound where it is expected and not quite where it was measured: then the answer lies as
/// far towards the expected poses as it takes, within the scatter. States within a slide or a yaw are states like any other. A hop that was interrupted ends at the nearer of its hosts at which
/// the crew is sound.
///
/// Weighted least squares over positions and directions; complexity: cubic in the modules, for each way in which interrupted hops may end.
///
/// ```
/// use clamber_core::follow::{Measured, Scatter, settle};
/// let (_, problem) = clamber_core::read_scenario("pair.toml", include_str!("../../examples/pair.toml"))?;
/// let scatter = Scatter::default();
/// let mut measured: Vec<Measured> = problem.start.iter().map(|(_, place)| Measured::exactly(place, scatter)).collect();
/// measured[0].position.z += 0.4e-3;
/// let settled = settle(&problem, &measured, None)?;
/// assert!(settled.is_sound() && settled.residuals[0].position_m < 0.41e-3);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// [`Unsettled`] when values make no sense, or the poses contradict the model: a module nowhere near its host, or poses that no configuration comes
/// near.
pub fn settle(
    problem: &Problem,
    measured: &[Measured],
    expected: Option<&Configuration>,
) -> Result<Settled, Unsettled> {
    let there = as_configuration(problem, measured)?;
    if let Some(expected) = expected {
        problem.validate_configuration(expected)?;
    }
    let hopping: Vec<ModuleId> =
        problem.module_ids().filter(|id| measured[id.index()].hopping_to.is_some()).take(MOST_HOPS).collect();
    let mut best: Option<Settled> = None;
    let mut refusal = None;
    for ends in ends_by_turning(problem, measured, &there, &hopping) {
        match settle_soundly(problem, measured, &there, &ends, expected) {
            Ok(settled) if settled.is_sound() => return Ok(settled),
            Ok(settled) => best = best.or(Some(settled)),
            Err(error) => refusal = refusal.or(Some(error)),
        }
    }
    match (best, refusal) {
        (Some(settled), _) => Ok(settled),
        (None, Some(refusal)) => Err(refusal),
        (None, None) => Err(Unsettled::Contradiction(vec!["there is no way to end the hops".to_owned()])),
    }
}

/// All ways in which interrupted hops may end, those that turn the modules least first.
fn ends_by_turning(
    problem: &Problem,
    measured: &[Measured],
    there: &Configuration,
    hopping: &[ModuleId],
) -> Vec<Vec<Finish>> {
    let mut ways: Vec<(f64, Vec<Finish>)> = (0..1_u32 << hopping.len())
        .map(|bits| {
            let finish = |(at, &module): (usize, &ModuleId)| {
                let own = &measured[module.index()];
                let goes_on = bits & 1 << at != 0;
                let host = own.hopping_to.filter(|_| goes_on).unwrap_or(own.host);
                Finish { module, host, goes_on }
            };
            let ends: Vec<Finish> = hopping.iter().enumerate().map(finish).collect();
            let turn = |end: &Finish| {
                let place = there.get(end.module);
                let normal = match end.host {
                    Body::Ground(ground) => problem.ground(ground).plane.normal,
                    Body::Stone(_) => place.up(),
                    Body::Module(host) => place.position - there.get(host).position,
                };
                angle_between(place.up(), normal)
            };
            (ends.iter().map(turn).sum(), ends)
        })
        .collect();
    ways.sort_by(|(a, _), (b, _)| a.total_cmp(b));
    ways.into_iter().map(|(_, ends)| ends).collect()
}

/// The nearest configuration, or one between it and the expected one that is sound and within the scatter.
fn settle_soundly(
    problem: &Problem,
    measured: &[Measured],
    there: &Configuration,
    ends: &[Finish],
    expected: Option<&Configuration>,
) -> Result<Settled, Unsettled> {
    let nearest = settle_at(problem, measured, there, ends, expected, 0.0)?;
    if nearest.is_sound() || expected.is_none() {
        return Ok(nearest);
    }
    let between = (1..=TOWARDS_EXPECTED).map(|step| f64::from(step) / f64::from(TOWARDS_EXPECTED));
    let mut tried =
        between.filter_map(|share| settle_at(problem, measured, there, ends, expected, share).ok());
    Ok(tried.find(Settled::is_sound).unwrap_or(nearest))
}

/// `towards` is the share of the way from the measured to the expected poses.
fn settle_at(
    problem: &Problem,
    measured: &[Measured],
    there: &Configuration,
    ends: &[Finish],
    expected: Option<&Configuration>,
    towards: f64,
) -> Result<Settled, Unsettled> {
    let mut near = there.clone();
    for end in ends {
        near.get_mut(end.module).host = end.host;
    }
    if !BondForest::new(&near).is_forest() {
        let words = "the hosts that are left when hops end form a ring".to_owned();
        return Err(Unsettled::Contradiction(vec![words]));
    }
    let is_hopping = |id: ModuleId| ends.iter().any(|end| end.module == id);
    refuse_far(problem, measured, &near)?;
    let seen: Vec<Seen> = problem
        .module_ids()
        .map(|id| {
            let own = &measured[id.index()];
            let scatter = own.scatter;
            let angle_rad = if is_hopping(id) { f64::INFINITY } else { scatter.angle_rad };
            let wanted = expected.map_or(*there.get(id), |expected| *expected.get(id));
            let position = own.position.lerp(wanted.position, towards);
            let turned = own.orientation.slerp(wanted.orientation, towards);
            let orientation = if is_hopping(id) { own.orientation } else { turned };
            Seen { position, orientation, position_m: scatter.position_m, angle_rad }
        })
        .collect();
    let fit = |touching: &[(ModuleId, Body)]| Nearest { problem, near: &near, seen: &seen, touching }.find();
    let nowhere = || Unsettled::Contradiction(vec!["no configuration is near the measured poses".to_owned()]);
    let apart = fit(&[]).ok_or_else(nowhere)?;
    let mut closed = match expected {
        Some(expected) => touching_in(problem, expected, &apart),
        None => touching_within(problem, measured, &apart),
    };
    let pairs: Vec<(ModuleId, Body)> = closed.iter().map(|c| (c.module, c.other)).collect();
    let configuration = if pairs.is_empty() {
        apart
    } else if let Some(touching) = fit(&pairs) {
        touching
    } else {
        closed.clear();
        apart
    };
    let residuals: Vec<Residual> = problem
        .module_ids()
        .map(|id| {
            let (own, place) = (&measured[id.index()], configuration.get(id));
            Residual {
                position_m: own.position.distance(place.position),
                angle_rad: (!is_hopping(id)).then(|| own.orientation.angle_between(place.orientation)),
            }
        })
        .collect();
    refuse_odd(problem, measured, &residuals)?;
    let faults = faults_at_rest(problem, &configuration);
    let unsound = faults.iter().map(|fault: &Fault| fault.describe(problem)).collect();
    Ok(Settled { unsound, configuration, residuals, closed, hops: ends.to_vec() })
}

/// Refuses modules that are nowhere near their hosts.
fn refuse_far(problem: &Problem, measured: &[Measured], near: &Configuration) -> Result<(), Unsettled> {
    let mut words = Vec::new();
    for (id, place) in near.iter() {
        let kind = problem.kind(id);
        let mut scatter_m = measured[id.index()].scatter.position_m;
        let off_m = match place.host {
            Body::Ground(ground) => problem.ground(ground).plane.above(place.position) - kind.ride_height_m,
            Body::Stone(_) => f64::INFINITY,
            Body::Module(host) => {
                scatter_m = scatter_m.max(measured[host.index()].scatter.position_m);
                let asked_m = kind.standing_distance(problem.kind(host));
                place.position.distance(near.get(host).position) - asked_m
            }
        };
        if off_m.abs() > 2.0 * ODD_SCATTERS * scatter_m {
            words.push(format!(
                "{} is measured {:.2} mm off the surface of {}, on which it is said to stand",
                problem.module_name(id),
                off_m * 1e3,
                problem.name_of(place.host)
            ));
        }
    }
    if words.is_empty() { Ok(()) } else { Err(Unsettled::Contradiction(words)) }
}

/// Refuses poses from which the nearest configuration is too far.
fn refuse_odd(problem: &Problem, measured: &[Measured], residuals: &[Residual]) -> Result<(), Unsettled> {
    let mut words = Vec::new();
    for ((id, own), residual) in problem.module_ids().zip(measured).zip(residuals) {
        let name = problem.module_name(id);
        let most_m = ODD_SCATTERS * own.scatter.position_m;
        if residual.position_m > most_m {
            let (found, most) = (residual.position_m * 1e3, most_m * 1e3);
            words.push(format!("{name} is measured {found:.2} mm from where it can be; at most {most:.2} mm are put down to scatter"));
        }
        let most_rad = ODD_SCATTERS * own.scatter.angle_rad;
        if let Some(angle_rad) = residual.angle_rad.filter(|angle| *angle > most_rad) {
            let (found, most) = (angle_rad.to_degrees(), most_rad.to_degrees());
            words.push(format!("{name} is measured turned by {found:.2}° from how it can stand; at most {most:.2}° are put down to scatter"));
        }
    }
    if words.is_empty() { Ok(()) } else { Err(Unsettled::Contradiction(words)) }
}

/// The touches of another configuration of the crew, as far as they can be touches here.
fn touching_in(problem: &Problem, expected: &Configuration, here: &Configuration) -> Vec<Closed> {
    touches(problem, expected)
        .into_iter()
        .filter(|touch| match touch.other {
            Body::Ground(_) | Body::Stone(_) => here.get(touch.module).host != touch.other,
            Body::Module(other) => !here.bonded(touch.module, other),
        })
        .map(|touch| Closed {
            module: touch.module,
            other: touch.other,
            gap_m: gap_m(problem, here, touch.module, touch.other),
        })
        .collect()
}

/// The pairs whose gap is within the scatter.
fn touching_within(problem: &Problem, measured: &[Measured], here: &Configuration) -> Vec<Closed> {
    let scatter_m = measured.iter().map(|m| m.scatter.position_m).fold(0.0, f64::max);
    let mut loose = problem.clone();
    loose.limits.touch_tol_m += CLOSED_SCATTERS * scatter_m;
    touching_in(&loose, here, here)
}

fn gap_m(problem: &Problem, here: &Configuration, module: ModuleId, other: Body) -> f64 {
    let (centre, radius) = (here.get(module).position, problem.kind(module).shell_radius_m);
    match other {
        Body::Ground(ground) => problem.distance_to_ground(ground, centre) - radius,
        Body::Stone(stone) => problem.distance_to_stone(stone, centre) - radius,
        Body::Module(other) => {
            centre.distance(here.get(other).position) - radius - problem.kind(other).shell_radius_m
        }
    }
}
