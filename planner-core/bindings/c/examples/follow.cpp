// Plans a scene, follows the plan with a crew that stops half-way, replans, and follows on. Usage: follow SCENE
#include <clamber/clamber.hpp>

#include <fstream>
#include <iostream>
#include <sstream>
#include <thread>

namespace {

// Every step at once; the first drive stops half-way if `stalls`.
void drive(const clamber::Plan& plan, bool stalls) {
  clamber::Follower follower(plan);
  while (!follower.is_done()) {
    for (const ClamberCommand& command : follower.commands()) {
      follower.started(command.step);
      if (stalls && plan.step(command.step).move_ == CLAMBER_MOVE_SLIDE) {
        follower.stalled(command.step, 0.5);
        break;
      }
      follower.ended(command.step);
      // A controller that is started again goes on from what it wrote.
      const std::string state = follower.state();
      follower = clamber::Follower(plan, &state);
    }
    if (follower.is_halted()) {
      auto poses = follower.expected();
      for (auto& pose : poses) pose.position_m[1] += 0.0003;  // measured with an error
      const auto recovery = follower.recover(poses, 10.0);
      std::cout << "stopped half-way: remedy " << recovery.remedy << '\n';
      if (!recovery.plan) throw std::runtime_error("it stands, and needs help");
      return drive(*recovery.plan, false);
    }
  }
}

}  // namespace

int main(int argc, char** argv) try {
  if (argc < 2 || clamber_abi() != CLAMBER_ABI) return 2;
  std::ifstream file(argv[1]);
  std::stringstream text;
  text << file.rdbuf();
  const clamber::Scene scene(argv[1], text.str());
  // A search that another thread cancels ends soon.
  const clamber::Cancel cancel;
  std::thread other([&cancel] { cancel.set(); });
  const auto cancelled = clamber::Plan::solve(scene, 600.0, 1, false, &cancel);
  other.join();
  const auto plan = clamber::Plan::solve(scene, 60.0, 1, true);
  std::cout << "cancelled: outcome " << cancelled.outcome() << "; outcome " << plan.outcome() << ": " << plan.steps()
            << " steps in " << plan.makespan_s() << " s\n";
  if (plan.outcome() != CLAMBER_OUTCOME_SOLVED || !plan.check().empty()) return 1;
  if (plan.poses({0.0, plan.makespan_s()}).size() != 14 * scene.modules()) return 1;
  drive(plan, true);
  return 0;
} catch (const std::exception& error) {
  std::cerr << error.what() << '\n';
  return 1;
}
