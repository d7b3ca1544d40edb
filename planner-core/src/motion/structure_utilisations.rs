//! The worst utilisation of a crew over a stretch, and whether it carries its load at rest, structure by structure.
//!
//! Structures that neither bond nor touch do not load each other, so the worst utilisation of the crew is that of its structures. Most of them are
//! the same in many stretches of a plan, and each is computed once: first all questions are collected, then they are answered in parallel.

use super::structure::{part_of, renamed, renamed_body, structures};
use super::{Move, Stretch, Underway};
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

/// A structure by itself, and the moves in it.
struct Wanted {
    members: Vec<ModuleId>,
    problem: Problem,
    there: Configuration,
    moving: Vec<Underway>,
    hops: Vec<(ModuleId, Placement)>,
    question: Question,
}

/// The question about a structure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Question {
    /// Whether it carries its load at rest.
    AtRest,
    /// Its worst utilisation while holds are changed and nothing moves.
    Still,
    /// Its worst utilisation while a module of the crew moves.
    UnderWay,
}

impl<'a> StructureUtilisations<'a> {
    pub(crate) fn new(problem: &'a Problem) -> Self {
        Self { problem, wanted: IndexMap::new() }
    }

    /// Adds the structures of the stretch that begins at a configuration, see [`Stretch::new`]; returns their numbers.
    pub(crate) fn want(
        &mut self,
        begin: &Configuration,
        moving: &[Underway],
        hops: &[(ModuleId, Placement)],
    ) -> Vec<usize> {
        let moving: Vec<Underway> = moving.iter().filter(|u| u.action.sweeps()).copied().collect();
        let members: Vec<Vec<ModuleId>> = moving.iter().map(|u| begin.carried_with(u.mover)).collect();
        let new_hosts = hops.iter().map(|&(mover, end)| (mover, end.host));
        let parts = structures(self.problem, begin, members.iter().map(Vec::as_slice), new_hosts);
        let still = moving.is_empty() && hops.is_empty();
        let question = if still { Question::Still } else { Question::UnderWay };
        parts.iter().map(|part| self.want_part(begin, &moving, hops, part, question)).collect()
    }

    /// Adds the structures of a crew at rest; returns their numbers.
    pub(crate) fn want_at_rest(&mut self, crew: &Configuration) -> Vec<usize> {
        let parts = structures(self.problem, crew, std::iter::empty(), std::iter::empty());
        parts.iter().map(|part| self.want_part(crew, &[], &[], part, Question::AtRest)).collect()
    }

    fn want_part(
        &mut self,
        begin: &Configuration,
        moving: &[Underway],
        hops: &[(ModuleId, Placement)],
        part: &[ModuleId],
        question: Question,
    ) -> usize {
        let (problem, there) = part_of(self.problem, begin, part);
        let is_inside = |mover: &ModuleId| part.contains(mover);
        let moving: Vec<Underway> = moving
            .iter()
            .filter(|u| is_inside(&u.mover))
            .map(|u| Underway { mover: renamed(part, u.mover), ..*u })
            .collect();
        let hops: Vec<(ModuleId, Placement)> = hops
            .iter()
            .filter(|(mover, _)| is_inside(mover))
            .map(|&(mover, end)| {
                (renamed(part, mover), Placement { host: renamed_body(part, end.host), ..end })
            })
            .collect();
        let key = key(part, &there, &moving, &hops, question);
        let entry = self.wanted.entry(key);
        let number = entry.index();
        entry.or_insert_with(|| Wanted { members: part.to_vec(), problem, there, moving, hops, question });
        number
    }

    /// The modules of a structure, by its number.
    pub(crate) fn members(&self, number: usize) -> &[ModuleId] {
        &self.wanted[number].members
    }

    /// What each structure adds to the worst utilisation of the stretches that it is a part of, by its number; of one at rest, whether it is
    /// within the limit. `stretches` lists the structures of each stretch.
    ///
    /// The exact utilisation of a structure in which nothing moves is worked out only if it is not soon proven to be below that of the structures that
    /// move in each of its stretches; if it is, it adds nothing. In a plan that may begin above the limit, every structure has a limit of its own, and all are
    /// worked out.
    pub(crate) fn work_out<'b>(
        &self,
        stretches: impl Iterator<Item = &'b [usize]>,
        interrupt: Interrupt<'_>,
    ) -> Result<Vec<Utilisation>, Stopped> {
        let wanted: Vec<&Wanted> = self.wanted.values().collect();
        let moving: Result<Vec<Option<Utilisation>>, Stopped> = wanted
            .par_iter()
            .map(|wanted| wanted.moves().then(|| wanted.worst_over_the_stretch(interrupt)).transpose())
            .collect();
        let moving = moving?;
        let mut least: Vec<Option<Utilisation>> = vec![None; wanted.len()];
        for parts in stretches {
            let worst =
                parts.iter().filter_map(|&part| moving[part]).fold(Utilisation::NOTHING, Utilisation::worse);
            for &part in parts {
                let known = least[part].is_some_and(|least| least.value <= worst.value);
                least[part] = if known { least[part] } else { Some(worst) };
            }
        }
        wanted
            .par_iter()
            .zip(moving)
            .zip(least)
            .map(|((wanted, moving), least)| match moving {
                Some(worst) => Ok(worst),
                None if self.problem.limits.recover_factor.is_some() => {
                    wanted.work_out(Utilisation::NOTHING, interrupt)
                }
                None => wanted.work_out(least.unwrap_or(Utilisation::NOTHING), interrupt),
            })
            .collect()
    }
}

impl Wanted {
    /// Whether anything moves in it.
    fn moves(&self) -> bool {
        !(self.moving.is_empty() && self.hops.is_empty())
    }

    fn worst_over_the_stretch(&self, interrupt: Interrupt<'_>) -> Result<Utilisation, Stopped> {
        let stretch = Stretch::new(&self.problem, self.there.clone(), &self.moving, &self.hops);
        Ok(stretch.worst_utilisation(interrupt)?.utilisation)
    }

    /// What it adds to `others`, the least worst utilisation of others beside it, if nothing moves in it.
    fn work_out(&self, others: Utilisation, interrupt: Interrupt<'_>) -> Result<Utilisation, Stopped> {
        interrupt.go_on()?;
        let (problem, there) = (&self.problem, &self.there);
        let case = LoadCase::new(problem, there, touches(problem, there));
        let case = match self.question {
            Question::AtRest if problem.limits.recover_factor.is_some() => return Ok(case.worst()),
            Question::AtRest if case.carries(problem.limits.utilisation()) => {
                return Ok(Utilisation::NOTHING);
            }
            Question::AtRest => return Ok(Utilisation { value: f64::INFINITY, ..Utilisation::NOTHING }),
            Question::Still if problem.edition.bracing_shakes() => case.in_motion(problem, false),
            Question::Still => case,
            Question::UnderWay => case.in_motion(problem, true),
        };
        let posed = PosedCase::new(case);
        let mut hint = WarmStart::default();
        let mut worst = Utilisation::NOTHING;
        for direction in 0..DIRECTIONS {
            interrupt.go_on()?;
            if !posed.uses_at_most(direction, others.worse(worst), &mut hint) {
                worst = worst.worse(posed.utilisation(direction));
            }
        }
        Ok(worst)
    }
}

/// All that the answer depends on, bit by bit.
fn key(
    part: &[ModuleId],
    there: &Configuration,
    moving: &[Underway],
    hops: &[(ModuleId, Placement)],
    question: Question,
) -> Vec<u64> {
    let mut key = vec![question as u64, moving.len() as u64];
    let mut note = |place: &Placement| {
        key.push(match place.host {
            Body::Ground(deck) => deck.index() as u64,
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
            Move::Hop { .. } | Move::Brace | Move::Release => [2, 0, 0],
        };
        key.extend([mover.index() as u64, kind, a, b, share.to_bits()]);
    }
    key
}
