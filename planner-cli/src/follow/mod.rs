//! `clamber follow`: the library's follower over JSON lines, so that a controller in any language can drive it through a pipe.

mod answer;
mod args;
mod event;
mod measured;
mod state_file;

use crate::failure::Failure;
use crate::{exit_code, files, schema};
use answer::{Answer, CommandEntry, Refusal, StopEntry};
pub(crate) use args::FollowArgs;
use clamber_core::follow::{Command, Event, Follower, Part, Recovery, Remedy, Tube, Unfollowable, Unsettled};
use clamber_core::{Control, Scenario, Signal, SolveOptions, write_plan};
use event::{EventLine, PartWord};
use serde_json::{Value, json};
use state_file::Followed;
use std::io::BufRead;
use std::time::{Duration, Instant};

/// What comes after a plan.
enum Next {
    Exit(u8),
    Follow(Box<Followed>),
}

pub(crate) fn run(args: &FollowArgs) -> Result<u8, Failure> {
    let text = files::read_text(&args.plan)?;
    let given = state_file::digest(&text);
    let written = args.state.as_deref().map(|path| state_file::read(path, &given)).transpose()?.flatten();
    let mut followed = match written {
        Some(followed) => followed,
        None => Followed::read(&files::name(&args.plan), text, 0)?,
    };
    let mut lines = (1..).zip(std::io::stdin().lock().lines());
    loop {
        match follow(args, &given, &followed, &mut lines)? {
            Next::Exit(code) => return Ok(code),
            Next::Follow(next) => followed = *next,
        }
    }
}

/// The schema of the lines that come in and go out.
pub(crate) fn schema() -> Value {
    let (event, answer) = (
        schema::schema_of::<EventLine>("an event, on stdin"),
        schema::schema_of::<Answer>("an answer, on stdout"),
    );
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "clamber follow: a line on stdin or on stdout",
        "oneOf": [event, answer],
    })
}

fn follow(
    args: &FollowArgs,
    given: &str,
    followed: &Followed,
    lines: &mut impl Iterator<Item = (usize, std::io::Result<String>)>,
) -> Result<Next, Failure> {
    let Followed { number, problem, plan, state, .. } = followed;
    let mut follower = Follower::resume(problem, plan, state.clone()).map_err(unfollowable)?;
    let keep = |follower: &Follower<'_>| match &args.state {
        Some(path) => state_file::write(path, given, followed, follower.state()),
        None => Ok(()),
    };
    keep(&follower)?;
    Answer::following(*number, &follower).tell()?;
    let tell = |commands: Vec<Command>| {
        let mut entries = commands.into_iter().map(|command| CommandEntry::new(problem, plan, command));
        entries.try_for_each(|entry| Answer::Command(entry).tell())
    };
    tell(match state.halted {
        true => follower.safe_stop().commands,
        false => follower.may_start().into_iter().map(|step| Command::Start { step }).collect(),
    })?;
    while !follower.is_done() {
        let Some((at, line)) = lines.next() else { return Ok(Next::Exit(exit_code::NOT_SOUND)) };
        let line = match line {
            Ok(line) if line.trim().is_empty() => continue,
            Ok(line) => line,
            Err(error) if error.kind() == std::io::ErrorKind::InvalidData => {
                Refusal::new("line", "text that is not UTF-8", "UTF-8").at(at).tell()?;
                continue;
            }
            Err(error) => {
                return Err(Failure::unreadable(format!("error: stdin cannot be read: {error}; try again")));
            }
        };
        let read = match EventLine::read(&line) {
            Ok(event) => event,
            Err(refusal) => {
                refusal.at(at).tell()?;
                continue;
            }
        };
        match taken(args, &mut follower, followed, read) {
            Ok(Taken::Commands(commands)) => {
                keep(&follower)?;
                tell(commands)?;
            }
            Ok(Taken::Halted { findings, commands }) => {
                keep(&follower)?;
                Answer::Halted(findings).tell()?;
                tell(commands)?;
            }
            Ok(Taken::Answer(answer)) => answer.tell()?,
            Ok(Taken::Follow { answer, next }) => {
                if let Some(path) = &args.state {
                    state_file::write(path, given, &next, &next.state)?;
                }
                answer.tell()?;
                return Ok(Next::Follow(next));
            }
            Err(refusal) => refusal.at(at).tell()?,
        }
    }
    Answer::Done { goal_is_met: problem.goal_is_met(&follower.expected()) }.tell()?;
    Ok(Next::Exit(exit_code::DONE))
}

/// What comes of an event.
enum Taken {
    Commands(Vec<Command>),
    Halted { findings: StopEntry, commands: Vec<Command> },
    Answer(Answer),
    Follow { answer: Answer, next: Box<Followed> },
}

fn taken(
    args: &FollowArgs,
    follower: &mut Follower<'_>,
    followed: &Followed,
    line: EventLine,
) -> Result<Taken, Refusal> {
    let event = match line {
        EventLine::Started(fields) => Event::Started { step: fields.step },
        EventLine::Share(fields) => Event::Share { step: fields.step, share: fields.share },
        EventLine::Ended(fields) => Event::Ended { step: fields.step },
        EventLine::Stalled(fields) => Event::Stalled { step: fields.step, share: fields.share },
        EventLine::Lost(fields) => {
            let module = measured::module(&followed.problem, "module", &fields.module)?;
            let part = match fields.part {
                PartWord::Drive => Part::Drive,
                PartWord::Yaw => Part::Yaw,
                PartWord::Cup => Part::Cup,
                PartWord::All => Part::All,
            };
            Event::Lost { module: module.index(), part }
        }
        EventLine::Measured(fields) => {
            let poses = measured::poses(follower, &followed.problem, &fields)?;
            let found = follower.whereabouts(&poses, Tube::default()).map_err(unsettled)?;
            return Ok(Taken::Answer(Answer::whereabouts(&followed.problem, &found)));
        }
        EventLine::Halt(_) => {
            let stop = follower.halt();
            return Ok(Taken::Halted { findings: StopEntry::new(&stop.findings), commands: stop.commands });
        }
        EventLine::Recover(fields) => return recovered(args, follower, followed, &fields),
    };
    follower.note(event).map(Taken::Commands).map_err(|error| match event {
        Event::Share { share, .. } | Event::Stalled { share, .. } if !(0.0..=1.0).contains(&share) => {
            Refusal::new("share", share, "0 to 1")
        }
        Event::Started { step }
        | Event::Share { step, .. }
        | Event::Ended { step }
        | Event::Stalled { step, .. }
            if step >= followed.plan.steps.len() =>
        {
            let last = followed.plan.steps.len() - 1;
            Refusal::new("step", step, format!("0 to {last}, a step of the plan"))
        }
        _ => Refusal::Whole(error.to_string()),
    })
}

fn recovered(
    args: &FollowArgs,
    follower: &Follower<'_>,
    followed: &Followed,
    fields: &event::PosesFields,
) -> Result<Taken, Refusal> {
    if follower.is_moving() {
        return Err(Refusal::Whole(
            "the crew is still moving; report how each step that is under way has ended or stopped".into(),
        ));
    }
    let Followed { problem, plan, number, .. } = followed;
    let poses = measured::poses(follower, problem, fields)?;
    let deadline = Instant::now() + Duration::from_secs_f64(args.time);
    let signal = || if Instant::now() < deadline { Signal::GoOn } else { Signal::Finish };
    let options = SolveOptions { seed: args.seed, shortening: 0, patience: 0, ..SolveOptions::default() };
    let found =
        follower.recover(&poses, Tube::default(), &options, &Control::new(&signal)).map_err(unsettled)?;
    let (remedy, first, from, next) = match found {
        Recovery::GoOn => return Ok(Taken::Answer(Answer::GoOn)),
        Recovery::Stop(stop) => return Ok(Taken::Answer(Answer::Stop(StopEntry::new(&stop.findings)))),
        Recovery::Follow { remedy, first, problem, plan } => (remedy, first, problem, plan),
    };
    // What is followed is what a file says, so that it is the same after a state was read.
    let internal = |error: &dyn std::fmt::Display| {
        Refusal::Whole(format!("internal error: no file of the new plan: {error}"))
    };
    let text = Scenario::of(&from)
        .and_then(|scenario| write_plan(&scenario, &from, &next))
        .map_err(|e| internal(&e))?;
    let next = Followed::read("the new plan", text, number + 1).map_err(|failure| internal(&failure.text))?;
    let answer = Answer::Follow {
        remedy: match remedy {
            Remedy::Refit => "refit",
            Remedy::Replan => "replan",
            Remedy::FewerSlots => "fewer_slots",
        }
        .into(),
        first: first.into_iter().map(|command| CommandEntry::new(problem, plan, command)).collect(),
        plan: next.number,
        file: serde_json::from_str(&next.text).map_err(|e| internal(&e))?,
    };
    Ok(Taken::Follow { answer, next: Box::new(next) })
}

fn unsettled(error: Unsettled) -> Refusal {
    match &error {
        Unsettled::Invalid(invalid) => match invalid.values.first() {
            Some(value) => {
                let field = format!("poses, {}, {}", value.of, value.field);
                Refusal::new(field, &value.found, value.allowed.clone())
            }
            None => Refusal::Whole(error.to_string()),
        },
        _ => Refusal::Whole(error.to_string()),
    }
}

fn unfollowable(error: Unfollowable) -> Failure {
    let to_do = match error {
        Unfollowable::NotSound(_) | Unfollowable::NeedsTheClock(_) => {
            "`clamber check` tells all that is wrong with it"
        }
        _ => "give a plan that `clamber check` finds sound, and the state that belongs to it",
    };
    Failure::not_sound(format!("error: {error}; {to_do}"))
}
