//! Below the rows: how hard the worst bond is used, and the limit.

use super::{CHART, PLOT, Scale};
use crate::svg::{Svg, closed, line};
use crate::wording;
use clamber_core::{Plan, Problem};

pub(super) fn draw(svg: &mut Svg, problem: &Problem, plan: &Plan, scale: Scale, top: f64) {
    let limit = problem.limits.utilisation();
    let most = (1.15 * limit).max(plan.summary.utilisation);
    let bottom = top + CHART;
    let y = |used: f64| bottom - CHART * used / most;
    let mut points = vec![(PLOT.0, bottom)];
    for (from, to, used) in worst(plan) {
        points.extend([(scale.x(from), y(used)), (scale.x(to), y(used))]);
    }
    points.push((PLOT.1, bottom));
    svg.path(&closed(&points), "used");
    svg.path(&line(&[(PLOT.0, y(limit)), (PLOT.1, y(limit))]), "limit");
    svg.path(&line(&[(PLOT.0, top), (PLOT.0, bottom), (PLOT.1, bottom)]), "frame");
    for value in [0.0, limit] {
        svg.text((PLOT.0 - 12.0, y(value) + 4.0), "right", &wording::fixed(value, 2));
    }
    svg.text((PLOT.0 - 12.0, y(0.5 * limit) + 4.0), "right", "used");
    for tick in scale.ticks() {
        svg.text((scale.x(tick), bottom + 16.0), "centred", &wording::short(tick));
    }
}

/// From when to when, and the worst utilisation of any step under way; nothing where nothing is.
fn worst(plan: &Plan) -> Vec<(f64, f64, f64)> {
    let mut events: Vec<f64> = plan.steps.iter().flat_map(|s| [s.start_s, s.end_s()]).collect();
    events.sort_by(f64::total_cmp);
    events.dedup();
    let used = |(from, to): (f64, f64)| {
        let middle = 0.5 * (from + to);
        let underway = plan.steps.iter().filter(|s| s.start_s <= middle && middle <= s.end_s());
        underway.map(|s| s.utilisation).reduce(f64::max)
    };
    // Pauses too short to see would only draw lines down and up again.
    let mut found: Vec<(f64, f64, f64)> = Vec::new();
    for pair in events.windows(2).map(|w| (w[0], w[1])) {
        let Some(used) = used(pair) else { continue };
        match found.last_mut().filter(|last| pair.0 - last.1 <= 0.002 && last.2 == used) {
            Some(last) => last.1 = pair.1,
            None => found.push((pair.0, pair.1, used)),
        }
    }
    found
}
