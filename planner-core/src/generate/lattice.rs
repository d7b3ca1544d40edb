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
    let row = DVec3::new(0.5, 0.75_f64.sqrt(), 0.0) * touching;
    let lattice = Lattice { steps: [DVec3::X * touching, row], up: step_up(standing, x, y), far: [0, 0] };
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

/// Distances of two centres, in metres: shells that touch, and a ball from its host.
fn distances(kind: &KindEntry) -> (f64, f64) {
    (2.0 * kind.shell_radius_m, kind.shell_radius_m + kind.ride_height_m)
}

/// A step of this length with these parts along x and y.
fn step_up(length: f64, x: f64, y: f64) -> DVec3 {
    DVec3::new(x, y, (length * length - x * x - y * y).sqrt())
}
