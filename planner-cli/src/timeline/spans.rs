//! When each module is carried by another, and when it is braced.

use clamber_core::{Body, Hold, ModuleId, Move, Plan, Problem};

/// A module and a span of time in seconds.
pub(super) type Span = (ModuleId, f64, f64);

/// When modules are carried by a yaw or a slide of one below them.
pub(super) fn carried(problem: &Problem, plan: &Plan) -> Vec<Span> {
    let mut found = Vec::new();
    for step in plan.steps.iter().filter(|s| matches!(s.action, Move::Yaw { .. } | Move::Slide { .. })) {
        let host_at = |module: ModuleId| {
            let hops = plan.steps.iter().filter(|h| h.module == module && h.end_s() <= step.start_s);
            let last = hops.max_by(|a, b| a.end_s().total_cmp(&b.end_s()));
            last.map_or(problem.start.get(module).host, |hop| hop.end.host)
        };
        for module in problem.module_ids().filter(|&m| m != step.module) {
            let mut below = host_at(module);
            for _ in 0..problem.modules.len() {
                let Body::Module(host) = below else { break };
                if host == step.module {
                    found.push((module, step.start_s, step.end_s()));
                    break;
                }
                below = host_at(host);
            }
        }
    }
    found
}

/// When modules are braced: from the end of a brace to the start of the next release.
pub(super) fn braced(problem: &Problem, plan: &Plan) -> Vec<Span> {
    let mut found = Vec::new();
    for module in problem.module_ids() {
        let mut changes: Vec<_> =
            plan.steps.iter().filter(|s| s.module == module && !s.action.shakes()).collect();
        changes.sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
        let mut since = (problem.start.get(module).hold == Hold::Braced).then_some(0.0);
        for step in changes {
            match step.action {
                Move::Brace => since = Some(step.end_s()),
                _ => found.extend(since.take().map(|from| (module, from, step.start_s))),
            }
        }
        found.extend(since.map(|from| (module, from, plan.summary.makespan_s)));
    }
    found
}
