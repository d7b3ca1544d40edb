//! Trips in the whole crew, planned among what stands near their ways only.

use crate::control::{Budget, Interrupt, Stopped};
use crate::geometry::Path;
use crate::math::Grid;
use crate::model::{Body, Configuration, KindId, ModuleId, Placement, Problem};
use crate::motion::structure::part_of;
use crate::motion::sweeps_of;
use crate::search::trips::trip_goal::{Done, TripGoal};
use crate::travel::Trip;

/// Most times that a trip is planned again because it met more of the crew.
const MOST_MEETINGS: usize = 24;

/// Modules that stand by themselves are passed at this distance, in metres, where there is room: so that they can leave while they are passed.
const OFF_M: f64 = 2e-3;

/// The crew, and who is where.
pub(super) struct Journeys<'a> {
    problem: &'a Problem,
    pub(super) now: Configuration,
    grid: Grid<ModuleId>,
    /// Twice the radius of the largest shell, in metres.
    across_m: f64,
}

impl<'a> Journeys<'a> {
    pub(super) fn new(problem: &'a Problem, now: Configuration) -> Self {
        let across_m = 2.0 * problem.kinds.iter().map(|kind| kind.shell_radius_m).fold(0.0, f64::max);
        let mut grid = Grid::new(across_m);
        now.iter().for_each(|(id, place)| grid.insert(place.position, 0.0, id));
        Self { problem, now, grid, across_m }
    }

    /// Makes a trip of one of some modules, if there is a way; others are met only where they stand near it.
    ///
    /// # Errors
    /// When interrupted.
    pub(super) fn make(
        &mut self,
        members: &[ModuleId],
        goal: &TripGoal,
        interrupt: Interrupt<'_>,
    ) -> Result<Option<Trip>, Stopped> {
        let budget = Budget { interrupt, ..Budget::unlimited() };
        for keep_off_m in [self.touch_m() + OFF_M, 0.0] {
            let mut crew = members.to_vec();
            for _ in 0..MOST_MEETINGS {
                let (problem, there) = self.crew_among(members, &crew, keep_off_m);
                let name = |m: ModuleId| ModuleId::at(crew.binary_search(&m).unwrap_or_default());
                let Some(done) = goal.renamed(name).run(&problem, &there, &budget)? else { break };
                let met = self.met(&problem, &there, &crew, &done);
                if met.is_empty() {
                    return Ok(Some(self.done(&crew, done)));
                }
                self.add_structures(&mut crew, met);
            }
        }
        Ok(None)
    }

    /// Some modules and others that stand near their ways. Nobody can stand on the others, and those that stand by themselves are passed at a distance.
    fn crew_among(
        &self,
        members: &[ModuleId],
        crew: &[ModuleId],
        keep_off_m: f64,
    ) -> (Problem, Configuration) {
        let (mut problem, there) = part_of(self.problem, &self.now, crew);
        for (index, &id) in crew.iter().enumerate() {
            if members.binary_search(&id).is_ok() {
                continue;
            }
            let mut kind = self.problem.kind(id).clone();
            kind.shell_reach_rad = 0.0;
            let place = self.now.get(id);
            let mut alone = Vec::new();
            self.add_structures(&mut alone, vec![id]);
            if place.host.ground().is_some() && alone.len() == 1 {
                kind.shell_radius_m += keep_off_m;
            }
            problem.modules[index].kind = KindId::at(problem.kinds.len());
            problem.kinds.push(kind);
        }
        (problem, there)
    }

    /// Notes where a trip leads; returns it as one of the whole crew.
    fn done(&mut self, crew: &[ModuleId], done: Done) -> Trip {
        for (index, &id) in crew.iter().enumerate() {
            let place = *done.after.get(ModuleId::at(index));
            let host = match place.host {
                Body::Module(host) => Body::Module(crew[host.index()]),
                ground => ground,
            };
            self.place(id, Placement { host, ..place });
        }
        done.trip.renamed(|m| crew[m.index()])
    }

    /// Takes some modules back to where they were.
    pub(super) fn back_to(&mut self, before: &Configuration, members: &[ModuleId]) {
        members.iter().for_each(|&id| self.place(id, *before.get(id)));
    }

    fn place(&mut self, id: ModuleId, place: Placement) {
        let before = self.now.get(id).position;
        if before != place.position {
            self.grid.remove(before, 0.0, id);
            self.grid.insert(place.position, 0.0, id);
        }
        *self.now.get_mut(id) = place;
    }

    /// Adds modules to a crew, with all that they bond to or touch: what carries them, and what they carry.
    fn add_structures(&self, crew: &mut Vec<ModuleId>, met: Vec<ModuleId>) {
        let mut open = met;
        while let Some(id) = open.pop() {
            let Err(at) = crew.binary_search(&id) else { continue };
            crew.insert(at, id);
            let place = self.now.get(id).position;
            let mut near = Vec::new();
            self.grid.collect(place, self.across_m + self.touch_m(), &mut near);
            let joined = |other: &ModuleId| {
                let radii = self.problem.kind(id).shell_radius_m + self.problem.kind(*other).shell_radius_m;
                let apart = place.distance(self.now.get(*other).position) - radii;
                self.now.bonded(id, *other) || apart <= self.problem.limits.touch_tol_m
            };
            open.extend(near.into_iter().filter(|other| *other != id && joined(other)));
        }
    }

    /// Others are met if a way comes nearer to them than this, in metres.
    fn touch_m(&self) -> f64 {
        self.problem.limits.touch_tol_m.max(self.problem.limits.clearance_m)
    }

    /// The modules outside a crew that a trip of it would come too near to.
    fn met(&self, problem: &Problem, there: &Configuration, crew: &[ModuleId], done: &Done) -> Vec<ModuleId> {
        let mut now = there.clone();
        now.get_mut(done.trip.module).hold = done.trip.hold(there.get(done.trip.module).hold);
        let Ok(moves) = done.trip.moves(problem, &now) else { return Vec::new() };
        let mut found = Vec::new();
        for (action, after) in moves {
            if let Some(sweeps) = sweeps_of(problem, &now, done.trip.module, &action) {
                for member in now.carried_with(done.trip.module) {
                    let radius = problem.kind(member).shell_radius_m;
                    self.near(&sweeps.of(member).path_of(now.get(member).position), radius, crew, &mut found);
                }
            }
            now = after;
        }
        found
    }

    /// Adds the modules outside a crew that a shell on a path would touch.
    fn near(&self, path: &Path, radius: f64, crew: &[ModuleId], found: &mut Vec<ModuleId>) {
        let touch_m = self.touch_m();
        let mut near = Vec::new();
        for part in path.in_parts(self.across_m) {
            let reach_m = part.reach_from_middle() + self.across_m + touch_m;
            self.grid.collect(part.at(0.5 * part.span()), reach_m, &mut near);
        }
        near.sort_unstable();
        near.dedup();
        near.retain(|other| {
            let least = radius + self.problem.kind(*other).shell_radius_m + touch_m;
            crew.binary_search(other).is_err()
                && path.least_distance_to_point(self.now.get(*other).position).0 < least
        });
        found.extend(near);
    }
}
