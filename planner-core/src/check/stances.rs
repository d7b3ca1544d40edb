//! The structures of a plan over its time, for whoever asks more about them than whether they carry.

use super::order::order_findings;
use super::replay::Replay;
use super::structures::{Span, Structures};
use crate::control::{Interrupt, Stopped};
use crate::model::{ModuleId, Problem};
use crate::motion::structure_utilisations::Wanted;
use crate::plan::Plan;
use std::ops::Range;

/// The structures of a plan, and the pieces of time that its instants divide it into.
pub(crate) struct Stances<'a> {
    structures: Structures<'a>,
    instants: Vec<f64>,
    /// For each structure the spans of time in which it is there, by number.
    spans_of: Vec<Vec<usize>>,
}

impl<'a> Stances<'a> {
    /// The structures of a plan, and those of its end with the payloads that slots carry then; those at its start only, where the times of its steps contradict each other.
    ///
    /// # Errors
    /// When interrupted; the interrupt is polled at every instant.
    pub(crate) fn new(
        problem: &'a Problem,
        plan: &'a Plan,
        interrupt: Interrupt<'_>,
    ) -> Result<Self, Stopped> {
        let mut replay = Replay::new(problem, plan);
        if order_findings(problem, plan).is_empty() {
            replay.run(interrupt)?;
            if let Some(filling) = problem.filling(&replay.crew.now) {
                replay.structures.load_slots(&filling);
            }
        }
        let Replay { structures, instants, .. } = replay;
        let mut spans_of = vec![Vec::new(); structures.loads.len()];
        for (index, span) in structures.spans.iter().enumerate() {
            spans_of[span.part].push(index);
        }
        Ok(Self { structures, instants, spans_of })
    }

    /// The numbers of the structures.
    pub(crate) const fn numbers(&self) -> Range<usize> {
        0..self.spans_of.len()
    }

    /// A structure, by its number.
    pub(crate) fn get(&self, number: usize) -> &Wanted {
        self.structures.loads.get(number)
    }

    /// The spans of time in which a structure is there, the first first.
    pub(crate) fn spans_of(&self, number: usize) -> impl Iterator<Item = &Span> {
        self.spans_of[number].iter().map(|&index| &self.structures.spans[index])
    }

    /// The modules of a structure.
    pub(crate) fn members(&self, number: usize) -> &[ModuleId] {
        self.spans_of(number).next().map_or(&[], |span| &span.members)
    }

    /// When a structure is first at a fraction of its time, in seconds.
    pub(crate) fn time_s(&self, number: usize, share: f64) -> f64 {
        let Some(span) = self.spans_of(number).next() else { return 0.0 };
        let (from_s, to_s) = span.times_s;
        match span.gravity {
            None => from_s + share * (to_s - from_s),
            Some(_) => self.structures.places_of(span).next().map_or(from_s, |place| self.begin_s(place)),
        }
    }

    /// The pieces of time in which a structure is there.
    pub(crate) fn pieces_of(&self, number: usize) -> impl Iterator<Item = usize> {
        let places = self.spans_of(number).flat_map(|span| self.structures.places_of(span));
        places.map(|place| self.piece(place))
    }

    /// The pieces of time, in seconds: from every instant to the next. A plan without steps has one, of no length.
    pub(crate) fn pieces(&self) -> Vec<(f64, f64)> {
        match &self.instants[..] {
            [] => vec![(0.0, 0.0)],
            [only] => vec![(*only, *only)],
            instants => instants.windows(2).map(|pair| (pair[0], pair[1])).collect(),
        }
    }

    /// The piece of time that a place in time belongs to: an instant belongs to the piece that begins there, and the last to the one before.
    fn piece(&self, place: usize) -> usize {
        let last = self.instants.len().saturating_sub(2);
        (place.saturating_sub(1) / 2).min(last)
    }

    /// When a place in time begins, in seconds.
    fn begin_s(&self, place: usize) -> f64 {
        let instant = place.saturating_sub(1) / 2;
        self.instants.get(instant).or(self.instants.last()).copied().unwrap_or(0.0)
    }
}
