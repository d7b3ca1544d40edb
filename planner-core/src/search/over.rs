//! Whether a module's accessible surface leads to a deck.

use crate::model::{Body, Configuration, DeckId, ModuleId, Problem};
use crate::travel::Surface;
use petgraph::algo::has_path_connecting;

/// Whether geometry lets a module from where it stands onto a deck while the others stand.
///
/// Complexity: that of the module's [`Surface`].
pub(super) fn leads_over(problem: &Problem, crew: &Configuration, mover: ModuleId, target: DeckId) -> bool {
    let surface = Surface::new(problem, crew, mover);
    let graph = surface.graph();
    let place = crew.get(mover);
    let start = surface.region(place.host).and_then(|region| region.part_at(place.position));
    let from = graph.node_indices().find(|&n| graph[n].host == place.host && Some(graph[n].part) == start);
    from.is_some_and(|from| {
        graph
            .node_indices()
            .filter(|&n| graph[n].host == Body::Deck(target))
            .any(|to| has_path_connecting(&graph, from, to, None))
    })
}
