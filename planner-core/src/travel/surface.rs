//! The accessible surface of one mover: all places of its centre while it stands on a host.

use super::obstacles::{face_obstacles, hop_arc_obstacles, rig_obstacles};
use crate::geometry::surface::{Arc, Curve, Obstacle, Region, free_stretches};
use crate::math::{DVec3, PointGrid, angle_between, tolerance};
use crate::model::{Body, Configuration, ModuleId, Problem};
use indexmap::IndexMap;
use petgraph::graph::{NodeIndex, UnGraph};
use rustc_hash::FxBuildHasher;

/// A mover rides on its shell if its ride height exceeds its shell radius by no more than this, in metres: rounding.
const NOT_OUT_M: f64 = 1e-12;

/// A connected part of the surface on one host.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SurfacePart {
    /// The host.
    pub host: Body,
    /// Index of the part in the host's region.
    pub part: usize,
    /// Area of the centre's surface, in m².
    pub area_m2: f64,
}

/// An arc on which the mover can hop from one host to another.
#[derive(Clone, Debug, PartialEq)]
pub struct HopArc {
    /// The two hosts.
    pub hosts: [Body; 2],
    /// The possible places of the centre; its obstacle index has no meaning.
    pub arc: Arc,
    /// Angle between the two normals, in radians; constant along the arc.
    pub pivot_rad: f64,
}

/// A place where the mover stands on one body and touches two more, or could stand on any of them.
#[derive(Clone, Debug, PartialEq)]
pub struct Pocket {
    /// The centre in the world frame, in metres.
    pub position: DVec3,
    /// The bodies at standing or touching distance.
    pub bodies: Vec<Body>,
}

/// The accessible surface of one mover among the others as they stand: an exact arrangement after Lee & Richards (1971) with the module as probe.
/// Walls and edges met on shells are enclosed from outside, see [`Surface::new`].
#[derive(Clone, Debug)]
pub struct Surface {
    mover: ModuleId,
    /// The mover and everything that stands on it.
    rig: Vec<ModuleId>,
    grid: PointGrid,
    places: Vec<DVec3>,
    regions: IndexMap<Body, Region, FxBuildHasher>,
    hop_arcs: IndexMap<[Body; 2], Vec<HopArc>, FxBuildHasher>,
}

impl Surface {
    /// The surface of `mover`. Where others stand on it, it is that of all of them together: every place of it is clear in every heading, and there may
    /// be more places that are clear in some.
    ///
    /// Shells and deck tops are exact. On shells, edges and corners of decks are enclosed by planes that exclude up to 2 % of the shell's radius too
    /// much; on decks, walls are exact. Complexity: linear in modules that are spread out, quadratic in those near each other.
    #[must_use]
    pub fn new(problem: &Problem, configuration: &Configuration, mover: ModuleId) -> Self {
        let mut surface = Self::bare(problem, configuration, mover);
        let hosts = surface.hosts(problem);
        surface.rebuild(problem, configuration, &hosts);
        surface
    }

    /// Updates the surface after one other module has moved; only decks and the hosts near its old and new places are recomputed. Returns their
    /// number.
    pub fn module_moved(
        &mut self,
        problem: &Problem,
        configuration: &Configuration,
        moved: ModuleId,
    ) -> usize {
        let (old, new) = (self.places[moved.index()], configuration.get(moved).position);
        let mut hosts: Vec<Body> = problem.ground_ids().map(Body::Ground).collect();
        hosts.push(Body::Module(moved));
        for place in [old, new] {
            for index in self.grid.near(place) {
                let body = Body::Module(ModuleId::at(index));
                if index != self.mover.index() && !hosts.contains(&body) {
                    hosts.push(body);
                }
            }
        }
        self.grid.shift(moved.index(), old, new);
        self.places[moved.index()] = new;
        self.hop_arcs.retain(|pair, _| !pair.iter().any(|body| hosts.contains(body)));
        self.rebuild(problem, configuration, &hosts);
        hosts.len()
    }

    /// The arcs on which the mover can hop, without the faces between them.
    #[must_use]
    pub fn hop_arcs_of(problem: &Problem, configuration: &Configuration, mover: ModuleId) -> Vec<HopArc> {
        let mut surface = Self::bare(problem, configuration, mover);
        let hosts = surface.hosts(problem);
        surface.build_hop_arcs(problem, configuration, &hosts);
        surface.hop_arcs.into_values().flatten().collect()
    }

    /// A surface of which nothing is worked out yet.
    pub(crate) fn bare(problem: &Problem, configuration: &Configuration, mover: ModuleId) -> Self {
        let places: Vec<DVec3> = configuration.iter().map(|(_, p)| p.position).collect();
        let grid = PointGrid::new(interaction_m(problem, mover), places.iter().copied());
        Self {
            mover,
            rig: configuration.carried_with(mover),
            grid,
            places,
            regions: IndexMap::default(),
            hop_arcs: IndexMap::default(),
        }
    }

    fn hosts(&self, problem: &Problem) -> Vec<Body> {
        let modules = problem.module_ids().filter(|m| !self.rig.contains(m)).map(Body::Module);
        problem.ground_ids().map(Body::Ground).chain(modules).collect()
    }

    fn rebuild(&mut self, problem: &Problem, configuration: &Configuration, hosts: &[Body]) {
        let near: Vec<_> = hosts.iter().map(|&host| self.near(problem, host)).collect();
        for (&host, near) in hosts.iter().zip(&near) {
            let region = self.face(problem, configuration, host, near);
            if self.hops() && rides_on_its_shell(problem, self.mover) {
                self.take_hop_arcs(problem, host, near, &region);
            }
            self.regions.insert(host, region);
        }
        if self.hops() {
            self.rebuild_hop_arcs(problem, configuration, hosts, &near);
        }
    }

    fn face(
        &self,
        problem: &Problem,
        configuration: &Configuration,
        host: Body,
        near: &[ModuleId],
    ) -> Region {
        let (carrier, mut obstacles) = face_obstacles(problem, configuration, self.mover, host, near);
        obstacles.extend(rig_obstacles(problem, configuration, self.mover, &self.rig, host, &carrier));
        Region::new(carrier, obstacles)
    }

    /// Works out the hop arcs of some hosts; those between a ground and a module belong to the ground.
    pub(crate) fn build_hop_arcs(
        &mut self,
        problem: &Problem,
        configuration: &Configuration,
        hosts: &[Body],
    ) {
        if self.hops() {
            let near: Vec<_> = hosts.iter().map(|&host| self.near(problem, host)).collect();
            self.rebuild_hop_arcs(problem, configuration, hosts, &near);
        }
    }

    /// Works out the face on a host, if it is not known yet.
    pub(crate) fn build_face(&mut self, problem: &Problem, configuration: &Configuration, host: Body) {
        if !self.regions.contains_key(&host) {
            let region = self.face(problem, configuration, host, &self.near(problem, host));
            self.regions.insert(host, region);
        }
    }

    /// The part of one host's face that a hop arc to another host borders, if the face is known.
    pub(crate) fn part_at_hop(&self, hop_arc: &HopArc, host: Body) -> Option<usize> {
        let [a, b] = hop_arc.hosts;
        let other = if a == host { b } else { a };
        let (middle, region) = (hop_arc.arc.at(0.5), self.regions.get(&host)?);
        let beside = other.module().and_then(|m| region.part_beside(self.places[m.index()], middle));
        beside.or_else(|| region.part_at(middle))
    }

    /// Whether nothing stands on the mover.
    fn hops(&self) -> bool {
        self.rig.len() == 1
    }

    /// If the foot is exactly at the shell, the mover can hop where it touches: the hop arcs are boundary arcs of the faces. Arcs that another
    /// obstacle may cut as well (the other host's reach, the outline of a deck) are left for later.
    fn take_hop_arcs(&mut self, problem: &Problem, host: Body, near: &[ModuleId], region: &Region) {
        let Body::Module(id) = host else { return };
        for &beside in near {
            let other = Body::Module(beside);
            let pair = if other < host { [other, host] } else { [host, other] };
            let limit = problem.kind(beside).shell_reach_rad;
            if self.hop_arcs.contains_key(&pair) || limit < std::f64::consts::PI {
                continue;
            }
            let here = self.places[beside.index()];
            let is_beside = |arc: &&Arc| matches!(region.obstacles[arc.obstacle], Obstacle::Ball { centre, .. } if centre == here);
            let centre = self.places[id.index()];
            let hop_arcs = region.arcs.iter().filter(is_beside).filter_map(|arc| {
                let place = arc.at(0.0);
                let pivot_rad = angle_between(place - centre, place - here);
                let hops = pivot_rad <= problem.kind(self.mover).hop_limit_rad + tolerance::ANGLE_RAD;
                hops.then(|| HopArc { hosts: pair, arc: arc.clone(), pivot_rad })
            });
            let hop_arcs = hop_arcs.collect();
            self.hop_arcs.insert(pair, hop_arcs);
        }
    }

    /// Hop arcs between hosts and the modules near each that are not known yet.
    fn rebuild_hop_arcs(
        &mut self,
        problem: &Problem,
        configuration: &Configuration,
        hosts: &[Body],
        near: &[Vec<ModuleId>],
    ) {
        for (&host, near) in hosts.iter().zip(near) {
            for &other in near {
                let other = Body::Module(other);
                let pair = if other < host { [other, host] } else { [host, other] };
                if self.hop_arcs.contains_key(&pair) {
                    continue;
                }
                // What can meet the circle is near its shell; all modules are near a deck.
                let beside = match host {
                    Body::Ground(_) | Body::Stone(_) => self.near(problem, other),
                    Body::Module(_) => near.clone(),
                };
                let hop_arcs = self.hop_arcs_between(problem, configuration, pair, &beside);
                self.hop_arcs.insert(pair, hop_arcs);
            }
        }
    }

    /// Modules that a host's face can meet: near ones for a shell, all for a deck.
    fn near(&self, problem: &Problem, host: Body) -> Vec<ModuleId> {
        match host {
            Body::Ground(_) | Body::Stone(_) => {
                problem.module_ids().filter(|m| !self.rig.contains(m)).collect()
            }
            Body::Module(id) => {
                let (kind, here) = (problem.kind(self.mover), self.places[id.index()]);
                let distance = kind.standing_distance(problem.kind(id));
                let mut near: Vec<ModuleId> = self.grid.near(here).map(ModuleId::at).collect();
                near.retain(|&m| {
                    let meets = distance + kind.standing_distance(problem.kind(m)) + tolerance::LENGTH_M;
                    !self.rig.contains(&m)
                        && m != id
                        && self.places[m.index()].distance_squared(here) <= meets * meets
                });
                near
            }
        }
    }

    fn hop_arcs_between(
        &self,
        problem: &Problem,
        configuration: &Configuration,
        pair: [Body; 2],
        near: &[ModuleId],
    ) -> Vec<HopArc> {
        let Some(curve) = standing_circle(problem, configuration, self.mover, pair) else {
            return Vec::new();
        };
        let normals = pair.map(|host| self.normal(problem, configuration, host, curve.at(0.0)));
        let pivot_rad = angle_between(normals[0], normals[1]);
        if pivot_rad > problem.kind(self.mover).hop_limit_rad + tolerance::ANGLE_RAD {
            return Vec::new();
        }
        let obstacles: Vec<Obstacle> =
            hop_arc_obstacles(problem, configuration, self.mover, (&curve, pair), near);
        free_stretches(&curve, &obstacles)
            .into_iter()
            .map(|(from, width)| HopArc {
                hosts: pair,
                arc: Arc { obstacle: 0, curve: curve.clone(), from, width },
                pivot_rad,
            })
            .collect()
    }

    fn normal(&self, problem: &Problem, configuration: &Configuration, host: Body, position: DVec3) -> DVec3 {
        match host {
            Body::Ground(ground) => problem.ground(ground).plane.normal,
            Body::Module(id) => position - configuration.get(id).position,
            Body::Stone(_) => DVec3::ZERO,
        }
    }

    /// The region on a host, if it is one of the hosts.
    #[must_use]
    pub fn region(&self, host: Body) -> Option<&Region> {
        self.regions.get(&host)
    }

    /// All hosts and their regions.
    pub fn regions(&self) -> impl Iterator<Item = (Body, &Region)> {
        self.regions.iter().map(|(host, region)| (*host, region))
    }

    /// All arcs on which the mover can hop.
    pub fn hop_arcs(&self) -> impl Iterator<Item = &HopArc> {
        self.hop_arcs.values().flatten()
    }

    /// Area of the whole surface in m².
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        self.regions.values().map(Region::area).sum()
    }

    /// The graph of module-on-shell adjacencies: parts of faces as nodes, hop arcs as edges.
    #[must_use]
    pub fn graph(&self) -> UnGraph<SurfacePart, &HopArc> {
        let mut graph = UnGraph::default();
        let mut nodes: IndexMap<(Body, usize), NodeIndex, FxBuildHasher> = IndexMap::default();
        for (&host, region) in &self.regions {
            for part in 0..region.parts {
                let node = graph.add_node(SurfacePart { host, part, area_m2: region.part_area(part) });
                nodes.insert((host, part), node);
            }
        }
        for hop_arc in self.hop_arcs() {
            let ends =
                hop_arc.hosts.map(|host| nodes.get(&(host, self.part_at_hop(hop_arc, host)?)).copied());
            if let [Some(a), Some(b)] = ends {
                graph.add_edge(a, b, hop_arc);
            }
        }
        graph
    }

    /// Places where three bodies are met at once: ends of hop arcs.
    #[must_use]
    pub fn pockets(&self, problem: &Problem, configuration: &Configuration) -> Vec<Pocket> {
        let mut found: Vec<Pocket> = Vec::new();
        for hop_arc in self.hop_arcs().filter(|p| !p.arc.is_ring()) {
            for position in [hop_arc.arc.at(0.0), hop_arc.arc.at(1.0)] {
                let known = found.iter().any(|p| p.position.distance(position) < tolerance::LENGTH_M);
                let bodies = self.met_at(problem, configuration, position);
                if !known && bodies.len() >= 3 {
                    found.push(Pocket { position, bodies });
                }
            }
        }
        found
    }

    /// Bodies at standing or touching distance from a place.
    fn met_at(&self, problem: &Problem, configuration: &Configuration, position: DVec3) -> Vec<Body> {
        let kind = problem.kind(self.mover);
        let meets = |distance: f64, wanted: [f64; 2]| {
            wanted.iter().any(|w| (distance - w).abs() < tolerance::LENGTH_M)
        };
        let decks = problem.ground_ids().filter(|d| {
            let distance = problem.distance_to_ground(*d, position);
            meets(distance, [kind.shell_radius_m, kind.ride_height_m])
        });
        let modules = self.grid.near(position).map(ModuleId::at).filter(|m| *m != self.mover).filter(|m| {
            let other = problem.kind(*m);
            let distance = configuration.get(*m).position.distance(position);
            meets(distance, [other.shell_radius_m + kind.shell_radius_m, kind.standing_distance(other)])
        });
        decks.map(Body::Ground).chain(modules.map(Body::Module)).collect()
    }
}

/// Whether the mover touches a body where it can stand on it.
fn rides_on_its_shell(problem: &Problem, mover: ModuleId) -> bool {
    let kind = problem.kind(mover);
    kind.ride_height_m - kind.shell_radius_m <= NOT_OUT_M
}

/// Two bodies farther apart than this do not meet on any face of the mover, in metres.
pub(super) fn interaction_m(problem: &Problem, mover: ModuleId) -> f64 {
    let kind = problem.kind(mover);
    let largest = problem.kinds.iter().map(|k| kind.standing_distance(k)).fold(0.0, f64::max);
    2.0 * largest + tolerance::LENGTH_M
}

/// The circle of centres at which the mover could stand on either of two hosts.
fn standing_circle(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    pair: [Body; 2],
) -> Option<Curve> {
    let kind = problem.kind(mover);
    let sphere = |id: ModuleId| (configuration.get(id).position, kind.standing_distance(problem.kind(id)));
    match pair {
        [Body::Ground(deck), Body::Module(id)] => {
            let (centre, distance) = sphere(id);
            let ground = problem.ground(deck);
            let plane = ground.plane.raised(kind.ride_height_m);
            let squared = distance * distance - plane.above(centre).powi(2);
            if squared <= 0.0 || ground.outline.is_far_from(plane.coordinates(centre), squared.sqrt()) {
                return None;
            }
            Some(Curve::circle_on(&plane, plane.onto(centre), squared.sqrt()))
        }
        [Body::Module(a), Body::Module(b)] => {
            let ((a, da), (b, db)) = (sphere(a), sphere(b));
            Curve::between_spheres(a, da, b, db)
        }
        _ => None,
    }
}
