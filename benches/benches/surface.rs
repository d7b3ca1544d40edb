//! The accessible surface with adjacency, among clusters of touching shells and spread-out ones.

use clamber_benches::{Cluster, cluster};
use clamber_core::ModuleId;
use clamber_core::unstable::travel::Surface;
use divan::{Bencher, black_box};

fn main() {
    divan::main();
}

/// All faces, hop arcs, areas and the graph for one mover among others.
#[divan::bench(args = [7, 100, 1000], sample_count = 20)]
fn dense(bencher: Bencher<'_, '_>, others: usize) {
    whole(bencher, &cluster(others, 1.0));
}

/// The same with room between the shells: growth per module is near constant.
#[divan::bench(args = [7, 100, 1000], sample_count = 20)]
fn spread_out(bencher: Bencher<'_, '_>, others: usize) {
    whole(bencher, &cluster(others, 3.0));
}

/// One module has moved: only what is near it is built again.
#[divan::bench(args = [7, 100, 1000], sample_count = 20)]
fn after_one_move(bencher: Bencher<'_, '_>, others: usize) {
    let scene = cluster(others, 1.0);
    let (mover, moved) = (ModuleId(0), ModuleId::at(others));
    let mut surface = Surface::new(&scene.problem, &scene.there, mover);
    bencher.bench_local(|| surface.module_moved(black_box(&scene.problem), &scene.there, moved));
}

fn whole(bencher: Bencher<'_, '_>, scene: &Cluster) {
    let mover = ModuleId(0);
    assert!(Surface::new(&scene.problem, &scene.there, mover).area_m2() > 0.0);
    bencher.bench_local(|| {
        let surface = Surface::new(black_box(&scene.problem), &scene.there, mover);
        (surface.area_m2(), surface.graph().edge_count())
    });
}
