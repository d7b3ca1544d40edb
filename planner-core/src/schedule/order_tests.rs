//! The scheduling core on job shops and machines instead of crews: published job shops, and the anomaly of list scheduling.

use super::antichains::for_each_maximal;
use super::local_search::{Arranged, improve};
use super::order::{Order, Rules, arrange};
use crate::control::Stopped;
use fixedbitset::FixedBitSet;

/// Operations of jobs on machines: those of one job keep their order, those on one machine exclude each other.
struct Shop {
    /// For each operation its job, its machine and its duration.
    operations: Vec<(usize, usize, f64)>,
}

impl Shop {
    fn new(jobs: &[&[(usize, usize)]]) -> Self {
        let of_job = |(job, operations): (usize, &&[(usize, usize)])| {
            operations.iter().map(move |&(machine, time)| (job, machine, time as f64)).collect::<Vec<_>>()
        };
        Self { operations: jobs.iter().enumerate().flat_map(of_job).collect() }
    }
}

impl Rules for Shop {
    fn len(&self) -> usize {
        self.operations.len()
    }
    fn duration_s(&self, step: usize) -> f64 {
        self.operations[step].2
    }
    fn keep_order(&self, a: usize, b: usize) -> bool {
        self.operations[a].0 == self.operations[b].0
    }
    fn collide(&self, a: usize, b: usize) -> bool {
        self.operations[a].1 == self.operations[b].1
    }
    fn may_follow(&self, _: &Order, _: usize) -> bool {
        true
    }
    fn concerned(&mut self, _: &Order, _: usize, _: &FixedBitSet) -> Vec<usize> {
        Vec::new()
    }
    fn holds(&mut self, _: &Order, _: usize, _: &FixedBitSet) -> Result<bool, Stopped> {
        Ok(true)
    }
    fn holds_alone(&mut self, _: &Order, _: usize) -> bool {
        false
    }
}

/// The makespan of operations job by job, and the best found in so many tries.
fn shop_makespans(jobs: &[&[(usize, usize)]], tries: usize) -> (f64, f64) {
    let mut shop = Shop::new(jobs);
    let sequence: Vec<usize> = (0..shop.len()).collect();
    let order = arrange(&mut shop, &sequence, 0.0).expect("a shop takes any order");
    let first = order.makespan_s();
    let mut left = tries;
    let best = improve(&mut shop, Arranged { sequence, order }, 0.0, 0.0, || {
        left = left.saturating_sub(1);
        left > 0
    });
    (first, best.order.makespan_s())
}

/// A 3 x 3 job shop from the user guide of a solver library: optimum 11. No job is shorter than 7, no machine has less than 10 to do.
#[test]
fn job_shop_3_by_3() {
    let jobs: [&[(usize, usize)]; 3] =
        [&[(0, 3), (1, 2), (2, 2)], &[(0, 2), (2, 1), (1, 4)], &[(1, 4), (2, 3)]];
    let (first, best) = shop_makespans(&jobs, 1000);
    assert!(first >= best);
    assert_eq!(best, 11.0);
}

/// Fisher & Thompson 1963, 6 x 6: optimum 55 (data from memory, the optimum is proven in the literature).
#[test]
fn job_shop_6_by_6() {
    let jobs: [&[(usize, usize)]; 6] = [
        &[(2, 1), (0, 3), (1, 6), (3, 7), (5, 3), (4, 6)],
        &[(1, 8), (2, 5), (4, 10), (5, 10), (0, 10), (3, 4)],
        &[(2, 5), (3, 4), (5, 8), (0, 9), (1, 1), (4, 7)],
        &[(1, 5), (0, 5), (2, 5), (3, 3), (4, 8), (5, 9)],
        &[(2, 9), (1, 3), (4, 5), (5, 4), (0, 3), (3, 1)],
        &[(1, 3), (3, 3), (5, 9), (0, 10), (4, 4), (2, 1)],
    ];
    let (first, best) = shop_makespans(&jobs, 20_000);
    assert!(first > best);
    assert_eq!(best, 55.0);
}

/// Tasks with precedences on identical machines.
struct Machines {
    times: Vec<f64>,
    before: Vec<Vec<usize>>,
    machines: usize,
}

impl Rules for Machines {
    fn len(&self) -> usize {
        self.times.len()
    }
    fn duration_s(&self, step: usize) -> f64 {
        self.times[step]
    }
    fn keep_order(&self, earlier: usize, later: usize) -> bool {
        self.before[later].contains(&earlier)
    }
    fn collide(&self, _: usize, _: usize) -> bool {
        false
    }
    fn may_follow(&self, _: &Order, _: usize) -> bool {
        true
    }
    fn concerned(&mut self, order: &Order, _: usize, waits: &FixedBitSet) -> Vec<usize> {
        order.placed.iter().copied().filter(|&s| !waits.contains(s)).collect()
    }
    fn holds(&mut self, order: &Order, step: usize, waits: &FixedBitSet) -> Result<bool, Stopped> {
        let beside = self.concerned(order, step, waits);
        let machines = self.machines;
        for_each_maximal(&beside, |a, b| order.unordered(a, b), usize::MAX, |set| Ok(set.len() < machines))
    }
    fn holds_alone(&mut self, _: &Order, _: usize) -> bool {
        false
    }
}

/// Graham 1969: nine tasks, 1 before 9, 4 before 5 to 8, in the order 1 to 9. Numbers here are one less.
fn graham(machines: usize, less: f64, without: &[(usize, usize)]) -> Machines {
    let mut before = vec![Vec::new(); 9];
    for (a, b) in [(0, 8), (3, 4), (3, 5), (3, 6), (3, 7)] {
        if !without.contains(&(a, b)) {
            before[b].push(a);
        }
    }
    let times = [3.0, 2.0, 2.0, 2.0, 4.0, 4.0, 4.0, 4.0, 9.0].map(|t: f64| t - less).to_vec();
    Machines { times, before, machines }
}

/// The list schedule: whenever a machine is free, the first task of the list that can start does.
fn list_schedule(m: &Machines) -> (f64, Vec<usize>) {
    let count = m.times.len();
    let (mut end, mut begun) = (vec![f64::INFINITY; count], Vec::new());
    let mut now = 0.0;
    while begun.len() < count {
        let busy = begun.iter().filter(|&&k: &&usize| end[k] > now).count();
        let ready = |k: &usize| !begun.contains(k) && m.before[*k].iter().all(|&b| end[b] <= now);
        let next = (0..count).find(ready).filter(|_| busy < m.machines);
        match next {
            Some(k) => {
                end[k] = now + m.times[k];
                begun.push(k);
            }
            None => now = begun.iter().map(|&k| end[k]).filter(|&e| e > now).fold(f64::INFINITY, f64::min),
        }
    }
    (end.iter().copied().fold(0.0, f64::max), begun)
}

/// Graham, SIAM J. Appl. Math. 17 (1969) 416 (values from memory, and simulated above): with more machines, less work or fewer constraints a list
/// schedule ends *later*. The precedences of an order are kept when tasks get shorter, so our plans never do, and the search finds a sequence that is
/// no worse than before.
#[test]
fn list_scheduling_anomaly() {
    let cases = [
        (graham(3, 0.0, &[]), 12.0),
        (graham(4, 0.0, &[]), 15.0),
        (graham(3, 1.0, &[]), 13.0),
        (graham(3, 0.0, &[(3, 4), (3, 5)]), 16.0),
    ];
    for (mut machines, listed) in cases {
        let (makespan, begun) = list_schedule(&machines);
        assert_eq!(makespan, listed);
        let order = arrange(&mut machines, &begun, 0.0).expect("tasks take any order");
        let mut left = 3000;
        let best = improve(&mut machines, Arranged { sequence: begun, order }, 0.0, 0.0, || {
            left -= 1;
            left > 0
        });
        assert!(
            best.order.makespan_s() <= 12.0,
            "{} machines: {}",
            machines.machines,
            best.order.makespan_s()
        );
        // Lower bounds: the longest chain, and all work divided by the machines.
        let work: f64 = machines.times.iter().sum();
        assert!(
            best.order.makespan_s()
                >= (machines.times[0] + machines.times[8]).max(work / machines.machines as f64) - 1e-9
        );
        // Shorter tasks under the same precedences.
        let shorter: Vec<f64> = machines.times.iter().map(|t| t - 1.0).collect();
        let waits: Vec<Vec<usize>> = (0..9).map(|k| best.order.waits_of(k)).collect();
        let network = super::Network::new(&shorter, &waits, 0.0).expect("no ring");
        assert!(network.makespan_s <= best.order.makespan_s());
    }
}
