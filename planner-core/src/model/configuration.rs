//! The configuration of the crew: a value type that is cheap to copy and compare.

use super::{Body, Hold, ModuleId, Placement, Problem};

/// The placements of all modules, indexed by [`ModuleId`]. Positions are in metres, in the world frame.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Configuration {
    placements: Vec<Placement>,
}

impl Configuration {
    /// A configuration from the placements in the order of the crew.
    #[must_use]
    pub const fn new(placements: Vec<Placement>) -> Self {
        Self { placements }
    }

    /// Number of modules.
    #[must_use]
    pub fn len(&self) -> usize {
        self.placements.len()
    }

    /// Whether there is no module.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.placements.is_empty()
    }

    /// The placement of a module.
    #[must_use]
    pub fn get(&self, id: ModuleId) -> &Placement {
        &self.placements[id.index()]
    }

    /// The placement of a module, mutable.
    pub fn get_mut(&mut self, id: ModuleId) -> &mut Placement {
        &mut self.placements[id.index()]
    }

    /// Modules and their placements in the order of the crew.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = (ModuleId, &Placement)> {
        self.placements.iter().enumerate().map(|(i, p)| (ModuleId::at(i), p))
    }

    /// Whether one of two modules stands on the other.
    #[must_use]
    pub fn bonded(&self, a: ModuleId, b: ModuleId) -> bool {
        self.get(a).host == Body::Module(b) || self.get(b).host == Body::Module(a)
    }

    /// The modules whose foot is on `body`.
    pub fn standing_on(&self, body: Body) -> impl Iterator<Item = ModuleId> + '_ {
        self.iter().filter(move |(_, p)| p.host == body).map(|(id, _)| id)
    }

    /// Whether some module stands on `id`.
    #[must_use]
    pub fn is_stood_on(&self, id: ModuleId) -> bool {
        self.standing_on(Body::Module(id)).next().is_some()
    }

    /// The hosts below a module, nearest first, ending with its deck. Stops after as many steps as there are modules, so it ends even if the bonds
    /// form a cycle.
    pub fn hosts_below(&self, id: ModuleId) -> impl Iterator<Item = Body> + '_ {
        let mut next = Some(self.get(id).host);
        (0..self.len()).map_while(move |_| {
            let here = next?;
            next = here.module().map(|m| self.get(m).host);
            Some(here)
        })
    }

    /// The module and all modules that stand on it, directly or not, in the order of the crew.
    #[must_use]
    pub fn carried_with(&self, mover: ModuleId) -> Vec<ModuleId> {
        self.iter()
            .map(|(id, _)| id)
            .filter(|&id| id == mover || self.hosts_below(id).any(|b| b == Body::Module(mover)))
            .collect()
    }

    /// The same configuration with the hold of every module given by `which`.
    #[must_use]
    pub fn with_holds(&self, which: impl Fn(ModuleId) -> Hold) -> Self {
        let mut changed = self.clone();
        for (index, place) in changed.placements.iter_mut().enumerate() {
            place.hold = which(ModuleId::at(index));
        }
        changed
    }

    /// Whether two configurations have the same shape: for every class of module the same places, on the same hosts, within `tolerance` metres. Names
    /// of like modules, headings and holds do not count.
    ///
    /// Shells do not overlap, so for a tolerance well below a shell's radius at most one module is near any place, and the matching is unique.
    /// Complexity: quadratic in the modules.
    #[must_use]
    pub fn same_shape(&self, other: &Self, problem: &Problem, tolerance: f64) -> bool {
        if self.len() != other.len() {
            return false;
        }
        let mut matching = vec![None; self.len()];
        for (id, place) in self.iter() {
            let class = problem.modules[id.index()].class;
            matching[id.index()] = other
                .iter()
                .find(|(o, p)| {
                    problem.modules[o.index()].class == class
                        && p.position.distance(place.position) <= tolerance
                })
                .map(|(o, _)| o);
        }
        self.iter().all(|(id, place)| {
            let Some(twin) = matching[id.index()] else { return false };
            match (place.host, other.get(twin).host) {
                (Body::Ground(a), Body::Ground(b)) => a == b,
                (Body::Module(a), Body::Module(b)) => matching[a.index()] == Some(b),
                _ => false,
            }
        })
    }

    /// A hash key that shapes equal within `grid` metres nearly always share; of modules that cannot turn, headings belong to the shape. Two equal shapes may get different keys where a coordinate falls on a
    /// border of the grid: this costs time, but never changes the answer.
    #[must_use]
    pub fn shape_key(&self, problem: &Problem, grid: f64) -> Vec<[i32; 6]> {
        let cell = |v: f64| (v / grid).round() as i32;
        let mut key: Vec<[i32; 6]> = self
            .iter()
            .map(|(id, place)| {
                let p = place.position;
                let (deck, host) = match place.host {
                    Body::Ground(deck) => (i32::from(deck.0), 0),
                    Body::Stone(stone) => (i32::from(stone.0), 1),
                    Body::Module(host) => {
                        // The place of the host identifies it, up to its name.
                        let q = self.get(host).position - p;
                        (
                            -1,
                            cell(q.x)
                                .wrapping_mul(31)
                                .wrapping_add(cell(q.y))
                                .wrapping_mul(31)
                                .wrapping_add(cell(q.z)),
                        )
                    }
                };
                let module = &problem.modules[id.index()];
                // Where a module that cannot turn can go depends on how it faces.
                let turns_or_stays = module.can_yaw() || !module.can_drive();
                let faces = match (turns_or_stays, place.heading()) {
                    (true, _) => host,
                    (false, h) => [h.x, h.y, h.z]
                        .into_iter()
                        .fold(host, |sum, v| sum.wrapping_mul(31).wrapping_add(cell(v))),
                };
                [i32::from(module.class), cell(p.x), cell(p.y), cell(p.z), deck, faces]
            })
            .collect();
        key.sort_unstable();
        key
    }
}
