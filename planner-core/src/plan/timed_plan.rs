//! A timed plan: what is done when, and what is claimed about it.

use crate::model::{Body, ModuleId, Placement, Problem};
use crate::motion::Move;

/// How a search ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// The plan reaches the goal.
    Solved,
    /// There is no plan, and a certificate says why.
    ProvedImpossible,
    /// Time or memory ran out; the plan, if any, goes part of the way.
    BudgetSpent,
    /// The caller stopped the search; the plan, if any, goes part of the way.
    Cancelled,
}

impl Status {
    /// All of them, with the words of the files.
    pub const WORDS: [(Self, &'static str); 4] = [
        (Self::Solved, "solved"),
        (Self::ProvedImpossible, "proved_impossible"),
        (Self::BudgetSpent, "budget_spent"),
        (Self::Cancelled, "cancelled"),
    ];

    /// What it means.
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

    /// The word of the files.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(status, _)| *status == self).map_or("", |(_, word)| word)
    }
}

/// One timed move and what it claims.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Who moves.
    pub module: ModuleId,
    /// What it does.
    pub action: Move,
    /// When it starts.
    pub start_s: f64,
    /// How long it takes.
    pub duration_s: f64,
    /// Indices of the steps that must have ended before it starts.
    pub after: Vec<usize>,
    /// Where the module is when it ends.
    pub end: Placement,
    /// Worst utilisation of any bond over the step.
    pub utilisation: f64,
    /// Smallest free gap of what moves over the step, if there is anything else.
    pub gap_m: Option<f64>,
}

impl Step {
    /// When it ends.
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
    /// End of the last step.
    pub makespan_s: f64,
    /// Energy of all moves, braces and idling.
    pub energy_j: f64,
    /// Way of all soles in slides.
    pub travel_m: f64,
    /// Worst utilisation of any step.
    pub utilisation: f64,
    /// Smallest gap of any step, if any has one.
    pub gap_m: Option<f64>,
    /// No plan for the scene can be shorter than this.
    pub lower_bound_s: f64,
}

/// Who made a plan.
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
    /// The note of a planner of this version of the library.
    #[must_use]
    pub fn new(name: &str, seed: u64) -> Self {
        Self { name: name.to_owned(), seed, version: env!("CARGO_PKG_VERSION").to_owned() }
    }
}

/// A timed plan for a [`Problem`].
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Who made it.
    pub planner: PlannerNote,
    /// How the search ended.
    pub status: Status,
    /// The moves. They need not be in the order of their starts.
    pub steps: Vec<Step>,
    /// Figures over all of them.
    pub summary: Summary,
}

impl Plan {
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
