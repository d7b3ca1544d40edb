//! `clamber bench SUITE`: every run has its row, however it ends.

use super::races::{ASTAR, PLANNERS, Suite, rows, table, words};
use super::scenes;
use super::support::json;
use std::collections::BTreeSet;

#[test]
fn every_run_has_a_row_and_is_made_once() {
    let folder = Suite::new(&[("short", scenes::drive(&["m1"])), ("long", scenes::drive(&["m1", "m2"]))])
        .with("seeds = [1, 2]", "seeds = [1, 2, 3]")
        .folder();
    let run =
        folder.run(&["bench", "suite.toml", "-o", "r.jsonl", "--jobs", "2", "--plans", "plans", "--json"]);
    assert_eq!(run.code, 0, "{}", run.stderr);
    let first = folder.read("r.jsonl");
    assert_eq!(run.stdout, first, "--json prints the rows as they are");
    let all = rows(&first);
    assert_eq!(all.len() % 6, 0);
    for row in &all {
        assert_eq!((row["status"].as_str(), row["checked"].as_bool()), (Some("solved"), Some(true)), "{row}");
        let work = &row["work"];
        assert!(work["time_s"].as_f64() >= work["search_s"].as_f64(), "{row}");
        assert!(
            work["check_s"].as_f64() > Some(0.0) && row["wall_s"].as_f64() > work["time_s"].as_f64(),
            "{row}"
        );
        let plan = &row["plan"];
        assert!(plan["makespan_s"].as_f64() >= plan["lower_bound_s"].as_f64(), "{row}");
    }
    let plans = folder.names("plans");
    assert_eq!(plans.len(), all.len());
    for plan in &plans {
        assert_eq!(folder.run(&["check", &format!("plans/{plan}")]).code, 0, "{plan}");
    }

    let again = folder.run(&["bench", "suite.toml", "-o", "r.jsonl"]);
    assert_eq!(again.code, 0, "{}", again.stderr);
    assert!(
        again.stderr.contains(&format!("0 runs to make, {} are there already", all.len())),
        "{}",
        again.stderr
    );
    assert_eq!(folder.read("r.jsonl"), first);
}

#[test]
fn the_same_suite_gives_the_same_table_but_for_times() {
    let folder = Suite::new(&[("short", scenes::drive(&["m1"])), ("impossible", scenes::impossible())])
        .with("repeats = 1", "repeats = 2")
        .folder();
    let made = ["1", "2"].map(|jobs| {
        let output = format!("r{jobs}.jsonl");
        assert_eq!(folder.run(&["bench", "suite.toml", "-o", &output, "--jobs", jobs]).code, 0);
        table(&folder, &[&output])
    });
    assert_eq!(made[0], made[1]);
    assert!(made[0].contains("proved impossible") && made[0].contains("true"), "{}", made[0]);
    let run = folder.run(&["bench", "merge", "r1.jsonl", "r2.jsonl", "-o", "all.jsonl"]);
    assert_eq!(run.code, 0, "two races of one build agree: {}", run.stderr);
    assert_eq!(rows(&folder.read("all.jsonl")).len(), rows(&folder.read("r1.jsonl")).len());
}

#[test]
fn where_no_planner_is_named_all_of_them_race() {
    let folder = Suite::new(&[("short", scenes::drive(&["m1"]))]).with(PLANNERS, "").folder();
    assert_eq!(folder.run(&["bench", "suite.toml", "-o", "r.jsonl"]).code, 0);
    let rows = rows(&folder.read("r.jsonl"));
    let named = folder.run(&["plan", "short.toml", "--planner", "none"]).stderr;
    let planners: BTreeSet<&str> = rows.iter().filter_map(|row| row["planner"].as_str()).collect();
    assert_eq!(rows.len(), 2 * planners.len());
    let list = named.lines().find_map(|line| line.trim().strip_prefix("[possible values: ")).expect("a list");
    assert_eq!(planners, list.trim_end_matches(']').split(", ").collect());
}

#[test]
fn shards_together_are_the_whole() {
    let folder =
        Suite::new(&[("short", scenes::drive(&["m1"])), ("long", scenes::drive(&["m1", "m2"]))]).folder();
    assert_eq!(folder.run(&["bench", "suite.toml", "-o", "whole.jsonl"]).code, 0);
    let mut count = 0;
    for shard in ["1/3", "2/3", "3/3"] {
        let output = format!("part{}.jsonl", &shard[..1]);
        assert_eq!(folder.run(&["bench", "suite.toml", "-o", &output, "--shard", shard]).code, 0);
        count += rows(&folder.read(&output)).len();
    }
    assert_eq!(count, rows(&folder.read("whole.jsonl")).len(), "no run is in two shards");
    let parts = ["part3.jsonl", "part1.jsonl", "part2.jsonl"];
    assert_eq!(table(&folder, &parts), table(&folder, &["whole.jsonl"]));
    for (output, order) in [("a.jsonl", [0, 1, 2]), ("b.jsonl", [2, 0, 1])] {
        let parts = order.map(|i| parts[i]);
        let run = folder.run(&["bench", "merge", parts[0], parts[1], parts[2], "-o", output]);
        assert_eq!(run.code, 0, "{}", run.stderr);
    }
    assert_eq!(folder.read("a.jsonl"), folder.read("b.jsonl"), "the order of the files does not matter");
}

#[test]
fn a_scene_that_no_planner_takes_is_a_row_too() {
    let folder = Suite::new(&[("unsound", scenes::unsound()), ("tower", scenes::tower())])
        .with("time_s = 20", "time_s = 0.3")
        .with(PLANNERS, ASTAR)
        .folder();
    let run = folder.run(&["bench", "suite.toml", "-o", "r.jsonl"]);
    assert_eq!(run.code, 0, "{}", run.stderr);
    for row in rows(&folder.read("r.jsonl")) {
        let expected = if row["scene"] == "unsound" { "refused" } else { "time_out" };
        assert_eq!(row["status"], expected, "{row}");
        assert!(row.get("plan").is_none() && row.get("checked").is_none(), "{row}");
    }
}

#[test]
#[cfg(target_os = "linux")]
fn memory_has_a_limit() {
    let folder = Suite::new(&[("tower", scenes::tower())])
        .with("seeds = [1, 2]", "seeds = [1]")
        .with("[limits]", "[limits]\nmemory_mib = 32")
        .with(PLANNERS, ASTAR)
        .with("time_s = 20", "time_s = 60")
        .folder();
    let run = folder.run(&["bench", "suite.toml", "-o", "r.jsonl"]);
    assert_eq!(run.code, 0, "{}", run.stderr);
    for row in rows(&folder.read("r.jsonl")) {
        assert_eq!(row["status"], "out_of_memory", "{row}");
        assert!(row["wall_s"].as_f64() < Some(60.0), "{row}");
    }
}

#[test]
fn a_torn_last_line_is_made_again_and_any_other_fault_is_named() {
    let folder = Suite::new(&[("short", scenes::drive(&["m1"]))]).folder();
    assert_eq!(folder.run(&["bench", "suite.toml", "-o", "r.jsonl"]).code, 0);
    let whole = folder.read("r.jsonl");
    let expected = table(&folder, &["r.jsonl"]);
    for cut in [1, 2, 100] {
        folder.write("r.jsonl", &whole[..whole.len() - cut]);
        let report = folder.run(&["bench", "report", "r.jsonl"]);
        assert!(report.stderr.contains("the last line is not finished"), "{}", report.stderr);
        let run = folder.run(&["bench", "suite.toml", "-o", "r.jsonl"]);
        assert_eq!(run.code, 0, "{}", run.stderr);
        assert!(run.stderr.contains("cut off") && run.stderr.contains("1 run to make"), "{}", run.stderr);
        assert_eq!(table(&folder, &["r.jsonl"]), expected);
    }
    let mut lines: Vec<&str> = whole.lines().collect();
    lines[1] = "{\"format\": \"clamber-result/1\"}";
    let broken = lines.join("\n") + "\n";
    folder.write("r.jsonl", &broken);
    for arguments in [&["bench", "suite.toml", "-o", "r.jsonl"][..], &["bench", "report", "r.jsonl"]] {
        let run = folder.run(arguments);
        assert_eq!(run.code, 2);
        assert!(run.stderr.contains("r.jsonl, line 2: missing field `planner`"), "{}", run.stderr);
        assert_eq!(folder.read("r.jsonl"), broken, "nothing was touched");
    }
}

#[test]
fn rows_of_another_build_do_not_count_unless_asked() {
    let folder = Suite::new(&[("short", scenes::drive(&["m1"]))]).folder();
    assert_eq!(folder.run(&["bench", "suite.toml", "-o", "r.jsonl"]).code, 0);
    let build = rows(&folder.read("r.jsonl"))[0]["build"].as_str().map(str::to_owned).expect("a build");
    let other = folder.read("r.jsonl").replace(&build, "0123456789abcdef");
    folder.write("r.jsonl", &other);
    let run = folder.run(&["bench", "suite.toml", "-o", "r.jsonl"]);
    assert_eq!(run.code, 2);
    assert!(run.stderr.contains("another build") && run.stderr.contains("--any-build"), "{}", run.stderr);
    assert_eq!(folder.run(&["bench", "suite.toml", "-o", "r.jsonl", "--any-build"]).code, 0);
    assert_eq!(folder.read("r.jsonl"), other);
    assert_eq!(folder.run(&["bench", "suite.toml", "-o", "new.jsonl"]).code, 0);
    let report = folder.run(&["bench", "report", "r.jsonl", "new.jsonl", "--json"]);
    let figures = json(&report.stdout);
    let names: Vec<&str> =
        figures["planners"].as_array().expect("a list").iter().filter_map(|p| p["name"].as_str()).collect();
    assert!(names.iter().any(|name| name.contains("astar [") && name.contains("01234567]")), "{names:?}");
}

#[test]
fn a_suite_with_mistakes_is_refused_with_all_of_them() {
    let folder = Suite::new(&[("short", scenes::drive(&["m1"]))])
        .with("seeds = [1, 2]", "seeds = [1, 1]")
        .with("time_s = 20", "time_s = 0\nthreads = 0")
        .with("scenes = [", "scenes = [\"none*.toml\", ")
        .with(PLANNERS, "planner = [{ name = \"best\" }, { name = \"astar\", options = { gred = 1 } }]")
        .folder();
    let run = folder.run(&["bench", "suite.toml", "-o", "r.jsonl"]);
    assert_eq!(run.code, 2);
    for what in words(
        "scenes[0]:|seeds[1]:|limits.time_s:|limits.threads:|planner[0].name:|planner[1].options:|--gred|suite.toml, line 3,|6 problems",
    ) {
        assert!(run.stderr.contains(what), "{what} in {}", run.stderr);
    }
    assert!(!folder.path("r.jsonl").exists());
    for (text, what) in [
        ("format = \"clamber-suite/1\"\n", "missing field `name`"),
        ("colour = 1\n", "unknown field `colour`"),
        ("seeds = [\n", "suite.toml, line 1"),
    ] {
        folder.write("suite.toml", text);
        let run = folder.run(&["bench", "suite.toml", "-o", "r.jsonl"]);
        assert_eq!(run.code, 2);
        assert!(run.stderr.contains(what), "{}", run.stderr);
    }
}

#[test]
fn a_results_file_has_one_writer() {
    let folder = Suite::new(&[("tower", scenes::tower())])
        .with("time_s = 20", "time_s = 600")
        .with(PLANNERS, ASTAR)
        .folder();
    let mut first =
        folder.command(&["bench", "suite.toml", "-o", "r.jsonl"]).spawn().expect("the binary runs");
    let begin = std::time::Instant::now();
    while !folder.path("r.jsonl").exists() && begin.elapsed().as_secs() < 30 {
        std::thread::sleep(std::time::Duration::from_millis(10));
    }
    std::thread::sleep(std::time::Duration::from_millis(300));
    let run = folder.run(&["bench", "suite.toml", "-o", "r.jsonl"]);
    first.kill().expect("it runs");
    first.wait().expect("it ends");
    assert_eq!(run.code, 2);
    assert!(run.stderr.contains("is being written by another clamber"), "{}", run.stderr);
}
