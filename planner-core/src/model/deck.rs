//! Decks: flat pieces of ground, steps, walls, slabs and roofs.

use crate::geometry::Prism;

/// A deck: a vertical prism. Feet stand and drive on its top, and no shell enters its solid.
#[derive(Clone, Debug, PartialEq)]
pub struct Deck {
    /// Its name in the scene.
    pub name: String,
    /// The solid, in the world frame.
    pub solid: Prism,
    /// Coefficient of friction at feet on it and at shells touching it.
    pub friction: f64,
    /// Whether magnets hold on it.
    pub ferrous: bool,
    /// Whether cups hold on it.
    pub sealable: bool,
}
