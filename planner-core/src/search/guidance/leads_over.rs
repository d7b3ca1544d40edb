//! Whether a module's accessible surface reaches a deck.

use crate::math::{cos, tolerance};
use crate::model::{Body, Configuration, GroundId, ModuleId, Problem};
use crate::travel::{HopArc, Surface};

/// Whether geometry alone lets a module drive from where it stands to a deck while the others stand.
///
/// Complexity: that of the faces of the module's [`Surface`] that it can reach; where distances, pivots or hop arcs already rule it out, quadratic in
/// the modules.
pub(crate) fn leads_over(problem: &Problem, crew: &Configuration, mover: ModuleId, target: GroundId) -> bool {
    let there = Body::Ground(target);
    if !might_lead_over(problem, crew, mover, there) {
        return false;
    }
    // Faces cost much more than hop arcs, so they come last, and only as they are reached.
    let mut surface = Surface::bare(problem, crew, mover);
    let hosts = hosts_by_hops(problem, crew, mover, &mut surface);
    hosts.contains(&there) && faces_lead_over(problem, crew, mover, there, &mut surface)
}

/// The hosts that chains of hop arcs lead to from where the mover stands, as if each face were one piece. Works out their hop arcs.
fn hosts_by_hops(
    problem: &Problem,
    crew: &Configuration,
    mover: ModuleId,
    surface: &mut Surface,
) -> Vec<Body> {
    let grounds: Vec<Body> = problem.ground_ids().map(Body::Ground).collect();
    surface.build_hop_arcs(problem, crew, &grounds);
    let mut reached = vec![crew.get(mover).host];
    let mut next = 0;
    while let Some(&at) = reached.get(next) {
        next += 1;
        surface.build_hop_arcs(problem, crew, &[at]);
        for [a, b] in surface.hop_arcs().map(|hop_arc| hop_arc.hosts) {
            let other = if a == at { b } else { a };
            if (a == at || b == at) && !reached.contains(&other) {
                reached.push(other);
            }
        }
    }
    reached
}

/// Whether faces and the known hop arcs between them lead to a body.
fn faces_lead_over(
    problem: &Problem,
    crew: &Configuration,
    mover: ModuleId,
    target: Body,
    surface: &mut Surface,
) -> bool {
    let place = crew.get(mover);
    surface.build_face(problem, crew, place.host);
    let start = surface.region(place.host).and_then(|region| region.part_at(place.position));
    let Some(start) = start else { return false };
    let hop_arcs: Vec<HopArc> = surface.hop_arcs().cloned().collect();
    let mut reached = vec![(place.host, start)];
    let mut next = 0;
    while let Some(&(host, part)) = reached.get(next) {
        if host == target {
            return true;
        }
        next += 1;
        for hop_arc in hop_arcs.iter().filter(|hop_arc| hop_arc.hosts.contains(&host)) {
            if surface.part_at_hop(hop_arc, host) != Some(part) {
                continue;
            }
            let [a, b] = hop_arc.hosts;
            let other = if a == host { b } else { a };
            surface.build_face(problem, crew, other);
            let beyond = surface.part_at_hop(hop_arc, other).map(|part| (other, part));
            reached.extend(beyond.filter(|beyond| !reached.contains(beyond)));
        }
    }
    false
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
