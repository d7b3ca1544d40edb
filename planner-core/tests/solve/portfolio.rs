//! The planners side by side.

use crate::support::{Asks, fixture};
use clamber_core::unstable::control::{Budget, Stopped};
use clamber_core::unstable::search::{NoObserver, Options, Planner};
use clamber_core::unstable::solve::Portfolio;
use clamber_core::unstable::travel::Way;
use clamber_core::{Interrupt, ModuleId, Status};

/// An interrupted portfolio says so and leaves a sound part.
#[test]
fn a_cancelled_portfolio_says_so() {
    let (_, problem) = fixture("headwall");
    let asks = Asks::new(7, Stopped::Cancelled);
    let interrupt = || asks.answer();
    let budget = Budget { interrupt: Interrupt::new(&interrupt), ..Budget::unlimited() };
    let found = Portfolio.plan(&problem, &Options::default(), &budget, &NoObserver).expect("it makes sense");
    assert_eq!(found.status, Status::Cancelled);
    assert!(found.trips.iter().all(|trip| trip.module < ModuleId(6)));
}

/// A* finds the ride of the ferry in the first round, as novelty finds the way round; the ride is shorter.
#[test]
fn the_shorter_answer_of_the_first_round_wins() {
    let (_, problem) = fixture("ferry");
    let found = Portfolio
        .plan(&problem, &Options::default(), &Budget::unlimited(), &NoObserver)
        .expect("it makes sense");
    assert_eq!(found.status, Status::Solved);
    assert!(found.trips.iter().any(|trip| matches!(trip.way, Way::Carrying(_))), "{}", found.trips.len());
}
