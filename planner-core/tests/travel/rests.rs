//! Rests beside walls and kerbs: a shell that touches a wall, a foot at a brink, and the way up to a higher deck.

use crate::support;
use clamber_core::Interrupt;
use clamber_core::read_scenario;
use clamber_core::unstable::travel::{Interest, Spot, Surface, reachable, spots};
use clamber_core::{Body, GroundId, ModuleId, Problem};
use clamber_core::{DVec2, DVec3};

/// An apron up to x = 0 and a kerb of this height beyond, both of steel; modules of 6 cm as in the fixtures.
fn beside_kerb(kerb_m: f64, modules: &[(&str, &str)]) -> Problem {
    let pair = support::text("pair");
    let kind = pair.split("[kind.cobble]").nth(1).expect("the kind").split("\n[").next().expect("its fields");
    let deck = |name: &str, from: f64, to: f64, top: f64| {
        format!(
            "[[deck]]\nname = \"{name}\"\noutline_m = [[{from}, -1], [{to}, -1], [{to}, 1], [{from}, 1]]\n\
             top_m = {top}\nfriction = 0.7\nferrous = true\nsealable = true\n"
        )
    };
    let mut text = format!(
        "format = \"clamber-scenario/1\"\nname = \"beside a kerb\"\n{}{}[kind.cobble]{kind}\n",
        deck("apron", -1.0, 0.0, 0.0),
        deck("kerb", 0.0, 1.0, kerb_m),
    );
    for (index, (host, place)) in modules.iter().enumerate() {
        let name = format!("m{}", index + 1);
        text += &format!(
            "[[module]]\nname = \"{name}\"\nkind = \"cobble\"\non = \"{host}\"\n{place}\nhold = \"braced\"\n"
        );
    }
    read_scenario("beside-kerb.toml", &text).expect("the scene is right").1
}

const SHELL_M: f64 = 0.06;
const FOOT_M: f64 = 0.04;
const KERB: Body = Body::Ground(GroundId(1));
const APRON: Body = Body::Ground(GroundId(0));

fn rest_spots(problem: &Problem, mover: ModuleId) -> Vec<Spot> {
    let mut found = spots(problem, &problem.start, mover, &Interest::default());
    found.retain(|spot| spot.rest);
    found
}

fn has(spots: &[Spot], host: Body, place: DVec3) -> bool {
    spots.iter().any(|s| s.hosts.contains(&host) && s.position.distance(place) < 1e-9)
}

/// A shell on the apron touches a wall 18 cm tall; the places follow from two or three distances each (equal balls).
#[test]
fn shells_beside_a_wall_touch_it() {
    let problem = beside_kerb(0.18, &[("apron", "at_m = [-0.06, 0.0]"), ("apron", "at_m = [-0.5, 0.2]")]);
    let (host, mover) = (Body::Module(ModuleId(0)), ModuleId(1));
    let rests = rest_spots(&problem, mover);
    // Host and mover touch the wall: the mover is on the circle of radius 12 cm above, in one plane with the host.
    assert!(has(&rests, host, DVec3::new(-SHELL_M, 0.0, 0.18)), "the middle of the arc is its top");
    for side in [1.0, -1.0] {
        let pocket = DVec3::new(-SHELL_M, side * 2.0 * SHELL_M, SHELL_M);
        assert!(has(&rests, host, pocket) && has(&rests, APRON, pocket), "wall, apron and host at once");
    }
    // On the apron: straight to the wall from where it stands.
    assert!(has(&rests, APRON, DVec3::new(-SHELL_M, 0.2, SHELL_M)));
    // On the kerb: at the brink straight across from host and mover, and where the foot is in a corner.
    let top = 0.18 + SHELL_M;
    for y in [0.0, 0.2, 1.0 - FOOT_M, FOOT_M - 1.0] {
        assert!(has(&rests, KERB, DVec3::new(FOOT_M, y, top)), "the brink at {y}");
    }
}

/// On a host 2 cm off a low kerb the mover touches the edge where two circles meet in the vertical plane through the host.
#[test]
fn shells_beside_a_kerb_touch_its_edge() {
    let problem = beside_kerb(0.09, &[("apron", "at_m = [-0.08, 0.0]"), ("apron", "at_m = [-0.5, 0.2]")]);
    let rests = rest_spots(&problem, ModuleId(1));
    let edge = DVec2::new(0.0, 0.09);
    let host = DVec2::new(-0.08, SHELL_M);
    let touching = rests.iter().find(|s| {
        let flat = DVec2::new(s.position.x, s.position.z);
        s.position.y.abs() < 1e-12
            && s.hosts.contains(&Body::Module(ModuleId(0)))
            && (flat.distance(edge) - SHELL_M).abs() < 1e-12
            && (flat.distance(host) - 2.0 * SHELL_M).abs() < 1e-12
    });
    assert!(touching.is_some());
}

/// From whoever stands on another the mover hops onto the kerb: on the circle at the kerb's height, as far in as the foot must be. The foot
/// turns by at most 100°, so for the low kerb the upper of the two leans towards it.
#[test]
fn hop_arcs_lead_onto_a_higher_deck() {
    for (kerb_m, at, toward, upper) in [LOW, HIGH] {
        let problem = beside_kerb(kerb_m, &[("apron", at), ("m1", toward), ("apron", "at_m = [-0.5, 0.2]")]);
        let arcs = Surface::hop_arcs_of(&problem, &problem.start, ModuleId(2));
        let up = [KERB, Body::Module(ModuleId(1))];
        let arc = &arcs.iter().find(|hop_arc| hop_arc.hosts == up).expect("an arc onto the kerb").arc;
        let height = kerb_m + SHELL_M;
        let radius = (0.12_f64.powi(2) - (height - upper.y).powi(2)).sqrt();
        let half = ((FOOT_M - upper.x) / radius).acos();
        assert!((arc.width - 2.0 * half).abs() < 1e-9, "{} is not {}", arc.width, 2.0 * half);
        let end = DVec3::new(FOOT_M, radius * half.sin(), height);
        assert!([0.0, 1.0].iter().any(|t| arc.at(*t).distance(end) < 1e-9));
    }
}

/// Kerb height, where the lower of two stands, how the upper stands on it, and where that is in x and z.
type Stack = (f64, &'static str, &'static str, DVec2);
const LOW: Stack = (0.09, "at_m = [-0.142, 0]", "toward = [0.096, 0, 0.072]", DVec2::new(-0.046, 0.132));
const HIGH: Stack = (0.18, "at_m = [-0.06, 0]", "toward = [0, 0, 1]", DVec2::new(-0.06, 0.18));

/// One of five gets onto a kerb over a stack of two while the others steady it, and away from the brink.
#[test]
fn one_of_five_reaches_the_kerb() {
    for (kerb_m, at, toward, _) in [LOW, HIGH] {
        let crew = [
            ("apron", at),
            ("m1", toward),
            ("apron", "at_m = [-0.06, 0.13]"),
            ("apron", "at_m = [-0.06, -0.13]"),
            ("apron", "at_m = [-0.4, -0.2]"),
        ];
        let problem = beside_kerb(kerb_m, &crew);
        let found =
            reachable(&problem, &problem.start, ModuleId(4), &Interest::default(), 1.0, Interrupt::NEVER)
                .expect("it is never stopped");
        let on_kerb = found.ends.iter().filter(|end| end.place.host == KERB).count();
        println!(
            "{} rests on the kerb, {} in all, {} refused",
            on_kerb,
            found.ends.len(),
            found.refused_by_load
        );
        assert!(on_kerb > 4, "{} rests, {on_kerb} on the kerb", found.ends.len());
    }
}
