//! Crews stopped at any instant of a plan, and measured with errors.

use crate::support::Dice;
use clamber_core::follow::{Measured, Scatter};
use clamber_core::unstable::course::Course;
use clamber_core::{Body, Configuration, DQuat, DVec3, Hold, Move, Placement, Plan, Problem};

/// A crew that stopped in the middle of a plan.
pub(crate) struct Stop {
    /// Where it is, with rolling holds where they were being changed; hopping modules are on their old hosts.
    pub(crate) truth: Configuration,
    /// Where hopping modules were going, and how far they had turned.
    pub(crate) hopping: Vec<(clamber_core::ModuleId, Body, DQuat)>,
}

/// The crew at an instant of a plan.
pub(crate) fn stopped_at(problem: &Problem, plan: &Plan, at_s: f64) -> Stop {
    let course = Course::new(problem, plan).expect("it has times");
    let mut hopping = Vec::new();
    let placed = problem.module_ids().map(|module| {
        let begun = course.spans.iter().filter(|span| span.from_s <= at_s && span.place(module).is_some());
        let span = begun.max_by(|a, b| a.from_s.total_cmp(&b.from_s)).expect("the first begins at 0");
        let begin = *span.place(module).expect("it is a member");
        let (position, orientation) = course.pose(module, at_s);
        let own = span.steps.iter().map(|&step| &plan.steps[step]).find(|step| step.module == module);
        match own.map(|step| step.action) {
            Some(Move::Hop { to }) => {
                hopping.push((module, to, orientation));
                begin
            }
            Some(Move::Cross { .. }) => Placement { position, ..begin },
            _ => Placement { position, orientation, ..begin },
        }
    });
    let truth = Configuration::new(placed.collect());
    Stop { truth, hopping }
}

/// Errors of measuring: each coordinate evenly within half a millimetre, orientations about any axis evenly within half a degree.
pub(crate) fn measured(stop: &Stop, dice: &mut Dice, scatter: Scatter) -> Vec<Measured> {
    let mut found: Vec<Measured> = stop
        .truth
        .iter()
        .map(|(id, place)| {
            let hop = stop.hopping.iter().find(|(module, ..)| *module == id);
            let mut measured = Measured::exactly(place, scatter);
            if let Some((_, to, orientation)) = hop {
                (measured.hopping_to, measured.orientation) = (Some(*to), *orientation);
            }
            measured
        })
        .collect();
    for m in &mut found {
        let mut error = || dice.between(-scatter.position_m, scatter.position_m);
        m.position += DVec3::new(error(), error(), error());
        let angle = dice.between(-scatter.angle_rad, scatter.angle_rad);
        m.orientation = (DQuat::from_axis_angle(dice.direction(), angle) * m.orientation).normalize();
    }
    found
}

/// The configurations in which the hops of a stop have ended or have been taken back.
pub(crate) fn ends(problem: &Problem, stop: &Stop) -> Vec<Configuration> {
    (0..1_u32 << stop.hopping.len())
        .filter_map(|bits| {
            let mut there = stop.truth.clone();
            for (at, (module, to, _)) in stop.hopping.iter().enumerate() {
                if bits & 1 << at != 0 {
                    let hold = there.get(*module).hold;
                    there.get_mut(*module).hold = Hold::Rolling;
                    there = clamber_core::unstable::motion::apply(
                        problem,
                        &there,
                        *module,
                        &Move::Hop { to: *to },
                    )
                    .ok()?;
                    there.get_mut(*module).hold = hold;
                }
            }
            Some(there)
        })
        .collect()
}
