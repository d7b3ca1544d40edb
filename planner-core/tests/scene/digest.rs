//! The digest: the canonical JSON of RFC 8785, and its SHA-256.

use crate::support::example;
use clamber_core::{read_scenario, scenario_sha256};

/// RFC 8785, appendix B: bits of a double and its text.
#[test]
fn numbers_are_written_as_in_the_rfc() {
    let samples: [(u64, &str); 22] = [
        (0x0000_0000_0000_0000, "0"),
        (0x8000_0000_0000_0000, "0"),
        (0x0000_0000_0000_0001, "5e-324"),
        (0x8000_0000_0000_0001, "-5e-324"),
        (0x7fef_ffff_ffff_ffff, "1.7976931348623157e+308"),
        (0xffef_ffff_ffff_ffff, "-1.7976931348623157e+308"),
        (0x4340_0000_0000_0000, "9007199254740992"),
        (0xc340_0000_0000_0000, "-9007199254740992"),
        (0x4430_0000_0000_0000, "295147905179352830000"),
        (0x44b5_2d02_c7e1_4af5, "9.999999999999997e+22"),
        (0x44b5_2d02_c7e1_4af6, "1e+23"),
        (0x44b5_2d02_c7e1_4af7, "1.0000000000000001e+23"),
        (0x444b_1ae4_d6e2_ef4e, "999999999999999700000"),
        (0x444b_1ae4_d6e2_ef4f, "999999999999999900000"),
        (0x444b_1ae4_d6e2_ef50, "1e+21"),
        (0x3eb0_c6f7_a0b5_ed8c, "9.999999999999997e-7"),
        (0x3eb0_c6f7_a0b5_ed8d, "0.000001"),
        (0x41b3_de43_5555_5553, "333333333.3333332"),
        (0x41b3_de43_5555_5554, "333333333.33333325"),
        (0x41b3_de43_5555_5555, "333333333.3333333"),
        (0x41b3_de43_5555_5556, "333333333.3333334"),
        (0xbecb_f647_612f_3696, "-0.0000033333333333333333"),
    ];
    for (bits, text) in samples {
        assert_eq!(
            serde_json_canonicalizer::to_string(&f64::from_bits(bits)).expect("a finite number"),
            text
        );
    }
}

/// Computed apart from this library, with the canonicaliser of the outside tests (`tests/outside/reference/canonical.py`).
#[test]
fn the_digest_of_the_example_is_known() {
    let (scene, _) = read_scenario("scene.toml", &example()).expect("the example is sound");
    assert_eq!(scenario_sha256(&scene), "b1b3cf4cb625726d908aea665abe2e9f673771187be3bee71ef14cc43481edf3");
}

#[test]
fn the_digest_depends_on_what_is_said_and_not_on_how() {
    let (scene, _) = read_scenario("scene.toml", &example()).expect("the example is sound");
    let digest = scenario_sha256(&scene);
    let same = example().replace("mass_kg = 0.50", "mass_kg = 5e-1").replace("stuck = false", "# not stuck");
    assert_eq!(digest, scenario_sha256(&read_scenario("scene.toml", &same).expect("sound").0));
    let other = example().replace("mass_kg = 0.50", "mass_kg = 0.51");
    assert_ne!(digest, scenario_sha256(&read_scenario("scene.toml", &other).expect("sound").0));
}
