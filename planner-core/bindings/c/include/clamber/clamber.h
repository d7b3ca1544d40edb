#ifndef CLAMBER_H
#define CLAMBER_H

/* Made by cbindgen from src/. Do not edit: CLAMBER_BLESS=1 cargo build -p clamber-c writes it anew. */

#include <stddef.h>
#include <stdint.h>
#include <stdbool.h>

// The version of this interface. A library with another is not to be used.
#define CLAMBER_ABI 1

// Parts of a module that can fail: the tracks.
#define CLAMBER_PART_DRIVE 0

// The turning of the foot.
#define CLAMBER_PART_YAW 1

// The cup.
#define CLAMBER_PART_CUP 2

// All moves of its own.
#define CLAMBER_PART_ALL 3

// How a call ended.
typedef enum {
  // As asked.
  CLAMBER_STATUS_OK = 0,
  // A pointer is NULL, a text is not UTF-8, or a number is out of range.
  CLAMBER_STATUS_ARGUMENT = 1,
  // A scene, a plan, a state, a pose or an event makes no sense, or cannot be.
  CLAMBER_STATUS_REFUSED = 2,
  // A mistake in the library; please report it.
  CLAMBER_STATUS_INTERNAL = 3,
} ClamberStatus;

// What the crew is to do.
typedef enum {
  // Begin a step.
  CLAMBER_ORDER_START = 0,
  // Stop a step where it is.
  CLAMBER_ORDER_HOLD = 1,
  // Let a step go on to its end.
  CLAMBER_ORDER_FINISH = 2,
  // Take a hop, a cross or a stride back.
  CLAMBER_ORDER_TAKE_BACK = 3,
  // Evacuate the cup of a module.
  CLAMBER_ORDER_BRACE = 4,
} ClamberOrder;

// What to do after a deviation.
typedef enum {
  // Go on: the crew is on course.
  CLAMBER_RECOVERY_GO_ON = 0,
  // The same trips from where the crew is.
  CLAMBER_RECOVERY_REFIT = 1,
  // A new plan.
  CLAMBER_RECOVERY_REPLAN = 2,
  // A new plan for as many slots as can still be filled.
  CLAMBER_RECOVERY_FEWER_SLOTS = 3,
  // Stay: there is no plan from here.
  CLAMBER_RECOVERY_STOP = 4,
} ClamberRecovery;

// How a search ended.
typedef enum {
  // The plan reaches the goal.
  CLAMBER_OUTCOME_SOLVED = 0,
  // A certificate proves that there is no plan.
  CLAMBER_OUTCOME_IMPOSSIBLE = 1,
  // Time or memory was used up; the plan leads part of the way, or is empty.
  CLAMBER_OUTCOME_SPENT = 2,
  // It was cancelled; the plan leads part of the way, or is empty.
  CLAMBER_OUTCOME_CANCELLED = 3,
} ClamberOutcome;

// A move.
typedef enum {
  // It turns by `angle_rad`.
  CLAMBER_MOVE_YAW = 0,
  // It drives by `travel_m` with `curvature_per_m`.
  CLAMBER_MOVE_SLIDE = 1,
  // Its foot goes over to another host.
  CLAMBER_MOVE_HOP = 2,
  // It evacuates its cup.
  CLAMBER_MOVE_BRACE = 3,
  // It lets air into its cup.
  CLAMBER_MOVE_RELEASE = 4,
  // It drives by `travel_m` over an edge between two decks.
  CLAMBER_MOVE_CROSS = 5,
  // A move that this interface does not know; see the plan's text.
  CLAMBER_MOVE_OTHER = 6,
  // The machine that stands on it makes a step: planted modules roll by `angle_rad`; see the plan's text for the rest.
  CLAMBER_MOVE_STRIDE = 7,
} ClamberMove;

// Stops work. Any thread may use it at any time until it is freed.
typedef struct ClamberCancel ClamberCancel;

// Follows a plan without a clock. Threads may share it; calls wait for each other.
typedef struct ClamberFollower ClamberFollower;

// A timed plan with its scene. It does not change; any number of threads may use it.
typedef struct ClamberPlan ClamberPlan;

// A scene: site, crew, start and goal. It does not change; any number of threads may use it.
typedef struct ClamberScene ClamberScene;

// An order.
typedef struct {
  // What to do.
  ClamberOrder order;
  // The step; for `Brace` the number of steps.
  size_t step;
  // The index of the module.
  size_t module;
} ClamberCommand;

// The pose of a module as it was measured. What it stands on is taken to be as planned.
typedef struct {
  // The shell's centre, in metres.
  double position_m[3];
  // Body to world: x, y, z, w.
  double orientation_xyzw[4];
  // Whether its cup is evacuated.
  bool braced;
  // How far a coordinate may lie from the truth, in metres; 0 for half a millimetre.
  double scatter_m;
  // How far the orientation may lie from the truth, in radians; 0 for half a degree.
  double scatter_rad;
} ClamberPose;

// A timed move.
typedef struct {
  // The index of its module.
  size_t module;
  // What it does.
  ClamberMove move_;
  // 0 where the move has none.
  double angle_rad;
  // 0 where the move has none.
  double travel_m;
  // 0 where the move has none.
  double curvature_per_m;
  // From the plan's beginning.
  double start_s;
  // How long it takes.
  double duration_s;
  // The number of steps that must have ended before.
  size_t after_count;
} ClamberStep;

#ifdef __cplusplus
extern "C" {
#endif // __cplusplus

// What `CLAMBER_ABI` was when the library was made.
uint32_t clamber_abi(void);

// What the last call of this thread that failed said. It stays until the next call of this thread fails; do not free it.
const char *clamber_last_error(void);

// Frees a text that a function gave. NULL is nothing to free.
//
// # Safety
// The text is NULL, or a function of this library gave it, and it was not freed.
void clamber_text_free(char *text);

// A new one, not set.
ClamberCancel *clamber_cancel_new(void);

// Stops all work that was given this handle, now and later.
//
// # Safety
// The handle is NULL or valid.
void clamber_cancel_set(const ClamberCancel *cancel);

// Frees it. Work that was given it may still be under way, and goes on.
//
// # Safety
// The handle is NULL or valid, and is not used afterwards.
void clamber_cancel_free(ClamberCancel *cancel);

// Follows a plan from its beginning, or, where `state` is not NULL, from a state that `clamber_follower_state` gave.
//
// # Safety
// The handle is valid; `state` is NULL or a text; `follower` points to room for a handle.
ClamberStatus clamber_follower_new(const ClamberPlan *plan,
                                   const char *state,
                                   ClamberFollower **follower);

// All that the follower knows, as a text to keep, to be freed.
//
// # Safety
// The handle is valid; `state` points to room for a pointer.
ClamberStatus clamber_follower_state(const ClamberFollower *follower, char **state);

// Whether all steps have ended; false for NULL.
//
// # Safety
// The handle is NULL or valid.
bool clamber_follower_is_done(const ClamberFollower *follower);

// Whether no further step may start; false for NULL.
//
// # Safety
// The handle is NULL or valid.
bool clamber_follower_is_halted(const ClamberFollower *follower);

// The share of a step that is done, 0 to 1; -1 for a step that there is not.
//
// # Safety
// The handle is NULL or valid.
double clamber_follower_share(const ClamberFollower *follower, size_t step);

// The commands that hold now: what may start, or how to stop once the follower has halted. Writes at most `room` of them, and how many there are.
//
// # Safety
// The handle is valid; `commands` points to `room` commands, `count` to a number.
ClamberStatus clamber_follower_commands(const ClamberFollower *follower,
                                        ClamberCommand *commands,
                                        size_t room,
                                        size_t *count);

// A step has begun. Ask `clamber_follower_commands` after each event.
//
// # Safety
// The handle is valid.
ClamberStatus clamber_follower_started(const ClamberFollower *follower, size_t step);

// A step has come further: to this share of its move, 0 to 1.
//
// # Safety
// The handle is valid.
ClamberStatus clamber_follower_came(const ClamberFollower *follower, size_t step, double share);

// A step has ended as planned.
//
// # Safety
// The handle is valid.
ClamberStatus clamber_follower_ended(const ClamberFollower *follower, size_t step);

// A step has stopped at this share of its move, and does not go on. No further step may start.
//
// # Safety
// The handle is valid.
ClamberStatus clamber_follower_stalled(const ClamberFollower *follower, size_t step, double share);

// A part of a module, by its index, has failed: one of `CLAMBER_PART_...`. No further step may start.
//
// # Safety
// The handle is valid.
ClamberStatus clamber_follower_lost(const ClamberFollower *follower,
                                    size_t module,
                                    uint32_t part);

// No further step may start. Whether the check has proven how the crew then stops is written to `proven`, which may be NULL.
//
// # Safety
// The handle is valid; `proven` is NULL or points to room for a bool.
ClamberStatus clamber_follower_halt(const ClamberFollower *follower,
                                    bool *proven);

// Where the crew should be: one pose for each module. `poses` has room for all.
//
// # Safety
// The handle is valid; `poses` points to room for as many poses as the crew has modules.
ClamberStatus clamber_follower_expected(const ClamberFollower *follower, ClamberPose *poses);

// Whether all modules are where they should be, within 2.5 mm and 0.025 rad.
//
// # Safety
// The handle is valid; `poses` points to `count` poses, one for each module; `on_course` points to room for a bool.
ClamberStatus clamber_follower_on_course(const ClamberFollower *follower,
                                         const ClamberPose *poses,
                                         size_t count,
                                         bool *on_course);

// The crew stands: what now? `plan` is a new plan to follow, or NULL; before it come `count` commands of the old one, of which at most `room` are
// written. After `time_s` the search finishes, and stops when cancelled from another thread.
//
// # Safety
// The handles are valid, `cancel` may be NULL; `poses` points to `pose_count` poses; the rest points to room.
ClamberStatus clamber_follower_recover(const ClamberFollower *follower,
                                       const ClamberPose *poses,
                                       size_t pose_count,
                                       double time_s,
                                       const ClamberCancel *cancel,
                                       ClamberRecovery *recovery,
                                       ClamberPlan **plan,
                                       ClamberCommand *commands,
                                       size_t room,
                                       size_t *count);

// Frees a follower.
//
// # Safety
// The handle is NULL or valid, and is not used afterwards.
void clamber_follower_free(ClamberFollower *follower);

// Searches for a plan; after `time_s` it finishes, and stops when cancelled from another thread. `seed` breaks ties. `quick` is satisfied with the
// first plan. `outcome` may be NULL.
//
// # Safety
// The handles are valid, `cancel` may be NULL; `plan` points to room for a handle.
ClamberStatus clamber_plan_solve(const ClamberScene *scene,
                                 double time_s,
                                 uint64_t seed,
                                 bool quick,
                                 const ClamberCancel *cancel,
                                 ClamberOutcome *outcome,
                                 ClamberPlan **plan);

// Reads the text of a plan file. `name` is that of the file, for messages.
//
// # Safety
// The texts end in a zero byte; `plan` points to room for a handle.
ClamberStatus clamber_plan_read(const char *name, const char *json, ClamberPlan **plan);

// The text of the plan file, to be freed.
//
// # Safety
// The handle is valid; `json` points to room for a pointer.
ClamberStatus clamber_plan_text(const ClamberPlan *plan, char **json);

// Checks a plan against every rule. `findings` is the number of rules that it breaks; `words`, which may be NULL, all of them, one on each line, to
// be freed.
//
// # Safety
// The handle is valid; `findings` points to room for a number, `words` to room for a pointer.
ClamberStatus clamber_plan_check(const ClamberPlan *plan,
                                 size_t *findings,
                                 char **words);

// The number of steps; 0 for NULL.
//
// # Safety
// The handle is NULL or valid.
size_t clamber_plan_steps(const ClamberPlan *plan);

// How long the plan takes, in seconds; 0 for NULL.
//
// # Safety
// The handle is NULL or valid.
double clamber_plan_makespan_s(const ClamberPlan *plan);

// A step.
//
// # Safety
// The handle is valid; `step` points to room for a step.
ClamberStatus clamber_plan_step(const ClamberPlan *plan, size_t index, ClamberStep *step);

// Where everybody is at some times: for each time and each module seven numbers, the centre and the orientation x, y, z, w. `poses` has room for
// 7 x `count` x modules of them.
//
// # Safety
// The handle is valid; `times_s` points to `count` numbers, `poses` to that much room.
ClamberStatus clamber_plan_poses(const ClamberPlan *plan,
                                 const double *times_s,
                                 size_t count,
                                 double *poses);

// The scene of a plan, a handle of its own; NULL for NULL.
//
// # Safety
// The handle is NULL or valid.
ClamberScene *clamber_plan_scene(const ClamberPlan *plan);

// Frees a plan. Followers that were made of it stay.
//
// # Safety
// The handle is NULL or valid, and is not used afterwards.
void clamber_plan_free(ClamberPlan *plan);

// Reads the text of a scene, TOML or JSON. `name` is that of the file, for messages.
//
// # Safety
// The texts end in a zero byte; `scene` points to room for a handle.
ClamberStatus clamber_scene_read(const char *name, const char *toml, ClamberScene **scene);

// The number of modules; 0 for NULL.
//
// # Safety
// The handle is NULL or valid.
size_t clamber_scene_modules(const ClamberScene *scene);

// The name of a module, to be freed; NULL for one that there is not.
//
// # Safety
// The handle is NULL or valid.
char *clamber_scene_module_name(const ClamberScene *scene, size_t module);

// The scene as TOML, to be freed.
//
// # Safety
// The handle is NULL or valid; `toml` points to room for a pointer.
ClamberStatus clamber_scene_text(const ClamberScene *scene, char **toml);

// Frees a scene. Plans that were made of it stay.
//
// # Safety
// The handle is NULL or valid, and is not used afterwards.
void clamber_scene_free(ClamberScene *scene);

#ifdef __cplusplus
}  // extern "C"
#endif  // __cplusplus

#endif  /* CLAMBER_H */
