//! The arguments of `follow`.

use clap::Args;
use clap::builder::TypedValueParser;
use std::path::PathBuf;

/// Arguments of `follow`.
#[derive(Debug, Args)]
#[command(after_help = "\
Example: clamber follow plan.json --state state.json

Events come in on stdin, one JSON object on each line; answers go out on stdout, one on each line. `clamber schema follow` describes both.

  {\"event\": \"started\", \"step\": 0}                      a step has begun
  {\"event\": \"share\", \"step\": 0, \"share\": 0.5}          it has come further
  {\"event\": \"ended\", \"step\": 0}                        it has ended as planned
  {\"event\": \"stalled\", \"step\": 0, \"share\": 0.5}        it has stopped, and does not go on
  {\"event\": \"lost\", \"module\": \"m1\", \"part\": \"cup\"}     drive, yaw, cup, or all
  {\"event\": \"measured\", \"poses\": [...]}                where is the crew?
  {\"event\": \"halt\"}                                    how does it stop safely?
  {\"event\": \"recover\", \"poses\": [...]}                 it stands: go on, refit, replan, or stay

A line that makes no sense is refused, with its number, the field, what was found and what is allowed; nothing is changed by it, and the \
next line is read. Steps are numbered from 0. After an answer `follow` they are those of the plan in it.

--state names a file that holds all that is known. It is written in one step after each event, before the event is answered. If it is there at the \
start, it is read, and the same commands are given again: so the command can be killed at any time and started anew.

Exit codes: 0 all steps have ended; 1 stdin has ended before; 2 the plan cannot be followed, or a file or an argument is wrong.")]
pub(crate) struct FollowArgs {
    /// The plan, JSON
    pub(crate) plan: PathBuf,
    /// Keep what is known in this file (JSON), and begin with it if it is there
    #[arg(long, value_name = "FILE")]
    pub(crate) state: Option<PathBuf>,
    /// Time limit for each new plan after a deviation, in seconds
    #[arg(long, value_name = "SECONDS", default_value = "10", value_parser = seconds())]
    pub(crate) time: f64,
    /// Seed that breaks ties when a new plan is sought
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(crate) seed: u64,
    /// Has no effect: answers are always JSON
    #[arg(long)]
    pub(crate) json: bool,
}

fn seconds() -> impl TypedValueParser<Value = f64> {
    clap::builder::StringValueParser::new().try_map(|text| {
        let value = text.parse().ok().filter(|value: &f64| value.is_finite() && *value > 0.0);
        value.ok_or("give a number of seconds above 0, such as 10")
    })
}
