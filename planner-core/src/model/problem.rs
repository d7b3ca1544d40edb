//! A problem: a scene with names resolved to indices and every default filled in.

use super::{Configuration, Deck, Edition, Goal, Ground, Kind, KindId, Limits, ModuleId, Site, Stone};

/// The fixed properties of one module of the crew.
#[derive(Clone, Debug, PartialEq)]
pub struct Module {
    /// Its name in the scene.
    pub name: String,
    /// Its kind.
    pub kind: KindId,
    /// Whether it cannot move by itself.
    pub stuck: bool,
    /// The parts that have failed.
    pub lost: LostParts,
    /// Mass fixed at the shell's centre, in kilograms.
    pub payload_kg: f64,
    /// Class of the module: modules of one class are interchangeable under the goal and the rules.
    pub class: u16,
}

/// Parts of a module that have failed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct LostParts {
    /// The tracks: no slide and no hop.
    pub drive: bool,
    /// The turning of the foot: no yaw, and straight slides only.
    pub yaw: bool,
    /// The cup: no brace, and braced it holds like rolling.
    pub cup: bool,
}

impl Module {
    /// Whether it can change its hold from rolling to braced.
    #[must_use]
    pub const fn can_brace(&self) -> bool {
        !self.stuck && !self.lost.cup
    }

    /// Whether it can drive by itself.
    #[must_use]
    pub const fn can_drive(&self) -> bool {
        !self.stuck && !self.lost.drive
    }

    /// Whether it can turn by itself.
    #[must_use]
    pub const fn can_yaw(&self) -> bool {
        !self.stuck && !self.lost.yaw
    }
}

/// A planning problem: site, limits, crew, start and goal. SI units, world frame with z up.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// The edition of the model that it is judged by.
    pub edition: Edition,
    /// One-line name of the scene.
    pub name: String,
    /// Gravity and air.
    pub site: Site,
    /// Limits and margins.
    pub limits: Limits,
    /// The decks; [`DeckId`](super::DeckId) indexes them.
    pub decks: Vec<Deck>,
    /// The grounds that the decks form; [`GroundId`](super::GroundId) indexes them.
    pub grounds: Vec<Ground>,
    /// The stones; [`StoneId`](super::StoneId) indexes them.
    pub stones: Vec<Stone>,
    /// The kinds; [`KindId`] indexes them.
    pub kinds: Vec<Kind>,
    /// The crew; [`ModuleId`] indexes it.
    pub modules: Vec<Module>,
    /// The configuration at the beginning.
    pub start: Configuration,
    /// What must hold at the end.
    pub goal: Goal,
}

impl Problem {
    /// The kind of a module.
    #[must_use]
    pub fn kind(&self, id: ModuleId) -> &Kind {
        &self.kinds[self.modules[id.index()].kind.index()]
    }

    /// All modules, in the order of the scene.
    pub fn module_ids(&self) -> impl ExactSizeIterator<Item = ModuleId> + Clone + use<> {
        (0..self.modules.len() as u16).map(ModuleId)
    }

    /// All grounds, in the order of their first decks.
    pub fn ground_ids(&self) -> impl ExactSizeIterator<Item = super::GroundId> + Clone + use<> {
        (0..self.grounds.len() as u16).map(super::GroundId)
    }

    /// All stones, in the order of the scene.
    pub fn stone_ids(&self) -> impl ExactSizeIterator<Item = super::StoneId> + Clone + use<> {
        (0..self.stones.len() as u16).map(super::StoneId)
    }

    /// A ground.
    #[must_use]
    pub fn ground(&self, id: super::GroundId) -> &Ground {
        &self.grounds[id.index()]
    }

    /// Name of a body, for messages: that of a module, or of the first deck of a ground.
    #[must_use]
    pub fn name_of(&self, body: super::Body) -> &str {
        match body {
            super::Body::Ground(id) => &self.decks[self.ground(id).decks[0].index()].name,
            super::Body::Module(id) => &self.modules[id.index()].name,
            super::Body::Stone(id) => &self.stones[id.index()].name,
        }
    }

    /// Name of a module, for messages and files.
    #[must_use]
    pub fn module_name(&self, id: ModuleId) -> &str {
        &self.modules[id.index()].name
    }

    /// Mass of a module with its payload, in kilograms.
    #[must_use]
    pub fn mass_kg(&self, id: ModuleId) -> f64 {
        self.kind(id).mass_kg + self.modules[id.index()].payload_kg
    }

    /// Adhesion of a bond in newtons: magnets on shells and ferrous decks, the cup when braced on shells and sealable decks.
    #[must_use]
    pub fn adhesion_n(&self, id: ModuleId, host: super::Body, hold: super::Hold) -> f64 {
        let kind = self.kind(id);
        let (ferrous, sealable) = match host {
            super::Body::Module(_) => (true, true),
            super::Body::Stone(_) => (false, false),
            super::Body::Ground(ground) => {
                let surfacing = self.ground(ground).surfacing;
                (surfacing.ferrous, surfacing.sealable)
            }
        };
        let magnet = if ferrous { kind.magnet_force_n } else { 0.0 };
        let lost = self.modules[id.index()].lost.cup;
        let cup = if sealable && hold == super::Hold::Braced && !lost {
            kind.cup_force_n(self.site.ambient_pa())
        } else {
            0.0
        };
        magnet + cup
    }

    /// The adhesion that loads may count on, in newtons: that of the bond, or, where cups may fail, as much as leaves a bond whose cup is lost within
    /// all that its magnets hold.
    ///
    /// A bond is used up to `1 / hold_factor` of what counts. What a bond without touches has to carry does not depend on any hold, so such a crew
    /// survives the loss of any cups exactly if it carries its load with this; with touches it does if, but not only if.
    #[must_use]
    pub fn counted_adhesion_n(&self, id: ModuleId, host: super::Body, hold: super::Hold) -> f64 {
        let whole_n = self.adhesion_n(id, host, hold);
        if self.limits.cups_may_fail {
            whole_n.min(self.limits.hold_factor * self.adhesion_n(id, host, super::Hold::Rolling))
        } else {
            whole_n
        }
    }

    /// Gives every module its class: kind, payload, what it has lost, and its own name if the goal asks for it.
    pub fn assign_classes(&mut self) {
        let mut keys: Vec<(KindId, u64, bool, LostParts, Option<usize>)> = Vec::new();
        for index in 0..self.modules.len() {
            let named = self.goal.slots.iter().any(|slot| slot.module == Some(ModuleId::at(index)));
            let module = &self.modules[index];
            let key =
                (module.kind, module.payload_kg.to_bits(), module.stuck, module.lost, named.then_some(index));
            let class = keys.iter().position(|k| *k == key).unwrap_or_else(|| {
                keys.push(key);
                keys.len() - 1
            });
            self.modules[index].class = class as u16;
        }
    }
}
