use clamber_core::{model::*, motion::*, scene::*, schedule::*, search::*, travel::*};
use std::time::Instant;
fn main() {
    for f in std::env::args().skip(1) {
        let text = std::fs::read_to_string(&f).unwrap();
        let (_, p) = read_scenario(&f, &text).unwrap();
        let braced = p.start.with_holds(|_| Hold::Braced);
        let limit = p.limits.utilisation() - 1e-6;
        for m in p.module_ids().take(3) {
            for places in [0, 1] {
                let t = Instant::now();
                let pl = if places == 1 {
                    vec![p.start.get(m).position + clamber_core::math::DVec3::new(0.05, 0.03, 0.0)]
                } else {
                    vec![]
                };
                let r = reachable(&p, &braced, m, &Interest { places: pl, beacons: vec![] }, limit);
                println!(
                    "{f} reach {:?} {:.2} ms, {} ends {} spots",
                    m,
                    t.elapsed().as_secs_f64() * 1e3,
                    r.ends.len(),
                    r.spots
                );
            }
        }
        let t = Instant::now();
        let b = Budget::unlimited();
        let b = Budget { expansions: 64, ..b };
        let o = TakingApart.plan(&p, &Options::default(), &b, &NoObserver).unwrap();
        println!(
            "taking apart {:?} {:.1} ms, {} trips {:?}",
            o.status,
            t.elapsed().as_secs_f64() * 1e3,
            o.trips.len(),
            o.note
        );
        let o = if o.status == Status::Solved { o } else { continue };
        let moves = moves_of_trips(&p, &o.trips).unwrap();
        for tries in [0, 1, 10, 100] {
            let t = Instant::now();
            let b = Budget { expansions: tries, ..Budget::unlimited() };
            let s = side_by_side(&p, &moves, PlannerNote::new("x", 1), o.status, 0.0, Objective::Time, &b)
                .unwrap();
            println!(
                "  {tries} tries: {:.1} ms, makespan {:.1}, tried {}",
                t.elapsed().as_secs_f64() * 1e3,
                s.plan.summary.makespan_s,
                s.tried
            );
        }
    }
}
