//! Answers about loads from other timings of the same crew.
//!
//! Trip sequences that are searched one after the other have most of their states in common. A state is identified by the places of its modules and
//! what moves, whatever their names, to a fraction of a micrometre. So a stored answer is almost certain, but not proven for the state at hand. It
//! may guide the choice among timings; the chosen timing is then proven without it.

use crate::control::memory;
use crate::model::{Body, Configuration, Hold, Problem};
use crate::motion::Move;
use indexmap::IndexMap;
use std::hash::{DefaultHasher, Hash, Hasher};

/// Stored answers by fingerprint.
#[derive(Clone, Debug)]
pub(crate) struct KnownLoads {
    answers: IndexMap<Fingerprint, bool>,
    most: usize,
}

/// Two hashes of 64 bits.
pub(crate) type Fingerprint = [u64; 2];

/// Answers about loads that were not known before.
pub(crate) type NewLoads = Vec<(Fingerprint, bool)>;

/// Most answers stored.
const MOST: usize = 1 << 20;
/// Resolution of a fingerprint: steps to a metre, to a unit of a quaternion, to a radian.
const STEPS: f64 = 1e8;

impl KnownLoads {
    /// An empty store that never grows beyond so many bytes.
    pub(crate) fn within(bytes: u64) -> Self {
        let fit = bytes / memory::entry::<(Fingerprint, bool)>() as u64;
        Self { answers: IndexMap::new(), most: usize::try_from(fit).unwrap_or(MOST).min(MOST) }
    }

    pub(crate) fn get(&self, fingerprint: &Fingerprint) -> Option<bool> {
        self.answers.get(fingerprint).copied()
    }

    pub(crate) fn add(&mut self, found: impl IntoIterator<Item = (Fingerprint, bool)>) {
        for (fingerprint, carries) in found {
            if self.answers.len() < self.most {
                self.answers.insert(fingerprint, carries);
            }
        }
    }
}

/// The fingerprint of one structure of a state: the placements, holds and moves of its modules.
pub(crate) fn fingerprint(
    problem: &Problem,
    there: &Configuration,
    actions: &[(usize, Move)],
) -> Fingerprint {
    let steps = |v: f64| (v * STEPS).round() as i64;
    let centre = |index: usize| there.get(crate::model::ModuleId::at(index)).position.to_array().map(steps);
    let mut order: Vec<usize> = (0..there.len()).collect();
    order.sort_by_key(|&index| centre(index));
    let rank = |body: Body| match body {
        Body::Ground(deck) => (0, deck.index()),
        Body::Stone(stone) => (2, stone.index()),
        Body::Module(host) => (1, order.iter().position(|&i| i == host.index()).unwrap_or(usize::MAX)),
    };
    std::array::from_fn(|salt| {
        let mut hasher = DefaultHasher::new();
        salt.hash(&mut hasher);
        for &index in &order {
            let (place, module) = (there.get(crate::model::ModuleId::at(index)), &problem.modules[index]);
            (centre(index), rank(place.host), place.hold == Hold::Braced).hash(&mut hasher);
            (module.kind.index(), module.payload_kg.to_bits()).hash(&mut hasher);
            for (_, action) in actions.iter().filter(|(mover, _)| *mover == index) {
                place.heading().to_array().map(steps).hash(&mut hasher);
                match *action {
                    Move::Yaw { angle_rad } => (1, steps(angle_rad)).hash(&mut hasher),
                    Move::Slide { travel_m, curvature_per_m } => {
                        (2, steps(travel_m), steps(curvature_per_m)).hash(&mut hasher);
                    }
                    Move::Hop { to } => (3, rank(to)).hash(&mut hasher),
                    Move::Cross { to, travel_m } => (5, to.index(), steps(travel_m)).hash(&mut hasher),
                    Move::Stride { direction, angle_rad, ref planted, .. } => {
                        let ranks = planted.ids().iter().map(|&id| rank(Body::Module(id)).1);
                        let ranks: Vec<usize> = ranks.collect();
                        (6, direction.to_array().map(steps), steps(angle_rad), ranks).hash(&mut hasher);
                    }
                    Move::Brace | Move::Release => 4.hash(&mut hasher),
                }
            }
        }
        hasher.finish()
    })
}
