//! Earliest and latest starts of steps under precedences: the critical path method (Kelley & Walker 1959).

use super::PAUSE_S;
use crate::plan::{Plan, Step};
use petgraph::algo::toposort;
use petgraph::graph::{DiGraph, NodeIndex};

/// Starts within this of each other are equal, relative to the makespan.
const SAME: f64 = 1e-9;

/// Earliest and latest starts of all steps.
#[derive(Clone, Debug, PartialEq)]
pub struct Network {
    /// Earliest starts, in seconds.
    pub earliest_s: Vec<f64>,
    /// Latest starts that do not delay the makespan, in seconds.
    pub latest_s: Vec<f64>,
    /// End of the last step, in seconds.
    pub makespan_s: f64,
}

impl Network {
    /// The network of steps with their durations in seconds. Each starts `pause_s` after the last of those in `after` has ended, or at 0.
    ///
    /// `None` if the precedences have a cycle or name steps that do not exist. Complexity: linear in the precedences.
    #[must_use]
    pub fn new(durations_s: &[f64], after: &[Vec<usize>], pause_s: f64) -> Option<Self> {
        let mut graph: DiGraph<(), ()> = DiGraph::new();
        let nodes: Vec<NodeIndex> = durations_s.iter().map(|_| graph.add_node(())).collect();
        for (step, waits) in after.iter().enumerate() {
            for &before in waits {
                graph.add_edge(*nodes.get(before)?, *nodes.get(step)?, ());
            }
        }
        let order: Vec<usize> = toposort(&graph, None).ok()?.into_iter().map(NodeIndex::index).collect();
        let mut earliest_s = vec![0.0_f64; durations_s.len()];
        for &step in &order {
            for &before in &after[step] {
                let ready = earliest_s[before] + durations_s[before] + pause_s;
                earliest_s[step] = earliest_s[step].max(ready);
            }
        }
        let ends = earliest_s.iter().zip(durations_s).map(|(start, duration)| start + duration);
        let makespan_s = ends.fold(0.0, f64::max);
        let mut latest_s: Vec<f64> = durations_s.iter().map(|d| makespan_s - d).collect();
        for &step in order.iter().rev() {
            for &before in &after[step] {
                latest_s[before] = latest_s[before].min(latest_s[step] - pause_s - durations_s[before]);
            }
        }
        Some(Self { earliest_s, latest_s, makespan_s })
    }

    /// The network of the steps of a plan.
    #[must_use]
    pub fn of_plan(plan: &Plan) -> Option<Self> {
        let durations: Vec<f64> = plan.steps.iter().map(|s: &Step| s.duration_s).collect();
        let after: Vec<Vec<usize>> = plan.steps.iter().map(|s| s.after.clone()).collect();
        Self::new(&durations, &after, PAUSE_S)
    }

    /// Slack of a step in seconds: how much later it may start, or how much longer it may take, without delaying the makespan.
    #[must_use]
    pub fn slack_s(&self, step: usize) -> f64 {
        let slack = self.latest_s[step] - self.earliest_s[step];
        if slack <= SAME * self.makespan_s { 0.0 } else { slack }
    }

    /// Whether a step is critical: any delay of it delays the makespan.
    #[must_use]
    pub fn is_critical(&self, step: usize) -> bool {
        self.slack_s(step) == 0.0
    }
}
