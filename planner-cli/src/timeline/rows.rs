//! The rows: one for each module.

use super::{HEAD, PLOT, ROW, Scale, spans, style};
use crate::map::labels::{LONGEST, shortened};
use crate::svg::{Svg, closed, line};
use crate::wording;
use clamber_core::unstable::schedule::Network;
use clamber_core::{ModuleId, Plan, Problem};

/// Height of a bar.
const BAR: f64 = 18.0;
/// Bars narrower than this get no letter.
const LETTER: f64 = 10.0;
/// Waits shorter than this, in pixels, are not drawn.
const SEEN: f64 = 3.0;

/// Top of a module's bars.
fn top(module: ModuleId) -> f64 {
    HEAD + ROW * module.index() as f64 + 0.5 * (ROW - BAR)
}

pub(super) fn draw(svg: &mut Svg, problem: &Problem, plan: &Plan, scale: Scale, end: f64) {
    for tick in scale.ticks() {
        let x = scale.x(tick);
        svg.path(&line(&[(x, HEAD), (x, end)]), "tick");
        svg.text((x, end + 16.0), "centred", &wording::short(tick));
    }
    svg.text((PLOT.0 - 12.0, end + 16.0), "right", "seconds");
    for module in problem.module_ids() {
        let middle = top(module) + 0.5 * BAR;
        svg.path(&line(&[(PLOT.0, middle), (PLOT.1, middle)]), "row");
        let name = shortened(problem.module_name(module), LONGEST);
        svg.text((PLOT.0 - 12.0, middle + 4.0), "name", &name);
    }
    for (module, from, to) in spans::braced(problem, plan) {
        let width = (scale.x(to) - scale.x(from)).max(0.0);
        svg.rect((scale.x(from), top(module) + BAR + 1.0), (width, 4.0), "braced");
    }
    for (module, from, to) in spans::carried(problem, plan) {
        let corner = (scale.x(from), top(module) + 3.0);
        svg.rect(corner, (scale.x(to) - scale.x(from), BAR - 6.0), "carried");
    }
    waits(svg, plan, scale);
    bars(svg, plan, scale);
}

fn bars(svg: &mut Svg, plan: &Plan, scale: Scale) {
    let network = Network::of_plan(plan);
    for (index, step) in plan.steps.iter().enumerate() {
        let (class, letter) = style::of(&step.action);
        let (x, y) = (scale.x(step.start_s), top(step.module));
        let width = scale.x(step.end_s()) - x;
        svg.rect((x, y), (width, BAR), class);
        if network.as_ref().is_some_and(|n| n.is_critical(index)) {
            svg.rect((x, y), (width, BAR), "critical");
        }
        if width >= LETTER {
            svg.text((x + 0.5 * width, y + 13.0), style::letter_class(&step.action), letter);
        }
    }
}

/// Idle time before a step, and an arrow from the step whose end it waited for last, if another module makes that.
fn waits(svg: &mut Svg, plan: &Plan, scale: Scale) {
    for step in &plan.steps {
        let start = scale.x(step.start_s);
        let own_end = plan
            .steps
            .iter()
            .filter(|s| s.module == step.module && s.end_s() <= step.start_s)
            .map(|s| scale.x(s.end_s()))
            .fold(scale.x(0.0), f64::max);
        let middle = top(step.module) + 0.5 * BAR;
        if start - own_end > SEEN {
            svg.path(&line(&[(own_end + 2.0, middle), (start - 2.0, middle)]), "waits");
        }
        let last = step.after.iter().map(|&k| &plan.steps[k]).max_by(|a, b| a.end_s().total_cmp(&b.end_s()));
        let Some(last) = last.filter(|l| l.module != step.module) else { continue };
        let (from, to) = if last.module < step.module {
            (top(last.module) + BAR, top(step.module))
        } else {
            (top(last.module), top(step.module) + BAR)
        };
        let out = scale.x(last.end_s());
        let way = if to > from { 1.0 } else { -1.0 };
        svg.path(&line(&[(out, from), (start, from + 4.0 * way), (start, to)]), "event");
        let tip = [(start - 3.0, to - 6.0 * way), (start + 3.0, to - 6.0 * way), (start, to)];
        svg.path(&closed(&tip), "head");
    }
}
