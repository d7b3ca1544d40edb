//! Modules that stop between two hosts, and machines that stop within a stride.

use crate::support::{Dice, fixture};
use clamber_core::follow::{
    Command, Event, Follower, Measured, Part, Recovery, Scatter, StepState, Tube, Unsettled,
};
use clamber_core::unstable::motion::{Stretch, Underway, apply};
use clamber_core::{Control, DVec3, ModuleId, Move, Plan, Problem, SolveOptions, Status, check_plan, solve};
use std::sync::OnceLock;

fn quick() -> SolveOptions {
    SolveOptions { shortening: 0, patience: 0, ..SolveOptions::default() }
}

fn planned(name: &str) -> (Problem, Plan) {
    let (_, problem) = fixture(name);
    let solution = solve(&problem, &quick(), &Control::unlimited()).expect("it makes sense");
    assert_eq!(solution.status, Status::Solved, "{name}");
    (problem, solution.plan)
}

/// A machine that walks, planned once for all tests.
fn walk() -> (&'static Problem, &'static Plan) {
    static FOUND: OnceLock<(Problem, Plan)> = OnceLock::new();
    let (problem, plan) = FOUND.get_or_init(|| planned("walk/cobbles"));
    (problem, plan)
}

/// The follower when the first step of a sort is under way and nothing else is.
fn within<'a>(problem: &'a Problem, plan: &'a Plan, is_it: fn(&Move) -> bool) -> (Follower<'a>, usize) {
    let mut follower = Follower::new(problem, plan).expect("it can be followed");
    loop {
        let step = follower.may_start()[0];
        follower.note(Event::Started { step }).expect("it may start");
        if is_it(&plan.steps[step].action) {
            return (follower, step);
        }
        follower.note(Event::Ended { step }).expect("it is under way");
    }
}

/// The crew with the module of a step on its way from where it begins to where it ends.
fn part_way(follower: &Follower<'_>, plan: &Plan, step: usize, share: f64) -> Vec<Measured> {
    let (own, expected) = (&plan.steps[step], follower.expected());
    let after = apply(follower.problem(), &expected, own.module, &own.action).expect("it is planned");
    let mut poses: Vec<Measured> =
        expected.iter().map(|(_, place)| Measured::exactly(place, Scatter::default())).collect();
    let (from, to) = (expected.get(own.module), after.get(own.module));
    let pose = &mut poses[own.module.index()];
    pose.position = from.position.lerp(to.position, share);
    pose.orientation = from.orientation.slerp(to.orientation, share);
    poses
}

/// A cross that stops is taken back where it is nearer its beginning, and finished where it is nearer its end.
#[test]
fn interrupted_crosses_end_at_the_nearer_side() {
    let (problem, plan) = planned("rough/kerbs");
    for (share, goes_on) in [(0.2, false), (0.8, true)] {
        let (mut follower, step) = within(&problem, &plan, |action| matches!(action, Move::Cross { .. }));
        follower.note(Event::Stalled { step, share }).expect("it is under way");
        let mut dice = Dice::new(5);
        let mut poses = part_way(&follower, &plan, step, share);
        for pose in &mut poses {
            pose.position += DVec3::new(1.0, 1.0, 1.0) * dice.between(-0.4e-3, 0.4e-3);
        }
        let found = follower.whereabouts(&poses, Tube::default()).expect("it is on its way");
        assert!(found.settled.is_sound(), "{:?}", found.settled.unsound);
        assert_eq!(found.settled.hops.len(), 1);
        let end = found.settled.hops[0];
        assert_eq!((end.module, end.goes_on), (plan.steps[step].module, goes_on), "at {share}");
        assert_goes_on_soundly(&follower, &poses, step, goes_on);
    }
}

/// The crew goes on by finishing a step, or taking it back, and then by a sound plan.
fn assert_goes_on_soundly(follower: &Follower<'_>, poses: &[Measured], step: usize, goes_on: bool) {
    let recovery = follower.recover(poses, Tube::default(), &quick(), &Control::unlimited());
    let Ok(Recovery::Follow { first, problem: from, plan: next, .. }) = recovery else {
        panic!("{recovery:?}")
    };
    let command = if goes_on { Command::Finish { step } } else { Command::TakeBack { step } };
    assert_eq!(first, [command]);
    let report = check_plan(&from, &next).expect("its values make sense");
    assert!(report.is_sound(), "{:?}", report.findings);
}

/// While it is under way a cross goes on to its end.
#[test]
fn crosses_finish_when_the_crew_stops() {
    let (problem, plan) = planned("rough/kerbs");
    let (mut follower, step) = within(&problem, &plan, |action| matches!(action, Move::Cross { .. }));
    let stop = follower.halt();
    assert_eq!((stop.commands, stop.findings), (vec![Command::Finish { step }], Vec::new()));
}

/// A module that gets stuck within a hop stays there; so does the crew, and that is proven. It is not told to brace.
#[test]
fn stuck_within_a_hop() {
    let (problem, plan) = planned("pair");
    for part in [Part::All, Part::Drive] {
        let (mut follower, step) = within(&problem, &plan, |action| matches!(action, Move::Hop { .. }));
        follower.note(Event::Share { step, share: 0.4 }).expect("it is under way");
        let module = plan.steps[step].module.index();
        let commands = follower.note(Event::Lost { module, part }).expect("it can happen");
        assert_eq!(commands, [Command::Hold { step }]);
        follower.note(Event::Stalled { step, share: 0.4 }).expect("it is under way");
        assert_eq!(follower.state().steps[step], StepState::Stalled(0.4));
        let poses = part_way(&follower, &plan, step, 0.4);
        let found = follower.recover(&poses, Tube::default(), &quick(), &Control::unlimited());
        let Ok(Recovery::Stop(stop)) = found else { panic!("nobody can help it: {found:?}") };
        assert!(stop.findings.is_empty(), "{:?}", stop.findings);
    }
}

/// A cup that is lost while it is evacuated: the brace stops.
#[test]
fn a_brace_without_a_cup_is_held() {
    let (problem, plan) = planned("boom");
    let (mut follower, step) = within(&problem, &plan, |action| matches!(action, Move::Brace));
    let module = plan.steps[step].module.index();
    let commands = follower.note(Event::Lost { module, part: Part::Cup }).expect("it can happen");
    assert_eq!(commands, [Command::Hold { step }]);
}

/// A pose without a host nearby is refused, within a cross too.
#[test]
fn others_are_still_settled() {
    let (problem, plan) = planned("rough/kerbs");
    let (mut follower, step) = within(&problem, &plan, |action| matches!(action, Move::Cross { .. }));
    follower.note(Event::Stalled { step, share: 0.5 }).expect("it is under way");
    let mut poses = part_way(&follower, &plan, step, 0.5);
    let other = (0..poses.len()).find(|index| *index != plan.steps[step].module.index());
    let Some(other) = other else { return };
    poses[other].position.z += 0.05;
    let found = follower.whereabouts(&poses, Tube::default());
    assert!(matches!(found, Err(Unsettled::Contradiction(_))), "{found:?}");
}

/// In a stride the foot is in the air: it goes on to its end, which the check proves, and nothing halts half-way.
#[test]
fn a_stride_goes_on_to_its_end() {
    let (problem, plan) = walk();
    let (mut follower, step) = within(problem, plan, |action| matches!(action, Move::Stride { .. }));
    let before = follower.expected();
    follower.note(Event::Share { step, share: 0.5 }).expect("it is under way");
    assert_eq!(follower.expected(), before, "until it has ended it is where it began");
    let stop = follower.safe_stop();
    assert_eq!(stop.findings, Vec::new());
    assert_eq!(stop.commands, [Command::Finish { step }]);
    let own = &plan.steps[step];
    let after = apply(problem, &before, own.module, &own.action).expect("it is planned");
    assert_eq!(stop.configuration, after);
}

/// A stride that stops is nowhere to stay: the machine goes back where it is nearer its beginning, and on where it is nearer its end, and then follows the rest.
#[test]
fn interrupted_strides_end_at_the_nearer_side() {
    let (problem, plan) = walk();
    for (share, goes_on) in [(0.2, false), (0.8, true)] {
        let (mut follower, step) = within(problem, plan, |action| matches!(action, Move::Stride { .. }));
        follower.note(Event::Stalled { step, share }).expect("it is under way");
        assert_eq!(follower.safe_stop().findings, Vec::new(), "every instant of a stride is sound");
        let own = &plan.steps[step];
        let underway = Underway { mover: own.module, action: own.action, share };
        let there = Stretch::new(problem, follower.expected(), &[underway], &[]).at(1.0);
        let mut dice = Dice::new(6);
        let mut poses: Vec<Measured> =
            there.iter().map(|(_, place)| Measured::exactly(place, Scatter::default())).collect();
        for pose in &mut poses {
            pose.position += DVec3::new(1.0, 1.0, 1.0) * dice.between(-0.4e-3, 0.4e-3);
        }
        let found = follower.whereabouts(&poses, Tube::default()).expect("it is on its way");
        assert!(found.settled.is_sound(), "{:?}", found.settled.unsound);
        let ends: Vec<(ModuleId, bool)> =
            found.settled.hops.iter().map(|end| (end.module, end.goes_on)).collect();
        assert_eq!(ends, [(own.module, goes_on)], "at {share}");
        assert_eq!(found.beyond, Vec::new(), "a machine on its way is on course");
        assert_goes_on_soundly(&follower, &poses, step, goes_on);
    }
}

/// A planted module that gets stuck within a stride holds the machine where it is: an instant of the stride, which is proven.
#[test]
fn stuck_within_a_stride() {
    let (problem, plan) = walk();
    let (mut follower, step) = within(problem, plan, |action| matches!(action, Move::Stride { .. }));
    follower.note(Event::Share { step, share: 0.4 }).expect("it is under way");
    let Move::Stride { planted, .. } = plan.steps[step].action else { panic!("it is a stride") };
    let module = planted.ids()[0].index();
    let commands = follower.note(Event::Lost { module, part: Part::Drive }).expect("it can happen");
    assert_eq!(commands, [Command::Hold { step }]);
    follower.note(Event::Stalled { step, share: 0.4 }).expect("it is under way");
    let stop = follower.safe_stop();
    assert_eq!(stop.findings, Vec::new());
}
