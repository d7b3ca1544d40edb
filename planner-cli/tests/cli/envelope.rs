//! Envelopes of the demo kind, against closed forms that were worked out apart from this program.

use super::support::{Folder, json};
use serde_json::Value;

const PAIR: &str = include_str!("../../../fixtures/pair.toml");

/// The answers to some questions.
fn asked(folder: &Folder, questions: &str, modules: &str) -> (Vec<Value>, String) {
    let run = folder.run(&[
        "envelope",
        "pair.toml",
        "--of",
        questions,
        "--modules",
        modules,
        "-o",
        "found",
        "--json",
    ]);
    assert_eq!(run.code, 0, "{}", run.stderr);
    (json(&run.stdout)["answers"].as_array().expect("there are answers").clone(), run.stdout)
}

/// Least elevations of straight braced arms of 3, 4, 5 modules: 31.8130°, 59.4328°, 70.1988°. Payload at the tip of a level arm of 1, 2: 2.535917 kg,
/// 0.562532 kg. Level arms of 2 are held, of 3 not. (Own derivation, held against a second load solver.)
#[test]
fn shapes_are_bracketed_around_their_closed_forms() {
    let folder = Folder::with("pair.toml", PAIR);
    let (answers, first) = asked(&folder, "level-arm,raised-arm,payload", "2..6");
    let of = |question: &str, modules: u64| {
        answers
            .iter()
            .find(|a| a["question"] == question && a["modules"] == modules)
            .unwrap_or_else(|| panic!("no answer to {question} for {modules}"))
    };
    for (modules, degrees) in [(4, 31.8130), (5, 59.4328), (6, 70.1988)] {
        let raised = of("raised-arm", modules);
        let (can, cannot) = (raised["can"].as_f64().unwrap(), raised["cannot"].as_f64().unwrap());
        assert!(cannot < degrees && degrees <= can && can - cannot < 0.03, "{raised}");
    }
    for (modules, kg) in [(2, 2.535917), (3, 0.562532)] {
        let payload = of("payload", modules);
        let (can, cannot) = (payload["can"].as_f64().unwrap(), payload["cannot"].as_f64().unwrap());
        assert!(can <= kg && kg < cannot && cannot - can < 0.02, "{payload}");
        let closed = payload["closed_form"].as_f64().unwrap();
        assert!((closed - kg).abs() < 1e-4, "the closed form gives {closed}");
    }
    assert_eq!(of("payload", 4)["cannot"], 0.0, "three links do not hold themselves");
    for (modules, links) in [(2, 1.0), (3, 2.0), (6, 2.0)] {
        assert_eq!(of("level-arm", modules)["can"], links);
    }
    assert_eq!(of("level-arm", 6)["cannot"], 3.0);

    // Given again, nothing is asked again and the answer is the same.
    let points = folder.read("found/points.jsonl");
    let (_, second) = asked(&folder, "level-arm,raised-arm,payload", "2..6");
    assert_eq!(first, second);
    assert_eq!(points, folder.read("found/points.jsonl"));
}

/// A shell is 120 mm across: wider doors are passed with a checked plan, narrower ones are proved closed.
#[test]
fn a_doorway_is_as_wide_as_a_shell() {
    let (answers, _) = asked(&Folder::with("pair.toml", PAIR), "doorway", "3");
    let [door] = &answers[..] else { panic!("one answer is asked for") };
    let (can, cannot) = (door["can"].as_f64().unwrap(), door["cannot"].as_f64().unwrap());
    assert!(cannot < 0.12 && 0.12 <= can && can - cannot < 0.006, "{door}");
    assert_eq!(door["closed"], true);
}

#[test]
fn a_folder_and_a_kind_are_needed() {
    let folder = Folder::with("pair.toml", PAIR);
    let run = folder.run(&["envelope", "pair.toml", "--name", "pebble", "-o", "found"]);
    assert_eq!(run.code, 2);
    assert!(run.stderr.contains("has no kind \"pebble\"; its kinds are cobble"), "{}", run.stderr);
}
