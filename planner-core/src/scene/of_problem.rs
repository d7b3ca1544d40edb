//! The scenario of a problem, and the problem of a scenario that was made in code.

use super::build::{self, write_out_defaults};
use super::diagnostic::{Diagnostic, Diagnostics};
use super::kind_entry::KindEntry;
use super::read::read_scenario;
use super::same::difference;
use super::scenario::{
    DeckEntry, GatherEntry, GoalEntry, LimitsEntry, ModuleEntry, PartWord, SCENARIO_FORMAT, Scenario,
    SiteEntry, SlotEntry, StoneEntry,
};
use super::write::{FileFormat, write_scenario};
use super::write_error::WriteError;
use crate::math::DVec2;
use crate::model::{
    Body, Deck, Edition, Kind, LostParts, Module, ModuleId, Placement, Problem, Slot, SlotPlace, Stone,
};

impl Scenario {
    /// The scenario of a problem, with every default written out: reading it gives the same problem, with poses and angles within a billionth.
    ///
    /// # Errors
    /// When values make no sense, or when a file cannot say what the problem says: a start whose bonds are not met, grounds or names that no
    /// scenario has.
    pub fn of(problem: &Problem) -> Result<Self, WriteError> {
        problem.validate()?;
        let mut scenario = Self {
            format: SCENARIO_FORMAT.into(),
            name: problem.name.clone(),
            site: SiteEntry { altitude_m: problem.site.altitude_m, gravity_mps2: problem.site.gravity_mps2 },
            limits: limits(problem),
            deck: problem.decks.iter().map(|d| deck(problem, d)).collect(),
            stone: problem.stones.iter().map(stone).collect(),
            kind: problem.kinds.iter().map(|k| (k.name.clone(), kind(problem.edition, k))).collect(),
            module: problem.module_ids().map(|id| module(problem, id)).collect(),
            goal: goal(problem),
        };
        write_out_defaults(&mut scenario, problem.edition);
        scenario.is_of(problem)?;
        Ok(scenario)
    }

    /// Whether reading this scenario gives this problem.
    ///
    /// # Errors
    /// The first field in which they differ.
    pub(super) fn is_of(&self, problem: &Problem) -> Result<(), WriteError> {
        let read = build::problem(self, problem.edition);
        let field = read.map_or_else(|| Some("file".to_owned()), |read| difference(&read, problem));
        field.map_or(Ok(()), |field| Err(WriteError::NotThisProblem { field }))
    }
}

impl TryFrom<&Scenario> for Problem {
    type Error = Diagnostics;

    /// The problem of a scenario, as reading its text gives it.
    fn try_from(scenario: &Scenario) -> Result<Self, Diagnostics> {
        match write_scenario(scenario, FileFormat::Json) {
            Ok(text) => read_scenario("scenario", &text).map(|(_, problem)| problem),
            Err(error) => {
                let field = if let WriteError::NotFinite { field } = &error { field } else { "file" };
                let words = [field, &error.to_string(), "finite numbers are allowed", "mend what made it"];
                Err(Diagnostic::new("scenario", "", 0..0, words.map(str::to_owned)).into())
            }
        }
    }
}

fn limits(problem: &Problem) -> LimitsEntry {
    let limits = &problem.limits;
    let is_later = problem.edition == Edition::Second;
    LimitsEntry {
        hold_factor: limits.hold_factor,
        sway_deg: degrees(limits.sway_rad),
        motion_factor: limits.motion_factor,
        touch_tol_m: Some(limits.touch_tol_m),
        clearance_m: is_later.then_some(limits.clearance_m),
        motion_tilt_deg: is_later.then(|| degrees(limits.motion_tilt_rad)),
        recover_factor: limits.recover_factor,
    }
}

fn deck(problem: &Problem, deck: &Deck) -> DeckEntry {
    let surfacing = problem.ground(deck.ground).surfacing;
    let top = &deck.solid.top;
    let is_later = problem.edition == Edition::Second;
    let corner =
        |&at: &DVec2| if top.is_level() { at.to_array().to_vec() } else { top.under(at).to_array().to_vec() };
    DeckEntry {
        name: deck.name.clone(),
        outline_m: deck.solid.outline.iter().map(corner).collect(),
        top_m: top.is_level().then(|| deck.solid.height_m()),
        bottom_m: deck.solid.bottom.is_finite().then_some(deck.solid.bottom),
        friction: surfacing.friction,
        ferrous: surfacing.ferrous,
        sealable: surfacing.sealable,
        relief_m: is_later.then_some(surfacing.relief_m),
        tilt_deg: is_later.then(|| degrees(surfacing.tilt_rad)),
    }
}

fn stone(stone: &Stone) -> StoneEntry {
    StoneEntry {
        name: stone.name.clone(),
        at_m: stone.centre.to_array(),
        radius_m: stone.radius_m,
        friction: stone.friction,
    }
}

fn kind(edition: Edition, kind: &Kind) -> KindEntry {
    let is_later = edition == Edition::Second;
    KindEntry {
        shell_radius_m: kind.shell_radius_m,
        ride_height_m: kind.ride_height_m,
        foot_radius_m: kind.foot_radius_m,
        mass_kg: kind.mass_kg,
        com_height_m: kind.com_height_m,
        shell_reach_deg: degrees(kind.shell_reach_rad),
        hop_limit_deg: degrees(kind.hop_limit_rad),
        magnet_force_n: kind.magnet_force_n,
        cup_area_m2: kind.cup_area_m2,
        cup_vacuum_pa: kind.cup_vacuum_pa,
        bond_friction: kind.bond_friction,
        shell_friction: kind.shell_friction,
        hop_hold: kind.hop_hold,
        ramp_time_s: is_later.then_some(kind.ramp_time_s),
        peel_radius_m: is_later.then_some(kind.peel_radius_m),
        step_limit_m: is_later.then_some(kind.step_limit_m),
        crease_limit_deg: is_later.then(|| degrees(kind.crease_limit_rad)),
        cross_time_s: is_later.then_some(kind.cross_time_s),
        drive_force_n: kind.drive_force_n,
        yaw_torque_rolling_nm: kind.yaw_torque_rolling_nm,
        yaw_torque_braced_nm: kind.yaw_torque_braced_nm,
        slide_speed_mps: kind.slide_speed_mps,
        yaw_rate_rolling_radps: kind.yaw_rate_rolling_radps,
        yaw_rate_braced_radps: kind.yaw_rate_braced_radps,
        hop_time_s: kind.hop_time_s,
        brace_time_s: kind.brace_time_s,
        release_time_s: kind.release_time_s,
        drive_power_w: kind.drive_power_w,
        yaw_power_w: kind.yaw_power_w,
        hop_power_w: kind.hop_power_w,
        brace_energy_j: kind.brace_energy_j,
        idle_power_w: kind.idle_power_w,
    }
}

fn module(problem: &Problem, id: ModuleId) -> ModuleEntry {
    let module: &Module = &problem.modules[id.index()];
    let place: &Placement = problem.start.get(id);
    let (on, at_m, toward) = match place.host {
        Body::Ground(ground) => {
            let at = problem.sole_from_above(ground, place);
            (&problem.decks[problem.deck_at(ground, at).index()].name, Some(at.to_array()), None)
        }
        Body::Module(host) => (&problem.modules[host.index()].name, None, Some(place.up().to_array())),
        Body::Stone(stone) => (&problem.stones[stone.index()].name, None, None),
    };
    let lost = lost_parts(module.lost);
    ModuleEntry {
        name: module.name.clone(),
        kind: problem.kind(id).name.clone(),
        on: on.clone(),
        at_m,
        toward,
        facing: Some(place.heading().to_array()),
        hold: place.hold.into(),
        stuck: module.stuck,
        lost: (problem.edition == Edition::Second || !lost.is_empty()).then_some(lost),
        payload_kg: module.payload_kg,
    }
}

fn lost_parts(lost: LostParts) -> Vec<PartWord> {
    let parts = [(lost.drive, PartWord::Drive), (lost.yaw, PartWord::Yaw), (lost.cup, PartWord::Cup)];
    parts.into_iter().filter(|(is_lost, _)| *is_lost).map(|(_, part)| part).collect()
}

fn goal(problem: &Problem) -> Option<GoalEntry> {
    let gather = problem.goal.gather.map(|gather| GatherEntry {
        deck: problem.deck_to_gather_on(gather).name.clone(),
        count: Some(gather.count),
    });
    let slot = problem.goal.slots.iter().map(|s| slot(problem, s)).collect();
    (!problem.goal.is_empty()).then_some(GoalEntry { slot, gather })
}

fn slot(problem: &Problem, slot: &Slot) -> SlotEntry {
    let (on, at_m, toward) = match slot.place {
        SlotPlace::OnGround(ground, at) => {
            (&problem.decks[problem.deck_at(ground, at).index()].name, Some(at.to_array()), None)
        }
        SlotPlace::OnSlot(below, toward) => {
            (&problem.goal.slots[below.index()].name, None, Some(toward.to_array()))
        }
    };
    SlotEntry {
        name: slot.name.clone(),
        on: on.clone(),
        at_m,
        toward,
        kind: slot.kind.map(|kind| problem.kinds[kind.index()].name.clone()),
        module: slot.module.map(|module| problem.module_name(module).to_owned()),
        hold: slot.hold.map(Into::into),
        payload_kg: slot.payload_kg,
        optional: (problem.edition == Edition::Second).then_some(slot.optional),
    }
}

/// The shortest number of degrees that reads as an angle, or the nearest there is.
fn degrees(rad: f64) -> f64 {
    let near = rad.to_degrees();
    let round = (near * 1e9).round() / 1e9;
    [round, near, near.next_up(), near.next_down()]
        .into_iter()
        .find(|d| d.to_radians() == rad)
        .unwrap_or(near)
}
