//! Which modules are braced when: the fewest braces and releases for a sequence of drives.
//!
//! Between two of its own slides or hops a module is braced at most once: bracing never hurts what stands, so once braced it may stay so. Each such
//! spell is braced or not, and more braces never make a drive worse. Suppose a drive fails with a set of spells braced, and still fails with as many
//! others added as possible. This proves that one of the remaining spells has to be braced. The cheapest choice that hits all these proofs is a lower
//! bound, and the answer as soon as nothing fails with it (implicit hitting sets, Moreno-Centeno & Karp 2013).

use super::ScheduleError;
use super::drive_sequence::DriveSequence;
use super::hitting_set::least_hitting_set;
use super::loads::{Loads, State};
use crate::control::{Interrupt, Stopped};
use crate::model::{Body, Hold, ModuleId};
use crate::motion::{Move, load_at_rest, load_with_payloads};

/// Most branches of one hitting-set search.
const BRANCHES: usize = 50_000;

/// The hold of every module in the spells between its own drives.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Holds {
    /// For each module, before its first own drive, after it, …, after its last: whether it is braced.
    pub(super) braced: Vec<Vec<bool>>,
    /// For each module the hold that it must have at the end.
    pub(super) last: Vec<Option<Hold>>,
    /// A lower bound on the number of braces and releases for this order of drives.
    pub(super) at_least: usize,
}

/// Consecutive intervals that may be braced as one.
#[derive(Clone, Debug)]
struct Spell {
    module: ModuleId,
    /// First and last index into `braced`; there are only yaws between them.
    gaps: (usize, usize),
    /// Number of braces and releases that it costs.
    cost: usize,
}

/// The fewest holds for drives in a given order. `solved` says that the end is the goal, with its holds and payloads.
///
/// # Errors
/// When a drive, or the end, does not carry its load with every module braced, or when interrupted.
pub(super) fn fewest_holds(
    course: &DriveSequence<'_>,
    loads: &mut Loads<'_>,
    sequence: &[usize],
    solved: bool,
    interrupt: Interrupt<'_>,
) -> Result<Holds, ScheduleError> {
    let mut chooser = Chooser::new(course, loads, sequence, solved, interrupt)?;
    let costs: Vec<usize> = chooser.spells.iter().map(|s| s.cost).collect();
    let mut proofs: Vec<Vec<usize>> = Vec::new();
    loop {
        let hitting = least_hitting_set(&costs, &proofs, BRANCHES, interrupt)?;
        let braced = chooser.braced_with(&hitting.chosen);
        let mut failing: Vec<usize> = Vec::new();
        for at in 0..=sequence.len() {
            if chooser.fails(&braced, at)? {
                failing.push(at);
            }
        }
        if failing.is_empty() {
            let at_least = chooser.fixed + hitting.at_least;
            let braced = chooser.trimmed(braced);
            return Ok(Holds { braced, last: chooser.last, at_least });
        }
        for at in failing {
            let proof = chooser.proof(&hitting.chosen, at)?;
            if proof.is_empty() {
                return Err(chooser.no_bracing(at));
            }
            if !proofs.contains(&proof) {
                proofs.push(proof);
            }
        }
    }
}

/// Holds for drives in a given order, by one check of each drive: every standing module is braced wherever the load is not carried without braces. As
/// sound as bracing every module throughout, but with more braces than necessary.
///
/// # Errors
/// See [`fewest_holds`]; a load that no bracing carries is not detected.
pub(super) fn quick_holds(
    course: &DriveSequence<'_>,
    loads: &mut Loads<'_>,
    sequence: &[usize],
    solved: bool,
    interrupt: Interrupt<'_>,
) -> Result<Holds, ScheduleError> {
    let mut chooser = Chooser::new(course, loads, sequence, solved, interrupt)?;
    let none = chooser.always.clone();
    let mut chosen: Vec<usize> = Vec::new();
    let mut own_done = vec![0; none.len()];
    for at in 0..=sequence.len() {
        if chooser.fails(&none, at)? {
            let under_way = |s: &Spell| (s.gaps.0..=s.gaps.1).contains(&own_done[s.module.index()]);
            chosen.extend((0..chooser.spells.len()).filter(|&s| under_way(&chooser.spells[s])));
        }
        if let Some(&drive) = sequence.get(at) {
            course.drives[drive].own_of().for_each(|module| own_done[module.index()] += 1);
        }
    }
    Ok(Holds { braced: chooser.braced_with(&chosen), last: chooser.last, at_least: 0 })
}

struct Chooser<'a, 'b, 'c> {
    course: &'a DriveSequence<'a>,
    loads: &'b mut Loads<'c>,
    interrupt: Interrupt<'a>,
    sequence: &'a [usize],
    /// For each module the indices of its own drives, in order.
    own: Vec<Vec<usize>>,
    spells: Vec<Spell>,
    /// Intervals that are braced in any case.
    always: Vec<Vec<bool>>,
    /// The cost of these.
    fixed: usize,
    last: Vec<Option<Hold>>,
    /// The module in each of the goal's slots, when the end is the goal.
    filling: Option<Vec<Option<ModuleId>>>,
}

impl<'a, 'b, 'c> Chooser<'a, 'b, 'c> {
    fn new(
        course: &'a DriveSequence<'a>,
        loads: &'b mut Loads<'c>,
        sequence: &'a [usize],
        solved: bool,
        interrupt: Interrupt<'a>,
    ) -> Result<Self, ScheduleError> {
        let problem = course.problem;
        let mut own: Vec<Vec<usize>> = vec![Vec::new(); problem.modules.len()];
        for &drive in sequence {
            course.drives[drive].own_of().for_each(|module| own[module.index()].push(drive));
        }
        let mut chooser = Self {
            course,
            loads,
            interrupt,
            sequence,
            always: own.iter().map(|own| vec![false; own.len() + 1]).collect(),
            last: vec![None; own.len()],
            own,
            spells: Vec::new(),
            fixed: 0,
            filling: None,
        };
        if solved {
            let end = chooser.loads.configuration(&chooser.state(&chooser.always, sequence.len()));
            let filling = problem.fillers(&end);
            for (slot, filler) in problem.goal.slots.iter().zip(&filling) {
                match filler {
                    Some(module) => chooser.last[module.index()] = slot.hold,
                    None if slot.optional => {}
                    None => return Err(ScheduleError::FinalShape),
                }
            }
            chooser.filling = Some(filling);
        }
        for module in problem.module_ids() {
            chooser.add_spells(module);
        }
        Ok(chooser)
    }

    /// Adds the spells of one module: those that are fixed, and those to choose from.
    fn add_spells(&mut self, module: ModuleId) {
        let problem = self.course.problem;
        let own = &self.own[module.index()];
        let starts_braced = problem.start.get(module).hold == Hold::Braced;
        let is_yaw = |drive: usize| matches!(self.course.drives[drive].action, Move::Yaw { .. });
        let mut first = 0;
        for gap in 0..=own.len() {
            if gap < own.len() && is_yaw(own[gap]) {
                continue;
            }
            let (gaps, is_last) = ((first, gap), gap == own.len());
            first = gap + 1;
            let asked = self.last[module.index()].filter(|_| is_last);
            let begins_braced = gaps.0 == 0 && starts_braced;
            let braces = usize::from(!begins_braced);
            let releases = usize::from(!is_last || asked == Some(Hold::Rolling));
            if !problem.modules[module.index()].can_brace() {
                // With a lost cup it has to be released before it moves.
                let held = if problem.modules[module.index()].stuck { gaps.1 } else { 0 };
                self.always[module.index()][..=held].fill(starts_braced);
            } else if begins_braced || asked == Some(Hold::Braced) {
                self.always[module.index()][gaps.0..=gaps.1].fill(true);
                self.fixed += braces + releases;
            } else if self.may_help(module, gaps) {
                self.spells.push(Spell { module, gaps, cost: braces + releases });
            }
        }
    }

    /// Whether a brace can make any difference: a cup that holds, or a yaw that needs the torque.
    fn may_help(&self, module: ModuleId, (first, last): (usize, usize)) -> bool {
        let before = first.checked_sub(1).map(|k| self.own[module.index()][k]);
        let places = &self.course.places[module.index()];
        let at = before.map_or(0, |drive| self.course.done_after(drive, module));
        match places[at].host {
            Body::Module(_) | Body::Stone(_) => true,
            Body::Ground(deck) => self.course.problem.ground(deck).surfacing.sealable || last > first,
        }
    }

    fn braced_with(&self, chosen: &[usize]) -> Vec<Vec<bool>> {
        let mut braced = self.always.clone();
        for spell in chosen.iter().map(|&s| &self.spells[s]) {
            braced[spell.module.index()][spell.gaps.0..=spell.gaps.1].fill(true);
        }
        braced
    }

    /// The state when the drive at a position of the sequence is under way and all before it have ended.
    fn state(&self, braced: &[Vec<bool>], at: usize) -> State {
        let mut drives_done = vec![0; braced.len()];
        let mut own_done = vec![0; braced.len()];
        for &drive in &self.sequence[..at] {
            let drive = &self.course.drives[drive];
            drive.own_of().for_each(|module| own_done[module.index()] += 1);
            for member in &drive.members {
                drives_done[member.index()] += 1;
            }
        }
        let underway: Vec<usize> = self.sequence.get(at).copied().into_iter().collect();
        let movers = underway.first().map(|&drive| self.course.drives[drive].own_of());
        let movers: Vec<usize> = movers.into_iter().flatten().map(ModuleId::index).collect();
        let hold = |module: usize| {
            let (gap, spells) = (own_done[module], &braced[module]);
            let is_last = gap + 1 == spells.len() && at == self.sequence.len();
            let braced = if movers.contains(&module) {
                spells[gap] && spells[gap + 1] && self.is_yaw_at(at)
            } else {
                spells[gap] && !(is_last && self.last[module] == Some(Hold::Rolling))
            };
            if braced { Hold::Braced } else { Hold::Rolling }
        };
        let holds = (0..braced.len()).map(hold).collect();
        State { drives_done, holds, underway }
    }

    fn is_yaw_at(&self, at: usize) -> bool {
        self.sequence.get(at).is_some_and(|&d| matches!(self.course.drives[d].action, Move::Yaw { .. }))
    }

    /// Whether the load is not carried in the drive at a position, or at the end.
    fn fails(&mut self, braced: &[Vec<bool>], at: usize) -> Result<bool, Stopped> {
        let state = self.state(braced, at);
        if at < self.sequence.len() {
            return Ok(!self.loads.carries(&state, self.interrupt)?);
        }
        let (problem, end) = (self.course.problem, self.loads.configuration(&state));
        let limit = self.loads.limit;
        let loaded = self.filling.as_ref().map(|filling| load_with_payloads(problem, &end, filling));
        Ok(!load_at_rest(problem, &end).carries(limit) || loaded.is_some_and(|case| !case.carries(limit)))
    }

    /// The spells of which at least one has to be braced for the drive at a position.
    fn proof(&mut self, chosen: &[usize], at: usize) -> Result<Vec<usize>, Stopped> {
        let mut braced = chosen.to_vec();
        let mut proof = Vec::new();
        for spell in (0..self.spells.len()).filter(|s| !chosen.contains(s)) {
            braced.push(spell);
            let all = self.braced_with(&braced);
            if !self.fails(&all, at)? {
                braced.pop();
                proof.push(spell);
            }
        }
        Ok(proof)
    }

    /// The same with every yaw at an end of a braced spell made rolling, which is faster, where the load allows it. After an interruption the
    /// remaining yaws stay braced.
    fn trimmed(&mut self, mut braced: Vec<Vec<bool>>) -> Vec<Vec<bool>> {
        for module in 0..braced.len() {
            let gaps = braced[module].len();
            let backwards = (0..gaps).rev().map(|gap| (gap, true));
            for (gap, from_end) in backwards.chain((0..gaps).map(|gap| (gap, false))) {
                let beside = |after: bool| if after { Some(gap) } else { gap.checked_sub(1) };
                let joined =
                    |after: bool| beside(after).is_some_and(|g| self.is_one_spell(&braced, module, g));
                let is_outermost = joined(!from_end) && !joined(from_end);
                // The last spell needs no release and the first may need no brace, so a cut there would add a move.
                let is_kept = if from_end { gap + 1 == gaps } else { gap == 0 && self.always[module][0] };
                if !is_outermost || is_kept {
                    continue;
                }
                braced[module][gap] = false;
                match self.all_carry(&braced) {
                    Ok(true) => {}
                    Ok(false) => braced[module][gap] = true,
                    Err(_) => {
                        braced[module][gap] = true;
                        return braced;
                    }
                }
            }
        }
        braced
    }

    fn all_carry(&mut self, braced: &[Vec<bool>]) -> Result<bool, Stopped> {
        for at in 0..=self.sequence.len() {
            if self.fails(braced, at)? {
                return Ok(false);
            }
        }
        Ok(true)
    }

    /// Whether a module is braced over a yaw between two gaps.
    fn is_one_spell(&self, braced: &[Vec<bool>], module: usize, gap: usize) -> bool {
        let yaws = |&drive: &usize| matches!(self.course.drives[drive].action, Move::Yaw { .. });
        let spells = &braced[module];
        gap + 1 < spells.len() && spells[gap] && spells[gap + 1] && yaws(&self.own[module][gap])
    }

    fn no_bracing(&self, at: usize) -> ScheduleError {
        match self.sequence.get(at) {
            None => ScheduleError::FinalShape,
            Some(&drive) => {
                let drive = &self.course.drives[drive];
                let module = self.course.problem.module_name(drive.module).to_owned();
                ScheduleError::NoBracing { module, word: drive.action.word() }
            }
        }
    }
}
