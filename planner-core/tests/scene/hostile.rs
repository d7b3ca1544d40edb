//! Whatever the text, an answer: no panic, and problems have a place.

use crate::support::{example, fixed};
use clamber_core::{FileFormat, read_plan, read_scenario, write_scenario};
use proptest::prelude::*;

fn survives(text: &str) {
    for name in ["scene.toml", "scene.json"] {
        if let Err(problems) = read_scenario(name, text) {
            assert!(problems.iter().count() > 0);
            assert!(!problems.to_string().contains("as a bug"), "{problems}");
            assert!(
                problems.iter().all(|p| p.line >= 1 && p.column >= 1 && p.line <= text.split('\n').count())
            );
            assert!(problems.iter().map(|p| (p.line, p.column)).is_sorted(), "{problems}");
        }
    }
    if let Err(problems) = read_plan("plan.json", text) {
        assert!(problems.iter().count() > 0 && !problems.to_string().contains("as a bug"), "{problems}");
    }
}

#[test]
fn deep_nesting_is_refused() {
    for (open, close) in [("[", "]"), ("{\"a\":", "}"), ("[[a]]\n", ""), ("a = { ", "}")] {
        survives(&format!("{}{}", open.repeat(100_000), close.repeat(100_000)));
    }
    survives(&format!("a = {}{}", "[".repeat(100_000), "]".repeat(100_000)));
    survives(&format!("[{}a]", "a.".repeat(100_000)));
    survives(&format!("{}a = 1", "a.".repeat(100_000)));
}

#[test]
fn a_crew_of_the_largest_size_in_one_stack_is_read() {
    let text = example();
    let mut text = text.split("[[goal.slot]]").next().expect("the part before the goal").to_owned();
    for above in 3..=4096 {
        let below = above - 1;
        text += &format!(
            "[[module]]\nname = \"m{above}\"\nkind = \"cobble\"\non = \"m{below}\"\ntoward = [0, 0, 1]\n"
        );
    }
    let (_, problem) = read_scenario("tower.toml", &text).unwrap_or_else(|problems| panic!("{problems}"));
    assert_eq!(problem.modules.len(), 4096);
    text += "[[module]]\nname = \"more\"\nkind = \"cobble\"\non = \"m1\"\ntoward = [1, 0, 1]\n";
    let problems = read_scenario("tower.toml", &text).expect_err("one too many").to_string();
    assert!(problems.contains("module: a list of 4097 was found; a list of 1 to 4096"), "{problems}");
}

#[test]
fn odd_beginnings() {
    for text in [
        "",
        " ",
        "\u{feff}",
        "\u{feff}format = 1",
        "{",
        "[]",
        "3",
        "null",
        "\"\"",
        "\0",
        "=\n=",
        "\r\r\n",
        "{} {}",
        "//",
    ] {
        survives(text);
    }
}

/// A text with a piece cut out, doubled or overwritten.
fn mutated(text: String) -> impl Strategy<Value = String> {
    let characters: Vec<char> = text.chars().collect();
    let length = characters.len();
    (0..length, 0..40_usize, 0..length, "[\\[\\]{}=\",.a-z0-9 \n-]{0,6}").prop_map(
        move |(at, cut, from, put)| {
            let head = characters.iter().take(at);
            let copied: Vec<char> = characters.iter().skip(from).take(cut / 2).copied().collect();
            head.copied()
                .chain(put.chars())
                .chain(copied)
                .chain(characters.iter().skip(at + cut).copied())
                .collect()
        },
    )
}

fn example_json() -> String {
    let (scene, _) = read_scenario("scene.toml", &example()).expect("the example is sound");
    write_scenario(&scene, FileFormat::Json).expect("finite numbers")
}

proptest! {
    #![proptest_config(fixed(256))]

    #[test]
    fn any_text(text in ".{0,200}") {
        survives(&text);
    }

    #[test]
    fn any_bytes_as_text(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        survives(&String::from_utf8_lossy(&bytes));
    }

    #[test]
    fn mutated_toml(text in mutated(example())) {
        survives(&text);
    }

    #[test]
    fn mutated_json(text in mutated(example_json())) {
        survives(&text);
    }

    #[test]
    fn mutated_plan(text in mutated(super::plan::example_plan())) {
        survives(&text);
    }

    /// Every field of the example with another number: read, or refused with that field named.
    #[test]
    fn other_numbers(place in 0..60_usize, number in prop_oneof![any::<f64>(), Just(0.0), -2.0..2.0_f64]) {
        let lines: Vec<String> = example().lines().map(str::to_owned).collect();
        let numeric: Vec<usize> = (0..lines.len())
            .filter(|&i| lines[i].split(" = ").nth(1).is_some_and(|v| v.starts_with(|c: char| c.is_ascii_digit() || c == '-')))
            .collect();
        let at = numeric[place % numeric.len()];
        let key = lines[at].split(" = ").next().expect("a key").to_owned();
        // A number may upset another one of its kind or deck.
        let part = if key == "top_m" { "deck[0].bottom_m" } else { "kind.cobble." }.to_owned();
        let mut changed = lines.clone();
        changed[at] = format!("{key} = {}", format!("{number:?}").replace("NaN", "nan"));
        if let Err(problems) = read_scenario("scene.toml", &changed.join("\n")) {
            prop_assert!(problems.iter().all(|p| !p.field.is_empty() && p.field != "file"), "{}", problems);
            prop_assert!(problems.iter().any(|p| p.line == at + 1 || p.field.starts_with(&part)), "{}", problems);
        }
    }
}
