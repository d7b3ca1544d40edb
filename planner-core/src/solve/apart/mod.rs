//! Goals that come apart: shapes so far from each other that no module of one stands in the way of, or leans on, another.
//!
//! A crew of a thousand is many small structures that do not know of each other. The modules are dealt out to the shapes by an assignment; each shape
//! is planned by its own crew as if it were alone; then its trips are made again in the whole crew, one shape after the other, past all that stands
//! near their ways. Each shape's moves are timed by themselves, and the timings meet in one plan, in which a move waits for those of other shapes whose
//! ways it crosses (prioritised planning, Erdmann & Lozano-Pérez 1987).

mod crew_of;
mod dealing;
mod journeys;
mod shapes;
mod turns;

use super::options::{SolveOptions, Strategy};
use super::rearranging::{rearrange, with_slides_split};
use super::spare_moves::without_spare_moves;
use crate::control::{Budget, Interrupt, Stopped};
use crate::model::{Configuration, ModuleId, Problem};
use crate::plan::{Plan, Status};
use crate::schedule::{Heading, Share, at_once, quickly_side_by_side, side_by_side};
use crate::search::trips::successors::braced;
use crate::search::{NoObserver, Statistics};
use crate::travel::Trip;
use crew_of::CrewOf;
use dealing::deal;
use journeys::Journeys;
use rayon::prelude::*;
use shapes::shapes;
use turns::in_turn;

/// Smaller crews are planned as a whole.
const LEAST_CREW: usize = 8;
/// Configurations that may be expanded for one shape by its own modules, and with each further helper.
const EXPANSIONS: u64 = 4096;
/// Most orders of the shapes that are tried.
const MOST_BEGINNINGS: usize = 8;
/// Most helpers of one shape.
const MOST_HELPERS: usize = 3;
/// The patience that the caller asks for is that for all shapes together; each has at least this.
const LEAST_PATIENCE: u64 = 40;
/// Sequences of the moves of one shape to time in the search for a better one.
const SEQUENCES: u64 = 30;

/// A plan made shape by shape.
pub(super) struct Apart {
    pub(super) plan: Plan,
    pub(super) statistics: Statistics,
}

/// Whether a goal may come apart: several shapes, and a crew on the ground.
pub(super) fn comes_apart(problem: &Problem, options: &SolveOptions) -> bool {
    options.strategy == Strategy::Auto
        && !options.one_by_one
        && problem.goal.gather.is_none()
        && problem.modules.len() >= LEAST_CREW
        && problem.start.iter().all(|(_, place)| place.host.ground().is_some())
        && shapes(problem).len() > 1
}

/// Plans a goal of several shapes; `None` where some shape is not solved by its own crew.
///
/// # Errors
/// When interrupted.
pub(super) fn by_shapes(
    problem: &Problem,
    options: &SolveOptions,
    heading: &Heading,
    interrupt: Interrupt<'_>,
) -> Result<Option<Apart>, Stopped> {
    let shapes = shapes(problem);
    let Some(crews) = deal(problem, &shapes, interrupt)? else { return Ok(None) };
    let patience = (options.patience / shapes.len() as u64).max(LEAST_PATIENCE.min(options.patience));
    let alone: Result<Vec<Option<Alone>>, Stopped> = shapes
        .par_iter()
        .zip(&crews)
        .map(|(slots, members)| {
            search(&CrewOf::new(problem, &problem.start, members, slots), options, patience, interrupt)
        })
        .collect();
    let mut solver = Solver {
        problem,
        options,
        interrupt,
        shapes: &shapes,
        spare: problem
            .module_ids()
            .filter(|m| !problem.modules[m.index()].stuck && !crews.iter().flatten().any(|dealt| dealt == m))
            .collect(),
        crews,
        journeys: Journeys::new(problem, braced(problem, &problem.start)),
        statistics: Statistics::default(),
        tasks: Vec::new(),
    };
    if !solver.all(alone?)? {
        return Ok(None);
    }
    let Solver { tasks, statistics, .. } = solver;
    let timed: Result<Vec<Option<Share>>, Stopped> =
        tasks.par_iter().map(|task| task.timed(problem, options, heading, interrupt)).collect();
    let Some(shares) = timed?.into_iter().collect::<Option<Vec<Share>>>() else { return Ok(None) };
    interrupt.go_on()?;
    let plan = at_once(problem, &shares, heading);
    Ok(Some(Apart { plan, statistics }))
}

/// What the crew of one shape does, as if it were alone.
struct Alone {
    trips: Vec<Trip>,
    makespan_s: f64,
    statistics: Statistics,
}

/// A search for one shape by its own crew, and for trips that end sooner side by side; `None` if it is not solved.
fn search(
    crew: &CrewOf,
    options: &SolveOptions,
    patience: u64,
    interrupt: Interrupt<'_>,
) -> Result<Option<Alone>, Stopped> {
    let bytes = options.memory_bytes / 4;
    let budget = Budget { expansions: EXPANSIONS, bytes, interrupt };
    let planner = options.strategy.planner();
    let found = planner.plan(&crew.problem, &options.of_search(), &budget, &NoObserver);
    interrupt.go_on()?;
    let Some(mut outcome) = found.ok().filter(|outcome| outcome.status == Status::Solved) else {
        return Ok(None);
    };
    let solutions = [std::mem::take(&mut outcome.trips)];
    let budget = Budget { bytes, interrupt, ..Budget::unlimited() };
    let least_s = outcome.lower_bound_s;
    let sooner = rearrange(&crew.problem, &solutions, options.seed, patience, least_s, &budget, &mut |_| {});
    let [first] = solutions;
    let trips = if sooner.moves.is_some() { sooner.trips } else { first };
    Ok(Some(Alone { trips, makespan_s: sooner.makespan_s, statistics: outcome.statistics }))
}

/// The trips of one shape's crew.
struct Task {
    members: Vec<ModuleId>,
    /// Where they are before.
    before: Configuration,
    slots: Vec<usize>,
    /// Trips of the whole crew's modules.
    trips: Vec<Trip>,
}

impl Task {
    /// The moves of the trips side by side, as if the others were not there.
    fn timed(
        &self,
        problem: &Problem,
        options: &SolveOptions,
        heading: &Heading,
        interrupt: Interrupt<'_>,
    ) -> Result<Option<Share>, Stopped> {
        interrupt.go_on()?;
        let crew = CrewOf::new(problem, &self.before, &self.members, &self.slots);
        let trips: Vec<Trip> = self.trips.iter().map(|trip| crew.named(trip)).collect();
        let budget = Budget { bytes: options.memory_bytes / 4, interrupt, ..Budget::unlimited() };
        let Some(moves) = with_slides_split(&crew.problem, &trips, &budget)? else { return Ok(None) };
        let moves = without_spare_moves(&crew.problem, moves.clone(), &budget).unwrap_or(moves);
        let heading = Heading { lower_bound_s: 0.0, ..heading.clone() };
        let budget = Budget { expansions: SEQUENCES, interrupt, ..Budget::unlimited() };
        let plan = side_by_side(&crew.problem, &moves, &heading, options.objective, &budget)
            .map(|timed| timed.plan)
            .or_else(|_| quickly_side_by_side(&crew.problem, &moves, &heading, interrupt));
        interrupt.go_on()?;
        Ok(plan.ok().map(|plan| Share { members: self.members.clone(), problem: crew.problem, plan }))
    }
}

struct Solver<'a> {
    problem: &'a Problem,
    options: &'a SolveOptions,
    interrupt: Interrupt<'a>,
    shapes: &'a [Vec<usize>],
    /// The modules of each shape.
    crews: Vec<Vec<ModuleId>>,
    /// Modules that have no slot to fill.
    spare: Vec<ModuleId>,
    journeys: Journeys<'a>,
    statistics: Statistics,
    tasks: Vec<Task>,
}

impl Solver<'_> {
    /// Makes the trips of all shapes; `false` if some cannot be made. Where some are blocked in the end, all is begun again with these first.
    fn all(&mut self, mut alone: Vec<Option<Alone>>) -> Result<bool, Stopped> {
        let lasts = |alone: &Option<Alone>| alone.as_ref().map_or(f64::INFINITY, |alone| alone.makespan_s);
        let lasts_s: Vec<f64> = alone.iter().map(lasts).collect();
        let mut order = in_turn(self.problem, self.shapes, &self.crews, &lasts_s);
        for _ in 0..MOST_BEGINNINGS {
            self.journeys = Journeys::new(self.problem, braced(self.problem, &self.problem.start));
            self.tasks.clear();
            self.statistics = Statistics::default();
            let Some(blocked) = self.in_order(&order, &mut alone)? else { return Ok(false) };
            if blocked.is_empty() {
                return Ok(true);
            }
            order.retain(|shape| !blocked.contains(shape));
            order.splice(0..0, blocked);
        }
        Ok(false)
    }

    /// Makes the trips of shapes in an order; one whose way is blocked waits for the others. Returns those that are blocked in the end; `None` if some
    /// shape is not solved at all.
    fn in_order(
        &mut self,
        order: &[usize],
        alone: &mut [Option<Alone>],
    ) -> Result<Option<Vec<usize>>, Stopped> {
        let mut waiting = order.to_vec();
        while !waiting.is_empty() {
            let mut blocked = Vec::new();
            for &shape in &waiting {
                self.interrupt.go_on()?;
                if alone[shape].is_none() {
                    alone[shape] = self.with_helpers(shape)?;
                }
                let Some(alone) = &alone[shape] else { return Ok(None) };
                if !self.make(shape, alone)? {
                    blocked.push(shape);
                }
            }
            if blocked.len() == waiting.len() {
                return Ok(Some(blocked));
            }
            waiting = blocked;
        }
        Ok(Some(Vec::new()))
    }

    /// Makes the trips of one shape in the whole crew, if nothing is in their way.
    fn make(&mut self, shape: usize, alone: &Alone) -> Result<bool, Stopped> {
        let (members, slots) = (&self.crews[shape], &self.shapes[shape]);
        let crew = CrewOf::new(self.problem, &self.journeys.now, members, slots);
        let before = self.journeys.now.clone();
        let mut trips = Vec::with_capacity(alone.trips.len());
        for goal in crew.goals(&alone.trips) {
            let Some(trip) = self.journeys.make(members, &goal, self.interrupt)? else {
                self.journeys.back_to(&before, members);
                return Ok(false);
            };
            trips.push(trip);
        }
        self.statistics = self.statistics.plus(alone.statistics);
        self.tasks.push(Task { members: members.clone(), before, slots: slots.clone(), trips });
        Ok(true)
    }

    /// A solution for a shape with the help of modules that have nothing else to do yet.
    fn with_helpers(&mut self, shape: usize) -> Result<Option<Alone>, Stopped> {
        for _ in 0..MOST_HELPERS {
            if !self.add_helper(shape) {
                break;
            }
            let (members, slots) = (&self.crews[shape], &self.shapes[shape]);
            let crew = CrewOf::new(self.problem, &self.journeys.now, members, slots);
            let alone = search(&crew, self.options, LEAST_PATIENCE, self.interrupt)?;
            if alone.is_some() {
                return Ok(alone);
            }
        }
        Ok(None)
    }

    /// Adds the nearest module that has no slot to fill to a shape's crew.
    fn add_helper(&mut self, shape: usize) -> bool {
        let Some(&first) = self.crews[shape].first() else { return false };
        let middle = self.journeys.now.get(first).position;
        let away = |id: &ModuleId| self.journeys.now.get(*id).position.distance(middle);
        let spare =
            (0..self.spare.len()).min_by(|&a, &b| away(&self.spare[a]).total_cmp(&away(&self.spare[b])));
        let Some(spare) = spare else { return false };
        self.crews[shape].push(self.spare.swap_remove(spare));
        self.crews[shape].sort_unstable();
        true
    }
}
