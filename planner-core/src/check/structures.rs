//! The structures of a plan: what bonds and touches, from the instant at which it comes to be to that at which something of it changes.
//!
//! Structures do not load each other. So each is asked about once, over as long a time as nothing begins or ends in it, whatever the rest of the
//! crew does; only gravity depends on whether anything of the crew moves.

use super::crew::Crew;
use crate::math::tolerance;
use crate::model::{ModuleId, Placement, Problem};
use crate::motion::Underway;
use crate::motion::structure_utilisations::{Gravity, Part, StructureUtilisations};

/// An instant of a plan: its number, and its time in seconds.
#[derive(Clone, Copy, Debug)]
pub(super) struct Instant {
    pub(super) number: usize,
    pub(super) at_s: f64,
}

/// The places of a plan in time: the time before its first instant is 0, instant `i` is `2 i + 1`, and the time after it `2 i + 2`.
pub(super) const fn at(instant: usize) -> usize {
    2 * instant + 1
}

/// A structure over some time: which, and when.
#[derive(Clone, Debug)]
pub(crate) struct Span {
    /// Its number among the structures asked about.
    pub(crate) part: usize,
    /// The first and the last place in time.
    pub(crate) places: (usize, usize),
    /// Its beginning and end, in seconds.
    pub(crate) times_s: (f64, f64),
    /// Its modules.
    pub(crate) members: Vec<ModuleId>,
    /// The steps under way in it.
    pub(crate) steps: Vec<usize>,
    /// The gravity of the crew in the time it is asked about; `None` where it moves itself.
    pub(crate) gravity: Option<Gravity>,
}

/// A structure in which nothing has changed since it came to be.
struct Living {
    members: Vec<ModuleId>,
    places: Vec<Placement>,
    since: Instant,
    /// The first place in time at which it is asked about.
    from: usize,
    steps: Vec<usize>,
    /// Moves under way with their durations, and hops with their ends.
    moving: Vec<(Underway, f64)>,
    hops: Vec<(ModuleId, Placement)>,
    /// Whether a step in it takes no time.
    at_once: bool,
}

pub(super) struct Structures<'a> {
    problem: &'a Problem,
    pub(super) loads: StructureUtilisations<'a>,
    pub(super) spans: Vec<Span>,
    living: Vec<Option<Living>>,
    /// Where in that list the structure of each module is.
    of_module: Vec<usize>,
    /// What is under way in the crew at each place in time; `None` at an instant at which no step begins and ends.
    pub(super) gravity: Vec<Option<Gravity>>,
    /// The first step under way at each place in time.
    pub(super) first_step: Vec<Option<usize>>,
}

impl<'a> Structures<'a> {
    /// The structures at the start.
    pub(super) fn new(problem: &'a Problem, crew: &mut Crew<'_>, instants: usize) -> Self {
        let count = at(instants) + 1;
        let mut gravity = vec![None; count];
        gravity[0] = Some(Gravity::AtRest);
        let loads = StructureUtilisations::new(problem);
        let (spans, living, of_module) = (Vec::new(), Vec::new(), vec![usize::MAX; problem.modules.len()]);
        let first_step = vec![None; count];
        let mut new = Self { problem, loads, spans, living, of_module, gravity, first_step };
        let all: Vec<ModuleId> = problem.module_ids().collect();
        new.change(crew, Instant { number: 0, at_s: 0.0 }, &all);
        new.living.iter_mut().flatten().for_each(|living| living.from = 0);
        new
    }

    /// Notes what is under way in the crew at a place in time.
    pub(super) fn note(&mut self, place: usize, crew: &Crew<'_>) {
        self.gravity[place] = Some(Gravity::during(crew.active.iter().map(|active| &active.action)));
        self.first_step[place] = crew.active.iter().map(|active| active.step).min();
    }

    /// Finds the structures of some modules anew, with all whose structures they leave or join. Those that they were in end at this instant.
    pub(super) fn change(&mut self, crew: &mut Crew<'_>, instant: Instant, changed: &[ModuleId]) {
        let hops: Vec<(ModuleId, ModuleId)> = crew
            .active
            .iter()
            .filter_map(|active| active.hop_end())
            .filter_map(|(mover, end)| Some((mover, end.host.module()?)))
            .collect();
        let mut found: Vec<Vec<ModuleId>> = Vec::new();
        let mut known = vec![false; self.of_module.len()];
        let mut pending = changed.to_vec();
        while let Some(first) = pending.pop() {
            if std::mem::replace(&mut known[first.index()], true) {
                continue;
            }
            let mut part = vec![first];
            let mut next = 0;
            while next < part.len() {
                for other in crew.joined_to(part[next], &hops) {
                    if !std::mem::replace(&mut known[other.index()], true) {
                        part.push(other);
                    }
                }
                next += 1;
            }
            for member in &part {
                pending.extend(self.end_structure_of(*member, crew, instant));
            }
            part.sort_unstable();
            found.push(part);
        }
        for part in found {
            self.begin(crew, instant, part);
        }
    }

    /// Ends all structures after the last instant.
    pub(super) fn end(&mut self, crew: &mut Crew<'_>, instant: Instant) {
        for module in self.problem.module_ids() {
            self.end_structure_of(module, crew, instant);
        }
    }

    fn begin(&mut self, crew: &Crew<'_>, since: Instant, members: Vec<ModuleId>) {
        let places = members.iter().map(|&m| crew.loaded(m)).collect();
        let inside = crew.active.iter().filter(|active| members.binary_search(&active.mover).is_ok());
        let (mut steps, mut moving, mut hops, mut at_once) = (Vec::new(), Vec::new(), Vec::new(), false);
        for active in inside {
            steps.push(active.step);
            at_once |= active.takes_no_time();
            hops.extend(active.hop_end());
            if active.action.sweeps() {
                moving.push((active.over(1.0), active.duration_s));
            }
        }
        for member in &members {
            self.of_module[member.index()] = self.living.len();
        }
        let from = at(since.number);
        self.living.push(Some(Living { members, places, since, from, steps, moving, hops, at_once }));
    }

    /// Ends the structure of a module, and asks about it; returns its modules, or none if it has ended already.
    fn end_structure_of(&mut self, module: ModuleId, crew: &mut Crew<'_>, until: Instant) -> Vec<ModuleId> {
        let Some(living) = self.living.get_mut(self.of_module[module.index()]).and_then(Option::take) else {
            return Vec::new();
        };
        let Living { members, places, since, from, steps, moving, hops, at_once } = living;
        if !moving.is_empty() {
            crew.advance(&members, until.at_s);
        }
        let last = at(until.number);
        let lasts_s = until.at_s - since.at_s;
        let span = |part, places, gravity| Span {
            part,
            places,
            times_s: (since.at_s, until.at_s),
            members: members.clone(),
            steps: steps.clone(),
            gravity,
        };
        if moving.is_empty() && hops.is_empty() {
            for gravity in [Gravity::AtRest, Gravity::Still, Gravity::UnderWay] {
                if self.gravity[from..=last].contains(&Some(gravity)) {
                    let part = Part { members: &members, places: &places, moving: &[], hops: &[] };
                    let number = self.loads.want(part, gravity);
                    self.spans.push(span(number, (from, last), Some(gravity)));
                }
            }
        } else if since.number < until.number || at_once {
            let share =
                |duration_s: f64| if duration_s > tolerance::TIME_S { lasts_s / duration_s } else { 1.0 };
            let moving: Vec<Underway> =
                moving.iter().map(|&(u, duration_s)| Underway { share: share(duration_s), ..u }).collect();
            let part = Part { members: &members, places: &places, moving: &moving, hops: &hops };
            let number = self.loads.want(part, Gravity::UnderWay);
            let within = if since.number == until.number { (last, last) } else { (from + 1, last - 1) };
            self.spans.push(span(number, within, None));
        }
        members
    }

    /// Adds the structures of the end with the payloads that the goal puts on its slots then; `filling` gives the module in each slot.
    pub(super) fn load_slots(&mut self, filling: &[Option<ModuleId>]) {
        let slots = self.problem.goal.slots.iter().zip(filling);
        let payloads: Vec<(ModuleId, f64)> = slots
            .filter(|(slot, _)| slot.payload_kg > 0.0)
            .filter_map(|(s, id)| Some(((*id)?, s.payload_kg)))
            .collect();
        let Some(end) = self.spans.iter().map(|span| span.places.1).max() else { return };
        let is_last = |span: &&Span| span.places.1 == end && span.gravity == Some(Gravity::AtRest);
        for span in self.spans.iter().filter(is_last).cloned().collect::<Vec<_>>() {
            let own = |&(module, kg): &(ModuleId, f64)| {
                Some((ModuleId::at(span.members.binary_search(&module).ok()?), kg))
            };
            let own: Vec<(ModuleId, f64)> = payloads.iter().filter_map(own).collect();
            if !own.is_empty() {
                let part = self.loads.want_loaded(span.part, &own);
                let times_s = (span.times_s.1, span.times_s.1);
                self.spans.push(Span { part, places: (end - 1, end), times_s, ..span });
            }
        }
    }

    /// The places in time of a span at which it is asked about.
    pub(super) fn places_of(&self, span: &Span) -> impl Iterator<Item = usize> + use<'_, 'a> {
        let (from, to) = span.places;
        let gravity = span.gravity;
        (from..=to).filter(move |&place| gravity.is_none() || self.gravity[place] == gravity)
    }
}
