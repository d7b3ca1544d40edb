//! What forbids places of a mover's centre, as obstacles for faces and for hop arcs.

use super::carrier::carrier_of;
use super::rig;
use super::site_face::memo_key;
use crate::geometry::surface::{Carrier, Curve, Obstacle, Plane};
use crate::geometry::{Bounds, Prism, Slope};
use crate::math::{DVec2, DVec3, angle_between, cos, perpendicular_part, sin_cos};
use crate::model::{Body, Configuration, GroundId, ModuleId, Problem};

/// A point above a side by less than this, in metres, lies in it.
const ON_SIDE_M: f64 = 1e-9;
/// The squared sine of the angle between two planes below which they are parallel.
const PARALLEL_SQUARED: f64 = 1e-12;

/// The carrier of a host's face and all that forbids parts of it; `near` are the modules that may meet it.
pub(super) fn face_obstacles(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    host: Body,
    near: &[ModuleId],
) -> (Carrier, Vec<Obstacle>) {
    let carrier = carrier_of(problem, configuration, mover, host);
    let mut obstacles = shells(problem, configuration, mover, near, &[host]);
    obstacles.retain(|obstacle| meets(&carrier, obstacle));
    match (host, carrier) {
        (Body::Module(id), Carrier::Sphere { centre, radius }) => {
            obstacles.extend(reach(problem, configuration, id, radius));
            for deck in &problem.decks {
                let keep = problem.kind(mover).shell_radius_m;
                if deck.solid.distance(centre) < radius + keep {
                    obstacles.extend(grown(&deck.solid, keep).into_iter().map(Obstacle::Inside));
                }
            }
        }
        (Body::Ground(ground), Carrier::Plane(plane)) => {
            let key = memo_key(problem, problem.kind(mover));
            let brinks = || brinks(problem, mover, ground, &plane);
            obstacles.extend_from_slice(&problem.ground(ground).memo.get(&key, brinks));
        }
        _ => {}
    }
    (carrier, obstacles)
}

/// What forbids places of the mover on a carrier to the other modules of its rig, in some heading.
pub(super) fn rig_obstacles(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    rig: &[ModuleId],
    host: Body,
    carrier: &Carrier,
) -> Vec<Obstacle> {
    let mut found = Vec::new();
    for part in rig::parts(problem, configuration, mover, rig, carrier) {
        for (id, other) in configuration.iter().filter(|(id, _)| !rig.contains(id)) {
            found.extend(part.kept_off_ball(
                carrier,
                other.position,
                part.radius + problem.kind(id).shell_radius_m,
            ));
        }
        for deck in problem.decks_off(host.ground()) {
            found.extend(part.kept_off_solid(carrier, &deck.solid));
        }
    }
    found
}

/// The outline that the foot keeps inside, and the walls that the shell keeps away from.
fn brinks(problem: &Problem, mover: ModuleId, ground: GroundId, plane: &Slope) -> Vec<Obstacle> {
    let kind = problem.kind(mover);
    let outline = problem.ground(ground).outline.clone();
    let keep = kind.shell_radius_m;
    let places = Bounds::of(outline.corners().map(|at| plane.point(at)));
    let is_near = |solid: &&Prism| places.distance_to(&solid.bounds()) < BEVELLED * keep;
    let mut found = vec![Obstacle::OutsideArea { plane: *plane, outline, radius: kind.foot_radius_m }];
    for solid in problem.decks_off(Some(ground)).map(|deck| &deck.solid).filter(is_near) {
        found.extend(beside_solid(plane, solid, keep, 0.0));
    }
    found
}

/// The places of a plane that are nearer than `keep` to a solid, and `aside` more along the plane. Exact where plane and top are level; on slopes the
/// solid's rounded edges are enclosed by bevels.
pub(super) fn beside_solid(plane: &Slope, solid: &Prism, keep: f64, aside: f64) -> Vec<Obstacle> {
    if plane.is_level() && solid.top.is_level() {
        let height = plane.origin.z;
        let off = (height - solid.height_m()).max(solid.bottom - height).max(0.0);
        let radius = (keep * keep - off * off).max(0.0).sqrt() + aside;
        let outline = || solid.outline.clone();
        return (off < keep)
            .then(|| Obstacle::NearPolygon { plane: *plane, outline: outline(), radius })
            .into_iter()
            .collect();
    }
    let sections = grown(solid, keep).into_iter().map(|planes| section(plane, &planes));
    let sections = sections.filter(|outline| outline.len() > 2);
    sections.map(|outline| Obstacle::NearPolygon { plane: *plane, outline, radius: aside }).collect()
}

/// The convex polygon in which a plane cuts a convex set, in its coordinates, counter-clockwise; empty where it does not.
fn section(plane: &Slope, within: &[Plane]) -> Vec<DVec2> {
    let mut outline =
        [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)].map(|(x, y)| DVec2::new(x, y) * FAR_M).to_vec();
    for half in within {
        let height = |at: DVec2| half.height(plane.point(at));
        let mut kept: Vec<DVec2> = Vec::with_capacity(outline.len() + 1);
        for (index, &to) in outline.iter().enumerate() {
            let from = outline[(index + outline.len() - 1) % outline.len()];
            let (a, b) = (height(from), height(to));
            if (a < 0.0) != (b < 0.0) {
                kept.push(from.lerp(to, a / (a - b)));
            }
            if b < 0.0 {
                kept.push(to);
            }
        }
        outline = kept;
        if outline.is_empty() {
            break;
        }
    }
    outline.dedup_by(|a, b| a.distance(*b) < SAME_CORNER_M);
    if outline.len() > 1 && outline[0].distance(outline[outline.len() - 1]) < SAME_CORNER_M {
        outline.pop();
    }
    outline
}

/// No site reaches so far from the world's origin, in metres.
const FAR_M: f64 = 1e7;
/// Corners of a section nearer than this are one, in metres.
const SAME_CORNER_M: f64 = 1e-9;

/// What forbids parts of a curve along which the mover stands on the first body, a shell, and touches the second.
pub(super) fn touch_obstacles(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    (curve, met): (&Curve, [Body; 2]),
    near: &[ModuleId],
) -> Vec<Obstacle> {
    let mut obstacles = shells(problem, configuration, mover, near, &met);
    if let Body::Module(host) = met[0] {
        let radius = problem.kind(mover).standing_distance(problem.kind(host));
        obstacles.extend(reach(problem, configuration, host, radius));
    }
    obstacles.extend(solids(problem, mover, curve, |ground| met.contains(&Body::Ground(ground))));
    obstacles
}

/// What forbids parts of the circle on which the mover could stand on either of two hosts.
pub(super) fn hop_arc_obstacles(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    (curve, hosts): (&Curve, [Body; 2]),
    near: &[ModuleId],
) -> Vec<Obstacle> {
    let mut obstacles = shells(problem, configuration, mover, near, &hosts);
    for host in hosts {
        match host {
            Body::Module(id) => {
                let radius = problem.kind(mover).standing_distance(problem.kind(id));
                obstacles.extend(reach(problem, configuration, id, radius));
            }
            Body::Ground(ground) => {
                let ground = problem.ground(ground);
                let (plane, outline) = (ground.plane, ground.outline.clone());
                let radius = problem.kind(mover).foot_radius_m;
                obstacles.push(Obstacle::OutsideArea { plane, outline, radius });
            }
            Body::Stone(_) => {}
        }
    }
    obstacles.extend(solids(problem, mover, curve, |ground| hosts.contains(&Body::Ground(ground))));
    obstacles
}

/// Solids near a curve of the decks for whose ground `except` is false.
fn solids(
    problem: &Problem,
    mover: ModuleId,
    curve: &Curve,
    except: impl Fn(GroundId) -> bool,
) -> Vec<Obstacle> {
    let keep = problem.kind(mover).shell_radius_m;
    let (centre, reach) = curve.ball_around();
    let is_near = |solid: &Prism| solid.bounds().distance(centre) < reach + BEVELLED * keep;
    let decks = problem.decks.iter().filter(|deck| !except(deck.ground) && is_near(&deck.solid));
    decks.flat_map(|deck| grown(&deck.solid, keep)).map(Obstacle::Inside).collect()
}

/// Other shells, and stones, as balls that the mover's centre keeps out of.
pub(super) fn shells(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    near: &[ModuleId],
    except: &[Body],
) -> Vec<Obstacle> {
    let kind = problem.kind(mover);
    near.iter()
        .filter(|id| !except.contains(&Body::Module(**id)))
        .map(|&id| Obstacle::Ball {
            centre: configuration.get(id).position,
            radius: kind.shell_radius_m + problem.kind(id).shell_radius_m,
        })
        .chain(problem.stones.iter().map(|stone| Obstacle::Ball {
            centre: stone.centre,
            radius: kind.shell_radius_m + stone.radius_m,
        }))
        .collect()
}

/// Whether a ball can forbid any part of a carrier.
fn meets(carrier: &Carrier, obstacle: &Obstacle) -> bool {
    match (carrier, obstacle) {
        (Carrier::Sphere { centre: c, radius: r }, Obstacle::Ball { centre, radius }) => {
            c.distance_squared(*centre) < (r + radius).powi(2)
        }
        (Carrier::Plane(plane), Obstacle::Ball { centre, radius }) => plane.above(*centre).abs() < *radius,
        _ => true,
    }
}

/// The part of a shell beyond its reach.
fn reach(problem: &Problem, configuration: &Configuration, host: ModuleId, radius: f64) -> Option<Obstacle> {
    let limit = problem.kind(host).shell_reach_rad;
    if limit >= std::f64::consts::PI {
        return None;
    }
    let place = configuration.get(host);
    let normal = place.up();
    Some(Obstacle::Inside(vec![Plane { normal, offset: normal.dot(place.position) + radius * cos(limit) }]))
}

/// Number of bevels between two neighbouring sides of a grown solid.
const BEVELS: usize = 3;
/// A grown solid goes nowhere so many times farther than it is grown.
const BEVELLED: f64 = 2.0;

/// Convex sets that together enclose all points nearer than `keep` to a solid. Along edges they exceed it by at most `keep·(1/cos(π/16) − 1)`, 2 % of
/// it (somewhat more at corners).
fn grown(solid: &Prism, keep: f64) -> Vec<Vec<Plane>> {
    convex_parts(&solid.outline).into_iter().map(|outline| grown_convex(&outline, solid, keep)).collect()
}

fn grown_convex(outline: &[DVec2], solid: &Prism, keep: f64) -> Vec<Plane> {
    let top = &solid.top;
    let mut planes = vec![Plane { normal: top.normal, offset: top.normal.dot(top.origin) + keep }];
    // The upward normal of each face that a wall ends at, and the heights of a corner there.
    let mut caps: Vec<(DVec3, Slope)> = vec![(top.normal, *top)];
    if solid.bottom.is_finite() {
        planes.push(Plane { normal: DVec3::NEG_Z, offset: keep - solid.bottom });
        caps.push((DVec3::NEG_Z, Slope::level(solid.bottom)));
    }
    let count = outline.len();
    let side = |i: usize| {
        let along = (outline[(i + 1) % count] - outline[i % count]).normalize();
        DVec3::new(along.y, -along.x, 0.0)
    };
    for (i, corner) in outline.iter().enumerate() {
        let (out, before) = (side(i), side(i + count - 1));
        let at = corner.extend(0.0);
        planes.push(Plane { normal: out, offset: out.dot(at) + keep });
        for bevel in 1..=BEVELS {
            let share = bevel as f64 / (BEVELS + 1) as f64;
            let round = before.lerp(out, share).normalize_or_zero();
            planes.push(Plane { normal: round, offset: round.dot(at) + keep });
            for (normal, face) in &caps {
                let tilted = between(out, *normal, share);
                planes.push(Plane {
                    normal: tilted,
                    offset: tilted.dot(corner.extend(face.height_at(*corner))) + keep,
                });
            }
        }
    }
    planes
}

/// The direction at a share of the angle from one direction to another.
fn between(from: DVec3, to: DVec3, share: f64) -> DVec3 {
    let angle = angle_between(from, to);
    let across = perpendicular_part(to, from).normalize_or_zero();
    let (sin, cos) = sin_cos(share * angle);
    from * cos + across * sin
}

/// Points of a sphere where two sides of a grown solid meet in its outer surface, at which a shortest path around the solid bends; and the planes
/// along which the path may go: the top, walls, and those that meet at such points.
pub(super) fn bends_round(solid: &Prism, keep: f64, centre: DVec3, radius: f64) -> (Vec<DVec3>, Vec<Plane>) {
    let (mut points, mut meeting) = (Vec::new(), Vec::new());
    for planes in grown(solid, keep) {
        let cutting: Vec<Plane> =
            planes.iter().copied().filter(|plane| plane.height(centre).abs() < radius).collect();
        let mut meets: Vec<bool> =
            cutting.iter().map(|plane| plane.normal.z == 0.0 || plane.normal == solid.top.normal).collect();
        for (i, a) in cutting.iter().enumerate() {
            for (j, b) in cutting.iter().enumerate().take(i) {
                for point in on_both(a, b, centre, radius) {
                    if planes.iter().all(|plane| plane.height(point) < ON_SIDE_M) {
                        points.push(point);
                        meets[i] = true;
                        meets[j] = true;
                    }
                }
            }
        }
        meeting.extend(cutting.iter().zip(&meets).filter(|(_, meets)| **meets).map(|(plane, _)| *plane));
    }
    (points, meeting)
}

/// The points of a sphere on two planes.
fn on_both(a: &Plane, b: &Plane, centre: DVec3, radius: f64) -> impl Iterator<Item = DVec3> {
    let (p, q) = (-a.height(centre), -b.height(centre));
    let cos = a.normal.dot(b.normal);
    let determinant = 1.0 - cos * cos;
    let foot = (a.normal * (p - q * cos) + b.normal * (q - p * cos)) / determinant;
    let across = a.normal.cross(b.normal) / determinant.sqrt();
    let half = (radius * radius - foot.length_squared()).sqrt();
    let found = (determinant > PARALLEL_SQUARED && half.is_finite()).then_some([half, -half]);
    found.into_iter().flatten().map(move |half| centre + foot + across * half)
}

/// A polygon as convex pieces: itself where it is convex, otherwise triangles from ear clipping.
fn convex_parts(outline: &[DVec2]) -> Vec<Vec<DVec2>> {
    let count = outline.len();
    let turn = |a: DVec2, b: DVec2, c: DVec2| (b - a).perp_dot(c - b);
    if (0..count).all(|i| turn(outline[i], outline[(i + 1) % count], outline[(i + 2) % count]) >= 0.0) {
        return vec![outline.to_vec()];
    }
    let mut left = outline.to_vec();
    let mut parts = Vec::new();
    while left.len() > 3 {
        let n = left.len();
        let ear = (0..n).find(|&i| {
            let (a, b, c) = (left[(i + n - 1) % n], left[i], left[(i + 1) % n]);
            let inside = |p: DVec2| turn(a, b, p) > 0.0 && turn(b, c, p) > 0.0 && turn(c, a, p) > 0.0;
            turn(a, b, c) > 0.0 && !left.iter().any(|&p| inside(p))
        });
        let Some(ear) = ear else { break };
        parts.push(vec![left[(ear + n - 1) % n], left[ear], left[(ear + 1) % n]]);
        left.remove(ear);
    }
    parts.push(left);
    parts
}
