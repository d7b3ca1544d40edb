//! Random crews for property tests: stacks, touching shells, shells against a wall, two sizes, random turns.

use super::Dice;
use super::{add, bare_ground, block, cobble, empty, steel};
use clamber_core::DVec2;
use clamber_core::unstable::geometry::Sweep;
use clamber_core::unstable::motion::geometry_faults;
use clamber_core::unstable::travel::{Interest, spots};
use clamber_core::{Body, GroundId, Hold, Kind, KindId, ModuleId, Placement, Problem};

/// A crew of `size` on a steel floor beside a wall. `touching` is the share of modules put where they rest against a second body.
///
/// Bonds, reach and gaps are right; whether the load is carried is left open.
pub(crate) fn crew(dice: &mut Dice, size: usize, touching: f64) -> Problem {
    let pebble = Kind {
        shell_radius_m: 0.045,
        ride_height_m: 0.045,
        foot_radius_m: 0.03,
        peel_radius_m: 0.03,
        mass_kg: 0.3,
        com_height_m: 0.0,
        magnet_force_n: 22.0,
        ..cobble()
    };
    let wall = block("wall", [0.4, -2.0], [0.5, 2.0], -0.1, 0.15, 0.4);
    let floor = if dice.chance(0.5) { steel(0.5) } else { bare_ground(0.7) };
    let mut problem = empty(vec![cobble(), pebble], vec![floor, wall]);
    while problem.modules.len() < size {
        let kind = KindId::at(usize::from(dice.chance(0.3)));
        let before = (problem.modules.clone(), problem.start.clone());
        let want_touch = dice.chance(touching) && !problem.modules.is_empty();
        let place =
            if want_touch { resting_spot(dice, &mut problem, kind) } else { any_place(dice, &problem, kind) };
        if let Some(place) = place {
            let id = add(&mut problem, kind, place);
            turn(dice, &mut problem, id);
            if dice.chance(0.4) {
                problem.start.get_mut(id).hold = Hold::Braced;
            }
            if dice.chance(0.2) {
                problem.modules[id.index()].payload_kg = dice.between(0.0, 0.4);
            }
            if geometry_faults(&problem, &problem.start).is_empty() {
                continue;
            }
        }
        (problem.modules, problem.start) = before;
    }
    problem
}

/// On the floor, against the wall, or anywhere on a shell.
fn any_place(dice: &mut Dice, problem: &Problem, kind: KindId) -> Option<Placement> {
    let like = &problem.kinds[kind.index()];
    if problem.modules.is_empty() || dice.chance(0.35) {
        let x = if dice.chance(0.25) { 0.4 - like.shell_radius_m } else { dice.between(-0.1, 0.34) };
        let at = DVec2::new(x, dice.between(-0.2, 0.2));
        return Placement::on_ground(GroundId(0), problem.ground(GroundId(0)), like, at, None).ok();
    }
    let host = ModuleId::at(dice.below(problem.modules.len()));
    let centre = problem.start.get(host).position;
    Placement::on_shell(host, centre, problem.kind(host), like, dice.direction(), None).ok()
}

/// A place where it stands on one body and rests against others.
fn resting_spot(dice: &mut Dice, problem: &mut Problem, kind: KindId) -> Option<Placement> {
    let far = DVec2::new(-1.5, -1.5);
    let place = Placement::on_ground(
        GroundId(0),
        problem.ground(GroundId(0)),
        &problem.kinds[kind.index()],
        far,
        None,
    )
    .ok()?;
    let id = add(problem, kind, place);
    let mut found = spots(problem, &problem.start, id, &Interest::default());
    problem.modules.pop();
    problem.start = clamber_core::Configuration::new(
        problem.start.iter().map(|(_, p)| *p).take(problem.modules.len()).collect(),
    );
    found.retain(|s| s.hosts.len() > 1);
    if found.is_empty() {
        return None;
    }
    let spot = &found[dice.below(found.len())];
    let host = spot.hosts[dice.below(spot.hosts.len())];
    let like = &problem.kinds[kind.index()];
    match host {
        Body::Ground(deck) => {
            let ground = problem.ground(deck);
            let at = ground.plane.onto(spot.position).truncate();
            Placement::on_ground(deck, ground, like, at, None).ok()
        }
        Body::Module(on) => {
            let centre = problem.start.get(on).position;
            Placement::on_shell(on, centre, problem.kind(on), like, spot.position - centre, None).ok()
        }
        Body::Stone(_) => None,
    }
}

/// Turns a module about its own axis.
pub(crate) fn turn(dice: &mut Dice, problem: &mut Problem, id: ModuleId) {
    let place = problem.start.get_mut(id);
    let angle = dice.between(-3.1, 3.1);
    let sweep = Sweep::Turn { point: place.position, axis: place.up(), angle };
    place.orientation = (sweep.rotation_at(1.0) * place.orientation).normalize();
}
