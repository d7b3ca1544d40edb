//! Trips in the order of their arrivals, by brute force: each drive is made in turn, past all others where they then stand.

use super::arrivals::by_arrival;
use super::crews_tests::{Dice, Moves, crew_on, least_gap_m, random_crew, random_moves};
use super::drive_sequence::DriveSequence;
use super::{in_pieces, moves_of_trips};
use crate::control::{Budget, Interrupt, Stopped};
use crate::math::tolerance;
use crate::model::{Configuration, Hold, ModuleId, Problem};
use crate::motion::{Move, apply, duration_s};
use crate::unstable::generate::{Family, GenerateOptions, GroundMaterial, Kinds, generate};
use crate::unstable::search::{NoObserver, Options, Planner, TakingApart};

/// Makes moves one after the other; the least gap on the way, and where all end.
fn replayed(problem: &Problem, moves: &Moves) -> (f64, Configuration) {
    let (mut now, mut least_m) = (problem.start.with_holds(|_| Hold::Rolling), f64::INFINITY);
    for (module, action) in moves {
        least_m = least_m.min(least_gap_m(problem, &now, *module, action));
        now = apply(problem, &now, *module, action).expect("it is possible in its turn");
    }
    (least_m, now)
}

fn by_arrivals(problem: &Problem, moves: &Moves) -> Moves {
    let course = DriveSequence::new(problem, moves).expect("they can be made as given");
    let order = by_arrival(&course, Interrupt::NEVER).expect("nobody stops it");
    let mut drives = order.clone();
    drives.sort_unstable();
    assert!(drives.into_iter().eq(0..course.drives.len()), "each drive once: {order:?}");
    order.iter().map(|&drive| (course.drives[drive].module, course.drives[drive].action)).collect()
}

/// The order can be made, comes no nearer to anything than the given one does, and ends in the same places.
#[track_caller]
fn replays(problem: &Problem, moves: &Moves, name: &str) -> Moves {
    let drives: Moves = moves.iter().copied().filter(|(_, action)| action.shakes()).collect();
    let (given_m, given_end) = replayed(problem, &drives);
    let sorted = by_arrivals(problem, moves);
    let (least_m, end) = replayed(problem, &sorted);
    // Ways past others may be as near as those given, or else as near as the clearance.
    let least = given_m.min(problem.limits.clearance_m) - 2.0 * tolerance::LENGTH_M;
    assert!(least_m >= least, "{name}: {least_m} m, as given {given_m} m");
    for ((id, a), (_, b)) in end.iter().zip(given_end.iter()) {
        assert_eq!(a.host, b.host, "{name}: {id:?}");
        assert!(a.position.distance(b.position) < 1e-9, "{name}: {id:?}");
    }
    sorted
}

/// Crews that form piles, walls and rafts, as their planner has them; in the order of arrivals, and cut into pieces too.
#[test]
fn generated_crews() {
    let mut changed = 0;
    for family in [Family::Fields, Family::Wall, Family::Raft, Family::ScatteredToShape] {
        for (seed, kinds) in [(1, Kinds::Cobble), (2, Kinds::Random), (3, Kinds::Mixed), (4, Kinds::Cobble)] {
            let ground = (family == Family::Fields).then_some(GroundMaterial::Steel);
            let Ok(scene) = generate(family, GenerateOptions { modules: 8, seed, kinds, ground }) else {
                continue;
            };
            let (_, problem) = crate::read_scenario("scene.toml", &scene.text).expect("it makes sense");
            let budget = Budget { expansions: 200, ..Budget::unlimited() };
            let Ok(found) = TakingApart.plan(&problem, &Options::default(), &budget, &NoObserver) else {
                continue;
            };
            if found.trips.is_empty() {
                continue;
            }
            let moves = moves_of_trips(&problem, &found.trips).expect("trips can be made");
            let name = format!("{} {seed}", family.name());
            let sorted = replays(&problem, &moves, &name);
            changed += usize::from(sorted != moves);
            let pieces = in_pieces(&problem, &moves, true, Interrupt::NEVER).expect("nobody stops it");
            let (least_m, _) = replayed(&problem, &pieces);
            assert!(least_m >= -2.0 * tolerance::LENGTH_M, "{name}: pieces come as near as {least_m} m");
        }
    }
    assert!(changed >= 5, "only {changed} orders changed");
}

/// Crews at random that touch, hop and carry each other.
#[test]
fn random_crews() {
    let (mut dice, mut changed) = (Dice::new(17), 0);
    for case in 0..400 {
        let problem = random_crew(&mut dice, 4 + case % 4);
        let moves = random_moves(&mut dice, &problem, 8);
        let sorted = replays(&problem, &moves, &format!("case {case}"));
        let drives: Moves = moves.into_iter().filter(|(_, action)| action.shakes()).collect();
        changed += usize::from(sorted != drives);
    }
    assert!(changed >= 100, "only {changed} orders changed");
}

/// Of trips that do not know of each other, those that arrive sooner come first.
#[test]
fn who_arrives_sooner_comes_first() {
    let problem = crew_on(&[-0.6, -0.2, 0.2, 0.6]);
    let slide = |m: u16, travel_m: f64| (ModuleId(m), Move::Slide { travel_m, curvature_per_m: 0.0 });
    let turn = |m: u16| (ModuleId(m), Move::Yaw { angle_rad: std::f64::consts::FRAC_PI_2 });
    // Across the row, each on its own line; the last has two trips, and its second follows its first.
    let moves = vec![
        turn(0),
        slide(0, 0.8),
        turn(1),
        slide(1, 0.2),
        turn(3),
        slide(3, 0.1),
        turn(2),
        slide(2, 0.4),
        slide(3, 0.1),
    ];
    let sorted = by_arrivals(&problem, &moves);
    let ends = |module: u16| {
        let own = moves.iter().filter(move |(m, _)| m.0 == module);
        own.map(|(m, action)| duration_s(&problem, *m, Hold::Rolling, action)).sum::<f64>()
    };
    let last_of: Vec<u16> = {
        let mut seen: Vec<u16> = sorted.iter().rev().map(|(m, _)| m.0).collect();
        let mut firsts = Vec::new();
        seen.drain(..).for_each(|m| {
            if !firsts.contains(&m) {
                firsts.push(m)
            }
        });
        firsts.reverse();
        firsts
    };
    assert!(last_of.windows(2).all(|w| ends(w[0]) <= ends(w[1])), "{last_of:?}");
    assert_eq!(last_of.len(), 4);
    // One in the way of another keeps its place before it.
    let blocked = vec![turn(1), slide(1, 0.9), slide(0, 0.6)];
    assert_eq!(by_arrivals(&problem, &blocked), blocked);
}

#[test]
fn it_can_be_stopped() {
    let problem = crew_on(&[-0.2, 0.2]);
    let moves = vec![(ModuleId(0), Move::Yaw { angle_rad: 1.0 })];
    let course = DriveSequence::new(&problem, &moves).expect("it can be made");
    let stopped = || Some(Stopped::Cancelled);
    assert_eq!(by_arrival(&course, Interrupt::new(&stopped)), Err(Stopped::Cancelled));
}
