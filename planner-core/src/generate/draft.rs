//! A scene under construction.

use super::{Family, GenerateError, Generated};
use crate::math::{DVec3, SplitMix64, sin_cos};
use crate::model::{Body, BondForest as Forest, Configuration, ModuleId, Problem};
use crate::scene::{
    DeckEntry, FileFormat, GatherEntry, GoalEntry, HoldWord, KindEntry, LimitsEntry, ModuleEntry,
    SCENARIO_FORMAT, Scenario, SiteEntry, SlotEntry, read_scenario, write_scenario,
};
use indexmap::IndexMap;

/// A scene, and the number of trips of its rehearsal if that succeeded.
pub(super) struct Draft {
    pub(super) scenario: Scenario,
    pub(super) rehearsed: Option<usize>,
}

/// Spacing of the grid of scattered modules, in metres: neighbours stay apart despite their random offsets.
const GRID_M: f64 = 0.26;

impl Draft {
    /// A scene without modules and goal.
    pub(super) fn new(name: String, deck: Vec<DeckEntry>) -> Self {
        let kind = IndexMap::from([("cobble".to_owned(), cobble())]);
        let (site, limits) = (SiteEntry::default(), LimitsEntry::default());
        let format = SCENARIO_FORMAT.to_owned();
        let scenario = Scenario { format, name, site, limits, deck, kind, module: Vec::new(), goal: None };
        Self { scenario, rehearsed: None }
    }

    /// Scatters modules on a deck: on a square grid with this corner, as wide as necessary, each with a small random offset.
    pub(super) fn scatter(&mut self, deck: &str, modules: usize, low: [f64; 2], random: &mut SplitMix64) {
        let side = (modules as f64 * 1.6).sqrt().ceil() as usize;
        let mut cells: Vec<usize> = (0..side * side).collect();
        random.shuffle(&mut cells);
        for (index, cell) in cells.into_iter().take(modules).enumerate() {
            let crossing = [cell % side, cell / side].map(|n| n as f64 * GRID_M);
            let at = std::array::from_fn(|axis| {
                let off = random.thousandths(-0.06, 0.06);
                ((low[axis] + crossing[axis] + off) * 1e3).round() / 1e3
            });
            self.scenario.module.push(ModuleEntry {
                name: format!("m{}", index + 1),
                kind: "cobble".into(),
                on: deck.into(),
                at_m: Some(at),
                toward: None,
                facing: None,
                hold: HoldWord::Rolling,
                stuck: false,
                lost: None,
                payload_kg: 0.0,
            });
        }
    }

    /// Width of a grid of so many modules from its corner, in metres.
    pub(super) fn scattered_width_m(modules: usize) -> f64 {
        ((modules as f64 * 1.6).sqrt().ceil() - 1.0) * GRID_M
    }

    /// The problem of the scene.
    pub(super) fn problem(&self) -> Result<Problem, GenerateError> {
        Ok(read(&write_scenario(&self.scenario, FileFormat::Toml)?)?.1)
    }

    /// Makes a configuration the start; modules that stand on modules are braced.
    pub(super) fn start_from(&mut self, problem: &Problem, now: &Configuration) {
        for (id, place) in now.iter() {
            let entry = &mut self.scenario.module[id.index()];
            let heading = place.heading().to_array();
            entry.on = problem.name_of(place.host).to_owned();
            entry.facing = Some(heading);
            (entry.at_m, entry.toward, entry.hold) = match place.host {
                Body::Ground(_) => (Some(place.position.truncate().to_array()), None, HoldWord::Rolling),
                Body::Module(_) => (None, Some(place.up().to_array()), HoldWord::Braced),
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
                deck @ Body::Ground(_) => {
                    (problem.name_of(deck).to_owned(), Some(place.position.truncate().to_array()), None)
                }
            };
            slot_entry(name(id), on, at_m, toward)
        });
        self.scenario.goal = Some(GoalEntry { slot: slot.collect(), gather: None });
    }

    /// Sets the goal to a number of modules on a deck.
    pub(super) fn gather(&mut self, deck: &str, count: usize) {
        let gather = Some(GatherEntry { deck: deck.into(), count: Some(count) });
        self.scenario.goal = Some(GoalEntry { slot: Vec::new(), gather });
    }

    /// The finished scene with its file.
    pub(super) fn finish(
        self,
        family: Family,
        modules: usize,
        seed: u64,
    ) -> Result<Generated, GenerateError> {
        let Self { scenario, rehearsed } = self;
        let known = match rehearsed {
            Some(trips) => format!("Solvable: rehearsed in {trips} trips."),
            None => "Unknown: the rehearsal did not come through, which proves nothing.".to_owned(),
        };
        let body = write_scenario(&scenario, FileFormat::Toml)?;
        let (scenario, _) = read(&body)?;
        let text = format!("# {}, {modules} modules, seed {seed}.\n# {known}\n{body}", family.name());
        Ok(Generated { scenario, text, rehearsed })
    }
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

/// A rectangular deck of bare concrete.
pub(super) fn concrete(name: &str, low: [f64; 2], high: [f64; 2], top_m: f64) -> DeckEntry {
    let outline_m = vec![low, [high[0], low[1]], high, [low[0], high[1]]];
    DeckEntry {
        name: name.into(),
        outline_m,
        top_m,
        bottom_m: None,
        friction: 0.7,
        ferrous: false,
        sealable: false,
        relief_m: None,
        tilt_deg: None,
    }
}

/// The unit direction of an elevation and an azimuth in radians.
pub(super) fn direction(elevation: f64, azimuth: f64) -> DVec3 {
    let ((up, level), (y, x)) = (sin_cos(elevation), sin_cos(azimuth));
    DVec3::new(level * x, level * y, up)
}

/// The demo kind.
fn cobble() -> KindEntry {
    KindEntry {
        shell_radius_m: 0.060,
        ride_height_m: 0.060,
        foot_radius_m: 0.040,
        mass_kg: 0.50,
        com_height_m: -0.010,
        shell_reach_deg: 130.0,
        hop_limit_deg: 100.0,
        magnet_force_n: 30.0,
        cup_area_m2: 1.2e-3,
        cup_vacuum_pa: 45_000.0,
        bond_friction: 0.6,
        shell_friction: 0.25,
        hop_hold: 0.6,
        ramp_time_s: None,
        peel_radius_m: None,
        step_limit_m: None,
        crease_limit_deg: None,
        cross_time_s: None,
        drive_force_n: 14.0,
        yaw_torque_rolling_nm: 0.5,
        yaw_torque_braced_nm: 1.6,
        slide_speed_mps: 0.05,
        yaw_rate_rolling_radps: 0.8,
        yaw_rate_braced_radps: 0.3,
        hop_time_s: 4.0,
        brace_time_s: 2.0,
        release_time_s: 1.0,
        drive_power_w: 6.0,
        yaw_power_w: 4.0,
        hop_power_w: 6.0,
        brace_energy_j: 15.0,
        idle_power_w: 0.8,
    }
}
