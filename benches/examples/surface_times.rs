//! Surfaces of one mover among equal shells, for `surface_against_freesasa.py`: reads crews as JSON from standard input, writes areas
//! and processor times.

use clamber_benches::cluster_at;
use clamber_core::unstable::travel::Surface;
use clamber_core::{DVec3, ModuleId};
use std::io::Read;
use std::time::Instant;

/// Rounds of one crew; the fastest counts.
const ROUNDS: usize = 15;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut text = String::new();
    std::io::stdin().read_to_string(&mut text)?;
    let crews: Vec<Vec<[f64; 3]>> = serde_json::from_str(&text)?;
    for crew in crews {
        let scene = cluster_at(crew.iter().map(|&c| DVec3::from_array(c)).collect());
        let mut fastest_s = f64::INFINITY;
        let (mut area_m2, mut hop_arcs) = (0.0, 0);
        for _ in 0..ROUNDS {
            let begun = Instant::now();
            let surface = Surface::new(&scene.problem, &scene.there, ModuleId(0));
            (area_m2, hop_arcs) = (surface.area_m2(), surface.graph().edge_count());
            fastest_s = fastest_s.min(begun.elapsed().as_secs_f64());
        }
        println!(
            "{}",
            serde_json::json!({ "area_m2": area_m2, "hop_arcs": hop_arcs, "fastest_s": fastest_s })
        );
    }
    Ok(())
}
