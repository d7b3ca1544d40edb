//! Scratch: longest processor time between two asks of one thread.
use clamber_core::model::Problem;
use clamber_core::motion::{PlannerNote, Status};
use clamber_core::scene::read_scenario;
use clamber_core::schedule::{Objective, moves_of_trips, rearrange, side_by_side, trade_offs};
use clamber_core::search::{Auto, Budget, NoObserver, Options, Planner, PlannerName, Stop, improve};
use std::cell::Cell;
use std::collections::BTreeMap;
use std::sync::Mutex;
use std::time::Instant;

fn cpu() -> f64 {
    let t = nix::time::clock_gettime(nix::time::ClockId::CLOCK_THREAD_CPUTIME_ID).unwrap();
    t.tv_sec() as f64 + t.tv_nsec() as f64 * 1e-9
}
thread_local!(static LAST: Cell<f64> = const { Cell::new(-1.0) }; static EPOCH: Cell<u32> = const { Cell::new(0) });
static NOW: std::sync::atomic::AtomicU32 = std::sync::atomic::AtomicU32::new(0);

fn main() {
    let mut arguments = std::env::args().skip(1);
    let what = arguments.next().unwrap();
    let seconds: f64 = arguments.next().unwrap().parse().unwrap();
    let least_ms: f64 = arguments.next().unwrap().parse().unwrap();
    for file in arguments {
        let (_, problem): (_, Problem) = read_scenario(&file, &std::fs::read_to_string(&file).unwrap()).unwrap();
        let trips = if PlannerName::ALL.iter().any(|(_, n)| *n == what) { Vec::new() } else {
            let begun = Instant::now();
            let interrupt = || (begun.elapsed().as_secs_f64() > 20.0).then_some(Stop::Spent);
            let budget = Budget { interrupt: &interrupt, ..Budget::unlimited() };
            let o = Auto.plan(&problem, &Options { polish: 50, ..Options::default() }, &budget, &NoObserver).unwrap();
            if o.status == Status::Solved { o.trips } else { Vec::new() }
        };
        NOW.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
        let seen: Mutex<BTreeMap<String, (usize, f64)>> = Mutex::new(BTreeMap::new());
        let begun = Instant::now();
        let note = |label: Option<&str>| {
            let now = cpu();
            let e = NOW.load(std::sync::atomic::Ordering::Relaxed); if EPOCH.replace(e) != e { LAST.set(now); }
            let last = LAST.get();
            let gap_ms = (now - last) * 1e3;
            if last >= 0.0 && gap_ms > least_ms {
                let text = match label { Some(l) => l.to_owned(), None => {
                    let b = std::backtrace::Backtrace::force_capture().to_string();
                    let names: Vec<&str> = b.lines().filter_map(|l| l.split_once(": ").map(|x| x.1)).filter(|l| l.contains("clamber_core") && !l.contains("rayon::") ).map(|l| l.trim_start_matches("clamber_core::")).collect();
                    names.into_iter().take(9).collect::<Vec<_>>().join(" < ") } };
                let mut seen = seen.lock().unwrap();
                let e = seen.entry(text).or_insert((0, 0.0));
                e.0 += 1; e.1 = e.1.max(gap_ms);
            }
            LAST.set(cpu());
        };
        let cancelled = std::sync::Mutex::new(None::<Instant>);
        let interrupt = || {
            note(None);
            if begun.elapsed().as_secs_f64() > seconds { cancelled.lock().unwrap().get_or_insert_with(Instant::now); Some(Stop::Cancelled) } else { None }
        };
        LAST.set(cpu());
        let budget = Budget { interrupt: &interrupt, ..Budget::unlimited() };
        match what.as_str() {
            "improve" => { let _ = improve(&problem, &trips, u64::MAX, &budget); }
            "side" => { if let Ok(m) = moves_of_trips(&problem, &trips) { LAST.set(cpu()); let _ = side_by_side(&problem, &m, PlannerNote::new("auto", 1), Status::Solved, 0.0, Objective::Time, &budget); } }
            "trade" => { if let Ok(m) = moves_of_trips(&problem, &trips) { LAST.set(cpu()); let _ = trade_offs(&problem, &m, PlannerNote::new("auto", 1), Status::Solved, 0.0, &budget); } }
            "rearrange" => { LAST.set(cpu()); let _ = rearrange(&problem, &[trips.clone()], 1, u64::MAX, 0.0, &budget); }
            name => { let p = PlannerName::ALL.into_iter().find(|(_, n)| *n == name).unwrap().0.planner();
                let o = p.plan(&problem, &Options::default(), &budget, &NoObserver).unwrap();
                note(Some("END"));
                println!("   {:?} expanded {} kept {} bytes {} MB", o.status, o.statistics.expanded, o.statistics.kept, o.statistics.bytes >> 20); }
        }
        note(Some("END"));
        let after = cancelled.lock().unwrap().map(|t| t.elapsed().as_secs_f64() * 1e3);
        println!("{what} {file}: {:.1} s, {:?} ms after", begun.elapsed().as_secs_f64(), after);
        let mut all: Vec<_> = seen.into_inner().unwrap().into_iter().collect();
        all.sort_by(|a, b| b.1.1.total_cmp(&a.1.1));
        for (text, (n, ms)) in all.into_iter().take(8) { println!("   {ms:8.1} ms x{n}: {text}"); }
    }
}
