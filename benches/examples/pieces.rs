use clamber_core::scene::read_scenario;
use std::time::Instant;
fn main() {
    for file in std::env::args().skip(1) {
        let (_, p) = read_scenario(&file, &std::fs::read_to_string(&file).unwrap()).unwrap();
        let t = |f: &dyn Fn()| { let mut best = f64::MAX; for _ in 0..3 { let b = Instant::now(); f(); best = best.min(b.elapsed().as_secs_f64()); } best * 1e3 };
        println!("{file}: impossible {:.2} bound {:.2} uncarried {:.2} faults {:.2} symmetries {:.2}",
            t(&|| { let _ = clamber_core::search::impossible_goal(&p); }),
            t(&|| { let _ = clamber_core::search::makespan_lower_bound_s(&p); }),
            t(&|| { let _ = clamber_core::search::uncarried_makespan_lower_bound_s(&p); }),
            t(&|| { let _ = clamber_core::motion::faults_at_rest(&p, &p.start); }),
            t(&|| { let _ = clamber_core::search::Symmetries::of(&p); }));
    }
}
