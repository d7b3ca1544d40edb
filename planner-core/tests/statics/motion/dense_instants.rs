//! Certified worst utilisations against ten thousand instants of each move, with the loads of determinate crews put together here from the model
//! page alone.
//!
//! `CLAMBER_CASES=3000 cargo test -p clamber-core --release --test statics dense_instants` runs as many random crews.

use super::every_instant::{Scene, load_by_definition, missed, on_a_slope, scene};
use crate::support::fixed;
use clamber_core::DVec3;
use clamber_core::Interrupt;
use clamber_core::Move;
use clamber_core::unstable::geometry::Sweep;
use clamber_core::unstable::statics::{WarmStart, gravity_directions};
use clamber_core::{Body, ModuleId};
use proptest::prelude::*;
use std::f64::consts::TAU;

const INSTANTS: u32 = 10_000;

/// Cases in every run of the tests, or as many as are asked for.
pub(crate) fn cases(usual: u32) -> u32 {
    std::env::var("CLAMBER_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(usual)
}

/// A mass in kilograms, where it is at the start, and whether it goes with the mover.
struct Mass {
    kg: f64,
    at: DVec3,
    goes: bool,
}

/// One bond with all that stands above it.
struct Bond {
    goes: bool,
    sole: DVec3,
    normal: DVec3,
    adhesion_n: f64,
    friction: f64,
    peel_m: f64,
    above: Vec<Mass>,
    /// Most of the tangential force in newtons, and of the normal moment in newton metres.
    drive: [f64; 2],
}

/// A crew without touches under a move, after sections 4 to 6 of the model page.
struct Determinate {
    bonds: Vec<Bond>,
    sweep: Option<Sweep>,
    gravity: Vec<DVec3>,
}

impl Determinate {
    fn new(scene: &Scene) -> Self {
        let (problem, start) = (&scene.problem, &scene.problem.start);
        let mass = |id: ModuleId| -> [Mass; 2] {
            let (place, kind) = (start.get(id), problem.kind(id));
            let goes = scene.moves(id);
            let own = Mass { kg: kind.mass_kg, at: place.position + place.up() * kind.com_height_m, goes };
            [own, Mass { kg: problem.modules[id.index()].payload_kg, at: place.position, goes }]
        };
        let bonds = start.iter().map(|(id, place)| {
            let kind = problem.kind(id);
            let above = problem
                .module_ids()
                .filter(|&other| other == id || start.hosts_below(other).any(|b| b == Body::Module(id)));
            let friction = match place.host {
                Body::Ground(deck) => problem.ground(deck).surfacing.friction,
                Body::Module(_) => kind.bond_friction,
                Body::Stone(_) => panic!("no foot stands on a stone"),
            };
            let drive = match scene.action {
                Move::Slide { curvature_per_m, .. } if id == scene.mover => {
                    let turns = curvature_per_m != 0.0;
                    [kind.drive_force_n, if turns { kind.yaw_torque_rolling_nm } else { f64::INFINITY }]
                }
                Move::Yaw { .. } if id == scene.mover => match place.hold {
                    clamber_core::Hold::Rolling => [f64::INFINITY, kind.yaw_torque_rolling_nm],
                    clamber_core::Hold::Braced => [f64::INFINITY, kind.yaw_torque_braced_nm],
                },
                _ => [f64::INFINITY; 2],
            };
            Bond {
                goes: scene.moves(id),
                sole: place.position - place.up() * kind.ride_height_m,
                normal: place.up(),
                adhesion_n: problem.adhesion_n(id, place.host, place.hold),
                friction,
                peel_m: kind.peel_radius_m,
                above: above.flat_map(mass).collect(),
                drive,
            }
        });
        let strength = problem.site.gravity_mps2 * problem.limits.motion_factor;
        // The directions are tilted by the facets of a rough deck that a foot stands on, too.
        let rough = start.iter().filter_map(|(_, place)| place.host.ground());
        let tilt_rad = rough.map(|ground| problem.ground(ground).surfacing.tilt_rad).fold(0.0, f64::max);
        let swayed_rad = problem.limits.sway_rad + problem.limits.motion_tilt_rad + tilt_rad;
        let gravity = gravity_directions(swayed_rad).map(|d| d * strength).to_vec();
        Self { bonds: bonds.collect(), sweep: scene.sweep(), gravity }
    }

    /// Largest utilisation, and newtons by which a hard condition is missed, at a share of the move.
    fn at(&self, share: f64) -> [f64; 2] {
        let turned = |p: DVec3| self.sweep.map_or(p, |sweep| sweep.point_at(p, share));
        let mut worst = [0.0_f64; 2];
        for bond in &self.bonds {
            let (sole, normal) = if bond.goes {
                let foot = turned(bond.sole);
                (foot, turned(bond.sole + bond.normal) - foot)
            } else {
                (bond.sole, bond.normal)
            };
            let mut kg = 0.0;
            let mut kg_m = DVec3::ZERO;
            for mass in &bond.above {
                let at = if mass.goes { turned(mass.at) } else { mass.at };
                kg += mass.kg;
                kg_m += (at - sole) * mass.kg;
            }
            for gravity in &self.gravity {
                let force = -*gravity * kg;
                let moment = gravity.cross(kg_m);
                let pressing = force.dot(normal);
                let spin = moment.dot(normal);
                let tangential = (force - normal * pressing).length();
                let lever = 2.0 * bond.peel_m / 3.0;
                let peel = (moment - normal * spin).length() / bond.peel_m - pressing;
                let slip = tangential.hypot(spin / lever) / (0.93 * bond.friction) - pressing;
                if bond.adhesion_n > 0.0 {
                    worst[0] = worst[0].max(peel.max(slip) / bond.adhesion_n);
                } else {
                    worst[1] = worst[1].max(peel).max(slip);
                }
                worst[1] = worst[1].max(tangential - bond.drive[0]);
                worst[1] = worst[1].max((spin.abs() - bond.drive[1]) / lever);
            }
        }
        worst
    }
}

fn shares() -> impl Iterator<Item = f64> {
    (0..=INSTANTS).map(|k| f64::from(k) / f64::from(INSTANTS))
}

proptest! {
    #![proptest_config(fixed(cases(1000)))]

    #[test]
    fn determinate_crews(seed in any::<u64>(), rises in any::<bool>(), rise in 0.0..0.3_f64, azimuth in 0.0..TAU, tilt in 0.0..0.1_f64) {
        let mut scene = scene(seed, 0.0);
        if rises {
            let Some(sloped) = on_a_slope(scene, [rise, azimuth, tilt]) else { return Ok(()) };
            scene = sloped;
        }
        if !load_by_definition(&scene, &scene.problem.start).touches.is_empty() {
            return Ok(());
        }
        let certified = scene.stretch().worst_utilisation(Interrupt::NEVER).expect("it is never stopped").utilisation;
        let crew = Determinate::new(&scene);
        let mut densest = [0.0_f64; 2];
        for share in shares() {
            let [used, excess] = crew.at(share);
            densest = [densest[0].max(used), densest[1].max(excess)];
        }
        let found = [certified.value, missed(certified)];
        for (kind, (found, dense)) in found.into_iter().zip(densest).enumerate() {
            // The bracket is closed to 1e-8; rounding of a newton in thousands is far below.
            prop_assert!(dense <= found + 1e-8, "an instant has {}, certified {} ({})", dense, found, kind);
            // Between two instants a utilisation of many limits can rise by as many parts in a million.
            prop_assert!(found <= dense + 1e-6 * dense.max(1.0), "certified {}, no instant over {} ({})", found, dense, kind);
        }
    }
}

proptest! {
    #![proptest_config(fixed(cases(1000).div_ceil(50)))]

    /// With touches, an instant is not worse when some touch forces balance it within what is certified.
    #[test]
    fn crews_that_touch(seed in any::<u64>(), rises in any::<bool>(), rise in 0.0..0.2_f64, azimuth in 0.0..TAU, tilt in 0.0..0.05_f64) {
        let mut scene = scene(seed, 0.9);
        if rises {
            let Some(sloped) = on_a_slope(scene, [rise, azimuth, tilt]) else { return Ok(()) };
            scene = sloped;
        }
        let stretch = scene.stretch();
        let certified = stretch.worst_utilisation(Interrupt::NEVER).expect("it is never stopped").utilisation;
        if missed(certified) > 0.0 {
            return Ok(()); // nothing is claimed but that it is not carried
        }
        let mut hint = WarmStart::default();
        for share in shares() {
            let case = load_by_definition(&scene, &stretch.at(share));
            prop_assert!(
                case.carries_warm(certified.value + 1e-6, &mut hint),
                "at {} it takes more than {}", share, certified.value
            );
        }
    }
}
