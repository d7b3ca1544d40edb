//! Symmetries: rotations and reflections of the whole scene that preserve site and goal. What can be done from a configuration can be done from its
//! image in the same time.
//!
//! Every symmetry of a bounded site preserves the mean of all corners of its decks. So it rotates about that point or reflects in a vertical plane
//! through it. Load is checked under gravity tilted towards azimuths 0°, 45°, …: only rotations by multiples of 45° and planes at multiples of 22.5°
//! preserve these. No rule of the model distinguishes left from right: the moves of a reflected image have the opposite yaw and curvature.

use crate::math::{DVec2, DVec3, tolerance};
use crate::model::{Body, Configuration, Deck, DeckId, GroundId, Problem, Slot, SlotId, SlotPlace};
use std::f64::consts::FRAC_PI_4;

/// Tolerance for corners, places and directions to be equal.
const SAME: f64 = 1e-9;

/// One symmetry of the scene.
#[derive(Clone, Debug)]
struct Symmetry {
    centre: DVec2,
    /// Images of x and y.
    axes: [DVec2; 2],
    /// Image of every deck.
    decks: Vec<DeckId>,
    /// Image of every ground.
    grounds: Vec<GroundId>,
}

/// All symmetries of a site and a goal, without the identity. They need not preserve the start.
#[derive(Clone, Debug, Default)]
pub struct Symmetries {
    maps: Vec<Symmetry>,
}

impl Symmetries {
    /// Finds them. Complexity: quadratic in the decks with their corners, and in the slots.
    #[must_use]
    pub fn of(problem: &Problem) -> Self {
        // Images keep orientations as they are, and those of modules that cannot turn matter.
        if problem.modules.iter().any(|module| module.can_drive() && !module.can_yaw()) {
            return Self::default();
        }
        let corners = || problem.decks.iter().flat_map(|deck| deck.solid.outline.iter());
        let centre = corners().sum::<DVec2>() / corners().count().max(1) as f64;
        let maps = (0..16).skip(1).filter_map(|k| {
            let (turn, mirrored) = (k % 8, k >= 8);
            let x = DVec2::from_angle(f64::from(turn) * FRAC_PI_4);
            let y = if mirrored { -x.perp() } else { x.perp() };
            let mut map = Symmetry { centre, axes: [x, y], decks: Vec::new(), grounds: Vec::new() };
            map.decks =
                problem.decks.iter().map(|deck| map.image_of_deck(problem, deck)).collect::<Option<_>>()?;
            map.grounds = problem
                .ground_ids()
                .map(|ground| map.image_of_ground(problem, ground))
                .collect::<Option<_>>()?;
            map.keeps_goal(problem).then_some(map)
        });
        Self { maps: maps.collect() }
    }

    /// Number of symmetries.
    #[must_use]
    pub fn len(&self) -> usize {
        self.maps.len()
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.maps.is_empty()
    }

    /// Keys of all images of a configuration, see [`Configuration::shape_key`].
    pub(crate) fn image_keys<'a>(
        &'a self,
        problem: &'a Problem,
        configuration: &'a Configuration,
    ) -> impl Iterator<Item = Vec<[i32; 6]>> + 'a {
        let image = |map: &Symmetry| map.image(configuration).shape_key(problem, tolerance::SAME_PLACE_M);
        self.maps.iter().map(image)
    }
}

impl Symmetry {
    fn direction(&self, v: DVec2) -> DVec2 {
        self.axes[0] * v.x + self.axes[1] * v.y
    }

    fn point(&self, p: DVec2) -> DVec2 {
        self.centre + self.direction(p - self.centre)
    }

    /// The image of a shape. Orientations stay as they are: the key of a shape does not depend on them.
    fn image(&self, configuration: &Configuration) -> Configuration {
        let mut image = configuration.clone();
        for index in 0..configuration.len() {
            let place = image.get_mut(crate::model::ModuleId::at(index));
            place.position = self.point(place.position.truncate()).extend(place.position.z);
            if let Body::Ground(ground) = place.host {
                place.host = Body::Ground(self.grounds[ground.index()]);
            }
        }
        image
    }

    /// The deck that is in every respect the image of another.
    fn image_of_deck(&self, problem: &Problem, deck: &Deck) -> Option<DeckId> {
        let mut corners: Vec<DVec2> = deck.solid.outline.iter().map(|&corner| self.point(corner)).collect();
        if self.axes[0].perp_dot(self.axes[1]) < 0.0 {
            corners.reverse();
        }
        let surfacing = |deck: &Deck| problem.ground(deck.ground).surfacing;
        let is_image = |to: &Deck| {
            let outline = &to.solid.outline;
            let starts_at = |first: usize| {
                (0..corners.len()).all(|k| corners[k].distance(outline[(first + k) % outline.len()]) < SAME)
            };
            self.is_image_of_top(deck, to)
                && to.solid.bottom == deck.solid.bottom
                && surfacing(to) == surfacing(deck)
                && outline.len() == corners.len()
                && (0..outline.len()).any(starts_at)
        };
        problem.decks.iter().position(is_image).map(DeckId::at)
    }

    fn is_image_of_top(&self, deck: &Deck, to: &Deck) -> bool {
        let (a, b) = (&deck.solid.top, &to.solid.top);
        match (a.is_level(), b.is_level()) {
            (true, true) => a.origin.z == b.origin.z,
            (false, false) => {
                let heights =
                    deck.solid.outline.iter().map(|&at| b.height_at(self.point(at)) - a.height_at(at));
                heights.map(f64::abs).fold(0.0, f64::max) < SAME
            }
            _ => false,
        }
    }

    /// The ground whose decks are the images of those of another.
    fn image_of_ground(&self, problem: &Problem, ground: GroundId) -> Option<GroundId> {
        let mut images = problem.ground(ground).decks.iter().map(|deck| {
            let image = self.decks[deck.index()];
            problem.decks[image.index()].ground
        });
        let first = images.next()?;
        images.all(|image| image == first).then_some(first)
    }

    fn keeps_goal(&self, problem: &Problem) -> bool {
        let goal = &problem.goal;
        let keeps_deck = goal.gather.is_none_or(|g| {
            self.grounds[g.ground.index()] == g.ground
                && g.within.is_none_or(|deck| self.decks[deck.index()] == deck)
        });
        let mut images: Vec<SlotId> = Vec::with_capacity(goal.slots.len());
        for slot in &goal.slots {
            // Slots on the same host at the same place would overlap, so there is at most one image.
            let found = goal.slots.iter().position(|other| self.is_image(slot, other, &images));
            let Some(found) = found else { return false };
            images.push(SlotId::at(found));
        }
        keeps_deck
    }

    /// Whether one slot asks at its image for what another asks for; hosts come before the slots that stand on them.
    fn is_image(&self, slot: &Slot, other: &Slot, images: &[SlotId]) -> bool {
        let asks = |s: &Slot| (s.kind, s.module, s.hold, s.payload_kg);
        let there = match (slot.place, other.place) {
            (SlotPlace::OnGround(a, p), SlotPlace::OnGround(b, q)) => {
                self.grounds[a.index()] == b && self.point(p).distance(q) < SAME
            }
            (SlotPlace::OnSlot(a, up), SlotPlace::OnSlot(b, other_up)) => {
                let up: DVec3 = self.direction(up.truncate()).extend(up.z);
                images.get(a.index()) == Some(&b) && up.distance(other_up) < SAME
            }
            _ => false,
        };
        there && asks(slot) == asks(other)
    }
}
