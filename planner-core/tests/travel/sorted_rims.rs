//! On terrain the rims that the site gives are sorted out once. A stone far away makes any site terrain and is in nobody's way, so all drives there stay
//! as long as they are on the same site without it, where every rim is tried.

use crate::support::{block, cobble, empty, on_deck};
use clamber_core::unstable::control::Interrupt;
use clamber_core::unstable::math::SplitMix64;
use clamber_core::unstable::travel::{Face, Waypoint};
use clamber_core::{Body, DVec2, DVec3, GroundId, ModuleId, Problem, Stone};

/// A level ground of overlapping rectangles with walls on it, turned as a whole, and modules at random places.
fn site(random: &mut SplitMix64) -> Problem {
    let ahead = DVec2::from_angle(random.between(0.0, 6.0));
    let size = random.between(0.6, 1.8);
    let mut decks = Vec::new();
    for index in 0..3 + random.below(4) {
        let low = [random.between(-0.9, 0.1), random.between(-0.9, 0.1)].map(|x| size * x);
        let high = [random.between(0.1, 0.9), random.between(0.1, 0.9)].map(|x| size * x);
        decks.push(block(&format!("d{index}"), low, high, f64::NEG_INFINITY, 0.0, 0.7));
    }
    for index in 0..random.below(4) {
        let low = [random.between(-0.7, 0.6), random.between(-0.7, 0.6)].map(|x| size * x);
        let high = low.map(|x| x + size * random.between(0.02, 0.3));
        decks.push(block(&format!("w{index}"), low, high, f64::NEG_INFINITY, random.between(0.03, 0.5), 0.7));
    }
    for deck in &mut decks {
        deck.1.outline.iter_mut().for_each(|corner| *corner = ahead.rotate(*corner));
    }
    let mut problem = empty(vec![cobble()], decks);
    on_deck(&mut problem, [0.0, 0.0]);
    for _ in 0..random.below(5) {
        on_deck(&mut problem, [random.between(-0.7, 0.7), random.between(-0.7, 0.7)].map(|x| size * x));
    }
    problem
}

fn length(from: DVec3, way: &[Waypoint]) -> f64 {
    let (mut here, mut total) = (from, 0.0);
    for waypoint in way {
        total += match waypoint.round {
            Some(round) => here.distance(round.centre) * round.angle(here, waypoint.position),
            None => here.distance(waypoint.position),
        };
        here = waypoint.position;
    }
    total
}

#[test]
fn sorting_rims_out_loses_no_way() {
    let mut random = SplitMix64::new(11);
    let (mut found, mut bent) = (0, 0);
    for _ in 0..60 {
        let plain = site(&mut random);
        let mut terrain = plain.clone();
        let (name, centre) = ("far".to_owned(), DVec3::new(900.0, 0.0, 0.0));
        terrain.stones.push(Stone { name, centre, radius_m: 0.1, friction: 0.6 });
        assert!(plain.is_plain() && !terrain.is_plain());
        let ground = GroundId(0);
        let stand = |at: DVec2| plain.ground(ground).stand(at, plain.kinds[0].ride_height_m);
        let faces = [&plain, &terrain].map(|p| {
            Face::new(p, &p.start, ModuleId(0), Body::Ground(ground), Interrupt::NEVER)
                .expect("nothing stops it")
        });
        let is_free = |p: &DVec3| faces[0].is_clear(*p, &Waypoint::straight(Body::Ground(ground), *p));
        let mut place = || stand(DVec2::new(random.between(-1.2, 1.2), random.between(-1.2, 1.2)));
        let places: Vec<DVec3> = std::iter::repeat_with(&mut place).take(60).filter(is_free).collect();
        let Some((&from, targets)) = places.split_first() else { continue };
        let [all, sorted] = faces.map(|face| face.routes(from, targets));
        for (way, other) in all.iter().zip(&sorted) {
            let [way, other] = [way, other].map(|way| way.as_ref().map(|way| length(from, way)));
            match (way, other) {
                (Some(way), Some(other)) => {
                    assert!((way - other).abs() < 1e-9, "{way} {other}");
                    found += 1;
                }
                (None, None) => {}
                _ => panic!("{way:?} {other:?}"),
            }
        }
        bent += all.iter().flatten().filter(|way| way.len() > 2).count();
    }
    assert!(found > 400 && bent > 100, "too few to mean anything: {found} {bent}");
}
