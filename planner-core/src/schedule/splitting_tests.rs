//! Splitting and joining slides.

use super::sequence::Made;
use super::splitting::{Cut, cut, joined};
use crate::model::ModuleId;
use crate::motion::Move;

fn slide(module: u16, travel_m: f64) -> Made {
    let action = Move::Slide { travel_m, curvature_per_m: 2.0 };
    Made { trip: usize::from(module), module: ModuleId(module), action }
}

fn ways_m(moves: &[Made]) -> Vec<(u16, f64)> {
    let way = |made: &Made| match made.action {
        Move::Slide { travel_m, .. } => Some((made.module.0, travel_m)),
        _ => None,
    };
    moves.iter().filter_map(way).collect()
}

/// Both drives of a conflict are split where they stand in the sequence, and joining the parts gives the whole again.
#[test]
fn cut_and_joined() {
    let moves = vec![slide(0, 0.4), slide(1, -0.2), slide(2, 0.3)];
    let parts = cut(&moves, &[Cut { early: (0, Some(0.25)), late: (2, Some(0.5)) }]);
    assert_eq!(ways_m(&parts), [(0, 0.1), (0, 0.4 * 0.75), (1, -0.2), (2, 0.15), (2, 0.15)]);
    let whole = joined(&parts, 3).and_then(|parts| joined(&parts, 0)).expect("both have parts");
    let same = |(a, b): (&Made, &Made)| (ways_m(&[*a])[0].1 - ways_m(&[*b])[0].1).abs() < 1e-15;
    assert!(whole.len() == 3 && whole.iter().zip(&moves).all(same));
    // Only one of the drives, and none.
    assert_eq!(cut(&moves, &[Cut { early: (1, None), late: (2, Some(0.5)) }]).len(), 4);
    assert_eq!(cut(&moves, &[Cut { early: (1, None), late: (2, None) }]).len(), 3);
}

/// Moves that are not two parts of one slide are not joined.
#[test]
fn different_slides_are_not_joined() {
    let other_trip = Made { trip: 5, ..slide(0, 0.1) };
    let straight = Made { action: Move::Slide { travel_m: 0.1, curvature_per_m: 0.0 }, ..slide(0, 0.1) };
    let yaw = Made { action: Move::Yaw { angle_rad: 1.0 }, ..slide(0, 0.1) };
    for next in [other_trip, straight, yaw, slide(0, -0.1), slide(1, 0.1)] {
        assert!(joined(&[slide(0, 0.3), next], 0).is_none(), "{next:?}");
    }
}
