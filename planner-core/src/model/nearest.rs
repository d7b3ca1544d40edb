//! The configuration nearest to given poses that meets bonds, touches and non-overlap.
//!
//! Unknown are the centres. What is minimised is a quadratic form: how far each centre is from where it was seen, and how far the direction from its
//! host is from the body z that was seen. The conditions are few and nearly linear at the scale of measuring errors, so each step solves the
//! quadratic programme of the linearised conditions (Gauss–Newton on the constraint manifold; Nocedal & Wright 2006, section 18.1), with an active
//! set for those that may be slack. At the end each centre is set exactly onto its host, roots first, and each body z to its normal.

use super::{Body, BondForest, Configuration, ModuleId, Placement, Problem, StoneId};
use crate::math::{DQuat, DVec2, DVec3, cos, heading_frame, solve_linear};
use indexmap::IndexMap;
use petgraph::unionfind::UnionFind;

/// A pose as it was seen.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Seen {
    pub(crate) position: DVec3,
    pub(crate) orientation: DQuat,
    /// Scatter of one coordinate of the position, in metres; 0 where the module stays exactly there.
    pub(crate) position_m: f64,
    /// Scatter of the orientation, in radians; infinite where it tells nothing of body z.
    pub(crate) angle_rad: f64,
}

/// Poses as they were seen, with the hosts and holds that are known.
pub(crate) struct Nearest<'a> {
    pub(crate) problem: &'a Problem,
    /// Hosts and holds; positions where the iteration starts.
    pub(crate) near: &'a Configuration,
    pub(crate) seen: &'a [Seen],
    /// Pairs that touch: a module, and another or a ground.
    pub(crate) touching: &'a [(ModuleId, Body)],
}

/// A condition on centres: its value in metres, and its derivative by those that it depends on.
struct Condition {
    name: Name,
    value: f64,
    by: Vec<(ModuleId, DVec3)>,
    /// Whether the value must be zero; else it must not be negative.
    is_equal: bool,
}

/// What a condition is about, to know it again in the next step.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Name {
    Bond(ModuleId),
    Apart(ModuleId, Body),
    Edge(ModuleId, usize),
    Reach(ModuleId),
}

/// Most steps.
const STEPS: usize = 60;
/// Steps after which conditions no longer leave the active set, so that it settles.
const LEAVING_STEPS: usize = 40;
/// Conditions met within this are met, in metres: far below the tolerance of a bond.
const MET_M: f64 = 1e-10;
/// A step shorter than this is the last, in metres.
const LAST_STEP_M: f64 = 1e-10;
/// Conditions that are slack by more than this are not looked at in a step, in metres.
const NEAR_M: f64 = 0.01;
/// Weight that keeps the system regular where conditions repeat one another, in square metres.
const REGULAR: f64 = 1e-12;

impl Nearest<'_> {
    /// The nearest configuration; `None` where the conditions cannot be met near the poses.
    ///
    /// Complexity: cubic in the modules that stand on or near each other.
    pub(crate) fn find(&self) -> Option<Configuration> {
        let mut now: Vec<DVec3> = self.near.iter().map(|(_, place)| place.position).collect();
        for part in self.parts() {
            self.find_part(&part, &mut now)?;
        }
        self.seated(&now)
    }

    /// The modules in parts that have no condition in common: they do not stand on each other, and are not near.
    fn parts(&self) -> Vec<Vec<ModuleId>> {
        let mut joined: UnionFind<usize> = UnionFind::new(self.near.len());
        for (id, place) in self.near.iter() {
            if let Body::Module(host) = place.host {
                joined.union(id.index(), host.index());
            }
            let radius = self.problem.kind(id).shell_radius_m;
            for (other, beside) in self.near.iter().skip(id.index() + 1) {
                let far_m = radius + self.problem.kind(other).shell_radius_m + NEAR_M;
                if place.position.distance_squared(beside.position) < far_m * far_m {
                    joined.union(id.index(), other.index());
                }
            }
        }
        for (a, b) in self.touching {
            if let Body::Module(b) = b {
                joined.union(a.index(), b.index());
            }
        }
        let mut parts: IndexMap<usize, Vec<ModuleId>> = IndexMap::new();
        for id in self.problem.module_ids() {
            parts.entry(joined.find(id.index())).or_default().push(id);
        }
        parts.into_values().collect()
    }

    /// Moves the centres of a part to where the conditions are met.
    fn find_part(&self, part: &[ModuleId], now: &mut Vec<DVec3>) -> Option<()> {
        let mut active: Vec<Name> = Vec::new();
        for step in 0..STEPS {
            let all = self.conditions(now, part);
            let counts = |c: &&Condition| c.is_equal || c.value < -MET_M || active.contains(&c.name);
            let chosen: Vec<&Condition> = all.iter().filter(|c| !self.is_given(c)).filter(counts).collect();
            let (next, push) = self.step(now, part, &chosen)?;
            let moved = now.iter().zip(&next).map(|(a, b)| a.distance(*b)).fold(0.0, f64::max);
            let before = active.clone();
            let keeps = |push: f64| push >= 0.0 || step >= LEAVING_STEPS;
            let slack = chosen.iter().zip(push).filter(|(c, push)| !c.is_equal && keeps(*push));
            active = slack.map(|(c, _)| c.name).collect();
            *now = next;
            if moved < LAST_STEP_M && active == before {
                break;
            }
        }
        self.is_met(now, part).then_some(())
    }

    /// Whether a condition is between modules that stay where they are.
    fn is_given(&self, condition: &Condition) -> bool {
        condition.by.iter().all(|(module, _)| self.seen[module.index()].position_m <= 0.0)
    }

    fn is_met(&self, now: &[DVec3], part: &[ModuleId]) -> bool {
        let is_met = |c: &Condition| c.value > -10.0 * MET_M && (!c.is_equal || c.value < 10.0 * MET_M);
        self.conditions(now, part).iter().all(|c| is_met(c) || self.is_given(c))
    }

    /// Solves the quadratic programme of the linearised conditions, as equations: the next centres, and how hard each condition pushes.
    fn step(
        &self,
        now: &[DVec3],
        part: &[ModuleId],
        chosen: &[&Condition],
    ) -> Option<(Vec<DVec3>, Vec<f64>)> {
        // Modules that stay exactly where they are have no unknowns.
        let free: Vec<ModuleId> =
            part.iter().copied().filter(|m| self.seen[m.index()].position_m > 0.0).collect();
        let first = |module: ModuleId| free.binary_search(&module).ok().map(|place| 3 * place);
        let unknowns = 3 * free.len();
        let size = unknowns + chosen.len();
        let mut matrix = vec![vec![0.0; size]; size];
        let mut right = vec![0.0; size];
        let widest_m = part.iter().map(|m| self.seen[m.index()].position_m).fold(0.0, f64::max);
        let scale = widest_m.powi(2).max(REGULAR);
        for &id in part {
            let seen = &self.seen[id.index()];
            if let Some(own) = first(id) {
                let weight = scale / seen.position_m.powi(2);
                for axis in 0..3 {
                    matrix[own + axis][own + axis] += weight;
                    right[own + axis] += weight * (seen.position[axis] - now[id.index()][axis]);
                }
            }
            // The direction from the host is body z.
            let Body::Module(host) = self.near.get(id).host else { continue };
            if !seen.angle_rad.is_finite() {
                continue;
            }
            let distance = self.standing_m(id, host);
            let weight = scale / (seen.angle_rad.max(LEAST_ANGLE_RAD) * distance).powi(2);
            let off = seen.orientation * DVec3::Z * distance - (now[id.index()] - now[host.index()]);
            for (body, other, sign) in [(id, host, 1.0), (host, id, -1.0)] {
                let Some(own) = first(body) else { continue };
                for axis in 0..3 {
                    right[own + axis] += sign * weight * off[axis];
                    matrix[own + axis][own + axis] += weight;
                    if let Some(other) = first(other) {
                        matrix[own + axis][other + axis] -= weight;
                    }
                }
            }
        }
        for (row, condition) in (unknowns..).zip(chosen) {
            for (module, slope) in &condition.by {
                let Some(own) = first(*module) else { continue };
                for axis in 0..3 {
                    matrix[row][own + axis] += slope[axis];
                    matrix[own + axis][row] += slope[axis];
                }
            }
            matrix[row][row] = -REGULAR;
            right[row] = -condition.value;
        }
        let solution = solve_linear(&mut matrix, &mut right)?;
        let mut next = now.to_vec();
        for (module, shift) in free.iter().zip(solution[..unknowns].chunks_exact(3)) {
            next[module.index()] += DVec3::from_slice(shift);
        }
        // In the equations a condition pulls with its multiplier, so it pushes with its negative.
        Some((next, solution[unknowns..].iter().map(|pull| -pull).collect()))
    }

    fn standing_m(&self, module: ModuleId, host: ModuleId) -> f64 {
        self.problem.kind(module).standing_distance(self.problem.kind(host))
    }

    /// All conditions on a part that are not far from mattering.
    fn conditions(&self, now: &[DVec3], part: &[ModuleId]) -> Vec<Condition> {
        let mut found = Vec::new();
        for (at, &id) in part.iter().enumerate() {
            let host = self.near.get(id).host;
            self.push_bond(now, id, host, &mut found);
            for &other in &part[at + 1..] {
                if !self.near.bonded(id, other) {
                    self.push_apart(now, id, other, &mut found);
                }
            }
            for ground in self.problem.ground_ids().filter(|ground| host != Body::Ground(*ground)) {
                self.push_off_ground(now, id, ground, &mut found);
            }
            for stone in self.problem.stone_ids() {
                self.push_off_stone(now, id, stone, &mut found);
            }
        }
        found
    }

    fn push_bond(&self, now: &[DVec3], id: ModuleId, host: Body, found: &mut Vec<Condition>) {
        let (problem, here) = (self.problem, now[id.index()]);
        let kind = problem.kind(id);
        let name = Name::Bond(id);
        match host {
            Body::Ground(ground) => {
                let ground = problem.ground(ground);
                let plane = &ground.plane;
                let value = plane.above(here) - kind.ride_height_m;
                found.push(Condition { name, value, by: vec![(id, plane.normal)], is_equal: true });
                let sole = plane.coordinates(here);
                let inside = if ground.inset(here) >= 0.0 { 1.0 } else { -1.0 };
                for (index, (a, b)) in ground.edges().enumerate() {
                    let nearest = nearest_on_segment(sole, a, b);
                    let away = sole - nearest;
                    let value = inside * away.length() - kind.foot_radius_m;
                    if value < NEAR_M
                        && let Some(away) = away.try_normalize()
                    {
                        let by = vec![(id, plane.vector(away * inside))];
                        found.push(Condition { name: Name::Edge(id, index), value, by, is_equal: false });
                    }
                }
            }
            Body::Module(host) => {
                let apart = here - now[host.index()];
                let distance = self.standing_m(id, host);
                let Some(up) = apart.try_normalize() else { return };
                let by = vec![(id, up), (host, -up)];
                found.push(Condition { name, value: apart.length() - distance, by, is_equal: true });
                self.push_reach(now, id, host, up, distance, found);
            }
            Body::Stone(_) => {}
        }
    }

    /// The foot is within reach on its host's shell, as a length on the line between the centres.
    fn push_reach(
        &self,
        now: &[DVec3],
        id: ModuleId,
        host: ModuleId,
        up: DVec3,
        distance: f64,
        found: &mut Vec<Condition>,
    ) {
        let below = self.near.get(host).host;
        let (host_up, stand) = match below {
            Body::Ground(ground) => (self.problem.ground(ground).plane.normal, None),
            Body::Stone(_) => return,
            Body::Module(under) => {
                let Some(host_up) = (now[host.index()] - now[under.index()]).try_normalize() else { return };
                (host_up, Some((under, distance / self.standing_m(host, under))))
            }
        };
        let value = distance * (host_up.dot(up) - cos(self.problem.kind(host).shell_reach_rad));
        if value >= NEAR_M {
            return;
        }
        let mut by = vec![(id, host_up), (host, -host_up)];
        if let Some((under, ratio)) = stand {
            by.extend([(host, up * ratio), (under, -up * ratio)]);
        }
        found.push(Condition { name: Name::Reach(id), value, by, is_equal: false });
    }

    fn touches(&self, a: ModuleId, b: Body) -> bool {
        self.touching
            .iter()
            .any(|&pair| pair == (a, b) || Some(a) == pair.1.module() && b == Body::Module(pair.0))
    }

    fn push_apart(&self, now: &[DVec3], a: ModuleId, b: ModuleId, found: &mut Vec<Condition>) {
        let apart = now[a.index()] - now[b.index()];
        let radii = self.problem.kind(a).shell_radius_m + self.problem.kind(b).shell_radius_m;
        let (value, is_equal) = (apart.length() - radii, self.touches(a, Body::Module(b)));
        if (value < NEAR_M || is_equal)
            && let Some(normal) = apart.try_normalize()
        {
            let by = vec![(a, normal), (b, -normal)];
            found.push(Condition { name: Name::Apart(a, Body::Module(b)), value, by, is_equal });
        }
    }

    fn push_off_ground(
        &self,
        now: &[DVec3],
        id: ModuleId,
        ground: super::GroundId,
        found: &mut Vec<Condition>,
    ) {
        let here = now[id.index()];
        let radius = self.problem.kind(id).shell_radius_m;
        let is_equal = self.touches(id, Body::Ground(ground));
        if self.problem.ground(ground).plane.above(here) > radius + NEAR_M && !is_equal {
            return;
        }
        let away = here - self.problem.nearest_on_ground(ground, here);
        let value = away.length() - radius;
        if (value < NEAR_M || is_equal)
            && let Some(normal) = away.try_normalize()
        {
            let by = vec![(id, normal)];
            found.push(Condition { name: Name::Apart(id, Body::Ground(ground)), value, by, is_equal });
        }
    }

    fn push_off_stone(&self, now: &[DVec3], id: ModuleId, stone: StoneId, found: &mut Vec<Condition>) {
        let here = now[id.index()];
        let value = self.problem.distance_to_stone(stone, here) - self.problem.kind(id).shell_radius_m;
        let is_equal = self.touches(id, Body::Stone(stone));
        if (value < NEAR_M || is_equal)
            && let Some(normal) = (here - self.problem.stones[stone.index()].centre).try_normalize()
        {
            let by = vec![(id, normal)];
            found.push(Condition { name: Name::Apart(id, Body::Stone(stone)), value, by, is_equal });
        }
    }

    /// The configuration with these centres, each set exactly onto its host, roots first.
    fn seated(&self, now: &[DVec3]) -> Option<Configuration> {
        let mut there = self.near.clone();
        for &id in &BondForest::new(self.near).order {
            let (kind, seen) = (self.problem.kind(id), &self.seen[id.index()]);
            let own = *self.near.get(id);
            if seen.position_m <= 0.0 {
                continue;
            }
            let (position, up) = match own.host {
                Body::Ground(ground) => {
                    let plane = self.problem.ground(ground).plane;
                    (plane.raised(kind.ride_height_m).onto(now[id.index()]), plane.normal)
                }
                Body::Stone(_) => return None,
                Body::Module(host) => {
                    let below = there.get(host).position;
                    let up = (now[id.index()] - below).try_normalize()?;
                    (below + up * self.standing_m(id, host), up)
                }
            };
            let heading = seen.orientation * DVec3::X;
            let orientation =
                heading_frame(up, heading).or_else(|| heading_frame(up, seen.orientation * DVec3::Z))?;
            *there.get_mut(id) = Placement { position, orientation, ..own };
        }
        Some(there)
    }
}

/// An orientation is never taken as better known than this, in radians.
const LEAST_ANGLE_RAD: f64 = 1e-6;

fn nearest_on_segment(p: DVec2, a: DVec2, b: DVec2) -> DVec2 {
    let along = b - a;
    let share = (p - a).dot(along) / along.length_squared();
    a + along * share.clamp(0.0, 1.0)
}
