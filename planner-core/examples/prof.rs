//! scratch
use clamber_core::*;
fn main() {
    let a: Vec<String> = std::env::args().collect();
    let text = std::fs::read_to_string(&a[1]).unwrap();
    let (_, mut problem) = scene::read_scenario(&a[1], &text).unwrap();
    // build goal config for stand
    let filling: Vec<_> = (0..problem.goal.slots.len()).map(model::ModuleId::at).collect();
    let mut c = problem.start.clone();
    let mut centres = vec![];
    for (slot, &m) in problem.goal.slots.iter().zip(&filling) {
        let k = problem.kind(m);
        let p = match slot.place {
            model::SlotPlace::OnDeck(d, at) => model::Placement::on_deck(d, &problem.decks[d.index()], k, at, None).unwrap(),
            model::SlotPlace::OnSlot(b, t) => { let (h, ce): (model::ModuleId, math::DVec3) = centres[b.index()]; model::Placement::on_shell(h, ce, problem.kind(h), k, t, None).unwrap() }
        };
        centres.push((m, p.position));
        *c.get_mut(m) = p;
    }
    problem.start = c.clone();
    let case = motion::load_at_rest(&problem, &c);
    println!("touches {} bonds {}", case.touches.len(), case.bonds.len());
    println!("{:?}", case.worst());
    let n = 2000;
    let t = std::time::Instant::now();
    for _ in 0..n { std::hint::black_box(case.worst()); }
    println!("worst: {:?}", t.elapsed() / n);
    let t = std::time::Instant::now();
    for _ in 0..n { std::hint::black_box(case.carries(0.6666)); }
    println!("carries: {:?} {}", t.elapsed() / n, case.carries(0.6666));
    for lim in [0.3, 0.2, 0.15, 0.1, 0.05] { 
    let t = std::time::Instant::now();
    for _ in 0..n { std::hint::black_box(case.carries(lim)); }
    println!("carries {lim}: {:?} {}", t.elapsed() / n, case.carries(lim)); }
    let t = std::time::Instant::now();
    for _ in 0..n { std::hint::black_box(motion::load_at_rest(&problem, &c)); }
    println!("build: {:?}", t.elapsed() / n);
    let bare = statics::LoadCase::new(&problem, &c, vec![]);
    let t = std::time::Instant::now();
    for _ in 0..n { std::hint::black_box(bare.worst()); }
    println!("det worst: {:?}", t.elapsed() / n);
    let t = std::time::Instant::now();
    for _ in 0..n { std::hint::black_box(statics::LoadCase::new(&problem, &c, vec![])); }
    println!("det build: {:?}", t.elapsed() / n);
    println!("{:?}", statics::assess(&problem, &case).reason);
}
