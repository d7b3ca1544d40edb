//! Plans followed by crews that are late, stop short, or fail.

use super::stops::{Stop, measured};
use crate::support::{Dice, fixture};
use clamber_core::follow::{
    Command, Event, FollowState, Follower, Measured, Part, Recovery, Remedy, Scatter, StepState, Tube,
    Unfollowable,
};
use clamber_core::unstable::motion::is_sound_at_rest;
use clamber_core::{
    Configuration, Control, Hold, ModuleId, Move, Plan, Problem, SolveOptions, Status, check_plan, solve,
};
use std::sync::OnceLock;

/// Fixtures whose plans overlap in time, carry modules, or depend on touches.
const FOLLOWED: [&str; 5] = ["row", "column", "stand", "boom", "ferry"];

fn cases(usual: usize) -> usize {
    std::env::var("CLAMBER_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(usual)
}

/// A fixture and a plan that was found quickly, once for all tests.
fn plan_of(name: &str) -> (&'static Problem, &'static Plan) {
    static FOUND: [OnceLock<(Problem, Plan)>; FOLLOWED.len()] = [const { OnceLock::new() }; FOLLOWED.len()];
    let number = FOLLOWED.iter().position(|known| *known == name).expect("one of them");
    let (problem, plan) = FOUND[number].get_or_init(|| {
        let (_, problem) = fixture(name);
        let options = SolveOptions { shortening: 0, patience: 0, ..SolveOptions::default() };
        let solution = solve(&problem, &options, &Control::unlimited()).expect("it makes sense");
        assert_eq!(solution.status, Status::Solved);
        (problem, solution.plan)
    });
    (problem, plan)
}

fn begun<'a>(problem: &'a Problem, plan: &'a Plan) -> Follower<'a> {
    Follower::new(problem, plan).expect("a solved plan can be followed")
}

/// Follows a plan at any paces for a number of events.
fn followed<'a>(begun: &Follower<'a>, plan: &Plan, events: usize, dice: &mut Dice) -> Follower<'a> {
    let mut follower = begun.clone();
    for _ in 0..events {
        let ready = follower.may_start();
        let under_way: Vec<usize> = (0..plan.steps.len())
            .filter(|step| matches!(follower.state().steps[*step], StepState::UnderWay(_)))
            .collect();
        let starts = !ready.is_empty() && (under_way.is_empty() || dice.chance(0.5));
        let event = if starts {
            Event::Started { step: ready[dice.below(ready.len())] }
        } else if under_way.is_empty() {
            break;
        } else {
            let step = under_way[dice.below(under_way.len())];
            if dice.chance(0.5) {
                Event::Ended { step }
            } else {
                Event::Share { step, share: dice.between(0.0, 1.0) }
            }
        };
        follower.note(event).expect("it can happen");
    }
    follower
}

/// A crew that does as expected, with its hops half turned.
fn stop_of(follower: &Follower<'_>, plan: &Plan) -> Stop {
    let truth = follower.expected();
    let hopping = plan.steps.iter().zip(&follower.state().steps).filter_map(|(step, state)| {
        match (step.action, state) {
            (Move::Hop { to }, StepState::UnderWay(_)) => {
                let (old, new) = (truth.get(step.module).orientation, step.end.orientation);
                Some((step.module, to, old.slerp(new, 0.4)))
            }
            _ => None,
        }
    });
    let hopping = hopping.collect();
    Stop { truth, hopping }
}

/// Whatever the paces: the goal is reached, every stop is proven, and what is left of the plan is sound.
#[test]
fn any_pace_and_any_stop() {
    for (number, name) in FOLLOWED.into_iter().enumerate() {
        let (problem, plan) = plan_of(name);
        let mut dice = Dice::new(7 + number as u64);
        let start = begun(problem, plan);
        for case in 0..cases(4) {
            let events = dice.below(3 * plan.steps.len());
            let follower = followed(&start, plan, events, &mut dice);
            let stop = follower.safe_stop();
            assert!(stop.findings.is_empty(), "{name}, case {case}: {:?}", stop.findings);
            assert!(is_sound_at_rest(problem, &stop.configuration), "{name}, case {case}");
            let told: Vec<usize> = stop
                .commands
                .iter()
                .filter_map(|command| match command {
                    Command::Hold { step } | Command::Finish { step } | Command::TakeBack { step } => {
                        Some(*step)
                    }
                    Command::Start { .. } | Command::Brace { .. } => None,
                })
                .collect();
            let moving =
                follower.state().steps.iter().filter(|s| matches!(s, StepState::UnderWay(_))).count();
            assert_eq!(told.len(), moving, "{name}: everybody under way is told");
            let (rest_problem, rest) = follower.remainder().expect("it can be timed");
            let report = check_plan(&rest_problem, &rest).expect("its values make sense");
            assert!(report.is_sound(), "{name}, case {case}: {:?}", report.findings);
        }
        let done = followed(&start, plan, usize::MAX >> 1, &mut dice);
        assert!(done.is_done(), "{name}");
        let report = check_plan(problem, plan).expect("its values make sense");
        for (id, place) in done.expected().iter() {
            assert!(place.position.distance(report.last.get(id).position) < 1e-9, "{name}");
        }
    }
}

/// No false alarm, and every shortfall is noticed.
#[test]
fn shortfalls_are_noticed() {
    let (tube, scatter) = (Tube::default(), Scatter::default());
    let (mut tried, mut missed, mut alarms) = (0, 0, 0);
    for (number, name) in FOLLOWED.into_iter().enumerate() {
        let (problem, plan) = plan_of(name);
        let mut dice = Dice::new(50 + number as u64);
        let start = begun(problem, plan);
        for _ in 0..cases(40) {
            let events = dice.below(3 * plan.steps.len());
            let follower = followed(&start, plan, events, &mut dice);
            let stop = stop_of(&follower, plan);
            let poses = measured(&stop, &mut dice, scatter);
            let whereabouts = follower.whereabouts(&poses, tube).expect("it is near");
            alarms += usize::from(!whereabouts.beyond.is_empty());
            tried += 1;
            // One drives 5 mm short, or is turned by 0.05 rad too little.
            let module = ModuleId::at(dice.below(problem.modules.len()));
            if stop.hopping.iter().any(|(hopping, ..)| *hopping == module) || stop.truth.is_stood_on(module) {
                continue;
            }
            let short = short_by(problem, &stop.truth, module, &mut dice);
            let Some(truth) = short else { continue };
            let poses = measured(&Stop { truth, ..stop }, &mut dice, scatter);
            let noticed = match follower.whereabouts(&poses, tube) {
                Ok(whereabouts) => whereabouts.beyond.iter().any(|deviation| deviation.module == module),
                Err(_) => true,
            };
            missed += usize::from(!noticed);
        }
    }
    println!("{tried} noisy states: {alarms} false alarms, {missed} shortfalls missed");
    assert_eq!((alarms, missed), (0, 0));
}

/// The crew with one module 5 mm or 0.05 rad from where it should be; `None` where it cannot be there.
fn short_by(
    problem: &Problem,
    there: &Configuration,
    module: ModuleId,
    dice: &mut Dice,
) -> Option<Configuration> {
    let mut rolling = there.clone();
    rolling.get_mut(module).hold = Hold::Rolling;
    let action = if dice.chance(0.5) {
        // The centre goes further than the sole on a shell: the centre's shortfall is 5 mm.
        let kind = problem.kind(module);
        let share = match there.get(module).host.module() {
            Some(host) => problem.kind(host).shell_radius_m / kind.standing_distance(problem.kind(host)),
            None => 1.0,
        };
        Move::Slide { travel_m: if dice.chance(0.5) { 5e-3 } else { -5e-3 } * share, curvature_per_m: 0.0 }
    } else {
        Move::Yaw { angle_rad: if dice.chance(0.5) { 0.05 } else { -0.05 } }
    };
    let mut after = clamber_core::unstable::motion::apply(problem, &rolling, module, &action).ok()?;
    after.get_mut(module).hold = there.get(module).hold;
    clamber_core::unstable::motion::geometry_faults(problem, &after).is_empty().then_some(after)
}

/// A step stalls on a crew that is measured: mostly the same trips do, else a new search.
#[test]
fn stalls_are_recovered_from() {
    let options = SolveOptions { shortening: 0, patience: 0, ..SolveOptions::default() };
    let (mut refits, mut replans, mut stops) = (0, 0, 0);
    for (number, name) in ["row", "column", "boom", "stand"].into_iter().enumerate() {
        let (problem, plan) = plan_of(name);
        let mut dice = Dice::new(90 + number as u64);
        let start = begun(problem, plan);
        let mut tried = 0;
        while tried < cases(3) {
            let events = 1 + dice.below(2 * plan.steps.len());
            let mut follower = followed(&start, plan, events, &mut dice);
            let is_moving = |state: &&StepState| matches!(state, StepState::UnderWay(_));
            let Some(step) = follower.state().steps.iter().position(|s| is_moving(&s)) else { continue };
            if follower.state().steps.iter().filter(is_moving).count() > 1
                || !plan.steps[step].action.sweeps()
            {
                continue;
            }
            tried += 1;
            let commands =
                follower.note(Event::Stalled { step, share: dice.between(0.1, 0.9) }).expect("it can");
            assert!(follower.may_start().is_empty() && !commands.contains(&Command::Start { step }));
            let poses = measured(&stop_of(&follower, plan), &mut dice, Scatter::default());
            match follower
                .recover(&poses, Tube::default(), &options, &Control::unlimited())
                .expect("it is near")
            {
                Recovery::Follow { remedy, problem: from, plan: next, .. } => {
                    assert_eq!(next.status, Status::Solved);
                    let report = check_plan(&from, &next).expect("its values make sense");
                    assert!(report.is_sound(), "{name}: {:?}", report.findings);
                    Follower::new(&from, &next).expect("it can be followed");
                    match remedy {
                        Remedy::Refit => refits += 1,
                        Remedy::Replan | Remedy::FewerSlots => replans += 1,
                    }
                }
                Recovery::Stop(stop) => {
                    assert!(stop.findings.is_empty(), "{name}: {:?}", stop.findings);
                    stops += 1;
                }
                Recovery::GoOn => panic!("{name}: a crew that has stalled does not go on"),
            }
        }
    }
    println!("of {} stalls: {refits} refits, {replans} replans, {stops} stops", refits + replans + stops);
    assert!(stops * 20 <= refits + replans + stops, "nearly all go on");
}

#[test]
fn on_course_goes_on() {
    let (problem, plan) = plan_of("row");
    let mut dice = Dice::new(1);
    let follower = followed(&begun(problem, plan), plan, 3, &mut dice);
    let poses = measured(&stop_of(&follower, plan), &mut dice, Scatter::default());
    let found = follower.recover(&poses, Tube::default(), &SolveOptions::default(), &Control::unlimited());
    assert_eq!(found, Ok(Recovery::GoOn));
}

/// A stuck module: as many slots as can still be filled.
#[test]
fn a_stuck_module_leaves_fewer_slots() {
    let (problem, plan) = plan_of("row");
    let mut follower = Follower::new(problem, plan).expect("it can be followed");
    follower.note(Event::Lost { module: 0, part: Part::All }).expect("it can happen");
    let poses: Vec<Measured> =
        problem.start.iter().map(|(_, place)| Measured::exactly(place, Scatter::default())).collect();
    let options = SolveOptions { shortening: 0, patience: 0, ..SolveOptions::default() };
    let found = follower.recover(&poses, Tube::default(), &options, &Control::unlimited());
    let Ok(Recovery::Follow { remedy: Remedy::FewerSlots, problem: fewer, plan: next, .. }) = found else {
        panic!("two modules fill two of three slots: {found:?}")
    };
    assert!(fewer.modules[0].stuck && next.steps.iter().all(|step| step.module != ModuleId(0)));
    let last = check_plan(&fewer, &next).expect("its values make sense").last;
    assert_eq!(fewer.fillers(&last).iter().flatten().count(), 2);
}

#[test]
fn states_are_written_and_read_back() {
    let (problem, plan) = plan_of("stand");
    let follower = followed(&begun(problem, plan), plan, 9, &mut Dice::new(3));
    let text = serde_json::to_string(follower.state()).expect("plain data");
    let state: FollowState = serde_json::from_str(&text).expect("it reads");
    let again = Follower::resume(problem, plan, state).expect("it is the state of this plan");
    assert_eq!((again.state(), again.may_start()), (follower.state(), follower.may_start()));
    let last = plan.steps.len() - 1;
    for odd in [StepState::Done, StepState::UnderWay(f64::NAN), StepState::Stalled(2.0)] {
        let mut state = Follower::new(problem, plan).expect("it can be followed").state().clone();
        state.steps[last] = odd;
        assert!(
            matches!(Follower::resume(problem, plan, state), Err(Unfollowable::Impossible(_))),
            "{odd:?}"
        );
    }
    let mut nobody = follower.state().clone();
    nobody.lost.push((99, Part::Drive));
    assert!(matches!(Follower::resume(problem, plan, nobody), Err(Unfollowable::Impossible(_))));
    let other = Follower::resume(problem, plan, FollowState::default());
    assert!(matches!(other, Err(Unfollowable::OtherPlan { found: 0, .. })));
}

#[test]
fn what_cannot_have_happened_is_refused() {
    let (problem, plan) = plan_of("row");
    let mut follower = Follower::new(problem, plan).expect("it can be followed");
    let waits =
        (0..plan.steps.len()).find(|step| !plan.steps[*step].after.is_empty()).expect("some step waits");
    let first = follower.may_start()[0];
    let before = follower.state().clone();
    for event in [
        Event::Started { step: waits },
        Event::Started { step: 999 },
        Event::Ended { step: first },
        Event::Share { step: first, share: 0.5 },
        Event::Lost { module: 99, part: Part::Cup },
    ] {
        assert!(matches!(follower.note(event), Err(Unfollowable::Impossible(_))), "{event:?}");
    }
    follower.note(Event::Started { step: first }).expect("it may");
    for share in [f64::NAN, -0.1, 1.1] {
        assert!(follower.note(Event::Share { step: first, share }).is_err());
    }
    assert_ne!(&before, follower.state());
    let mut broken = plan.clone();
    broken.steps[waits].after.clear();
    broken.steps[waits].start_s = 0.0;
    assert!(Follower::new(problem, &broken).is_err());
}
