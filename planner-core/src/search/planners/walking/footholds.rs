//! Footholds: which strides lead from the start to the goal over the decks that there are. Loads and ways are not looked at here.

use super::machine::{End, Machine};
use crate::geometry::{Path, least_inset};
use crate::math::{DVec3, LeastFirst, atan2, tolerance};
use crate::model::{GroundId, Problem};
use indexmap::IndexSet;

/// Before a stride cranks lean back, and ends are ahead of their hosts by a multiple of this, in metres.
const STEP_M: f64 = 0.002;
/// The least of them, in shell radii.
const LEAST_RADII: f64 = 0.1;
/// Heights are one within this, in metres: planted modules stand alike to their hosts.
const SAME_HEIGHT_M: f64 = 1e-9;
/// Places of the hub nearer to each other than this are one, in metres.
const SAME_PLACE_M: f64 = 5e-4;
/// Number of bisections of the last stride.
const BISECTIONS: usize = 60;

/// Where the hub stands.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stand {
    /// How far it has come, in metres.
    pub(super) far_m: f64,
    pub(super) ground: GroundId,
}

/// One stride.
#[derive(Clone, Copy, Debug)]
pub(super) struct Foothold {
    pub(super) from: Stand,
    pub(super) to: Stand,
    /// So far its ends are ahead of their hosts when it begins, which lean back, and below them, in metres.
    pub(super) back_m: f64,
    pub(super) below_m: f64,
    pub(super) angle_rad: f64,
}

impl Foothold {
    /// What its load depends on, for one machine: to a tenth of a millimetre.
    pub(super) fn key(&self, problem: &Problem) -> [i64; 3] {
        let rise = problem.ground(self.to.ground).height_m() - problem.ground(self.from.ground).height_m();
        [self.back_m, self.below_m, rise].map(|v| (v * 1e4).round() as i64)
    }

    /// Which place of the hub it begins at, and with which crank.
    pub(super) fn place_key(&self) -> [i64; 2] {
        [(self.from.far_m / SAME_PLACE_M).round() as i64, (self.back_m * 1e4).round() as i64]
    }

    /// Where an end's centre is when it begins.
    pub(super) fn place_of(&self, problem: &Problem, machine: &Machine, end: &End) -> DVec3 {
        let side = aside_m(end, self.back_m, self.below_m) * end.side;
        host_at(problem, machine, end, self.from) + machine.ahead * self.back_m + machine.left * side
            - DVec3::Z * self.below_m
    }
}

/// How far an end is beside its host.
fn aside_m(end: &End, back_m: f64, below_m: f64) -> f64 {
    (end.standing_m * end.standing_m - back_m * back_m - below_m * below_m).max(0.0).sqrt()
}

/// Where an end's host is.
fn host_at(problem: &Problem, machine: &Machine, end: &End, stand: Stand) -> DVec3 {
    let foot = machine.foot_at(&problem.start, stand.far_m);
    let hub = problem.ground(stand.ground).stand(foot, problem.kind(machine.hub).ride_height_m);
    hub + machine.ahead * end.from_hub.x + machine.left * end.from_hub.y + DVec3::Z * end.from_hub.z
}

/// The search for strides.
pub(super) struct Footholds<'a> {
    pub(super) problem: &'a Problem,
    pub(super) machine: &'a Machine,
    /// How far the ends are ahead of their hosts at the start, if all are alike.
    pub(super) back_at_start_m: Option<f64>,
}

impl Footholds<'_> {
    /// The fewest strides to the goal of those that are allowed; `None` if there are none.
    pub(super) fn walk(&self, mut allows: impl FnMut(&Foothold) -> bool) -> Option<Vec<Foothold>> {
        let first = self.problem.start.get(self.machine.hub).host.ground()?;
        let most_m = 2.0 * (std::f64::consts::PI * self.machine.radius_m + self.longest_m());
        let mut open = LeastFirst::default();
        let mut closed: IndexSet<(i64, GroundId)> = IndexSet::new();
        // Each node: where the hub stands, the stride that leads there, and the node before.
        let mut nodes: Vec<(Stand, Option<Foothold>, usize)> =
            vec![(Stand { far_m: 0.0, ground: first }, None, 0)];
        open.push([0.0, 0.0], [0, 0], (0_usize, 0_u32));
        while let Some((node, strides)) = open.pop() {
            let (here, ..) = nodes[node];
            if !closed.insert(((here.far_m / SAME_PLACE_M).round() as i64, here.ground)) {
                continue;
            }
            if let Some(last) = self.last_stride(here, &mut allows) {
                let mut path = vec![last];
                let mut at = node;
                while let (_, Some(foothold), before) = nodes[at] {
                    path.push(foothold);
                    at = before;
                }
                path.reverse();
                return Some(path);
            }
            for foothold in self.strides(here, node == 0) {
                let left_m = self.machine.distance_m - foothold.to.far_m;
                let known = ((foothold.to.far_m / SAME_PLACE_M).round() as i64, foothold.to.ground);
                if left_m < 0.0 || closed.contains(&known) || !allows(&foothold) {
                    continue;
                }
                let total = f64::from(strides + 1) + left_m / most_m;
                let number = nodes.len() as u64;
                nodes.push((foothold.to, Some(foothold), node));
                open.push([total, left_m], [number, 0], (nodes.len() - 1, strides + 1));
            }
        }
        None
    }

    fn longest_m(&self) -> f64 {
        self.machine.ends.iter().map(|end| end.standing_m).fold(0.0, f64::max)
    }

    /// The strides from a place.
    fn strides(&self, from: Stand, is_start: bool) -> Vec<Foothold> {
        let mut found = Vec::new();
        let given = self.back_at_start_m.filter(|_| is_start);
        let least = LEAST_RADII * self.machine.radius_m;
        let steps = (self.longest_m() / STEP_M) as u32;
        let backs = (0..steps).map(|k| least + f64::from(k) * STEP_M);
        for back_m in given.into_iter().chain(backs) {
            for below_m in self.heights(from) {
                for ground in self.problem.ground_ids() {
                    found.extend(self.stride(from, back_m, below_m, ground));
                }
            }
        }
        // The longest first.
        found.sort_by(|a, b| b.to.far_m.total_cmp(&a.to.far_m));
        found
    }

    /// So far below their hosts ends may be.
    fn heights(&self, from: Stand) -> Vec<f64> {
        let Some(end) = self.machine.ends.first() else { return Vec::new() };
        let host = host_at(self.problem, self.machine, end, from);
        let mut found: Vec<f64> = Vec::new();
        for ground in self.problem.grounds.iter().filter(|ground| ground.plane.is_level()) {
            let below_m = host.z - ground.height_m() - self.machine.radius_m;
            if below_m > 0.0
                && below_m < end.standing_m
                && !found.iter().any(|known| (known - below_m).abs() < SAME_HEIGHT_M)
            {
                found.push(below_m);
            }
        }
        found
    }

    /// A stride onto a ground, if feet and ends find their places.
    fn stride(&self, from: Stand, back_m: f64, below_m: f64, ground: GroundId) -> Option<Foothold> {
        let (problem, machine) = (self.problem, self.machine);
        let onto = problem.ground(ground);
        let kind = problem.kind(machine.hub);
        let holds = onto.surfacing.ferrous && kind.magnet_force_n > 0.0;
        if !onto.plane.is_level() || holds {
            return None;
        }
        let after_m = below_m + onto.height_m() - problem.ground(from.ground).height_m();
        let squared = back_m * back_m + below_m * below_m - after_m * after_m;
        if squared <= 0.0 {
            return None;
        }
        let front_m = squared.sqrt();
        let angle_rad = atan2(front_m, after_m) + atan2(back_m, below_m);
        let rolled_m = machine.radius_m * angle_rad;
        let far_m = from.far_m + rolled_m + front_m + back_m;
        let stand = onto.stand(machine.foot_at(&problem.start, far_m), 0.0);
        if onto.inset(stand) < kind.foot_radius_m {
            return None;
        }
        let foothold = Foothold { from, to: Stand { far_m, ground }, back_m, below_m, angle_rad };
        let rolls = machine.ends.iter().all(|end| {
            let square = end.standing_m * end.standing_m - back_m * back_m - below_m * below_m;
            square > 0.0 && self.rolls_on(foothold.place_of(problem, machine, end), rolled_m)
        });
        rolls.then_some(foothold)
    }

    /// Whether a level ground is under the whole way of an end that rolls.
    fn rolls_on(&self, from: DVec3, rolled_m: f64) -> bool {
        let way = Path::Line { from, step: self.machine.ahead * rolled_m };
        self.problem.grounds.iter().any(|ground| {
            let smooth = ground.plane.is_level() && ground.surfacing.relief_m == 0.0;
            let off_m = ground.plane.above(from) - self.machine.radius_m;
            smooth
                && off_m.abs() < SAME_HEIGHT_M
                && least_inset(&way, &ground.outline, tolerance::LENGTH_M)
                    .is_none_or(|(inset_m, _)| inset_m >= tolerance::LENGTH_M)
        })
    }

    /// The stride that ends exactly at the goal.
    fn last_stride(&self, from: Stand, allows: &mut impl FnMut(&Foothold) -> bool) -> Option<Foothold> {
        let distance_m = self.machine.distance_m;
        for below_m in self.heights(from) {
            let rise =
                self.problem.ground(self.machine.to).height_m() - self.problem.ground(from.ground).height_m();
            let after_m = below_m + rise;
            let ends_at = |back_m: f64| -> Option<f64> {
                let squared = back_m * back_m + below_m * below_m - after_m * after_m;
                let front_m = if squared >= 0.0 { squared.sqrt() } else { return None };
                let angle_rad = atan2(front_m, after_m) + atan2(back_m, below_m);
                Some(from.far_m + self.machine.radius_m * angle_rad + front_m + back_m)
            };
            // Farther back leads farther on.
            let (mut low, mut high) = (0.0, self.longest_m());
            for _ in 0..BISECTIONS {
                let middle = 0.5 * (low + high);
                if ends_at(middle).is_none_or(|far_m| far_m < distance_m) {
                    low = middle;
                } else {
                    high = middle;
                }
            }
            let found = self.stride(from, high, below_m, self.machine.to);
            if let Some(foothold) = found
                && (foothold.to.far_m - distance_m).abs() < SAME_HEIGHT_M
                && allows(&foothold)
            {
                return Some(foothold);
            }
        }
        None
    }
}
