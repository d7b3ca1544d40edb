//! The most frequent causes of refused moves, in an engineer's words.

use crate::control::Budget;
use crate::math::{log10, tolerance};
use crate::model::{Body, GroundId, ModuleId, Problem};
use crate::motion::{Fault, Refused};
use crate::statics::{FailureMode, Reason};
use indexmap::IndexMap;

/// Counts refused moves by cause.
///
/// Causes and modules are kept in the order of their first occurrence. Ties go to the first, so equal searches give equal sentences.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Stoppers {
    causes: IndexMap<Cause, Tally>,
    /// Number of searches for trips that had refusals.
    searches: u64,
    /// Refusals that will be counted under the next reason that is computed.
    waiting: u64,
}

/// After this many searches for trips, the reason is computed only for one in [`SELDOM`], because it takes longer than the search itself.
const ALL_UP_TO: u64 = 4;
const SELDOM: u64 = 64;

/// A cause, without the module and the amount.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum Cause {
    /// A bond with adhesion is over its limit; on a deck or on shells.
    Bond(Limit, Option<GroundId>),
    /// A bond that only weight holds gives way, on this deck.
    Weight(Limit, Option<GroundId>),
    Overlap,
    Reach,
    Outline,
    /// A load without a reason: it fails only between the instants that were sampled.
    Between,
    /// Bonds out of place, bodies without support, moves that cannot begin.
    Other,
}

/// [`FailureMode`] as a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum Limit {
    Peel,
    Slip,
    Drive,
    Turn,
}

/// Count of one cause.
#[derive(Clone, Debug, Default, PartialEq)]
struct Tally {
    times: u64,
    /// Counts by the module that failed.
    modules: IndexMap<ModuleId, u64>,
    /// Least amount by which the limit was missed, in the unit of the limit.
    least_missed: Option<f64>,
}

impl Stoppers {
    /// Counts a load that was not carried.
    pub fn add(&mut self, reason: &Reason) {
        self.add_many(1, Some(reason));
    }

    /// Counts loads that were not carried, all under the reason of one of them chosen at random. Without a reason the load failed only between the
    /// instants that were sampled.
    pub fn add_many(&mut self, times: u64, reason: Option<&Reason>) {
        match reason {
            _ if times == 0 => {}
            Some(r) => self.count(times, cause_of(r), Some(r.child), Some(r.needs - r.holds)),
            None => self.count(times, Cause::Between, None, None),
        }
    }

    /// Counts what searches for trips were refused. Once the budget is spent, no further reason is computed.
    pub(crate) fn sample(&mut self, problem: &Problem, refused: &[Refused], budget: &Budget<'_>) {
        for refused in refused.iter().filter(|refused| refused.count() > 0) {
            self.searches += 1;
            self.waiting += refused.count();
            let is_due = self.searches <= ALL_UP_TO || self.searches.is_multiple_of(SELDOM);
            if is_due && budget.go_on().is_ok() {
                let reason = refused.reason(problem, problem.limits.utilisation_to_plan_for());
                let times = std::mem::take(&mut self.waiting);
                self.add_many(times, reason.as_ref());
            }
        }
    }

    /// Counts a broken rule.
    pub fn add_fault(&mut self, fault: &Fault) {
        match fault {
            Fault::Load { reason: Some(reason), .. } => self.add(reason),
            Fault::Overlap { module, gap_m, .. } => {
                self.count(1, Cause::Overlap, Some(*module), Some(-gap_m));
            }
            Fault::Reach { module, angle_rad, limit_rad, .. } => {
                self.count(1, Cause::Reach, Some(*module), Some(angle_rad - limit_rad));
            }
            Fault::Outline { module, inset_m, foot_m, .. } => {
                self.count(1, Cause::Outline, Some(*module), Some(foot_m - inset_m));
            }
            Fault::Clearance { module, gap_m, asked_m, .. } => {
                self.count(1, Cause::Overlap, Some(*module), Some(asked_m - gap_m));
            }
            Fault::Load { reason: None, .. } => self.count(1, Cause::Between, None, None),
            Fault::Cannot { .. } | Fault::Bond { .. } | Fault::Adrift { .. } => {
                self.count(1, Cause::Other, None, None);
            }
        }
    }

    fn count(&mut self, times: u64, cause: Cause, module: Option<ModuleId>, missed: Option<f64>) {
        let tally = self.causes.entry(cause).or_default();
        tally.times += times;
        if let Some(module) = module {
            *tally.modules.entry(module).or_default() += times;
        }
        tally.least_missed = least(tally.least_missed, missed);
    }

    /// Adds the counts of another search.
    pub fn merge(&mut self, other: &Self) {
        self.searches += other.searches;
        self.waiting += other.waiting;
        for (cause, theirs) in &other.causes {
            let tally = self.causes.entry(*cause).or_default();
            tally.times += theirs.times;
            for (module, times) in &theirs.modules {
                *tally.modules.entry(*module).or_default() += times;
            }
            tally.least_missed = least(tally.least_missed, theirs.least_missed);
        }
    }

    /// Total number of refusals counted.
    #[must_use]
    pub fn total(&self) -> u64 {
        self.causes.values().map(|tally| tally.times).sum::<u64>() + self.waiting
    }

    /// The most frequent causes, the most frequent first, each as a clause: how often, which module fails how and where, by how much, and what would
    /// help. At most two, a second only if it is not rare. Empty if nothing was counted.
    #[must_use]
    pub fn clauses(&self, problem: &Problem) -> Vec<String> {
        let mut causes: Vec<(&Cause, &Tally)> = self.causes.iter().collect();
        // Stable: ties keep the order of their first occurrence.
        causes.sort_by_key(|(_, tally)| std::cmp::Reverse(tally.times));
        let total = self.total() - self.waiting;
        let is_rare = |tally: &Tally| tally.times as f64 * RARE < total as f64;
        let told =
            causes.into_iter().take(2).enumerate().filter(|(at, (_, tally))| *at == 0 || !is_rare(tally));
        let mut helps: Vec<&str> = Vec::new();
        told.map(|(_, (cause, tally))| {
            let (mut text, help) = clause(problem, *cause, tally, total);
            if !help.is_empty() && !helps.contains(&help) {
                text += ": ";
                text += help;
                helps.push(help);
            }
            text
        })
        .collect()
    }
}

/// A cause is rare if all refusals together are more than this many times as frequent.
const RARE: f64 = 5.0;

/// The clause, and what would help.
fn clause(problem: &Problem, cause: Cause, tally: &Tally, total: u64) -> (String, &'static str) {
    let (what, unit, help) = words(problem, cause);
    let share = (100.0 * tally.times as f64 / total as f64).round();
    let mut text = format!("{what} ({share} % of {total} refused moves");
    if let Some((module, _)) = tally.modules.iter().reduce(|a, b| if b.1 > a.1 { b } else { a }) {
        text += &format!(", most of them {}", problem.module_name(*module));
    }
    if let (Some(missed), Some((unit, factor))) = (tally.least_missed, unit) {
        text += &format!("; nearest: {} {unit} short", short(missed.max(0.0) * factor));
    }
    text += ")";
    (text, help)
}

/// A number with two significant figures.
fn short(value: f64) -> String {
    let decimals = (1.0 - log10(value.max(1e-3)).floor()).clamp(0.0, 4.0) as usize;
    format!("{value:.decimals$}")
}

fn cause_of(reason: &Reason) -> Cause {
    let limit = match reason.governs {
        FailureMode::Peel => Limit::Peel,
        FailureMode::Slip => Limit::Slip,
        FailureMode::Drive => Limit::Drive,
        FailureMode::Turn => Limit::Turn,
    };
    let deck = reason.host.ground();
    let held = reason.adhesion_n > 0.0 || matches!(limit, Limit::Drive | Limit::Turn);
    if held { Cause::Bond(limit, deck) } else { Cause::Weight(limit, deck) }
}

fn least(a: Option<f64>, b: Option<f64>) -> Option<f64> {
    match (a, b) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}

/// What happens, the unit of the miss with its factor, and what would help.
fn words(problem: &Problem, cause: Cause) -> (String, Option<(&'static str, f64)>, &'static str) {
    let place = |deck: Option<GroundId>| match deck {
        Some(deck) => problem.name_of(Body::Ground(deck)).to_owned(),
        None => "other modules".into(),
    };
    let newton = Some(("N", 1.0));
    match cause {
        Cause::Bond(Limit::Peel, on) => (
            format!("bonds on {} peel", place(on)),
            newton,
            "a shorter lever, a counterweight or something to lean on would help",
        ),
        Cause::Bond(Limit::Slip, on) => (
            format!("bonds on {} slip", place(on)),
            newton,
            "less load on them, or a stand on top instead of at the side, would help",
        ),
        Cause::Bond(Limit::Drive, on) => (
            format!("the tracks are too weak to drive on {}", place(on)),
            newton,
            "a way that climbs less steeply would help",
        ),
        Cause::Bond(Limit::Turn, on) => (
            format!("feet are too weak to turn on {}", place(on)),
            Some(("N·m", 1.0)),
            "balancing what they carry would help",
        ),
        Cause::Weight(Limit::Slip, on) => (
            format!("modules slip on {}, where only weight holds them", place(on)),
            newton,
            "more weight on the foot or a rougher deck would help",
        ),
        Cause::Weight(_, on) => (
            format!("modules tip on {}, where only weight holds them", place(on)),
            newton,
            "a counterweight on the far side, an outrigger or a deck that magnets hold on would help",
        ),
        Cause::Overlap => (
            "modules are in each other's way".into(),
            Some(("mm", 1e3)),
            "more room or fewer modules would help",
        ),
        Cause::Reach => (
            "feet would stand too far round a shell".into(),
            Some(("°", 180.0 / std::f64::consts::PI)),
            "a host turned towards the place would help",
        ),
        Cause::Outline => ("feet would stand over the edge of a deck".into(), Some(("mm", 1e3)), ""),
        Cause::Between => {
            ("the load is carried at both ends and half-way, but not proven between".into(), None, "")
        }
        Cause::Other => (format!("moves could not be begun within {} m", tolerance::LENGTH_M), None, ""),
    }
}
