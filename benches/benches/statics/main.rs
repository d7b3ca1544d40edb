//! Load checks of one configuration, and certificates of one move.

mod clarabel_reference;

use clamber_benches::{LoadScene, Scene};
use clamber_core::unstable::model::touches;
use clamber_core::unstable::motion::apply;
use clamber_core::unstable::motion::{Stretch, load_at_rest};
use clamber_core::unstable::statics::{LoadCase, WarmStart};
use clamber_core::{Body, Configuration, Interrupt, ModuleId, Move, Problem};
use divan::{Bencher, black_box};

fn main() {
    divan::main();
}

/// Build the case and find the worst of nine directions; nothing touches.
#[divan::bench]
fn determinate_build_and_worst(bencher: Bencher<'_, '_>) {
    let Scene { problem, there } = LoadScene::SevenDeterminate.scene();
    assert!(LoadCase::new(&problem, &there, Vec::new()).worst().value > 0.0);
    bencher.bench_local(|| LoadCase::new(black_box(&problem), black_box(&there), Vec::new()).worst());
}

/// The worst of nine directions alone.
#[divan::bench]
fn determinate_worst(bencher: Bencher<'_, '_>) {
    let Scene { problem, there } = LoadScene::SevenDeterminate.scene();
    let case = LoadCase::new(&problem, &there, Vec::new());
    bencher.bench_local(|| black_box(&case).worst());
}

/// Find the touches, build the case and answer yes or no.
#[divan::bench]
fn at_rest_carries(bencher: Bencher<'_, '_>) {
    let Scene { problem, there } = LoadScene::SixTouches.scene();
    let limit = problem.limits.utilisation();
    bencher.bench_local(|| load_at_rest(black_box(&problem), black_box(&there)).carries(limit));
}

/// Yes or no for all nine directions with six touches.
#[divan::bench]
fn six_touches_carries(bencher: Bencher<'_, '_>) {
    let (problem, case) = six_touches();
    let limit = problem.limits.utilisation();
    assert!(case.carries(limit));
    // Without touches it would not: the programme has to be solved.
    let bare = LoadCase::new(&problem, &problem.start, Vec::new());
    assert!(!bare.carries(limit));
    bencher.bench_local(|| black_box(&case).carries(limit));
}

/// The exact least utilisation in all nine directions with six touches.
#[divan::bench]
fn six_touches_worst(bencher: Bencher<'_, '_>) {
    let (_, case) = six_touches();
    bencher.bench_local(|| black_box(&case).worst());
}

/// The same nine programmes by Clarabel, put together and solved: what a general solver would cost. Programmes are tiny and there are millions of
/// them, and nearly all ask for a yes or no (`six_touches_carries`), where the library's own solver stops as soon as that is known.
#[divan::bench]
fn six_touches_worst_by_clarabel(bencher: Bencher<'_, '_>) {
    let (problem, case) = six_touches();
    for (direction, gravity) in case.gravity.into_iter().enumerate() {
        let (own, found) =
            (case.utilisation(direction).value, clarabel_reference::utilisation(&problem, &case, gravity));
        assert!((own - found).abs() < 1e-6, "direction {direction}: {own} here, {found} by Clarabel");
    }
    bencher.bench_local(|| {
        let each = |&gravity| clarabel_reference::utilisation(&problem, black_box(&case), gravity);
        case.gravity.iter().map(each).fold(0.0, f64::max)
    });
}

fn six_touches() -> (Problem, LoadCase) {
    let Scene { problem, there } = LoadScene::SixTouches.scene();
    let case = LoadCase::new(&problem, &there, touches(&problem, &there));
    (problem, case)
}

/// Somebody on top of a pyramid that touches in six places drives 20 mm over its host's shell: the crew before and after.
fn one_slide() -> (Problem, Configuration, ModuleId, Move, Configuration) {
    let Scene { problem, there } = LoadScene::SixTouches.scene();
    let (mover, action) = (ModuleId(4), Move::Slide { travel_m: -0.02, curvature_per_m: 3.0 });
    assert_eq!(there.get(mover).host, Body::Module(ModuleId(3)));
    let after = apply(&problem, &there, mover, &action).expect("it is rolling");
    (problem, there, mover, action, after)
}

/// Whether one slide carries its load at every instant.
#[divan::bench]
fn slide_carries(bencher: Bencher<'_, '_>) {
    let (problem, before, mover, action, after) = one_slide();
    let limit = problem.limits.utilisation();
    let stretch = Stretch::of_move(&problem, &before, mover, &action, &after);
    assert!(
        stretch.carries(limit, &mut WarmStart::default(), Interrupt::NEVER).expect("it is never stopped")
    );
    bencher.bench_local(|| black_box(&stretch).carries(limit, &mut WarmStart::default(), Interrupt::NEVER));
}

/// Its exact worst utilisation.
#[divan::bench]
fn slide_worst_utilisation(bencher: Bencher<'_, '_>) {
    let (problem, before, mover, action, after) = one_slide();
    let stretch = Stretch::of_move(&problem, &before, mover, &action, &after);
    bencher.bench_local(|| {
        black_box(&stretch).worst_utilisation(Interrupt::NEVER).expect("it is never stopped")
    });
}

/// Its gaps.
#[divan::bench]
fn slide_is_clear(bencher: Bencher<'_, '_>) {
    let (problem, before, mover, action, after) = one_slide();
    let stretch = Stretch::of_move(&problem, &before, mover, &action, &after);
    assert!(stretch.is_clear());
    bencher.bench_local(|| black_box(&stretch).is_clear());
}
