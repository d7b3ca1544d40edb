//! Novelty-guided best-first search (width-based search: Lipovetzky & Geffner, ECAI 2012; best-first: AAAI 2017).
//!
//! A configuration is described by facts: who stands on what, where, at which height. It is the more novel the fewer facts together were
//! never seen before, among configurations that miss equally much of the goal and keep equally many modules from it. What is new is looked at first, whatever the estimate says:
//! so helper structures are tried that lead away from the goal at first.

use super::assignment::Targets;
use super::best_first::{Order, Search};
use super::goal::{is_met_apart_from_holds, missing};
use super::over::leads_over;
use super::planner::{InputError, Observer, Options, Planner, validate};
use super::{Budget, Outcome, impossible_goal, memory};
use crate::model::{Body, Configuration, ModuleId, Placement, Problem};
use indexmap::IndexSet;

/// Novelty-guided best-first search.
#[derive(Clone, Copy, Debug, Default)]
pub struct NoveltyFirst;

impl Planner for NoveltyFirst {
    fn name(&self) -> &'static str {
        "novelty"
    }

    fn plan(
        &self,
        problem: &Problem,
        options: &Options,
        budget: &Budget<'_>,
        observer: &dyn Observer,
    ) -> Result<Outcome, InputError> {
        validate(problem, options)?;
        if let Some(proof) = impossible_goal(problem) {
            return Ok(Outcome::impossible(problem, &proof));
        }
        let targets = Targets::new(problem);
        let search = Search {
            problem,
            seed: options.seed,
            order: Order::Novelty,
            worth_s: options.worth_s,
            is_goal: &|c| is_met_apart_from_holds(problem, c),
            estimate: &|c| targets.estimate_s(problem, c, options.greed),
        };
        Ok(Outcome::of_search(problem, search.run(&targets, budget, observer)))
    }
}

/// What was seen so far.
#[derive(Clone, Debug, Default)]
pub(super) struct Novelty {
    single: IndexSet<(usize, Fact)>,
    pairs: IndexSet<(usize, Fact, Fact)>,
}

/// Class of a module, what it stands on, and the cell its centre is in.
type Fact = (u16, i32, [i16; 3]);

impl Novelty {
    /// 1 when a fact is new, 2 when only a pair of facts is, 3 when nothing is. Notes all of them.
    ///
    /// Complexity: quadratic in the modules.
    pub(super) fn width_of(&mut self, problem: &Problem, configuration: &Configuration) -> u8 {
        let missing =
            missing(problem, configuration) * (problem.modules.len() + 1) + kept_out(problem, configuration);
        let mut facts: Vec<Fact> =
            configuration.iter().map(|(id, place)| fact(problem, configuration, id, place)).collect();
        facts.sort_unstable();
        let mut width = 3;
        for (index, &a) in facts.iter().enumerate() {
            for &b in &facts[..index] {
                if self.pairs.insert((missing, b, a)) {
                    width = width.min(2);
                }
            }
            if self.single.insert((missing, a)) {
                width = 1;
            }
        }
        width
    }

    /// What is kept, in bytes.
    pub(super) fn bytes(&self) -> u64 {
        let single = self.single.len() * memory::entry::<(usize, Fact)>();
        let pairs = self.pairs.len() * memory::entry::<(usize, Fact, Fact)>();
        (single + pairs) as u64
    }
}

/// How many modules that are free to go cannot get to the deck to gather on while the others stand, by geometry alone.
fn kept_out(problem: &Problem, configuration: &Configuration) -> usize {
    let Some(gather) = problem.goal.gather else { return 0 };
    let there = Body::Deck(gather.deck);
    configuration
        .iter()
        .filter(|&(id, place)| {
            place.host != there
                && !configuration.is_stood_on(id)
                && !leads_over(problem, configuration, id, gather.deck)
        })
        .count()
}

fn fact(problem: &Problem, configuration: &Configuration, id: ModuleId, place: &Placement) -> Fact {
    let cell_m = problem.kind(id).shell_radius_m;
    let p = place.position;
    let host = match place.host {
        Body::Deck(deck) => -1 - i32::from(deck.0),
        // How high a chain of modules it stands on.
        Body::Module(_) => configuration.hosts_below(id).filter(|b| b.module().is_some()).count() as i32,
    };
    let class = problem.modules[id.index()].class;
    (class, host, [p.x, p.y, p.z].map(|v| (v / cell_m).round() as i16))
}
