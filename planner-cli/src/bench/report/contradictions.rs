//! Answers that cannot all be true. Whoever gave a wrong one gets no score for that scene, and none at all after two.
//!
//! As in the rules of the International Planning Competition of 2008, where an invalid plan voids its domain; a scene takes the place of
//! a domain here.

use super::race::Race;
use crate::bench::row::Ending;

/// A wrong answer.
pub(crate) struct Contradiction {
    pub(crate) planner: usize,
    pub(crate) scene: usize,
    pub(crate) message: String,
}

pub(crate) fn find(race: &Race) -> Vec<Contradiction> {
    let mut found = Vec::new();
    for scene in 0..race.scenes.len() {
        let shortest_s = race.plans(scene).map(|plan| plan.makespan_s).reduce(f64::min);
        for planner in 0..race.planners.len() {
            let mut add = |what: String| {
                let message = format!("{} on {}: {what}", race.planners[planner], race.scenes[scene]);
                found.push(Contradiction { planner, scene, message });
            };
            let runs = race.runs(planner, scene);
            let unsound = runs.iter().filter(|row| row.status == Ending::NotSound).count();
            if unsound > 0 {
                add(format!("{unsound} of {} plans did not pass the check", runs.len()));
            }
            if shortest_s.is_some() && runs.iter().any(|row| row.status == Ending::ProvedImpossible) {
                add("calls it impossible, and there is a plan that passed the check".into());
            }
            let bound_s = runs.iter().filter_map(|row| row.plan.as_ref()).map(|plan| plan.lower_bound_s);
            if let (Some(bound_s), Some(shortest_s)) = (bound_s.reduce(f64::max), shortest_s)
                && bound_s > shortest_s * (1.0 + 1e-9)
            {
                add(format!(
                    "says that no plan takes less than {bound_s:.3} s, and there is one of {shortest_s:.3} s"
                ));
            }
        }
    }
    found
}
