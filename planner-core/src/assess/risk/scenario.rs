//! Common causes: one thing that weakens the whole crew at once.

use super::super::trial::{Trial, try_failure};
use crate::check::Stances;
use crate::control::{Interrupt, Stopped};
use crate::model::Problem;
use crate::motion::structure_failures::Failed;
use rayon::prelude::*;

/// A common cause: what is left of everything, all along the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Scenario {
    /// What it is called.
    pub name: String,
    /// The share that is left of every magnet force.
    pub magnet: f64,
    /// The share that is left of every cup force.
    pub cup: f64,
    /// The share that is left of every friction: feet, touches and ground.
    pub friction: f64,
    /// The share of every mass, payloads included.
    pub mass: f64,
    /// How much further gravity tilts, in radians.
    pub tilt_rad: f64,
    /// How likely the engineer holds it to be, if anything is known.
    pub probability: Option<f64>,
}

/// What a common cause does to a plan.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct ScenarioRow {
    /// The cause.
    pub scenario: Scenario,
    /// What it does where that is worst.
    pub trial: Trial,
}

/// The causes that always stand beside a chance: name, and what is left of magnets, cups and friction.
pub const COMMON_CAUSES: [(&str, [f64; 3]); 3] = [
    ("every cup -50 %", [1.0, 0.5, 1.0]),
    ("friction -30 %", [1.0, 1.0, 0.7]),
    ("all magnets -20 %", [0.8, 1.0, 1.0]),
];

impl Scenario {
    /// The causes that always stand beside a chance.
    #[must_use]
    pub fn common() -> Vec<Self> {
        let of = |(name, [magnet, cup, friction]): (&str, [f64; 3])| Self {
            name: name.into(),
            magnet,
            cup,
            friction,
            mass: 1.0,
            tilt_rad: 0.0,
            probability: None,
        };
        COMMON_CAUSES.map(of).into()
    }

    fn weaken(&self, problem: &mut Problem) {
        for kind in &mut problem.kinds {
            kind.magnet_force_n *= self.magnet;
            kind.cup_area_m2 *= self.cup;
            kind.bond_friction *= self.friction;
            kind.shell_friction *= self.friction;
            kind.mass_kg *= self.mass;
        }
        problem.grounds.iter_mut().for_each(|ground| ground.surfacing.friction *= self.friction);
        problem.modules.iter_mut().for_each(|module| module.payload_kg *= self.mass);
        problem.limits.sway_rad += self.tilt_rad;
    }
}

/// The rows of some causes, in their order.
///
/// # Errors
/// When interrupted; the interrupt is polled before every load case.
pub(super) fn rows(
    problem: &Problem,
    stances: &Stances<'_>,
    scenarios: &[Scenario],
    interrupt: Interrupt<'_>,
) -> Result<Vec<ScenarioRow>, Stopped> {
    let limit = problem.limits.utilisation();
    let row = |scenario: &Scenario| {
        let weakened =
            |number: usize| vec![Failed::changed(stances.get(number), |problem| scenario.weaken(problem))];
        let tried = try_failure(stances, limit, weakened, interrupt)?;
        let trial = tried.worst.map(|worst| worst.tell(stances, interrupt)).transpose()?;
        Ok(trial.map(|trial| ScenarioRow { scenario: scenario.clone(), trial }))
    };
    let rows: Result<Vec<Option<ScenarioRow>>, Stopped> = scenarios.par_iter().map(row).collect();
    Ok(rows?.into_iter().flatten().collect())
}
