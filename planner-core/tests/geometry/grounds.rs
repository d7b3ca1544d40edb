//! Which decks are one ground: section 3 of the model page.

use crate::support::{Laid, assert_near, bare_ground, block, cobble, empty};
use clamber_core::unstable::model::grounds;
use clamber_core::{DVec2, DVec3, DeckId, GroundId, Surfacing};

/// A deck of one metre square, its low corner at (x, 0).
fn square(x: f64, top: f64) -> Laid {
    block("deck", [x, 0.0], [x + 1.0, 1.0], -1.0, top, 0.7)
}

/// The ground of each deck.
fn numbers(decks: Vec<Laid>) -> Vec<u16> {
    grounds(decks, true).0.iter().map(|deck| deck.ground.0).collect()
}

#[test]
fn a_micrometre_apart_in_the_plane() {
    assert_eq!(numbers(vec![square(0.0, 0.0), square(1.0, 0.0)]), [0, 0]);
    assert_eq!(numbers(vec![square(0.0, 0.0), square(1.0 + 0.9e-6, 0.0)]), [0, 0]);
    assert_eq!(numbers(vec![square(0.0, 0.0), square(1.0 + 1.1e-6, 0.0)]), [0, 1]);
    // Overlapping, and one inside the other.
    assert_eq!(numbers(vec![square(0.0, 0.0), square(0.5, 0.0)]), [0, 0]);
    let inside = block("deck", [0.2, 0.2], [0.4, 0.4], -1.0, 0.0, 0.7);
    assert_eq!(numbers(vec![inside.clone(), square(0.0, 0.0)]), [0, 0]);
    // A corner is enough.
    assert_eq!(
        numbers(vec![square(0.0, 0.0), block("deck", [1.0, 1.0], [2.0, 2.0], -1.0, 0.0, 0.7)]),
        [0, 0]
    );
}

/// Heights are compared with the first listed deck, not from neighbour to neighbour.
#[test]
fn a_micrometre_apart_in_height() {
    assert_eq!(numbers(vec![square(0.0, 0.0), square(1.0, 0.9e-6)]), [0, 0]);
    assert_eq!(numbers(vec![square(0.0, 0.0), square(1.0, 1.1e-6)]), [0, 1]);
    assert_eq!(numbers(vec![square(0.0, 0.0), square(1.0, 0.8e-6), square(2.0, 1.6e-6)]), [0, 0, 1]);
    assert_eq!(numbers(vec![square(1.0, 0.8e-6), square(0.0, 0.0), square(2.0, 1.6e-6)]), [0, 0, 0]);
}

/// What hangs together only through a deck listed later is still one; a deck in another plane joins nothing.
#[test]
fn through_others() {
    assert_eq!(numbers(vec![square(0.0, 0.0), square(2.0, 0.0), square(1.0, 0.0)]), [0, 0, 0]);
    assert_eq!(numbers(vec![square(0.0, 0.0), square(2.0, 0.0), square(1.0, 0.1)]), [0, 1, 2]);
}

#[test]
fn surfaces_have_to_be_alike() {
    let (name, solid, surfacing) = square(1.0, 0.0);
    for other in [
        Surfacing { friction: 0.6, ..surfacing },
        Surfacing { ferrous: true, ..surfacing },
        Surfacing { sealable: true, ..surfacing },
    ] {
        assert_eq!(
            numbers(vec![square(0.0, 0.0), (name.clone(), solid.clone(), other)]),
            [0, 1],
            "{other:?}"
        );
    }
}

/// Bottoms differ, the ground is one: its solid is that of both.
#[test]
fn the_solids_of_a_ground() {
    let slab = block("slab", [0.0, 0.0], [1.0, 1.0], -0.1, 0.0, 0.7);
    let problem = empty(vec![cobble()], vec![slab, square(1.0, 0.0)]);
    assert_eq!(problem.grounds.len(), 1);
    let ground = GroundId(0);
    assert_near(problem.distance_to_ground(ground, DVec3::new(0.5, 0.5, 0.3)), 0.3, 1e-12);
    // Under the slab, 0.2 m below it and 0.15 m beside the other.
    assert_near(problem.distance_to_ground(ground, DVec3::new(0.85, 0.5, -0.3)), 0.15, 1e-12);
    assert_near(problem.nearest_on_ground(ground, DVec3::new(0.3, 0.5, -0.3)).z, -0.1, 1e-12);
    // The host is the first listed deck that holds the point.
    assert_eq!(problem.deck_at(ground, DVec2::new(0.4, 0.5)), DeckId(0));
    assert_eq!(problem.deck_at(ground, DVec2::new(1.4, 0.5)), DeckId(1));
    assert!(problem.ground(ground).inset(DVec3::new(1.0, 0.5, 0.0)) > 0.499_999);
}

/// In the first edition every deck is a ground of its own.
#[test]
fn nothing_joins_in_the_first_edition() {
    let decks = vec![square(0.0, 0.0), square(1.0, 0.0), bare_ground(0.7)];
    let apart: Vec<u16> = grounds(decks, false).0.iter().map(|deck| deck.ground.0).collect();
    assert_eq!(apart, [0, 1, 2]);
}
