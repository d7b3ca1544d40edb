//! Whether the values of a problem make sense, however it was made.
//!
//! What a file cannot hold is refused here: numbers out of range, indices of nothing, tables that contradict each other. Whether a sensible start
//! is sound is another question.

use super::invalid::{Faults, Invalid, InvalidValue, finish, from_to};
use super::ranges::{self, CORNERS, LARGEST, NAME_LENGTH};
use super::{
    Body, BondForest, Configuration, Deck, Gather, Kind, ModuleId, Problem, Slot, SlotPlace, grounds,
};
use crate::geometry::{OutlineFault, Slope, outline_fault};
use crate::math::{DQuat, DVec3, tolerance};
use std::f64::consts::FRAC_PI_2;
use std::fmt::Display;

impl Problem {
    /// Whether all values make sense.
    ///
    /// [`solve`](crate::solve()) and all else that answers questions about a problem asks this first. The start need not be sound. Complexity:
    /// quadratic in the corners of the decks.
    ///
    /// # Errors
    /// Every value that does not make sense.
    pub fn validate(&self) -> Result<(), Invalid> {
        let mut values = Vec::new();
        let list = &mut values;
        self.push_scene(list);
        self.push_ground(list);
        self.push_stones(list);
        self.kinds.iter().for_each(|kind| push_kind(kind, list));
        self.push_modules(list);
        self.push_placements("start", &self.start, list);
        self.push_goal(list);
        finish(values)
    }

    /// Whether a configuration is one of this problem's crew: every module has a finite place on a body that exists.
    ///
    /// # Errors
    /// Every value that does not make sense.
    pub(crate) fn validate_configuration(&self, there: &Configuration) -> Result<(), Invalid> {
        let mut values = Vec::new();
        self.push_placements("configuration", there, &mut values);
        finish(values)
    }

    /// Whether there is such a module.
    ///
    /// # Errors
    /// The index that is too great.
    pub(crate) fn validate_module(&self, module: ModuleId) -> Result<(), Invalid> {
        let mut values = Vec::new();
        Faults::of(&mut values, "crew".into()).index("module", module.index(), self.modules.len(), "module");
        finish(values)
    }

    fn push_scene(&self, list: &mut Vec<InvalidValue>) {
        let mut site = Faults::of(list, "site".into());
        for (field, value, allowed) in ranges::SITE {
            site.number(field, value(&self.site), allowed);
        }
        let mut limits = Faults::of(list, "limits".into());
        for (field, value, allowed) in ranges::LIMITS {
            limits.number(field, value(&self.limits), allowed);
        }
        let hold_factor = self.limits.hold_factor;
        if let Some(factor) = self.limits.recover_factor.filter(|f| !(*f >= 1.0 && *f < hold_factor)) {
            let allowed = format!("a number from 1 up to less than hold_factor, which is {hold_factor},");
            limits.add("recover_factor", factor.to_string(), allowed);
        }
        let mut scene = Faults::of(list, "problem".into());
        for (field, count) in
            [("decks", self.decks.len()), ("kinds", self.kinds.len()), ("modules", self.modules.len())]
        {
            scene.number(field, count as f64, from_to(1.0, LARGEST as f64));
        }
        scene.number("goal.slots", self.goal.slots.len() as f64, from_to(0.0, LARGEST as f64));
        let stones = || self.stones.iter().map(|stone| &stone.name);
        let decks = || self.decks.iter().map(|deck| &deck.name).chain(stones());
        push_names(&mut scene, "decks and modules", decks().chain(self.modules.iter().map(|m| &m.name)));
        push_names(&mut scene, "slots and decks", self.goal.slots.iter().map(|s| &s.name).chain(decks()));
        push_names(&mut scene, "kinds", self.kinds.iter().map(|kind| &kind.name));
    }

    /// Decks and the grounds that they form.
    fn push_ground(&self, list: &mut Vec<InvalidValue>) {
        let before = list.len();
        for deck in &self.decks {
            push_deck(deck, self.grounds.len(), list);
        }
        for (index, ground) in self.grounds.iter().enumerate() {
            let mut faults = Faults::of(list, format!("ground {index}"));
            faults.number("surfacing.friction", ground.surfacing.friction, ranges::DECK_FRICTION);
            faults.number("surfacing.relief_m", ground.surfacing.relief_m, from_to(0.0, ranges::HUGE));
            let left = FRAC_PI_2 - self.limits.moving_sway_rad();
            faults.number("surfacing.tilt_rad", ground.surfacing.tilt_rad, from_to(0.0, left));
        }
        if list.len() == before && !self.has_own_grounds() {
            let found = "another list than the decks form";
            Faults::of(list, "problem".into()).add(
                "grounds",
                found,
                "what the decks form, each with its ground,",
            );
        }
    }

    /// Whether the grounds are those that the decks form. Decks and grounds refer to each other by valid indices.
    fn has_own_grounds(&self) -> bool {
        let surfaced = |deck: &Deck| {
            (deck.name.clone(), deck.solid.clone(), self.grounds[deck.ground.index()].surfacing)
        };
        let mut own = self.clone();
        let laid = self.decks.iter().map(surfaced).collect();
        (own.decks, own.grounds) = grounds(laid, self.edition.decks_join());
        own.assign_regions();
        own.decks == self.decks && own.grounds == self.grounds
    }

    fn push_stones(&self, list: &mut Vec<InvalidValue>) {
        for stone in &self.stones {
            let mut faults = Faults::of(list, format!("stone {}", stone.name));
            push_name(&mut faults, &stone.name);
            push_position(&mut faults, "centre", stone.centre);
            faults.number("radius_m", stone.radius_m, from_to(ranges::TINY, ranges::HUGE));
            faults.number("friction", stone.friction, ranges::DECK_FRICTION);
        }
    }

    fn push_modules(&self, list: &mut Vec<InvalidValue>) {
        let before = list.len();
        for module in &self.modules {
            let mut faults = Faults::of(list, format!("module {}", module.name));
            push_name(&mut faults, &module.name);
            faults.index("kind", module.kind.index(), self.kinds.len(), "kind");
            faults.number("payload_kg", module.payload_kg, ranges::PAYLOAD);
        }
        let mut classed = self.clone();
        classed.assign_classes();
        for (module, own) in self.modules.iter().zip(&classed.modules) {
            if list.len() == before && module.class != own.class {
                let mut faults = Faults::of(list, format!("module {}", module.name));
                let allowed = format!("{}, as `assign_classes` gives it,", own.class);
                faults.add("class", module.class.to_string(), allowed);
                break;
            }
        }
    }

    fn push_placements(&self, of: &str, there: &Configuration, list: &mut Vec<InvalidValue>) {
        let (before, crew) = (list.len(), self.modules.len());
        if there.len() != crew {
            let found = format!("{} placements", there.len());
            Faults::of(list, of.into()).add("len", found, format!("one for each of {crew} modules"));
            return;
        }
        for (module, (id, place)) in self.modules.iter().zip(there.iter()) {
            let mut faults = Faults::of(list, format!("module {}", module.name));
            push_position(&mut faults, &format!("{of}.position"), place.position);
            push_orientation(&mut faults, &format!("{of}.orientation"), place.orientation);
            let host = format!("{of}.host");
            match place.host {
                Body::Module(on) if on == id => faults.add(&host, "itself", "a ground or another module"),
                body => {
                    self.push_body(&mut faults, &host, body);
                }
            }
        }
        if list.len() == before && !BondForest::new(there).is_forest() {
            let found = "a ring of modules that stand on one another";
            Faults::of(list, of.into()).add("host", found, "only a chain of hosts that ends on a ground");
        }
    }

    /// A body that exists.
    pub(crate) fn push_body(&self, faults: &mut Faults<'_>, field: &str, body: Body) -> bool {
        match body {
            Body::Ground(id) => faults.index(field, id.index(), self.grounds.len(), "ground"),
            Body::Module(id) => faults.index(field, id.index(), self.modules.len(), "module"),
            Body::Stone(id) => faults.index(field, id.index(), self.stones.len(), "stone"),
        }
    }

    fn push_goal(&self, list: &mut Vec<InvalidValue>) {
        for (index, slot) in self.goal.slots.iter().enumerate() {
            let mut faults = Faults::of(list, format!("slot {}", slot.name));
            self.push_slot(&mut faults, index, slot);
        }
        if let Some(Gather { ground, within, count }) = self.goal.gather {
            let mut faults = Faults::of(list, "goal".into());
            let exists = faults.index("gather.ground", ground.index(), self.grounds.len(), "ground");
            if let Some(deck) = within
                && faults.index("gather.within", deck.index(), self.decks.len(), "deck")
                && exists
                && self.decks[deck.index()].ground != ground
            {
                faults.add("gather.within", "a deck of another ground", "a deck of this ground");
            }
            faults.number("gather.count", count as f64, from_to(0.0, LARGEST as f64));
        }
    }

    fn push_slot(&self, faults: &mut Faults<'_>, index: usize, slot: &Slot) {
        push_name(faults, &slot.name);
        if let Some(kind) = slot.kind {
            faults.index("kind", kind.index(), self.kinds.len(), "kind");
        }
        if let Some(module) = slot.module {
            faults.index("module", module.index(), self.modules.len(), "module");
        }
        faults.number("payload_kg", slot.payload_kg, ranges::PAYLOAD);
        match slot.place {
            SlotPlace::OnGround(ground, at) => {
                faults.index("place", ground.index(), self.grounds.len(), "ground");
                at.to_array().into_iter().for_each(|x| faults.number("place", x, ranges::COORDINATE));
            }
            SlotPlace::OnSlot(below, toward) => {
                if let Some(below) = self.goal.slots[..index].get(below.index()) {
                    if below.optional && !slot.optional {
                        let found = format!("slot {}, which may stay empty", below.name);
                        faults.add("place", found, "a slot that is not optional");
                    }
                } else {
                    faults.add("place", format!("slot {}", below.index()), "a slot listed before this one");
                }
                push_unit(faults, "place", toward.length(), "direction");
            }
        }
    }
}

fn push_kind(kind: &Kind, list: &mut Vec<InvalidValue>) {
    let mut faults = Faults::of(list, format!("kind {}", kind.name));
    push_name(&mut faults, &kind.name);
    for (field, value, allowed) in ranges::KIND {
        faults.number(field, value(kind), allowed);
    }
    let Kind { shell_radius_m: shell, ride_height_m: ride, foot_radius_m: foot, .. } = *kind;
    let mut demand = |fits: bool, field: &str, value: f64, allowed: String| {
        // What is no number has been reported by its range.
        if !fits && !value.is_nan() {
            faults.add(field, value.to_string(), allowed);
        }
    };
    demand(ride >= shell, "ride_height_m", ride, format!("not less than shell_radius_m, which is {shell},"));
    demand(foot <= shell, "foot_radius_m", foot, format!("not more than shell_radius_m, which is {shell},"));
    let (peel, com) = (kind.peel_radius_m, kind.com_height_m);
    demand(peel <= foot, "peel_radius_m", peel, format!("not more than foot_radius_m, which is {foot},"));
    let allowed = format!("from -{ride} (the sole) up to {shell} (the top of the shell)");
    demand((-ride..=shell).contains(&com), "com_height_m", com, allowed);
}

fn push_deck(deck: &Deck, ground_count: usize, list: &mut Vec<InvalidValue>) {
    let mut faults = Faults::of(list, format!("deck {}", deck.name));
    push_name(&mut faults, &deck.name);
    faults.index("ground", deck.ground.index(), ground_count, "ground");
    let solid = &deck.solid;
    let [least, most] = solid.top_range();
    for height in [least, most] {
        faults.number("solid.top", height, ranges::COORDINATE);
    }
    push_top(&mut faults, &solid.top);
    let below = solid.bottom < least && (solid.bottom >= -ranges::HUGE || solid.bottom == f64::NEG_INFINITY);
    if !below {
        faults.add("solid.bottom", solid.bottom.to_string(), "a height below the top, or minus infinity,");
    }
    let corners = &solid.outline;
    if !(3..=CORNERS).contains(&corners.len()) {
        faults.add("solid.outline", format!("{} corners", corners.len()), format!("3 to {CORNERS} corners"));
    } else if let Some(corner) =
        corners.iter().find(|c| !(c.abs().max_element() <= ranges::HUGE && c.is_finite()))
    {
        faults.number("solid.outline", corner.x, ranges::COORDINATE);
        faults.number("solid.outline", corner.y, ranges::COORDINATE);
    } else if let Some(fault) = outline_fault(corners) {
        let found = match fault {
            OutlineFault::ZeroEdge(at) => format!("corner {at} at the place of the one before it"),
            OutlineFault::Meets(i, j) => format!("edges from corners {i} and {j} that meet"),
            OutlineFault::Clockwise => "a polygon that runs clockwise".to_owned(),
        };
        faults.add("solid.outline", found, "a counter-clockwise polygon that does not meet itself");
    }
}

/// The frame of a top: its normal points upwards, at most 60° off, and the three directions are those of a plane with this normal.
fn push_top(faults: &mut Faults<'_>, top: &Slope) {
    let like = if top.is_level() { Slope::level(0.0) } else { Slope::rising(0.0, top.gradient()) };
    let off = [top.u - like.u, top.v - like.v, top.normal - like.normal].map(DVec3::length);
    let is_frame = off.into_iter().all(|off| off <= tolerance::ANGLE_RAD) && top.normal.z >= LEAST_UP;
    if !is_frame {
        faults.add(
            "solid.top",
            format!("the normal {}", top.normal),
            "a plane of at most 60° made by `Slope`",
        );
    }
}

/// The upward part of the normal of a slope of 60°, with rounding.
const LEAST_UP: f64 = 0.5 - 1e-9;

fn push_name(faults: &mut Faults<'_>, name: &str) {
    let length = name.chars().count();
    if !(1..=NAME_LENGTH).contains(&length) || name.chars().any(char::is_control) {
        let allowed = format!("a text of 1 to {NAME_LENGTH} characters without control characters");
        faults.add("name", format!("{name:?}"), allowed);
    }
}

/// Names that are used once only.
fn push_names<'n>(faults: &mut Faults<'_>, field: &str, names: impl Iterator<Item = &'n String>) {
    let mut seen = indexmap::IndexSet::new();
    for name in names.filter(|name| !seen.insert(name.as_str())).collect::<Vec<_>>() {
        faults.add(field, format!("the name {name:?} twice"), "each name once");
    }
}

fn push_position(faults: &mut Faults<'_>, field: &str, position: DVec3) {
    for value in position.to_array() {
        faults.number(field, value, from_to(-FARTHEST_M, FARTHEST_M));
    }
}

fn push_orientation(faults: &mut Faults<'_>, field: &str, orientation: DQuat) {
    push_unit(faults, field, orientation.length(), "quaternion");
}

fn push_unit(faults: &mut Faults<'_>, field: &str, length: f64, what: impl Display) {
    let off = (length - 1.0).abs();
    if off.is_nan() || off > tolerance::ANGLE_RAD {
        faults.add(field, format!("a {what} of length {length}"), format!("a {what} of length 1"));
    }
}

/// Chains of the largest modules reach this far from a deck, in metres.
const FARTHEST_M: f64 = 1e10;
