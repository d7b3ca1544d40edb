//! The smallest free gap of each step, over its time.

use super::Course;
use crate::geometry::{Path, least_distance_between, least_distance_to_prism};
use crate::math::DVec3;
use crate::model::{Body, ModuleId};
use crate::motion::Attached;
use rayon::prelude::*;

/// Greatest error of a drawn gap halfway between two samples, in metres, unless they are less than a 64th of the step apart; gaps above 50 mm are exempt.
pub const GAP_DRIFT_M: f64 = 2e-4;
/// Gaps above this need no accuracy, in metres.
const WIDE_M: f64 = 0.05;
/// Fractions of a step nearer than this are one instant: a millionth of a step is invisible.
const SAME_SHARE: f64 = 1e-6;
/// Most halvings of the time between two samples.
const DEEPEST: u32 = 6;

/// A free gap at an instant, between what a step moves and what it neither leaves, holds nor touches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GapAt {
    /// The instant, in seconds.
    pub at_s: f64,
    /// The module that moves.
    pub module: ModuleId,
    /// The other body.
    pub other: Body,
    /// Free distance between the surfaces, in metres.
    pub gap_m: f64,
}

/// The smallest free gaps of a step.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StepGaps {
    /// The smallest of all; none where the step moves nothing, or there is nothing else.
    pub least: Option<GapAt>,
    /// The smallest at instants dense enough for straight lines between them. They include the least.
    pub samples: Vec<GapAt>,
}

/// Two bodies, and how far apart they are at least and at most over a time, in metres.
#[derive(Clone, Copy)]
struct Pair {
    module: ModuleId,
    other: Body,
    least: f64,
    most: f64,
}

impl Course<'_> {
    /// The smallest free gap of every step, over its time.
    ///
    /// Within 1e-10 m. Complexity: for each module that a step moves, one pass through the crew, and an exact distance of paths for bodies that come near.
    #[must_use]
    pub fn gaps(&self) -> Vec<StepGaps> {
        let of = |(step, attached): (usize, &Option<Attached>)| {
            attached.as_ref().map_or_else(StepGaps::default, |attached| self.gaps_of(step, attached))
        };
        self.attached.par_iter().enumerate().map(of).collect()
    }

    fn gaps_of(&self, step: usize, attached: &Attached) -> StepGaps {
        let step = &self.plan.steps[step];
        let (from_s, to_s) = (step.start_s, step.end_s());
        let problem = self.problem;
        let fixed = || problem.ground_ids().map(Body::Ground).chain(problem.stone_ids().map(Body::Stone));
        let mut pairs: Vec<Pair> = Vec::new();
        for &module in attached.members() {
            let others = fixed().chain(problem.module_ids().map(Body::Module));
            let free = others.filter(|&other| attached.counts(module, other));
            pairs.extend(free.map(|other| self.pair(module, other, from_s, to_s)));
        }
        let most = pairs.iter().map(|pair| pair.most).fold(f64::INFINITY, f64::min);
        // The others are never the nearest.
        pairs.retain(|pair| pair.least <= most);
        pairs.sort_by(|a, b| a.least.total_cmp(&b.least));
        let mut least: Option<GapAt> = None;
        for pair in &pairs {
            if least.is_some_and(|known| pair.least >= known.gap_m) {
                break;
            }
            let gap = self.least_gap(pair, from_s, to_s);
            if least.is_none_or(|known| gap.gap_m < known.gap_m) {
                least = Some(gap);
            }
        }
        let Some(nearest) = least else { return StepGaps::default() };
        let share = |at_s: f64| (at_s - from_s) / (to_s - from_s);
        let mut instants = vec![from_s, nearest.at_s, to_s];
        instants.dedup_by(|late, early| share(*late) - share(*early) < SAME_SHARE);
        let mut ends = instants.into_iter().filter_map(|at_s| self.smallest(&pairs, at_s));
        let mut samples = Vec::new();
        let Some(mut last) = ends.next() else { return StepGaps::default() };
        for next in ends {
            self.refine(&pairs, last, next, DEEPEST, &mut samples);
            last = next;
        }
        samples.push(last);
        StepGaps { least, samples }
    }

    /// Adds the beginning of an interval, and samples inside it.
    fn refine(&self, pairs: &[Pair], from: GapAt, to: GapAt, depth: u32, samples: &mut Vec<GapAt>) {
        let middle = self.smallest(pairs, 0.5 * (from.at_s + to.at_s));
        let Some(middle) = middle.filter(|middle| {
            let drawn = 0.5 * (from.gap_m + to.gap_m);
            let is_near = from.gap_m.min(middle.gap_m).min(to.gap_m) < WIDE_M;
            depth > 0 && is_near && (drawn - middle.gap_m).abs() > GAP_DRIFT_M
        }) else {
            samples.push(from);
            return;
        };
        self.refine(pairs, from, middle, depth - 1, samples);
        self.refine(pairs, middle, to, depth - 1, samples);
    }

    /// The smallest gap of some pairs at an instant.
    fn smallest(&self, pairs: &[Pair], at_s: f64) -> Option<GapAt> {
        let gap = |&Pair { module, other, .. }: &Pair| {
            let place = |module| self.pose(module, at_s).0;
            let gap_m = self.distance(place(module), other, place) - self.radii(module, other);
            GapAt { at_s, module, other, gap_m }
        };
        pairs.iter().map(gap).reduce(|a, b| if b.gap_m < a.gap_m { b } else { a })
    }

    /// From a point to a deck, or to the centre of a stone or a module, in metres.
    fn distance(&self, point: DVec3, other: Body, place: impl Fn(ModuleId) -> DVec3) -> f64 {
        match other {
            Body::Ground(ground) => self.problem.distance_to_ground(ground, point),
            Body::Stone(stone) => self.problem.stones[stone.index()].centre.distance(point),
            Body::Module(module) => place(module).distance(point),
        }
    }

    /// What lies between the point and the surfaces.
    fn radii(&self, module: ModuleId, other: Body) -> f64 {
        let radius = |module| self.problem.kind(module).shell_radius_m;
        radius(module)
            + match other {
                Body::Ground(_) => 0.0,
                Body::Stone(stone) => self.problem.stones[stone.index()].radius_m,
                Body::Module(other) => radius(other),
            }
    }

    fn pair(&self, module: ModuleId, other: Body, from_s: f64, to_s: f64) -> Pair {
        let mut pair = Pair { module, other, least: f64::INFINITY, most: f64::NEG_INFINITY };
        let radii = self.radii(module, other);
        self.pieces(module, other, from_s, to_s, |piece| {
            let Piece { own, theirs, .. } = piece;
            let middle = |path: &Path| path.at(0.5 * path.span());
            let reach = own.reach_from_middle() + theirs.as_ref().map_or(0.0, Path::reach_from_middle);
            let place = |_| theirs.as_ref().map_or(DVec3::ZERO, middle);
            let distance = self.distance(middle(&own), other, place) - radii;
            pair.least = pair.least.min(distance - reach);
            pair.most = pair.most.max(distance + reach);
        });
        pair
    }

    fn least_gap(&self, &Pair { module, other, .. }: &Pair, from_s: f64, to_s: f64) -> GapAt {
        let radii = self.radii(module, other);
        let mut least = GapAt { at_s: from_s, module, other, gap_m: f64::INFINITY };
        self.pieces(module, other, from_s, to_s, |piece| {
            let share_of = |path: &Path, t: f64| if path.span() == 0.0 { 0.0 } else { t / path.span() };
            let to_point = |path: &Path, point: DVec3| {
                let (distance, t) = path.least_distance_to_point(point);
                (distance, share_of(path, t))
            };
            let Piece { own, theirs, from_s, to_s } = piece;
            let (distance, share) = match (other, theirs) {
                (Body::Ground(ground), _) => {
                    let decks = self.problem.decks_of(ground);
                    let near =
                        decks.filter_map(|deck| least_distance_to_prism(&own, &deck.solid, f64::INFINITY));
                    let nearest = near.min_by(|a, b| a.0.total_cmp(&b.0));
                    nearest.map_or((f64::INFINITY, 0.0), |(distance, t)| (distance, share_of(&own, t)))
                }
                (Body::Stone(stone), _) => to_point(&own, self.problem.stones[stone.index()].centre),
                (Body::Module(_), Some(theirs)) if theirs.length() == 0.0 => to_point(&own, theirs.at(0.0)),
                (Body::Module(_), Some(theirs)) if own.length() == 0.0 => to_point(&theirs, own.at(0.0)),
                (Body::Module(_), Some(theirs)) => least_distance_between(&own, &theirs),
                (Body::Module(_), None) => (f64::INFINITY, 0.0),
            };
            if distance - radii < least.gap_m {
                least.gap_m = distance - radii;
                least.at_s = from_s + share * (to_s - from_s);
            }
        });
        least
    }

    /// Calls `visit` with the paths of two bodies over each piece of a time in which both go evenly.
    fn pieces(&self, module: ModuleId, other: Body, from_s: f64, to_s: f64, mut visit: impl FnMut(Piece)) {
        let of = |module: ModuleId| {
            let legs = self.legs[module.index()].iter();
            let near =
                legs.skip_while(move |leg| leg.to_s <= from_s).take_while(move |leg| leg.from_s < to_s);
            near.flat_map(|leg| [leg.from_s, leg.to_s])
        };
        let mut cuts = vec![from_s, to_s];
        cuts.extend(of(module).chain(other.module().into_iter().flat_map(of)));
        cuts.retain(|cut| (from_s..=to_s).contains(cut));
        cuts.sort_by(f64::total_cmp);
        for pair in cuts.windows(2).filter(|pair| pair[0] < pair[1]) {
            let (from_s, to_s) = (pair[0], pair[1]);
            let path = |module| self.path(module, from_s, to_s);
            visit(Piece { own: path(module), theirs: other.module().map(path), from_s, to_s });
        }
    }

    /// The path of a module's centre over a time in which it begins and ends nothing.
    fn path(&self, module: ModuleId, from_s: f64, to_s: f64) -> Path {
        let legs = &self.legs[module.index()];
        let begun = legs.partition_point(|leg| leg.from_s <= from_s);
        match begun.checked_sub(1).map(|last| &legs[last]) {
            Some(leg) if leg.to_s > from_s => {
                let share = |at_s: f64| ((at_s - leg.from_s) / (leg.to_s - leg.from_s)).clamp(0.0, 1.0);
                leg.sweep.path_of(leg.start.position).part(share(from_s), share(to_s))
            }
            _ => Path::Line { from: self.pose(module, from_s).0, step: DVec3::ZERO },
        }
    }
}

/// The paths of two bodies over a time; a deck or a stone has none.
struct Piece {
    own: Path,
    theirs: Option<Path>,
    from_s: f64,
    to_s: f64,
}
