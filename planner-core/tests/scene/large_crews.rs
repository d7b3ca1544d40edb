//! Scenes from seeds for large crews: shapes of touching balls, on steel and on bare concrete.

use crate::support::target;
use clamber_core::read_scenario;
use clamber_core::unstable::generate::{
    Family, GenerateError, GenerateOptions, Generated, GroundMaterial, Kinds, generate,
};
use clamber_core::unstable::math::DVec3;
use clamber_core::unstable::motion::{faults_at_rest, geometry_faults, load_at_rest};
use clamber_core::{Body, Configuration, Goal, ModuleId, Placement, Problem};
use rayon::prelude::*;

/// Structures of more modules are not examined as a whole.
const LARGEST_LOAD: usize = 32;
/// Rounding of places in files, and of sums of steps.
const ROUNDING_M: f64 = 1e-8;
const OVERLAP_M: f64 = 1e-6;

fn lattices() -> impl Iterator<Item = Family> {
    Family::ALL.into_iter().map(|(family, _)| family).filter(|family| family.is_lattice())
}

fn options(modules: usize, seed: u64, kinds: Kinds, ground: GroundMaterial) -> GenerateOptions {
    GenerateOptions { modules, seed, kinds, ground: Some(ground) }
}

fn demo(family: Family, modules: usize) -> (Generated, Problem) {
    made(family, GenerateOptions { modules, ..GenerateOptions::default() })
}

fn made(family: Family, options: GenerateOptions) -> (Generated, Problem) {
    let scene = generate(family, options).unwrap_or_else(|wrong| panic!("{family:?} {options:?}: {wrong}"));
    let (scenario, problem) = read_scenario("scene.toml", &scene.text).expect("a scene that can be read");
    assert_eq!(scenario, scene.scenario);
    (scene, problem)
}

/// How many pairs of shells touch without a gap. No two overlap, every bond is at its standing distance, and who neither bonds nor touches is clear.
fn touching_pairs(problem: &Problem, shape: &Configuration, name: &str) -> usize {
    let mut touching = 0;
    let all: Vec<(ModuleId, &Placement)> = shape.iter().collect();
    for (index, (a, place)) in all.iter().enumerate() {
        for (b, beside) in &all[index + 1..] {
            let (one, other) = (problem.kind(*a), problem.kind(*b));
            let radii = one.shell_radius_m + other.shell_radius_m;
            let apart = place.position.distance(beside.position);
            assert!(apart >= radii - OVERLAP_M, "{name}: {a:?} and {b:?} overlap by {}", radii - apart);
            if shape.bonded(*a, *b) {
                let standing = other.shell_radius_m + one.ride_height_m;
                assert!((apart - standing).abs() < ROUNDING_M, "{name}: {a:?} stands at {apart}");
            }
            touching += usize::from((apart - radii).abs() < ROUNDING_M);
        }
    }
    touching
}

/// Modules that bond or touch, with what they bond to or touch.
fn structures(problem: &Problem, shape: &Configuration) -> Vec<Vec<ModuleId>> {
    let ids: Vec<ModuleId> = problem.module_ids().collect();
    let near = |a: ModuleId, b: ModuleId| {
        let radii = problem.kind(a).shell_radius_m + problem.kind(b).shell_radius_m;
        let apart = shape.get(a).position.distance(shape.get(b).position);
        shape.bonded(a, b) || apart <= radii + problem.limits.touch_tol_m
    };
    let mut seen = vec![false; ids.len()];
    let mut found = Vec::new();
    for &first in &ids {
        let mut part = Vec::new();
        let mut next = vec![first];
        while let Some(id) = next.pop() {
            if !std::mem::replace(&mut seen[id.index()], true) {
                part.push(id);
                next.extend(ids.iter().filter(|&&other| !seen[other.index()] && near(id, other)));
            }
        }
        part.sort_unstable();
        if !part.is_empty() {
            found.push(part);
        }
    }
    found
}

/// Whether every structure carries by itself, as far as it is small enough to be examined.
fn assert_carries(problem: &Problem, shape: &Configuration, largest: usize, name: &str) {
    let nobody = Problem {
        modules: Vec::new(),
        start: Configuration::default(),
        goal: Goal::default(),
        ..problem.clone()
    };
    for part in structures(problem, shape).iter().filter(|part| part.len() <= largest) {
        let index = |id: ModuleId| ModuleId::at(part.iter().position(|&m| m == id).expect("the same part"));
        let places = part.iter().map(|&id| {
            let place = *shape.get(id);
            let host = place.host.module().map_or(place.host, |host| Body::Module(index(host)));
            Placement { host, ..place }
        });
        let modules = part.iter().map(|id| problem.modules[id.index()].clone()).collect();
        let alone = Problem { modules, ..nobody.clone() };
        let there = Configuration::new(places.collect());
        assert!(load_at_rest(&alone, &there).carries(alone.limits.utilisation()), "{name}: {}", part.len());
    }
}

/// Everything that must hold of a scene; returns its problem, and the number of touching pairs of the final shape.
fn assert_good(family: Family, options: GenerateOptions) -> (Problem, usize) {
    let (scene, problem) = made(family, options);
    let name = format!("{family:?} {options:?}");
    assert_eq!(problem.modules.len(), options.modules, "{name}");
    let faults = if options.modules <= LARGEST_LOAD {
        faults_at_rest(&problem, &problem.start)
    } else {
        geometry_faults(&problem, &problem.start)
    };
    assert!(faults.is_empty(), "{name}: {}", faults[0].describe(&problem));
    touching_pairs(&problem, &problem.start, &name);
    assert_carries(&problem, &problem.start, LARGEST_LOAD, &name);
    // Cubic in the modules.
    let small = options.modules <= 300;
    assert!(!small || !problem.goal_is_met(&problem.start), "{name}: nothing to do");
    let steel = options.ground.or(family.usual_ground()) == Some(GroundMaterial::Steel);
    assert!(problem.grounds.iter().all(|g| g.surfacing.ferrous == steel && g.surfacing.sealable == steel));
    let known = scene.text.lines().nth(1).expect("a second line");
    let solvable = scene.rehearsed.is_some();
    assert!(known.starts_with(if solvable { "# Solvable:" } else { "# Unknown:" }), "{name}: {known}");

    let slots = problem.goal.slots.len();
    assert!(slots >= 3 && slots <= options.modules, "{name}: {slots} slots");
    let (alone, shape) = target(&problem);
    let faults = geometry_faults(&alone, &shape);
    assert!(faults.is_empty(), "{name}: {}", faults[0].describe(&alone));
    assert_carries(&alone, &shape, LARGEST_LOAD, &name);
    let touching = touching_pairs(&alone, &shape, &name);
    (problem, touching)
}

#[test]
fn all_families_sizes_and_grounds() {
    let mut cases = Vec::new();
    for family in lattices() {
        for modules in [family.modules()[0], 7, 13, 60, 250] {
            for (ground, _) in GroundMaterial::ALL {
                cases.push((family, options(modules, 1, Kinds::Cobble, ground)));
                cases.push((family, options(modules, 2, Kinds::Random, ground)));
            }
        }
        cases.push((family, GenerateOptions { modules: 1024, ..GenerateOptions::default() }));
        cases.push((family, GenerateOptions { modules: family.modules()[1], seed: 3, ..cases[0].1 }));
    }
    cases.par_iter().for_each(|&(family, options)| {
        assert_good(family, options);
    });
}

/// Different kinds differ in ride clearance; turned scenes must be as exact.
#[test]
fn drawn_kinds() {
    let cases: Vec<(Family, u64)> =
        lattices().flat_map(|family| (10..22).map(move |s| (family, s))).collect();
    let clearances = cases.par_iter().map(|&(family, seed)| {
        let (ground, _) = GroundMaterial::ALL[seed as usize % 2];
        let options = options(20, seed, Kinds::Random, ground);
        let (problem, _) = assert_good(family, options);
        problem.kinds[0].ride_height_m - problem.kinds[0].shell_radius_m
    });
    let clearances: Vec<f64> = clearances.collect();
    assert!(clearances.contains(&0.0) && clearances.iter().any(|&c| c > 5e-4), "{clearances:?}");
}

#[test]
fn the_same_seed_gives_the_same_bytes() {
    for family in lattices() {
        for (kinds, _) in [Kinds::ALL[0], Kinds::ALL[1]] {
            let scene = |seed| generate(family, options(40, seed, kinds, GroundMaterial::Steel));
            assert_eq!(scene(5), scene(5));
            assert_ne!(scene(5).expect("a scene").text, scene(6).expect("a scene").text);
        }
    }
}

/// In a pile of four all six pairs touch; in a square pyramid every ball touches the four below it and its neighbours in the layer; in a wall, two below
/// and one on either side; in a hexagonal sheet with r full rings there are 9r² + 3r pairs.
#[test]
fn neighbours_touch_exactly() {
    let pairs = |family, modules| assert_good(family, demo_options(modules)).1;
    for piles in [1, 4, 16, 64, 256] {
        assert_eq!(pairs(Family::Fields, 4 * piles), 6 * piles);
    }
    for layers in [2, 3, 4, 5, 6, 8, 11, 14] {
        let squares = |layers: usize| (1..=layers).map(|n| n * n).sum::<usize>();
        let beside: usize = (1..=layers).map(|n| 2 * n * (n - 1)).sum();
        assert_eq!(pairs(Family::Pyramid, squares(layers)), beside + 4 * squares(layers - 1));
    }
    for (modules, foot, layers) in [(3 + 1, 2, 2), (7, 4, 2), (15, 8, 2), (252, 35, 8)] {
        let beside: usize = (0..layers).map(|layer| foot - layer - 1).sum();
        let above: usize = (1..layers).map(|layer| foot - layer).sum();
        assert_eq!(pairs(Family::Wall, modules), beside + 2 * above);
    }
    // Up to six rings, the nearest balls are those of the hexagon.
    for rings in 2..=6 {
        let modules = 3 * rings * (rings + 1) + 1;
        assert_eq!(pairs(Family::Raft, modules), 9 * rings * rings + 3 * rings);
    }
}

fn demo_options(modules: usize) -> GenerateOptions {
    GenerateOptions { modules, ..GenerateOptions::default() }
}

/// The generator's own quick test says that these carry; the cone programme agrees.
#[test]
fn large_shapes_carry() {
    let cases = [
        (Family::Pyramid, 55, GroundMaterial::Concrete),
        (Family::Pyramid, 91, GroundMaterial::Concrete),
        (Family::Pyramid, 204, GroundMaterial::Steel),
        (Family::Wall, 100, GroundMaterial::Concrete),
        (Family::Wall, 100, GroundMaterial::Steel),
    ];
    for (family, modules, ground) in cases {
        for kinds in [Kinds::Cobble, Kinds::Random] {
            let options = options(modules, 4, kinds, ground);
            let (_, problem) = made(family, options);
            let (alone, shape) = target(&problem);
            assert_carries(&alone, &shape, modules, &format!("{family:?} {options:?}"));
        }
    }
}

/// All sizes that were promised are whole, on either ground.
#[test]
fn whole_pyramids_and_piles() {
    for (ground, _) in GroundMaterial::ALL {
        for modules in [14, 30, 91, 204, 506, 1015] {
            let (_, problem) = made(Family::Pyramid, options(modules, 1, Kinds::Cobble, ground));
            assert_eq!(problem.goal.slots.len(), modules, "{ground:?}");
        }
        for modules in [16, 64, 256, 1024] {
            let (_, problem) = made(Family::Fields, options(modules, 1, Kinds::Cobble, ground));
            let (alone, shape) = target(&problem);
            let piles = structures(&alone, &shape);
            assert_eq!(piles.len() * 4, modules);
            assert!(piles.iter().all(|pile| pile.len() == 4));
        }
    }
}

/// Between the modules of a field, and round its shapes, others can pass.
#[test]
fn there_are_ways_over_a_field() {
    for family in [Family::Fields, Family::FieldsVarious, Family::Arch] {
        let (_, problem) = demo(family, 64);
        let radius = problem.kinds[0].shell_radius_m;
        let start: Vec<DVec3> = problem.start.iter().map(|(_, place)| place.position).collect();
        for (index, at) in start.iter().enumerate() {
            assert!(start[index + 1..].iter().all(|other| at.distance(*other) > 4.0 * radius), "{family:?}");
        }
        let (alone, shape) = target(&problem);
        let parts = structures(&alone, &shape);
        let on_ground = |part: &Vec<ModuleId>| -> Vec<DVec3> {
            part.iter()
                .map(|&id| shape.get(id))
                .filter(|p| p.host.module().is_none())
                .map(|p| p.position)
                .collect()
        };
        for (index, part) in parts.iter().enumerate() {
            for other in &parts[index + 1..] {
                let (here, there) = (on_ground(part), on_ground(other));
                let least = here.iter().flat_map(|a| there.iter().map(move |b| a.distance(*b)));
                assert!(least.fold(f64::INFINITY, f64::min) > 4.0 * radius, "{family:?}");
            }
        }
    }
}

/// Small ones are rehearsed as a whole; larger fields shape by shape.
#[test]
fn what_is_known_of_the_demo_kind() {
    for (ground, _) in GroundMaterial::ALL {
        let known = |family, modules| made(family, options(modules, 1, Kinds::Cobble, ground)).0;
        for (family, modules) in [
            (Family::Fields, 16),
            (Family::FieldsVarious, 12),
            (Family::Pyramid, 14),
            (Family::Wall, 12),
            (Family::Raft, 14),
        ] {
            assert!(known(family, modules).rehearsed.is_some(), "{family:?} on {ground:?}");
        }
        for family in [Family::Fields, Family::FieldsVarious] {
            let scene = known(family, 100);
            assert_eq!(scene.rehearsed, None);
            assert!(scene.text.contains(" was rehearsed by itself, in "), "{}", &scene.text[..200]);
        }
    }
    for (family, modules) in [(Family::Arch, 8), (Family::Transport, 14), (Family::Pyramid, 30)] {
        assert!(demo(family, modules).0.rehearsed.is_some(), "{family:?}");
    }
}

/// The families for small crews take a material for all ground, but for an arm on concrete and a machine that walks.
#[test]
fn ground_of_other_families() {
    for (family, _) in Family::ALL.into_iter().filter(|(family, _)| !family.is_lattice()) {
        for (kinds, _) in Kinds::ALL {
            let on = |ground| generate(family, options(family.modules()[0].max(5), 3, kinds, ground));
            if family == Family::Walk {
                assert!(on(GroundMaterial::Steel).is_err(), "stones are bare");
                continue;
            }
            let steel = on(GroundMaterial::Steel).expect("a scene");
            assert!(steel.scenario.deck.iter().all(|deck| deck.ferrous), "{family:?}");
            assert!(steel.text.contains("# All ground is steel."));
            if family == Family::Reach {
                let refused = GenerateError::Ground { family, ground: GroundMaterial::Concrete };
                assert_eq!(on(GroundMaterial::Concrete), Err(refused));
            } else {
                let bare = on(GroundMaterial::Concrete).expect("a scene");
                assert!(bare.scenario.deck.iter().all(|deck| !deck.ferrous && !deck.sealable), "{family:?}");
            }
        }
    }
}

#[test]
fn what_does_not_go_together_is_refused() {
    for family in lattices() {
        let mixed = GenerateOptions { kinds: Kinds::Mixed, modules: 20, ..GenerateOptions::default() };
        assert_eq!(generate(family, mixed), Err(GenerateError::OneKind(family)));
        let [least, most] = family.modules();
        for modules in [0, least - 1, most + 1] {
            let wrong = generate(family, demo_options(modules)).expect_err("out of range");
            assert_eq!(wrong, GenerateError::Modules { family, modules });
            let limits = format!("from {least} to {most}");
            assert!(
                wrong.to_string().contains(&limits) && wrong.to_string().contains(family.name()),
                "{wrong}"
            );
        }
    }
}
