//! Plans followed on real modules.

use crate::ClamberStatus;
use crate::border::{
    Done, Failure, asked, free, give, give_handle, give_text, guarded, handle, list, refused, text,
};
use crate::cancel::{ClamberCancel, signal};
use crate::plan::ClamberPlan;
use clamber_core::follow::{
    Command, Event, Follower, Measured, Part, Recovery, Remedy, Scatter, StepState, Tube,
};
use clamber_core::{Control, DQuat, DVec3, Hold, Scenario, SolveOptions};
use std::ffi::c_char;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Follows a plan without a clock. Threads may share it; calls wait for each other.
pub struct ClamberFollower {
    inner: Mutex<Follower<'static>>,
}

/// What the crew is to do.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ClamberOrder {
    /// Begin a step.
    Start = 0,
    /// Stop a step where it is.
    Hold = 1,
    /// Let a step go on to its end.
    Finish = 2,
    /// Take a hop, a cross or a stride back.
    TakeBack = 3,
    /// Evacuate the cup of a module.
    Brace = 4,
}

/// An order.
#[repr(C)]
#[derive(Clone, Copy, Debug)]
pub struct ClamberCommand {
    /// What to do.
    pub order: ClamberOrder,
    /// The step; for `Brace` the number of steps.
    pub step: usize,
    /// The index of the module.
    pub module: usize,
}

/// Parts of a module that can fail: the tracks.
pub const CLAMBER_PART_DRIVE: u32 = 0;
/// The turning of the foot.
pub const CLAMBER_PART_YAW: u32 = 1;
/// The cup.
pub const CLAMBER_PART_CUP: u32 = 2;
/// All moves of its own.
pub const CLAMBER_PART_ALL: u32 = 3;

/// What to do after a deviation.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ClamberRecovery {
    /// Go on: the crew is on course.
    GoOn = 0,
    /// The same trips from where the crew is.
    Refit = 1,
    /// A new plan.
    Replan = 2,
    /// A new plan for as many slots as can still be filled.
    FewerSlots = 3,
    /// Stay: there is no plan from here.
    Stop = 4,
}

/// The pose of a module as it was measured. What it stands on is taken to be as planned.
#[repr(C)]
#[derive(Clone, Copy, Debug)]
pub struct ClamberPose {
    /// The shell's centre, in metres.
    pub position_m: [f64; 3],
    /// Body to world: x, y, z, w.
    pub orientation_xyzw: [f64; 4],
    /// Whether its cup is evacuated.
    pub braced: bool,
    /// How far a coordinate may lie from the truth, in metres; 0 for half a millimetre.
    pub scatter_m: f64,
    /// How far the orientation may lie from the truth, in radians; 0 for half a degree.
    pub scatter_rad: f64,
}

impl ClamberFollower {
    fn lock(&self) -> MutexGuard<'_, Follower<'static>> {
        self.inner.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Follows a plan from its beginning, or, where `state` is not NULL, from a state that `clamber_follower_state` gave.
///
/// # Safety
/// The handle is valid; `state` is NULL or a text; `follower` points to room for a handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_follower_new(
    plan: *const ClamberPlan,
    state: *const c_char,
    follower: *mut *mut ClamberFollower,
) -> ClamberStatus {
    guarded(|| {
        // SAFETY: as the caller promises.
        let own = unsafe { handle("plan", plan) }?;
        let begun = if state.is_null() {
            Follower::new(&own.problem, &own.plan)
        } else {
            // SAFETY: as the caller promises.
            let state = serde_json::from_str(unsafe { text("state", state) }?).map_err(refused)?;
            Follower::resume(&own.problem, &own.plan, state)
        };
        let inner = Mutex::new(begun.map_err(refused)?.into_owned());
        // SAFETY: as the caller promises.
        unsafe { give_handle("follower", follower, ClamberFollower { inner }) }
    })
}

/// All that the follower knows, as a text to keep, to be freed.
///
/// # Safety
/// The handle is valid; `state` points to room for a pointer.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_follower_state(
    follower: *const ClamberFollower,
    state: *mut *mut c_char,
) -> ClamberStatus {
    guarded(|| {
        // SAFETY: as the caller promises.
        let own = unsafe { handle("follower", follower) }?;
        let written = serde_json::to_string(own.lock().state()).map_err(refused)?;
        // SAFETY: as the caller promises.
        unsafe { give_text("state", state, written) }
    })
}

/// Whether all steps have ended; false for NULL.
///
/// # Safety
/// The handle is NULL or valid.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_follower_is_done(follower: *const ClamberFollower) -> bool {
    // SAFETY: as the caller promises.
    asked(false, || Ok(unsafe { handle("follower", follower) }?.lock().is_done()))
}

/// Whether no further step may start; false for NULL.
///
/// # Safety
/// The handle is NULL or valid.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_follower_is_halted(follower: *const ClamberFollower) -> bool {
    // SAFETY: as the caller promises.
    asked(false, || Ok(unsafe { handle("follower", follower) }?.lock().state().halted))
}

/// The share of a step that is done, 0 to 1; -1 for a step that there is not.
///
/// # Safety
/// The handle is NULL or valid.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_follower_share(follower: *const ClamberFollower, step: usize) -> f64 {
    asked(-1.0, || {
        // SAFETY: as the caller promises.
        let own = unsafe { handle("follower", follower) }?.lock();
        Ok(match own.state().steps.get(step) {
            None => -1.0,
            Some(StepState::Waiting) => 0.0,
            Some(StepState::Done) => 1.0,
            Some(StepState::UnderWay(share) | StepState::Stalled(share)) => *share,
        })
    })
}

/// The commands that hold now: what may start, or how to stop once the follower has halted. Writes at most `room` of them, and how many there are.
///
/// # Safety
/// The handle is valid; `commands` points to `room` commands, `count` to a number.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_follower_commands(
    follower: *const ClamberFollower,
    commands: *mut ClamberCommand,
    room: usize,
    count: *mut usize,
) -> ClamberStatus {
    guarded(|| {
        // SAFETY: as the caller promises.
        let own = unsafe { handle("follower", follower) }?.lock();
        let found = match own.state().halted {
            true => own.safe_stop().commands,
            false => own.may_start().into_iter().map(|step| Command::Start { step }).collect(),
        };
        // SAFETY: as the caller promises.
        unsafe { give_commands(&own, &found, commands, room, count) }
    })
}

/// # Safety
/// As [`clamber_follower_commands`].
unsafe fn give_commands(
    own: &Follower<'_>,
    found: &[Command],
    commands: *mut ClamberCommand,
    room: usize,
    count: *mut usize,
) -> Done<()> {
    let of_step =
        |order, step: usize| ClamberCommand { order, step, module: own.plan().steps[step].module.index() };
    for (index, command) in found.iter().take(room).enumerate() {
        let entry = match *command {
            Command::Start { step } => of_step(ClamberOrder::Start, step),
            Command::Hold { step } => of_step(ClamberOrder::Hold, step),
            Command::Finish { step } => of_step(ClamberOrder::Finish, step),
            Command::TakeBack { step } => of_step(ClamberOrder::TakeBack, step),
            Command::Brace { module } => {
                ClamberCommand { order: ClamberOrder::Brace, step: own.plan().steps.len(), module }
            }
        };
        if commands.is_null() {
            return Err(Failure::Argument("commands is NULL".into()));
        }
        // SAFETY: `index` is below `room`, for which there is room.
        unsafe { give("commands", commands.add(index), entry) }?;
    }
    // SAFETY: as the caller promises.
    unsafe { give("count", count, found.len()) }
}

fn note(own: &ClamberFollower, event: Event) -> Done<()> {
    own.lock().note(event).map(drop).map_err(refused)
}

/// A step has begun. Ask `clamber_follower_commands` after each event.
///
/// # Safety
/// The handle is valid.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_follower_started(
    follower: *const ClamberFollower,
    step: usize,
) -> ClamberStatus {
    // SAFETY: as the caller promises.
    guarded(|| note(unsafe { handle("follower", follower) }?, Event::Started { step }))
}

/// A step has come further: to this share of its move, 0 to 1.
///
/// # Safety
/// The handle is valid.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_follower_came(
    follower: *const ClamberFollower,
    step: usize,
    share: f64,
) -> ClamberStatus {
    // SAFETY: as the caller promises.
    guarded(|| note(unsafe { handle("follower", follower) }?, Event::Share { step, share }))
}

/// A step has ended as planned.
///
/// # Safety
/// The handle is valid.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_follower_ended(
    follower: *const ClamberFollower,
    step: usize,
) -> ClamberStatus {
    // SAFETY: as the caller promises.
    guarded(|| note(unsafe { handle("follower", follower) }?, Event::Ended { step }))
}

/// A step has stopped at this share of its move, and does not go on. No further step may start.
///
/// # Safety
/// The handle is valid.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_follower_stalled(
    follower: *const ClamberFollower,
    step: usize,
    share: f64,
) -> ClamberStatus {
    // SAFETY: as the caller promises.
    guarded(|| note(unsafe { handle("follower", follower) }?, Event::Stalled { step, share }))
}

/// A part of a module, by its index, has failed: one of `CLAMBER_PART_...`. No further step may start.
///
/// # Safety
/// The handle is valid.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_follower_lost(
    follower: *const ClamberFollower,
    module: usize,
    part: u32,
) -> ClamberStatus {
    guarded(|| {
        let part = match part {
            CLAMBER_PART_DRIVE => Part::Drive,
            CLAMBER_PART_YAW => Part::Yaw,
            CLAMBER_PART_CUP => Part::Cup,
            CLAMBER_PART_ALL => Part::All,
            other => {
                return Err(Failure::Argument(format!(
                    "part is {other}; one of CLAMBER_PART_... is allowed"
                )));
            }
        };
        // SAFETY: as the caller promises.
        note(unsafe { handle("follower", follower) }?, Event::Lost { module, part })
    })
}

/// No further step may start. Whether the check has proven how the crew then stops is written to `proven`, which may be NULL.
///
/// # Safety
/// The handle is valid; `proven` is NULL or points to room for a bool.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_follower_halt(
    follower: *const ClamberFollower,
    proven: *mut bool,
) -> ClamberStatus {
    guarded(|| {
        // SAFETY: as the caller promises.
        let stop = unsafe { handle("follower", follower) }?.lock().halt();
        if proven.is_null() {
            return Ok(());
        }
        // SAFETY: as the caller promises.
        unsafe { give("proven", proven, stop.findings.is_empty()) }
    })
}

/// Where the crew should be: one pose for each module. `poses` has room for all.
///
/// # Safety
/// The handle is valid; `poses` points to room for as many poses as the crew has modules.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_follower_expected(
    follower: *const ClamberFollower,
    poses: *mut ClamberPose,
) -> ClamberStatus {
    guarded(|| {
        // SAFETY: as the caller promises.
        let own = unsafe { handle("follower", follower) }?.lock();
        for (id, place) in own.expected().iter() {
            let pose = ClamberPose {
                position_m: place.position.to_array(),
                orientation_xyzw: place.orientation.to_array(),
                braced: place.hold == Hold::Braced,
                scatter_m: 0.0,
                scatter_rad: 0.0,
            };
            if poses.is_null() {
                return Err(Failure::Argument("poses is NULL".into()));
            }
            // SAFETY: there is room for each module.
            unsafe { give("poses", poses.add(id.index()), pose) }?;
        }
        Ok(())
    })
}

fn measured(own: &Follower<'_>, poses: &[ClamberPose]) -> Done<Vec<Measured>> {
    let modules = own.problem().modules.len();
    if poses.len() != modules {
        let words = format!("{} poses were given, and the crew has {modules} modules", poses.len());
        return Err(Failure::Argument(words));
    }
    let usual = Scatter::default();
    let or_usual = |given: f64, usual: f64| if given == 0.0 { usual } else { given };
    let one = |((_, place), pose): ((_, &clamber_core::Placement), &ClamberPose)| {
        let scatter = Scatter {
            position_m: or_usual(pose.scatter_m, usual.position_m),
            angle_rad: or_usual(pose.scatter_rad, usual.angle_rad),
        };
        let mut measured = Measured::exactly(place, scatter);
        measured.position = DVec3::from_array(pose.position_m);
        measured.orientation = DQuat::from_array(pose.orientation_xyzw);
        measured.hold = if pose.braced { Hold::Braced } else { Hold::Rolling };
        measured
    };
    Ok(own.expected().iter().zip(poses).map(one).collect())
}

/// Whether all modules are where they should be, within 2.5 mm and 0.025 rad.
///
/// # Safety
/// The handle is valid; `poses` points to `count` poses, one for each module; `on_course` points to room for a bool.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_follower_on_course(
    follower: *const ClamberFollower,
    poses: *const ClamberPose,
    count: usize,
    on_course: *mut bool,
) -> ClamberStatus {
    guarded(|| {
        // SAFETY: as the caller promises.
        let (own, poses) =
            unsafe { (handle("follower", follower)?.lock().clone(), list("poses", poses, count)?) };
        let found = own.whereabouts(&measured(&own, poses)?, Tube::default()).map_err(refused)?;
        // SAFETY: as the caller promises.
        unsafe { give("on_course", on_course, found.beyond.is_empty()) }
    })
}

/// The crew stands: what now? `plan` is a new plan to follow, or NULL; before it come `count` commands of the old one, of which at most `room` are
/// written. After `time_s` the search finishes, and stops when cancelled from another thread.
///
/// # Safety
/// The handles are valid, `cancel` may be NULL; `poses` points to `pose_count` poses; the rest points to room.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_follower_recover(
    follower: *const ClamberFollower,
    poses: *const ClamberPose,
    pose_count: usize,
    time_s: f64,
    cancel: *const ClamberCancel,
    recovery: *mut ClamberRecovery,
    plan: *mut *mut ClamberPlan,
    commands: *mut ClamberCommand,
    room: usize,
    count: *mut usize,
) -> ClamberStatus {
    guarded(|| {
        // SAFETY: as the caller promises.
        let (own, poses, signal) = unsafe {
            let own = handle("follower", follower)?.lock().clone();
            (own, list("poses", poses, pose_count)?, signal(time_s, cancel)?)
        };
        if own.is_moving() {
            return Err(refused(
                "the crew is still moving; report how each step that is under way has ended or stopped",
            ));
        }
        let options = SolveOptions { shortening: 0, patience: 0, ..SolveOptions::default() };
        let poses = measured(&own, poses)?;
        let found =
            own.recover(&poses, Tube::default(), &options, &Control::new(&signal)).map_err(refused)?;
        let (word, first, next) = match found {
            Recovery::GoOn => (ClamberRecovery::GoOn, Vec::new(), None),
            Recovery::Stop(stop) => (ClamberRecovery::Stop, stop.commands, None),
            Recovery::Follow { remedy, first, problem, plan } => {
                let word = match remedy {
                    Remedy::Refit => ClamberRecovery::Refit,
                    Remedy::Replan => ClamberRecovery::Replan,
                    Remedy::FewerSlots => ClamberRecovery::FewerSlots,
                };
                let scenario = Arc::new(Scenario::of(&problem).map_err(refused)?);
                (word, first, Some(ClamberPlan { scenario, problem: Arc::new(*problem), plan: *plan }))
            }
        };
        // SAFETY: as the caller promises.
        unsafe {
            give_commands(&own, &first, commands, room, count)?;
            give("recovery", recovery, word)?;
            match next {
                Some(next) => give_handle("plan", plan, next),
                None => give("plan", plan, std::ptr::null_mut()),
            }
        }
    })
}

/// Frees a follower.
///
/// # Safety
/// The handle is NULL or valid, and is not used afterwards.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_follower_free(follower: *mut ClamberFollower) {
    // SAFETY: as the caller promises.
    unsafe { free(follower) };
}
