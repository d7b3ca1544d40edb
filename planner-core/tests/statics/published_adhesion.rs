//! Adhesion against published numbers: vacuum cups, the standard atmosphere, units of force.

use crate::support::{assert_near, cobble, empty, on_deck, steel};
use clamber_core::unstable::model::{STANDARD_GRAVITY_MPS2, ambient_pressure_pa};
use clamber_core::{Body, GroundId, Hold, Kind, Surfacing};
use std::f64::consts::PI;

/// A cup of a diameter in millimetres at a vacuum in kilopascals.
fn cup(diameter_mm: f64, vacuum_kpa: f64) -> Kind {
    let area = PI * (diameter_mm * 1e-3).powi(2) / 4.0;
    Kind { cup_area_m2: area, cup_vacuum_pa: vacuum_kpa * 1e3, ..cobble() }
}

/// Cup force of a braced module on a steel deck at an altitude, the magnets left aside.
fn cup_force_n(kind: Kind, altitude_m: f64) -> f64 {
    let mut problem = empty(vec![Kind { magnet_force_n: 0.0, ..kind }], vec![steel(0.5)]);
    problem.site.altitude_m = altitude_m;
    let module = on_deck(&mut problem, [0.0, 0.0]);
    problem.adhesion_n(module, Body::Ground(GroundId(0)), Hold::Braced)
}

/// Makers of vacuum cups state F = Δp·A at 60 % vacuum.
#[test]
fn cup_forces_at_sixty_kilopascals() {
    for (diameter_mm, expected) in [(30.0, 42.4115), (40.0, 75.3982), (50.0, 117.8097)] {
        assert_near(cup_force_n(cup(diameter_mm, 60.0), 0.0), expected, 1e-4);
    }
}

/// ISO 2533:1975, the same as ICAO Doc 7488; altitudes are geopotential.
#[test]
fn standard_atmosphere() {
    let table = [
        (0.0, 101_325.00),
        (500.0, 95_460.84),
        (1000.0, 89_874.56),
        (1500.0, 84_555.99),
        (2000.0, 79_495.20),
        (2500.0, 74_682.52),
        (3000.0, 70_108.53),
        (4000.0, 61_640.21),
        (5000.0, 54_019.89),
    ];
    for (altitude_m, expected) in table {
        assert_near(ambient_pressure_pa(altitude_m), expected, 0.1);
    }
}

/// Geometric heights of the US Standard Atmosphere 1976, from memory, turned into geopotential ones.
#[test]
fn geometric_heights_are_not_geopotential() {
    let table = [
        (500.0, 95_461.29),
        (1000.0, 89_876.28),
        (2000.0, 79_501.41),
        (3000.0, 70_121.14),
        (5000.0, 54_048.26),
    ];
    for (geometric_m, expected) in table {
        let geopotential_m = 6_356_766.0 * geometric_m / (6_356_766.0 + geometric_m);
        assert_near(ambient_pressure_pa(geopotential_m), expected, 0.1);
        assert!(ambient_pressure_pa(geometric_m) < expected, "{geometric_m} m");
    }
}

/// A cup whose vacuum is limited by the air outside loses force as the ISO 2533 pressure falls.
#[test]
fn cups_weaken_with_height() {
    let deep = || cup(40.0, 1000.0);
    let at_sea_level = cup_force_n(deep(), 0.0);
    assert_near(at_sea_level, 0.9 * 101_325.0 * deep().cup_area_m2, 1e-9);
    for (altitude_m, expected) in [(1000.0, 0.88699), (2000.0, 0.78456), (3000.0, 0.69192), (5000.0, 0.53313)]
    {
        assert_near(cup_force_n(deep(), altitude_m) / at_sea_level, expected, 1e-5);
    }
}

/// A cup pumped to a fixed 45 kPa loses nothing until nine tenths of the air outside are less than that (computed: 5575 m).
#[test]
fn a_shallow_vacuum_is_the_same_up_to_five_kilometres() {
    let full = cup_force_n(cup(40.0, 45.0), 0.0);
    assert_near(cup_force_n(cup(40.0, 45.0), 5570.0), full, 0.0);
    assert!(cup_force_n(cup(40.0, 45.0), 5580.0) < full);
}

/// One kilogram-force is 9.80665 N (CGPM 3, 1901; SI brochure, from memory): 1 kN pulls as much as 101.9716 kgf.
#[test]
fn standard_gravity_is_exact() {
    assert_near(STANDARD_GRAVITY_MPS2, 9.806_65, 0.0);
    assert_near(1000.0 / STANDARD_GRAVITY_MPS2, 101.9716, 1e-4);
}

/// Magnets need iron and cups a tight surface; a rolling module's cup is open.
#[test]
fn what_holds_where() {
    let kind = cobble();
    let (magnet, cup) = (kind.magnet_force_n, kind.cup_force_n(101_325.0));
    assert_near(cup, 54.0, 1e-9);
    let adhesion = |ferrous: bool, sealable: bool, hold: Hold| {
        let (name, solid, surfacing) = steel(0.5);
        let floor = (name, solid, Surfacing { ferrous, sealable, ..surfacing });
        let mut problem = empty(vec![kind.clone()], vec![floor]);
        let module = on_deck(&mut problem, [0.0, 0.0]);
        let ground = problem.adhesion_n(module, Body::Ground(GroundId(0)), hold);
        let shell = problem.adhesion_n(module, Body::Module(module), hold);
        assert_near(shell, if hold == Hold::Braced { magnet + cup } else { magnet }, 1e-12);
        ground
    };
    assert_near(adhesion(true, true, Hold::Braced), magnet + cup, 1e-12);
    assert_near(adhesion(true, true, Hold::Rolling), magnet, 1e-12);
    assert_near(adhesion(true, false, Hold::Braced), magnet, 1e-12);
    assert_near(adhesion(false, true, Hold::Braced), cup, 1e-12);
    assert_near(adhesion(false, true, Hold::Rolling), 0.0, 0.0);
    assert_near(adhesion(false, false, Hold::Braced), 0.0, 0.0);
}
