//! Whoever asks a search or a timing to stop is heard soon, and gets something sound. No clock: asks are counted.

use crate::planned::{outcome, planned};
use crate::support::{fixture, heading, timed_one_by_one, with_figures};
use clamber_core::Interrupt;
use clamber_core::Objective;
use clamber_core::Rule;
use clamber_core::check_plan;
use clamber_core::read_scenario;
use clamber_core::unstable::check::check;
use clamber_core::unstable::control::{Budget, Stopped};
use clamber_core::unstable::motion::Stretch;
use clamber_core::unstable::schedule::{ScheduleError, at_several_limits, moves_of_trips, side_by_side};
use clamber_core::unstable::search::{NoObserver, Options, shorten};
use clamber_core::unstable::solve::rearrange;
use clamber_core::unstable::statics::WarmStart;
use clamber_core::{Configuration, Problem};
use clamber_core::{Move, apply};
use clamber_core::{Plan, Status};
use clamber_core::{PlannerName, Strategy};
use std::sync::atomic::{AtomicU64, Ordering};

/// Says stop from the k-th ask on, and counts.
struct Asks {
    from: u64,
    stop: Stopped,
    count: AtomicU64,
}

impl Asks {
    fn new(from: u64, stop: Stopped) -> Self {
        Self { from, stop, count: AtomicU64::new(0) }
    }

    fn answer(&self) -> Option<Stopped> {
        (self.count.fetch_add(1, Ordering::Relaxed) + 1 >= self.from).then_some(self.stop)
    }

    fn count(&self) -> u64 {
        self.count.load(Ordering::Relaxed)
    }
}

/// Runs with an interrupt from the k-th ask on; also gives the asks that came after it, if there were so many.
fn interrupted<T>(from: u64, stop: Stopped, run: impl FnOnce(&Budget<'_>) -> T) -> (T, Option<u64>) {
    let asks = Asks::new(from, stop);
    let interrupt = || asks.answer();
    let found = run(&Budget { interrupt: Interrupt::new(&interrupt), ..Budget::unlimited() });
    (found, asks.count().checked_sub(from))
}

fn scenes() -> Vec<Problem> {
    let headwall = read_scenario("headwall", include_str!("../../../fixtures/headwall.toml"));
    vec![fixture("column").1, fixture("stand").1, headwall.expect("fixtures are sound").1]
}

fn assert_leads_part_of_the_way(
    problem: &Problem,
    trips: &[clamber_core::unstable::travel::Trip],
    status: Status,
    whose: &str,
) {
    let plan = timed_one_by_one(problem, trips, &heading(status, 0.0), &Budget::unlimited());
    let mut findings = check_plan(problem, &plan).findings;
    findings.retain(|finding| status == Status::Solved || finding.rule != Rule::Goal);
    assert!(findings.is_empty(), "{whose}: {findings:?}");
}

#[test]
fn every_planner_hears_a_cancel_at_once() {
    for problem in scenes() {
        for (planner, name) in Strategy::all() {
            for from in [1, 2, 17, 170, 1700] {
                let run = |budget: &Budget<'_>| {
                    planner.planner().plan(&problem, &Options::default(), budget, &NoObserver)
                };
                let (found, more) = interrupted(from, Stopped::Cancelled, run);
                let found = found.expect("it makes sense");
                let whose = format!("{name} on {}, ask {from}", problem.name);
                // Each module of each configuration under way in each planner asks at most once more, and each loop round them.
                let under_way = 4 * 5 * problem.modules.len() as u64 + 40;
                assert!(more.is_none_or(|more| more <= under_way), "{whose}: {more:?} more asks");
                if more.is_some() && found.status != Status::Solved {
                    assert_eq!(found.status, Status::Cancelled, "{whose}");
                    assert_eq!(found.stop, Some(Stopped::Cancelled), "{whose}");
                }
                assert_leads_part_of_the_way(&problem, &found.trips, found.status, &whose);
            }
        }
    }
}

/// However long a search goes on: it asks before every configuration that it looks at and for every way that it tests.
#[test]
fn asks_keep_up_with_the_work() {
    for problem in scenes() {
        for planner in [PlannerName::AStar, PlannerName::Novelty, PlannerName::Beam] {
            let asks = Asks::new(u64::MAX, Stopped::Cancelled);
            let interrupt = || asks.answer();
            let budget =
                Budget { expansions: 12, interrupt: Interrupt::new(&interrupt), ..Budget::unlimited() };
            let found = planner.planner().plan(&problem, &Options::default(), &budget, &NoObserver);
            let statistics = found.expect("it makes sense").statistics;
            let work = statistics.expanded + statistics.generated + statistics.refused_by_load;
            assert!(
                statistics.generated > 0 && asks.count() >= work,
                "{} asks, {statistics:?}",
                asks.count()
            );
        }
    }
}

#[test]
fn shortening_that_is_cancelled_keeps_what_it_has() {
    let (problem, found) = outcome("stand");
    for from in [1, 30, 300] {
        let run = |budget: &Budget<'_>| shorten(problem, &found.trips, u64::MAX, budget);
        let (trips, more) = interrupted(from, Stopped::Cancelled, run);
        let under_way = 4 * problem.modules.len() as u64 + 10;
        assert!(more.is_some_and(|more| more <= under_way), "ask {from}: {more:?} more asks");
        assert_leads_part_of_the_way(problem, &trips, Status::Solved, "improve");
    }
}

#[test]
fn timing_that_is_stopped_is_sound() {
    let (problem, found) = outcome("stand");
    let moves = moves_of_trips(problem, &found.trips).expect("trips can be made");
    let heading = heading(Status::Solved, 0.0);
    let is_sound = |plan: &Plan| check_plan(problem, &with_figures(problem, plan.clone())).is_sound();
    for objective in [Objective::Time, Objective::Margin] {
        for from in (1..3000).step_by(293) {
            let run = |budget: &Budget<'_>| side_by_side(problem, &moves, &heading, objective, budget);
            // With the time up there is always a plan.
            let (timed, _) = interrupted(from, Stopped::Spent, run);
            assert!(is_sound(&timed.expect("there is a plan").plan), "ask {from}");
            // Cancelled, there is one or it says that there is none.
            let (timed, more) = interrupted(from, Stopped::Cancelled, run);
            // Once over all drives in each loop that ends, with nothing judged any more.
            let under_way = 4 * moves.len() as u64 + 100;
            assert!(more.is_none_or(|more| more < under_way), "ask {from}: {more:?} more asks");
            match timed {
                Ok(timed) => assert!(is_sound(&timed.plan), "ask {from}"),
                Err(error) => assert_eq!(error, ScheduleError::Stopped, "ask {from}"),
            }
        }
    }
    for from in [1, 1000, 5000] {
        let run = |budget: &Budget<'_>| at_several_limits(problem, &moves, &heading, 5, budget);
        let table = interrupted(from, Stopped::Spent, run).0.expect("there is a plan");
        assert!(!table.is_empty() && table.iter().all(|t| is_sound(&t.plan)));
        match interrupted(from, Stopped::Cancelled, run).0 {
            Ok(table) => assert!(table.iter().all(|t| is_sound(&t.plan))),
            Err(error) => assert_eq!(error, ScheduleError::Stopped),
        }
    }
}

/// With no time for a search for the fewest braces there are more, and the plan is as sound.
#[test]
fn without_time_there_are_more_braces() {
    let mut more = 0;
    for name in ["pair", "row", "column", "regroup", "stand"] {
        let (problem, found) = outcome(name);
        let run = |budget: &Budget<'_>| {
            timed_one_by_one(problem, &found.trips, &heading(Status::Solved, 0.0), budget)
        };
        let hasty = interrupted(1, Stopped::Spent, run).0;
        let careful = run(&Budget::unlimited());
        assert!(check_plan(problem, &hasty).is_sound(), "{name}");
        assert!(hasty.steps.len() >= careful.steps.len(), "{name}: fewer than the fewest");
        more += hasty.steps.len() - careful.steps.len();
    }
    assert!(more > 0, "the fewest were looked for all the same");
}

/// Every move of a plan made one after the other: who stood how before it.
fn stretches<'a>(problem: &'a Problem, plan: &Plan) -> Vec<Stretch<'a>> {
    let mut now: Configuration = problem.start.clone();
    let stretch = |step: &clamber_core::Step| {
        let after = apply(problem, &now, step.module, &step.action).expect("a sound plan");
        let stretch = Stretch::of_move(problem, &now, step.module, &step.action, &after);
        now = after;
        stretch
    };
    plan.steps.iter().map(stretch).collect()
}

/// One certificate of one move may take a tenth of a second where many shells touch: it asks before every load case, of which each move has one
/// at each end at least.
#[test]
fn the_load_of_one_move_can_be_given_up() {
    let (problem, plan) = planned("stand");
    let limit = problem.limits.utilisation();
    let mut most = 0;
    for stretch in stretches(problem, plan) {
        let asks = Asks::new(u64::MAX, Stopped::Cancelled);
        let ask = || asks.answer();
        assert_eq!(
            stretch.worst_utilisation(Interrupt::new(&ask)),
            stretch.worst_utilisation(Interrupt::NEVER)
        );
        let asked = asks.count();
        assert!(asked >= 1, "it asks");
        most = most.max(asked);
        for from in [1, asked / 2 + 1, asked] {
            let asks = Asks::new(from, Stopped::Cancelled);
            let ask = || asks.answer();
            let found = stretch.worst_utilisation(Interrupt::new(&ask)).map(|_| ());
            assert_eq!(found, Err(Stopped::Cancelled), "ask {from} of {asked}");
            assert_eq!(asks.count(), from, "nothing is asked once it is given up");
        }
        assert_eq!(stretch.carries(limit, &mut WarmStart::default(), Interrupt::NEVER), Ok(true));
        let ask = || Some(Stopped::Cancelled);
        let found = stretch.carries(limit, &mut WarmStart::default(), Interrupt::new(&ask));
        assert_eq!(found, Err(Stopped::Cancelled));
        let asks = Asks::new(1, Stopped::Cancelled);
        let ask = || asks.answer();
        let found = stretch.carries_at_any_pace(limit, &mut WarmStart::default(), Interrupt::new(&ask));
        assert_eq!(found, Err(Stopped::Cancelled));
        assert!(asks.count() <= 2, "it ends there: {} asks", asks.count());
    }
    assert!(most > 5, "some loads are halved: {most} asks");
}

#[test]
fn a_check_that_is_given_up_says_nothing() {
    let (problem, plan) = planned("stand");
    let asks = Asks::new(u64::MAX, Stopped::Cancelled);
    let ask = || asks.answer();
    let whole = check(problem, plan, Interrupt::new(&ask));
    assert_eq!(whole, Ok(check_plan(problem, plan)));
    let asked = asks.count();
    assert!(asked >= 2 * plan.steps.len() as u64, "{asked} asks for {} steps", plan.steps.len());
    for from in [1, asked / 4, asked / 2, asked - 1, asked] {
        let asks = Asks::new(from, Stopped::Cancelled);
        let ask = || asks.answer();
        let found = check(problem, plan, Interrupt::new(&ask));
        assert_eq!(found, Err(Stopped::Cancelled), "ask {from} of {asked}");
        // Each stretch that is looked at on some thread asks at most once more, and none is begun after that.
        assert!(asks.count() <= from + 64, "ask {from}: {} asks", asks.count());
    }
}

#[test]
fn a_check_does_not_depend_on_threads() {
    let (problem, plan) = planned("stand");
    let mut broken = plan.clone();
    let late = broken.steps.len() / 2;
    broken.steps[late].utilisation += 0.1;
    // Who should have gone stays: all kinds of rules are broken from here on.
    broken.steps[late].action = Move::Yaw { angle_rad: 0.3 };
    for plan in [plan, &broken] {
        let with = |threads: usize| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
            pool.install(|| check_plan(problem, plan))
        };
        let (one, four) = (with(1), with(4));
        assert_eq!(one, four);
    }
    assert!(check_plan(problem, &broken).findings.len() > 1);
}

/// The check works utilisations out structure by structure, each once; they are those of the whole crew over each move.
#[test]
fn figures_of_the_check_are_those_of_the_whole_crew() {
    for name in ["stand", "column", "regroup"] {
        let (problem, plan) = planned(name);
        let moves: Vec<_> = plan.steps.iter().zip(stretches(problem, plan)).collect();
        for (step, stretch) in moves {
            if step.action.shakes() {
                let whole = stretch
                    .worst_utilisation(Interrupt::NEVER)
                    .expect("it is never stopped")
                    .utilisation
                    .value;
                assert!((step.utilisation - whole).abs() < 1e-6, "{name}: {step:?} {whole}");
            }
        }
    }
}

/// With endless patience it would go on for ever, long after everything it could try is known.
#[test]
fn rearranging_hears_a_cancel() {
    for name in ["pair", "stand"] {
        let (problem, found) = outcome(name);
        let trips = std::slice::from_ref(&found.trips);
        for from in [1, 500, 20_000] {
            let run = |budget: &Budget<'_>| rearrange(problem, trips, 1, u64::MAX, 0.0, budget, &mut |_| {});
            let (_, more) = interrupted(from, Stopped::Cancelled, run);
            // Each of eight changes that are looked at side by side asks at most a few times more.
            assert!(more.is_some_and(|more| more <= 64), "{name}, ask {from}: {more:?} more asks");
        }
    }
}
