//! One run: a crew follows a plan, things fail, and what it did is judged.

use super::crew::{Crew, Happening};
use super::fault::{self, Fault, FaultWord};
use super::log::Log;
use super::record::{is_about_the_crew, with_hold};
use clamber_core::follow::{Command, Event, Follower, Part, Recovery, Remedy, Scatter, StepState, Tube};
use clamber_core::unstable::check::check_rules;
use clamber_core::unstable::math::SplitMix64;
use clamber_core::unstable::motion::is_sound_at_rest;
use clamber_core::{
    Configuration, Control, Finding, Hold, Interrupt, ModuleId, Move, Plan, Problem, Signal, SolveOptions,
    Step,
};
use std::sync::atomic::{AtomicU64, Ordering};

/// What all runs have in common.
pub(crate) struct Rules<'a> {
    pub(crate) problem: &'a Problem,
    pub(crate) plan: &'a Plan,
    pub(crate) seed: u64,
    pub(crate) jitter: f64,
    pub(crate) noise: Scatter,
    pub(crate) faults: &'a [FaultWord],
    pub(crate) effort: u64,
}

/// How a run ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum End {
    Goal,
    /// As many slots as could still be filled.
    PartOfGoal,
    SafeStop,
    /// The fault itself takes more than the margin.
    Overloaded,
}

/// What came of a run.
pub(crate) struct Run {
    pub(crate) end: End,
    pub(crate) refits: usize,
    pub(crate) replans: usize,
    pub(crate) fewer: usize,
    /// Whether something that failed took more than the margin.
    pub(crate) hurt: bool,
    pub(crate) took_s: f64,
    /// Rules that were broken, in words; none in a run as it should be.
    pub(crate) breaches: Vec<String>,
    pub(crate) log: Log,
}

/// How a part ended.
enum PartEnd {
    Done(Configuration),
    Follow(Box<(Problem, Plan)>),
    Stop { is_proven: bool },
}

/// Most plans that are followed in one run.
const MOST_PARTS: usize = 12;
/// Silence is asked about once a step takes this much longer than planned, in seconds.
const PATIENCE_S: f64 = 5.0;

pub(crate) fn run(rules: &Rules<'_>, begun: &Follower<'_>, number: u32) -> Run {
    let mut dice = SplitMix64::new(rules.seed.wrapping_mul(0x9e37_79b9).wrapping_add(u64::from(number)));
    let within_s = rules.plan.summary.makespan_s;
    let mut faults = fault::draw(rules.faults, within_s, &mut dice);
    let mut run = Run {
        end: End::Goal,
        refits: 0,
        replans: 0,
        fewer: 0,
        hurt: false,
        took_s: 0.0,
        breaches: Vec::new(),
        log: Log::default(),
    };
    let (mut problem, mut plan) = (rules.problem.clone(), rules.plan.clone());
    for part in 0..MOST_PARTS {
        run.log.part = part;
        let follower = if part == 0 { Ok(begun.clone()) } else { Follower::new(&problem, &plan) };
        let follower = match follower {
            Ok(follower) => follower,
            Err(error) => {
                run.breaches.push(format!("part {part}: the new plan cannot be followed: {error}"));
                return run;
            }
        };
        let ended = Follows {
            rules,
            problem: &problem,
            plan: &plan,
            dice: &mut dice,
            run: &mut run,
            faults: &mut faults,
        }
        .follow(follower);
        match ended {
            Err(words) => {
                run.breaches.push(format!("part {part}: {words}"));
                return run;
            }
            Ok(PartEnd::Done(last)) => {
                run.end = if rules.problem.goal_is_met(&last) { End::Goal } else { End::PartOfGoal };
                if run.end == End::PartOfGoal && !problem.goal_is_met(&last) {
                    run.breaches.push(format!("part {part}: the plan has ended, and its goal is not met"));
                }
                return run;
            }
            Ok(PartEnd::Stop { is_proven }) => {
                run.end = if is_proven { End::SafeStop } else { End::Overloaded };
                if !is_proven && !run.hurt {
                    run.breaches.push(format!("part {part}: the stop is not proven"));
                }
                return run;
            }
            Ok(PartEnd::Follow(next)) => (problem, plan) = *next,
        }
    }
    run.breaches.push(format!("{MOST_PARTS} plans were not enough"));
    run
}

/// One part of a run.
struct Follows<'a, 'b> {
    rules: &'b Rules<'b>,
    problem: &'a Problem,
    plan: &'a Plan,
    dice: &'b mut SplitMix64,
    run: &'b mut Run,
    faults: &'b mut Vec<Fault>,
}

impl<'a> Follows<'a, '_> {
    fn follow(mut self, mut follower: Follower<'a>) -> Result<PartEnd, String> {
        let begun_s = self.run.took_s;
        let mut crew = Crew::new(self.problem, self.plan);
        // The instant at which the controller is killed and started again, in events.
        let mut killed_in = self.dice.below(2 * self.plan.steps.len() + 1);
        // Steps whose end nobody told of, and when they are asked about.
        let mut silent: Vec<(f64, usize)> = Vec::new();
        let mut loses_report = false;
        while !follower.is_done() {
            for step in follower.may_start() {
                crew.start(step, self.dice);
            }
            let asked_s = silent.iter().map(|(at_s, _)| *at_s).fold(f64::INFINITY, f64::min);
            let next_s = crew.next_s().unwrap_or(f64::INFINITY);
            let fault =
                self.faults.first().copied().filter(|fault| fault.at_s <= begun_s + next_s.min(asked_s));
            if let Some(Fault { at_s, word }) = fault {
                crew.now_s = crew.now_s.max(at_s - begun_s);
                self.faults.remove(0);
                if word == FaultWord::Lost {
                    loses_report = true;
                    self.log(&crew, "a report will be lost".into());
                    continue;
                }
                if self.strike(word, &mut crew, &mut follower)? {
                    return self.recovered(crew, &follower, begun_s);
                }
                continue;
            }
            if asked_s <= next_s {
                let Some(index) = silent.iter().position(|(at_s, _)| *at_s <= asked_s) else {
                    return Err("the crew waits for ever".into());
                };
                let (at_s, step) = silent.remove(index);
                crew.now_s = crew.now_s.max(at_s);
                self.ask(&crew, &mut follower, step)?;
                continue;
            }
            match crew.happen(self.rules.jitter, self.dice) {
                None => return Err("nothing is under way, and nothing may start".into()),
                Some(Happening::Starts(step)) => self.note(&mut follower, &crew, Event::Started { step })?,
                Some(Happening::Ends(step)) if loses_report => {
                    loses_report = false;
                    silent.push((crew.now_s + self.plan.steps[step].duration_s + PATIENCE_S, step));
                    self.log(&crew, format!("step {step} has ended, and nobody is told"));
                }
                Some(Happening::Ends(step)) => self.note(&mut follower, &crew, Event::Ended { step })?,
                Some(Happening::IsBack(_)) => return Err("something was taken back without a stop".into()),
            }
            if killed_in == 0 {
                follower = self.again(&follower)?;
            }
            killed_in = killed_in.wrapping_sub(1);
        }
        self.judge(&crew)?;
        self.run.took_s = begun_s + crew.now_s;
        crew.truth().map(PartEnd::Done)
    }

    fn log(&mut self, crew: &Crew<'_>, words: String) {
        let at_s = self.run.took_s + crew.now_s;
        self.run.log.say(at_s, words);
    }

    fn note(&mut self, follower: &mut Follower<'a>, crew: &Crew<'_>, event: Event) -> Result<(), String> {
        self.run.log.event(self.run.took_s + crew.now_s, event);
        follower.note(event).map(drop).map_err(|error| format!("an event is refused: {error}"))
    }

    /// The follower killed, and started again from what it wrote. That the plan can be followed was proven when it was given.
    fn again(&self, follower: &Follower<'a>) -> Result<Follower<'a>, String> {
        let text = serde_json::to_string(follower.state()).map_err(|error| error.to_string())?;
        let state = serde_json::from_str(&text).map_err(|error| error.to_string())?;
        let again = follower.with_state(state).map_err(|error| error.to_string())?;
        let same = again.may_start() == follower.may_start()
            && again.safe_stop().commands == follower.safe_stop().commands;
        if same { Ok(again) } else { Err("started again it gives other commands".into()) }
    }

    /// Whether a module whose report was lost stands where its step ends: then it has ended.
    fn ask(&mut self, crew: &Crew<'_>, follower: &mut Follower<'a>, step: usize) -> Result<(), String> {
        let own = &self.plan.steps[step];
        self.log(crew, format!("step {step} is asked about"));
        for (moving, share) in crew.shares() {
            self.note(follower, crew, Event::Share { step: moving, share })?;
        }
        self.note(follower, crew, Event::Ended { step })?;
        let expected = follower.expected();
        let poses = crew.measured(self.rules.noise, self.dice)?;
        let (pose, place, tube) = (&poses[own.module.index()], expected.get(own.module), Tube::default());
        // A stop may have braced it since.
        let holds = !matches!(own.action, Move::Brace | Move::Release) || pose.hold == place.hold;
        let is_there = pose.position.distance(place.position) < tube.position_m
            && pose.orientation.angle_between(place.orientation) < tube.angle_rad;
        if is_there && holds { Ok(()) } else { Err(format!("step {step} has ended elsewhere than planned")) }
    }

    /// Something fails. Whether the crew has to stop for it.
    fn strike(
        &mut self,
        word: FaultWord,
        crew: &mut Crew<'a>,
        follower: &mut Follower<'a>,
    ) -> Result<bool, String> {
        let truth = crew.truth()?;
        let shares = crew.shares();
        for &(step, share) in &shares {
            self.note(follower, crew, Event::Share { step, share })?;
        }
        let event = match word {
            FaultWord::Stall => {
                let Some(&(step, _)) = shares.get(self.dice.below(shares.len().max(1))) else {
                    return Ok(false);
                };
                let share = crew.stop(step).unwrap_or(0.0);
                Event::Stalled { step, share }
            }
            FaultWord::Cup => {
                let braced: Vec<ModuleId> =
                    self.problem.module_ids().filter(|id| truth.get(*id).hold == Hold::Braced).collect();
                let module = match braced.is_empty() {
                    true => self.dice.below(self.problem.modules.len()),
                    false => braced[self.dice.below(braced.len())].index(),
                };
                Event::Lost { module, part: Part::Cup }
            }
            FaultWord::Stuck | FaultWord::Drive | FaultWord::Yaw => {
                let part = match word {
                    FaultWord::Drive => Part::Drive,
                    FaultWord::Yaw => Part::Yaw,
                    _ => Part::All,
                };
                Event::Lost { module: self.dice.below(self.problem.modules.len()), part }
            }
            FaultWord::Lost => return Ok(false),
        };
        self.run.log.event(self.run.took_s + crew.now_s, event);
        crew.halt();
        follower.note(event).map_err(|error| format!("a fault is refused: {error}"))?;
        let stop = follower.halt();
        let at_s = self.run.took_s + crew.now_s;
        stop.commands.iter().for_each(|command| self.run.log.command(at_s, *command));
        let lost = follower.with_lost();
        let hurts = !stop.findings.is_empty() || !is_sound_at_rest(&lost, &truth_at_rest(crew, self.plan)?);
        if hurts {
            self.run.hurt = true;
            self.log(crew, "the fault takes more than the margin".into());
        }
        let ending = crew.ending();
        let now = truth_at_rest(crew, self.plan)?;
        let stays = |step: &usize| {
            stop.commands.iter().all(|command| {
                !matches!(command, Command::Hold { step: own } | Command::TakeBack { step: own } if own == step)
            })
        };
        let goes_on: Vec<usize> = ending.into_iter().filter(stays).collect();
        if !hurts {
            let findings = wound_down(&lost, self.plan, &now, &goes_on);
            if let Some(finding) = findings.first() {
                return Err(format!("the stop breaks a rule: {finding}"));
            }
        }
        for command in stop.commands {
            if let Some((step, share)) = crew.obey(command) {
                self.note(follower, crew, Event::Stalled { step, share })?;
            }
        }
        while crew.is_moving() {
            match crew.happen(self.rules.jitter, self.dice) {
                Some(Happening::Ends(step)) => self.note(follower, crew, Event::Ended { step })?,
                Some(Happening::IsBack(step)) => {
                    self.note(follower, crew, Event::Stalled { step, share: 0.0 })?
                }
                Some(Happening::Starts(step)) => return Err(format!("step {step} starts after the halt")),
                None => break,
            }
        }
        if follower.is_moving() {
            // Its end was not told of: now that all stand it is seen.
            let open: Vec<usize> = (0..self.plan.steps.len())
                .filter(|step| matches!(follower.state().steps[*step], StepState::UnderWay(_)))
                .collect();
            for step in open {
                self.ask(crew, follower, step)?;
            }
        }
        Ok(true)
    }

    /// What comes after a stop.
    fn recovered(mut self, crew: Crew<'a>, follower: &Follower<'a>, begun_s: f64) -> Result<PartEnd, String> {
        self.judge(&crew)?;
        let truth = crew.truth()?;
        for (id, place) in follower.expected().iter() {
            let off_m = place.position.distance(truth.get(id).position);
            if off_m > 1e-6 {
                let name = self.problem.module_name(id);
                return Err(format!("{name} is {:.3} mm from where the follower has it", off_m * 1e3));
            }
        }
        let poses = crew.measured(self.rules.noise, self.dice)?;
        let asked = AtomicU64::new(0);
        let signal = || match asked.fetch_add(1, Ordering::Relaxed) < self.rules.effort {
            true => Signal::GoOn,
            false => Signal::Finish,
        };
        let options = SolveOptions { shortening: 0, patience: 0, ..SolveOptions::default() };
        let found = follower.recover(&poses, Tube::default(), &options, &Control::new(&signal));
        self.run.took_s = begun_s + crew.now_s;
        match found.map_err(|error| format!("measured poses are refused: {error}"))? {
            Recovery::GoOn => Err("a crew that has halted is told to go on".into()),
            Recovery::Stop(stop) => {
                let is_proven = stop.findings.is_empty();
                self.run.log.say(self.run.took_s, format!("it stops; proven: {is_proven}"));
                Ok(PartEnd::Stop { is_proven })
            }
            Recovery::Follow { remedy, first, problem, plan } => {
                let (count, word) = match remedy {
                    Remedy::Refit => (&mut self.run.refits, "refit"),
                    Remedy::Replan => (&mut self.run.replans, "replan"),
                    Remedy::FewerSlots => (&mut self.run.fewer, "fewer slots"),
                };
                *count += 1;
                self.run.log.say(self.run.took_s, word.into());
                first.iter().for_each(|command| self.run.log.command(self.run.took_s, *command));
                // Moves that are ended first.
                let seconds = |step: usize| self.plan.steps[step].duration_s;
                let first_s = first.iter().map(|command| match command {
                    Command::Finish { step } | Command::TakeBack { step } => seconds(*step),
                    _ => 0.0,
                });
                self.run.took_s += first_s.fold(0.0, f64::max);
                Ok(PartEnd::Follow(Box::new((*problem, *plan))))
            }
        }
    }

    /// Judges what the crew did.
    fn judge(&mut self, crew: &Crew<'_>) -> Result<(), String> {
        let (plan, findings) = crew.record.judged(self.problem, self.plan);
        self.run.log.part_done(self.problem.clone(), plan);
        match findings.first() {
            Some(finding) if !self.run.hurt => Err(format!("the crew breaks a rule: {finding}")),
            _ => Ok(()),
        }
    }
}

/// The crew at this instant as if all stood: bonds whose holds change are rolling.
fn truth_at_rest(crew: &Crew<'_>, plan: &Plan) -> Result<Configuration, String> {
    let truth = crew.truth()?;
    let changing = crew.ending().into_iter().map(|step| &plan.steps[step]);
    let changing = changing.filter(|step| matches!(step.action, Move::Brace | Move::Release));
    Ok(changing.fold(truth, |now, step| with_hold(&now, step.module, Hold::Rolling)))
}

/// What the check finds wrong when some steps go on to their ends while all others stand.
fn wound_down(lost: &Problem, plan: &Plan, now: &Configuration, goes_on: &[usize]) -> Vec<Finding> {
    let problem = Problem { start: now.clone(), ..lost.clone() };
    let steps = goes_on.iter().map(|&step| &plan.steps[step]).filter(|step| step.action != Move::Release);
    let steps = steps.map(|step| Step { start_s: 0.0, after: Vec::new(), ..step.clone() }).collect();
    match check_rules(&problem, &Plan { steps, ..plan.clone() }, Interrupt::NEVER) {
        Ok(report) => report.findings.into_iter().filter(is_about_the_crew).collect(),
        Err(_) => Vec::new(),
    }
}
