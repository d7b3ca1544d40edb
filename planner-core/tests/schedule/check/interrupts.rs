//! A check and the certificate of one move can be given up; on any number of threads and in parts they say the same.

use crate::support::{Asks, planned, soon_planned};
use clamber_core::unstable::check::check;
use clamber_core::unstable::control::Stopped;
use clamber_core::unstable::motion::Stretch;
use clamber_core::unstable::motion::apply;
use clamber_core::unstable::statics::WarmStart;
use clamber_core::{Configuration, Interrupt, Move, Plan, Problem, Step, check_plan};

/// Every move of a plan made one after the other: who stood how before it.
fn stretches<'a>(problem: &'a Problem, plan: &Plan) -> Vec<Stretch<'a>> {
    let mut now: Configuration = problem.start.clone();
    let stretch = |step: &Step| {
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
    assert_eq!(whole, Ok(check_plan(problem, plan).expect("its values make sense")));
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
            pool.install(|| check_plan(problem, plan).expect("its values make sense"))
        };
        let (one, four) = (with(1), with(4));
        assert_eq!(one, four);
    }
    assert!(check_plan(problem, &broken).expect("its values make sense").findings.len() > 1);
}

/// The check works utilisations out structure by structure, each once; they are those of the whole crew over each move.
#[test]
fn figures_of_the_check_are_those_of_the_whole_crew() {
    for name in soon_planned() {
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
