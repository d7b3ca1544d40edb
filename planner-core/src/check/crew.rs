//! The crew of a replay: where it is, who stands on whom, and which steps are under way.

use crate::math::{Grid, tolerance};
use crate::model::{Body, Configuration, Hold, ModuleId, Placement, Problem};
use crate::motion::{Move, Sweeps, Underway, carried};
use crate::plan::Step;

/// A step under way.
#[derive(Clone, Debug)]
pub(super) struct Active {
    pub(super) step: usize,
    pub(super) mover: ModuleId,
    pub(super) action: Move,
    pub(super) duration_s: f64,
    /// What it moves, in the order of the crew.
    pub(super) members: Vec<ModuleId>,
    /// The hosts below the mover, and of a hop below its new host.
    pub(super) hosts: Vec<ModuleId>,
    /// The motions of the members, if any.
    pub(super) sweeps: Option<Sweeps>,
    /// When it began, in seconds.
    pub(super) from_s: f64,
    /// The placements of the members at its end.
    pub(super) end: Vec<(ModuleId, Placement)>,
    /// The instant at which it ends.
    pub(super) ends_at: usize,
    /// Until when the placements of the members are known, in seconds.
    pub(super) known_s: f64,
}

impl Active {
    /// The modules whose structure it changes when it begins or ends.
    pub(super) fn concerned(&self) -> Vec<ModuleId> {
        let hosts = self.hosts.first().copied();
        let to = self.action.new_host().and_then(Body::module);
        self.members.iter().copied().chain(hosts).chain(to).collect()
    }

    /// The move over a share of it.
    pub(super) const fn over(&self, share: f64) -> Underway {
        Underway { mover: self.mover, action: self.action, share }
    }

    /// Whether it begins and ends at one instant.
    pub(super) fn takes_no_time(&self) -> bool {
        self.duration_s <= tolerance::TIME_S
    }

    /// The placement that a hop or a cross leads to.
    pub(super) fn hop_end(&self) -> Option<(ModuleId, Placement)> {
        if self.action.changes_host() { self.end.first().copied() } else { None }
    }
}

/// Where the crew is, and the steps under way.
pub(super) struct Crew<'a> {
    problem: &'a Problem,
    /// Placements; of modules under way, at the time until which their step is known.
    pub(super) now: Configuration,
    /// The modules that stand on each.
    guests: Vec<Vec<ModuleId>>,
    /// For each module the step that slides or yaws it.
    moved_by: Vec<Option<usize>>,
    /// The modules that nothing moves, by where they are.
    still: Grid<ModuleId>,
    /// In the order in which they began.
    pub(super) active: Vec<Active>,
}

impl<'a> Crew<'a> {
    pub(super) fn new(problem: &'a Problem) -> Self {
        let now = problem.start.clone();
        let mut guests = vec![Vec::new(); now.len()];
        let mut still = Grid::new(reach_m(problem));
        for (id, place) in now.iter() {
            still.insert(place.position, 0.0, id);
            if let Body::Module(host) = place.host {
                guests[host.index()].push(id);
            }
        }
        Self { problem, moved_by: vec![None; now.len()], now, guests, still, active: Vec::new() }
    }

    /// A module and all that stands on it, in the order of the crew.
    pub(super) fn carried_with(&self, mover: ModuleId) -> Vec<ModuleId> {
        let mut found = vec![mover];
        let mut next = 0;
        while next < found.len() {
            let guests = &self.guests[found[next].index()];
            // In a ring of bonds a module would be met again.
            let new: Vec<ModuleId> = guests.iter().copied().filter(|g| !found.contains(g)).collect();
            found.extend(new);
            next += 1;
        }
        found.sort_unstable();
        found
    }

    /// The modules that a step moves or that hop, and the hosts below.
    pub(super) fn parties(&self, step: &Step) -> (Vec<ModuleId>, Vec<ModuleId>) {
        let members = match step.action {
            Move::Yaw { .. } | Move::Slide { .. } | Move::Stride { .. } => self.carried_with(step.module),
            Move::Hop { .. } | Move::Cross { .. } | Move::Brace | Move::Release => vec![step.module],
        };
        let below = |id: ModuleId| self.now.hosts_below(id).filter_map(Body::module);
        let mut hosts: Vec<ModuleId> = below(step.module).collect();
        if let Move::Hop { to: Body::Module(to) } = step.action {
            hosts.push(to);
            hosts.extend(below(to));
        }
        (members, hosts)
    }

    /// Begins a step.
    pub(super) fn begin(&mut self, active: Active) {
        if active.sweeps.is_some() {
            for &member in &active.members {
                self.moved_by[member.index()] = Some(active.step);
                self.still.remove(self.now.get(member).position, 0.0, member);
            }
        }
        self.active.push(active);
    }

    /// Ends a step that is no longer among those under way.
    pub(super) fn end(&mut self, ended: &Active) {
        for &(member, place) in &ended.end {
            let before = *self.now.get(member);
            if before.host != place.host {
                if let Body::Module(host) = before.host {
                    self.guests[host.index()].retain(|guest| *guest != member);
                }
                if let Body::Module(host) = place.host {
                    self.guests[host.index()].push(member);
                }
            }
            if ended.sweeps.is_some() {
                self.moved_by[member.index()] = None;
                self.still.insert(place.position, 0.0, member);
            }
            *self.now.get_mut(member) = place;
        }
    }

    /// Brings the members of steps under way that move any of some modules to where they are at a time.
    pub(super) fn advance(&mut self, modules: &[ModuleId], to_s: f64) {
        for active in &mut self.active {
            let Some(sweeps) = active.sweeps else { continue };
            if active.known_s >= to_s || !active.members.iter().any(|m| modules.binary_search(m).is_ok()) {
                continue;
            }
            let [from, to] = [active.known_s, to_s].map(|at_s| (at_s - active.from_s) / active.duration_s);
            if (to - from).is_finite() {
                for &member in &active.members {
                    let place = self.now.get_mut(member);
                    *place = carried(place, &sweeps.of(member).part(from, to));
                }
            }
            active.known_s = to_s;
        }
    }

    /// The placement that counts for a module's load: rolling while it braces or releases.
    pub(super) fn loaded(&self, id: ModuleId) -> Placement {
        let changes =
            |active: &Active| active.mover == id && matches!(active.action, Move::Brace | Move::Release);
        let place = *self.now.get(id);
        if self.active.iter().any(changes) { Placement { hold: Hold::Rolling, ..place } } else { place }
    }

    /// The modules that one bonds to, hops under way included, or touches where the touch counts.
    pub(super) fn joined_to(&self, id: ModuleId, hops: &[(ModuleId, ModuleId)]) -> Vec<ModuleId> {
        let mut found: Vec<ModuleId> = self.guests[id.index()].clone();
        found.extend(self.now.get(id).host.module());
        found.extend(hops.iter().filter_map(|&(mover, to)| match id {
            _ if id == mover => Some(to),
            _ if id == to => Some(mover),
            _ => None,
        }));
        let mut near = Vec::new();
        match self.moved_by[id.index()] {
            None => self.still.collect(self.now.get(id).position, reach_m(self.problem), &mut near),
            Some(step) => {
                let own = self.active.iter().filter(|active| active.step == step);
                near.extend(own.flat_map(|active| &active.members));
            }
        }
        found.extend(near.into_iter().filter(|&other| other != id && self.touch(id, other)));
        found
    }

    /// Whether two modules touch by distance.
    fn touch(&self, a: ModuleId, b: ModuleId) -> bool {
        let radii = self.problem.kind(a).shell_radius_m + self.problem.kind(b).shell_radius_m;
        let apart = self.now.get(a).position.distance(self.now.get(b).position);
        (apart - radii).abs() <= self.problem.limits.touch_tol_m
    }
}

/// Bodies farther apart than this, from centre to centre, do not touch.
pub(super) fn reach_m(problem: &Problem) -> f64 {
    let largest_m = problem.kinds.iter().map(|kind| kind.shell_radius_m).fold(0.0, f64::max);
    2.0 * largest_m + problem.limits.touch_tol_m
}
