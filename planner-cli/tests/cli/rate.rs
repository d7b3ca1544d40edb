//! `clamber rate`: from the invented pulls in `fixtures/pulls` to a rated kind and a plan.

use super::support::{Folder, json};
use serde_json::Value;

const PULLS: &str = include_str!("../../../fixtures/pulls/cobble.csv");
const RATED: &str = include_str!("../../../fixtures/pulls/cobble.toml");
const SCENE: &str = include_str!("../../../fixtures/pulls/pair.toml");
const WHOLE: &str = include_str!("../../../fixtures/pair.toml");

fn folder() -> Folder {
    let folder = Folder::with("cobble.csv", PULLS);
    folder.write("demo.toml", WHOLE);
    folder.write("pair.toml", SCENE);
    folder
}

fn number(kind: &Value, field: &str) -> f64 {
    kind[field].as_f64().unwrap_or_else(|| panic!("{field} in {kind}"))
}

/// The way of the README, one command after the other; the kind that comes of it is the one in the repository, byte for byte.
#[test]
fn from_pulls_to_a_plan() {
    let folder = folder();
    let rate = ["rate", "cobble.csv", "--from", "demo.toml", "-o", "cobble.toml", "--page", "cobble.html"];
    let run = folder.run(&rate);
    assert_eq!(run.code, 0, "{}{}", run.stdout, run.stderr);
    for words in
        ["cobble is rated: rolling", "written to cobble.toml and cobble.html", "dropped: pull", "assumed: "]
    {
        assert!(run.stdout.contains(words), "{words}: {}", run.stdout);
    }
    let written = folder.read("cobble.toml");
    let without_names =
        |text: &str| text.replace("fixtures/pulls/", "").replace("fixtures/pair.toml", "demo.toml");
    assert_eq!(written, without_names(RATED));
    let page = folder.read("cobble.html");
    assert_eq!(folder.run(&rate).code, 0, "a rated kind and a page are replaced by their like");
    assert_eq!(
        (folder.read("cobble.toml"), folder.read("cobble.html")),
        (written, page),
        "the same bytes each time"
    );

    for arguments in [&["plan", "pair.toml", "-o", "cobble.toml"][..], &["scene", "new", "-o", "cobble.toml"]]
    {
        let run = folder.run(arguments);
        assert!(run.code == 2 && run.stderr.contains("cobble.toml is a rated kind, and"), "{}", run.stderr);
    }
    let run = folder.run(&["inspect", "pair.toml"]);
    assert_eq!(run.code, 0, "{}{}", run.stdout, run.stderr);
    let run = folder.run(&["plan", "pair.toml", "-o", "plan.json"]);
    assert_eq!(run.code, 0, "{}{}", run.stdout, run.stderr);
    let kind = &json(&folder.read("plan.json"))["scenario"]["kind"]["cobble"];
    // The demo kind of the fixtures is that, rounded down.
    for (field, demo) in [
        ("magnet_force_n", 30.0),
        ("cup_vacuum_pa", 45_000.0),
        ("bond_friction", 0.6),
        ("peel_radius_m", 0.04),
    ] {
        assert!((demo..1.1 * demo).contains(&number(kind, field)), "{field}: {kind}");
    }
    assert_eq!(number(kind, "mass_kg"), 0.5);
}

#[test]
fn without_other_numbers_the_file_says_what_is_missing() {
    let folder = folder();
    let run = folder.run(&["rate", "cobble.csv", "-o", "cobble.toml"]);
    assert_eq!(run.code, 0, "{}{}", run.stdout, run.stderr);
    assert!(run.stdout.contains("leaves the other numbers of the kind to be filled in"), "{}", run.stdout);
    let text = folder.read("cobble.toml");
    for words in [
        "magnet_force_n = 30.2  # rated: limit 30.21 N of axial, rolling, wet shell",
        "# mass_kg = \n",
        "# cup_vacuum_pa is not rated:",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
    let run = folder.run(&["inspect", "pair.toml"]);
    assert_eq!(run.code, 2);
    assert!(run.stderr.contains("cobble.toml, line") && run.stderr.contains("mass_kg"), "{}", run.stderr);
    // Filled in, it is a kind.
    let filled: String = text
        .lines()
        .map(|line| match line.strip_prefix("# ").and_then(|line| line.strip_suffix(" = ")) {
            Some(field) => {
                let given =
                    WHOLE.lines().find(|line| line.starts_with(&format!("{field} = "))).expect("in the demo");
                format!("{given}\n")
            }
            None => format!("{line}\n"),
        })
        .collect();
    // These pulls would allow a larger radius than that of the foot, which was not known.
    assert!(text.contains("If foot_radius_m is less than that, lower peel_radius_m to it."), "{text}");
    let rated = filled.lines().find(|line| line.starts_with("peel_radius_m = ")).expect("it is rated");
    let filled = filled.replace(rated, "peel_radius_m = 0.04");
    folder.write("cobble.toml", &filled);
    let run = folder.run(&["inspect", "pair.toml"]);
    assert_eq!(run.code, 0, "{}", run.stderr);
    // What somebody has written is not replaced: it has changed by more than a comment, but it is still called rated.
    folder.write("cobble.toml", &filled.replacen("# Rated by clamber", "# Rated by hand", 1));
    let run = folder.run(&["rate", "cobble.csv", "-o", "cobble.toml"]);
    assert_eq!(run.code, 2);
    assert!(
        run.stderr.contains("cobble.toml is a file of kinds, and a rated kind would be written over it"),
        "{}",
        run.stderr
    );
}

#[test]
fn json_has_every_number_of_the_text() {
    let folder = folder();
    let run = folder.run(&["rate", "cobble.csv", "--from", "demo.toml", "--json"]);
    assert_eq!(run.code, 0, "{}", run.stderr);
    let answer = json(&run.stdout);
    assert_eq!(answer["format"], "clamber-rating/1");
    assert_eq!((&answer["kind"], &answer["complete"]), (&"cobble".into(), &true.into()));
    let series = answer["series"].as_array().expect("a list");
    assert_eq!(series.len(), 13);
    let pulls: usize =
        answer["pulls"].as_array().expect("a list").iter().map(|p| p.as_array().map_or(0, Vec::len)).sum();
    assert_eq!((pulls, answer["dropped"].as_array().map(Vec::len)), (129, Some(1)));
    assert!(series.iter().all(|series| series["limit_n"].as_f64().is_some_and(|limit| limit > 0.0)));
    let fields: Vec<&str> = answer["figures"]
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(|figure| figure["name"].as_str())
        .collect();
    assert_eq!(fields, ["magnet_force_n", "cup_vacuum_pa", "bond_friction", "peel_radius_m"]);
}

#[test]
fn options_change_what_is_rated() {
    let folder = folder();
    let magnet = |more: &[&str]| {
        let run = folder.run(&[&["rate", "cobble.csv", "--from", "demo.toml", "--json"], more].concat());
        assert_eq!(run.code, 0, "{more:?}: {}", run.stderr);
        json(&run.stdout)["figures"][0]["unrounded"].as_f64().expect("rated")
    };
    let usual = magnet(&[]);
    assert!(magnet(&["--surface", "dry shell"]) > usual, "the wet shell decides");
    assert!(magnet(&["--share", "99"]) < usual && magnet(&["--confidence", "90"]) > usual);
    assert!(magnet(&["--joint"]) < usual);
    assert!((magnet(&["--method", "log-normal"]) - usual).abs() > 1e-3);
    let run = folder.run(&["rate", "cobble.csv", "--method", "order"]);
    assert_eq!(run.code, 1, "ten modules are too few: {}", run.stdout);
    assert!(run.stdout.contains("cobble is not rated in full; not rated: magnet_force_n"), "{}", run.stdout);
    let run =
        folder.run(&["rate", "cobble.csv", "--merge", "dry shell,wet shell", "--compare", "batch", "--json"]);
    assert_eq!(run.code, 0, "{}", run.stderr);
    let merged = json(&run.stdout);
    assert_eq!(
        (&merged["series"][0]["surface"], &merged["series"][0]["pulls"]),
        (&"dry shell + wet shell".into(), &20.into())
    );
    let compared = merged["comparisons"].as_array().expect("a list");
    assert_eq!(compared.iter().filter(|comparison| comparison["of"] == "batch").count(), 13);
    for (wrong, words) in [
        (
            &["--surface", "ice"][..],
            "no pull is on a surface \"ice\"; the surfaces of the pulls are dry shell, wet shell",
        ),
        (&["--merge", "dry shell"], "may be merged once, with others"),
        (&["--compare", "colour"], "no pull has a column \"colour\"; the free columns are batch"),
        (&["--kind", "pebble"], "has no pulls of a kind \"pebble\"; its kinds are cobble"),
        (&["--share", "0.95"], "more than 50 and less than 100 is allowed"),
        (&["--from", "cobble.csv"], "cobble.csv is a file of pull tests (CSV), not a file with kinds"),
        (&["--from", "nowhere.toml"], "there is no such file"),
        (
            &["-o", "cobble.csv"],
            "cobble.csv is a file of pull tests (CSV), and a rated kind would be written over it",
        ),
        (&["-o", "kind.json"], "give a name that ends in .toml"),
    ] {
        let run = folder.run(&[&["rate", "cobble.csv"], wrong].concat());
        assert_eq!(run.code, 2, "{wrong:?}: {}", run.stdout);
        assert!(run.stderr.contains(words), "{words}: {}", run.stderr);
    }
}

/// A kind in another file under another name is told apart.
#[test]
fn the_kind_has_one_name() {
    let folder = folder();
    folder.write("demo.toml", &WHOLE.replace("cobble", "pebble"));
    let run = folder.run(&["rate", "cobble.csv", "--from", "demo.toml"]);
    assert_eq!(run.code, 2);
    assert!(run.stderr.contains("demo.toml has no kind \"cobble\""), "{}", run.stderr);
    folder.write("demo.toml", "format = \"clamber-kinds/1\"\n[kind.cobble]\nmass_kg = -1\n");
    let run = folder.run(&["rate", "cobble.csv", "--from", "demo.toml"]);
    assert!(run.stderr.contains("demo.toml, line 3, kind.cobble.mass_kg"), "{}", run.stderr);
}

#[test]
fn too_few_tests_are_no_error_but_the_answer_is_no() {
    let folder = folder();
    let few: String = PULLS.lines().take(7).map(|line| format!("{line}\n")).collect();
    folder.write("few.csv", &few);
    let run = folder.run(&["rate", "few.csv", "--from", "demo.toml", "-o", "few.toml", "--page", "few.html"]);
    assert_eq!(run.code, 1, "{}", run.stderr);
    for words in
        ["2 more modules are needed to rate it", "the lowest of 3 modules", "not rated: magnet_force_n"]
    {
        assert!(run.stdout.contains(words), "{words}: {}", run.stdout);
    }
    assert!(
        folder
            .read("few.toml")
            .contains("magnet_force_n = 30.0  # NOT RATED: axial, rolling, dry shell is too small")
    );
    assert!(folder.read("few.html").contains("not rated"));
}
