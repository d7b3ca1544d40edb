//! Times a sequence of trips, one move after the other, with the braces that are needed.

use super::bracing::{braces_for_move, braces_for_rest};
use super::sequence::moves_of_trips;
use crate::model::{Configuration, Hold, ModuleId, Problem};
use crate::motion::{
    Attached, Move, MoveError, Plan, PlannerNote, Status, Step, Stretch, Summary, apply, duration_s,
    energy_j, load_with_payloads,
};
use crate::travel::Trip;

/// Pause between two moves, in seconds: time to settle, and at no instant are two moves under way.
pub const PAUSE_S: f64 = 0.001;

/// Why a sequence cannot be timed.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ScheduleError {
    /// A move of a trip cannot be begun.
    #[error("{module} cannot make move {index} of the sequence: {error}")]
    Cannot {
        /// Name of the module.
        module: String,
        /// Index of the move within the sequence.
        index: usize,
        /// Why.
        error: MoveError,
    },
    /// A move does not carry its load with any bracing.
    #[error("{module} cannot {word} with any bracing of the others")]
    NoBracing {
        /// Name of the module.
        module: String,
        /// The move.
        word: &'static str,
    },
    /// The final shape does not carry its load and payloads with any bracing.
    #[error("the final shape does not hold with any bracing")]
    FinalShape,
}

/// Times trips one move after the other, puts in braces and releases, and works out all figures.
///
/// `status` is written into the plan; for [`Status::Solved`] the holds and payloads of the goal are seen to at the end.
///
/// # Errors
/// When a trip cannot be made, or no bracing carries it.
pub fn one_by_one(
    problem: &Problem,
    trips: &[Trip],
    planner: PlannerNote,
    status: Status,
    lower_bound_s: f64,
) -> Result<Plan, ScheduleError> {
    let mut builder = Builder { problem, now: problem.start.clone(), moves: Vec::new() };
    for (module, action) in moves_of_trips(problem, trips)? {
        builder.make(module, action)?;
    }
    if status == Status::Solved {
        builder.final_holds()?;
    }
    let moves = without_needless_braces(problem, builder.moves);
    Ok(timed(problem, &moves, planner, status, lower_bound_s))
}

struct Builder<'a> {
    problem: &'a Problem,
    now: Configuration,
    moves: Vec<(ModuleId, Move)>,
}

impl Builder<'_> {
    fn push(&mut self, module: ModuleId, action: Move) -> Result<(), ScheduleError> {
        let index = self.moves.len();
        self.now = apply(self.problem, &self.now, module, &action).map_err(|error| {
            ScheduleError::Cannot { module: self.problem.module_name(module).into(), index, error }
        })?;
        self.moves.push((module, action));
        Ok(())
    }

    fn make(&mut self, module: ModuleId, action: Move) -> Result<(), ScheduleError> {
        if self.now.get(module).hold == Hold::Braced {
            self.push(module, Move::Release)?;
        }
        self.supported(module, action)
    }

    /// A move, after the braces it needs.
    fn supported(&mut self, module: ModuleId, action: Move) -> Result<(), ScheduleError> {
        let cannot = |error| ScheduleError::Cannot {
            module: self.problem.module_name(module).into(),
            index: self.moves.len(),
            error,
        };
        let after = apply(self.problem, &self.now, module, &action).map_err(cannot)?;
        let braces = braces_for_move(self.problem, &self.now, module, &action, &after).ok_or_else(|| {
            ScheduleError::NoBracing { module: self.problem.module_name(module).into(), word: action.word() }
        })?;
        for id in braces {
            self.push(id, Move::Brace)?;
        }
        self.push(module, action)
    }

    /// Holds that the goal asks for, and braces for payloads.
    fn final_holds(&mut self) -> Result<(), ScheduleError> {
        let fillers = self.problem.fillers(&self.now).into_iter().collect::<Option<Vec<_>>>();
        let filling = fillers.ok_or(ScheduleError::FinalShape)?;
        let holds: Vec<Option<Hold>> = self.problem.goal.slots.iter().map(|s| s.hold).collect();
        for (&module, hold) in filling.iter().zip(&holds) {
            match (hold, self.now.get(module).hold) {
                (Some(Hold::Braced), Hold::Rolling) => self.push(module, Move::Brace)?,
                (Some(Hold::Rolling), Hold::Braced) => self.push(module, Move::Release)?,
                _ => {}
            }
        }
        let braces =
            braces_for_rest(self.problem, &self.now, |c| load_with_payloads(self.problem, c, &filling))
                .ok_or(ScheduleError::FinalShape)?;
        for id in braces {
            self.push(id, Move::Brace)?;
        }
        Ok(())
    }
}

/// Takes out braces, each with the release that ends it, as long as everything stays carried without them.
fn without_needless_braces(problem: &Problem, moves: Vec<(ModuleId, Move)>) -> Vec<(ModuleId, Move)> {
    let mut kept = moves;
    let mut index = 0;
    while index < kept.len() {
        let (module, action) = kept[index];
        if action == Move::Brace {
            let mut shorter = kept.clone();
            shorter.remove(index);
            let next = shorter[index..].iter().position(|(m, a)| *m == module && matches!(a, Move::Release));
            if let Some(release) = next {
                shorter.remove(index + release);
            }
            if holds_throughout(problem, &shorter, index) {
                kept = shorter;
                continue;
            }
        }
        index += 1;
    }
    kept
}

/// Whether all moves from `first` on carry their load, and the end is what the goal asks.
fn holds_throughout(problem: &Problem, moves: &[(ModuleId, Move)], first: usize) -> bool {
    let mut now = problem.start.clone();
    for (index, (module, action)) in moves.iter().enumerate() {
        let Ok(after) = apply(problem, &now, *module, action) else { return false };
        if index >= first {
            let stretch = Stretch::of_move(problem, &now, *module, action, &after);
            if !stretch.carries(problem.limits.utilisation()) {
                return false;
            }
        }
        now = after;
    }
    let Some(filling) = problem.filling(&now) else { return false };
    load_with_payloads(problem, &now, &filling).carries(problem.limits.utilisation())
}

fn timed(
    problem: &Problem,
    moves: &[(ModuleId, Move)],
    planner: PlannerNote,
    status: Status,
    lower_bound_s: f64,
) -> Plan {
    let mut steps: Vec<Step> = Vec::with_capacity(moves.len());
    let mut now = problem.start.clone();
    let mut clock_s = 0.0;
    let (mut travel_m, mut moving_j) = (0.0, 0.0);
    for &(module, action) in moves {
        let Ok(after) = apply(problem, &now, module, &action) else { break };
        let stretch = Stretch::of_move(problem, &now, module, &action, &after);
        let attached = Attached::new(problem, module, &action, &now, &after);
        let duration = duration_s(problem, module, now.get(module).hold, &action);
        if let Move::Slide { travel_m: way, .. } = action {
            travel_m += way.abs();
        }
        moving_j += energy_j(problem, module, &action, duration);
        steps.push(Step {
            module,
            action,
            start_s: clock_s,
            duration_s: duration,
            after: steps.len().checked_sub(1).into_iter().collect(),
            end: *after.get(module),
            utilisation: stretch.worst_strain().strain.utilisation,
            gap_m: stretch.smallest_gap(&attached).map(|g| g.gap_m),
        });
        clock_s += duration + PAUSE_S;
        now = after;
    }
    let makespan_s = steps.last().map_or(0.0, Step::end_s);
    let idle_w: f64 = problem.module_ids().map(|m| problem.kind(m).idle_power_w).sum();
    let summary = Summary {
        moves: steps.len(),
        makespan_s,
        energy_j: moving_j + idle_w * makespan_s,
        travel_m,
        utilisation: steps.iter().map(|s| s.utilisation).fold(0.0, f64::max),
        gap_m: steps.iter().filter_map(|s| s.gap_m).reduce(f64::min),
        lower_bound_s,
    };
    Plan { planner, status, steps, summary }
}
