//! The bond forest: which module stands on which, apart from poses. A graph for structural questions, a flat table for inner loops.

use super::{Body, Configuration, Hold, ModuleId, Problem};
use indexmap::IndexMap;
use petgraph::algo::tarjan_scc;
use petgraph::graph::{DiGraph, NodeIndex};
use petgraph::visit::{Bfs, Reversed};

/// Bonds as a graph: nodes are grounds and modules, edges go from host to child and carry the hold.
#[derive(Clone, Debug)]
pub struct BondGraph {
    graph: DiGraph<Body, Hold>,
    nodes: IndexMap<Body, NodeIndex>,
}

impl BondGraph {
    /// The graph of given bonds `(child, host, hold)` over a given number of grounds. The bonds may contain cycles, which this type detects.
    #[must_use]
    pub fn from_bonds(
        grounds: usize,
        modules: usize,
        bonds: impl IntoIterator<Item = (ModuleId, Body, Hold)>,
    ) -> Self {
        let mut graph = DiGraph::with_capacity(grounds + modules, modules);
        let bodies = (0..grounds)
            .map(|d| Body::Ground(super::GroundId::at(d)))
            .chain((0..modules).map(|m| Body::Module(ModuleId::at(m))));
        let nodes: IndexMap<Body, NodeIndex> = bodies.map(|body| (body, graph.add_node(body))).collect();
        for (child, host, hold) in bonds {
            graph.add_edge(nodes[&host], nodes[&Body::Module(child)], hold);
        }
        Self { graph, nodes }
    }

    /// The bonds of a configuration.
    #[must_use]
    pub fn new(problem: &Problem, configuration: &Configuration) -> Self {
        let bonds = configuration.iter().map(|(id, place)| (id, place.host, place.hold));
        Self::from_bonds(problem.grounds.len(), configuration.len(), bonds)
    }

    /// The underlying petgraph graph.
    #[must_use]
    pub const fn graph(&self) -> &DiGraph<Body, Hold> {
        &self.graph
    }

    /// Cycles of modules that stand on one another, each in the order of the crew.
    #[must_use]
    pub fn rings(&self) -> Vec<Vec<ModuleId>> {
        let mut rings: Vec<Vec<ModuleId>> = tarjan_scc(&self.graph)
            .into_iter()
            .filter(|part| part.len() > 1 || self.graph.contains_edge(part[0], part[0]))
            .map(|part| {
                let mut ring: Vec<ModuleId> =
                    part.into_iter().filter_map(|node| self.graph[node].module()).collect();
                ring.sort_unstable();
                ring
            })
            .collect();
        rings.sort_unstable();
        rings
    }

    /// Everything that stands on `body`, directly or not, in the order of the crew.
    #[must_use]
    pub fn carried_by(&self, body: Body) -> Vec<ModuleId> {
        self.walk(Bfs::new(&self.graph, self.nodes[&body]), body)
    }

    /// The modules whose chain of bonds does not end on a deck, in the order of the crew.
    #[must_use]
    pub fn adrift(&self) -> Vec<ModuleId> {
        let reversed = Reversed(&self.graph);
        self.nodes
            .iter()
            .filter_map(|(body, &node)| {
                let module = body.module()?;
                let mut chain = Bfs::new(reversed, node);
                let mut grounded = false;
                while let Some(next) = chain.next(reversed) {
                    grounded |= self.graph[next].ground().is_some();
                }
                (!grounded).then_some(module)
            })
            .collect()
    }

    fn walk(
        &self,
        mut search: Bfs<NodeIndex, <DiGraph<Body, Hold> as petgraph::visit::Visitable>::Map>,
        from: Body,
    ) -> Vec<ModuleId> {
        let mut found = Vec::new();
        while let Some(node) = search.next(&self.graph) {
            let body = self.graph[node];
            if body != from {
                found.extend(body.module());
            }
        }
        found.sort_unstable();
        found
    }
}

/// The bond forest as flat tables: hosts come before the modules that stand on them.
#[derive(Clone, Debug, Default)]
pub struct BondForest {
    /// Host of each module, `None` for a deck.
    pub host: Vec<Option<ModuleId>>,
    /// All modules, hosts before the modules that stand on them.
    pub order: Vec<ModuleId>,
}

impl BondForest {
    /// The bond forest of a configuration. Modules in a cycle are not in [`order`](Self::order).
    ///
    /// Complexity: number of modules times depth of the forest.
    #[must_use]
    pub fn new(configuration: &Configuration) -> Self {
        let host: Vec<_> = configuration.iter().map(|(_, p)| p.host.module()).collect();
        let mut order: Vec<ModuleId> = Vec::with_capacity(host.len());
        let mut placed = vec![false; host.len()];
        while order.len() < host.len() {
            let before = order.len();
            for index in 0..host.len() {
                if !placed[index] && host[index].is_none_or(|h| placed[h.index()]) {
                    placed[index] = true;
                    order.push(ModuleId::at(index));
                }
            }
            if order.len() == before {
                break;
            }
        }
        Self { host, order }
    }

    /// Whether every module's chain of bonds ends on a deck.
    #[must_use]
    pub fn is_forest(&self) -> bool {
        self.order.len() == self.host.len()
    }
}
