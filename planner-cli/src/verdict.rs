//! The figures of a plan in one line, and its steps as a table.

use crate::tables::{self, Column};
use crate::wording;
use clamber_core::unstable::motion;
use clamber_core::unstable::schedule::PAUSE_S;
use clamber_core::unstable::search::uncarried_makespan_lower_bound_s;
use clamber_core::{Move, Plan, Problem, Report, Status, Step, Summary, UtilisationIs};

/// `23 moves in 104.2 s, bonds used up to 0.61 of 0.67 allowed, smallest free gap 3.1 mm, 412 J`.
/// Where the plan claims bounds on utilisations, it says `at most` instead.
pub(crate) fn figures(problem: &Problem, summary: &Summary, used: UtilisationIs) -> String {
    let gap = summary.gap_m.map(|gap_m| format!(", smallest free gap {} mm", wording::gap(Some(gap_m))));
    format!(
        "{} in {} s, bonds used {} {} of {} allowed{}, {} J",
        wording::count(summary.moves, "move"),
        wording::fixed(summary.makespan_s, 1),
        wording::up_to(used),
        wording::fixed(summary.utilisation, 2),
        wording::fixed(problem.limits.utilisation(), 2),
        gap.unwrap_or_default(),
        wording::fixed(summary.energy_j, 0)
    )
}

/// How far bonds are used at the end with the payloads that the goal puts on its slots, as a line; empty where it puts none, or they are not met.
pub(crate) fn with_payloads(problem: &Problem, plan: &Plan) -> String {
    if plan.status != Status::Solved || problem.goal.slots.iter().all(|slot| slot.payload_kg == 0.0) {
        return String::new();
    }
    let last = plan.last(problem);
    let Some(filling) = problem.filling(&last) else { return String::new() };
    let used = motion::load_with_payloads(problem, &last, &filling).worst().value;
    let limit = problem.limits.utilisation();
    format!(
        "at the end, with the payloads that the goal puts on its slots: bonds used up to {} of {} allowed\n",
        wording::fixed(used, 2),
        wording::fixed(limit, 2)
    )
}

/// The steps in the order of their starts, with the numbers they have in the plan file.
pub(crate) fn steps(problem: &Problem, plan: &Plan) -> String {
    let mut order: Vec<(usize, &Step)> = plan.steps.iter().enumerate().collect();
    order.sort_by(|(_, a), (_, b)| a.start_s.total_cmp(&b.start_s));
    let columns = [
        Column::Number("step"),
        Column::Number("start s"),
        Column::Words("module"),
        Column::Words("move"),
        Column::Words("ends on"),
        Column::Number("used"),
        Column::Number("gap mm"),
    ];
    let row = |(number, step): (usize, &Step)| {
        vec![
            number.to_string(),
            format!("{:.1}", step.start_s),
            problem.module_name(step.module).to_owned(),
            wording::of_move(problem, &step.action),
            problem.name_of(step.end.host).to_owned(),
            format!("{:.2}", step.utilisation),
            wording::gap(step.gap_m),
        ]
    };
    tables::draw(&columns, order.into_iter().map(row))
}

/// What moving side by side saves, and how few braces and releases there are.
pub(crate) fn timing(plan: &Plan, report: &Report) -> String {
    let (steps, at_least) = (&plan.steps, report.hold_moves_at_least);
    let pauses = PAUSE_S * steps.len().saturating_sub(1) as f64;
    let one_by_one_s = steps.iter().map(|s| s.duration_s).sum::<f64>() + pauses;
    let saved = 100.0 * (1.0 - plan.summary.makespan_s / one_by_one_s);
    let holds = match report.hold_moves {
        None if steps.iter().any(|step| step.action == Move::Brace) => {
            "braces are where they were needed at first sight; fewer may do".to_owned()
        }
        None | Some(0) => "no module has to brace".to_owned(),
        Some(holds) if holds == at_least => {
            format!("braces and releases: {holds}, no fewer will do for these moves in this order")
        }
        Some(holds) => format!(
            "braces and releases: {holds}, at least {at_least} are needed for these moves in this order"
        ),
    };
    if saved < 0.5 {
        return format!("moving side by side saves nothing here; {holds}\n");
    }
    format!("one move after the other would take {one_by_one_s:.1} s: {saved:.0} % of it is saved; {holds}\n")
}

/// How near the makespan is to what is possible: the bound for every plan, and the one for plans in which nobody is carried.
pub(crate) fn bounds(problem: &Problem, plan: &Plan) -> String {
    let (takes_s, bound_s) = (plan.summary.makespan_s, plan.summary.lower_bound_s);
    let line = |which: &str, bound_s: f64| {
        let ratio = takes_s / bound_s;
        format!("{which} can take less than {bound_s:.1} s; this one takes {ratio:.1} times that\n")
    };
    let every = if bound_s > 0.0 { line("no plan", bound_s) } else { String::new() };
    let uncarried = uncarried_bound_s(problem, plan).filter(|bound_s| *bound_s > 0.0);
    every + &uncarried.map(|s| line("no plan in which nobody is carried", s)).unwrap_or_default()
}

/// The bound for plans in which nobody is carried, if this is one.
pub(crate) fn uncarried_bound_s(problem: &Problem, plan: &Plan) -> Option<f64> {
    let bound_s = uncarried_makespan_lower_bound_s(problem);
    (bound_s.is_finite() && !plan.carries_anybody(problem)).then_some(bound_s)
}

/// The timings of which none is better in everything.
pub(crate) fn trade_offs(found: &[Plan]) -> String {
    if found.is_empty() {
        return String::new();
    }
    let columns = [
        Column::Number("makespan s"),
        Column::Number("energy J"),
        Column::Number("moves"),
        Column::Number("used"),
    ];
    let row = |one: &Plan| {
        let s = &one.summary;
        vec![
            format!("{:.1}", s.makespan_s),
            format!("{:.0}", s.energy_j),
            s.moves.to_string(),
            format!("{:.3}", s.utilisation),
        ]
    };
    format!(
        "timings of these moves of which none is better in everything:\n{}",
        tables::draw(&columns, found.iter().map(row))
    )
}
