//! The parts of a surface: their size, whether they are connected, and whether they are reached.

use super::Freedom;
use super::refusal::{Asked, Unreached};
use crate::geometry::surface::Region;
use crate::model::Body;
use crate::travel::{HopArc, Surface, SurfacePart, Waypoint};
use petgraph::graph::{NodeIndex, UnGraph};
use petgraph::visit::{Bfs, EdgeRef};

/// A connected part of the surface, and whether the mover reaches it.
#[derive(Clone, Debug, PartialEq)]
pub struct PartSurvey {
    /// The host.
    pub host: Body,
    /// Index of the part in the host's region.
    pub part: usize,
    /// Area of the centre's surface, in m².
    pub area_m2: f64,
    /// Length of its boundary, in metres; 0 for a whole sphere.
    pub boundary_m: f64,
    /// Whether hop arcs lead there from the part on which the mover stands.
    pub connected: bool,
    /// Why the mover does not reach it; `None` if it stands there, passes there or rests there.
    pub unreached: Option<Unreached>,
}

/// All parts in the order of the graph; `stands` are places on trips.
pub(super) fn parts(
    asked: &Asked<'_>,
    surface: &Surface,
    freedom: Freedom,
    stands: &[Waypoint],
) -> Vec<PartSurvey> {
    let graph = surface.graph();
    let node_at = |at: &Waypoint| {
        let part = surface.region(at.host)?.part_at(at.position)?;
        graph.node_indices().find(|&n| graph[n].host == at.host && graph[n].part == part)
    };
    let place = asked.start.get(asked.mover);
    let own = node_at(&Waypoint::straight(place.host, place.position));
    let mut connected = vec![false; graph.node_count()];
    if let Some(own) = own {
        let mut search = Bfs::new(&graph, own);
        while let Some(node) = search.next(&graph) {
            connected[node.index()] = true;
        }
    }
    let mut reached = vec![false; graph.node_count()];
    for node in own.into_iter().chain(stands.iter().filter_map(node_at)) {
        reached[node.index()] = true;
    }
    let found = |node: NodeIndex| {
        let SurfacePart { host, part, area_m2 } = graph[node];
        let unreached = if reached[node.index()] {
            None
        } else if !connected[node.index()] {
            Some(Unreached::CutOff)
        } else if freedom != Freedom::Free {
            Some(Unreached::NotTried)
        } else {
            Some(asked.why_unreached(frontier(&graph, &reached, node)))
        };
        let boundary_m = surface.region(host).map_or(0.0, |region| boundary_m(region, part));
        PartSurvey { host, part, area_m2, boundary_m, connected: connected[node.index()], unreached }
    };
    graph.node_indices().map(found).collect()
}

fn boundary_m(region: &Region, part: usize) -> f64 {
    let arcs = region.arcs.iter().zip(&region.part_of);
    arcs.filter(|(_, p)| **p == part).map(|(arc, _)| arc.length()).sum()
}

/// Hop arcs that lead from reached parts into the cluster of parts in which an unreached one lies, each with the reached host.
fn frontier<'a>(
    graph: &UnGraph<SurfacePart, &'a HopArc>,
    reached: &[bool],
    from: NodeIndex,
) -> Vec<(Body, &'a HopArc)> {
    let mut known = vec![false; graph.node_count()];
    known[from.index()] = true;
    let mut open = vec![from];
    let mut found = Vec::new();
    while let Some(node) = open.pop() {
        for edge in graph.edges(node) {
            let other = if edge.source() == node { edge.target() } else { edge.source() };
            if reached[other.index()] {
                found.push((graph[other].host, *edge.weight()));
            } else if !known[other.index()] {
                known[other.index()] = true;
                open.push(other);
            }
        }
    }
    found
}
