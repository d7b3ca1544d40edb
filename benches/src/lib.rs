//! Scenes for the benchmarks, by name and with fixed seeds.

use clamber_core::unstable::check::check_and_fill_in;
use clamber_core::unstable::control::{Budget, Stopped};
use clamber_core::unstable::math::SplitMix64;
use clamber_core::unstable::model::touches;
use clamber_core::unstable::motion::is_sound_at_rest;
use clamber_core::unstable::schedule::{Heading, moves_of_trips, one_by_one};
use clamber_core::unstable::search::{NoObserver, Options, Outcome, Planner};
use clamber_core::unstable::solve::Portfolio;
use clamber_core::unstable::travel::Trip;
use clamber_core::{
    Body, Configuration, DQuat, DVec3, Hold, InputError, Interrupt, ModuleId, Placement, Plan, PlannerNote,
    Problem, Status, read_scenario,
};
use std::time::Instant;

/// Five of the scenes of the repository.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fixture {
    /// Two on top of each other.
    Pair,
    /// A cantilever of two.
    Row,
    /// Three on top of each other.
    Column,
    /// A pyramid of four with a fifth on top.
    Regroup,
    /// A hub on three legs.
    Stand,
}

impl Fixture {
    /// All of them, the smallest first.
    pub const ALL: [Self; 5] = [Self::Pair, Self::Row, Self::Column, Self::Regroup, Self::Stand];

    const fn text(self) -> &'static str {
        match self {
            Self::Pair => include_str!("../../fixtures/pair.toml"),
            Self::Row => include_str!("../../fixtures/row.toml"),
            Self::Column => include_str!("../../fixtures/column.toml"),
            Self::Regroup => include_str!("../../fixtures/regroup.toml"),
            Self::Stand => include_str!("../../fixtures/stand.toml"),
        }
    }

    /// The scene.
    ///
    /// # Panics
    /// When the fixture is broken.
    #[must_use]
    pub fn problem(self) -> Problem {
        let name = format!("{self:?}");
        read_scenario(&name, self.text()).expect("fixtures are sound").1
    }
}

/// Trips that the portfolio finds within some seconds; none if it finds nothing.
///
/// # Errors
/// When the problem makes no sense.
pub fn solution_within(problem: &Problem, seconds: f64) -> Result<Vec<Trip>, InputError> {
    let begun = Instant::now();
    let interrupt = || (begun.elapsed().as_secs_f64() > seconds).then_some(Stopped::Spent);
    let budget = Budget { interrupt: Interrupt::new(&interrupt), ..Budget::unlimited() };
    let outcome = Portfolio.plan(problem, &Options::default(), &budget, &NoObserver)?;
    Ok(if outcome.status == Status::Solved { outcome.trips } else { Vec::new() })
}

/// What the portfolio finds with default options.
///
/// # Panics
/// When a fixture is not solved.
#[must_use]
pub fn search(problem: &Problem) -> Outcome {
    let outcome = Portfolio.plan(problem, &Options::default(), &Budget::unlimited(), &NoObserver);
    let outcome = outcome.expect("fixtures make sense");
    assert_eq!(outcome.status, Status::Solved);
    outcome
}

/// What the plan of a solution says besides its steps.
#[must_use]
pub fn heading() -> Heading {
    let planner = PlannerNote::new("auto", Options::default().seed);
    Heading { planner, status: Status::Solved, lower_bound_s: 0.0 }
}

/// The outcome as a timed plan.
///
/// # Panics
/// When its trips cannot be timed.
#[must_use]
pub fn timed(problem: &Problem, outcome: &Outcome) -> Plan {
    let heading = Heading { lower_bound_s: outcome.lower_bound_s, ..heading() };
    let moves = moves_of_trips(problem, &outcome.trips).expect("trips can be made");
    let mut plan = one_by_one(problem, &moves, &heading, Interrupt::NEVER).expect("trips can be timed");
    check_and_fill_in(problem, &mut plan, Interrupt::NEVER).expect("it is not given up");
    plan
}

/// A crew and how it stands.
#[derive(Clone, Debug)]
pub struct Scene {
    /// Kinds, decks and limits.
    pub problem: Problem,
    /// How the crew stands.
    pub there: Configuration,
}

/// Scenes for the load check.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LoadScene {
    /// Seven modules, six bonds on shells, no touch: every load follows from the weights above it.
    SevenDeterminate,
    /// A pyramid of four on steel with three more round it: six touches.
    SixTouches,
}

impl LoadScene {
    /// The scene, with what is known of it asserted.
    ///
    /// # Panics
    /// When the scene is not what it is said to be.
    #[must_use]
    pub fn scene(self) -> Scene {
        let text = match self {
            Self::SevenDeterminate => include_str!("../scenes/seven.toml"),
            Self::SixTouches => include_str!("../scenes/six_touches.toml"),
        };
        let (_, problem) = read_scenario("scene", text).expect("scenes of the benchmarks are sound");
        let there = problem.start.clone();
        let expected = match self {
            Self::SevenDeterminate => 0,
            Self::SixTouches => 6,
        };
        assert_eq!(touches(&problem, &there).len(), expected);
        assert_eq!(there.len(), 7);
        assert!(is_sound_at_rest(&problem, &there));
        Scene { problem, there }
    }
}

/// The free module of a configuration that is listed last.
///
/// # Panics
/// When nobody is free.
#[must_use]
pub fn last_free(there: &Configuration) -> ModuleId {
    let free = there.iter().map(|(id, _)| id).filter(|&id| !there.is_stood_on(id));
    free.last().expect("somebody is free")
}

/// A crew in the air: a mover far off, and others at random places that do not overlap.
#[derive(Clone, Debug)]
pub struct Cluster {
    /// Kinds and limits; no decks.
    pub problem: Problem,
    /// Where everybody is; only places count.
    pub there: Configuration,
}

/// A cluster of `others` equal shells and a mover, which is module 0. `room` stretches the box they are thrown into: at 1 they are as dense
/// as throwing makes them.
///
/// # Panics
/// When the shells do not fit.
#[must_use]
pub fn cluster(others: usize, room: f64) -> Cluster {
    let diameter = 2.0 * Fixture::Pair.problem().kinds[0].shell_radius_m;
    let mut random = SplitMix64::new(12_345);
    let mut random = || random.between(0.0, 1.0);
    let side = 1.25 * room * diameter * (others as f64).cbrt();
    let mut centres: Vec<DVec3> = Vec::new();
    for _ in 0..3_000 * others {
        let centre = DVec3::new(random(), random(), random()) * side;
        if centres.len() < others && centres.iter().all(|c| c.distance(centre) >= diameter) {
            centres.push(centre);
        }
    }
    assert_eq!(centres.len(), others, "the shells do not fit");
    cluster_at(centres)
}

/// Shells with these centres and a mover far off, which is module 0.
#[must_use]
pub fn cluster_at(centres: Vec<DVec3>) -> Cluster {
    let mut problem = Fixture::Pair.problem();
    problem.decks.clear();
    problem.kinds[0].shell_reach_rad = std::f64::consts::PI;
    problem.modules = vec![problem.modules[0].clone(); centres.len() + 1];
    let far = DVec3::splat(100.0);
    let place = |position| Placement {
        position,
        orientation: DQuat::IDENTITY,
        host: Body::Module(ModuleId(0)),
        hold: Hold::Rolling,
    };
    let there = Configuration::new(std::iter::once(far).chain(centres).map(place).collect());
    Cluster { problem, there }
}
