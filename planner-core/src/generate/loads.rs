//! Whether a shape of touching balls carries its load, quickly also for a thousand of them.
//!
//! Forces that balance prove that a load is carried; they need not be the best ones. Here every ball, from the top down, passes its load on to the
//! balls below as if it rested on springs: those of touches act along the line of centres, and the bond's is softer across it. Its bond takes what
//! remains. Where that is too much for a bond whatever the springs, a small shape is examined by the cone programme of the statics.

use crate::math::{DMat3, DVec3};
use crate::model::{Body, Configuration, ModuleId, Problem};
use crate::motion::load_at_rest;
use crate::statics::{BondLoad, LoadCase};

/// Shapes of more balls are not examined by the cone programme.
const SMALL: usize = 60;
/// A ball supports another one if the line of centres has at least this slope.
const STEEP: f64 = 0.2;
/// Stiffness of a bond across the line of centres, compared with that along it; tried in turn. The stiffer, the less the balls of a slope push outwards.
const SOFT: [f64; 6] = [1e-6, 0.02, 0.05, 0.1, 0.2, 0.4];
/// Factor on the slip limit (docs/model.md, section 5).
const SLIP: f64 = 0.93;

/// Whether a shape carries its load at rest. For a shape that does, the answer may be no if it is large.
pub(super) fn carries(problem: &Problem, shape: &Configuration) -> bool {
    let case = load_at_rest(problem, shape);
    let limit = problem.limits.utilisation();
    SOFT.iter().any(|&soft| passes_down(problem, shape, &case, soft))
        || (shape.len() <= SMALL && case.carries(limit))
}

/// What presses on a ball from above and by its own weight: a force, and a moment about its centre.
#[derive(Clone, Copy, Default)]
struct Load {
    force: DVec3,
    moment: DVec3,
}

/// Whether the bonds hold in all directions of gravity when loads are passed on by springs.
fn passes_down(problem: &Problem, shape: &Configuration, case: &LoadCase, soft: f64) -> bool {
    let mut bonds: Vec<&BondLoad> = case.bonds.iter().collect();
    let height = |module: ModuleId| shape.get(module).position.z;
    bonds.sort_by(|a, b| height(b.child).total_cmp(&height(a.child)));
    let mut supports: Vec<Vec<(ModuleId, DVec3)>> = vec![Vec::new(); shape.len()];
    for touch in &case.touches {
        let Body::Module(other) = touch.other else { continue };
        if touch.normal.z > STEEP {
            supports[touch.module.index()].push((other, touch.normal));
        } else if touch.normal.z < -STEEP {
            supports[other.index()].push((touch.module, -touch.normal));
        }
    }
    let limit = problem.limits.utilisation();
    bonds.len() == shape.len()
        && bonds.iter().all(|bond| bond.host.module().is_none_or(|host| height(host) < height(bond.child)))
        && case.gravity.iter().all(|&gravity| {
            let mut loads = vec![Load::default(); shape.len()];
            bonds.iter().all(|bond| {
                let supports = &supports[bond.child.index()];
                let [force, moment] = pass_on(problem, shape, (gravity, soft), bond, supports, &mut loads);
                holds(bond, force, moment, limit)
            })
        })
}

/// Passes the load of a ball on to its supports and its host. Returns the force and the moment about the sole's centre that its bond exerts on it.
fn pass_on(
    problem: &Problem,
    shape: &Configuration,
    (gravity, soft): (DVec3, f64),
    bond: &BondLoad,
    supports: &[(ModuleId, DVec3)],
    loads: &mut [Load],
) -> [DVec3; 2] {
    let (id, place) = (bond.child, shape.get(bond.child));
    let weight = gravity * problem.mass_kg(id);
    let load = loads[id.index()].force + weight;
    let turning = loads[id.index()].moment + (place.up() * problem.kind(id).com_height_m).cross(weight);
    let mut force = -load;
    if bond.host.module().is_some() {
        let along = |line: DVec3| DMat3::from_cols(line * line.x, line * line.y, line * line.z);
        let own = DMat3::IDENTITY * soft + along(bond.normal) * (1.0 - soft);
        let stiffness = supports.iter().fold(own, |sum, &(_, line)| sum + along(line));
        let shift = stiffness.inverse() * force;
        for &(below, line) in supports {
            let push = line * line.dot(shift).max(0.0);
            force -= push;
            loads[below.index()].force -= push;
        }
    }
    let moment = -turning - (bond.sole - place.position).cross(force);
    if let Some(host) = bond.host.module() {
        let arm = bond.sole - shape.get(host).position;
        let below = &mut loads[host.index()];
        below.force -= force;
        below.moment -= moment + arm.cross(force);
    }
    [force, moment]
}

/// Whether a bond holds under a force and a moment, with its utilisation within the limit (docs/model.md, section 5).
fn holds(bond: &BondLoad, force: DVec3, moment: DVec3, limit: f64) -> bool {
    let [pull, spin] = [force, moment].map(|v| v.dot(bond.normal));
    let [across, tilting] = [force - bond.normal * pull, moment - bond.normal * spin];
    let rub = (across.length_squared() + (spin / bond.spin_m).powi(2)).sqrt();
    let needed = (tilting.length() / bond.peel_m).max(rub / (SLIP * bond.friction)) - pull;
    needed <= limit * bond.adhesion_n
}
