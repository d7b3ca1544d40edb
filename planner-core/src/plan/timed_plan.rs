//! A timed plan: its steps in time, and the figures it claims.

use crate::model::{Body, Configuration, ModuleId, Placement, Problem};
use crate::motion::{Move, apply};

/// The status of a search at its end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// The plan reaches the goal.
    Solved,
    /// No plan exists, as a certificate proves.
    ProvedImpossible,
    /// Time or memory was used up; the plan, if any, is partial.
    BudgetSpent,
    /// The caller stopped the search; the plan, if any, is partial.
    Cancelled,
}

impl Status {
    /// All statuses, with their names in files.
    pub const WORDS: [(Self, &'static str); 4] = [
        (Self::Solved, "solved"),
        (Self::ProvedImpossible, "proved_impossible"),
        (Self::BudgetSpent, "budget_spent"),
        (Self::Cancelled, "cancelled"),
    ];

    /// The meaning of the status, as a sentence.
    #[must_use]
    pub const fn meaning(self) -> &'static str {
        match self {
            Self::Solved => "solved",
            Self::ProvedImpossible => "there is no plan, and a certificate says why",
            Self::BudgetSpent => {
                "the search ended before it found a way; that is no proof that there is none"
            }
            Self::Cancelled => "the search was stopped before it found a way",
        }
    }

    /// The name in files.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(status, _)| *status == self).map_or("", |(_, word)| word)
    }
}

/// One timed move and its claimed figures.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The module that moves.
    pub module: ModuleId,
    /// Its move.
    pub action: Move,
    /// Start, in seconds from the plan's beginning.
    pub start_s: f64,
    /// Duration, in seconds.
    pub duration_s: f64,
    /// Indices of the steps that must have ended before it starts.
    pub after: Vec<usize>,
    /// The placement of the module at the end.
    pub end: Placement,
    /// Worst utilisation of any bond over the step.
    pub utilisation: f64,
    /// Smallest free gap over the step between what moves and other bodies, in metres; `None` where there is none.
    pub gap_m: Option<f64>,
}

impl Step {
    /// End, in seconds from the plan's beginning.
    #[must_use]
    pub fn end_s(&self) -> f64 {
        self.start_s + self.duration_s
    }
}

/// The figures of a whole plan.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Summary {
    /// Number of steps.
    pub moves: usize,
    /// End of the last step, in seconds.
    pub makespan_s: f64,
    /// Energy of all moves, braces and idling, in joules.
    pub energy_j: f64,
    /// Path length of all soles in slides and crosses, in metres.
    pub travel_m: f64,
    /// Worst utilisation of any step.
    pub utilisation: f64,
    /// Smallest gap of any step, in metres, if any has one.
    pub gap_m: Option<f64>,
    /// A lower bound on the makespan of every plan for the scene, in seconds.
    pub lower_bound_s: f64,
}

/// The planner that made a plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlannerNote {
    /// Name of the planner.
    pub name: String,
    /// Its seed.
    pub seed: u64,
    /// Version of the library.
    pub version: String,
}

impl PlannerNote {
    /// The note for a planner of this version of the library.
    #[must_use]
    pub fn new(name: &str, seed: u64) -> Self {
        Self { name: name.to_owned(), seed, version: env!("CARGO_PKG_VERSION").to_owned() }
    }
}

/// What the utilisations of a plan's steps are.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum UtilisationIs {
    /// The worst over each step.
    #[default]
    Exact,
    /// A proven bound on that: never below it, and at most the limit.
    Bound,
}

/// A timed plan for a [`Problem`]. Read and written as JSON by [`read_plan`](crate::read_plan) and [`write_plan`](crate::write_plan).
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The planner that made it.
    pub planner: PlannerNote,
    /// The status of the search.
    pub status: Status,
    /// Why the goal is not reached, in words; `None` for a plan that reaches it.
    pub reason: Option<String>,
    /// What the utilisations are.
    pub utilisation_is: UtilisationIs,
    /// The steps, not necessarily in the order of their starts.
    pub steps: Vec<Step>,
    /// Figures of the whole plan.
    pub summary: Summary,
}

impl Plan {
    /// The configuration at the end of a plan that has been checked. A step that cannot be made is passed over.
    #[must_use]
    pub fn last(&self, problem: &Problem) -> Configuration {
        let mut order: Vec<&Step> = self.steps.iter().collect();
        order.sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
        order.into_iter().fold(problem.start.clone(), |now, step| {
            apply(problem, &now, step.module, &step.action).unwrap_or(now)
        })
    }

    /// Whether any module yaws or slides while another stands on it.
    #[must_use]
    pub fn carries_anybody(&self, problem: &Problem) -> bool {
        let mut hosts: Vec<Body> = problem.start.iter().map(|(_, place)| place.host).collect();
        let mut order: Vec<&Step> = self.steps.iter().collect();
        order.sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
        order.into_iter().any(|step| {
            let moves_place = matches!(step.action, Move::Yaw { .. } | Move::Slide { .. });
            let carries = moves_place && hosts.contains(&Body::Module(step.module));
            // Neither its old nor its new host moves during a hop.
            if let Some(host) = hosts.get_mut(step.module.index()) {
                *host = step.end.host;
            }
            carries
        })
    }
}
