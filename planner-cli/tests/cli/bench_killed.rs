//! Races and their runs that are killed, stopped and shot down.
#![cfg(target_os = "linux")]

use super::races::{ASTAR, PLANNERS, Suite, rows, table};
use super::scenes;
use super::support::Folder;
use std::collections::BTreeSet;
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

/// Once so many of 160 runs are finished, the race is killed no more.
const MOST_BEFORE_KILLS_END: usize = 120;

/// Up to twenty times killed at moments all over a race: every row that was there stays, nothing is made twice, and the table in the end is
/// that of a race nobody disturbed.
#[test]
fn killed_at_any_moment_no_finished_run_is_lost() {
    let suite = || {
        Suite::new(&[("short", scenes::drive(&["m1"])), ("long", scenes::drive(&["m1", "m2"]))])
            .with("seeds = [1, 2]", "seeds = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10]")
            .with("repeats = 1", "repeats = 4")
            .folder()
    };
    let folder = suite();
    let arguments = ["bench", "suite.toml", "-o", "r.jsonl", "--jobs", "2"];
    folder.write("r.jsonl", "");
    let mut finished = String::new();
    // A linear congruential generator: moments that look random and are the same every time.
    let mut moment = 12345_u64;
    let mut torn_or_cut = 0;
    for attempt in 0..20 {
        moment = moment.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let race = Race::start(&folder, &arguments);
        // On a busy machine a start takes a while: every other kill waits for a new row first.
        if attempt % 2 == 1 {
            let known = finished.matches('\n').count();
            let grown = || (folder.read("r.jsonl").matches('\n').count() > known).then_some(());
            wait_for(grown).expect("runs are made");
        }
        sleep(Duration::from_micros(1_000 + (moment >> 33) % 100_000));
        drop(race);
        let now = folder.read("r.jsonl");
        assert!(now.starts_with(&finished), "a finished row was lost or changed");
        finished = now[..now.rfind('\n').map_or(0, |at| at + 1)].to_owned();
        // On a fast machine few kills are enough; some runs have to be left for after them.
        if rows(&finished).len() >= MOST_BEFORE_KILLS_END {
            break;
        }
        torn_or_cut += usize::from(finished.len() < now.len());
        // What a kill in the middle of a write would leave.
        if moment >> 63 == 1 {
            folder.write("r.jsonl", &(finished.clone() + "{\"format\":\"clamber-res"));
            torn_or_cut += 1;
        }
    }
    let killed = rows(&finished).len();
    println!("{killed} runs were finished when the race was killed for the last time");
    assert!(torn_or_cut > 3 && killed >= 10, "{torn_or_cut} torn lines, {killed} rows");
    assert!(killed < 160, "the kills came too late");
    let run = folder.run(&arguments);
    assert_eq!(run.code, 0, "{}", run.stderr);
    let all = folder.read("r.jsonl");
    assert!(all.starts_with(&finished));
    let keys = |text: &str| -> Vec<String> {
        rows(text)
            .iter()
            .map(|r| format!("{} {} {} {}", r["scene"], r["planner"], r["seed"], r["repeat"]))
            .collect()
    };
    let made = keys(&all);
    assert_eq!(made.iter().collect::<BTreeSet<_>>().len(), made.len(), "a run was made twice");

    let calm = suite();
    assert_eq!(calm.run(&arguments).code, 0);
    assert_eq!(made.len(), rows(&calm.read("r.jsonl")).len());
    // Everything but times: the tables of both folders.
    assert_eq!(table(&folder, &["r.jsonl"]), table(&calm, &["r.jsonl"]));
}

#[test]
fn a_crash_costs_one_row() {
    let folder = slow_suite();
    let race = start(&folder);
    let run = only_run(&race);
    signal(run, "ILL");
    let next = wait_for(|| runs(&race).into_iter().find(|pid| *pid != run)).expect("the next run starts");
    signal(next, "KILL");
    wait_for(|| (rows(&folder.read("r.jsonl")).len() == 2).then_some(())).expect("both have a row");
    drop(race);
    let rows = rows(&folder.read("r.jsonl"));
    let found: Vec<_> = rows.iter().map(|row| (row["status"].as_str(), row["signal"].as_i64())).collect();
    assert_eq!(found, [(Some("crashed"), Some(4)), (Some("crashed"), Some(9))]);
}

#[test]
fn a_run_that_hangs_is_killed_and_has_a_row() {
    let folder = Suite::new(&[("tower", scenes::tower())])
        .with("seeds = [1, 2]", "seeds = [1]")
        .with("time_s = 20", "time_s = 0.4")
        .with("grace_s = 20", "grace_s = 0.4\nthreads = 1")
        .with(PLANNERS, ASTAR)
        .folder();
    let mut race = start(&folder);
    signal(only_run(&race), "STOP");
    race.wait();
    let rows = rows(&folder.read("r.jsonl"));
    assert_eq!(rows.len(), 1);
    assert_eq!(rows[0]["status"], "time_out", "{}", rows[0]);
    assert!(rows[0]["note"].as_str().is_some_and(|note| note.contains("killed after")), "{}", rows[0]);
}

/// A request to end is no result: the scheduler that sends it may send it to the run first.
#[test]
fn a_run_that_is_asked_to_end_has_no_row() {
    for name in ["TERM", "INT"] {
        let folder = slow_suite();
        let mut race = start(&folder);
        signal(only_run(&race), name);
        assert_eq!(race.wait(), Some(130), "{name}");
        assert_eq!(folder.read("r.jsonl"), "", "{name}");
    }
}

#[test]
fn runs_end_with_their_race() {
    let folder = slow_suite();
    let race = start(&folder);
    let run = only_run(&race);
    drop(race);
    wait_for(|| (!is_running(run)).then_some(())).expect("the run ends by itself");
    assert_eq!(folder.read("r.jsonl"), "");
}

/// Two runs of ten minutes each.
fn slow_suite() -> Folder {
    Suite::new(&[("tower", scenes::tower())])
        .with("time_s = 20", "time_s = 600")
        .with(PLANNERS, ASTAR)
        .folder()
}

/// A race that ends with its test, also when that fails.
struct Race(Child);

impl Race {
    fn start(folder: &Folder, arguments: &[&str]) -> Self {
        let mut command = folder.command(arguments);
        Self(command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().expect("the binary runs"))
    }

    fn wait(&mut self) -> Option<i32> {
        self.0.wait().expect("it ends").code()
    }
}

impl Drop for Race {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

fn start(folder: &Folder) -> Race {
    Race::start(folder, &["bench", "suite.toml", "-o", "r.jsonl"])
}

/// The run of a race, once it has begun to search.
fn only_run(race: &Race) -> u32 {
    let run = wait_for(|| runs(race).first().copied()).expect("a run starts");
    sleep(Duration::from_millis(200));
    run
}

fn runs(race: &Race) -> Vec<u32> {
    let parent = race.0.id().to_string();
    let pids = std::fs::read_dir("/proc").expect("there is /proc").flatten();
    pids.filter_map(|entry| entry.file_name().to_str()?.parse().ok())
        .filter(|pid| state(*pid).is_some_and(|(state, of)| of == parent && state != "Z"))
        .collect()
}

fn is_running(pid: u32) -> bool {
    state(pid).is_some_and(|(state, _)| state != "Z")
}

/// State and parent of a process.
fn state(pid: u32) -> Option<(String, String)> {
    let stat = std::fs::read_to_string(format!("/proc/{pid}/stat")).ok()?;
    let mut fields = stat.rsplit_once(") ")?.1.split(' ');
    Some((fields.next()?.to_owned(), fields.next()?.to_owned()))
}

fn signal(pid: u32, name: &str) {
    let sent =
        Command::new("kill").args([&format!("-{name}"), &pid.to_string()]).status().expect("there is kill");
    assert!(sent.success());
}

fn wait_for<T>(mut there: impl FnMut() -> Option<T>) -> Option<T> {
    let begin = Instant::now();
    while begin.elapsed() < Duration::from_secs(60) {
        if let Some(found) = there() {
            return Some(found);
        }
        sleep(Duration::from_millis(10));
    }
    None
}
