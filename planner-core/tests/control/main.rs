//! The layer `control`: the reckoning of memory against an allocator that counts. A binary of its own, as the allocator is that of all its tests.

#[path = "../support/mod.rs"]
mod support;

use clamber_core::PlannerName;
use clamber_core::unstable::control::{Budget, Stopped};
use clamber_core::unstable::search::{NoObserver, Options};
use peak_alloc::PeakAlloc;

#[global_allocator]
static HEAP: PeakAlloc = PeakAlloc;

/// What is being worked out beside what is kept and what waits: trips of one module for each thread, and a table that moves to one of twice its size.
const BESIDE: usize = 4 << 20;

/// One test, so that nobody else allocates meanwhile.
#[test]
fn what_is_allocated_stays_under_the_limit() {
    // None of them is solved before the memory is full.
    for (planner, fixture) in
        [(PlannerName::AStar, "stand"), (PlannerName::Novelty, "headwall"), (PlannerName::Beam, "stand")]
    {
        let (_, problem) = support::fixture(fixture);
        let name = planner.planner().name();
        for mib in [8, 16] {
            let bytes = mib << 20;
            let before = HEAP.current_usage();
            HEAP.reset_peak_usage();
            let options = Options { weight: Some(1.0), ..Options::default() };
            let budget = Budget { bytes: bytes as u64, ..Budget::unlimited() };
            let found = planner.planner().plan(&problem, &options, &budget, &NoObserver);
            let (peak, after) = (HEAP.peak_usage() - before, HEAP.current_usage() - before);
            let found = found.expect("it makes sense");
            assert_eq!(found.stop, Some(Stopped::Full), "{name}: {:?}", found.statistics);
            assert!(peak <= bytes + BESIDE, "{name}: {peak} bytes allocated, {bytes} allowed");
            assert!(
                2 * peak >= bytes,
                "{name}: {peak} bytes allocated, {bytes} allowed: much is left unused"
            );
            assert!(after < 1 << 20, "{name}: {after} bytes are still there");
        }
    }
}
