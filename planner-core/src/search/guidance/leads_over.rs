//! Whether a module's accessible surface reaches a deck.

use crate::math::{cos, tolerance};
use crate::model::{Body, Configuration, GroundId, ModuleId, Problem};
use crate::travel::Surface;
use petgraph::algo::has_path_connecting;

/// Whether geometry alone lets a module drive from where it stands to a deck while the others stand.
///
/// Complexity: that of the module's [`Surface`] on the hosts that hop arcs lead to; where distances and pivots already rule it out, quadratic in the modules.
pub(crate) fn leads_over(problem: &Problem, crew: &Configuration, mover: ModuleId, target: GroundId) -> bool {
    if !might_lead_over(problem, crew, mover, Body::Ground(target)) {
        return false;
    }
    // Only hosts that hops lead to matter, and faces cost much more than hop arcs.
    let place = crew.get(mover);
    let hosts = hosts_by_hops(problem, crew, mover);
    if !hosts.contains(&Body::Ground(target)) {
        return false;
    }
    let surface = Surface::on_hosts(problem, crew, mover, &hosts);
    let graph = surface.graph();
    let start = surface.region(place.host).and_then(|region| region.part_at(place.position));
    let from = graph.node_indices().find(|&n| graph[n].host == place.host && Some(graph[n].part) == start);
    from.is_some_and(|from| {
        graph
            .node_indices()
            .filter(|&n| graph[n].host == Body::Ground(target))
            .any(|to| has_path_connecting(&graph, from, to, None))
    })
}

/// The hosts that chains of hop arcs lead to from where the mover stands, as if each face were one piece.
fn hosts_by_hops(problem: &Problem, crew: &Configuration, mover: ModuleId) -> Vec<Body> {
    let hop_arcs = Surface::hop_arcs_of(problem, crew, mover);
    let mut reached = vec![crew.get(mover).host];
    let mut next = 0;
    while let Some(&at) = reached.get(next) {
        next += 1;
        for [a, b] in hop_arcs.iter().map(|hop_arc| hop_arc.hosts) {
            let other = if a == at { b } else { a };
            if (a == at || b == at) && !reached.contains(&other) {
                reached.push(other);
            }
        }
    }
    reached
}

/// Whether hops lead there by distances and pivots only: a necessary condition, not a sufficient one.
fn might_lead_over(problem: &Problem, crew: &Configuration, mover: ModuleId, target: Body) -> bool {
    let decks = problem.ground_ids().map(Body::Ground);
    let bodies: Vec<Body> =
        decks.chain(problem.module_ids().filter(|m| *m != mover).map(Body::Module)).collect();
    let mut reached = vec![crew.get(mover).host];
    let mut next = 0;
    while let Some(&at) = reached.get(next) {
        next += 1;
        if at == target {
            return true;
        }
        for &body in &bodies {
            if !reached.contains(&body) && might_hop(problem, crew, mover, at, body) {
                reached.push(body);
            }
        }
    }
    false
}

/// Whether the mover could hop between two bodies, by their distance and its hop limit, other modules ignored.
fn might_hop(problem: &Problem, crew: &Configuration, mover: ModuleId, a: Body, b: Body) -> bool {
    let kind = problem.kind(mover);
    let least_cos = cos(kind.hop_limit_rad + tolerance::ANGLE_RAD);
    match (a, b) {
        (Body::Ground(a), Body::Ground(b)) => problem.are_linked(a, b),
        (Body::Stone(_), _) | (_, Body::Stone(_)) => false,
        (Body::Module(a), Body::Module(b)) => {
            let [r, s] = [a, b].map(|m| kind.standing_distance(problem.kind(m)));
            let apart = crew.get(a).position.distance(crew.get(b).position);
            // The angle at the mover in the triangle of the three centres.
            let cos = (r * r + s * s - apart * apart) / (2.0 * r * s);
            (-1.0..=1.0).contains(&cos) && cos >= least_cos
        }
        (Body::Ground(deck), Body::Module(m)) | (Body::Module(m), Body::Ground(deck)) => {
            let (solid, centre) = (problem.ground(deck), crew.get(m).position);
            let distance = kind.standing_distance(problem.kind(m));
            let rise = kind.ride_height_m - solid.plane.above(centre);
            let aside = (distance * distance - rise * rise).max(0.0).sqrt();
            rise.abs() <= distance
                && rise / distance >= least_cos
                && solid.inset(centre) + aside >= kind.foot_radius_m - tolerance::LENGTH_M
        }
    }
}
