/* Plans a scene, follows the plan with a crew that stops half-way, replans, and follows on. Usage: follow SCENE [PLAN.json] */
#include <clamber/clamber.h>
#include <stdio.h>
#include <stdlib.h>

#define MODULES 64
#define STEPS 1024

static void must(ClamberStatus status) {
  if (status != CLAMBER_STATUS_OK) {
    fprintf(stderr, "%s\n", clamber_last_error());
    exit(1);
  }
}

static char *read_file(const char *name) {
  FILE *file = fopen(name, "rb");
  char *text = NULL;
  long size = 0;
  if (!file) {
    fprintf(stderr, "%s cannot be read\n", name);
    exit(1);
  }
  fseek(file, 0, SEEK_END);
  size = ftell(file);
  rewind(file);
  text = calloc((size_t)size + 1, 1);
  if (!text || fread(text, 1, (size_t)size, file) != (size_t)size) exit(1);
  fclose(file);
  return text;
}

/* Every step at once; the first drive stops half-way if `stalls`. */
static void drive(const ClamberPlan *plan, size_t modules, int stalls) {
  ClamberFollower *follower = NULL;
  ClamberCommand commands[STEPS];
  ClamberPose poses[MODULES];
  size_t count = 0, i = 0;
  must(clamber_follower_new(plan, NULL, &follower));
  while (!clamber_follower_is_done(follower)) {
    must(clamber_follower_commands(follower, commands, STEPS, &count));
    for (i = 0; i < count && !clamber_follower_is_halted(follower); i++) {
      ClamberStep step;
      must(clamber_plan_step(plan, commands[i].step, &step));
      must(clamber_follower_started(follower, commands[i].step));
      if (stalls && step.move_ == CLAMBER_MOVE_SLIDE) {
        must(clamber_follower_stalled(follower, commands[i].step, 0.5));
      } else {
        must(clamber_follower_ended(follower, commands[i].step));
      }
    }
    if (clamber_follower_is_halted(follower)) {
      ClamberRecovery recovery = CLAMBER_RECOVERY_STOP;
      ClamberPlan *next = NULL;
      must(clamber_follower_expected(follower, poses));
      for (i = 0; i < modules; i++) poses[i].position_m[i % 2] += 0.0003; /* measured with an error */
      must(clamber_follower_recover(follower, poses, modules, 10.0, NULL, &recovery, &next, commands, STEPS, &count));
      printf("stopped half-way: remedy %d\n", (int)recovery);
      if (!next) exit(1);
      drive(next, modules, 0);
      clamber_plan_free(next);
      break;
    }
  }
  clamber_follower_free(follower);
}

int main(int argc, char **argv) {
  char *text = NULL, *json = NULL;
  ClamberScene *scene = NULL;
  ClamberPlan *plan = NULL;
  ClamberOutcome outcome = CLAMBER_OUTCOME_SPENT;
  size_t findings = 0;
  if (argc < 2 || clamber_abi() != CLAMBER_ABI) return 2;
  /* Mistakes come back as words. */
  if (clamber_scene_read("nothing", "?", &scene) != CLAMBER_STATUS_REFUSED) return 1;
  if (clamber_plan_solve(NULL, 1.0, 1, true, NULL, NULL, &plan) != CLAMBER_STATUS_ARGUMENT) return 1;
  text = read_file(argv[1]);
  must(clamber_scene_read(argv[1], text, &scene));
  if (clamber_scene_modules(scene) > MODULES) return 2;
  must(clamber_plan_solve(scene, 60.0, 1, true, NULL, &outcome, &plan));
  must(clamber_plan_check(plan, &findings, NULL));
  printf("outcome %d: %zu steps in %.1f s, %zu findings\n", (int)outcome, clamber_plan_steps(plan),
         clamber_plan_makespan_s(plan), findings);
  if (argc > 2) {
    FILE *file = fopen(argv[2], "wb");
    must(clamber_plan_text(plan, &json));
    if (!file || fputs(json, file) < 0 || fclose(file) != 0) return 1;
    clamber_text_free(json);
  }
  if (outcome == CLAMBER_OUTCOME_SOLVED) drive(plan, clamber_scene_modules(scene), 1);
  clamber_plan_free(plan);
  clamber_scene_free(scene);
  free(text);
  return outcome == CLAMBER_OUTCOME_SOLVED && findings == 0 ? 0 : 1;
}
