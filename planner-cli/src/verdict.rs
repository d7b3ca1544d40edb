//! The figures of a plan in one line, and its steps as a table.

use crate::tables::{self, Column};
use crate::wording;
use clamber_core::model::Problem;
use clamber_core::motion::{Plan, Step, Summary};

/// `23 moves in 104.2 s, bonds used up to 0.61 of 0.67 allowed, smallest free gap 3.1 mm, 412 J`.
pub(crate) fn figures(problem: &Problem, summary: &Summary) -> String {
    let gap = summary.gap_m.map(|gap_m| format!(", smallest free gap {} mm", wording::gap(Some(gap_m))));
    format!(
        "{} in {:.1} s, bonds used up to {:.2} of {:.2} allowed{}, {:.0} J",
        wording::count(summary.moves, "move"),
        summary.makespan_s,
        summary.utilisation,
        problem.limits.utilisation(),
        gap.unwrap_or_default(),
        summary.energy_j
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
