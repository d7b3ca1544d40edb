// clamber for C++17: handles that free themselves, failures as exceptions. Header only; link the C library.
#ifndef CLAMBER_HPP
#define CLAMBER_HPP

#include <memory>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "clamber.h"

namespace clamber {

/// What a call said that failed.
class Error : public std::runtime_error {
 public:
  Error(ClamberStatus status, const std::string& words) : std::runtime_error(words), status_(status) {}
  ClamberStatus status() const noexcept { return status_; }

 private:
  ClamberStatus status_;
};

namespace detail {

inline void check(ClamberStatus status) {
  if (status != CLAMBER_STATUS_OK) throw Error(status, clamber_last_error());
}

struct Free {
  void operator()(ClamberScene* own) const noexcept { clamber_scene_free(own); }
  void operator()(ClamberPlan* own) const noexcept { clamber_plan_free(own); }
  void operator()(ClamberFollower* own) const noexcept { clamber_follower_free(own); }
  void operator()(ClamberCancel* own) const noexcept { clamber_cancel_free(own); }
  void operator()(char* own) const noexcept { clamber_text_free(own); }
};

inline std::string taken(char* text) {
  std::unique_ptr<char, Free> own(text);
  return own ? std::string(own.get()) : std::string();
}

}  // namespace detail

/// Stops work from any thread.
class Cancel {
 public:
  Cancel() : own_(clamber_cancel_new()) {}
  void set() const noexcept { clamber_cancel_set(own_.get()); }
  const ClamberCancel* get() const noexcept { return own_.get(); }

 private:
  std::unique_ptr<ClamberCancel, detail::Free> own_;
};

class Scene {
 public:
  /// Reads the text of a scene; `name` is that of the file, for messages.
  Scene(const std::string& name, const std::string& toml) {
    ClamberScene* made = nullptr;
    detail::check(clamber_scene_read(name.c_str(), toml.c_str(), &made));
    own_.reset(made);
  }
  explicit Scene(ClamberScene* own) : own_(own) {}
  std::size_t modules() const noexcept { return clamber_scene_modules(own_.get()); }
  std::string module_name(std::size_t module) const {
    return detail::taken(clamber_scene_module_name(own_.get(), module));
  }
  std::string text() const {
    char* toml = nullptr;
    detail::check(clamber_scene_text(own_.get(), &toml));
    return detail::taken(toml);
  }
  const ClamberScene* get() const noexcept { return own_.get(); }

 private:
  std::unique_ptr<ClamberScene, detail::Free> own_;
};

class Plan {
 public:
  /// Reads the text of a plan file.
  Plan(const std::string& name, const std::string& json) {
    ClamberPlan* made = nullptr;
    detail::check(clamber_plan_read(name.c_str(), json.c_str(), &made));
    own_.reset(made);
  }
  explicit Plan(ClamberPlan* own) : own_(own) {}
  /// Searches for a plan; `outcome()` tells how the search ended.
  static Plan solve(const Scene& scene, double time_s, std::uint64_t seed = 1, bool quick = false,
                    const Cancel* cancel = nullptr) {
    ClamberPlan* made = nullptr;
    ClamberOutcome outcome = CLAMBER_OUTCOME_SPENT;
    detail::check(clamber_plan_solve(scene.get(), time_s, seed, quick, cancel ? cancel->get() : nullptr, &outcome, &made));
    Plan plan(made);
    plan.outcome_ = outcome;
    return plan;
  }
  ClamberOutcome outcome() const noexcept { return outcome_; }
  std::size_t steps() const noexcept { return clamber_plan_steps(own_.get()); }
  double makespan_s() const noexcept { return clamber_plan_makespan_s(own_.get()); }
  ClamberStep step(std::size_t index) const {
    ClamberStep step{};
    detail::check(clamber_plan_step(own_.get(), index, &step));
    return step;
  }
  std::string text() const {
    char* json = nullptr;
    detail::check(clamber_plan_text(own_.get(), &json));
    return detail::taken(json);
  }
  /// The rules that it breaks; empty: it is sound.
  std::string check() const {
    char* words = nullptr;
    std::size_t findings = 0;
    detail::check(clamber_plan_check(own_.get(), &findings, &words));
    return detail::taken(words);
  }
  /// For each time and module the centre and the orientation x, y, z, w.
  std::vector<double> poses(const std::vector<double>& times_s) const {
    std::vector<double> poses(7 * times_s.size() * scene().modules());
    detail::check(clamber_plan_poses(own_.get(), times_s.data(), times_s.size(), poses.data()));
    return poses;
  }
  Scene scene() const { return Scene(clamber_plan_scene(own_.get())); }
  const ClamberPlan* get() const noexcept { return own_.get(); }

 private:
  std::unique_ptr<ClamberPlan, detail::Free> own_;
  ClamberOutcome outcome_ = CLAMBER_OUTCOME_SPENT;
};

/// What to do after a deviation.
struct Recovery {
  ClamberRecovery remedy;
  std::vector<ClamberCommand> commands;
  /// The new plan, if there is one.
  std::unique_ptr<Plan> plan;
};

class Follower {
 public:
  explicit Follower(const Plan& plan, const std::string* state = nullptr)
      : modules_(plan.scene().modules()), steps_(plan.steps()) {
    ClamberFollower* made = nullptr;
    detail::check(clamber_follower_new(plan.get(), state ? state->c_str() : nullptr, &made));
    own_.reset(made);
  }
  std::string state() const {
    char* state = nullptr;
    detail::check(clamber_follower_state(own_.get(), &state));
    return detail::taken(state);
  }
  bool is_done() const noexcept { return clamber_follower_is_done(own_.get()); }
  bool is_halted() const noexcept { return clamber_follower_is_halted(own_.get()); }
  void started(std::size_t step) { detail::check(clamber_follower_started(own_.get(), step)); }
  void came(std::size_t step, double share) { detail::check(clamber_follower_came(own_.get(), step, share)); }
  void ended(std::size_t step) { detail::check(clamber_follower_ended(own_.get(), step)); }
  void stalled(std::size_t step, double share) { detail::check(clamber_follower_stalled(own_.get(), step, share)); }
  void lost(std::size_t module, std::uint32_t part) { detail::check(clamber_follower_lost(own_.get(), module, part)); }
  /// Whether the stop is proven.
  bool halt() {
    bool proven = false;
    detail::check(clamber_follower_halt(own_.get(), &proven));
    return proven;
  }
  std::vector<ClamberCommand> commands() const {
    std::vector<ClamberCommand> found(room());
    std::size_t count = 0;
    detail::check(clamber_follower_commands(own_.get(), found.data(), found.size(), &count));
    found.resize(count);
    return found;
  }
  std::vector<ClamberPose> expected() const {
    std::vector<ClamberPose> poses(modules_);
    detail::check(clamber_follower_expected(own_.get(), poses.data()));
    return poses;
  }
  bool on_course(const std::vector<ClamberPose>& poses) const {
    bool answer = false;
    detail::check(clamber_follower_on_course(own_.get(), poses.data(), poses.size(), &answer));
    return answer;
  }
  Recovery recover(const std::vector<ClamberPose>& poses, double time_s, const Cancel* cancel = nullptr) const {
    Recovery recovery{CLAMBER_RECOVERY_STOP, std::vector<ClamberCommand>(room()), nullptr};
    ClamberPlan* made = nullptr;
    std::size_t count = 0;
    detail::check(clamber_follower_recover(own_.get(), poses.data(), poses.size(), time_s, cancel ? cancel->get() : nullptr,
                                           &recovery.remedy, &made, recovery.commands.data(), recovery.commands.size(),
                                           &count));
    recovery.commands.resize(count);
    if (made) recovery.plan = std::make_unique<Plan>(made);
    return recovery;
  }

 private:
  /// No more commands come at once: one for each step, and one brace for each module.
  std::size_t room() const noexcept { return steps_ + modules_; }

  std::unique_ptr<ClamberFollower, detail::Free> own_;
  std::size_t modules_;
  std::size_t steps_;
};

}  // namespace clamber

#endif
