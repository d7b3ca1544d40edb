//! `clamber show`: which file it makes, what is in it, and what it refuses. How pages run and whether models are valid is tested in a browser
//! and by the validator, in `tests/pages`.

use super::support::{Folder, json};
use serde_json::Value;

/// The JSON in a page.
fn sheet(page: &str) -> Value {
    let (_, rest) = page.split_once(r#"<script type="application/json" id="sheet">"#).expect("there is data");
    json(rest.split_once("</script>").expect("it ends").0)
}

#[test]
fn a_plan_becomes_one_page_that_loads_nothing() {
    let folder = Folder::with_plan(&["m1", "m2"]);
    let run = folder.run(&["show", "plan.json", "-o", "plan.html"]);
    assert_eq!(run.code, 0, "{}", run.stderr);
    assert_eq!(run.stdout, "plan.json: sound, page written to plan.html\n");
    assert!(run.stderr.contains("Caution"));
    let page = folder.read("plan.html");
    assert!(page.starts_with("<!doctype html>"));
    assert!(page.contains("default-src 'none'"), "the page forbids itself the network");
    assert!(!page.contains("@@"), "every mark is filled in");
    assert!(page.contains("Copyright © 2010-2026 three.js authors"), "the licence comes with the code");
    let (plan, sheet) = (json(&folder.read("plan.json")), sheet(&page));
    assert_eq!(sheet["steps"].as_array().map(Vec::len), plan["steps"].as_array().map(Vec::len));
    assert_eq!(sheet["verdict"]["sound"], true);
    assert_eq!(sheet["modules"][0]["name"], "m1");
    let caution = "no risk assessment";
    assert!(page.contains(caution));
}

/// A module drives past a stone and nearer to it than to anything else.
#[test]
fn a_page_names_stones() {
    let folder = Folder::with_plan(&["m1", "m2"]);
    let scene = folder.read("culvert.toml")
        + "\n[[stone]]\nname = \"boulder\"\nat_m = [-1.4, 0.215, 0.06]\nradius_m = 0.1\nfriction = 0.6\n";
    std::fs::write(folder.path("stony.toml"), scene).expect("it can be written");
    assert_eq!(folder.run(&["plan", "stony.toml", "-o", "stony.json"]).code, 0);
    assert_eq!(folder.run(&["show", "stony.json", "-o", "stony.html"]).code, 0);
    assert!(folder.read("stony.html").contains("to boulder"), "a stone is the nearest body somewhere");
}

#[test]
fn a_scene_becomes_a_page_without_steps() {
    let folder = Folder::with_plan(&["m1", "m2"]);
    let run = folder.run(&["show", "culvert.toml", "-o", "scene.html"]);
    assert_eq!(run.code, 0, "{}", run.stderr);
    let sheet = sheet(&folder.read("scene.html"));
    assert_eq!(sheet["is_plan"], false);
    assert_eq!(sheet["steps"], Value::Array(Vec::new()));
    // Each of the two stands by itself.
    assert_eq!(sheet["spans"].as_array().map(Vec::len), Some(2));
}

#[test]
fn the_same_plan_gives_the_same_bytes() {
    let folder = Folder::with_plan(&["m1", "m2"]);
    for name in ["a.html", "b.html", "a.glb", "b.glb"] {
        assert_eq!(folder.run(&["show", "plan.json", "-o", name]).code, 0);
    }
    let bytes = |name: &str| std::fs::read(folder.path(name)).expect("it was written");
    assert_eq!(bytes("a.html"), bytes("b.html"));
    assert_eq!(bytes("a.glb"), bytes("b.glb"));
}

#[test]
fn models_begin_as_the_standard_says() {
    let folder = Folder::with_plan(&["m1", "m2"]);
    assert_eq!(folder.run(&["show", "plan.json", "-o", "plan.glb"]).code, 0);
    let bytes = std::fs::read(folder.path("plan.glb")).expect("it was written");
    // glTF 2.0, section 4.4: magic, version, length of the whole file, little endian.
    assert_eq!(bytes[..8], *b"glTF\x02\0\0\0");
    assert_eq!(u32::from_le_bytes(bytes[8..12].try_into().expect("four bytes")) as usize, bytes.len());
    let run = folder.run(&["show", "plan.json", "-o", "plan.gltf"]);
    assert_eq!(run.stdout, "plan.json: sound, model written to plan.gltf\n");
    let model = json(&folder.read("plan.gltf"));
    assert_eq!(model["asset"]["version"], "2.0");
    assert_eq!(model["animations"][0]["name"], "plan");
    assert!(model["asset"]["extras"]["cautions"].as_array().is_some_and(|list| list.len() >= 6));
}

#[test]
fn a_plan_that_is_not_sound_is_shown_with_its_findings_and_exit_code_1() {
    let folder = Folder::with_plan(&["m1", "m2"]);
    folder.edit("plan.json", |plan| plan["steps"][0]["utilisation"] = 0.9.into());
    let run = folder.run(&["show", "plan.json", "-o", "plan.html"]);
    assert_eq!(run.code, 1);
    assert!(run.stderr.contains("claims utilisation"), "{}", run.stderr);
    let page = folder.read("plan.html");
    assert_eq!(sheet(&page)["verdict"]["sound"], false);
    assert!(page.contains("What the check found") && page.contains("claims utilisation"));
}

#[test]
fn programs_get_one_line_of_json() {
    let folder = Folder::with_plan(&["m1", "m2"]);
    let run = folder.run(&["show", "plan.json", "-o", "plan.html", "--json"]);
    assert_eq!((run.code, run.stderr.as_str()), (0, ""));
    let said = json(&run.stdout);
    assert_eq!(said["format"], "clamber-show/1");
    assert_eq!(said["sound"], true);
    assert_eq!(said["written_to"], "plan.html");
    folder.edit("plan.json", |plan| plan["steps"][0]["utilisation"] = 0.9.into());
    let run = folder.run(&["show", "plan.json", "-o", "plan.html", "--json"]);
    assert_eq!(run.code, 1);
    assert_eq!(json(&run.stdout)["findings"][0]["rule"], "figure");
}

#[test]
fn a_name_that_says_nothing_is_refused_and_nothing_is_written() {
    let folder = Folder::with_plan(&["m1", "m2"]);
    for name in ["plan", "plan.png", "plan.json"] {
        let before = folder.names(".");
        let run = folder.run(&["show", "plan.json", "-o", name]);
        assert_eq!(run.code, 2, "{name}");
        assert!(
            run.stderr.contains("end the name in .html for a page, .glb or .gltf for a model"),
            "{}",
            run.stderr
        );
        assert_eq!(folder.names("."), before);
    }
}

const OLDER: &str = "<!doctype html>\n<p>older</p>\n";

#[test]
fn what_cannot_be_read_leaves_an_older_page_whole() {
    let folder = Folder::with_plan(&["m1", "m2"]);
    folder.write("old.html", OLDER);
    folder.write("broken.json", r#"{ "format": "clamber-plan/2" }"#);
    let run = folder.run(&["show", "broken.json", "-o", "old.html"]);
    assert_eq!(run.code, 2);
    assert!(run.stderr.contains("scenario"), "{}", run.stderr);
    folder.edit("plan.json", |plan| plan["steps"][0]["start_s"] = (-1.0).into());
    let run = folder.run(&["show", "plan.json", "-o", "old.html"]);
    assert_eq!(run.code, 1);
    assert!(run.stderr.contains("step 0 starts at -1 s"), "{}", run.stderr);
    assert_eq!(folder.read("old.html"), OLDER);
}
