//! The margins of a plan: how much more it would bear than is asked.

use super::{FurtherTilt, Stances};
use crate::control::{Interrupt, Stopped};
use crate::model::{Body, ModuleId, Problem, Unanswered};
use crate::plan::Plan;
use crate::statics::{DIRECTIONS, LoadCase, PosedCase, Utilisation, WarmStart, assess};
use rayon::prelude::*;

/// The margins of a plan, over all its structures. The reserve of feet and what touches carry are those of structures as they stand, and of the
/// beginning, the middle and the end of every stretch of time in which the moves under way in them stay the same.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Margins {
    /// How much further gravity may tilt until a bond is used beyond the limit on plans, proven over all instants.
    pub further_tilt: FurtherTilt,
    /// The least force by which a foot that weight alone holds is short of slipping or tipping, in newtons.
    pub held_by_weight: Option<HeldByWeight>,
    /// The largest utilisation of a bond; where the plan has a large structure, not less than the bound that the plan claims.
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
/// Complexity: for each structure a few cone programmes where bodies touch.
///
/// # Errors
/// When a value of the problem or the plan makes no sense, and when interrupted; the interrupt is polled before every structure.
pub fn margins(problem: &Problem, plan: &Plan, interrupt: Interrupt<'_>) -> Result<Margins, Unanswered> {
    plan.validate(problem)?;
    let stances = Stances::new(problem, plan, interrupt)?;
    let instants = instants(&stances);
    let has_large = stances.numbers().any(|number| stances.get(number).is_large);
    let claimed = if has_large { plan.summary.utilisation } else { 0.0 };
    let (mut touches, mut held_by_weight) = (Touches::NOTHING, None);
    for few in instants.chunks(AT_ONCE) {
        interrupt.go_on()?;
        // Most are no worse than what is known already, which is quickly seen.
        let known = touches.utilisation;
        let of: Result<Vec<Touches>, Stopped> =
            few.par_iter().map(|instant| instant.touches(known, interrupt)).collect();
        touches = of?.into_iter().fold(touches, Touches::worse);
        let worse: Vec<bool> = few.par_iter().map(|instant| instant.may_be_worse(held_by_weight)).collect();
        for (instant, _) in few.iter().zip(worse).filter(|(_, worse)| *worse) {
            interrupt.go_on()?;
            held_by_weight = instant.least_reserve(held_by_weight);
        }
    }
    Ok(Margins {
        further_tilt: FurtherTilt::of(&stances, problem.limits.utilisation(), interrupt)?,
        held_by_weight,
        utilisation: touches.utilisation.max(claimed),
        without_touches: touches.without_touches,
        depends_on_touches_s: touches.depends_on_touches_s,
    })
}

/// A load case of a structure of the plan.
struct Instant<'a> {
    /// The structure as a crew of its own.
    problem: &'a Problem,
    /// Its modules in the plan.
    members: &'a [ModuleId],
    /// Whether its utilisation is known by a bound only.
    is_large: bool,
    case: LoadCase,
    at_s: f64,
}

/// The load cases of all structures, each once.
fn instants<'a>(stances: &'a Stances<'_>) -> Vec<Instant<'a>> {
    let mut found = Vec::new();
    for number in stances.numbers() {
        let structure = stances.get(number);
        let of = |case: LoadCase, share: f64| Instant {
            problem: &structure.problem,
            members: stances.members(number),
            is_large: structure.is_large,
            case,
            at_s: stances.time_s(number, share),
        };
        if !structure.moves() {
            found.push(of(structure.still_load(), 0.0));
            continue;
        }
        let stretch = structure.stretch();
        for hops in stretch.hop_variants() {
            found.extend([0.0, 0.5, 1.0].map(|share| of(stretch.load_at(share, hops), share)));
        }
    }
    found
}

impl Instant<'_> {
    /// What touches carry at this instant; the utilisation is worked out where it may be above one that is known.
    fn touches(&self, known: f64, interrupt: Interrupt<'_>) -> Result<Touches, Stopped> {
        interrupt.go_on()?;
        let problem = self.problem;
        let limit = problem.limits.utilisation();
        let utilisation = if self.is_large || self.uses_at_most(known) {
            0.0
        } else {
            assess(problem, &self.case).utilisation.unwrap_or(f64::INFINITY)
        };
        let mut bare = self.case.clone();
        bare.touches.clear();
        let without = (0..DIRECTIONS)
            .map(|direction| bare.utilisation(direction))
            .reduce(|a, b| a.worse(b))
            .unwrap_or(Utilisation::NOTHING);
        Ok(Touches {
            utilisation,
            without_touches: without.within(f64::INFINITY).then_some(without.value),
            depends_on_touches_s: (!without.within(limit)).then_some(self.at_s),
        })
    }

    fn uses_at_most(&self, most: f64) -> bool {
        let posed = PosedCase::new(self.case.clone());
        let most = Utilisation { value: most, ..Utilisation::NOTHING };
        let mut hint = WarmStart::default();
        (0..DIRECTIONS).all(|direction| posed.uses_at_most(direction, most, &mut hint))
    }

    /// Whether it may change the least reserve.
    fn may_be_worse(&self, known: Option<HeldByWeight>) -> bool {
        let is_held = self.case.bonds.iter().any(|bond| bond.adhesion_n <= 0.0);
        let limit = self.problem.limits.utilisation();
        is_held && known.is_none_or(|held| !self.reserving(held.reserve_n).carries(limit))
    }

    /// The load case in which feet that weight alone holds keep a reserve.
    fn reserving(&self, reserve_n: f64) -> LoadCase {
        let mut case = self.case.clone();
        let of = |adhesion_n: f64| if adhesion_n > 0.0 { [0.0; 2] } else { [reserve_n; 2] };
        let bounds: Vec<[f64; 2]> = self.case.bonds.iter().map(|bond| of(bond.adhesion_n)).collect();
        case.set_margin(&bounds, 1.0);
        case
    }

    /// The least reserve of feet that weight alone holds, given the least of other instants.
    fn least_reserve(&self, least: Option<HeldByWeight>) -> Option<HeldByWeight> {
        let problem = self.problem;
        let bonds = &self.case.bonds;
        if bonds.iter().all(|bond| bond.adhesion_n > 0.0) {
            return least;
        }
        let limit = problem.limits.utilisation();
        let bears = |reserve_n: f64| self.reserving(reserve_n).carries(limit);
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
        let module = self.members[nearest.child.index()];
        let host = match nearest.host {
            Body::Module(host) => Body::Module(self.members[host.index()]),
            ground => ground,
        };
        Some(HeldByWeight { module, host, reserve_n, at_s: self.at_s })
    }
}

/// So many instants are looked at in parallel.
const AT_ONCE: usize = 64;
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

/// The largest utilisations, with touches and without, as in [`Margins`].
#[derive(Clone, Copy)]
struct Touches {
    utilisation: f64,
    without_touches: Option<f64>,
    depends_on_touches_s: Option<f64>,
}

impl Touches {
    const NOTHING: Self = Self { utilisation: 0.0, without_touches: Some(0.0), depends_on_touches_s: None };

    fn worse(self, other: Self) -> Self {
        let least = |a: Option<f64>, b: Option<f64>| a.into_iter().chain(b).reduce(f64::min);
        Self {
            utilisation: self.utilisation.max(other.utilisation),
            without_touches: self.without_touches.zip(other.without_touches).map(|(a, b)| a.max(b)),
            depends_on_touches_s: least(self.depends_on_touches_s, other.depends_on_touches_s),
        }
    }
}
