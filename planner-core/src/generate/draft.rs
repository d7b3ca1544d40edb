//! A scene under construction.

use super::known::Known;
use super::placed::{Placed, Stand};
use super::rounding::micrometres;
use super::setting::Setting;
use super::{Family, GenerateError, GenerateOptions, Generated, GroundMaterial, Kinds};
use crate::math::{DVec3, SplitMix64, sin_cos};
use crate::model::{Body, BondForest as Forest, Configuration, ModuleId, Problem};
use crate::scene::{
    DeckEntry, FileFormat, GatherEntry, GoalEntry, HoldWord, LimitsEntry, ModuleEntry, SCENARIO_FORMAT,
    Scenario, SiteEntry, SlotEntry, read_scenario, write_scenario,
};

/// A scene, and what is known about it.
pub(super) struct Draft {
    pub(super) scenario: Scenario,
    pub(super) setting: Setting,
    pub(super) known: Known,
}

/// Spacing of the grid of scattered modules of the demo kind, in metres: neighbours stay apart despite their random offsets.
const GRID_M: f64 = 0.26;
/// Greatest offset along each axis for the demo kind, in metres.
pub(super) const OFF_M: f64 = 0.06;

impl Draft {
    /// A scene without modules and goal.
    pub(super) fn new(setting: &Setting, deck: Vec<DeckEntry>) -> Self {
        let (site, limits) = (SiteEntry::default(), LimitsEntry::default());
        let (format, name) = (SCENARIO_FORMAT.to_owned(), "draft".to_owned());
        let kind = setting.kinds.clone();
        let scenario = Scenario {
            format,
            name,
            site,
            limits,
            deck,
            stone: Vec::new(),
            kind,
            module: Vec::new(),
            goal: None,
        };
        Self { scenario, setting: setting.clone(), known: Known::Failed }
    }

    /// Scatters modules on a deck: on a square grid with this corner, as wide as necessary, each with a random offset
    /// of at most so many metres along each axis.
    pub(super) fn scatter(
        &mut self,
        deck: &str,
        modules: usize,
        (low, off_m): ([f64; 2], f64),
        random: &mut SplitMix64,
    ) {
        let side = side(modules);
        let mut cells: Vec<usize> = (0..side * side).collect();
        random.shuffle(&mut cells);
        for cell in cells.into_iter().take(modules) {
            let crossing = [cell % side, cell / side].map(|n| self.setting.m(n as f64 * GRID_M));
            let at = std::array::from_fn(|axis| {
                let off = self.setting.between(-off_m, off_m, random);
                low[axis] + crossing[axis] + off
            });
            self.stand(deck, at, random);
        }
    }

    /// A further module on a deck.
    pub(super) fn stand(&mut self, deck: &str, at: [f64; 2], random: &mut SplitMix64) {
        let index = self.scenario.module.len();
        let (kind, facing) = (self.setting.kind_of(index, random), self.setting.facing(random));
        self.scenario.module.push(ModuleEntry {
            name: format!("m{}", index + 1),
            kind,
            on: deck.into(),
            at_m: Some(self.setting.frame.spot(at).map(micrometres)),
            toward: None,
            facing,
            hold: HoldWord::Rolling,
            stuck: false,
            lost: None,
            payload_kg: 0.0,
        });
    }

    /// The problem of the scene.
    pub(super) fn problem(&self) -> Result<Problem, GenerateError> {
        Ok(read(&write_scenario(&self.scenario, FileFormat::Toml)?)?.1)
    }

    /// Makes a configuration the start; modules are braced wherever a cup holds.
    pub(super) fn start_from(&mut self, problem: &Problem, now: &Configuration) {
        for (id, place) in now.iter() {
            let entry = &mut self.scenario.module[id.index()];
            let heading = place.heading().to_array();
            entry.on = problem.name_of(place.host).to_owned();
            entry.facing = Some(heading);
            let sealable = match place.host {
                Body::Ground(ground) => problem.ground(ground).surfacing.sealable,
                Body::Module(_) | Body::Stone(_) => true,
            };
            entry.hold = if sealable { HoldWord::Braced } else { HoldWord::Rolling };
            (entry.at_m, entry.toward) = match place.host {
                Body::Ground(ground) => (Some(problem.sole_from_above(ground, place).to_array()), None),
                Body::Module(_) | Body::Stone(_) => (None, Some(place.up().to_array())),
            };
        }
    }

    /// Makes the places of these modules the goal, hosts first; the host of each is a deck or one of them.
    pub(super) fn goal_from(&mut self, now: &Configuration, problem: &Problem, who: &[ModuleId]) {
        let name = |id: ModuleId| format!("s{}", id.index() + 1);
        let slot = Forest::new(now).order.into_iter().filter(|id| who.contains(id)).map(|id| {
            let place = now.get(id);
            let (on, at_m, toward) = match place.host {
                Body::Module(host) => (name(host), None, Some(place.up().to_array())),
                Body::Ground(ground) => {
                    let at = problem.sole_from_above(ground, place).to_array();
                    (problem.name_of(place.host).to_owned(), Some(at), None)
                }
                Body::Stone(_) => return slot_entry(name(id), String::new(), None, None),
            };
            SlotEntry {
                kind: self.setting.kind_asked(problem.kind(id)),
                ..slot_entry(name(id), on, at_m, toward)
            }
        });
        self.scenario.goal = Some(GoalEntry { slot: slot.collect(), gather: None });
    }

    /// Further modules in the places of a shape, braced wherever a cup holds.
    pub(super) fn begin_with(&mut self, shape: &Placed, deck: &str, random: &mut SplitMix64) {
        let first = self.scenario.module.len();
        let sealable = self.scenario.deck.iter().any(|entry| entry.name == deck && entry.sealable);
        for stand in shape.stands(self.setting.frame) {
            self.stand(deck, [0.0; 2], random);
            let Some(entry) = self.scenario.module.last_mut() else { continue };
            let on_deck = matches!(stand, Stand::Ground(_));
            entry.hold = if sealable || !on_deck { HoldWord::Braced } else { HoldWord::Rolling };
            match stand {
                Stand::Ground(at) => entry.at_m = Some(at),
                Stand::Ball(host, toward) => {
                    entry.on = format!("m{}", first + host + 1);
                    (entry.at_m, entry.toward) = (None, Some(toward.to_array()));
                }
            }
        }
    }

    /// Makes the places of a shape part of the goal.
    pub(super) fn ask_for(&mut self, shape: &Placed, deck: &str) {
        let goal = self.scenario.goal.get_or_insert_default();
        let first = goal.slot.len() + 1;
        let name = |ball: usize| format!("s{}", first + ball);
        let slots = shape.stands(self.setting.frame).enumerate().map(|(ball, stand)| match stand {
            Stand::Ground(at) => slot_entry(name(ball), deck.into(), Some(at), None),
            Stand::Ball(host, toward) => slot_entry(name(ball), name(host), None, Some(toward.to_array())),
        });
        goal.slot.extend(slots);
    }

    /// Sets the goal to a number of modules on a deck.
    pub(super) fn gather(&mut self, deck: &str, count: usize) {
        let gather = Some(GatherEntry { deck: deck.into(), count: Some(count) });
        self.scenario.goal = Some(GoalEntry { slot: Vec::new(), gather });
    }

    /// The finished scene with its file.
    pub(super) fn finish(self, family: Family, options: GenerateOptions) -> Result<Generated, GenerateError> {
        let Self { mut scenario, setting, known } = self;
        let GenerateOptions { modules, seed, kinds, ground } = options;
        if scenario.goal.is_none() {
            return Err(GenerateError::NoTask(seed));
        }
        let family = family.name();
        let drawn = (kinds != Kinds::Cobble).then(|| kinds.name());
        let asked = ground.map(GroundMaterial::name);
        let in_name: String = drawn.iter().chain(&asked).map(|word| format!(" {word}")).collect();
        let kind = drawn.map_or_else(String::new, |kind| format!(", kind {kind}"));
        let ground = asked.map_or_else(String::new, |ground| format!(", ground {ground}"));
        scenario.name = format!("{family} {modules} {seed}{in_name}");
        let body = write_scenario(&scenario, FileFormat::Toml)?;
        let (scenario, _) = read(&body)?;
        let facts: String = setting.facts.iter().map(|fact| format!("# {fact}\n")).collect();
        let origin = format!("# {family}, {modules} modules, seed {seed}{kind}{ground}.");
        let text = format!("{origin}\n# {}\n{facts}{body}", known.in_words());
        Ok(Generated { scenario, text, rehearsed: known.trips() })
    }
}

/// Width of the grid of so many scattered modules, in metres.
pub(super) fn scattered_width_m(setting: &Setting, modules: usize) -> f64 {
    setting.m((side(modules) as f64 - 1.0) * GRID_M)
}

/// Cells along a side of the grid of so many scattered modules.
fn side(modules: usize) -> usize {
    (modules as f64 * 1.6).sqrt().ceil() as usize
}

fn read(text: &str) -> Result<(Scenario, Problem), GenerateError> {
    read_scenario("scene.toml", text).map_err(|wrong| GenerateError::Senseless(wrong.to_string()))
}

/// A slot for any module.
pub(super) fn slot_entry(
    name: String,
    on: String,
    at_m: Option<[f64; 2]>,
    toward: Option<[f64; 3]>,
) -> SlotEntry {
    SlotEntry {
        name,
        on,
        at_m,
        toward,
        kind: None,
        module: None,
        hold: None,
        payload_kg: 0.0,
        optional: None,
    }
}

/// The unit direction of an elevation and an azimuth in radians.
pub(super) fn direction(elevation: f64, azimuth: f64) -> DVec3 {
    let ((up, level), (y, x)) = (sin_cos(elevation), sin_cos(azimuth));
    DVec3::new(level * x, level * y, up)
}
