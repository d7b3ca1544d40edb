//! What a failed search says about itself.

use crate::support::{bare_ground, cobble, empty, on_deck, on_shell};
use clamber_core::math::DVec3;
use clamber_core::model::{Body, DeckId, ModuleId, Problem};
use clamber_core::motion::{Fault, faults_at_rest};
use clamber_core::search::Stoppers;

/// A module at the side of another on bare ground, lifted so that it leans on nothing: the lower one tips.
fn tipping() -> Problem {
    let mut problem = empty(vec![cobble()], vec![bare_ground(0.7)]);
    let base = on_deck(&mut problem, [0.0, 0.0]);
    on_shell(&mut problem, base, DVec3::new(1.0, 0.0, 0.3));
    problem
}

#[test]
fn the_most_frequent_cause_is_named() {
    let problem = tipping();
    let faults = faults_at_rest(&problem, &problem.start);
    let [fault @ Fault::Load { reason: Some(reason), .. }] = faults.as_slice() else { panic!("{faults:?}") };
    let overlap = Fault::Overlap { module: ModuleId(1), other: Body::Deck(DeckId(0)), gap_m: -0.002 };
    let mut counted = Stoppers::default();
    assert_eq!(counted.sentence(&problem), None);
    counted.add_fault(&overlap);
    counted.add_fault(fault);
    let tie = counted.sentence(&problem).expect("something was counted");
    assert!(tie.contains("in each other's way") && tie.contains("2.000 mm"), "{tie}");
    counted.add(reason);
    let sentence = counted.sentence(&problem).expect("something was counted");
    assert!(
        sentence.starts_with("stopped most often (2 of 3 refusals) because modules tip on ground"),
        "{sentence}"
    );
    assert!(sentence.contains("m1 (2 times)") && sentence.contains("counterweight"), "{sentence}");
    let missed = format!("by {:.3} N", reason.needs - reason.holds);
    assert!(sentence.contains(&missed), "{sentence}");
}

#[test]
fn parts_add_up_in_any_grouping() {
    let overlap = |gap_m: f64| Fault::Overlap { module: ModuleId(1), other: Body::Deck(DeckId(0)), gap_m };
    let reach =
        Fault::Reach { module: ModuleId(0), host: Body::Module(ModuleId(1)), angle_rad: 2.4, limit_rad: 2.3 };
    let faults = [overlap(-0.004), reach, overlap(-0.001), overlap(-0.002), reach];
    let count = |faults: &[Fault]| {
        let mut stoppers = Stoppers::default();
        faults.iter().for_each(|fault| stoppers.add_fault(fault));
        stoppers
    };
    let whole = count(&faults);
    for cut in 0..=faults.len() {
        let mut parts = count(&faults[..cut]);
        parts.merge(&count(&faults[cut..]));
        assert_eq!(parts, whole);
    }
    assert_eq!(whole.total(), 5);
    assert!(whole.sentence(&tipping()).expect("counted").contains("1.000 mm"));
}
