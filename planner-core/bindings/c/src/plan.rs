//! Plans.

use crate::ClamberStatus;
use crate::border::{asked, free, give, give_handle, give_text, guarded, handle, list, refused, text};
use crate::cancel::{ClamberCancel, signal};
use crate::scene::ClamberScene;
use clamber_core::unstable::course::Course;
use clamber_core::{
    Control, Move, Plan, Problem, Scenario, SolveOptions, Status, check_plan, read_plan, solve, write_plan,
};
use std::ffi::c_char;
use std::sync::Arc;

/// A timed plan with its scene. It does not change; any number of threads may use it.
pub struct ClamberPlan {
    pub(crate) scenario: Arc<Scenario>,
    pub(crate) problem: Arc<Problem>,
    pub(crate) plan: Plan,
}

/// How a search ended.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ClamberOutcome {
    /// The plan reaches the goal.
    Solved = 0,
    /// A certificate proves that there is no plan.
    Impossible = 1,
    /// Time or memory was used up; the plan leads part of the way, or is empty.
    Spent = 2,
    /// It was cancelled; the plan leads part of the way, or is empty.
    Cancelled = 3,
}

/// A move.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ClamberMove {
    /// It turns by `angle_rad`.
    Yaw = 0,
    /// It drives by `travel_m` with `curvature_per_m`.
    Slide = 1,
    /// Its foot goes over to another host.
    Hop = 2,
    /// It evacuates its cup.
    Brace = 3,
    /// It lets air into its cup.
    Release = 4,
    /// It drives by `travel_m` over an edge between two decks.
    Cross = 5,
    /// A move that this interface does not know; see the plan's text.
    Other = 6,
    /// The machine that stands on it makes a step: planted modules roll by `angle_rad`; see the plan's text for the rest.
    Stride = 7,
}

/// A timed move.
#[repr(C)]
#[derive(Clone, Copy, Debug)]
pub struct ClamberStep {
    /// The index of its module.
    pub module: usize,
    /// What it does.
    pub move_: ClamberMove,
    /// 0 where the move has none.
    pub angle_rad: f64,
    /// 0 where the move has none.
    pub travel_m: f64,
    /// 0 where the move has none.
    pub curvature_per_m: f64,
    /// From the plan's beginning.
    pub start_s: f64,
    /// How long it takes.
    pub duration_s: f64,
    /// The number of steps that must have ended before.
    pub after_count: usize,
}

/// Searches for a plan; after `time_s` it finishes, and stops when cancelled from another thread. `seed` breaks ties. `quick` is satisfied with the
/// first plan. `outcome` may be NULL.
///
/// # Safety
/// The handles are valid, `cancel` may be NULL; `plan` points to room for a handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_plan_solve(
    scene: *const ClamberScene,
    time_s: f64,
    seed: u64,
    quick: bool,
    cancel: *const ClamberCancel,
    outcome: *mut ClamberOutcome,
    plan: *mut *mut ClamberPlan,
) -> ClamberStatus {
    guarded(|| {
        // SAFETY: as the caller promises.
        let (scene, signal) = unsafe { (handle("scene", scene)?, signal(time_s, cancel)?) };
        let usual = SolveOptions { seed, ..SolveOptions::default() };
        let options = if quick { SolveOptions { shortening: 0, patience: 0, ..usual } } else { usual };
        let solution = solve(&scene.problem, &options, &Control::new(&signal)).map_err(refused)?;
        let ended = match solution.status {
            Status::Solved => ClamberOutcome::Solved,
            Status::ProvedImpossible => ClamberOutcome::Impossible,
            Status::BudgetSpent => ClamberOutcome::Spent,
            Status::Cancelled => ClamberOutcome::Cancelled,
        };
        if !outcome.is_null() {
            // SAFETY: as the caller promises.
            unsafe { give("outcome", outcome, ended) }?;
        }
        let made = ClamberPlan {
            scenario: Arc::clone(&scene.scenario),
            problem: Arc::clone(&scene.problem),
            plan: solution.plan,
        };
        // SAFETY: as the caller promises.
        unsafe { give_handle("plan", plan, made) }
    })
}

/// Reads the text of a plan file. `name` is that of the file, for messages.
///
/// # Safety
/// The texts end in a zero byte; `plan` points to room for a handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_plan_read(
    name: *const c_char,
    json: *const c_char,
    plan: *mut *mut ClamberPlan,
) -> ClamberStatus {
    guarded(|| {
        // SAFETY: as the caller promises.
        let (name, json) = unsafe { (text("name", name)?, text("json", json)?) };
        let (scenario, problem, read, _) = read_plan(name, json).map_err(refused)?;
        let read = ClamberPlan { scenario: Arc::new(scenario), problem: Arc::new(problem), plan: read };
        // SAFETY: as the caller promises.
        unsafe { give_handle("plan", plan, read) }
    })
}

/// The text of the plan file, to be freed.
///
/// # Safety
/// The handle is valid; `json` points to room for a pointer.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_plan_text(
    plan: *const ClamberPlan,
    json: *mut *mut c_char,
) -> ClamberStatus {
    guarded(|| {
        // SAFETY: as the caller promises.
        let own = unsafe { handle("plan", plan) }?;
        let written = write_plan(&own.scenario, &own.problem, &own.plan).map_err(refused)?;
        // SAFETY: as the caller promises.
        unsafe { give_text("json", json, written) }
    })
}

/// Checks a plan against every rule. `findings` is the number of rules that it breaks; `words`, which may be NULL, all of them, one on each line, to
/// be freed.
///
/// # Safety
/// The handle is valid; `findings` points to room for a number, `words` to room for a pointer.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_plan_check(
    plan: *const ClamberPlan,
    findings: *mut usize,
    words: *mut *mut c_char,
) -> ClamberStatus {
    guarded(|| {
        // SAFETY: as the caller promises.
        let own = unsafe { handle("plan", plan) }?;
        let report = check_plan(&own.problem, &own.plan).map_err(refused)?;
        // SAFETY: as the caller promises.
        unsafe { give("findings", findings, report.findings.len()) }?;
        if words.is_null() {
            return Ok(());
        }
        let lines: Vec<String> = report.findings.iter().map(ToString::to_string).collect();
        // SAFETY: as the caller promises.
        unsafe { give_text("words", words, lines.join("\n")) }
    })
}

/// The number of steps; 0 for NULL.
///
/// # Safety
/// The handle is NULL or valid.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_plan_steps(plan: *const ClamberPlan) -> usize {
    // SAFETY: as the caller promises.
    asked(0, || Ok(unsafe { handle("plan", plan) }?.plan.steps.len()))
}

/// How long the plan takes, in seconds; 0 for NULL.
///
/// # Safety
/// The handle is NULL or valid.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_plan_makespan_s(plan: *const ClamberPlan) -> f64 {
    // SAFETY: as the caller promises.
    asked(0.0, || Ok(unsafe { handle("plan", plan) }?.plan.summary.makespan_s))
}

/// A step.
///
/// # Safety
/// The handle is valid; `step` points to room for a step.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_plan_step(
    plan: *const ClamberPlan,
    index: usize,
    step: *mut ClamberStep,
) -> ClamberStatus {
    guarded(|| {
        // SAFETY: as the caller promises.
        let own = unsafe { handle("plan", plan) }?;
        let Some(found) = own.plan.steps.get(index) else {
            let count = own.plan.steps.len();
            return Err(crate::border::Failure::Argument(format!(
                "step {index}: the plan has {count} steps"
            )));
        };
        let entry = |move_, angle_rad, travel_m, curvature_per_m| ClamberStep {
            module: found.module.index(),
            move_,
            angle_rad,
            travel_m,
            curvature_per_m,
            start_s: found.start_s,
            duration_s: found.duration_s,
            after_count: found.after.len(),
        };
        let given = match found.action {
            Move::Yaw { angle_rad } => entry(ClamberMove::Yaw, angle_rad, 0.0, 0.0),
            Move::Slide { travel_m, curvature_per_m } => {
                entry(ClamberMove::Slide, 0.0, travel_m, curvature_per_m)
            }
            Move::Hop { .. } => entry(ClamberMove::Hop, 0.0, 0.0, 0.0),
            Move::Cross { travel_m, .. } => entry(ClamberMove::Cross, 0.0, travel_m, 0.0),
            Move::Brace => entry(ClamberMove::Brace, 0.0, 0.0, 0.0),
            Move::Release => entry(ClamberMove::Release, 0.0, 0.0, 0.0),
            Move::Stride { angle_rad, .. } => entry(ClamberMove::Stride, angle_rad, 0.0, 0.0),
            #[allow(unreachable_patterns, reason = "moves that come later need no new interface")]
            _ => entry(ClamberMove::Other, 0.0, 0.0, 0.0),
        };
        // SAFETY: as the caller promises.
        unsafe { give("step", step, given) }
    })
}

/// Where everybody is at some times: for each time and each module seven numbers, the centre and the orientation x, y, z, w. `poses` has room for
/// 7 x `count` x modules of them.
///
/// # Safety
/// The handle is valid; `times_s` points to `count` numbers, `poses` to that much room.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_plan_poses(
    plan: *const ClamberPlan,
    times_s: *const f64,
    count: usize,
    poses: *mut f64,
) -> ClamberStatus {
    guarded(|| {
        // SAFETY: as the caller promises.
        let (own, times) = unsafe { (handle("plan", plan)?, list("times_s", times_s, count)?) };
        let course = Course::new(&own.problem, &own.plan).map_err(refused)?;
        let mut at = poses;
        for time in times {
            for id in own.problem.module_ids() {
                let (position, orientation) = course.pose(id, *time);
                for number in position.to_array().into_iter().chain(orientation.to_array()) {
                    // SAFETY: there is room for 7 numbers for each time and module, as the caller promises.
                    unsafe {
                        give("poses", at, number)?;
                        at = at.add(1);
                    }
                }
            }
        }
        Ok(())
    })
}

/// The scene of a plan, a handle of its own; NULL for NULL.
///
/// # Safety
/// The handle is NULL or valid.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_plan_scene(plan: *const ClamberPlan) -> *mut ClamberScene {
    asked(std::ptr::null_mut(), || {
        // SAFETY: as the caller promises.
        let own = unsafe { handle("plan", plan) }?;
        let scene = ClamberScene { scenario: Arc::clone(&own.scenario), problem: Arc::clone(&own.problem) };
        Ok(Box::into_raw(Box::new(scene)))
    })
}

/// Frees a plan. Followers that were made of it stay.
///
/// # Safety
/// The handle is NULL or valid, and is not used afterwards.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_plan_free(plan: *mut ClamberPlan) {
    // SAFETY: as the caller promises.
    unsafe { free(plan) };
}
