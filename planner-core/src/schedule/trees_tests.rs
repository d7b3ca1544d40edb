//! Proofs tree by tree of bonds against exact utilisations of whole structures, with their touches, at random instants of random crews.

use super::crew::Crew;
use super::crews_tests::{Dice, crew_on, random_crew, random_moves};
use super::drive_sequence::DriveSequence;
use super::loads::Loads;
use super::order::{Order, Rules};
use crate::control::Interrupt;
use crate::model::{Body, Configuration, Hold, ModuleId, Placement, Problem, touches};
use crate::motion::structure::{part_of, renamed, renamed_body};
use crate::motion::{Move, Stretch, Underway, apply};
use crate::statics::{LoadCase, Utilisation};
use fixedbitset::FixedBitSet;

/// Random crews.
const CASES: usize = 100;
/// Instants that are looked at for each step that is proven.
const INSTANTS: usize = 6;
/// Utilisations and newtons that agree within this are the same.
const SAME: f64 = 1e-6;

/// A move under way: whose, how far, and the place that a hop leads to.
#[derive(Clone, Copy)]
struct Begun {
    module: ModuleId,
    action: Move,
    share: f64,
    hop_end: Option<Placement>,
    /// Whether a hop is done already.
    is_done: bool,
}

/// An instant: where each move under way began, and how far it is.
struct Instant {
    there: Configuration,
    underway: Vec<Begun>,
}

impl Instant {
    /// A random instant while `step` is under way: some steps have ended, and of those that then can be under way some are, each at its own share.
    fn at_random(
        dice: &mut Dice,
        crew: &Crew<'_, '_>,
        order: &Order,
        step: usize,
        waits: &FixedBitSet,
    ) -> Self {
        let mut ended = waits.clone();
        for &item in order.placed.iter().take(dice.below(order.placed.len() + 1)) {
            if order.before[item].is_subset(&ended) && dice.below(5) > 0 {
                ended.insert(item);
            }
        }
        let problem = crew.problem();
        let mut there = problem.start.clone();
        for item in ended.ones().map(|k| &crew.items[k]) {
            there = apply(problem, &there, item.module, &item.action).expect("those before it have ended");
        }
        let can_be = |k: &usize| !ended.contains(*k) && order.before[*k].is_subset(&ended);
        let mut begun: Vec<usize> = order.placed.iter().copied().filter(can_be).collect();
        begun.retain(|_| dice.below(4) > 0);
        begun.push(step);
        let underway = begun.into_iter().map(|k| {
            let (module, action) = (crew.items[k].module, crew.items[k].action);
            let after = apply(problem, &there, module, &action).expect("those before it have ended");
            let hop_end = action.changes_host().then(|| *after.get(module));
            let share = [0.0, 1.0, dice.between(0.0, 1.0)][dice.below(3)];
            Begun { module, action, share, hop_end, is_done: dice.below(2) == 0 }
        });
        let underway: Vec<Begun> = underway.collect();
        for begun in underway.iter().filter(|begun| !begun.action.shakes()) {
            there.get_mut(begun.module).hold = Hold::Rolling;
        }
        Self { there, underway }
    }

    /// Whether anything drives or hops.
    fn drives(&self) -> bool {
        self.underway.iter().any(|begun| begun.action.shakes())
    }

    /// The load case of all of a crew, under the gravity that holds while anything `drives`.
    fn load(&self, problem: &Problem, drives: bool) -> LoadCase {
        let hops: Vec<&Begun> = self.underway.iter().filter(|begun| begun.hop_end.is_some()).collect();
        let ends: Vec<(ModuleId, Placement)> =
            hops.iter().filter_map(|begun| begun.hop_end.map(|end| (begun.module, end))).collect();
        let done = hops.iter().enumerate().map(|(bit, begun)| usize::from(begun.is_done) << bit).sum();
        let moving: Vec<Underway> = self
            .underway
            .iter()
            .map(|begun| Underway { mover: begun.module, action: begun.action, share: begun.share })
            .collect();
        let case = if moving.is_empty() {
            LoadCase::new(problem, &self.there, touches(problem, &self.there))
        } else {
            Stretch::new(problem, self.there.clone(), &moving, &ends).load_at(1.0, done)
        };
        case.in_motion(problem, drives)
    }

    /// The same for a part of the crew.
    fn of_part(&self, problem: &Problem, part: &[ModuleId]) -> (Problem, Self) {
        let (alone, there) = part_of(problem, &self.there, part);
        let own = self.underway.iter().filter(|begun| part.contains(&begun.module));
        let underway = own.map(|begun| Begun {
            module: renamed(part, begun.module),
            action: match begun.action {
                Move::Hop { to } => Move::Hop { to: renamed_body(part, to) },
                other => other,
            },
            hop_end: begun.hop_end.map(|end| Placement { host: renamed_body(part, end.host), ..end }),
            ..*begun
        });
        (alone, Self { there, underway: underway.collect() })
    }

    /// The structures that contain any of some modules: joined by bonds, on both sides of hops, and by the touches that count.
    fn structures(&self, problem: &Problem, inside: &[bool]) -> Vec<Vec<ModuleId>> {
        let mut number: Vec<usize> = (0..self.there.len()).collect();
        let bonds = self.there.iter().map(|(id, place)| (id, place.host));
        let hops = self.underway.iter().filter_map(|begun| Some((begun.module, begun.hop_end?.host)));
        let touches = self.load(problem, true).touches.into_iter().map(|touch| (touch.module, touch.other));
        for (module, other) in bonds.chain(hops).chain(touches) {
            if let Body::Module(other) = other {
                let (from, to) = (number[module.index()], number[other.index()]);
                number.iter_mut().filter(|n| **n == from).for_each(|n| *n = to);
            }
        }
        let members = |n: usize| (0..number.len()).filter(|&m| number[m] == n).collect::<Vec<usize>>();
        (0..number.len())
            .map(members)
            .filter(|part| part.iter().any(|&m| inside[m]))
            .map(|part| part.into_iter().map(ModuleId::at).collect())
            .collect()
    }

    /// The exact utilisation, worst over the structures that contain any of some modules.
    fn worst(&self, problem: &Problem, inside: &[bool]) -> Utilisation {
        let drives = self.drives();
        self.structures(problem, inside).iter().fold(Utilisation::NOTHING, |worst, part| {
            let (alone, own) = self.of_part(problem, part);
            worst.worse(own.load(&alone, drives).worst())
        })
    }
}

/// How often each answer was given.
#[derive(Debug, Default)]
struct Answers {
    /// Trees carry.
    trees: usize,
    /// Only whole structures do.
    structures: usize,
    /// Neither is proven.
    neither: usize,
    /// Instants of those that are in fact not carried.
    fails: usize,
    /// Instants of those that trees prove at which touches join their modules.
    touching: usize,
    /// Hops among the steps that trees prove.
    hops: usize,
}

/// Looks at one crew with its moves, each of which waits for those that it must wait for and for others at random.
fn look(dice: &mut Dice, problem: &Problem, count: usize, answers: &mut Answers) {
    let moves = random_moves(dice, problem, count);
    let course = DriveSequence::new(problem, &moves).expect("they can be made as given");
    let limit = problem.limits.utilisation();
    let mut loads = Loads::new(&course, limit);
    let mut crew = Crew::of_moves(&course, &mut loads, &moves, Interrupt::NEVER);
    let mut order = Order::new(crew.len());
    for step in 0..crew.len() {
        let mut waits = FixedBitSet::with_capacity(crew.len());
        for &other in order.placed.iter().rev() {
            if crew.keep_order(other, step) || crew.collide(other, step) || dice.below(8) == 0 {
                waits.insert(other);
                waits.union_with(&order.before[other]);
            }
        }
        let inside = crew.within_reach(&order, step, &waits);
        let by_trees = crew.trees_carry(&order, step, &waits, &inside).expect("nobody stops it");
        let by_structures = crew.structures_carry(&order, step, &waits, &inside).expect("nobody stops it");
        assert!(by_structures || !by_trees, "trees prove what structures do not: step {step} of {moves:?}");
        for _ in 0..INSTANTS {
            let instant = Instant::at_random(dice, &crew, &order, step, &waits);
            let worst = instant.worst(problem, &inside);
            if by_structures {
                let is_carried = worst.value <= limit + SAME && worst.excess_n <= SAME;
                assert!(is_carried, "by trees: {by_trees}, {worst:?} of {limit}, step {step} of {moves:?}");
                answers.touching += usize::from(by_trees && !instant.load(problem, true).touches.is_empty());
            } else {
                answers.fails += usize::from(!worst.within(limit));
            }
        }
        answers.trees += usize::from(by_trees);
        answers.structures += usize::from(by_structures && !by_trees);
        answers.neither += usize::from(!by_structures);
        answers.hops += usize::from(by_trees && matches!(crew.items[step].action, Move::Hop { .. }));
        order.place(step, waits, 1.0, 0.0);
    }
}

/// What trees are proven to carry, whole structures do: at random instants, exactly, with all touches, slipping shells and further tilt.
#[test]
fn what_trees_carry_structures_do() {
    let (mut dice, mut answers) = (Dice::new(29), Answers::default());
    for case in 0..CASES {
        let problem = random_crew(&mut dice, 3 + case % 5);
        look(&mut dice, &problem, 8, &mut answers);
    }
    let Answers { trees, structures, neither, fails, touching, hops } = answers;
    assert!([trees, structures, neither, fails, touching, hops].iter().all(|&n| n >= 20), "{answers:?}");
}

/// Where decks differ in how rough they are, a touch may join a tree to ground for which gravity counts as tilted further: nothing is proven by trees.
#[test]
fn touches_with_rougher_ground_are_not_left_out() {
    let mut problem = crew_on(&[0.0, 0.4]);
    let yaw = vec![(ModuleId(0), Move::Yaw { angle_rad: 1.0 })];
    let answer = |problem: &Problem| {
        let course = DriveSequence::new(problem, &yaw).expect("it can be made");
        let mut loads = Loads::new(&course, problem.limits.utilisation());
        let mut crew = Crew::of_moves(&course, &mut loads, &yaw, Interrupt::NEVER);
        let (order, waits) = (Order::new(1), FixedBitSet::with_capacity(1));
        let inside = crew.within_reach(&order, 0, &waits);
        crew.trees_carry(&order, 0, &waits, &inside)
    };
    assert_eq!(answer(&problem), Ok(true));
    let mut rougher = problem.grounds[0].clone();
    problem.grounds[0].surfacing.tilt_rad = 0.05;
    assert_eq!(answer(&problem), Ok(true), "one ground, rough or not");
    rougher.surfacing.tilt_rad = 0.1;
    problem.grounds.push(rougher);
    assert_eq!(answer(&problem), Ok(false), "two grounds of which one is rougher");
}
