//! The closed list: the configurations that a search has found, each shape once, with the trips that led to them.

use super::symmetry::Symmetries;
use crate::control::memory::{entry, list, row};
use crate::control::{Budget, Kept, free};
use crate::math::tolerance;
use crate::model::{Configuration, ModuleId, Placement, Problem};
use crate::search::trips::sizes::{of_configuration, of_trip};
use crate::travel::{Trip, Way};
use indexmap::IndexMap;

/// The key that identifies a shape.
pub(crate) type ShapeKey = Vec<[i32; 6]>;

/// A configuration that was found, and what a planner stores with it.
pub(crate) struct SearchNode<E> {
    pub(crate) configuration: Configuration,
    /// The node it was found from, and the trip between; `None` for the start.
    pub(crate) parent: Option<(usize, Trip)>,
    /// Total time of the trips that led to it, in seconds.
    pub(crate) time_s: f64,
    pub(crate) note: E,
}

impl<E> SearchNode<E> {
    /// The bare module whose trip led here. Nearly wherever it gets from here, it got at least as soon from where it came; the exception are places to which
    /// the load allows only a detour.
    pub(crate) fn came(&self) -> Option<ModuleId> {
        let trip = self.parent.as_ref().map(|(_, trip)| trip);
        trip.filter(|trip| matches!(trip.way, Way::Alone(_))).map(|trip| trip.module)
    }
}

/// The result of looking up a configuration.
pub(crate) enum Known {
    /// Not known; its key.
    New(ShapeKey),
    /// Its shape is known, perhaps with like modules interchanged.
    Same {
        /// Whether like modules are interchanged.
        renamed: bool,
    },
    /// An image of it under a symmetry of the scene is known.
    Mirrored,
}

/// All shapes found. The images of a shape under a symmetry are equally far from the goal, so only one of them is kept.
pub(crate) struct ClosedList<E> {
    problem: Problem,
    symmetries: Symmetries,
    nodes: Vec<SearchNode<E>>,
    /// The best node of every shape; `None` for shapes that were found and not kept.
    seen: IndexMap<ShapeKey, Option<usize>>,
    /// Heap memory owned by nodes and keys, in bytes, besides their rows and entries.
    owned: usize,
    /// Least estimated time to go, in seconds, and the node that has it.
    nearest: (f64, usize),
}

impl<E: Send + 'static> ClosedList<E> {
    pub(crate) fn new(problem: &Problem) -> Self {
        Self {
            symmetries: Symmetries::of(problem),
            problem: problem.clone(),
            nodes: Vec::new(),
            seen: IndexMap::new(),
            owned: 0,
            nearest: (f64::INFINITY, 0),
        }
    }

    pub(crate) fn node(&self, index: usize) -> &SearchNode<E> {
        &self.nodes[index]
    }

    pub(crate) fn note_mut(&mut self, index: usize) -> &mut E {
        &mut self.nodes[index].note
    }

    /// Number of nodes, including those whose shape was found again in less time.
    pub(crate) const fn len(&self) -> usize {
        self.nodes.len()
    }

    /// Number of distinct shapes.
    pub(crate) fn shapes(&self) -> usize {
        self.seen.len()
    }

    /// Least estimated time to go, in seconds, and the node that has it.
    pub(crate) const fn nearest(&self) -> (f64, usize) {
        self.nearest
    }

    /// Whether a configuration, or an image of it, was found before by a node for which `counts` holds. `counts` gets `None` for a shape that was not
    /// kept.
    pub(crate) fn known(
        &self,
        configuration: &Configuration,
        counts: impl Fn(Option<&SearchNode<E>>) -> bool,
    ) -> Known {
        let key = configuration.shape_key(&self.problem, tolerance::SAME_PLACE_M);
        let node = |known: &Option<usize>| known.map(|index| &self.nodes[index]);
        if let Some(known) = self.seen.get(&key).filter(|known| counts(node(known))) {
            let far = |(a, b): ((ModuleId, &Placement), (ModuleId, &Placement))| {
                a.1.position.distance(b.1.position) > tolerance::SAME_PLACE_M
            };
            let renamed = node(known)
                .is_some_and(|known| configuration.iter().zip(known.configuration.iter()).any(far));
            return Known::Same { renamed };
        }
        let mut images = self.symmetries.image_keys(&self.problem, configuration);
        let is_known = |image: &ShapeKey| self.seen.get(image).is_some_and(|known| counts(node(known)));
        let mirrored = images.any(|image| image != key && is_known(&image));
        drop(images);
        if mirrored { Known::Mirrored } else { Known::New(key) }
    }

    /// Records a shape that is not worth keeping.
    pub(crate) fn pass_over(&mut self, key: ShapeKey) {
        self.owned += list::<[i32; 6]>(key.len());
        self.seen.insert(key, None);
    }

    /// Keeps a configuration with its estimated time to go, in seconds. Returns its index.
    pub(crate) fn keep(&mut self, key: ShapeKey, node: SearchNode<E>, estimate_s: f64) -> usize {
        let index = self.nodes.len();
        self.owned += of_configuration(node.configuration.len())
            + list::<[i32; 6]>(key.len())
            + node.parent.as_ref().map_or(0, |(_, trip)| of_trip(trip));
        self.seen.insert(key, Some(index));
        if estimate_s < self.nearest.0 - tolerance::NOTHING {
            self.nearest = (estimate_s, index);
        }
        self.nodes.push(node);
        index
    }

    /// Whether this node is still the quickest to its shape.
    pub(crate) fn is_best(&self, index: usize) -> bool {
        let key = self.nodes[index].configuration.shape_key(&self.problem, tolerance::SAME_PLACE_M);
        self.seen.get(&key).is_none_or(|best| *best == Some(index))
    }

    /// The trips from the start to a node.
    pub(crate) fn trips_to(&self, index: usize) -> Vec<Trip> {
        let mut trips = Vec::new();
        let mut at = index;
        while let Some((parent, trip)) = &self.nodes[at].parent {
            trips.push(trip.clone());
            at = *parent;
        }
        trips.reverse();
        trips
    }

    /// Memory in use, in bytes.
    pub(crate) fn bytes(&self) -> u64 {
        let (node, key) = (row::<SearchNode<E>>(), entry::<(ShapeKey, Option<usize>)>());
        (self.nodes.len() * node + self.seen.len() * key + self.owned) as u64
    }

    /// Removes all nodes; see [`free`].
    pub(crate) fn forget(&mut self, budget: &Budget<'_>) {
        let (nodes, seen) = (std::mem::take(&mut self.nodes), std::mem::take(&mut self.seen));
        free(Shapes { nodes, seen }, budget.interrupt);
        (self.owned, self.nearest) = (0, (f64::INFINITY, 0));
    }
}

struct Shapes<E> {
    nodes: Vec<SearchNode<E>>,
    seen: IndexMap<ShapeKey, Option<usize>>,
}

impl<E: Send + 'static> Kept for Shapes<E> {
    fn shrink(&mut self, rows: usize) -> bool {
        self.nodes.truncate(self.nodes.len().saturating_sub(rows));
        self.seen.truncate(self.seen.len().saturating_sub(rows));
        !(self.nodes.is_empty() && self.seen.is_empty())
    }
}
