//! Decks, and the grounds that they form.

use super::{DeckId, GroundId, Problem};
use crate::geometry::{JOINED_M, Outline, Prism};
use crate::math::{DVec2, DVec3};
use std::sync::Arc;

/// A deck: a vertical prism that no shell enters; a piece of ground, a step, a wall, a slab or a roof.
#[derive(Clone, Debug, PartialEq)]
pub struct Deck {
    /// Its name in the scene.
    pub name: String,
    /// The solid, in the world frame.
    pub solid: Prism,
    /// The ground that its top belongs to.
    pub ground: GroundId,
}

/// The surface of a deck: decks that differ in it are not one ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Surfacing {
    /// Coefficient of friction at feet on it and at shells touching it.
    pub friction: f64,
    /// Whether magnets hold on it.
    pub ferrous: bool,
    /// Whether cups hold on it.
    pub sealable: bool,
}

/// A ground: decks in one plane, of one surface, that overlap or meet. Feet stand and drive on their tops as on one.
#[derive(Clone, Debug, PartialEq)]
pub struct Ground {
    /// Its decks, in the order of the scene.
    pub decks: Vec<DeckId>,
    /// The area of their tops.
    pub outline: Arc<Outline>,
    /// Height of the plane: that of the first deck's top, in metres.
    pub top: f64,
    /// The highest bottom of its decks, in metres: no shell between this and the top passes under it.
    pub bottom: f64,
    /// Its surface.
    pub surfacing: Surfacing,
}

impl Ground {
    /// Signed distance in the plane from a point to the boundary of the tops' area, in metres, positive inside.
    #[must_use]
    pub fn inset(&self, p: DVec2) -> f64 {
        self.outline.inset(p)
    }

    /// The edges of that area as pairs of corners, with the area on their left.
    pub fn edges(&self) -> impl Iterator<Item = (DVec2, DVec2)> + '_ {
        self.outline.edges()
    }
}

/// Forms the grounds of decks, given with their surfaces in the order of the scene (section 3 of the model), and returns the decks with their ground.
/// Without `join`, every deck is a ground of its own.
///
/// Complexity: quadratic in the corners of all decks.
#[must_use]
pub fn grounds(decks: Vec<(String, Prism, Surfacing)>, join: bool) -> (Vec<Deck>, Vec<Ground>) {
    let mut ground_of: Vec<Option<GroundId>> = vec![None; decks.len()];
    let mut members: Vec<Vec<DeckId>> = Vec::new();
    for first in 0..decks.len() {
        if ground_of[first].is_some() {
            continue;
        }
        let id = GroundId::at(members.len());
        ground_of[first] = Some(id);
        let mut taken = vec![first];
        let mut next = 0;
        while let Some(&here) = taken.get(next).filter(|_| join) {
            next += 1;
            for other in first + 1..decks.len() {
                let like = decks[other].2 == decks[first].2
                    && (decks[other].1.top - decks[first].1.top).abs() <= JOINED_M;
                if ground_of[other].is_none() && like && decks[here].1.meets_from_above(&decks[other].1) {
                    ground_of[other] = Some(id);
                    taken.push(other);
                }
            }
        }
        taken.sort_unstable();
        members.push(taken.into_iter().map(DeckId::at).collect());
    }
    let grounds = members
        .into_iter()
        .map(|members| {
            let polygons: Vec<&[DVec2]> =
                members.iter().map(|deck| decks[deck.index()].1.outline.as_slice()).collect();
            let (_, solid, surfacing) = &decks[members[0].index()];
            let (outline, top, surfacing) = (Arc::new(Outline::of_all(&polygons)), solid.top, *surfacing);
            let bottoms = members.iter().map(|deck| decks[deck.index()].1.bottom);
            let bottom = bottoms.fold(f64::NEG_INFINITY, f64::max);
            Ground { outline, top, bottom, surfacing, decks: members }
        })
        .collect();
    let decks = decks.into_iter().zip(ground_of).map(|((name, solid, _), ground)| {
        // Every deck has a ground by now.
        Deck { name, solid, ground: ground.unwrap_or(GroundId(0)) }
    });
    (decks.collect(), grounds)
}

impl Problem {
    /// The decks of a ground.
    pub fn decks_of(&self, ground: GroundId) -> impl Iterator<Item = &Deck> + Clone {
        self.grounds[ground.index()].decks.iter().map(|deck| &self.decks[deck.index()])
    }

    /// The decks that do not belong to a ground.
    pub fn decks_off(&self, ground: Option<GroundId>) -> impl Iterator<Item = &Deck> + Clone {
        self.decks.iter().filter(move |deck| Some(deck.ground) != ground)
    }

    /// The point of a ground's solids nearest to `p`; `p` itself when it lies inside one.
    #[must_use]
    pub fn nearest_on_ground(&self, ground: GroundId, p: DVec3) -> DVec3 {
        let mut nearest = DVec3::INFINITY;
        for deck in self.decks_of(ground) {
            let point = deck.solid.nearest_point(p);
            if point.distance_squared(p) < nearest.distance_squared(p) {
                nearest = point;
            }
        }
        nearest
    }

    /// Distance from a point to a ground's solids in metres, zero inside.
    #[must_use]
    pub fn distance_to_ground(&self, ground: GroundId, p: DVec3) -> f64 {
        self.decks_of(ground).map(|deck| deck.solid.distance(p)).fold(f64::INFINITY, f64::min)
    }

    /// The deck of a ground on which a sole with its centre above `p` stands: the first whose outline holds the point, or is nearest to it.
    #[must_use]
    pub fn deck_at(&self, ground: GroundId, p: DVec2) -> DeckId {
        let decks = &self.grounds[ground.index()].decks;
        let [first, ..] = decks.as_slice() else { return DeckId(0) };
        if decks.len() == 1 {
            return *first;
        }
        let inset = |deck: &DeckId| self.decks[deck.index()].solid.inset(p);
        let holding = decks.iter().find(|deck| inset(deck) >= 0.0);
        let nearest = || decks.iter().max_by(|a, b| inset(a).total_cmp(&inset(b)));
        *holding.or_else(nearest).unwrap_or(first)
    }

    /// Whether a deck may be named as the host of a sole with its centre above `p`: it is the first of its ground whose outline holds the point, where
    /// within [`JOINED_M`] of an outline either answer is right. Beside all of them any may be named.
    #[must_use]
    pub fn is_deck_below(&self, deck: DeckId, p: DVec2) -> bool {
        let inset = |deck: DeckId| self.decks[deck.index()].solid.inset(p);
        let decks = &self.ground(self.decks[deck.index()].ground).decks;
        let mut listed_before = decks.iter().take_while(|other| **other != deck);
        let is_first = inset(deck) >= -JOINED_M && listed_before.all(|other| inset(*other) <= JOINED_M);
        is_first || decks.iter().all(|other| inset(*other) < -JOINED_M)
    }
}
