//! Shapes equal up to the names of like modules, and bonds as a graph.

use crate::support::{Dice, cobble, crew, empty, fixed, on_deck, on_shell, steel};
use clamber_core::DVec3;
use clamber_core::unstable::math::tolerance;
use clamber_core::unstable::model::{BondForest, BondGraph};
use clamber_core::{Body, Configuration, GroundId, Hold, ModuleId, Placement, Problem, Slot, SlotPlace};
use proptest::prelude::*;

const GRID_M: f64 = tolerance::SAME_PLACE_M;

/// The same crew with its modules listed in another order: module `k` becomes `names[k]`.
fn renamed(problem: &Problem, names: &[usize]) -> Configuration {
    let mut places: Vec<Placement> = problem.start.iter().map(|(_, p)| *p).collect();
    for (id, place) in problem.start.iter() {
        let host = match place.host {
            Body::Module(host) => Body::Module(ModuleId::at(names[host.index()])),
            other @ (Body::Ground(_) | Body::Stone(_)) => other,
        };
        places[names[id.index()]] = Placement { host, ..*place };
    }
    Configuration::new(places)
}

/// A random order of the crew that keeps every module within its class.
fn names_within_classes(dice: &mut Dice, problem: &Problem) -> Vec<usize> {
    let mut names: Vec<usize> = (0..problem.modules.len()).collect();
    for k in (1..names.len()).rev() {
        let other = dice.below(k + 1);
        if problem.modules[names[k]].class == problem.modules[names[other]].class {
            names.swap(k, other);
        }
    }
    names
}

/// Three of a kind: two on the deck, one on the first.
fn three() -> Problem {
    let mut problem = empty(vec![cobble()], vec![steel(0.5)]);
    let base = on_deck(&mut problem, [0.0, 0.0]);
    on_deck(&mut problem, [0.4, 0.0]);
    on_shell(&mut problem, base, DVec3::Z);
    problem
}

proptest! {
    #![proptest_config(fixed(200))]

    #[test]
    fn like_modules_are_interchangeable(seed in any::<u64>()) {
        let dice = &mut Dice::new(seed);
        let problem = crew(dice, 6, 0.3);
        let names = names_within_classes(dice, &problem);
        let other = renamed(&problem, &names);
        prop_assert!(problem.start.same_shape(&problem.start, &problem, GRID_M), "reflexive");
        prop_assert!(problem.start.same_shape(&other, &problem, GRID_M), "renamed {:?}", names);
        prop_assert!(other.same_shape(&problem.start, &problem, GRID_M), "symmetric");
        prop_assert_eq!(problem.start.shape_key(&problem, GRID_M), other.shape_key(&problem, GRID_M));
    }

    #[test]
    fn places_count_within_the_tolerance(seed in any::<u64>(), off in 0.01..3.0_f64) {
        let dice = &mut Dice::new(seed);
        let problem = crew(dice, 5, 0.3);
        let names = names_within_classes(dice, &problem);
        let mut other = renamed(&problem, &names);
        let moved = ModuleId::at(dice.below(5));
        other.get_mut(moved).position += dice.direction() * (off * GRID_M);
        let same = problem.start.same_shape(&other, &problem, GRID_M);
        prop_assert_eq!(same, off <= 1.0, "{} of the tolerance", off);
        prop_assert_eq!(same, other.same_shape(&problem.start, &problem, GRID_M));
        if off > 2.0 {
            // By more than a cell in at least one coordinate, or in none by a whole one: only a far move must change the key.
            other.get_mut(moved).position += DVec3::X * (4.0 * GRID_M);
            prop_assert_ne!(problem.start.shape_key(&problem, GRID_M), other.shape_key(&problem, GRID_M));
        }
    }

    #[test]
    fn graphs_agree_with_walking_down(seed in any::<u64>()) {
        let problem = crew(&mut Dice::new(seed), 7, 0.3);
        let start = &problem.start;
        let graph = BondGraph::new(&problem, start);
        prop_assert!(graph.rings().is_empty() && graph.adrift().is_empty());
        for body in problem.module_ids().map(Body::Module).chain(problem.ground_ids().map(Body::Ground)) {
            let walked: Vec<ModuleId> =
                problem.module_ids().filter(|&m| start.hosts_below(m).any(|b| b == body)).collect();
            prop_assert_eq!(graph.carried_by(body), walked.clone());
            if let Body::Module(id) = body {
                let mut with = start.carried_with(id);
                with.retain(|&m| m != id);
                prop_assert_eq!(with, walked);
            }
        }
        let family = BondForest::new(start);
        prop_assert!(family.is_forest());
        for (index, &id) in family.order.iter().enumerate() {
            prop_assert!(family.host[id.index()].is_none_or(|h| family.order[..index].contains(&h)));
        }
    }
}

#[test]
fn headings_and_holds_do_not_count() {
    let problem = three();
    let mut other = problem.start.with_holds(|_| Hold::Braced);
    let place = other.get_mut(ModuleId(1));
    place.orientation *= clamber_core::DQuat::from_rotation_z(1.0);
    assert!(problem.start.same_shape(&other, &problem, GRID_M));
    assert_eq!(problem.start.shape_key(&problem, GRID_M), other.shape_key(&problem, GRID_M));
}

#[test]
fn classes_count() {
    let swap = [1, 0, 2];
    let mut problem = three();
    problem.start.get_mut(ModuleId(2)).host = Body::Module(ModuleId(0));
    assert!(problem.start.same_shape(&renamed(&problem, &swap), &problem, GRID_M));
    for change in [
        |p: &mut Problem| p.modules[0].payload_kg = 0.1,
        |p: &mut Problem| p.modules[0].stuck = true,
        |p: &mut Problem| {
            let place = SlotPlace::OnGround(GroundId(0), clamber_core::DVec2::ZERO);
            let module = Some(ModuleId(0));
            p.goal.slots.push(Slot {
                name: "s".into(),
                place,
                kind: None,
                module,
                hold: None,
                payload_kg: 0.0,
                optional: false,
            });
        },
    ] {
        let mut marked = problem.clone();
        change(&mut marked);
        marked.assign_classes();
        let other = renamed(&marked, &swap);
        assert!(!marked.start.same_shape(&other, &marked, GRID_M));
        assert_ne!(marked.start.shape_key(&marked, GRID_M), other.shape_key(&marked, GRID_M));
    }
}

/// A ball in the pocket of two stands on either: same places, another shape.
#[test]
fn hosts_count() {
    let mut problem = empty(vec![cobble()], vec![steel(0.5)]);
    let left = on_deck(&mut problem, [-0.06, 0.0]);
    let right = on_deck(&mut problem, [0.06, 0.0]);
    let top = on_shell(&mut problem, left, DVec3::new(0.5, 0.0, 0.75_f64.sqrt()));
    let mut other = problem.start.clone();
    other.get_mut(top).host = Body::Module(right);
    assert!(!problem.start.same_shape(&other, &problem, GRID_M));
    assert_ne!(problem.start.shape_key(&problem, GRID_M), other.shape_key(&problem, GRID_M));
    // The same from the other side, with the two below swapped: equal again.
    let mut swapped = renamed(&problem, &[1, 0, 2]);
    assert!(problem.start.same_shape(&swapped, &problem, GRID_M));
    swapped.get_mut(top).host = Body::Module(left);
    assert!(!problem.start.same_shape(&swapped, &problem, GRID_M));
}

#[test]
fn crews_of_other_sizes_differ() {
    let problem = three();
    let fewer = Configuration::new(problem.start.iter().map(|(_, p)| *p).take(2).collect());
    assert!(!problem.start.same_shape(&fewer, &problem, GRID_M));
    assert!(!fewer.same_shape(&problem.start, &problem, GRID_M));
}

const ROLLING: Hold = Hold::Rolling;

fn module(index: usize) -> Body {
    Body::Module(ModuleId::at(index))
}

fn ids(indices: &[usize]) -> Vec<ModuleId> {
    indices.iter().map(|&i| ModuleId::at(i)).collect()
}

/// Hosts by hand: 0 on the deck, 1 on 0; 2 and 3 on each other with 4 on 3; 5 on itself; 6 on 1.
#[test]
fn rings_and_what_they_carry() {
    let hosts = [Body::Ground(GroundId(0)), module(0), module(3), module(2), module(3), module(5), module(1)];
    let bonds = hosts.iter().enumerate().map(|(child, &host)| (ModuleId::at(child), host, ROLLING));
    let graph = BondGraph::from_bonds(1, 7, bonds);
    assert_eq!(graph.rings(), [ids(&[2, 3]), ids(&[5])]);
    assert_eq!(graph.adrift(), ids(&[2, 3, 4, 5]));
    assert_eq!(graph.carried_by(Body::Ground(GroundId(0))), ids(&[0, 1, 6]));
    assert_eq!(graph.carried_by(module(0)), ids(&[1, 6]));
    assert_eq!(graph.carried_by(module(3)), ids(&[2, 4]));
    assert_eq!(graph.carried_by(module(6)), []);
    assert_eq!(graph.graph().edge_count(), 7);
}

#[test]
fn a_ring_is_left_out_of_the_family() {
    let mut problem = three();
    problem.start.get_mut(ModuleId(0)).host = module(2);
    let family = BondForest::new(&problem.start);
    assert!(!family.is_forest());
    assert_eq!(family.order, ids(&[1]));
    assert_eq!(problem.start.hosts_below(ModuleId(0)).count(), 3, "walking a ring ends");
}
