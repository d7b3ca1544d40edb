//! A flat piece of ground, a step, a wall, a slab or a roof.

use crate::geometry::Prism;

/// A deck: a vertical prism whose top can be driven on and whose solid nothing enters.
#[derive(Clone, Debug, PartialEq)]
pub struct Deck {
    /// Its name in the scene.
    pub name: String,
    /// The solid.
    pub solid: Prism,
    /// Friction at feet on it and at shells touching it.
    pub friction: f64,
    /// Whether magnets hold on it.
    pub ferrous: bool,
    /// Whether cups hold on it.
    pub sealable: bool,
}
