//! Moves a crew from one deck to another, over one structure after the other.

use super::counterweights::{Balanced, Counterweights};
use super::parking::{in_the_way, parking};
use super::site::CrossingSite;
use super::span::{self, Posts, Spans, count_on};
use super::staging::staged;
use super::take_down::{Home, raised, take_down};
use crate::control::{Budget, Stopped};
use crate::math::{SplitMix64, steps_of};
use crate::model::{Body, Gather, Goal, GroundId, KindId, ModuleId, Problem};
use crate::search::bounds::root_of;
use crate::search::frontier::best_first::{Order, Search};
use crate::search::guidance::assignment::Targets;
use crate::search::guidance::goal::is_met_apart_from_holds;
use crate::search::guidance::leads_over::leads_over;
use crate::search::outcome::Ended;
use crate::search::planner::FAST_WEIGHT;
use crate::search::trips::trip_sequence::{TripFinder, TripSequence, free_on};
use crate::search::{NoObserver, Observer, SearchProgress, Statistics, Stoppers};
use crate::travel::Trip;

/// State of a crew that crosses.
pub(super) struct Crossing<'a, 'b> {
    pub(super) problem: &'a Problem,
    unbreakable: Problem,
    pub(super) finder: TripFinder<'a, 'b>,
    pub(super) sequence: TripSequence,
    pub(super) seed: u64,
    pub(super) statistics: Statistics,
    pub(super) stoppers: Stoppers,
    /// Whether transfer structures may be tried.
    pub(super) may_transfer: bool,
    /// Skips some structures that would do, for another solution than the first; `None` takes the first.
    pub(super) variety: Option<SplitMix64>,
}

/// Most posts of a structure on one deck, without counterweights.
pub(super) const LONGEST: usize = 3;
/// Expansions of the first search, and the factor by which they grow.
const LITTLE: u64 = 128;
const MORE: u64 = 4;
/// A search without a transfer structure gets the expansions divided by this number.
const HALF: u64 = 2;
/// With variety, one in so many structures that would do is skipped.
const SKIPPED: usize = 2;
/// Number of landing places offered to a module that crosses.
pub(super) const LANDINGS: usize = 3;

impl<'a, 'b> Crossing<'a, 'b> {
    pub(super) fn new(problem: &'a Problem, seed: u64, budget: &'b Budget<'b>) -> Self {
        Self {
            problem,
            unbreakable: unbreakable(problem),
            finder: TripFinder { problem, budget },
            sequence: TripSequence::new(problem, &problem.start),
            seed,
            statistics: Statistics::default(),
            stoppers: Stoppers::default(),
            may_transfer: true,
            variety: None,
        }
    }
}

/// Whether to look for another structure than the one that was found.
pub(super) fn skips(variety: &mut Option<SplitMix64>) -> bool {
    variety.as_mut().is_some_and(|random| random.below(SKIPPED) == 0)
}

impl Crossing<'_, '_> {
    /// Moves as many modules over as the goal needs there, and then fills its slots. Where that does not work out, more come over, as counterweights.
    pub(super) fn reach_goal(&mut self, observer: &dyn Observer) -> Result<bool, Stopped> {
        let Some(gather) = self.problem.goal.gather else { return Ok(false) };
        // Those who are to stand on others there have to come too; on a part of a ground they may stand outside it.
        let stacked = if gather.within.is_none() { stacked_on(self.problem, gather.ground) } else { 0 };
        let count = (gather.count + stacked).min(self.problem.modules.len());
        let is_over = self.gather(Gather { count, ..gather }, observer)? || self.there() >= gather.count;
        let has_slots = !self.problem.goal.slots.is_empty();
        if !is_over || !has_slots || is_met_apart_from_holds(self.problem, self.sequence.now()) {
            return Ok(is_over);
        }
        let most = self.finder.budget.expansions;
        let mut effort = LITTLE.min(most);
        while !self.fill_slots(effort)? {
            if effort >= most {
                return Ok(false);
            }
            let one_more = Gather { count: self.there() + 1, ..gather };
            if one_more.count <= self.problem.modules.len() {
                let now = self.sequence.now().clone();
                if let Some(more) = self.gather_from(&now, one_more, effort)? {
                    self.sequence.go_all(&self.finder, more.trips)?;
                }
            }
            effort = effort.saturating_mul(MORE).min(most);
        }
        Ok(true)
    }

    /// Moves that many modules over.
    pub(super) fn gather(&mut self, gather: Gather, observer: &dyn Observer) -> Result<bool, Stopped> {
        self.drive_over(gather)?;
        loop {
            if self.there() >= gather.count {
                return Ok(true);
            }
            let mut sources: Vec<GroundId> =
                self.problem.ground_ids().filter(|d| *d != gather.ground).collect();
            sources.retain(|&d| self.sequence.now().iter().any(|(m, _)| self.root(m) == Some(d)));
            let before = self.there();
            for source in sources {
                if self.cross(source, gather.ground)? {
                    break;
                }
            }
            observer.progress(&SearchProgress { statistics: self.statistics, nearest_s: f64::INFINITY });
            if self.there() <= before && !self.get_off(gather)? && !self.get_unstuck(gather)? {
                return Ok(false);
            }
        }
    }

    /// Where structures lead no further: searches for any way to one more module on the deck, or for a transfer structure, with growing effort.
    fn get_unstuck(&mut self, gather: Gather) -> Result<bool, Stopped> {
        let most = self.finder.budget.expansions;
        let one_more = Gather { count: self.there() + 1, ..gather };
        if !self.may_transfer {
            return self.feel_for_more(one_more, most);
        }
        let (mut effort, mut round) = (LITTLE.min(most), 0);
        while !self.feel_for_more(one_more, effort / HALF)?
            && !self.through_a_transfer_structure(gather.ground, effort, round)?
        {
            if effort >= most {
                return Ok(false);
            }
            effort = effort.saturating_mul(MORE).min(most);
            round += 1;
        }
        Ok(true)
    }

    /// Where no structure that was tried helps: a novelty-guided search for any way to one more module on the deck.
    fn feel_for_more(&mut self, gather: Gather, expansions: u64) -> Result<bool, Stopped> {
        self.search_on(Goal { slots: Vec::new(), gather: Some(gather) }, Order::Novelty, expansions)
    }

    /// Once enough have gathered: the whole goal, by time first and by novelty where that does not lead there.
    fn fill_slots(&mut self, expansions: u64) -> Result<bool, Stopped> {
        for order in [Order::Cost(FAST_WEIGHT), Order::Novelty] {
            if self.search_on(self.problem.goal.clone(), order, expansions)? {
                return Ok(true);
            }
        }
        Ok(false)
    }

    /// Goes on from where the crew is to a goal, by best-first search.
    fn search_on(&mut self, goal: Goal, order: Order, expansions: u64) -> Result<bool, Stopped> {
        let part = Problem { start: self.sequence.now().clone(), goal, ..self.problem.clone() };
        let targets = Targets::new(&part);
        let search = Search {
            problem: &part,
            seed: self.seed,
            order,
            worth_s: f64::INFINITY,
            is_goal: &|c| is_met_apart_from_holds(&part, c),
            estimate: &|c| targets.time_to_go_s(&part, c),
        };
        let budget = Budget { expansions, ..*self.finder.budget };
        let found = search.run(&targets, &budget, &NoObserver);
        self.statistics = self.statistics.plus(found.statistics);
        self.stoppers.merge(&found.stoppers);
        match found.ended {
            Ended::AtGoal => self.sequence.go_all(&self.finder, found.trips),
            _ => self.finder.budget.go_on().map(|()| false),
        }
    }

    /// Number of modules that have gathered.
    pub(super) fn there(&self) -> usize {
        self.problem.gathered(self.sequence.now()).unwrap_or(0)
    }

    pub(super) fn root(&self, module: ModuleId) -> Option<GroundId> {
        self.sequence.now().hosts_below(module).find_map(Body::ground)
    }

    /// Moves at least one more module over, and takes down what was built; `false`, with nothing changed, when that fails.
    fn cross(&mut self, source: GroundId, target: GroundId) -> Result<bool, Stopped> {
        for kind in kinds_in_use(self.problem) {
            let own = &self.problem.kinds[kind.index()];
            for site in CrossingSite::between(self.problem, self.sequence.now(), own, [source, target]) {
                let kept = self.sequence.clone();
                if self.tidy(&site)? && self.cross_at(&site, kind, source, target)? {
                    return Ok(true);
                }
                self.sequence = kept;
            }
        }
        Ok(false)
    }

    /// Takes down all structures, and parks the modules that are in the way of a new one.
    fn tidy(&mut self, site: &CrossingSite) -> Result<bool, Stopped> {
        let problem = self.problem;
        let up: Vec<ModuleId> =
            problem.module_ids().filter(|&m| self.sequence.now().get(m).host.module().is_some()).collect();
        let mut homes: Vec<Home> = Vec::new();
        for deck in [site.lower, site.upper] {
            let mine: Vec<ModuleId> = up.iter().copied().filter(|&m| self.root(m) == Some(deck)).collect();
            let Some(&first) = mine.first() else { continue };
            let places = parking(problem, self.sequence.now(), first, deck, site, mine.len());
            homes.extend(mine.into_iter().zip(places).map(|(owner, place)| Home { deck, place, owner }));
        }
        let Some(descents) = take_down(&self.finder, self.sequence.now(), &up, &homes)? else {
            return Ok(false);
        };
        if !self.sequence.go_all(&self.finder, descents.into_iter().map(|d| d.trip))? {
            return Ok(false);
        }
        for module in problem.module_ids() {
            let place = *self.sequence.now().get(module);
            let Body::Ground(deck) = place.host else { continue };
            if in_the_way(problem, site, place.position) {
                let places = parking(problem, self.sequence.now(), module, deck, site, 1);
                if let Some(end) = self.finder.trip_to_deck(self.sequence.now(), module, deck, &places)? {
                    let trip = Trip::alone(module, end.waypoints);
                    self.sequence.go(&self.finder, trip)?;
                }
            }
        }
        Ok(true)
    }

    /// The same at one site, over a structure of modules of one kind.
    fn cross_at(
        &mut self,
        site: &CrossingSite,
        kind: KindId,
        source: GroundId,
        target: GroundId,
    ) -> Result<bool, Stopped> {
        let rest = self.sequence.now().clone();
        let near = |deck: GroundId| {
            let mut free = free_on(&rest, deck);
            free.retain(|m| self.problem.modules[m.index()].can_drive());
            free.sort_by_key(|m| (steps_of(site.distance(rest.get(*m).position)), *m));
            free
        };
        let (mut here, mut there) = (near(source), near(target));
        let Some(mover) = here.pop() else { return Ok(false) };
        let is_of_kind = |m: &ModuleId| self.problem.modules[m.index()].kind == kind;
        here.retain(is_of_kind);
        there.retain(is_of_kind);
        let kind = &self.problem.kinds[kind.index()];
        let landing = parking(self.problem, &rest, mover, target, site, LANDINGS);
        let (most_here, most_there) = (here.len().min(LONGEST), there.len().min(LONGEST));
        let spans = Spans { problem: self.problem, site: *site, kind, asides: false };
        let finder = self.finder;
        let counterweights = Counterweights {
            finder: &finder,
            unbreakable: &self.unbreakable,
            site: *site,
            rest: &rest,
            pools: [(source, here), (target, there)],
            mover,
            kind,
            target,
            landing: &landing,
        };
        let (mut found, mut variety): (Option<Balanced>, _) = (None, self.variety.clone());
        // The number of structures examined, and of those that would lead over.
        let (mut generated, mut expanded) = (0, 0);
        // The modules needed on this side stay behind: as few as possible.
        'sizes: for on_source in 0..=most_here {
            for on_target in 0..=most_there {
                let (on_lower, on_upper) =
                    if source == site.lower { (on_source, on_target) } else { (on_target, on_source) };
                for posts in spans.of_size(on_lower, on_upper, finder.budget)? {
                    generated += 1;
                    if !self.connects(&counterweights, &posts, target)? {
                        continue;
                    }
                    expanded += 1;
                    let tried = counterweights.with_counterweights(&posts)?;
                    if let Some(balanced) = tried {
                        found = Some(balanced);
                        if !skips(&mut variety) {
                            break 'sizes;
                        }
                    }
                }
            }
        }
        self.variety = variety;
        let looked_at = Statistics { generated, expanded, ..Statistics::default() };
        self.statistics = self.statistics.plus(looked_at);
        let Some(balanced) = found else { return Ok(false) };
        self.use_structure(&balanced, site, source, target)
    }

    /// Whether the mover's accessible surface reaches the other deck, by geometry alone.
    fn connects(
        &self,
        counterweights: &Counterweights<'_, '_>,
        posts: &Posts,
        target: GroundId,
    ) -> Result<bool, Stopped> {
        self.finder.budget.go_on()?;
        let enough = counterweights.pools.iter().all(|(deck, pool)| count_on(posts, *deck) <= pool.len());
        if !enough {
            return Ok(false);
        }
        let mut taken = [0, 0];
        let members: Vec<ModuleId> = (0..posts.len())
            .filter_map(|i| {
                let side = usize::from(counterweights.pools[1].0 == span::root_of(posts, i));
                taken[side] += 1;
                counterweights.pools[side].1.get(taken[side] - 1).copied()
            })
            .collect();
        let crew = staged(counterweights.rest, posts, &members);
        Ok(leads_over(self.problem, &crew, counterweights.mover, target))
    }

    /// Builds the structure and sends over all modules that can go.
    fn use_structure(
        &mut self,
        balanced: &Balanced,
        site: &CrossingSite,
        source: GroundId,
        target: GroundId,
    ) -> Result<bool, Stopped> {
        let problem = self.problem;
        if !self.sequence.go_all(&self.finder, raised(&balanced.descents))? {
            return Ok(false);
        }
        let mut over = 0;
        // First the modules that are not part of the structure, then those of it that can be spared.
        let mut last_come = false;
        loop {
            let mut movers = free_on(self.sequence.now(), source);
            if !last_come {
                movers.retain(|m| !balanced.members.contains(m));
            } else {
                movers = self.problem.module_ids().collect();
                movers.retain(|&m| self.root(m) == Some(source) && !self.sequence.now().is_stood_on(m));
            }
            movers.sort_by_key(|m| (steps_of(site.distance(self.sequence.now().get(*m).position)), *m));
            let mut went = false;
            for module in movers {
                let places = parking(problem, self.sequence.now(), module, target, site, LANDINGS);
                if let Some(end) = self.finder.trip_to_deck(self.sequence.now(), module, target, &places)? {
                    let trip = Trip::alone(module, end.waypoints);
                    if self.sequence.go(&self.finder, trip)? {
                        (went, over) = (true, over + 1);
                        break;
                    }
                }
            }
            if !went && last_come {
                break;
            }
            last_come |= !went;
        }
        let left = self.sequence.now().clone();
        if over > 0 && free_on(&left, source).is_empty() {
            // No module is left to come: what stands on the target comes down.
            return self.tidy(site);
        }
        Ok(over > 0)
    }
}

/// Number of slots on other slots whose lowest is on a ground.
fn stacked_on(problem: &Problem, ground: GroundId) -> usize {
    let is_stacked = |slot: &usize| {
        let (root, _, bonds) = root_of(problem, *slot);
        !problem.goal.slots[*slot].optional && root == ground && bonds > 0
    };
    (0..problem.goal.slots.len()).filter(is_stacked).count()
}

/// The kinds of the crew's modules, the most frequent first: structures are built of modules of one kind.
pub(super) fn kinds_in_use(problem: &Problem) -> Vec<KindId> {
    let count = |kind: &KindId| problem.modules.iter().filter(|module| module.kind == *kind).count();
    let mut kinds: Vec<KindId> =
        (0..problem.kinds.len()).map(KindId::at).filter(|kind| count(kind) > 0).collect();
    kinds.sort_by_key(|kind| std::cmp::Reverse(count(kind)));
    kinds
}

/// The same problem with unlimited bonds.
fn unbreakable(problem: &Problem) -> Problem {
    const ENOUGH_N: f64 = 1e9;
    let mut easy = problem.clone();
    for kind in &mut easy.kinds {
        kind.magnet_force_n = ENOUGH_N;
        kind.drive_force_n = ENOUGH_N;
        kind.bond_friction = kind.bond_friction.max(0.5);
    }
    for ground in &mut easy.grounds {
        ground.surfacing.ferrous = true;
        ground.surfacing.friction = ground.surfacing.friction.max(0.5);
    }
    easy
}
