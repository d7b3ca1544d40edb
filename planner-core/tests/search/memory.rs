//! A limit on memory is kept, at the same place on every run.

use crate::support::fixture;
use clamber_core::PlannerName;
use clamber_core::Status;
use clamber_core::unstable::control::{Budget, Stopped};
use clamber_core::unstable::search::{NoObserver, Options};

#[test]
fn what_is_kept_stays_under_the_limit() {
    let (_, problem) = fixture("stand");
    for (planner, name) in
        [(PlannerName::AStar, "astar"), (PlannerName::Novelty, "novelty"), (PlannerName::Beam, "beam")]
    {
        let plan = |bytes: u64| {
            let budget = Budget { bytes, expansions: 400, ..Budget::unlimited() };
            let options = Options { weight: Some(1.0), ..Options::default() };
            planner.planner().plan(&problem, &options, &budget, &NoObserver).expect("it makes sense")
        };
        let mut before = 0;
        for mib in [1, 2, 4] {
            let bytes = mib << 20;
            let found = plan(bytes);
            assert_eq!((found.status, found.stop), (Status::BudgetSpent, Some(Stopped::Full)), "{name}");
            assert!(found.statistics.bytes < bytes + 10_000, "{name}: {:?}", found.statistics);
            assert!(found.statistics.kept > before, "{name}: more memory holds more configurations");
            before = found.statistics.kept;
            assert_eq!(plan(bytes), found, "{name}");
        }
    }
}
