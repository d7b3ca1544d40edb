use clamber_core::{model::*, motion::*, scene::*, schedule::*, search::*};
use std::time::Instant;
fn main() {
    let secs: f64 = std::env::args().nth(1).unwrap().parse().unwrap();
    for f in std::env::args().skip(2) {
        let text = std::fs::read_to_string(&f).unwrap();
        let (_, p) = read_scenario(&f, &text).unwrap();
        let b = Budget { expansions: 64, ..Budget::unlimited() };
        let o = TakingApart.plan(&p, &Options::default(), &b, &NoObserver).unwrap();
        for s in [0.0, secs] {
            let t = Instant::now();
            let intr = || (t.elapsed().as_secs_f64() > s).then_some(Stop::Spent);
            let b = Budget { interrupt: &intr, ..Budget::unlimited() };
            let Rearranged { trips, tried } = if s == 0.0 {
                Rearranged { trips: None, tried: 0 }
            } else {
                rearrange(&p, &[o.trips.clone()], 1, 100_000, 0.0, &b)
            };
            let t1 = t.elapsed().as_secs_f64();
            let trips = trips.unwrap_or(o.trips.clone());
            let moves = moves_of_trips(&p, &trips).unwrap();
            let b = Budget { expansions: 100, ..Budget::unlimited() };
            let r = side_by_side(&p, &moves, PlannerNote::new("x", 1), o.status, 0.0, Objective::Time, &b)
                .unwrap();
            println!(
                "{f} {s} s: tried {tried} in {:.1} s, {} trips, final {:.1} after {:.1} s",
                t1,
                trips.len(),
                r.plan.summary.makespan_s,
                t.elapsed().as_secs_f64()
            );
        }
    }
    let _ = Hold::Braced;
}
