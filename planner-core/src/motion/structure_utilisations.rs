//! The worst utilisation of structures over stretches of time, and whether they carry their loads at rest.
//!
//! Structures that neither bond nor touch do not load each other, so the worst utilisation of the crew is that of its structures. Many of them are
//! the same at several times of a plan, and each is computed once: first all questions are collected, then they are answered in parallel.

use super::structure::{alone, renamed, renamed_body};
use super::{Move, Stretch, Underway, WorstUtilisation};
use crate::control::{Interrupt, Stopped};
use crate::model::{Body, Configuration, Hold, ModuleId, Placement, Problem, touches};
use crate::statics::{DIRECTIONS, LoadCase, PosedCase, Utilisation, WarmStart};
use indexmap::IndexMap;
use rayon::prelude::*;

/// Structures over stretches, without duplicates.
pub(crate) struct StructureUtilisations<'a> {
    problem: &'a Problem,
    wanted: IndexMap<Vec<u64>, Wanted>,
}

/// A structure with the moves in it. Its modules are in the order of the crew; moves and hops are those of the crew.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Part<'a> {
    pub(crate) members: &'a [ModuleId],
    pub(crate) places: &'a [Placement],
    pub(crate) moving: &'a [Underway],
    pub(crate) hops: &'a [(ModuleId, Placement)],
}

/// What is under way in the crew, on which gravity depends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Gravity {
    /// Nothing.
    AtRest,
    /// Only holds are changed.
    Still,
    /// Something slides, yaws or hops.
    UnderWay,
}

impl Gravity {
    /// While these moves are under way in the crew.
    pub(crate) fn during<'a>(moves: impl Iterator<Item = &'a Move> + Clone) -> Self {
        if moves.clone().any(Move::shakes) {
            Self::UnderWay
        } else if moves.count() > 0 {
            Self::Still
        } else {
            Self::AtRest
        }
    }
}

/// How exactly utilisations are worked out. Unless said otherwise those of structures that are not large are exact.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Figures<'a> {
    /// As exactly as those of others.
    Exact,
    /// The least of a few bounds that can be proven.
    Bounds,
    /// The bound that is claimed for each structure, by its number, where it can be proven.
    Claimed(&'a [f64]),
    /// Of every structure only whether it is within the limit: that is its bound.
    Limit,
}

/// With more touches than this a structure is large: to find touch forces that carry it takes far less time than to find the best.
pub(super) const MOST_TOUCHES: usize = 12;
/// Bounds that are tried, as shares of the limit on utilisation.
const BOUNDS: [f64; 2] = [0.75, 1.0];
/// So many structures one after the other begin with the touch forces of the one before.
const ALIKE: usize = 8;
/// The same where some are large.
const LARGE_ALIKE: usize = 64;

/// A structure by itself, and the moves in it.
#[derive(Clone)]
pub(crate) struct Wanted {
    pub(crate) problem: Problem,
    pub(crate) there: Configuration,
    pub(crate) is_large: bool,
    pub(super) moving: Vec<Underway>,
    pub(crate) hops: Vec<(ModuleId, Placement)>,
    pub(super) gravity: Gravity,
}

impl<'a> StructureUtilisations<'a> {
    pub(crate) fn new(problem: &'a Problem) -> Self {
        Self { problem, wanted: IndexMap::new() }
    }

    /// Adds a structure; returns its number.
    pub(crate) fn want(&mut self, part: Part<'_>, gravity: Gravity) -> usize {
        let wanted = Wanted::new(self.problem, part, gravity);
        let entry = self.wanted.entry(key(part.members, &wanted));
        let number = entry.index();
        entry.or_insert_with(|| {
            let is_large = touches(&wanted.problem, &wanted.there).len() > MOST_TOUCHES;
            Wanted { is_large, ..wanted }
        });
        number
    }

    /// Adds a structure that is asked about already with more payload on some of its modules; returns its number.
    pub(crate) fn want_loaded(&mut self, number: usize, payloads: &[(ModuleId, f64)]) -> usize {
        let Some((key, wanted)) = self.wanted.get_index(number) else { return number };
        let (mut loaded, mut wanted) = (key.clone(), wanted.clone());
        for &(module, payload_kg) in payloads {
            wanted.problem.modules[module.index()].payload_kg += payload_kg;
            loaded.extend([module.index() as u64, payload_kg.to_bits()]);
        }
        self.wanted.insert_full(loaded, wanted).0
    }

    /// How many structures there are.
    pub(crate) fn len(&self) -> usize {
        self.wanted.len()
    }

    /// A structure, by its number.
    pub(crate) fn get(&self, number: usize) -> &Wanted {
        &self.wanted[number]
    }

    /// Whether any structure is large.
    pub(crate) fn has_large(&self) -> bool {
        self.wanted.values().any(|wanted| wanted.is_large)
    }

    /// The worst utilisation of each structure in which something moves, by its number, with the instant, or a bound on it, without one; `None` for
    /// the others.
    ///
    /// # Errors
    /// When interrupted; the interrupt is polled before every load case.
    pub(crate) fn of_moving(
        &self,
        figures: Figures<'_>,
        interrupt: Interrupt<'_>,
    ) -> Result<Vec<Option<WorstUtilisation>>, Stopped> {
        self.of_each(|number, wanted, hint| {
            let bounds = self.bounds(number, wanted, figures);
            wanted.moves().then(|| wanted.worst_over_the_stretch(&bounds, hint, interrupt)).transpose()
        })
    }

    /// What the structures in which nothing moves add to the worst utilisation of others beside them: of one at rest, whether it is within the limit.
    ///
    /// The exact utilisation is worked out only if it is not soon proven to be below that of the others, `beside`; if it is, it adds nothing. In a
    /// plan that may begin above the limit, every structure has a limit of its own, and all are worked out.
    ///
    /// # Errors
    /// When interrupted; the interrupt is polled before every load case.
    pub(crate) fn of_still(
        &self,
        moving: &[Option<WorstUtilisation>],
        beside: &[Utilisation],
        figures: Figures<'_>,
        interrupt: Interrupt<'_>,
    ) -> Result<Vec<Utilisation>, Stopped> {
        let recovers = self.problem.limits.recover_factor.is_some();
        self.of_each(|number, wanted, hint| match moving[number] {
            Some(worst) => Ok(worst.utilisation),
            None if recovers => wanted.work_out(Utilisation::NOTHING, &[], hint, interrupt),
            None => wanted.work_out(beside[number], &self.bounds(number, wanted, figures), hint, interrupt),
        })
    }

    /// The answers about all structures, in parallel.
    fn of_each<T: Send>(
        &self,
        answer: impl Fn(usize, &Wanted, &mut WarmStart) -> Result<T, Stopped> + Sync,
    ) -> Result<Vec<T>, Stopped> {
        let wanted: Vec<(usize, &Wanted)> = self.wanted.values().enumerate().collect();
        let few = |alike: &[(usize, &Wanted)]| {
            let mut hint = WarmStart::default();
            alike.iter().map(|&(number, wanted)| answer(number, wanted, &mut hint)).collect()
        };
        let alike = if self.has_large() { LARGE_ALIKE } else { ALIKE };
        let answers: Result<Vec<Vec<T>>, Stopped> = wanted.par_chunks(alike).map(few).collect();
        Ok(answers?.into_iter().flatten().collect())
    }

    /// The bounds to try for a structure.
    fn bounds(&self, number: usize, wanted: &Wanted, figures: Figures<'_>) -> Vec<f64> {
        let limit = self.problem.limits.utilisation();
        match figures {
            Figures::Bounds if wanted.is_large => BOUNDS.iter().map(|share| share * limit).collect(),
            Figures::Claimed(claims) if wanted.is_large => {
                // As where the claim was made, so that the same touch forces are known when it is asked about.
                let claim = claims[number].min(limit);
                let below = BOUNDS.iter().map(|share| share * limit).filter(|bound| *bound < claim);
                below.chain([claim]).collect()
            }
            Figures::Limit => vec![limit],
            _ => Vec::new(),
        }
    }
}

impl Wanted {
    /// A structure by itself.
    pub(crate) fn new(problem: &Problem, part: Part<'_>, gravity: Gravity) -> Self {
        let (problem, there) = alone(problem, part.members, part.places);
        let name = |module: ModuleId| renamed(part.members, module);
        let moving = part.moving.iter().map(|u| u.renamed(name)).collect();
        let place = |end: Placement| Placement { host: renamed_body(part.members, end.host), ..end };
        let hops = part.hops.iter().map(|&(mover, end)| (name(mover), place(end))).collect();
        Self { problem, there, is_large: false, moving, hops, gravity }
    }

    /// A bound on its utilisation over its time, one of a few shares of the limit where that can be proven, or else the least; infinite where it is not carried.
    ///
    /// # Errors
    /// When interrupted.
    pub(crate) fn at_most(&self, hint: &mut WarmStart, interrupt: Interrupt<'_>) -> Result<f64, Stopped> {
        let limit = self.problem.limits.utilisation();
        let bounds: Vec<f64> = BOUNDS.iter().map(|share| share * limit).collect();
        if self.moves() {
            return Ok(self.worst_over_the_stretch(&bounds, hint, interrupt)?.utilisation.value);
        }
        let case = self.still_load();
        for &bound in &bounds {
            interrupt.go_on()?;
            if case.carries_warm(bound, hint) {
                return Ok(bound);
            }
        }
        interrupt.go_on()?;
        Ok(case.worst().value)
    }

    /// Whether anything slides, yaws or strides in it.
    pub(crate) fn sweeps(&self) -> bool {
        !self.moving.is_empty()
    }

    /// Whether anything moves in it.
    pub(crate) fn moves(&self) -> bool {
        !(self.moving.is_empty() && self.hops.is_empty())
    }

    /// How many sets of its hops may be done.
    pub(super) fn hop_variants(&self) -> usize {
        1 << self.hops.len().min(16)
    }

    /// Its modules and what moves in it, as a crew of its own.
    pub(crate) fn stretch(&self) -> Stretch<'_> {
        Stretch::new(&self.problem, self.there.clone(), &self.moving, &self.hops)
    }

    /// The worst of a utilisation that is known and of those between two fractions of its time. It takes little time where these are no worse.
    ///
    /// # Errors
    /// When interrupted.
    pub(crate) fn worst_between(
        &self,
        known: f64,
        (from, to): (f64, f64),
        interrupt: Interrupt<'_>,
    ) -> Result<Utilisation, Stopped> {
        let part = |u: &Underway| Underway { share: u.share * (to - from), ..*u };
        let moving: Vec<Underway> = self.moving.iter().map(part).collect();
        let stretch = Stretch::new(&self.problem, self.stretch().at(from), &moving, &self.hops);
        let known = Utilisation { value: known, ..Utilisation::NOTHING };
        let known = WorstUtilisation { utilisation: known, ..WorstUtilisation::NOTHING };
        Ok(stretch.worse_than(known, stretch.hop_variants(), interrupt)?.utilisation)
    }

    /// Its load where nothing moves in it.
    pub(crate) fn still_load(&self) -> LoadCase {
        let (problem, there) = (&self.problem, &self.there);
        let case = LoadCase::new(problem, there, touches(problem, there));
        match self.gravity {
            Gravity::Still if problem.edition.bracing_shakes() => case.in_motion(problem, false),
            Gravity::AtRest | Gravity::Still => case,
            Gravity::UnderWay => case.in_motion(problem, true),
        }
    }

    /// Whether it is within a limit at the end of what moves in it.
    pub(crate) fn ends_within(&self, limit: f64) -> bool {
        self.moves() && self.stretch().worst_at_end().within(limit)
    }

    /// Whether a utilisation at a fraction of its time is one between two others: where nothing but hops is under way, load is the same at all times.
    pub(crate) fn is_reached_between(&self, share: f64, (from, to): (f64, f64)) -> bool {
        self.moving.is_empty() || from <= share && share <= to
    }

    /// The first of some bounds that can be proven, or else the exact worst utilisation.
    fn worst_over_the_stretch(
        &self,
        bounds: &[f64],
        hint: &mut WarmStart,
        interrupt: Interrupt<'_>,
    ) -> Result<WorstUtilisation, Stopped> {
        let stretch = self.stretch();
        for &bound in bounds {
            if stretch.carries(bound, hint, interrupt)? {
                let utilisation = Utilisation { value: bound, ..Utilisation::NOTHING };
                return Ok(WorstUtilisation { utilisation, ..WorstUtilisation::NOTHING });
            }
        }
        stretch.worst_utilisation(interrupt)
    }

    /// What it adds to `others`, the least worst utilisation of others beside it, if nothing moves in it.
    fn work_out(
        &self,
        others: Utilisation,
        bounds: &[f64],
        hint: &mut WarmStart,
        interrupt: Interrupt<'_>,
    ) -> Result<Utilisation, Stopped> {
        interrupt.go_on()?;
        let case = self.still_load();
        if self.gravity == Gravity::AtRest {
            let limits = &self.problem.limits;
            return Ok(if limits.recover_factor.is_some() {
                case.worst()
            } else if case.carries_warm(limits.utilisation(), hint) {
                Utilisation::NOTHING
            } else {
                Utilisation { value: f64::INFINITY, ..Utilisation::NOTHING }
            });
        }
        for &bound in bounds {
            interrupt.go_on()?;
            if case.carries_warm(bound, hint) {
                let proven = Utilisation { value: bound, ..Utilisation::NOTHING };
                return Ok(if others.value >= bound { Utilisation::NOTHING } else { proven });
            }
        }
        let posed = PosedCase::new(case);
        let mut worst = Utilisation::NOTHING;
        for direction in 0..DIRECTIONS {
            interrupt.go_on()?;
            if !posed.uses_at_most(direction, others.worse(worst), hint) {
                worst = worst.worse(posed.utilisation(direction));
            }
        }
        Ok(worst)
    }
}

/// All that the answer depends on, bit by bit.
fn key(part: &[ModuleId], wanted: &Wanted) -> Vec<u64> {
    let Wanted { there, moving, hops, gravity, .. } = wanted;
    let mut key = vec![*gravity as u64, moving.len() as u64];
    let mut note = |place: &Placement| {
        key.push(match place.host {
            Body::Ground(deck) => deck.index() as u64,
            Body::Stone(stone) => 2 << 32 | stone.index() as u64,
            Body::Module(host) => 1 << 32 | host.index() as u64,
        });
        key.push(u64::from(place.hold == Hold::Braced));
        key.extend(place.position.to_array().map(f64::to_bits));
        key.extend(place.orientation.to_array().map(f64::to_bits));
    };
    for (_, place) in there.iter() {
        note(place);
    }
    for (_, end) in hops {
        note(end);
    }
    key.extend(part.iter().map(|m| m.index() as u64));
    key.extend(hops.iter().map(|(mover, _)| mover.index() as u64));
    for Underway { mover, action, share } in moving {
        let [kind, a, b] = match *action {
            Move::Yaw { angle_rad } => [0, angle_rad.to_bits(), 0],
            Move::Slide { travel_m, curvature_per_m } => [1, travel_m.to_bits(), curvature_per_m.to_bits()],
            Move::Stride { direction, angle_rad, ref planted, .. } => {
                key.extend(planted.ids().iter().map(|id| id.index() as u64));
                key.push(direction.x.to_bits());
                [3, angle_rad.to_bits(), direction.y.to_bits()]
            }
            Move::Hop { .. } | Move::Cross { .. } | Move::Brace | Move::Release => [2, 0, 0],
        };
        key.extend([mover.index() as u64, kind, a, b, share.to_bits()]);
    }
    key
}
