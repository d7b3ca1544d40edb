//! The rooms of the library, for those who work on it: planners and what one needs to add one, surfaces, statics, timing.
//!
//! **No promises:** anything here may change in any version. What the crate root names is the library.

/// Single failures of a plan: what each would do at its worst instant.
///
/// ```
/// # use clamber_core::unstable;
/// # fn pair() -> Result<clamber_core::Problem, clamber_core::Diagnostics> {
/// #     Ok(clamber_core::read_scenario("pair.toml", include_str!("../examples/pair.toml"))?.1)
/// # }
/// let problem = pair()?;
/// let plan = clamber_core::solve(&problem, &Default::default(), &clamber_core::Control::unlimited())?.plan;
/// let found = unstable::assess::what_if(&problem, &plan, unstable::control::Interrupt::NEVER).expect("it is not stopped");
/// assert!(found.failures.len() == 3 * problem.modules.len());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub mod assess {
    pub use crate::assess::*;
}

/// Replays a plan against every rule, without the planners.
///
/// ```
/// # use clamber_core::unstable;
/// # fn pair() -> Result<clamber_core::Problem, clamber_core::Diagnostics> {
/// #     Ok(clamber_core::read_scenario("pair.toml", include_str!("../examples/pair.toml"))?.1)
/// # }
/// let problem = pair()?;
/// let plan = clamber_core::solve(&problem, &Default::default(), &clamber_core::Control::unlimited())?.plan;
/// let mut short = plan.clone();
/// short.steps.pop();
/// assert!(unstable::check::check_plan(&problem, &plan)?.is_sound());
/// assert!(!unstable::check::check_plan(&problem, &short)?.is_sound());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub mod check {
    pub use crate::check::*;
}

/// How long work is told to stop.
///
/// ```
/// # use clamber_core::unstable;
/// use unstable::control::{Interrupt, Stopped};
/// let ask = || Some(Stopped::Spent);
/// assert_eq!(Interrupt::new(&ask).go_on(), Err(Stopped::Spent));
/// assert_eq!(Interrupt::new(&ask).only_when_cancelled().go_on(), Ok(()));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub mod control {
    pub use crate::control::*;
}

/// A plan laid out in time, for pictures.
///
/// ```
/// # use clamber_core::unstable;
/// # fn pair() -> Result<clamber_core::Problem, clamber_core::Diagnostics> {
/// #     Ok(clamber_core::read_scenario("pair.toml", include_str!("../examples/pair.toml"))?.1)
/// # }
/// let problem = pair()?;
/// let plan = clamber_core::solve(&problem, &Default::default(), &clamber_core::Control::unlimited())?.plan;
/// let course = unstable::course::Course::new(&problem, &plan)?;
/// let first = clamber_core::ModuleId(0);
/// assert_eq!(course.pose(first, 0.0).0, problem.start.get(first).position);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub mod course {
    pub use crate::course::*;
}

#[cfg(feature = "generator")]
/// Scenes from a seed.
///
/// ```
/// # use clamber_core::unstable;
/// use unstable::generate::{Family, GenerateOptions, generate};
/// let options = GenerateOptions { modules: 5, seed: 7, ..GenerateOptions::default() };
/// assert_eq!(generate(Family::Climb, options)?.text, generate(Family::Climb, options)?.text);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub mod generate {
    pub use crate::generate::*;
}

/// Points, paths and prisms, and the distances between them.
///
/// ```
/// # use clamber_core::unstable;
/// use clamber_core::{DVec2, DVec3};
/// let corners = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];
/// let outline = corners.map(DVec2::from).to_vec();
/// let block = unstable::geometry::Prism { outline, bottom: 0.0, top: unstable::geometry::Slope::level(0.5) };
/// assert_eq!(block.distance(DVec3::new(0.5, 0.5, 0.75)), 0.25);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub mod geometry {
    pub use crate::geometry::*;
}

/// Vectors, rotations, waves and tolerances.
///
/// ```
/// # use clamber_core::unstable;
/// use unstable::math::Wave;
/// // 1 + 3 cos t + 4 sin t is never above 6.
/// assert!((Wave::new(1.0, 3.0, 4.0).greatest(7.0) - 6.0).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub mod math {
    pub use crate::math::*;
}

/// Kinds, decks, modules, configurations, bonds and touches.
///
/// ```
/// # use clamber_core::unstable;
/// # fn pair() -> Result<clamber_core::Problem, clamber_core::Diagnostics> {
/// #     Ok(clamber_core::read_scenario("pair.toml", include_str!("../examples/pair.toml"))?.1)
/// # }
/// let problem = pair()?;
/// assert!(unstable::model::touches(&problem, &problem.start).is_empty());
/// assert!((unstable::model::ambient_pressure_pa(0.0) - 101_325.0).abs() < 1e-6); // ISO 2533
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub mod model {
    pub use crate::model::*;
}

/// The moves, and what holds at every instant of them.
///
/// ```
/// # use clamber_core::unstable;
/// # fn pair() -> Result<clamber_core::Problem, clamber_core::Diagnostics> {
/// #     Ok(clamber_core::read_scenario("pair.toml", include_str!("../examples/pair.toml"))?.1)
/// # }
/// use unstable::motion::{Stretch, apply};
/// use clamber_core::{Move, ModuleId};
/// let problem = pair()?;
/// let (mover, turn) = (ModuleId(0), Move::Yaw { angle_rad: 1.0 });
/// let after = apply(&problem, &problem.start, mover, &turn)?;
/// assert!(Stretch::of_move(&problem, &problem.start, mover, &turn, &after).is_clear());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub mod motion {
    pub use crate::motion::*;
}

/// A timed plan as data.
///
/// ```
/// # use clamber_core::unstable;
/// use clamber_core::{Plan, PlannerNote, Status, Summary, UtilisationIs};
/// let planner = PlannerNote::new("by-hand", 1);
/// let plan = Plan { planner, status: Status::Solved, reason: None, utilisation_is: UtilisationIs::Exact, steps: Vec::new(), summary: Summary::default() };
/// assert_eq!(plan.status.word(), "solved");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub mod plan {
    pub use crate::plan::*;
}

#[cfg(feature = "rating")]
/// From pull tests to the rated holds of a kind.
///
/// ```
/// # use clamber_core::unstable;
/// use unstable::rating::statistics::{order_size, tolerance_factor};
/// // ISO 16269-6, ten values, 95 %/95 %; Wilks 1941.
/// assert!(tolerance_factor(10, 0.95, 0.95).is_some_and(|k| (k - 2.9110).abs() < 5e-5));
/// assert_eq!(order_size(1, 0.95, 0.95), Some(59));
/// ```
pub mod rating {
    pub use crate::rating::*;
}

#[cfg(feature = "files")]
/// Scenes and plans as text, with diagnostics and schemas.
///
/// ```
/// # use clamber_core::unstable;
/// let wrong = include_str!("../examples/pair.toml").replace("mass_kg = 0.50", "mass_kg = -1");
/// let refused = unstable::scene::read_scenario("pair.toml", &wrong).unwrap_err();
/// assert!(refused.to_string().contains("mass_kg"));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub mod scene {
    pub use crate::scene::*;
}

/// From a sequence of moves to a timed plan.
///
/// ```
/// # use clamber_core::unstable;
/// # fn pair() -> Result<clamber_core::Problem, clamber_core::Diagnostics> {
/// #     Ok(clamber_core::read_scenario("pair.toml", include_str!("../examples/pair.toml"))?.1)
/// # }
/// use unstable::schedule::{Heading, one_by_one};
/// use clamber_core::{Interrupt, ModuleId, Move, PlannerNote, Status};
/// let problem = pair()?;
/// let heading = Heading { planner: PlannerNote::new("by-hand", 1), status: Status::BudgetSpent, lower_bound_s: 0.0 };
/// let turn = (ModuleId(0), Move::Yaw { angle_rad: 1.0 });
/// assert_eq!(one_by_one(&problem, &[turn], &heading, Interrupt::NEVER)?.steps.len(), 1);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub mod schedule {
    pub use crate::schedule::*;
}

/// Planners, and what one needs to add one: implement [`Planner`](search::Planner).
///
/// ```
/// # use clamber_core::unstable;
/// # fn pair() -> Result<clamber_core::Problem, clamber_core::Diagnostics> {
/// #     Ok(clamber_core::read_scenario("pair.toml", include_str!("../examples/pair.toml"))?.1)
/// # }
/// use unstable::search::{AStar, NoObserver, Options, Planner};
/// let problem = pair()?;
/// let options = Options { weight: Some(1.0), ..Options::default() };
/// let outcome = AStar.plan(&problem, &options, &unstable::control::Budget::unlimited(), &NoObserver)?;
/// assert_eq!(outcome.status, clamber_core::Status::Solved);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub mod search {
    pub use crate::search::*;
}

/// The front door and what it is made of: the portfolio, and the search for other trips.
///
/// ```
/// # use clamber_core::unstable;
/// # fn pair() -> Result<clamber_core::Problem, clamber_core::Diagnostics> {
/// #     Ok(clamber_core::read_scenario("pair.toml", include_str!("../examples/pair.toml"))?.1)
/// # }
/// use unstable::solve::{Control, SolveOptions, Strategy, solve};
/// let options = SolveOptions { strategy: Strategy::Auto, shortening: 0, patience: 0, ..SolveOptions::default() };
/// assert!(solve(&pair()?, &options, &Control::unlimited())?.report.complete);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub mod solve {
    pub use crate::solve::*;
}

/// Static equilibrium: a configuration in, the utilisation of every bond or a reason out.
///
/// ```
/// # use clamber_core::unstable;
/// # fn pair() -> Result<clamber_core::Problem, clamber_core::Diagnostics> {
/// #     Ok(clamber_core::read_scenario("pair.toml", include_str!("../examples/pair.toml"))?.1)
/// # }
/// let problem = pair()?;
/// let report = clamber_core::assess_start(&problem)?;
/// assert_eq!(report.status, clamber_core::LoadStatus::Carried);
/// assert_eq!(report.bonds.len(), problem.modules.len());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub mod statics {
    pub use crate::statics::*;
}

/// Where one module can go while the others stand, and how it drives there.
///
/// ```
/// # use clamber_core::unstable;
/// # fn pair() -> Result<clamber_core::Problem, clamber_core::Diagnostics> {
/// #     Ok(clamber_core::read_scenario("pair.toml", include_str!("../examples/pair.toml"))?.1)
/// # }
/// let problem = pair()?;
/// let surface = unstable::travel::Surface::new(&problem, &problem.start, clamber_core::ModuleId(0));
/// assert!(surface.area_m2() > 0.0);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub mod travel {
    pub use crate::travel::*;
}
