//! Shapes of balls that touch: lattices of one kind of module.
//!
//! Neighbours in a layer touch: their centres are two radii apart. Where the kind has ride clearance, a ball stands a little farther from its host
//! than from a ball that it touches. Hosts change sides from layer to layer, which keeps every chain of bonds upright.

use crate::math::DVec3;
use crate::scene::KindEntry;
use std::collections::BTreeMap;

/// A ball of a shape.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Ball {
    /// Its centre in metres; balls on the ground are at height 0.
    pub(super) at: DVec3,
    /// The ball that it stands on, which comes before it; none is the ground.
    pub(super) on: Option<usize>,
}

/// A pile of four: three in a triangle, and one on the pocket between them.
pub(super) fn pile(kind: &KindEntry) -> Vec<Ball> {
    let (touching, standing) = distances(kind);
    // As far from the second ball as from the third, and two radii.
    let x = 0.5 * standing * standing / touching;
    let y = x / 3.0_f64.sqrt();
    let steps = [DVec3::X * touching, hexagonal_row() * touching];
    let lattice = Lattice { steps, up: step_up(standing, x, y), far: [0, 0] };
    lattice.balls([2, 2, 2], |[i, j, layer]| i + j + layer < 2)
}

/// A square pyramid of so many layers. A ball touches the ball across from its host, and is as far from one of the other two below it as from the other.
pub(super) fn pyramid(kind: &KindEntry, layers: usize) -> Vec<Ball> {
    let (touching, standing) = distances(kind);
    let x = 0.5 * touching + 0.25 * (standing * standing / touching - touching);
    let steps = [DVec3::X * touching, DVec3::Y * touching];
    let lattice = Lattice { steps, up: step_up(standing, x, x), far: [1, 1] };
    lattice.balls([layers; 3], |[i, j, layer]| i.max(j) + layer < layers)
}

/// Number of balls of a square pyramid.
pub(super) const fn pyramid_size(layers: usize) -> usize {
    layers * (layers + 1) * (2 * layers + 1) / 6
}

/// A wall in so many layers, as long as this at its foot: a ball of a higher layer lies in the saddle of two below it.
pub(super) fn wall(kind: &KindEntry, foot: usize, layers: usize) -> Vec<Ball> {
    let (touching, standing) = distances(kind);
    let up = step_up(standing, 0.5 * standing * standing / touching, 0.0);
    let lattice = Lattice { steps: [DVec3::X * touching, DVec3::ZERO], up, far: [1, 0] };
    lattice.balls([foot, 1, layers], |[i, _, layer]| i + layer < foot)
}

/// Number of balls of a wall.
pub(super) const fn wall_size(foot: usize, layers: usize) -> usize {
    layers * foot - layers * (layers - 1) / 2
}

/// A round raft: this many balls side by side on the ground, the nearest to one in the middle, the inner ones first.
pub(super) fn raft(kind: &KindEntry, count: usize) -> Vec<Ball> {
    let (touching, _) = distances(kind);
    // The circle of so many balls has a radius of 0.53 √count; a rhombus around it has 0.61 √count rows on either side.
    let rings = (0.4 * count as f64).sqrt() as usize + 2;
    let lattice =
        Lattice { steps: [DVec3::X * touching, hexagonal_row() * touching], up: DVec3::Z, far: [0, 0] };
    let side = 2 * rings + 1;
    let mut balls = lattice.balls([side, side, 1], |_| true);
    let middle = (lattice.steps[0] + lattice.steps[1]) * rings as f64;
    for ball in &mut balls {
        ball.at -= middle;
    }
    // In whole thousandths of a ball, so that rounding does not decide between equal distances.
    let away = |ball: &Ball| (ball.at.length() / touching * 1e3).round();
    balls.sort_by(|a, b| away(a).total_cmp(&away(b)));
    balls.truncate(count);
    balls
}

/// An arch of two equal arms that lean on each other at the top, each of so many balls: the shape in which their own weight presses them together
/// without bending, a chain of equal weights upside down.
pub(super) fn arch(kind: &KindEntry, arm: usize) -> Vec<Ball> {
    let (touching, standing) = distances(kind);
    let mut half = vec![DVec3::ZERO];
    for above in (1..arm).rev() {
        let way = DVec3::new(THRUST * arm as f64, 0.0, above as f64).normalize();
        half.push(half[half.len() - 1] + way * standing);
    }
    let crown = half[arm - 1].x + 0.5 * touching;
    let pair = |(height, at): (usize, DVec3)| {
        [1.0, -1.0].into_iter().enumerate().map(move |(side, sign)| Ball {
            at: DVec3::new(sign * (at.x - crown), 0.0, at.z),
            on: height.checked_sub(1).map(|below: usize| 2 * below + side),
        })
    };
    half.into_iter().enumerate().flat_map(pair).collect()
}

/// The thrust of an arch, compared with the weight of an arm.
const THRUST: f64 = 0.3;

/// A lattice of balls in layers.
struct Lattice {
    /// From a ball to its neighbours in the layer.
    steps: [DVec3; 2],
    /// From a host to the ball on it.
    up: DVec3,
    /// How many steps farther the host is in every second layer, where the ball lies on the other side of it.
    far: [usize; 2],
}

impl Lattice {
    /// The balls whose numbers along both steps and upwards are inside, layer by layer.
    fn balls(&self, counts: [usize; 3], inside: impl Fn([usize; 3]) -> bool) -> Vec<Ball> {
        let [along, across, layers] = counts;
        let mut balls: Vec<Ball> = Vec::new();
        let mut places: BTreeMap<[usize; 3], usize> = BTreeMap::new();
        for layer in 0..layers {
            for [i, j] in (0..across).flat_map(|j| (0..along).map(move |i| [i, j])) {
                if !inside([i, j, layer]) {
                    continue;
                }
                let host = self.host([i, j, layer]).and_then(|numbers| places.get(&numbers).copied());
                let at = match host {
                    Some(host) => balls[host].at + self.step(layer),
                    None => self.steps[0] * i as f64 + self.steps[1] * j as f64,
                };
                places.insert([i, j, layer], balls.len());
                balls.push(Ball { at, on: host });
            }
        }
        balls
    }

    /// The numbers of a ball's host.
    fn host(&self, [i, j, layer]: [usize; 3]) -> Option<[usize; 3]> {
        let below = layer.checked_sub(1)?;
        let [x, y] = if below % 2 == 0 { [0, 0] } else { self.far };
        Some([i + x, j + y, below])
    }

    /// From a host to a ball of this layer.
    fn step(&self, layer: usize) -> DVec3 {
        let side = if layer % 2 == 1 { 1.0 } else { -1.0 };
        DVec3::new(side * self.up.x, side * self.up.y, self.up.z)
    }
}

/// From a ball to its neighbour in the next row of a layer in which every ball has six, in balls.
fn hexagonal_row() -> DVec3 {
    DVec3::new(0.5, 0.75_f64.sqrt(), 0.0)
}

/// Distances of two centres, in metres: shells that touch, and a ball from its host.
fn distances(kind: &KindEntry) -> (f64, f64) {
    (2.0 * kind.shell_radius_m, kind.shell_radius_m + kind.ride_height_m)
}

/// A step of this length with these parts along x and y.
fn step_up(length: f64, x: f64, y: f64) -> DVec3 {
    DVec3::new(x, y, (length * length - x * x - y * y).sqrt())
}
