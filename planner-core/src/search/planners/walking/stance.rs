//! How well a machine stands on its ends: an estimate by vertical forces, to rank stances before their loads are worked out.

use super::machine::Machine;
use crate::math::{DVec2, DVec3};
use crate::model::{Body, Hold, ModuleId, Problem};

/// Least share of the weight, divided by the number of planted ends, that each of them must bear.
const LEAST_SHARE: f64 = 0.12;

/// The bonds and masses of a machine.
pub(super) struct Stance {
    masses_kg: Vec<f64>,
    bonds: Vec<Bond>,
    heaviness_mps2: f64,
}

struct Bond {
    child: usize,
    host: usize,
    /// The child and all that stands on it.
    members: Vec<usize>,
    /// From the child's centre to its sole, as a share of the way to the host's centre.
    sole: f64,
    peel_m: f64,
    braced_n: f64,
    rolling_n: f64,
}

/// Where each module of a machine is, and which of its ends are planted.
pub(super) struct Stood<'a> {
    pub(super) centres: &'a [DVec3],
    pub(super) planted: &'a [ModuleId],
}

impl Stance {
    pub(super) fn new(problem: &Problem, machine: &Machine) -> Self {
        let start = &problem.start;
        let bond = |child: ModuleId| {
            let host = start.get(child).host.module()?;
            let adhesion_n = |hold: Hold| problem.adhesion_n(child, Body::Module(host), hold);
            let kind = problem.kind(child);
            Some(Bond {
                child: child.index(),
                host: host.index(),
                members: start.carried_with(child).into_iter().map(ModuleId::index).collect(),
                sole: kind.ride_height_m / kind.standing_distance(problem.kind(host)),
                peel_m: kind.peel_radius_m,
                braced_n: adhesion_n(if problem.modules[child.index()].can_brace() {
                    Hold::Braced
                } else {
                    Hold::Rolling
                }),
                rolling_n: adhesion_n(Hold::Rolling),
            })
        };
        let bears = |bond: &Bond| machine.legs.iter().any(|leg| bond.members.contains(&leg.end.index()));
        Self {
            masses_kg: problem.module_ids().map(|id| problem.mass_kg(id)).collect(),
            bonds: problem.module_ids().filter_map(bond).filter(bears).collect(),
            heaviness_mps2: problem.site.gravity_mps2 * problem.limits.motion_factor,
        }
    }

    /// The largest share of a bond's hold that is used where touches only push up; `None` if the centre of mass is not well over the planted ends. More
    /// than three bear as evenly as they can.
    pub(super) fn used(&self, stood: &Stood<'_>) -> Option<f64> {
        let &Stood { centres, planted } = stood;
        let mass_kg: f64 = self.masses_kg.iter().sum();
        let moment: DVec2 = centres.iter().zip(&self.masses_kg).map(|(at, kg)| at.truncate() * *kg).sum();
        let at = |id: &ModuleId| centres[id.index()].truncate();
        let count = planted.len() as f64;
        let mean = planted.iter().map(at).sum::<DVec2>() / count;
        let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
        for off in planted.iter().map(|id| at(id) - mean) {
            (xx, xy, yy) = (xx + off.x * off.x, xy + off.x * off.y, yy + off.y * off.y);
        }
        let off = moment / mass_kg - mean;
        let determinant = xx * yy - xy * xy;
        let slope = DVec2::new(yy * off.x - xy * off.y, xx * off.y - xy * off.x) / determinant;
        let borne = |id: &ModuleId| 1.0 / count + slope.dot(at(id) - mean);
        let shares: Vec<f64> = planted.iter().map(borne).collect();
        if !shares.iter().all(|share| *share >= LEAST_SHARE / count) {
            return None;
        }
        let weight_n = self.heaviness_mps2;
        let used = |bond: &Bond| {
            let (child, host) = (centres[bond.child], centres[bond.host]);
            let sole = child.lerp(host, bond.sole);
            let (mut force_n, mut moment) = (0.0, DVec2::ZERO);
            let mut add = |at: DVec3, up_n: f64| {
                force_n += up_n;
                moment += (at - sole).truncate() * up_n;
            };
            bond.members.iter().for_each(|&id| add(centres[id], -self.masses_kg[id] * weight_n));
            let mut hold_n = bond.braced_n;
            for (id, share) in
                planted.iter().zip(&shares).filter(|(id, _)| bond.members.contains(&id.index()))
            {
                add(centres[id.index()], share * mass_kg * weight_n);
                if id.index() == bond.child {
                    hold_n = bond.rolling_n;
                }
            }
            // What the host exerts is the reaction to both.
            let normal = (child - host).normalize();
            let about = DVec3::new(moment.y, -moment.x, 0.0);
            let peeling = (about - normal * about.dot(normal)).length() / bond.peel_m;
            (peeling + force_n * normal.z) / hold_n
        };
        Some(self.bonds.iter().map(used).fold(0.0, f64::max))
    }
}
