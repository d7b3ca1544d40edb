//! Brute force over all trips that the planners have: no estimate, nothing taken as equal to anything else.
//!
//! What is compared: by Dijkstra's algorithm the least time of trips one after the other, which A* with `greed` 1 must find; by breadth-first
//! search the fewest trips, which no planner may undercut and which tells whether there is a way at all.

use crate::planners::{on_floor, scene, trips_s};
use crate::support::{Dice, fixture};
use clamber_core::DVec3;
use clamber_core::Interrupt;
use clamber_core::Status;
use clamber_core::unstable::control::Budget;
use clamber_core::unstable::search::{AStar, Beam, NoObserver, NoveltyFirst, Options, Planner, TakingApart};
use clamber_core::unstable::travel::{Interest, Way, reachable};
use clamber_core::{Body, Configuration, Hold, ModuleId, Placement, Problem, SlotId, SlotPlace};
use pathfinding::directed::bfs::bfs;
use pathfinding::directed::dijkstra::dijkstra;
use std::cell::RefCell;
use std::collections::BTreeMap;

/// Nominal places of all slots; all modules are of one kind.
fn nominal(problem: &Problem) -> Vec<DVec3> {
    let mut places: Vec<DVec3> = Vec::new();
    for slot in &problem.goal.slots {
        let host = match slot.place {
            SlotPlace::OnGround(..) => None,
            SlotPlace::OnSlot(below, _) => Some((ModuleId(0), places[below.index()])),
        };
        places.push(problem.slot_place(slot, ModuleId(0), host).expect("the host is there"));
    }
    places
}

/// Every configuration seen, by who stands where and points where.
#[derive(Default)]
struct Seen {
    configurations: Vec<Configuration>,
    index: BTreeMap<Vec<i64>, usize>,
}

impl Seen {
    fn index_of(&mut self, configuration: Configuration) -> usize {
        let cell = |v: f64| (v * 1e6).round() as i64;
        let key = configuration
            .iter()
            .flat_map(|(_, p)| {
                let heading = p.heading();
                [p.position.x, p.position.y, p.position.z, heading.x, heading.y, heading.z].map(cell)
            })
            .collect();
        let next = self.configurations.len();
        let index = *self.index.entry(key).or_insert(next);
        if index == next {
            self.configurations.push(configuration);
        }
        index
    }
}

/// All trips out of configurations, by number.
struct AllTrips<'a> {
    problem: &'a Problem,
    seen: RefCell<Seen>,
    start: usize,
}

impl<'a> AllTrips<'a> {
    fn new(problem: &'a Problem) -> Self {
        let seen = RefCell::new(Seen::default());
        let start = seen.borrow_mut().index_of(problem.start.with_holds(|_| Hold::Braced));
        Self { problem, seen, start }
    }

    /// Where trips lead, with their times in nanoseconds.
    fn from(&self, from: usize) -> Vec<(usize, u64)> {
        let problem = self.problem;
        let (places, limit) = (nominal(problem), problem.limits.utilisation() - 1e-6);
        let configuration = self.seen.borrow().configurations[from].clone();
        let mut found: Vec<(usize, u64)> = Vec::new();
        for mover in problem.module_ids().filter(|&m| !configuration.is_stood_on(m)) {
            let interest = Interest { places: places.clone(), beacons: places.clone() };
            for end in reachable(problem, &configuration, mover, &interest, limit, Interrupt::NEVER)
                .expect("it is never stopped")
                .ends
            {
                let mut after = configuration.clone();
                *after.get_mut(mover) = Placement { hold: Hold::Braced, ..end.place };
                found.push((self.seen.borrow_mut().index_of(after), (end.time_s * 1e9).round() as u64));
            }
        }
        found
    }

    fn is_goal(&self, index: usize) -> bool {
        let configuration = &self.seen.borrow().configurations[index];
        let gathered = self.problem.goal.gather.is_none_or(|gather| {
            configuration.standing_on(Body::Ground(gather.ground)).count() >= gather.count
        });
        gathered && self.problem.fillers(configuration).iter().all(Option::is_some)
    }
}

/// Least time of trips one after the other, in seconds.
pub(crate) fn least_time_s(problem: &Problem) -> f64 {
    let trips = AllTrips::new(problem);
    let least = dijkstra(&trips.start, |&from| trips.from(from), |&index| trips.is_goal(index));
    least.expect("the goal can be reached").1 as f64 * 1e-9
}

/// The fewest trips.
fn fewest_trips(problem: &Problem) -> usize {
    let trips = AllTrips::new(problem);
    let next = |&from: &usize| trips.from(from).into_iter().map(|(to, _)| to);
    bfs(&trips.start, next, |&index| trips.is_goal(index)).expect("the goal can be reached").len() - 1
}

/// Two modules thrown onto a steel floor, and two slots, every other time one upon the other.
fn random_scenes() -> Vec<Problem> {
    let mut dice = Dice::new(2_021);
    let mut place = || [dice.between(-0.6, 0.6), dice.between(-0.6, 0.6)];
    let mut scenes = Vec::new();
    while scenes.len() < 6 {
        let (crew, slots) = ([place(), place()], [place(), place()]);
        let apart = |[a, b]: [[f64; 2]; 2]| (a[0] - b[0]).hypot(a[1] - b[1]) > 0.15;
        let up = SlotPlace::OnSlot(SlotId(0), DVec3::Z);
        if apart(crew) && apart(slots) {
            let first = on_floor(slots[0][0], slots[0][1]);
            let second = if scenes.len() % 2 == 0 { on_floor(slots[1][0], slots[1][1]) } else { up };
            scenes.push(scene(&crew, &[first, second]));
        }
    }
    scenes
}

#[test]
fn brute_force_agrees_on_random_scenes() {
    for (index, problem) in random_scenes().iter().enumerate() {
        let fewest = fewest_trips(problem);
        assert_eq!(fewest, 2, "scene {index}: nobody stands in place already, and nothing is in the way");
        for planner in [&AStar as &dyn Planner, &TakingApart, &NoveltyFirst, &Beam] {
            let options = Options { weight: Some(1.0), ..Options::default() };
            let outcome =
                planner.plan(problem, &options, &Budget::unlimited(), &NoObserver).expect("it makes sense");
            assert_eq!(outcome.status, Status::Solved, "scene {index}, {}", planner.name());
            assert!(outcome.trips.len() >= fewest, "scene {index}, {}", planner.name());
            if planner.name() == "astar" {
                let (found, least) = (trips_s(problem, &outcome.trips), least_time_s(problem));
                let carries = outcome.trips.iter().any(|trip| matches!(trip.way, Way::Carrying(_)));
                assert!(found <= least + 1e-5, "scene {index}: {found} s by A*, {least} s by brute force");
                // Brute force moves bare modules only; to carry the other may be quicker.
                assert!(
                    carries || found >= least - 1e-5,
                    "scene {index}: {found} s, {least} s by brute force"
                );
            }
        }
    }
}

/// Two modules over a wall: trips of both kinds of hop, and helping each other.
#[test]
fn brute_force_agrees_on_a_low_headwall() {
    let (_, problem) = fixture("headwall-low");
    let options = Options { weight: Some(1.0), ..Options::default() };
    let outcome = AStar.plan(&problem, &options, &Budget::unlimited(), &NoObserver).expect("it makes sense");
    assert_eq!(outcome.status, Status::Solved);
    let (found, least) = (trips_s(&problem, &outcome.trips), least_time_s(&problem));
    assert!((found - least).abs() < 1e-5, "{found} s by A*, {least} s by brute force");
}
