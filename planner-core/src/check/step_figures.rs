//! The worst utilisation of the crew over every step.
//!
//! A step is under way beside others. A structure in which something moves is asked about from the instant at which it comes to be until it changes, so
//! it may reach out of the step's time. Then only the part within that time counts; it is worked out where it may be what is worst, and where the
//! instant of the structure's worst is not in it.

use super::replay::Replay;
use super::structures::{Span, at};
use crate::control::{Interrupt, Stopped};
use crate::math::tolerance;
use crate::motion::WorstUtilisation;
use crate::motion::structure_utilisations::Gravity;
use crate::statics::Utilisation;
use rayon::prelude::*;
use std::ops::Range;

/// Utilisations closer than this are one.
const SAME: f64 = 0.1 * tolerance::UTILISATION;

/// The structures in which something moves, and when.
pub(super) struct Beside<'a> {
    replay: &'a Replay<'a>,
    /// Those in which something moves, in the order of their beginnings, with their worst utilisations.
    moving: Vec<(&'a Span, WorstUtilisation)>,
    /// For each step those whose time meets its own, as positions in that list.
    met_by: Vec<Vec<usize>>,
    /// For each step the worst of them within its time.
    worst: Vec<f64>,
}

impl<'a> Beside<'a> {
    /// With the worst utilisation of every structure in which something moves, by its number.
    ///
    /// # Errors
    /// When interrupted.
    pub(super) fn new(
        replay: &'a Replay<'a>,
        worst: &[Option<WorstUtilisation>],
        interrupt: Interrupt<'_>,
    ) -> Result<Self, Stopped> {
        let spans = replay.structures.spans.iter().filter(|span| span.gravity.is_none());
        let mut moving: Vec<(&Span, WorstUtilisation)> =
            spans.map(|span| (span, worst[span.part].unwrap_or(WorstUtilisation::NOTHING))).collect();
        moving.sort_by_key(|(span, _)| span.places);
        let mut beside =
            Self { replay, met_by: vec![Vec::new(); replay.spans.len()], moving, worst: Vec::new() };
        let mut order: Vec<usize> = (0..replay.spans.len()).collect();
        order.sort_by_key(|&step| places_of_step(replay.spans[step]).start);
        let (mut open, mut next): (Vec<usize>, usize) = (Vec::new(), 0);
        for step in order {
            let places = places_of_step(replay.spans[step]);
            while next < beside.moving.len() && beside.moving[next].0.places.0 < places.start {
                open.push(next);
                next += 1;
            }
            open.retain(|&index| beside.moving[index].0.places.1 >= places.start);
            let until = beside.moving.partition_point(|(span, _)| span.places.0 < places.end);
            beside.met_by[step] = open.iter().copied().chain(next..until).collect();
        }
        let worst: Result<Vec<f64>, Stopped> = (0..beside.met_by.len())
            .into_par_iter()
            .map(|step| beside.worst_beside(step, interrupt))
            .collect();
        beside.worst = worst?;
        Ok(beside)
    }

    /// For each structure in which nothing moves, by its number: what it would have to exceed to matter to any step.
    pub(super) fn least(&self) -> Vec<Utilisation> {
        let structures = &self.replay.structures;
        let mut at_place = vec![f64::INFINITY; structures.gravity.len()];
        for (span, worst) in self.replay.spans.iter().zip(&self.worst) {
            at_place[places_of_step(*span)].iter_mut().for_each(|least| *least = least.min(*worst));
        }
        let mut least = vec![f64::INFINITY; structures.loads.len()];
        for span in structures.spans.iter().filter(|span| span.gravity.is_some()) {
            let known = structures.places_of(span).map(|place| at_place[place]);
            least[span.part] = known.fold(least[span.part], f64::min);
        }
        let of = |value: f64| Utilisation { value, ..Utilisation::NOTHING };
        least.into_iter().map(|least| of(if least.is_finite() { least } else { 0.0 })).collect()
    }

    /// The worst utilisation over every step, with what the structures in which nothing moves are used, by their numbers.
    pub(super) fn with(&self, still: &[Utilisation]) -> Vec<f64> {
        let structures = &self.replay.structures;
        let mut at_place = vec![0.0_f64; structures.gravity.len()];
        let asked = |span: &&Span| span.gravity.is_some_and(|gravity| gravity != Gravity::AtRest);
        for span in structures.spans.iter().filter(asked) {
            for place in structures.places_of(span) {
                at_place[place] = at_place[place].max(still[span.part].value);
            }
        }
        let worst = |(span, moving): (&(usize, usize), &f64)| {
            at_place[places_of_step(*span)].iter().copied().fold(*moving, f64::max)
        };
        self.replay.spans.iter().zip(&self.worst).map(worst).collect()
    }

    /// The worst of the structures in which something moves within the time of a step.
    fn worst_beside(&self, step: usize, interrupt: Interrupt<'_>) -> Result<f64, Stopped> {
        let places = places_of_step(self.replay.spans[step]);
        let met = || self.met_by[step].iter().map(|&index| self.moving[index]);
        let loads = &self.replay.structures.loads;
        let is_inside = |span: &Span, used: &WorstUtilisation| {
            let structure = loads.get(span.part);
            is_within(span, &places)
                || structure.is_large
                || structure.is_reached_between(used.share, self.shares(span, &places))
        };
        let (inside, mut parts): (Vec<_>, Vec<_>) = met().partition(|(span, used)| is_inside(span, used));
        let value = |used: &WorstUtilisation| used.utilisation.value;
        let mut worst = inside.iter().map(|(_, used)| value(used)).fold(0.0, f64::max);
        parts.sort_by(|(_, a), (_, b)| value(b).total_cmp(&value(a)));
        for (span, used) in parts {
            if value(&used) <= worst + SAME {
                break;
            }
            let shares = self.shares(span, &places);
            let part = loads.get(span.part).worst_between(worst, shares, interrupt)?;
            worst = worst.max(part.value);
        }
        Ok(worst)
    }

    /// The part of a span's time that is within some places, as fractions.
    fn shares(&self, span: &Span, places: &Range<usize>) -> (f64, f64) {
        let instants = &self.replay.instants;
        // The place after an instant begins there, and the one before the next ends there.
        let begins_s = instants[(places.start - at(0)) / 2];
        let ends_s = instants[(places.end - 1) / 2];
        let (from_s, to_s) = span.times_s;
        let share = |at_s: f64| ((at_s - from_s) / (to_s - from_s)).clamp(0.0, 1.0);
        (share(begins_s), share(ends_s))
    }
}

/// The places in time of a step, given the instants at which it begins and ends.
pub(super) fn places_of_step((begins, ends): (usize, usize)) -> Range<usize> {
    if begins == ends { at(begins)..at(begins) + 1 } else { at(begins) + 1..at(ends) }
}

const fn is_within(span: &Span, places: &Range<usize>) -> bool {
    span.places.0 >= places.start && span.places.1 < places.end
}
