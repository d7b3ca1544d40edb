//! Follows a plan on real modules: measured states come in, commands go out. No clock and no I/O: the caller says what happened.
//!
//! The loop of a controller; `Crew` is what it has to bring. Here the crew does as it is told, and is measured exactly.
//!
//! ```
//! # use clamber_core::follow::{Command, Event, Follower, Measured, Recovery, Scatter, Tube};
//! # use clamber_core::{Configuration, Control, Plan, Problem, Signal, SolveOptions, read_scenario, solve};
//! # use std::error::Error;
//! # use std::time::{Duration, Instant};
//! trait Crew {
//!     fn tell(&mut self, command: Command);
//!     fn wait(&mut self) -> Event;
//!     fn measure(&mut self) -> Vec<Measured>;
//! }
//!
//! fn drive(problem: &Problem, plan: &Plan, crew: &mut dyn Crew) -> Result<(), Box<dyn Error>> {
//!     let (tube, options) = (Tube::default(), SolveOptions::default());
//!     let mut follower = Follower::new(problem, plan)?;
//!     follower.may_start().into_iter().for_each(|step| crew.tell(Command::Start { step }));
//!     while !follower.is_done() {
//!         for command in follower.note(crew.wait())? {
//!             crew.tell(command);
//!         }
//!         let is_on_course = follower.whereabouts(&crew.measure(), tube)?.beyond.is_empty();
//!         if is_on_course && !follower.state().halted {
//!             continue;
//!         }
//!         for command in follower.halt().commands {
//!             crew.tell(command);
//!         }
//!         while follower.is_moving() {
//!             follower.note(crew.wait())?;
//!         }
//!         let deadline = Instant::now() + Duration::from_secs(2);
//!         let signal = || if Instant::now() < deadline { Signal::GoOn } else { Signal::Finish };
//!         match follower.recover(&crew.measure(), tube, &options, &Control::new(&signal))? {
//!             Recovery::GoOn => {}
//!             Recovery::Follow { first, problem, plan, .. } => {
//!                 first.into_iter().for_each(|command| crew.tell(command));
//!                 return drive(&problem, &plan, crew);
//!             }
//!             Recovery::Stop(stop) => return Err(format!("it stands, and needs help: {stop:?}").into()),
//!         }
//!     }
//!     Ok(())
//! }
//! #
//! # struct Obedient { now: Configuration, steps: Vec<clamber_core::Step>, events: Vec<Event>, told: Vec<usize> }
//! # impl Crew for Obedient {
//! #     fn tell(&mut self, command: Command) {
//! #         let Command::Start { step } = command else { return };
//! #         if !self.told.contains(&step) {
//! #             self.told.push(step);
//! #             self.events.extend([Event::Started { step }, Event::Ended { step }]);
//! #         }
//! #     }
//! #     fn wait(&mut self) -> Event {
//! #         let event = self.events.remove(0);
//! #         if let Event::Ended { step } = event {
//! #             *self.now.get_mut(self.steps[step].module) = self.steps[step].end;
//! #         }
//! #         event
//! #     }
//! #     fn measure(&mut self) -> Vec<Measured> {
//! #         self.now.iter().map(|(_, place)| Measured::exactly(place, Scatter::default())).collect()
//! #     }
//! # }
//! # let (_, problem) = read_scenario("pair.toml", include_str!("../../examples/pair.toml"))?;
//! # let plan = solve(&problem, &SolveOptions::default(), &Control::unlimited())?.plan;
//! # let (now, steps) = (problem.start.clone(), plan.steps.clone());
//! # drive(&problem, &plan, &mut Obedient { now, steps, events: Vec::new(), told: Vec::new() })?;
//! # Ok::<(), Box<dyn Error>>(())
//! ```

mod between;
mod follower;
mod measured;
mod recover;
mod refit;
mod settle;
mod state;
mod whereabouts;

pub use follower::{Follower, SafeStop, Unfollowable};
pub use measured::{Measured, Scatter};
pub use recover::{Recovery, Remedy};
pub use settle::{Closed, Finish, Residual, Settled, Unsettled, settle};
pub use state::{Command, Event, FollowState, Part, StepState};
pub use whereabouts::{Deviation, Tube, Whereabouts};
