//! Site and crew, and every way that a module goes.

use super::body_number::number_of;
use clamber_core::unstable::course::{Course, Leg, Stand};
use clamber_core::unstable::geometry::Sweep;
use clamber_core::{DVec2, Hold, ModuleId, Placement, Problem};
use serde::Serialize;

#[derive(Serialize)]
pub(super) struct DeckEntry {
    pub(super) name: String,
    pub(super) outline: Vec<[f64; 2]>,
    /// The greatest height.
    pub(super) top: f64,
    /// Of a sloped deck the height over the world's origin, and the rise for each metre towards +x and +y.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) slope: Option<[f64; 3]>,
    /// Absent where it goes down without end.
    pub(super) bottom: Option<f64>,
    ferrous: bool,
    sealable: bool,
    friction: f64,
}

#[derive(Serialize)]
pub(super) struct StoneEntry {
    pub(super) name: String,
    pub(super) position: [f64; 3],
    pub(super) radius: f64,
}

#[derive(Serialize)]
pub(super) struct KindEntry {
    pub(super) name: String,
    pub(super) shell: f64,
    pub(super) ride: f64,
    pub(super) foot: f64,
}

#[derive(Serialize)]
pub(super) struct ModuleEntry {
    pub(super) name: String,
    pub(super) kind: usize,
    stuck: bool,
    /// With its payload, in kilograms.
    mass: f64,
    /// Height of the common centre of mass of module and payload along body z.
    com: f64,
    payload: f64,
    position: [f64; 3],
    orientation: [f64; 4],
    legs: Vec<LegEntry>,
    /// What it stands on and how, from when on.
    pub(super) stands: Vec<StandEntry>,
}

#[derive(Serialize)]
struct LegEntry {
    step: usize,
    from: f64,
    to: f64,
    position: [f64; 3],
    orientation: [f64; 4],
    #[serde(skip_serializing_if = "Option::is_none")]
    turn: Option<TurnEntry>,
    #[serde(skip_serializing_if = "Option::is_none")]
    shift: Option<[f64; 3]>,
    /// A turn about the own centre, beside the shift.
    #[serde(skip_serializing_if = "Option::is_none")]
    tilt: Option<TiltEntry>,
    #[serde(skip_serializing_if = "Option::is_none")]
    crank: Option<CrankEntry>,
}

#[derive(Serialize)]
struct TiltEntry {
    axis: [f64; 3],
    angle: f64,
}

/// What rides on balls that roll goes round their centres besides, without turning.
#[derive(Serialize)]
struct CrankEntry {
    arm: [f64; 3],
    axis: [f64; 3],
    angle: f64,
}

/// Right-handed rotation about a line.
#[derive(Serialize)]
struct TurnEntry {
    point: [f64; 3],
    axis: [f64; 3],
    angle: f64,
}

#[derive(Clone, Copy, PartialEq, Serialize)]
pub(super) struct StandEntry {
    pub(super) from: f64,
    pub(super) on: usize,
    pub(super) braced: bool,
}

impl DeckEntry {
    /// Height of the top at a point seen from above.
    pub(super) fn height_at(&self, [x, y]: [f64; 2]) -> f64 {
        self.slope.map_or(self.top, |[height, along_x, along_y]| height + along_x * x + along_y * y)
    }
}

pub(super) fn decks(problem: &Problem) -> Vec<DeckEntry> {
    let entry = |deck: &clamber_core::Deck| {
        let surfacing = problem.ground(deck.ground).surfacing;
        DeckEntry {
            name: deck.name.clone(),
            outline: deck.solid.outline.iter().map(DVec2::to_array).collect(),
            top: deck.solid.top_range()[1],
            slope: (!deck.solid.top.is_level()).then(|| {
                let DVec2 { x, y } = deck.solid.top.gradient();
                [deck.solid.top.height_at(DVec2::ZERO), x, y]
            }),
            bottom: Some(deck.solid.bottom).filter(|bottom| bottom.is_finite()),
            ferrous: surfacing.ferrous,
            sealable: surfacing.sealable,
            friction: surfacing.friction,
        }
    };
    problem.decks.iter().map(entry).collect()
}

pub(super) fn stones(problem: &Problem) -> Vec<StoneEntry> {
    let entry = |stone: &clamber_core::Stone| StoneEntry {
        name: stone.name.clone(),
        position: stone.centre.to_array(),
        radius: stone.radius_m,
    };
    problem.stones.iter().map(entry).collect()
}

pub(super) fn kinds(problem: &Problem) -> Vec<KindEntry> {
    let entry = |kind: &clamber_core::Kind| KindEntry {
        name: kind.name.clone(),
        shell: kind.shell_radius_m,
        ride: kind.ride_height_m,
        foot: kind.foot_radius_m,
    };
    problem.kinds.iter().map(entry).collect()
}

pub(super) fn modules(course: &Course<'_>) -> Vec<ModuleEntry> {
    let problem = course.problem;
    let entry = |id: ModuleId| {
        let module = &problem.modules[id.index()];
        let kind = problem.kind(id);
        let mass = problem.mass_kg(id);
        let place = problem.start.get(id);
        ModuleEntry {
            name: module.name.clone(),
            kind: module.kind.index(),
            stuck: module.stuck,
            mass,
            com: kind.com_height_m * kind.mass_kg / mass,
            payload: module.payload_kg,
            position: place.position.to_array(),
            orientation: place.orientation.to_array(),
            legs: course.legs[id.index()].iter().map(leg).collect(),
            stands: stands(course, id),
        }
    };
    problem.module_ids().map(entry).collect()
}

fn leg(leg: &Leg) -> LegEntry {
    let mut crank = None;
    let mut tilt = leg.tilt;
    let (turn, shift) = match leg.sweep {
        Sweep::Turn { point, axis, angle } => {
            (Some(TurnEntry { point: point.to_array(), axis: axis.to_array(), angle }), None)
        }
        Sweep::Shift { step } => (None, Some(step.to_array())),
        Sweep::Roll { step, axis, angle } => {
            tilt = Some((axis, angle));
            (None, Some(step.to_array()))
        }
        Sweep::Ride { step, arm, axis, angle } => {
            crank = Some(CrankEntry { arm: arm.to_array(), axis: axis.to_array(), angle });
            (None, Some(step.to_array()))
        }
    };
    let Placement { position, orientation, .. } = leg.start;
    let tilt = tilt.map(|(axis, angle)| TiltEntry { axis: axis.to_array(), angle });
    LegEntry {
        step: leg.step,
        from: leg.from_s,
        to: leg.to_s,
        position: position.to_array(),
        orientation: orientation.to_array(),
        turn,
        shift,
        tilt,
        crank,
    }
}

fn stands(course: &Course<'_>, id: ModuleId) -> Vec<StandEntry> {
    let entry = |stand: &Stand| StandEntry {
        from: stand.from_s,
        on: number_of(course.problem, stand.host),
        braced: stand.hold == Hold::Braced,
    };
    course.stands[id.index()].iter().map(entry).collect()
}
