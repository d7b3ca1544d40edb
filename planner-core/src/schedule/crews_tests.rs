//! Crews for the tests of this layer: in a row, and at random with touches and moves.

use crate::math::{DVec2, DVec3, SplitMix64, tolerance};
use crate::model::{
    Body, Configuration, GroundId, Hold, Kind, KindId, LostParts, Module, ModuleId, Placement, Problem,
    Surfacing,
};
use crate::motion::{Move, apply, geometry_faults, sweeps_of};

/// Seeds are fixed: every run sees the same cases.
pub(super) type Dice = SplitMix64;

/// Moves in an order in which they can be made.
pub(super) type Moves = Vec<(ModuleId, Move)>;

/// Instants of a drive that are looked at.
const SAMPLES: usize = 40;

/// The least gap between what a drive moves and all else, over its samples, in metres.
pub(super) fn least_gap_m(problem: &Problem, before: &Configuration, module: ModuleId, action: &Move) -> f64 {
    let Some(sweeps) = sweeps_of(problem, before, module, action) else { return f64::INFINITY };
    let members = before.carried_with(module);
    let mut least_m = f64::INFINITY;
    for &member in &members {
        let path = sweeps.of(member).path_of(before.get(member).position);
        for (other, place) in before.iter().filter(|(other, _)| !members.contains(other)) {
            let radii = problem.kind(member).shell_radius_m + problem.kind(other).shell_radius_m;
            for k in 0..=SAMPLES {
                let there = path.at(path.span() * k as f64 / SAMPLES as f64);
                least_m = least_m.min(there.distance(place.position) - radii);
            }
        }
    }
    least_m
}

/// A scene on one deck of 2 m, with modules along x at these places in metres.
pub(super) fn crew_on(along_m: &[f64]) -> Problem {
    let text = include_str!("../../examples/pair.toml");
    let (_, mut problem) = crate::read_scenario("pair.toml", text).expect("examples can be read");
    (problem.modules, problem.start) = (Vec::new(), Configuration::default());
    problem.goal = crate::model::Goal::default();
    for &along in along_m {
        let ground = problem.ground(GroundId(0));
        let place =
            Placement::on_ground(GroundId(0), ground, &problem.kinds[0], DVec2::new(along, 0.0), None);
        add(&mut problem, place.expect("decks take any heading along x"));
    }
    problem
}

fn add(problem: &mut Problem, place: Placement) {
    let name = format!("m{}", problem.modules.len() + 1);
    let lost = LostParts::default();
    problem.modules.push(Module { name, kind: KindId(0), stuck: false, lost, payload_kg: 0.0, class: 0 });
    problem.start = Configuration::new(problem.start.iter().map(|(_, p)| *p).chain([place]).collect());
    problem.assign_classes();
}

/// A crew at random: on the deck and on each other's shells, many of them so that they touch a second body.
pub(super) fn random_crew(dice: &mut Dice, size: usize) -> Problem {
    let mut problem = crew_on(&[0.0]);
    let kind: &mut Kind = &mut problem.kinds[0];
    kind.magnet_force_n = dice.between(10.0, 45.0);
    kind.shell_friction = dice.between(0.0, 0.6);
    kind.hop_hold = dice.between(0.4, 1.0);
    problem.limits.hold_factor = dice.between(1.0, 1.8);
    problem.limits.motion_factor = dice.between(1.0, 1.4);
    problem.limits.motion_tilt_rad = dice.between(0.0, 0.08);
    let mut surfacing = Surfacing::bare(0.7);
    surfacing.tilt_rad = if dice.below(2) == 0 { 0.0 } else { dice.between(0.0, 0.1) };
    (surfacing.ferrous, surfacing.sealable) = (dice.below(2) == 0, true);
    problem.grounds[0].surfacing = surfacing;
    for _ in 0..1000 {
        if problem.modules.len() >= size {
            break;
        }
        let (modules, start) = (problem.modules.clone(), problem.start.clone());
        if let Some(place) = random_place(dice, &problem) {
            add(&mut problem, place);
            let last = ModuleId::at(problem.modules.len() - 1);
            problem.modules[last.index()].payload_kg =
                if dice.below(4) == 0 { dice.between(0.0, 0.4) } else { 0.0 };
            if dice.below(3) == 0 {
                problem.start.get_mut(last).hold = Hold::Braced;
            }
            if geometry_faults(&problem, &problem.start).is_empty() {
                continue;
            }
        }
        (problem.modules, problem.start) = (modules, start);
    }
    problem
}

fn random_direction(dice: &mut Dice) -> DVec3 {
    DVec3::new(dice.between(-1.0, 1.0), dice.between(-1.0, 1.0), dice.between(-0.6, 1.0))
        .normalize_or(DVec3::Z)
}

/// On the deck, beside another there, on a shell anywhere, or on a shell where it touches another.
fn random_place(dice: &mut Dice, problem: &Problem) -> Option<Placement> {
    let kind = &problem.kinds[0];
    let one = ModuleId::at(dice.below(problem.modules.len()));
    let centre = problem.start.get(one).position;
    let facing = Some(random_direction(dice));
    let apart_m = 2.0 * kind.shell_radius_m;
    match dice.below(4) {
        0 => {
            let angle = dice.between(0.0, std::f64::consts::TAU);
            let apart_m = if dice.below(3) == 0 { dice.between(1.0, 2.0) * apart_m } else { apart_m };
            let at = centre.truncate() + DVec2::from_angle(angle) * apart_m;
            Placement::on_ground(GroundId(0), problem.ground(GroundId(0)), kind, at, facing).ok()
        }
        1 => Placement::on_shell(one, centre, kind, kind, random_direction(dice), facing).ok(),
        _ => {
            // On the circle of the places at one distance from both.
            let two = problem.start.get(ModuleId::at(dice.below(problem.modules.len()))).position;
            let half = 0.5 * (two - centre);
            let rise_m = (apart_m * apart_m - half.length_squared()).sqrt();
            let out = half.cross(random_direction(dice)).try_normalize()?;
            let toward = half + out * rise_m;
            rise_m.is_finite().then(|| Placement::on_shell(one, centre, kind, kind, toward, facing).ok())?
        }
    }
}

/// Moves at random that can be made one after the other past all others, with the holds that they need. Loads are not looked at.
pub(super) fn random_moves(dice: &mut Dice, problem: &Problem, count: usize) -> Moves {
    let (mut now, mut moves) = (problem.start.clone(), Moves::new());
    for _ in 0..20 * count {
        if moves.len() >= count {
            break;
        }
        let module = ModuleId::at(dice.below(problem.modules.len()));
        let is_braced = now.get(module).hold == Hold::Braced;
        let wanted = match dice.below(6) {
            0 if is_braced => vec![Move::Release],
            0 => vec![Move::Brace],
            1 => vec![Move::Yaw { angle_rad: dice.between(-2.0, 2.0) }],
            2 | 3 => {
                let curvature_per_m = if dice.below(2) == 0 { 0.0 } else { dice.between(-6.0, 6.0) };
                vec![Move::Slide { travel_m: dice.between(-0.1, 0.1), curvature_per_m }]
            }
            _ => hop(dice, problem, &now, module),
        };
        let needs_rolling = wanted.iter().any(|m| matches!(m, Move::Slide { .. } | Move::Hop { .. }));
        let release = (is_braced && needs_rolling).then_some(Move::Release);
        let own: Vec<Move> = release.into_iter().chain(wanted).collect();
        let is_clear = |before: &Configuration, action: &Move| {
            least_gap_m(problem, before, module, action) >= -tolerance::LENGTH_M
        };
        let after = own.iter().try_fold(now.clone(), |before, action| {
            is_clear(&before, action).then(|| apply(problem, &before, module, action).ok())?
        });
        if let Some(after) = after.filter(|after| geometry_faults(problem, after).is_empty()) {
            now = after;
            moves.extend(own.into_iter().map(|action| (module, action)));
        }
    }
    moves
}

/// A yaw that sets the tracks square to the pivot, and the hop.
fn hop(dice: &mut Dice, problem: &Problem, now: &Configuration, module: ModuleId) -> Vec<Move> {
    let place = now.get(module);
    let others: Vec<(Body, DVec3)> = now
        .iter()
        .map(|(other, there)| (Body::Module(other), place.position - there.position))
        .filter(|(_, apart)| (apart.length() - 2.0 * problem.kinds[0].shell_radius_m).abs() < 1e-7)
        .chain((place.position.z < 0.0601).then_some((Body::Ground(GroundId(0)), DVec3::Z)))
        .filter(|(other, _)| *other != place.host)
        .collect();
    if others.is_empty() {
        return Vec::new();
    }
    let (to, apart) = others[dice.below(others.len())];
    let up = place.up();
    let axis = up.cross(apart.normalize()).normalize_or(place.heading().cross(up));
    let along = axis.cross(up);
    let angle_rad = along.dot(up.cross(place.heading())).atan2(along.dot(place.heading()));
    vec![Move::Yaw { angle_rad }, Move::Hop { to }]
}
