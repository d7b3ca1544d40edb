//! The survey of one mover: the parts of its accessible surface, which of them it reaches and why not the others, its rests, and the narrowest
//! passage on the way.

mod parts;
mod passage;
mod refusal;

pub use parts::PartSurvey;
pub use passage::Passage;
pub use refusal::{Refusal, Unreached};

use super::{Interest, Pocket, Reach, Surface, Waypoint, compile, reachable};
use crate::control::Interrupt;
use crate::math::DVec3;
use crate::model::{Body, Configuration, Hold, ModuleId, Problem, Slot, SlotPlace, Unanswered};

/// Whether the mover can make trips.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Freedom {
    /// It can.
    Free,
    /// It is stuck, or its drive is lost.
    Stuck,
    /// This module stands on it: it drives and turns only with everything that stands on it, and does not hop.
    Carries(ModuleId),
}

impl Freedom {
    /// The name in files.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Free => "free",
            Self::Stuck => "stuck",
            Self::Carries(_) => "carries",
        }
    }
}

/// A rest that the mover reaches.
#[derive(Clone, Debug, PartialEq)]
pub struct RestSurvey {
    /// The end of the trip and its waypoints.
    pub reach: Reach,
    /// Path length of the sole over all slides, in metres.
    pub way_m: f64,
    /// Number of moves.
    pub moves: usize,
}

/// The accessible surface of one mover, and the parts that it reaches while the others stand with the holds they have.
#[derive(Clone, Debug)]
pub struct Survey {
    /// The module that is surveyed.
    pub mover: ModuleId,
    /// Whether it can make trips; if not there are no rests.
    pub freedom: Freedom,
    /// The surface itself, with the arcs on which it can hop.
    pub surface: Surface,
    /// The surface's connected parts, in the order of [`Surface::graph`].
    pub parts: Vec<PartSurvey>,
    /// Places where it meets three bodies at once.
    pub pockets: Vec<Pocket>,
    /// Rests reached, the shortest trip time first.
    pub rests: Vec<RestSurvey>,
    /// The narrowest passage on all trips to rests; `None` where no body is near except at their ends.
    pub narrowest: Option<Passage>,
}

impl Survey {
    /// Area of the whole surface in m².
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        self.parts.iter().map(|part| part.area_m2).sum()
    }

    /// Whether a place on a host, in the world frame, lies in a part that the mover reaches.
    #[must_use]
    pub fn is_reached(&self, host: Body, position: DVec3) -> bool {
        let part = self.surface.region(host).and_then(|region| region.part_at(position));
        self.parts.iter().any(|p| p.host == host && Some(p.part) == part && p.unreached.is_none())
    }
}

/// Surveys the accessible surface of `mover` while all others stand as in `configuration`: its parts, hop arcs, pockets, rests and narrowest passage,
/// in SI units and the world frame.
///
/// The surface is an exact arrangement with the module as probe (Lee & Richards 1971). Places of the goal count as rests. The surface of a
/// mover that carries others is that of all of them together, clear in every heading; it has no hop arcs and no trips are looked for. Complexity: that of [`reachable()`], and for each rest one compilation of its trip.
///
/// # Errors
/// When a value of the problem or the configuration makes no sense or there is no such module, and when interrupted; the interrupt is polled as in
/// [`reachable()`] and before each rest.
pub fn survey(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    interrupt: Interrupt<'_>,
) -> Result<Survey, Unanswered> {
    problem.validate()?;
    problem.validate_configuration(configuration)?;
    problem.validate_module(mover)?;
    let surface = Surface::new(problem, configuration, mover);
    let freedom = if !problem.modules[mover.index()].can_drive() {
        Freedom::Stuck
    } else {
        let guest = configuration.standing_on(Body::Module(mover)).next();
        guest.map_or(Freedom::Free, Freedom::Carries)
    };
    let mut start = configuration.clone();
    start.get_mut(mover).hold = Hold::Rolling;
    let limit = problem.limits.utilisation_to_plan_for();
    let ends = if freedom == Freedom::Free {
        reachable(problem, &start, mover, &goal_interest(problem, mover), limit, interrupt)?.ends
    } else {
        Vec::new()
    };
    let mut narrowest = passage::Narrowest::new(problem, &start, mover);
    let mut rests = Vec::with_capacity(ends.len());
    for reach in ends {
        interrupt.go_on()?;
        let moves = compile(problem, &start, mover, &reach.waypoints).unwrap_or_default();
        narrowest.look_at(&moves, &reach);
        let way_m = moves.iter().map(|(action, _)| action.travel_m().abs()).sum();
        rests.push(RestSurvey { way_m, moves: moves.len(), reach });
    }
    let stands: Vec<Waypoint> = rests.iter().flat_map(|rest| rest.reach.waypoints.iter().copied()).collect();
    let asked = refusal::Asked { problem, start: &start, mover, limit };
    let parts = parts::parts(&asked, &surface, freedom, &stands);
    let pockets = surface.pockets(problem, configuration);
    Ok(Survey { mover, freedom, parts, pockets, rests, narrowest: narrowest.found, surface })
}

/// Nominal places of the goal, as if modules of the mover's kind filled all slots.
fn goal_interest(problem: &Problem, mover: ModuleId) -> Interest {
    let places: Vec<DVec3> =
        problem.goal.slots.iter().filter_map(|slot| nominal(problem, slot, mover)).collect();
    Interest { beacons: places.clone(), places }
}

fn nominal(problem: &Problem, slot: &Slot, mover: ModuleId) -> Option<DVec3> {
    let host = match slot.place {
        SlotPlace::OnGround(..) => None,
        SlotPlace::OnSlot(below, _) => {
            Some((mover, nominal(problem, &problem.goal.slots[below.index()], mover)?))
        }
    };
    problem.slot_place(slot, mover, host)
}
