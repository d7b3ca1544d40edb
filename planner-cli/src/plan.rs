//! `clamber plan`: read, search, time, check, print, write.

use crate::args::{PlanArgs, Survive};
use crate::failure::Failure;
use crate::progress::ProgressLine;
use crate::scene_file::{self, SceneFile};
use crate::solving::{Solved, solve_within};
use crate::sort::Sort;
use crate::{
    cautions, chance, exit_code, files, findings, output, plannable, reached, surviving, time_use, verdict,
    wording,
};
use clamber_core::{Plan, PlannerName, Problem, Status, Strategy, Unsolved, read_plan, write_plan};
use std::fmt::Write;
use std::path::Path;

pub(crate) fn run(args: &PlanArgs) -> Result<u8, Failure> {
    let scene = scene_file::read(&args.scene)?;
    plannable::check(&scene)?;
    let SceneFile { file, scenario, mut problem, .. } = scene;
    problem.limits.cups_may_fail = args.survive == Some(Survive::Cup);
    if let Some(output) = &args.output {
        if files::same(output, &args.scene) {
            return Err(Failure::unreadable(format!(
                "error: {file} is the scene itself; give another file for the plan"
            )));
        }
        files::probe(output, Sort::Plan)?;
    }
    let line = ProgressLine::new(args.time);
    let mut solved = solve_within(&problem, args, &line)?;
    drop(line);
    refuse_faults(&problem, args, &solved)?;
    let chance = chance::choose(&problem, args, &mut solved)?;
    let plan = &solved.plan();
    let plan_text = write_plan(&scenario, &problem, plan)
        .map_err(|error| Failure::not_sound(format!("internal error: {error}; nothing was written")))?;
    let written = args.output.as_deref().map(|path| write(path, plan, &plan_text)).transpose()?;
    let survived = if plan.status == Status::Solved && problem.limits.cups_may_fail {
        surviving::lost_cups(&problem, plan)?
    } else {
        String::new()
    };
    let told = tell(&problem, args, &solved)
        + &survived
        + &chance
        + &written.map(|line| line + "\n").unwrap_or_default();
    if args.json {
        output::complain(told.trim_end());
        output::print(&plan_text)?;
    } else {
        let head = format!("{file}: {}\n", problem.name);
        let steps = if plan.steps.is_empty() { String::new() } else { verdict::steps(&problem, plan) + "\n" };
        output::print(&format!("{head}\n{steps}{told}{}\n", cautions::SHORT))?;
    }
    Ok(if plan.status == Status::Solved { exit_code::DONE } else { exit_code::NOT_SOUND })
}

/// Writes what is worth writing, and says what was done.
fn write(path: &Path, plan: &Plan, text: &str) -> Result<String, Failure> {
    let file = path.display();
    if plan.status != Status::Solved {
        if plan.steps.is_empty() {
            return Ok(format!("nothing was written to {file}"));
        }
        if path.is_file() && !is_unsolved_plan(path) {
            return Ok(format!("{file} was left as it is: an unsolved plan replaces only an unsolved plan"));
        }
    }
    files::write(path, Sort::Plan, text)?;
    Ok(format!("plan written to {file}"))
}

fn is_unsolved_plan(path: &Path) -> bool {
    let Ok(text) = files::read_text(path) else { return false };
    read_plan(&files::name(path), &text).is_ok_and(|(_, _, plan, _)| plan.status != Status::Solved)
}

/// A solution that cannot be timed or does not pass the check is no answer.
fn refuse_faults(problem: &Problem, args: &PlanArgs, solved: &Solved) -> Result<(), Failure> {
    match &solved.solution.report.unsolved {
        Some(Unsolved::CannotBeTimed(error)) => Err(Failure::not_sound(format!(
            "not solved: trips to the goal were found, but they cannot be timed: {error}; nothing was written"
        ))),
        Some(Unsolved::FailedCheck(plan, found)) => Err(Failure::not_sound(format!(
            "{}internal error: the plan that was found does not pass the check: {}; nothing was written\n\
             Please report this with the scene, planner {}, seed {}{}.",
            findings::list(problem, plan, found),
            wording::count(found.len(), "finding"),
            plan.planner.name,
            args.seed,
            args.weight.map_or_else(String::new, |weight| format!(" and weight {weight}"))
        ))),
        _ => Ok(()),
    }
}

/// Verdict, lower bound and statistics.
fn tell(problem: &Problem, args: &PlanArgs, solved: &Solved) -> String {
    let (plan, solution) = (solved.plan(), &solved.solution);
    let mut text = String::new();
    let figures = verdict::figures(problem, &plan.summary, plan.utilisation_is);
    match plan.status {
        Status::Solved if plan.steps.is_empty() => {
            let _ = writeln!(text, "solved: the crew stands as asked from the start; nothing to do");
        }
        Status::Solved => {
            let _ = writeln!(text, "solved: {figures}; checked: every instant is sound");
            if let Some(why) = &solution.report.note {
                let _ = writeln!(text, "by walking: {why}");
            }
            text += &verdict::with_payloads(problem, &plan);
            text += &verdict::timing(&plan, &solution.report);
            if !solution.report.complete {
                text += "it ended before all was tried: more time (--time) may give a shorter plan\n";
            }
            text += &verdict::bounds(problem, &plan);
            if args.explain_time {
                text += &time_use::text(problem, &plan);
            }
        }
        Status::ProvedImpossible => {
            let why = solution.proof.as_ref().map(|proof| proof.describe(problem));
            let _ = writeln!(text, "impossible: {}", why.unwrap_or_default());
        }
        Status::BudgetSpent | Status::Cancelled => {
            let _ = writeln!(text, "not solved: {}", stopped_by(solved));
            text += &best_so_far(problem, &plan, solved, &figures);
            text += &stoppers(problem, args, solved);
            if problem.limits.cups_may_fail {
                text += "no bond was to need more than its magnets hold alone (--survive cup); without that, more loads are carried\n";
            }
        }
    }
    text += &verdict::trade_offs(&solution.report.trade_offs);
    if plan.status != Status::ProvedImpossible {
        text += &statistics(args, solved);
    }
    text
}

fn stopped_by(solved: &Solved) -> String {
    match &solved.solution.report.unsolved {
        Some(Unsolved::NotCheckedInTime { trips }) => format!(
            "a way of {} was found, but there was no time to check it; --time gives more",
            wording::count(*trips, "trip")
        ),
        _ if solved.interrupted => "interrupted".into(),
        Some(Unsolved::OutOfMemory) => "the memory is used up; --memory gives more".into(),
        Some(Unsolved::Exhausted(note)) => note.clone(),
        _ => {
            let up = "the time is up; --time gives more, a larger --greed looks for an answer sooner";
            let note = solved.solution.report.note.as_ref();
            note.map_or_else(|| up.to_owned(), |note| format!("{up}\nuntil then: {note}"))
        }
    }
}

/// What stopped the crew: the loads that were not carried, or geometry if there were none.
fn stoppers(problem: &Problem, args: &PlanArgs, solved: &Solved) -> String {
    let solution = &solved.solution;
    let clauses = solution.report.stoppers.clauses(problem);
    let intros = ["what stopped it most often: ", "next: "];
    let mut text: String =
        intros.iter().zip(&clauses).map(|(intro, clause)| format!("{intro}{clause}\n")).collect();
    // `bridging` keeps no count of what its loads refuse.
    let counts = args.planner != Strategy::Single(PlannerName::Bridging);
    if clauses.is_empty() && solution.statistics.generated > 0 && counts {
        let file = files::name(&args.scene);
        text += "no move was refused for its load: what is in the way is geometry; ";
        let _ = writeln!(text, "`clamber inspect {file} --module NAME` shows where one of them gets to");
    }
    text
}

fn best_so_far(problem: &Problem, plan: &Plan, solved: &Solved, figures: &str) -> String {
    let bound_s = plan.summary.lower_bound_s;
    let bound =
        if bound_s > 0.0 { format!("no plan can take less than {bound_s:.1} s\n") } else { String::new() };
    if plan.steps.is_empty() {
        return match solved.solution.report.unsolved {
            Some(Unsolved::NotCheckedInTime { .. }) => bound,
            _ => format!("no way was found that leads nearer to the goal\n{bound}"),
        };
    }
    let nearest_s = solved.solution.report.nearest_s;
    let to_go = nearest_s.map(|s| format!(", an estimated {s:.1} s to go")).unwrap_or_default();
    let reached = reached::describe(problem, plan);
    format!(
        "best so far: {figures}\nit is sound at every instant and ends before the goal: {reached}{to_go}\n{bound}"
    )
}

fn statistics(args: &PlanArgs, solved: &Solved) -> String {
    let s = solved.solution.statistics;
    let mut text = format!(
        "searched {:.1} s, {:.1} s in all: {} configurations expanded, {} kept, {} trips found, {} to shapes known before, {} moves refused by load\n",
        solved.searched.as_secs_f64(),
        solved.elapsed.as_secs_f64(),
        s.expanded,
        s.kept,
        s.generated,
        s.duplicates,
        s.refused_by_load
    );
    if args.verbose {
        let r = s.reuse;
        let _ = writeln!(
            text,
            "of the shapes known before {} had like modules in each other's place, {} were mirrored or turned\n\
             loads at rests: {} worked out, {} known already; faces of hosts: {} worked out, {} times used again\n\
             what is kept weighs at most {:.1} MiB, by its sizes",
            s.renamed,
            s.mirrored,
            r.loads,
            r.loads_known,
            r.faces,
            r.faces_known,
            s.bytes as f64 / f64::from(1 << 20)
        );
    }
    text
}
