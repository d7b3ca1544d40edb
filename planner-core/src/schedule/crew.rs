//! The steps of a crew with their holds, and which of them may be under way together: the rules of the model for every order and overlap.
//!
//! A state of the crew has two parts: a set of ended steps that contains all their predecessors, and a set of steps under way whose predecessors have
//! all ended. Let one more step that could start be under way, at its beginning. Then fewer touches count, holds that are being changed count as
//! rolling, hops weaken their bond, and gravity already is that of moves. So no load gets easier. A state with ended steps that are no predecessors
//! of those under way is the end of a state in which they are under way. It is therefore enough to examine every *maximal* set of unordered steps,
//! with each of them anywhere between its start and its end ([`Stretch::carries_at_any_pace`](crate::motion::Stretch)). Gaps are a matter of pairs,
//! which [`DriveSequence`] checks.

use super::ScheduleError;
use super::antichains::for_each_maximal;
use super::bracing::Holds;
use super::drive_sequence::DriveSequence;
use super::loads::{Loads, State};
use super::order::{NotArranged, Order, Rules};
use crate::control::{Interrupt, Stopped};
use crate::math::DVec3;
use crate::model::{Body, Hold, ModuleId, Placement, Problem};
use crate::motion::{Move, duration_s};
use fixedbitset::FixedBitSet;
use indexmap::IndexMap;
use petgraph::unionfind::UnionFind;

/// Beyond this number of sets under way together a step counts as unsound.
const MOST_SETS: usize = 2000;

/// One move of the timed plan.
#[derive(Clone, Debug)]
pub(super) struct Item {
    pub(super) module: ModuleId,
    pub(super) action: Move,
    pub(super) duration_s: f64,
    /// Index into the drives of the course; `None` for a brace or a release.
    drive: Option<usize>,
}

/// State of a module after some of its items.
#[derive(Clone, Copy, Debug)]
struct Come {
    drives_done: usize,
    hold: Hold,
}

/// All steps with their rules.
#[derive(Debug)]
pub(super) struct Crew<'a, 'b> {
    course: &'a DriveSequence<'a>,
    loads: &'b mut Loads<'a>,
    interrupt: Interrupt<'b>,
    /// Beyond this number of sets under way together a step counts as unsound.
    pub(super) most_sets: usize,
    /// The steps, in an order in which they can be made one after the other.
    pub(super) items: Vec<Item>,
    /// For each module the items it takes part in, in order.
    own: Vec<Vec<usize>>,
    /// For each module its state after none, one, two, … of them.
    come: Vec<Vec<Come>>,
}

impl<'a, 'b> Crew<'a, 'b> {
    /// Drives in a given order. Each brace follows the drive that ends at its place, and each release precedes the drive that needs it.
    pub(super) fn new(
        course: &'a DriveSequence<'a>,
        loads: &'b mut Loads<'a>,
        sequence: &[usize],
        holds: &Holds,
        interrupt: Interrupt<'b>,
    ) -> Self {
        let mut crew = Self::at_start(course, loads, interrupt);
        let mut own_done = vec![0; course.places.len()];
        for id in course.problem.module_ids() {
            crew.brace_if(id, holds.braced[id.index()][0]);
        }
        for &index in sequence {
            let drive = &course.drives[index];
            let is_yaw = matches!(drive.action, Move::Yaw { .. });
            let is_braced = |module: ModuleId, gap: usize| holds.braced[module.index()][gap];
            for module in drive.own_of() {
                let gap = own_done[module.index()];
                if !(is_yaw && is_braced(module, gap) && is_braced(module, gap + 1)) {
                    crew.release_if(module);
                }
            }
            crew.push(drive.module, drive.action, Some(index));
            for module in drive.own_of() {
                own_done[module.index()] += 1;
                crew.brace_if(module, is_braced(module, own_done[module.index()]));
            }
        }
        for id in course.problem.module_ids() {
            if holds.last[id.index()] == Some(Hold::Rolling) {
                crew.release_if(id);
            }
        }
        crew
    }

    /// The moves of the course in their original order, with the braces and releases among them.
    pub(super) fn of_moves(
        course: &'a DriveSequence<'a>,
        loads: &'b mut Loads<'a>,
        moves: &[(ModuleId, Move)],
        interrupt: Interrupt<'b>,
    ) -> Self {
        let mut crew = Self::at_start(course, loads, interrupt);
        let mut drives = 0..course.drives.len();
        for &(module, action) in moves {
            let drive = if action.shakes() { drives.next() } else { None };
            crew.push(module, action, drive);
        }
        crew
    }

    fn at_start(course: &'a DriveSequence<'a>, loads: &'b mut Loads<'a>, interrupt: Interrupt<'b>) -> Self {
        let start = |id: ModuleId| Come { drives_done: 0, hold: course.problem.start.get(id).hold };
        let come = course.problem.module_ids().map(|id| vec![start(id)]).collect();
        let own = vec![Vec::new(); course.places.len()];
        Self { course, loads, interrupt, most_sets: MOST_SETS, items: Vec::new(), own, come }
    }

    fn hold_of(&self, module: ModuleId) -> Hold {
        self.come[module.index()].last().map_or(Hold::Rolling, |c| c.hold)
    }

    fn brace_if(&mut self, module: ModuleId, braced: bool) {
        if braced && self.hold_of(module) == Hold::Rolling {
            self.push(module, Move::Brace, None);
        }
    }

    fn release_if(&mut self, module: ModuleId) {
        if self.hold_of(module) == Hold::Braced && !self.course.problem.modules[module.index()].stuck {
            self.push(module, Move::Release, None);
        }
    }

    fn push(&mut self, module: ModuleId, action: Move, drive: Option<usize>) {
        let lasts_s = drive.and_then(|d| self.course.drives[d].lasts_s);
        let duration_s =
            lasts_s.unwrap_or_else(|| duration_s(self.course.problem, module, self.hold_of(module), &action));
        let members = drive.map_or_else(|| vec![module], |d| self.course.drives[d].members.clone());
        for member in members {
            let Some(&before) = self.come[member.index()].last() else { continue };
            let hold = match action {
                Move::Brace => Hold::Braced,
                Move::Release => Hold::Rolling,
                _ => before.hold,
            };
            let drives_done = before.drives_done + usize::from(drive.is_some());
            self.come[member.index()].push(Come { drives_done, hold });
            self.own[member.index()].push(self.items.len());
        }
        self.items.push(Item { module, action, duration_s, drive });
    }

    /// The problem that is scheduled.
    pub(super) const fn problem(&self) -> &'a Problem {
        self.course.problem
    }

    /// The placement of an item's module when the item has ended.
    pub(super) fn end_of(&self, item: usize) -> Placement {
        let module = self.items[item].module.index();
        let nth = self.own[module].iter().position(|&own| own == item).map_or(0, |at| at + 1);
        let come = self.come[module][nth];
        Placement { hold: come.hold, ..self.course.places[module][come.drives_done] }
    }

    /// Number of braces and releases.
    pub(super) fn hold_moves(&self) -> usize {
        self.items.iter().filter(|item| item.drive.is_none()).count()
    }

    /// The drives in the order of the items.
    pub(super) fn drives_of(&self, sequence: &[usize]) -> Vec<usize> {
        sequence.iter().filter_map(|&item| self.items[item].drive).collect()
    }

    /// Why the steps have no order; the module is given by its name.
    pub(super) fn explained(&self, error: NotArranged) -> ScheduleError {
        let item = match error {
            NotArranged::Unsound(step) => &self.items[step],
            NotArranged::Stopped(stop) => return stop.into(),
            // Only what asks for a time can be late.
            NotArranged::Late => return ScheduleError::Stopped,
        };
        let module = self.course.problem.module_name(item.module).to_owned();
        ScheduleError::NotSound { module, word: item.action.word() }
    }

    fn members(&self, item: usize) -> &[ModuleId] {
        let item = &self.items[item];
        item.drive.map_or(std::slice::from_ref(&item.module), |d| &self.course.drives[d].members)
    }

    /// State of a module when the items of a set have ended.
    fn come(&self, module: usize, ended: &FixedBitSet) -> Come {
        let done = self.own[module].iter().take_while(|&&item| ended.contains(item)).count();
        self.come[module][done]
    }

    /// The modules that can ever be in one structure with a step's modules while it is under way and waits for `waits` only.
    pub(super) fn within_reach(&self, order: &Order, item: usize, waits: &FixedBitSet) -> Vec<bool> {
        let placed: FixedBitSet = order.placed.iter().copied().collect();
        let count = self.own.len();
        let spans: Vec<(usize, usize)> = (0..count)
            .map(|m| (self.come(m, waits).drives_done, self.come(m, &placed).drives_done))
            .collect();
        let balls: Vec<(DVec3, f64)> =
            spans.iter().enumerate().map(|(m, &span)| self.ball(m, span)).collect();
        let mut inside = vec![false; count];
        let mut open: Vec<usize> = self.members(item).iter().map(|m| m.index()).collect();
        if let Some(drive) = self.items[item].drive {
            open.extend(self.course.drives[drive].hosts.iter().map(|m| m.index()));
        }
        while let Some(module) = open.pop() {
            if std::mem::replace(&mut inside[module], true) {
                continue;
            }
            open.extend(
                (0..count).filter(|&other| !inside[other] && self.may_join(module, other, &spans, &balls)),
            );
        }
        inside
    }

    /// A ball about a module at all places within the range of its drives, which holds more than all that it bonds with or touches there.
    fn ball(&self, module: usize, (from, to): (usize, usize)) -> (DVec3, f64) {
        let places = &self.course.places[module][from..=to];
        let middle = places.iter().map(|place| place.position).sum::<DVec3>() / places.len() as f64;
        let reach_m = places.iter().map(|place| place.position.distance(middle)).fold(0.0, f64::max);
        let problem = self.course.problem;
        let kind = problem.kind(ModuleId::at(module));
        (middle, reach_m + kind.shell_radius_m + kind.ride_height_m + problem.limits.touch_tol_m)
    }

    /// Whether two modules bond or touch anywhere within the ranges of their drives.
    fn may_join(&self, a: usize, b: usize, spans: &[(usize, usize)], balls: &[(DVec3, f64)]) -> bool {
        let [(middle, own_m), (other, others_m)] = [balls[a], balls[b]];
        if middle.distance_squared(other) > (own_m + others_m).powi(2) {
            return false;
        }
        let places = |m: usize| &self.course.places[m][spans[m].0..=spans[m].1];
        let (mine, theirs) = (ModuleId::at(a), ModuleId::at(b));
        let problem = self.course.problem;
        let radii = problem.kind(mine).shell_radius_m + problem.kind(theirs).shell_radius_m;
        let reach = (radii + problem.limits.touch_tol_m).powi(2);
        places(a).iter().any(|p| p.host == Body::Module(theirs))
            || places(b).iter().any(|p| p.host == Body::Module(mine))
            || places(a)
                .iter()
                .any(|p| places(b).iter().any(|q| p.position.distance_squared(q.position) <= reach))
    }

    /// The placed items outside `waits` in which some module of `inside` takes part.
    fn beside(&self, order: &Order, waits: &FixedBitSet, inside: &[bool]) -> Vec<usize> {
        let concerns = |item: &usize| self.members(*item).iter().any(|m| inside[m.index()]);
        order.placed.iter().copied().filter(|&item| !waits.contains(item)).filter(concerns).collect()
    }

    /// Whether all structures that a step can be in carry their load in every case in which it is under way.
    pub(super) fn structures_carry(
        &mut self,
        order: &Order,
        step: usize,
        waits: &FixedBitSet,
        inside: &[bool],
    ) -> Result<bool, Stopped> {
        let beside = self.beside(order, waits, inside);
        for_each_maximal(
            &beside,
            |a, b| order.unordered(a, b),
            self.most_sets,
            |set| {
                let state = self.state(&ended(order, waits, set), set.iter().copied().chain([step]));
                // A step that leaves removes touches with modules that it does not move, so all modules that it could reach are checked.
                self.loads.carries_around(&state, inside, self.interrupt)
            },
        )
    }

    /// The same without the help of any touch. What stands on different modules of the ground is then looked at by itself, in far fewer cases.
    pub(super) fn trees_carry(
        &mut self,
        order: &Order,
        step: usize,
        waits: &FixedBitSet,
        inside: &[bool],
    ) -> Result<bool, Stopped> {
        if !self.loads.touches_may_be_left_out() {
            return Ok(false);
        }
        for tree in self.trees(order, step, waits, inside) {
            let beside = self.beside(order, waits, &tree);
            let members: Vec<ModuleId> = (0..tree.len()).filter(|&m| tree[m]).map(ModuleId::at).collect();
            let own = tree[self.items[step].module.index()].then_some(step);
            let carries = for_each_maximal(
                &beside,
                |a, b| order.unordered(a, b),
                MOST_SETS,
                |set| {
                    let state = self.state(&ended(order, waits, set), set.iter().copied().chain(own));
                    self.loads.carries_without_touches(&state, &members, self.interrupt)
                },
            )?;
            if !carries {
                return Ok(false);
            }
        }
        Ok(true)
    }

    /// The modules of `inside` by the trees of bonds that they can ever be in while a step is under way and waits for `waits` only.
    fn trees(&self, order: &Order, item: usize, waits: &FixedBitSet, inside: &[bool]) -> Vec<Vec<bool>> {
        let placed: FixedBitSet = order.placed.iter().copied().collect();
        let count = self.own.len();
        let mut joined: UnionFind<usize> = UnionFind::new(count);
        for (module, places) in self.course.places.iter().enumerate().filter(|(module, _)| inside[*module]) {
            let (from, to) = (self.come(module, waits).drives_done, self.come(module, &placed).drives_done);
            for host in places[from..=to].iter().filter_map(|place| place.host.module()) {
                joined.union(module, host.index());
            }
        }
        let hosts = self.items[item].drive.map_or(&[][..], |drive| &self.course.drives[drive].hosts);
        for module in self.members(item).iter().chain(hosts) {
            joined.union(self.items[item].module.index(), module.index());
        }
        let mut trees: IndexMap<usize, Vec<bool>> = IndexMap::new();
        for module in (0..count).filter(|&module| inside[module]) {
            trees.entry(joined.find(module)).or_insert_with(|| vec![false; count])[module] = true;
        }
        trees.into_values().collect()
    }

    /// The state when all predecessors of the items under way have ended.
    fn state(&self, ended: &FixedBitSet, underway: impl Iterator<Item = usize>) -> State {
        let underway: Vec<usize> = underway.collect();
        let come: Vec<Come> = (0..self.own.len()).map(|m| self.come(m, ended)).collect();
        let mut holds: Vec<Hold> = come.iter().map(|c| c.hold).collect();
        for &item in underway.iter().filter(|&&item| self.items[item].drive.is_none()) {
            holds[self.items[item].module.index()] = Hold::Rolling;
        }
        let mut drives = self.drives_of(&underway);
        drives.sort_unstable();
        State { drives_done: come.iter().map(|c| c.drives_done).collect(), holds, underway: drives }
    }
}

/// What has ended when all predecessors of some steps under way have.
fn ended(order: &Order, waits: &FixedBitSet, underway: &[usize]) -> FixedBitSet {
    let mut ended = waits.clone();
    underway.iter().for_each(|&other| ended.union_with(&order.before[other]));
    ended
}

impl Rules for Crew<'_, '_> {
    fn len(&self) -> usize {
        self.items.len()
    }

    fn duration_s(&self, step: usize) -> f64 {
        self.items[step].duration_s
    }

    fn after_s(&self, step: usize, pause_s: f64) -> f64 {
        let own_s = |module: &ModuleId| {
            let own = &self.own[module.index()];
            let later = own.iter().rev().take_while(|&&item| item != step);
            later.map(|&item| pause_s + self.items[item].duration_s).sum()
        };
        self.members(step).iter().map(own_s).fold(0.0, f64::max)
    }

    fn keep_order(&self, earlier: usize, later: usize) -> bool {
        match (self.items[earlier].drive, self.items[later].drive) {
            (Some(a), Some(b)) => self.course.keep_order(a, b),
            (Some(a), None) => self.course.drives[a].members.contains(&self.items[later].module),
            (None, Some(b)) => self.course.drives[b].members.contains(&self.items[earlier].module),
            (None, None) => self.items[earlier].module == self.items[later].module,
        }
    }

    fn collide(&self, a: usize, b: usize) -> bool {
        match (self.items[a].drive, self.items[b].drive) {
            (Some(a), Some(b)) => self.course.collide(a, b),
            _ => false,
        }
    }

    fn may_follow(&self, order: &Order, step: usize) -> bool {
        let Some(drive) = self.items[step].drive else { return true };
        let placed: FixedBitSet = order.placed.iter().copied().collect();
        (0..self.own.len()).all(|m| {
            let (module, done) = (ModuleId::at(m), self.come(m, &placed).drives_done);
            self.course.drives[drive].members.contains(&module)
                || self.course.is_clear_of(drive, module, done)
        })
    }

    fn concerned(&mut self, order: &Order, step: usize, waits: &FixedBitSet) -> Vec<usize> {
        let inside = self.within_reach(order, step, waits);
        self.beside(order, waits, &inside)
    }

    fn holds(&mut self, order: &Order, step: usize, waits: &FixedBitSet) -> Result<bool, Stopped> {
        self.interrupt.go_on()?;
        if self.loads.without_loads {
            return Ok(true);
        }
        let inside = self.within_reach(order, step, waits);
        Ok(self.trees_carry(order, step, waits, &inside)?
            || self.structures_carry(order, step, waits, &inside)?)
    }

    fn holds_alone(&mut self, order: &Order, step: usize) -> bool {
        let placed: FixedBitSet = order.placed.iter().copied().collect();
        let state = self.state(&placed, std::iter::once(step));
        self.items[step].drive.is_none() && self.loads.carries_at_rest(&state)
    }
}
