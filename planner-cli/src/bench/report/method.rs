//! What the words of a report mean, and where its methods come from.

use super::numbers::short_figure;
use super::planners::SHIFT_S;
use super::race::Race;

pub(crate) fn lines(race: &Race) -> Vec<String> {
    let limit = race.time_limit_s;
    let shift = short_figure(SHIFT_S);
    [
        "Solved: a plan within the time limit that passed the check. The time counts search and timing of the moves, not the check. A proof that there is no plan is counted apart, not as solved.".into(),
        format!("PAR2: mean time, {} s where not solved (twice the limit; SAT competitions).", short_figure(2.0 * limit)),
        format!("Mean time: geometric mean of time + {shift} s, less {shift} s, with {} s where not solved (shifted geometric mean, as in Mittelmann's benchmarks).", short_figure(limit)),
        "Agile score: 1 up to one second, then 1 - log t / log limit, 0 where not solved (International Planning Competition, IPC, 2018); the mean of each scene, summed: scenes weigh the same.".into(),
        "Quality score: best known over own, 0 where not solved (IPC 2008). A wrong answer voids its scene, two void all scores of the planner.".into(),
        "Margin: 1 - utilisation x hold factor, what is left of the allowed load of the worst bond at its worst instant.".into(),
        "Bound: the greatest lower bound on the makespan that any run gave. It holds for every plan, even if modules are carried at any speed, and knows little, so a large ratio does not mean that there is a better plan. Uncarried bound: the same for plans in which nobody is carried; only such plans are held against it.".into(),
        "Intervals: 95 %, bias-corrected and accelerated bootstrap over scenes (Efron & Tibshirani 1993); single runs are never resampled. With few scenes they are too narrow.".into(),
        "Real or noise: two-sided paired permutation test over scenes, adjusted for all comparisons of this report (Holm 1979), at 0.05.".into(),
        "Cactus plot: the times of the solved runs in order; here time runs across, so that higher is better in all plots.".into(),
        "Performance profile: share of runs within a factor of the best planner (Dolan & Moré 2002). Which planner is best at a factor depends on who takes part.".into(),
        "What is said holds for scenes like these, if they are a fair sample of yours.".into(),
    ]
    .to_vec()
}
