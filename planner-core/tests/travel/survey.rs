//! What a survey of one mover's surface says.

use crate::support;
use clamber_core::DVec3;
use clamber_core::Interrupt;
use clamber_core::read_scenario;
use clamber_core::unstable::travel::{Freedom, Unreached};
use clamber_core::{Body, ModuleId, Problem};
use clamber_core::{Survey, survey};
use std::f64::consts::TAU;

/// A landing of concrete and one 40 cm lower; a mover and a peer 30 cm apart on the upper one, with this ride height.
fn two_landings(ride_height_m: f64) -> Problem {
    let pair = support::text("pair");
    let kind = pair.split("[kind.cobble]").nth(1).expect("the kind").split("\n[").next().expect("its fields");
    let kind = kind.replace("ride_height_m = 0.060", &format!("ride_height_m = {ride_height_m}"));
    let text = format!(
        "format = \"clamber-scenario/1\"\nname = \"two landings\"\n\
         [[deck]]\nname = \"upper\"\noutline_m = [[-1, -1], [1, -1], [1, 1], [-1, 1]]\ntop_m = 0.0\nfriction = 0.7\n\
         [[deck]]\nname = \"lower\"\noutline_m = [[1, -1], [2, -1], [2, 1], [1, 1]]\ntop_m = -0.4\nfriction = 0.7\n\
         [kind.cobble]{kind}\n\
         [[module]]\nname = \"m1\"\nkind = \"cobble\"\non = \"upper\"\nat_m = [0, 0]\n\
         [[module]]\nname = \"m2\"\nkind = \"cobble\"\non = \"upper\"\nat_m = [0.3, 0]\n"
    );
    read_scenario("two landings.toml", &text).expect("the scene is right").1
}

fn surveyed(problem: &Problem) -> Survey {
    survey(problem, &problem.start, ModuleId(0), Interrupt::NEVER).expect("it is never stopped")
}

fn unreached<'a>(problem: &Problem, survey: &'a Survey, host: &str) -> &'a Option<Unreached> {
    let part = survey.parts.iter().find(|part| problem.name_of(part.host) == host);
    &part.expect("the host has room").unreached
}

/// With touches to help, a peer carries a mover that leans on its side; a deck that no hop arc leads to is cut off.
#[test]
fn a_lower_deck_is_cut_off() {
    let problem = two_landings(0.06);
    let found = surveyed(&problem);
    assert_eq!(found.freedom, Freedom::Free);
    assert_eq!(unreached(&problem, &found, "upper"), &None);
    assert_eq!(unreached(&problem, &found, "m2"), &None);
    assert_eq!(unreached(&problem, &found, "lower"), &Some(Unreached::CutOff));
    assert!(found.rests.iter().any(|rest| problem.name_of(rest.reach.place.host) == "m2"));
    assert!(found.rests.is_sorted_by(|a, b| a.reach.time_s <= b.reach.time_s));
}

/// Riding higher than its shell the mover touches nothing when it hangs on the side of its peer, which stands by its weight alone: the
/// mover's lever is 14 cm, that of the peer's weight the foot's 4 cm.
#[test]
fn a_peer_that_would_tip_is_refused_by_the_load() {
    let problem = two_landings(0.07);
    let found = surveyed(&problem);
    let Some(Unreached::Load(refusal)) = unreached(&problem, &found, "m2") else {
        panic!("{:?}", unreached(&problem, &found, "m2"));
    };
    let peer = ModuleId(1);
    assert_eq!((problem.name_of(refusal.from), refusal.to), ("upper", Body::Module(peer)));
    let reason = refusal.reason.expect("a bond is named");
    assert_eq!((reason.child, problem.name_of(reason.host)), (peer, "upper"));
    assert!(reason.describe(&problem, problem.limits.sway_rad).contains("m2 tips on upper"));
}

#[test]
fn areas_and_boundaries_add_up() {
    let problem = two_landings(0.06);
    let found = surveyed(&problem);
    assert!((found.area_m2() - found.surface.area_m2()).abs() < 1e-12);
    let shell = found.parts.iter().find(|part| part.host == Body::Module(ModuleId(1))).expect("m2");
    assert!((shell.area_m2 - TAU * 0.12 * 0.12).abs() < 1e-9);
    assert!((shell.boundary_m - TAU * 0.12).abs() < 1e-9);
    // The deck keeps 4 cm from its edge and 12 cm from the peer.
    let deck = &found.parts[0];
    assert!((deck.area_m2 - (1.92 * 1.92 - 0.5 * TAU * 0.12 * 0.12)).abs() < 1e-9);
    assert!((deck.boundary_m - (4.0 * 1.92 + TAU * 0.12)).abs() < 1e-9);
    assert!(found.is_reached(Body::Module(ModuleId(1)), DVec3::new(0.3, 0.0, 0.18)));
}

#[test]
fn who_cannot_go_has_a_surface_and_no_trips() {
    let mut problem = two_landings(0.06);
    problem.modules[0].stuck = true;
    problem.assign_classes();
    let found = surveyed(&problem);
    assert_eq!(found.freedom, Freedom::Stuck);
    assert!(found.rests.is_empty() && found.narrowest.is_none() && found.area_m2() > 3.0);
    assert_eq!(unreached(&problem, &found, "upper"), &None, "it stands there");
    assert_eq!(unreached(&problem, &found, "m2"), &Some(Unreached::NotTried));
}
