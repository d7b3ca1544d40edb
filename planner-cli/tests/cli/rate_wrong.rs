//! Files of pull tests that are wrong: every message names the line, the column, what was found, what is allowed and what to do.

use super::support::{Folder, json};
use serde_json::Value;

/// Lines 1 to 3 are comments and the header; the pulls begin in line 4.
const SOUND: &str = "\
# clamber-pulls/1
# rig_limit_n = 120
pull,date,module,kind,hold,surface,angle_deg,offset_m,temperature_c,vacuum_pa,force_n,result,dropped
1,2026-03-09,m1,cobble,rolling,dry shell,0,0,21.0,,31.5,came_off,
2,2026-03-09,m2,cobble,rolling,dry shell,0,0,21.5,,30.9,came_off,
3,2026-03-09,m3,cobble,braced,dry shell,0,0,20.5,47000,88.1,came_off,
4,2026-03-10,m4,cobble,rolling,dry shell,60,0,20.0,,17.2,slipped,
5,2026-03-10,m5,cobble,rolling,dry shell,0,0.04,20.0,,15.2,tipped,
";

fn problems(text: &str) -> Vec<Value> {
    let folder = Folder::with("pulls.csv", text);
    let run = folder.run(&["rate", "pulls.csv", "--json"]);
    assert_eq!(run.code, 2, "{}{}", run.stdout, run.stderr);
    json(&run.stdout)["problems"].as_array().expect("a list").clone()
}

#[test]
fn the_sound_file_is_sound() {
    let folder = Folder::with("pulls.csv", SOUND);
    let run = folder.run(&["rate", "pulls.csv"]);
    assert_eq!((run.code, run.stderr.as_str()), (1, ""), "too few, but no mistake");
    // As a spreadsheet may save it: a mark of the byte order, line ends of two characters, commas after comments.
    let saved = format!(
        "\u{feff}{}",
        SOUND.replace("# clamber-pulls/1", "# clamber-pulls/1,,,").replace('\n', "\r\n")
    );
    folder.write("saved.csv", &saved);
    let run = folder.run(&["rate", "saved.csv"]);
    assert_eq!((run.code, run.stderr.as_str()), (1, ""), "{}", run.stdout);
}

/// A change to the sound file, the line and column of the one mistake, and words of what was found, allowed and to do.
type Case = (&'static str, &'static str, u64, &'static str, [&'static str; 3]);

const CASES: [Case; 35] = [
    (
        "# clamber-pulls/1\n",
        "",
        1,
        "file",
        ["\"# rig_limit_n = 120\" was found", "\"# clamber-pulls/1\" is allowed", "at the top"],
    ),
    (
        "pulls/1",
        "pulls/2",
        1,
        "file",
        ["clamber-pulls/2", "clamber-pulls/1", "this version reads only that format"],
    ),
    (
        "rig_limit_n = 120",
        "rig_limit_n = 120 N",
        2,
        "rig_limit_n",
        ["\"120 N\"", "a number", "without a unit"],
    ),
    (
        "rig_limit_n = 120",
        "rig_limit = 120",
        2,
        "rig_limit_n",
        ["\"rig_limit\"", "\"rig_limit_n\"", "in newtons"],
    ),
    ("rig_limit_n = 120", "rig_limit_n = -5", 2, "rig_limit_n", ["-5", "a number from", "newtons"]),
    (
        "rig_limit_n = 120",
        "rig_limit_n = 120\n# rig_limit_n = 80",
        3,
        "rig_limit_n",
        ["twice", "one line", "two files"],
    ),
    (
        ",force_n",
        ",force",
        3,
        "force_n",
        ["no such column", "columns module, kind", "is it the column \"force\""],
    ),
    (",surface", ",floor", 3, "surface", ["no such column", "surface", "add this column"]),
    (
        ",temperature_c",
        ",temperature_k",
        3,
        "temperature_k",
        ["nearly", "temperature_c", "did you mean `temperature_c`"],
    ),
    (",temperature_c", ",offset_m", 3, "offset_m", ["twice", "once", "rename"]),
    ("date,", ",", 3, "file", ["column 2 has no name", "in every cell", "name the column"]),
    ("31.5,came_off", "\"31,5\",came_off", 4, "force_n", ["\"31,5\"", "a number", "a point"]),
    ("31.5,came_off", "31,5,came_off", 4, "file", ["14 cells", "13 cells", "between double quotes"]),
    (",31.5,came_off,", ",31.5,came_off", 4, "file", ["12 cells", "13 cells", "a comma for every cell"]),
    ("31.5,came_off", "31.5 N,came_off", 4, "force_n", ["\"31.5 N\"", "a number", "its unit is in the name"]),
    (
        "m1,cobble,rolling,dry",
        "m1,cobble,rolling,\"dry",
        4,
        "file",
        ["6 cells", "13 cells", "close the double quotes"],
    ),
    ("31.5,came_off", ",came_off", 4, "force_n", ["nothing", "a number", "leave the row out"]),
    ("31.5,came_off", "-31.5,came_off", 4, "force_n", ["\"-31.5\"", "from 0 to", "newtons"]),
    ("31.5,came_off", "NaN,came_off", 4, "force_n", ["\"NaN\"", "a number from", "newtons"]),
    ("31.5,came_off", "broke,came_off", 4, "force_n", ["\"broke\"", "a number", "write a number"]),
    ("31.5,came_off", "31.5,fell", 4, "result", ["\"fell\"", "\"came_off\"", "held if the rig stopped"]),
    (
        "31.5,came_off",
        "120,came_off",
        4,
        "result",
        ["\"came_off\" was found at 120 N", "is \"held\"", "write held"],
    ),
    (
        "31.5,came_off",
        "125,held",
        4,
        "force_n",
        ["125 N", "up to rig_limit_n, which is 120", "mend rig_limit_n"],
    ),
    (
        "m1,cobble,rolling",
        "m1,cobble,vacuum",
        4,
        "hold",
        ["\"vacuum\"", "\"rolling\" or \"braced\"", "evacuated cup"],
    ),
    (
        "m1,cobble,rolling",
        ",cobble,rolling",
        4,
        "module",
        ["nothing", "1 to 200 characters", "name the module"],
    ),
    ("slipped", "slipped,extra", 7, "file", ["14 cells", "13 cells", "comma"]),
    ("60,0,20.0", "1.047,0,20.0", 7, "angle_deg", ["\"1.047\"", "0, or a number from 5 to 90", "degrees"]),
    (
        "60,0,20.0",
        "60,0.02,20.0",
        7,
        "offset_m",
        ["0.02 m was found beside an angle of 60°", "one of", "pull along"],
    ),
    ("0,0.04,20.0", "0,40,20.0", 8, "offset_m", ["\"40\"", "from 0 to 1 m", "20 mm are 0.02"]),
    ("0,0.04,20.0", "0,0.04,293", 8, "temperature_c", ["\"293\"", "from -60 to 150", "Celsius"]),
    ("20.5,47000", "20.5,47", 6, "vacuum_pa", ["\"47\"", "from 1000 to 110000", "47 kPa are 47000"]),
    (
        "21.0,,31.5",
        "21.0,47000,31.5",
        4,
        "vacuum_pa",
        ["47000 Pa was found in a rolling pull", "0 or nothing", "write braced"],
    ),
    (
        "2,2026-03-09",
        "1,2026-03-09",
        5,
        "pull",
        ["\"1\" was found, which is in line 4 too", "no other pull", "number the pulls"],
    ),
    ("1,2026-03-09", "1,9.3.2026", 4, "date", ["\"9.3.2026\"", "2026-03-14", "year, month and day"]),
    (
        "31.5,came_off,",
        "31.5,came_off,outlier",
        4,
        "dropped",
        ["\"outlier\"", "a cause in words", "a low force is no cause"],
    ),
];

#[test]
fn files_that_are_wrong_in_one_way() {
    for (old, new, line, field, words) in CASES {
        assert!(SOUND.contains(old), "{old}");
        let problems = problems(&SOUND.replacen(old, new, 1));
        assert_eq!(problems.len(), 1, "{old} -> {new}: {problems:?}");
        let problem = &problems[0];
        assert_eq!((&problem["line"], &problem["field"]), (&line.into(), &field.into()), "{new}: {problem}");
        for (key, words) in ["found", "allowed", "to_do"].into_iter().zip(words) {
            let told = problem[key].as_str().expect("a text");
            assert!(told.contains(words), "{new}: {key}: {words:?} is not in {told:?}");
        }
    }
}

/// What is wrong with a file as a whole.
#[test]
fn files_that_are_no_pull_tests() {
    let no_row: String = SOUND.lines().take(3).map(|line| format!("{line}\n")).collect();
    let semicolons = SOUND.replace(',', ";");
    let held = SOUND.replace("# rig_limit_n = 120\n", "").replace("31.5,came_off", "100,held");
    for (text, found) in [
        ("# clamber-pulls/1\n", "there is no header and no row"),
        (no_row.as_str(), "there is no row"),
        (semicolons.as_str(), "semicolons"),
        (held.as_str(), "the file does not say at which force the rig stops"),
    ] {
        let problems = problems(text);
        assert_eq!(problems.len(), 1, "{problems:?}");
        assert!(
            problems[0]["found"].as_str().is_some_and(|told| told.contains(found)),
            "{found}: {problems:?}"
        );
    }
    assert_eq!(problems("").len(), 2, "no format and no row");
    assert!(
        problems(&super::scenes::drive(&["m1"]))[0]["message"]
            .as_str()
            .is_some_and(|told| told.contains("is a scene, not a file of pull tests"))
    );
    let folder = Folder::new();
    std::fs::write(folder.path("pulls.csv"), b"# clamber-pulls/1\n\xff\xfe\n")
        .expect("the folder can be written");
    let run = folder.run(&["rate", "pulls.csv"]);
    assert!(run.code == 2 && run.stderr.contains("save it as UTF-8"), "{}", run.stderr);
    let several = SOUND.replacen("m5,cobble", "m5,pebble", 1);
    folder.write("pulls.csv", &several);
    let run = folder.run(&["rate", "pulls.csv"]);
    assert!(run.code == 2 && run.stderr.contains("name one of cobble, pebble with --kind"), "{}", run.stderr);
    assert_eq!(folder.run(&["rate", "pulls.csv", "--kind", "pebble"]).code, 1);
}

#[test]
fn all_mistakes_are_told_at_once() {
    let wrong = SOUND
        .replacen("31.5,came_off", "\"31,5\",fell", 1)
        .replacen("m2,cobble,rolling", "m2,cobble,sucking", 1)
        .replacen("60,0,20.0", "60,0.02,293", 1)
        .replacen("rig_limit_n = 120", "rig_limit_n = lots", 1);
    let problems = problems(&wrong);
    let places: Vec<(u64, &str)> = problems
        .iter()
        .map(|problem| {
            (problem["line"].as_u64().expect("a line"), problem["field"].as_str().expect("a field"))
        })
        .collect();
    assert_eq!(
        places,
        [
            (2, "rig_limit_n"),
            (4, "force_n"),
            (4, "result"),
            (5, "hold"),
            (7, "offset_m"),
            (7, "temperature_c")
        ]
    );
    let folder = Folder::with("pulls.csv", &wrong);
    let run = folder.run(&["rate", "pulls.csv"]);
    for words in [
        "pulls.csv, line 4, force_n: \"31,5\" was found.\n    1,2026-03-09,m1,",
        "A number is allowed. Write a point between units and decimals",
        "6 problems in pulls.csv; nothing was done with it",
    ] {
        assert!(run.stderr.contains(words), "{words}: {}", run.stderr);
    }
}

/// The column of a mistake is that of its cell, also behind cells between quotes.
#[test]
fn the_cell_is_found() {
    let wrong = SOUND.replacen("dry shell,0,0,21.0,,31.5", "\"dry, \"\"clean\"\" shell\",0,0,21.0,,x", 1);
    let problems = problems(&wrong);
    let line = wrong.lines().nth(3).expect("a row");
    let column = 1 + line.find(",x,").expect("the cell") as u64 + 1;
    assert_eq!((&problems[0]["line"], &problems[0]["column"]), (&4.into(), &column.into()), "{problems:?}");
}
