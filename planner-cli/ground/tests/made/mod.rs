//! Made-up ground of known shape: flat pieces with borders that are polygons or half-planes, balls in it, and noise from a seed.

#![allow(dead_code, unreachable_pub, reason = "each test uses a part of it")]

use glam::{DVec2, DVec3};
use rand_core::{Rng, SeedableRng};
use rand_pcg::Pcg64;
use std::f64::consts::TAU;
use std::fmt::Write;

/// Random numbers from a seed.
pub struct Random(Pcg64);

impl Random {
    pub fn new(seed: u64) -> Self {
        Self(Pcg64::seed_from_u64(seed))
    }

    /// Evenly between 0 and 1.
    pub fn unit(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Normally distributed, by the method of Box and Muller.
    pub fn normal(&mut self) -> f64 {
        (-2.0 * (1.0 - self.unit()).ln()).sqrt() * (TAU * self.unit()).cos()
    }
}

/// A ball that lies on the ground or partly in it.
#[derive(Clone, Copy)]
pub struct Boulder {
    pub centre: DVec3,
    pub radius: f64,
}

impl Boulder {
    /// The height of its top at a place, if it is above the ground there.
    pub fn top(&self, p: DVec2) -> f64 {
        let squared = self.radius * self.radius - p.distance_squared(self.centre.truncate());
        if squared > 0.0 { self.centre.z + squared.sqrt() } else { f64::NEG_INFINITY }
    }
}

/// A height grid as an ESRI ASCII file, with heights to 0.1 mm; NaN is no data.
pub fn ascii_grid(
    low: DVec2,
    columns: usize,
    rows: usize,
    cell: f64,
    mut height: impl FnMut(DVec2) -> f64,
) -> String {
    let mut text = format!(
        "ncols {columns}\nnrows {rows}\nxllcorner {}\nyllcorner {}\ncellsize {cell}\nNODATA_value -9999\n",
        low.x, low.y
    );
    for row in (0..rows).rev() {
        let words: Vec<String> = (0..columns)
            .map(|column| {
                let z = height(low + (DVec2::new(column as f64, row as f64) + 0.5) * cell);
                if z.is_nan() { "-9999".into() } else { format!("{z:.4}") }
            })
            .collect();
        let _ = writeln!(text, "{}", words.join(" "));
    }
    text
}

/// A triangle mesh as a binary STL file. Coordinates are single precision, as the format has it.
pub fn binary_stl(triangles: &[[DVec3; 3]]) -> Vec<u8> {
    let mut bytes = vec![0; 80];
    bytes.extend((triangles.len() as u32).to_le_bytes());
    for triangle in triangles {
        bytes.extend([0; 12]);
        for corner in triangle {
            for value in corner.to_array() {
                bytes.extend((value as f32).to_le_bytes());
            }
        }
        bytes.extend([0; 2]);
    }
    bytes
}

/// The lane: a made-up floor of a storm-drain culvert, 2.4 m by 1 m. An invert, a bench along one side, a ramp of 8° to a higher floor, three
/// boulders, a heap of rubble, and a drain that nobody could survey.
pub mod lane {
    use super::{Boulder, Random, ascii_grid};
    use glam::{DVec2, DVec3};

    pub const CELL: f64 = 0.02;
    pub const LOW: DVec2 = DVec2::new(-1.2, -0.5);
    pub const RAMP_DEG: f64 = 8.0;
    pub const RAMP: [f64; 2] = [0.2, 0.8];
    pub const BENCH: f64 = 0.06;
    pub const NOISE: f64 = 0.0004;

    pub fn boulders() -> [Boulder; 3] {
        [
            Boulder { centre: DVec3::new(-0.3, 0.02, 0.03), radius: 0.09 },
            Boulder { centre: DVec3::new(-0.75, -0.3, 0.02), radius: 0.08 },
            Boulder { centre: DVec3::new(1.0, 0.3, 0.11), radius: 0.07 },
        ]
    }

    /// The flat parts alone.
    pub fn floor(p: DVec2) -> f64 {
        if p.x < RAMP[0] && p.y > 0.3 {
            return BENCH;
        }
        (p.x.clamp(RAMP[0], RAMP[1]) - RAMP[0]) * RAMP_DEG.to_radians().tan()
    }

    pub fn file() -> String {
        let mut random = Random::new(7);
        let rubble: Vec<Boulder> = (0..9)
            .map(|_| {
                let radius = random.between(0.02, 0.04);
                let at = DVec2::new(random.between(0.92, 1.12), random.between(-0.42, -0.28));
                Boulder { centre: at.extend(0.085 + 0.3 * radius), radius }
            })
            .collect();
        ascii_grid(LOW, 120, 50, CELL, |p| {
            let drain = (p - DVec2::new(-1.0, 0.05)).abs().max_element() < 0.05;
            let tops =
                boulders().iter().chain(&rubble).map(|boulder| boulder.top(p)).fold(floor(p), f64::max);
            if drain { f64::NAN } else { tops + NOISE * random.normal() }
        })
    }
}
