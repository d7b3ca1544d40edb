//! Starts a run in a process of its own, waits no longer than it may take, and makes out how it ended.

use super::job::{Ended, Job};
use super::row::Ending;
use super::single::{Order, Told};
use crate::exit_code;
use std::io::{Read, Write};
use std::path::Path;
use std::process::{Child, Command, ExitStatus, Stdio};
use std::sync::mpsc::channel;
use std::thread;
use std::time::{Duration, Instant};

/// The hidden command that makes one run.
pub(crate) const SINGLE: &str = "bench-single";
/// What is kept of the last words of a run, in bytes.
const LAST_WORDS: usize = 400;

/// Why there is no row: not the run's fault, and no run after it would fare better.
#[derive(Debug)]
pub(crate) struct Interrupted(pub(crate) String);

/// Makes a run. Returns how it ended and the text of its plan.
pub(crate) fn launch(program: &Path, job: &Job<'_>) -> Result<(Ended, Option<String>), Interrupted> {
    let begin = Instant::now();
    let mut child = Command::new(program)
        .arg(SINGLE)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .map_err(|error| Interrupted(format!("{} cannot be started: {error}", program.display())))?;
    let (answer, words, killed) = converse(&mut child, job);
    let status = child.wait().map_err(|error| Interrupted(format!("a run cannot be waited for: {error}")))?;
    let wall_s = begin.elapsed().as_secs_f64();
    let told: Option<Told> = serde_json::from_slice(&answer).ok().filter(|_| status.success());
    if let Some(Told { status, checked, note, work, plan, plan_file }) = told {
        return Ok((Ended { checked, work, plan, ..Ended::new(status, note, wall_s) }, plan_file));
    }
    if killed {
        let note = format!("killed after {wall_s:.1} s: it did not end by itself");
        return Ok((Ended::new(Ending::TimeOut, Some(note), wall_s), None));
    }
    Ok((broken(status, &String::from_utf8_lossy(&words), wall_s)?, None))
}

/// Gives the order and hears the answer: stdout, stderr, and whether it took too long and was killed.
fn converse(child: &mut Child, job: &Job<'_>) -> (Vec<u8>, Vec<u8>, bool) {
    let limits = job.limits;
    let mut arguments = job.competitor.arguments();
    arguments.push(format!("--seed={}", job.seed));
    arguments.push(format!("--time={}", limits.time_s));
    arguments.push(format!("--threads={}", limits.threads));
    arguments.extend(limits.memory_mib.map(|mib| format!("--memory={mib}M")));
    let order = Order { arguments, scene: job.scene.json.clone(), memory_mib: limits.memory_mib };
    let order = serde_json::to_string(&order).unwrap_or_default() + "\n";
    let mut stdin = child.stdin.take();
    let (stdout, stderr) = (child.stdout.take(), child.stderr.take());
    let longest = Duration::from_secs_f64(limits.time_s + limits.grace_s);
    thread::scope(|scope| {
        // Each pipe in a thread of its own: a run that reads or writes nothing must block nobody.
        let giving = scope.spawn(|| {
            if let Some(stdin) = &mut stdin {
                let _ = stdin.write_all(order.as_bytes());
            }
            stdin
        });
        let words = scope.spawn(|| read_all(stderr));
        let (send, answer) = channel();
        scope.spawn(move || send.send(read_all(stdout)));
        let (answer, killed) = match answer.recv_timeout(longest) {
            Ok(answer) => (answer, false),
            Err(_) => {
                let _ = child.kill();
                (answer.recv().unwrap_or_default(), true)
            }
        };
        // Held open until now: the run ends when it closes.
        drop(giving.join());
        (answer, words.join().unwrap_or_default(), killed)
    })
}

fn read_all(pipe: Option<impl Read>) -> Vec<u8> {
    let mut bytes = Vec::new();
    if let Some(mut pipe) = pipe {
        let _ = pipe.read_to_end(&mut bytes);
    }
    bytes
}

/// What a process was that ended without an answer.
fn broken(status: ExitStatus, words: &str, wall_s: f64) -> Result<Ended, Interrupted> {
    let signal = signal_of(status);
    if status.code() == Some(i32::from(exit_code::INTERRUPTED)) || signal.is_some_and(is_request) {
        return Err(Interrupted("a run was asked to end from outside".into()));
    }
    const ABORT: i32 = 6;
    const KILL: i32 = 9;
    let last = last_words(words);
    // What Rust says when an allocation fails, before it aborts.
    if signal == Some(ABORT) && words.contains("memory allocation of ") {
        return Ok(Ended::new(Ending::OutOfMemory, last, wall_s));
    }
    if signal == Some(KILL) {
        // A scheduler that kills a whole job does not do it all at once: give it the time to kill this process too.
        thread::sleep(Duration::from_secs(1));
        let note = "killed from outside, as systems do that run out of memory".to_owned();
        return Ok(Ended { signal, ..Ended::new(Ending::Crashed, Some(note), wall_s) });
    }
    Ok(Ended { signal, exit_code: status.code(), ..Ended::new(Ending::Crashed, last, wall_s) })
}

/// Hang-up, interrupt and termination ask for an end; they are no crash.
fn is_request(signal: i32) -> bool {
    matches!(signal, 1 | 2 | 15)
}

#[cfg(unix)]
fn signal_of(status: ExitStatus) -> Option<i32> {
    std::os::unix::process::ExitStatusExt::signal(&status)
}

#[cfg(not(unix))]
fn signal_of(_: ExitStatus) -> Option<i32> {
    None
}

/// The end of what it said, in one line.
fn last_words(words: &str) -> Option<String> {
    let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
    let from = words.char_indices().rev().nth(LAST_WORDS).map_or(0, |(at, _)| at);
    (!words.is_empty()).then(|| words[from..].to_owned())
}
