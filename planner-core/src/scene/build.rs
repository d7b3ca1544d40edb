//! Builds the problem of a checked scenario.

use super::kind_entry::KindEntry;
use super::raised::plane_through;
use super::rings::hosts_first;
use super::scenario::{
    DeckEntry, GoalEntry, HoldWord, ModuleEntry, PartWord, Scenario, SlotEntry, StoneEntry,
};
use super::standing::direction;
use crate::geometry::{Prism, Slope};
use crate::math::{DVec2, DVec3, heading_frame};
use crate::model::{
    Body, Configuration, Deck, DeckId, Edition, Gather, Goal, Ground, Hold, Kind, KindId, Limits, LostParts,
    Module, ModuleId, Placement, Problem, Site, Slot, SlotId, SlotPlace, Stone, Surfacing, grounds,
};
use indexmap::IndexMap;

impl From<HoldWord> for Hold {
    fn from(word: HoldWord) -> Self {
        match word {
            HoldWord::Rolling => Self::Rolling,
            HoldWord::Braced => Self::Braced,
        }
    }
}

impl From<Hold> for HoldWord {
    fn from(hold: Hold) -> Self {
        match hold {
            Hold::Rolling => Self::Rolling,
            Hold::Braced => Self::Braced,
        }
    }
}

/// Fills in the defaults that depend on the rest of the scene.
pub(super) fn write_out_defaults(scene: &mut Scenario, edition: Edition) {
    match edition {
        Edition::First => {
            scene.limits.touch_tol_m.get_or_insert(LEAST_TOUCH_M);
        }
        Edition::Second => write_out_later_defaults(scene),
    }
    let decks = scene.deck.iter().map(|deck| (deck.name.clone(), top(deck).map(|top| top.normal)));
    let decks: IndexMap<String, Option<DVec3>> = decks.collect();
    for module in &mut scene.module {
        let on_deck = decks.get(&module.on).copied();
        let up = on_deck.unwrap_or_else(|| module.toward.and_then(direction));
        let forward = up.is_some_and(|up| heading_frame(up, DVec3::X).is_some());
        module.facing.get_or_insert(if forward { [1.0, 0.0, 0.0] } else { [0.0, 1.0, 0.0] });
    }
    let crew = scene.module.len();
    if let Some(gather) = scene.goal.as_mut().and_then(|goal| goal.gather.as_mut()) {
        gather.count.get_or_insert(crew);
    }
    scene.goal.take_if(|goal| *goal == GoalEntry::default());
}

/// The least tolerance of touches by default, in metres.
const LEAST_TOUCH_M: f64 = 0.0002;
/// As much of the ride clearance of a kind counts towards the tolerance of touches, in metres.
const MOST_CLEARANCE_M: f64 = 0.001;

/// Fills in the defaults of the fields that came with the second edition.
fn write_out_later_defaults(scene: &mut Scenario) {
    let in_use = scene.module.iter().filter_map(|module| scene.kind.get(&module.kind));
    let clearance_m = in_use.map(|kind| kind.ride_height_m - kind.shell_radius_m).fold(0.0, f64::max);
    let limits = &mut scene.limits;
    limits.touch_tol_m.get_or_insert(LEAST_TOUCH_M + clearance_m.min(MOST_CLEARANCE_M));
    limits.clearance_m.get_or_insert(0.0);
    limits.motion_tilt_deg.get_or_insert(0.0);
    for deck in &mut scene.deck {
        deck.relief_m.get_or_insert(0.0);
        deck.tilt_deg.get_or_insert(0.0);
    }
    for kind in scene.kind.values_mut() {
        kind.ramp_time_s.get_or_insert(0.2);
        kind.peel_radius_m.get_or_insert(kind.foot_radius_m);
        kind.step_limit_m.get_or_insert(0.0);
        kind.crease_limit_deg.get_or_insert(0.0);
        kind.cross_time_s.get_or_insert(kind.hop_time_s);
    }
    for module in &mut scene.module {
        module.lost.get_or_insert_default();
    }
    for slot in scene.goal.iter_mut().flat_map(|goal| &mut goal.slot) {
        slot.optional.get_or_insert(false);
    }
}

/// The problem of a scenario; `None` if the scenario is inconsistent.
pub(super) fn problem(scene: &Scenario, edition: Edition) -> Option<Problem> {
    let decks: Option<Vec<_>> = scene.deck.iter().map(deck).collect();
    let (decks, grounds) = grounds(decks?, edition.decks_join());
    let kinds: Vec<Kind> = scene.kind.iter().map(|(name, entry)| kind(name, entry)).collect();
    let modules: Option<Vec<Module>> = scene.module.iter().map(|entry| module(entry, scene)).collect();
    let mut problem = Problem {
        edition,
        name: scene.name.clone(),
        site: Site { altitude_m: scene.site.altitude_m, gravity_mps2: scene.site.gravity_mps2 },
        limits: Limits {
            cups_may_fail: false,
            hold_factor: scene.limits.hold_factor,
            sway_rad: scene.limits.sway_deg.to_radians(),
            motion_factor: scene.limits.motion_factor,
            motion_tilt_rad: scene.limits.motion_tilt_deg.unwrap_or(0.0).to_radians(),
            touch_tol_m: scene.limits.touch_tol_m.unwrap_or(LEAST_TOUCH_M),
            clearance_m: scene.limits.clearance_m.unwrap_or(0.0),
            recover_factor: scene.limits.recover_factor,
        },
        start: start(scene, &decks, &grounds, &kinds)?,
        goal: scene
            .goal
            .as_ref()
            .map_or_else(|| Some(Goal::default()), |entry| goal(entry, scene, &decks))?,
        decks,
        grounds,
        stones: scene.stone.iter().map(stone).collect(),
        kinds,
        modules: modules?,
    };
    problem.assign_classes();
    problem.assign_regions();
    Some(problem)
}

pub(super) fn deck_id(scene: &Scenario, name: &str) -> Option<DeckId> {
    scene.deck.iter().position(|deck| deck.name == name).map(DeckId::at)
}

fn module_id(scene: &Scenario, name: &str) -> Option<ModuleId> {
    scene.module.iter().position(|module| module.name == name).map(ModuleId::at)
}

fn kind_id(scene: &Scenario, name: &str) -> Option<KindId> {
    scene.kind.get_index_of(name).map(KindId::at)
}

/// The ground of the deck with a name, or the module with it.
pub(super) fn body(scene: &Scenario, decks: &[Deck], name: &str) -> Option<Body> {
    let ground =
        deck_id(scene, name).and_then(|deck| decks.get(deck.index())).map(|deck| Body::Ground(deck.ground));
    ground.or_else(|| module_id(scene, name).map(Body::Module))
}

fn deck(entry: &DeckEntry) -> Option<(String, Prism, Surfacing)> {
    let corner = |corner: &Vec<f64>| Some(DVec2::new(*corner.first()?, *corner.get(1)?));
    let outline: Option<Vec<DVec2>> = entry.outline_m.iter().map(corner).collect();
    let bottom = entry.bottom_m.unwrap_or(f64::NEG_INFINITY);
    let solid = Prism { outline: outline?, bottom, top: top(entry)? };
    let DeckEntry { friction, ferrous, sealable, .. } = *entry;
    let relief_m = entry.relief_m.unwrap_or(0.0);
    let tilt_rad = entry.tilt_deg.unwrap_or(0.0).to_radians();
    Some((entry.name.clone(), solid, Surfacing { friction, ferrous, sealable, relief_m, tilt_rad }))
}

/// The plane of a deck's top.
fn top(entry: &DeckEntry) -> Option<Slope> {
    entry.top_m.map(Slope::level).or_else(|| plane_through(&entry.outline_m))
}

fn stone(entry: &StoneEntry) -> Stone {
    Stone {
        name: entry.name.clone(),
        centre: DVec3::from_array(entry.at_m),
        radius_m: entry.radius_m,
        friction: entry.friction,
    }
}

fn kind(name: &str, entry: &KindEntry) -> Kind {
    Kind {
        name: name.into(),
        shell_radius_m: entry.shell_radius_m,
        ride_height_m: entry.ride_height_m,
        foot_radius_m: entry.foot_radius_m,
        mass_kg: entry.mass_kg,
        com_height_m: entry.com_height_m,
        shell_reach_rad: entry.shell_reach_deg.to_radians(),
        hop_limit_rad: entry.hop_limit_deg.to_radians(),
        magnet_force_n: entry.magnet_force_n,
        cup_area_m2: entry.cup_area_m2,
        cup_vacuum_pa: entry.cup_vacuum_pa,
        bond_friction: entry.bond_friction,
        shell_friction: entry.shell_friction,
        hop_hold: entry.hop_hold,
        ramp_time_s: entry.ramp_time_s.unwrap_or(0.0),
        peel_radius_m: entry.peel_radius_m.unwrap_or(entry.foot_radius_m),
        step_limit_m: entry.step_limit_m.unwrap_or(0.0),
        crease_limit_rad: entry.crease_limit_deg.unwrap_or(0.0).to_radians(),
        cross_time_s: entry.cross_time_s.unwrap_or(entry.hop_time_s),
        drive_force_n: entry.drive_force_n,
        yaw_torque_rolling_nm: entry.yaw_torque_rolling_nm,
        yaw_torque_braced_nm: entry.yaw_torque_braced_nm,
        slide_speed_mps: entry.slide_speed_mps,
        yaw_rate_rolling_radps: entry.yaw_rate_rolling_radps,
        yaw_rate_braced_radps: entry.yaw_rate_braced_radps,
        hop_time_s: entry.hop_time_s,
        brace_time_s: entry.brace_time_s,
        release_time_s: entry.release_time_s,
        drive_power_w: entry.drive_power_w,
        yaw_power_w: entry.yaw_power_w,
        hop_power_w: entry.hop_power_w,
        brace_energy_j: entry.brace_energy_j,
        idle_power_w: entry.idle_power_w,
    }
}

fn module(entry: &ModuleEntry, scene: &Scenario) -> Option<Module> {
    let has_lost = |part: PartWord| entry.lost.as_ref().is_some_and(|lost| lost.contains(&part));
    Some(Module {
        name: entry.name.clone(),
        kind: kind_id(scene, &entry.kind)?,
        stuck: entry.stuck,
        lost: LostParts {
            drive: has_lost(PartWord::Drive),
            yaw: has_lost(PartWord::Yaw),
            cup: has_lost(PartWord::Cup),
        },
        payload_kg: entry.payload_kg,
        class: 0,
    })
}

fn start(scene: &Scenario, decks: &[Deck], grounds: &[Ground], kinds: &[Kind]) -> Option<Configuration> {
    let hosts: Option<Vec<Body>> = scene.module.iter().map(|entry| body(scene, decks, &entry.on)).collect();
    let hosts = hosts?;
    let chains: Vec<Option<usize>> = hosts.iter().map(|host| host.module().map(ModuleId::index)).collect();
    let mut places: Vec<Option<Placement>> = vec![None; hosts.len()];
    for at in hosts_first(&chains) {
        let entry = scene.module.get(at)?;
        let own = kinds.get(kind_id(scene, &entry.kind)?.index())?;
        let facing = entry.facing.and_then(direction);
        let place = match *hosts.get(at)? {
            Body::Ground(id) => Placement::on_ground(
                id,
                grounds.get(id.index())?,
                own,
                DVec2::from_array(entry.at_m?),
                facing,
            ),
            Body::Stone(_) => return None,
            Body::Module(id) => {
                let below = places.get(id.index())?.as_ref()?;
                let host = kinds.get(kind_id(scene, &scene.module.get(id.index())?.kind)?.index())?;
                Placement::on_shell(id, below.position, host, own, direction(entry.toward?)?, facing)
            }
        };
        *places.get_mut(at)? = Some(Placement { hold: entry.hold.into(), ..place.ok()? });
    }
    places.into_iter().collect::<Option<Vec<Placement>>>().map(Configuration::new)
}

fn goal(entry: &GoalEntry, scene: &Scenario, decks: &[Deck]) -> Option<Goal> {
    let listed = |name: &str| entry.slot.iter().position(|slot| slot.name == name);
    let hosts: Vec<Option<usize>> = entry
        .slot
        .iter()
        .map(|s| if deck_id(scene, &s.on).is_some() { None } else { listed(&s.on) })
        .collect();
    let order = hosts_first(&hosts);
    let rank =
        |name: &str| listed(name).and_then(|own| order.iter().position(|&at| at == own)).map(SlotId::at);
    let slots: Option<Vec<Slot>> = order
        .iter()
        .map(|&at| entry.slot.get(at).and_then(|slot| self::slot(slot, scene, decks, &rank)))
        .collect();
    let gather = match &entry.gather {
        None => None,
        Some(gather) => {
            let deck = deck_id(scene, &gather.deck)?;
            let ground = decks.get(deck.index())?.ground;
            let alone = decks.iter().filter(|other| other.ground == ground).count() == 1;
            let count = gather.count.unwrap_or(scene.module.len());
            Some(Gather { ground, within: (!alone).then_some(deck), count })
        }
    };
    let slots = slots?;
    (slots.len() == entry.slot.len()).then_some(Goal { slots, gather })
}

fn slot(
    entry: &SlotEntry,
    scene: &Scenario,
    decks: &[Deck],
    rank: &dyn Fn(&str) -> Option<SlotId>,
) -> Option<Slot> {
    let place = match deck_id(scene, &entry.on) {
        Some(deck) => SlotPlace::OnGround(decks.get(deck.index())?.ground, DVec2::from_array(entry.at_m?)),
        None => SlotPlace::OnSlot(rank(&entry.on)?, direction(entry.toward?)?),
    };
    // An inner None is a name that does not exist; an outer one means that no name was given.
    let kind = entry.kind.as_ref().map(|name| kind_id(scene, name));
    let module = entry.module.as_ref().map(|name| module_id(scene, name));
    if kind == Some(None) || module == Some(None) {
        return None;
    }
    Some(Slot {
        name: entry.name.clone(),
        place,
        kind: kind.flatten(),
        module: module.flatten(),
        hold: entry.hold.map(Hold::from),
        payload_kg: entry.payload_kg,
        optional: entry.optional.unwrap_or(false),
    })
}
