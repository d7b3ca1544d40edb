//! scratch
use clamber_core::*;
fn main() {
    let a: Vec<String> = std::env::args().collect();
    let text = std::fs::read_to_string(&a[1]).unwrap();
    let (sc, problem) = match scene::read_scenario(&a[1], &text) { Ok(v) => v, Err(e) => { println!("{e}"); return } };
    println!("{:?}", motion::faults_at_rest(&problem, &problem.start));
    let planner = if a.get(2).map(|s| s.as_str()) == Some("r") { search::PlannerName::TakingApart } else { search::PlannerName::AStar }.planner();
    let t = std::time::Instant::now();
    let secs: f64 = a.get(3).map_or(60.0, |s| s.parse().unwrap());
    let greed: f64 = a.get(4).map_or(3.0, |s| s.parse().unwrap());
    let stop = move || if t.elapsed().as_secs_f64() > secs { Some(search::Stop::Spent) } else { None };
    let budget = search::Budget { expansions: u64::MAX, kept: usize::MAX, interrupt: &stop };
    struct O; impl search::Observer for O { fn progress(&self, p: &search::Progress) { if p.statistics.expanded % 64 == 0 { eprintln!("{p:?}") } } }
    let out = planner.plan(&problem, &search::Options { seed: 1, greed }, &budget, &O).unwrap();
    println!("{:?} {:?} lb {} {:?} t={:?}", out.status, out.statistics, out.lower_bound_s, out.note, t.elapsed());
    for t in &out.trips { println!("  {} -> {:?} ({})", problem.module_name(t.module), t.waypoints.last().map(|w| (problem.name_of(w.host), w.position)), t.waypoints.len()); }
    let t = std::time::Instant::now();
    let note = motion::PlannerNote { name: planner.name().into(), seed: 1, version: "0".into() };
    match schedule::one_by_one(&problem, &out.trips, note, out.status, out.lower_bound_s) {
        Err(e) => println!("schedule: {e}"),
        Ok(plan) => {
            println!("scheduled in {:?}: {:?}", t.elapsed(), plan.summary);
            let t = std::time::Instant::now();
            let rep = check::check_plan(&problem, &plan);
            println!("checked in {:?}: {} findings", t.elapsed(), rep.findings.len());
            for f in rep.findings.iter().take(10) { println!("  {f:?}"); }
            std::fs::write("/tmp/plan.json", scene::write_plan(&sc, &problem, &plan).unwrap()).unwrap();
        }
    }
}
