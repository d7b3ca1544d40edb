//! Decks, the grounds that they form, and stones.

use super::{Brink, DeckId, GroundId, Problem};
use crate::geometry::{JOINED_M, Outline, Path, Prism, Slope};
use crate::math::{DVec2, DVec3, Memo};
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
    /// How far the real surface lies above or below the plane, in metres.
    pub relief_m: f64,
    /// How much the facets of the real surface are tilted against the plane, in radians.
    pub tilt_rad: f64,
}

impl Surfacing {
    /// Smooth ground on which only weight and friction hold.
    #[must_use]
    pub const fn bare(friction: f64) -> Self {
        Self { friction, ferrous: false, sealable: false, relief_m: 0.0, tilt_rad: 0.0 }
    }

    /// Whether the real surface is not the plane.
    #[must_use]
    pub const fn is_rough(&self) -> bool {
        self.relief_m > 0.0 || self.tilt_rad > 0.0
    }

    /// How much more a shell keeps from a rough deck, with its centre at a height above the deck's plane, in metres.
    #[must_use]
    pub fn beyond_m(&self, above_m: f64) -> f64 {
        self.relief_m + above_m.max(0.0) * crate::math::sin(self.tilt_rad)
    }
}

/// A stone: a fixed ball that shells may touch and no foot stands on.
#[derive(Clone, Debug, PartialEq)]
pub struct Stone {
    /// Its name in the scene.
    pub name: String,
    /// Its centre in the world frame, in metres.
    pub centre: DVec3,
    /// Its radius, in metres.
    pub radius_m: f64,
    /// Coefficient of friction at shells touching it.
    pub friction: f64,
}

/// A ground: decks in one plane, of one surface, that overlap or meet. Feet stand and drive on their tops as on one.
#[derive(Clone, Debug, PartialEq)]
pub struct Ground {
    /// Its decks, in the order of the scene.
    pub decks: Vec<DeckId>,
    /// The plane: that of the first deck's top.
    pub plane: Slope,
    /// The area of their tops, in the plane's coordinates.
    pub outline: Arc<Outline>,
    /// The highest bottom of its decks, in metres: no shell between this and the top passes under it.
    pub bottom: f64,
    /// Its surface.
    pub surfacing: Surfacing,
    /// Grounds between which some module of the crew might cross have the same number.
    pub region: u16,
    /// The pieces of its outline over which feet could cross to other grounds, whatever the heights.
    pub(crate) brinks: Vec<Brink>,
    /// What was worked out about it and the decks around it. Where decks change, they are formed into grounds anew, so it never grows stale.
    pub(crate) memo: Memo,
}

impl Ground {
    /// Height of a level ground, in metres; of a sloped one the height of its plane over the world's origin.
    #[must_use]
    pub const fn height_m(&self) -> f64 {
        self.plane.origin.z
    }

    /// Signed distance in the plane from a point's foot to the boundary of the tops' area, in metres, positive inside.
    #[must_use]
    pub fn inset(&self, p: DVec3) -> f64 {
        self.outline.inset(self.plane.coordinates(p))
    }

    /// How much more than from a smooth ground a shell keeps from it whose centre goes along a path: the most on the way, in metres.
    #[must_use]
    pub fn beyond_m(&self, path: &Path) -> f64 {
        if !self.surfacing.is_rough() {
            return 0.0;
        }
        let highest = path.greatest_along(self.plane.normal) - self.plane.origin.dot(self.plane.normal);
        self.surfacing.beyond_m(highest)
    }

    /// The edges of that area as pairs of corners in the plane's coordinates, with the area on their left.
    pub fn edges(&self) -> impl Iterator<Item = (DVec2, DVec2)> + '_ {
        self.outline.edges()
    }

    /// The centre of a shell that rides at a height over the point of the plane straight above or below `at`.
    #[must_use]
    pub fn stand(&self, at: DVec2, ride_height_m: f64) -> DVec3 {
        if self.plane.is_level() {
            at.extend(self.plane.origin.z + ride_height_m)
        } else {
            self.plane.under(at) + self.plane.normal * ride_height_m
        }
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
                let like = decks[other].2 == decks[first].2 && in_one_plane(&decks[first].1, &decks[other].1);
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
            let (_, solid, surfacing) = &decks[members[0].index()];
            let (plane, surfacing) = (solid.top, *surfacing);
            let in_plane = |deck: &DeckId| -> Vec<DVec2> {
                let corners = decks[deck.index()].1.outline.iter();
                corners.map(|&corner| plane.coordinates(plane.under(corner))).collect()
            };
            let polygons: Vec<Vec<DVec2>> = members.iter().map(in_plane).collect();
            let polygons: Vec<&[DVec2]> = polygons.iter().map(Vec::as_slice).collect();
            let outline = Arc::new(Outline::of_all(&polygons));
            let bottoms = members.iter().map(|deck| decks[deck.index()].1.bottom);
            let bottom = bottoms.fold(f64::NEG_INFINITY, f64::max);
            (plane, outline, bottom, surfacing, members)
        })
        .zip(0..)
        .map(|((plane, outline, bottom, surfacing, decks), region)| Ground {
            plane,
            outline,
            bottom,
            surfacing,
            decks,
            region,
            brinks: Vec::new(),
            memo: Memo::default(),
        })
        .collect();
    let decks = decks.into_iter().zip(ground_of).map(|((name, solid, _), ground)| {
        // Every deck has a ground by now.
        Deck { name, solid, ground: ground.unwrap_or(GroundId(0)) }
    });
    (decks.collect(), grounds)
}

/// Whether the top of a deck lies in the plane of the first deck of a ground, by heights and normals.
fn in_one_plane(first: &Prism, other: &Prism) -> bool {
    let (a, b) = (&first.top, &other.top);
    if a.is_level() && b.is_level() {
        return (b.origin.z - a.origin.z).abs() <= JOINED_M;
    }
    a.normal.distance(b.normal) <= SAME_NORMAL_RAD
        && other.outline.iter().all(|&at| (a.height_at(at) - b.height_at(at)).abs() <= JOINED_M)
}

/// Normals of tops that differ by less than this are one, in radians.
const SAME_NORMAL_RAD: f64 = 1e-6;

impl Problem {
    /// Whether modules get from one ground to another only over other modules, and stand level: there are no slopes, no stones and no edges to cross.
    #[must_use]
    pub fn is_plain(&self) -> bool {
        self.stones.is_empty()
            && self.grounds.iter().all(|ground| ground.plane.is_level())
            && !self
                .grounds
                .iter()
                .any(|ground| self.grounds.iter().filter(|g| g.region == ground.region).count() > 1)
    }

    /// Whether a module might get from one ground to another by driving and crossing alone.
    #[must_use]
    pub fn are_linked(&self, a: GroundId, b: GroundId) -> bool {
        self.ground(a).region == self.ground(b).region
    }

    /// Whether drives keep any clearance, from all bodies or from rough ground.
    #[must_use]
    pub fn asks_for_clearance(&self) -> bool {
        self.limits.clearance_m > 0.0 || self.grounds.iter().any(|ground| ground.surfacing.is_rough())
    }

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

    /// The clearance that a shell with its centre at a place keeps from a body while it moves, in metres (section 4 of the model, rule 5).
    #[must_use]
    pub fn clearance_from_m(&self, other: super::Body, centre: DVec3) -> f64 {
        let rough = other.ground().map(|ground| self.ground(ground));
        let beyond = |ground: &Ground| ground.surfacing.beyond_m(ground.plane.above(centre));
        self.limits.clearance_m + rough.map_or(0.0, beyond)
    }

    /// Distance from a point to a stone in metres, negative inside.
    #[must_use]
    pub fn distance_to_stone(&self, stone: super::StoneId, p: DVec3) -> f64 {
        let stone = &self.stones[stone.index()];
        p.distance(stone.centre) - stone.radius_m
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
