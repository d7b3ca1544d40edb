//! Plans how a crew of ball-shaped robot modules rearranges itself.
//!
//! Each module drives on one magnetic foot, over the ground or over another module's steel shell, and can evacuate a cup to hold harder.
//! There is no lattice: a module can stand anywhere on a shell. Given a site, a crew with rated holds and a goal, [`solve`](solve()) finds a sequence
//! of moves (yaw, slide, hop, cross, stride, brace, release) in which *every instant* is connected, free of collisions and carries its load, or says what
//! stops the crew. The rules are those of `docs/model.md` in the repository; its section numbers are cited throughout.
//!
//! # Example
//!
//! Read a scene, solve it with a deadline, and write the plan, which has been checked if its status is `solved`:
//!
//! ```
//! use clamber_core::{Control, Signal, SolveOptions, read_scenario, solve, write_plan};
//! use std::time::{Duration, Instant};
//!
//! fn main() -> Result<(), Box<dyn std::error::Error>> {
//!     let text = std::fs::read_to_string("examples/pair.toml")?;
//!     let (scenario, problem) = read_scenario("pair.toml", &text)?;
//!     let deadline = Instant::now() + Duration::from_secs(10);
//!     let signal = || if Instant::now() < deadline { Signal::GoOn } else { Signal::Finish };
//!     let solution = solve(&problem, &SolveOptions::default(), &Control::new(&signal))?;
//!     println!("{}: {} steps", solution.status.word(), solution.plan.steps.len());
//!     std::fs::write("pair.json", write_plan(&scenario, &problem, &solution.plan)?)?;
//! #   std::fs::remove_file("pair.json")?;
//! #   assert_eq!(solution.status, clamber_core::Status::Solved);
//!     Ok(())
//! }
//! ```
//!
//! # What is here
//!
//! | to | use |
//! |---|---|
//! | read and write scenes and plans | [`read_scenario`], [`write_scenario`], [`read_plan`], [`write_plan`] (feature `files`) |
//! | make a problem in code | fill in the fields of [`Problem`], or change those of one that was read: `problem.start.get_mut(id).position.x += 0.1` moves a module, and not those on it. [`Problem::validate`] names each value that makes no sense, and [`Scenario::of`] gives the scenario to write it with |
//! | hold a problem in memory | [`Problem`], with its [`Site`], [`Deck`]s, [`Kind`]s, [`Module`]s, [`Configuration`] and [`Goal`]; `problem.module_name(id)` is a module's name |
//! | solve it | [`solve`](solve()) with [`SolveOptions`] and a [`Control`]; the answer is a [`Solution`], or an [`InputError`] where the problem makes no sense: a value, or a start that is not sound |
//! | know why there is no solution | `solution.reason(&problem)`, in words ([`Solution::reason`]); as data `solution.proof` ([`Impossible`], a certificate that the goal cannot be reached), or how the search ended (`solution.report.unsolved`, [`Unsolved`]) and what refused most moves (`solution.report.stoppers`) |
//! | look at a plan | `plan.steps`: each [`Step`] has a `module`, an `action` ([`Move`]), `start_s`, `duration_s`, and the steps that it comes `after`. `plan.summary` ([`Summary`]) has `moves`, `makespan_s`, `gap_m`, and `utilisation`: the worst share of any bond's rated hold at any instant, of which the scene allows 1 / `hold_factor`. A plan is partial or empty unless its status is [`Status::Solved`] |
//! | read a plan back | [`read_plan`] gives its scenario, problem, plan and what the file says of itself |
//! | check a plan against every rule | [`check_plan`], a [`CheckReport`] whose `findings` are empty if it is sound; each [`Finding`] prints as a sentence |
//! | see what more it would bear | [`margins`], [`Margins`] |
//! | see what the start carries | [`assess_start`], a [`LoadReport`] |
//! | see where one module can go | [`survey`](survey()), a [`Survey`] |
//!
//! The signal of a [`Control`], which is asked often and from several threads: [`Signal::Finish`] says that the time is up, [`Signal::StopNow`] that the user
//! has cancelled. Either way the answer is the best plan that has been checked (status `solved`); if there is none, the status is `budget_spent` or
//! `cancelled`. After `Finish` the best trips found so far are still timed and checked, so use it for time limits. The four statuses are those of
//! [`Status`]. [`Diagnostics`], the errors of a text, print with `{}`, one mistake after the other. The first argument of [`read_scenario`] is the name of
//! the file, for these messages; it opens no file, so it refuses a kind that is taken from another one (`from`): for those there is
//! [`unstable::scene::read_scenario_with`].
//!
//! A controller that carries plans out on real modules finds what it needs in [`follow`]: measured poses become exact states
//! ([`settle`](follow::settle)), a [`Follower`](follow::Follower) says what may start and how to stop safely, and what to do after a deviation.
//!
//! All else stands under [`unstable`], for those who work on the library itself.
//!
//! # Units and frames
//!
//! SI units; the unit of a field is its suffix (`_m`, `_kg`, `_n`, `_rad`, `_s`). Frames are right-handed with z up (REP 103); quaternions turn
//! the body into the world.
//!
//! # Promises
//!
//! The library opens no file, prints nothing, reads no clock, keeps no global state, and no function panics on the values of a problem or a plan: it refuses
//! them by name. (An index of another problem is like an index beyond a slice: `problem.kind(id)` panics.) The same problem
//! and options give the same bytes on any number of threads and on any processor, where the caller's [`Control`] lets it go on to the end. How
//! a search ended is a [`Status`]; what makes no sense is an error.
//!
//! # Features
//!
//! `files` (scenes and plans as text, schemas), `generator` (scenes from a seed) and `rating` (from pull tests to rated holds) are on by default; a
//! controller that makes its problems in code can leave them out.

mod assess;
mod check;
mod control;
mod course;
#[cfg(feature = "generator")]
mod generate;
mod geometry;
mod math;
mod model;
mod motion;
mod plan;
#[cfg(feature = "rating")]
mod rating;
#[cfg(feature = "files")]
mod scene;
mod schedule;
mod search;
mod solve;
mod statics;
mod travel;

pub use check::{CheckReport, Finding, FurtherTilt, Margins, StepFigures, check_plan, margins};
pub use control::{Interrupt, Stopped};
pub use math::{DQuat, DVec2, DVec3};
pub use model::{
    Body, Configuration, Deck, DeckId, Edition, Gather, Goal, Ground, GroundId, Hold, Invalid, InvalidValue,
    Kind, KindId, Limits, LostParts, Module, ModuleId, Placement, Problem, Site, Slot, SlotId, SlotPlace,
    Stone, StoneId, Surfacing, Unanswered,
};
pub use motion::{Move, Rule};
pub use plan::{Plan, PlannerNote, Status, Step, Summary, UtilisationIs};
#[cfg(feature = "files")]
pub use scene::{
    Diagnostic, Diagnostics, FileFormat, PLAN_FORMAT, PlanFileFacts, SCENARIO_FORMAT, Scenario, WriteError,
    plan_schema, read_plan, read_scenario, scenario_schema, scenario_sha256, write_plan, write_scenario,
};
pub use schedule::Objective;
pub use search::{Impossible, InputError, PlannerName, Statistics};
pub use solve::{
    Control, Phase, Progress, Report, Signal, Solution, SolveOptions, Strategy, Unsolved, solve,
};
pub use statics::{BondReport, FailureMode, LoadReport, LoadStatus, Reason};
pub use travel::{Survey, survey};

/// How the start of a problem carries its load: every bond, and what fails first.
///
/// Complexity: with touches, one cone programme for each of nine directions of gravity.
///
/// # Errors
/// When a value of the problem makes no sense ([`Problem::validate`]).
pub fn assess_start(problem: &Problem) -> Result<LoadReport, Invalid> {
    problem.validate()?;
    Ok(statics::assess(problem, &motion::load_at_rest(problem, &problem.start)))
}

pub mod follow;
pub mod unstable;
