//! Plans how a crew of ball-shaped robot modules rearranges itself.
//!
//! Each module drives on one magnetic foot, over the ground or over another module's steel shell, and can evacuate a cup to hold harder.
//! There is no lattice: a module can stand anywhere on a shell. Given a site, a crew with rated holds and a goal, find a sequence of moves
//! (yaw, slide, hop, brace, release) in which *every instant* is connected, free of collisions and carries its load, or say what stops it.
//! The rules are those of `docs/model.md` in the repository; its section numbers are cited throughout.
//!
//! # The way the data goes
//!
//! A scene comes in at the top, a plan leaves at the bottom. Each layer knows only those above it in this list.
//!
//! | layer | what it does |
//! |---|---|
//! | [`math`] | vectors, rotations, tolerances, waves |
//! | [`geometry`] | points on arcs and lines, vertical prisms, least distances |
//! | [`model`] | kinds, decks, modules, configurations, bonds, touches |
//! | [`statics`] | a configuration in, the utilisation of every bond or a reason out |
//! | [`motion`] | the five moves, and what holds at every instant of them |
//! | [`travel`] | where one module can go while the others stand |
//! | [`search`] | the [`Planner`](search::Planner) trait, its planners, lower bounds |
//! | [`schedule`] | a sequence of moves in, a timed plan with its braces out |
//! | [`check`] | replays a plan against the rules, without `travel`, `search` and `schedule` |
//! | [`course`] | who is where at every instant of a plan, and what holds everybody: for pictures |
//! | [`scene`] | text in and out: scenes, plans, schemas, diagnostics |
//! | [`generate`] | scenes from a seed, rehearsed |
//!
//! # Example
//!
//! ```
//! use clamber_core::{check, motion, scene, schedule, search};
//! use search::Planner;
//!
//! let text = include_str!("../../fixtures/pair.toml");
//! let (scenario, problem) = scene::read_scenario("pair.toml", text)?;
//!
//! // The library reads no clock: the budget's interrupt is asked instead.
//! let budget = search::Budget { expansions: 1000, ..search::Budget::unlimited() };
//! let options = search::Options::default();
//! let outcome = search::AStar.plan(&problem, &options, &budget, &search::NoObserver)?;
//! assert_eq!(outcome.status, motion::Status::Solved);
//!
//! let note = motion::PlannerNote::new("astar", options.seed);
//! let moves = schedule::moves_of_trips(&problem, &outcome.trips)?;
//! let (status, bound_s) = (outcome.status, outcome.lower_bound_s);
//! let timed = schedule::side_by_side(&problem, &moves, note, status, bound_s, schedule::Objective::Time, &budget)?;
//! let plan = timed.plan;
//! assert!(check::check_plan(&problem, &plan).is_sound());
//! let file = scene::write_plan(&scenario, &problem, &plan)?;
//! assert!(file.contains("clamber-plan/1"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # Promises
//!
//! The library opens no file, prints nothing, reads no clock, keeps no global state and does not panic on input. The same problem,
//! options and number of expansions give the same bytes on any number of threads of one machine. How a search ended is a
//! [`Status`](motion::Status); what makes no sense is an error.

pub mod check;
pub mod control;
pub mod course;
pub mod generate;
pub mod geometry;
pub mod math;
pub mod model;
pub mod motion;
pub mod plan;
pub mod scene;
pub mod schedule;
pub mod search;
pub mod solve;
pub mod statics;
pub mod travel;
