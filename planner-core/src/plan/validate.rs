//! Whether the values of a plan make sense for its problem.

use super::{Plan, Step};
use crate::model::invalid::{Faults, finish};
use crate::model::{Body, Invalid, Problem};
use crate::motion::Move;

impl Plan {
    /// Whether the plan speaks of modules and bodies that its problem has, in finite numbers. Times and figures are claims, which are left to the check.
    ///
    /// # Errors
    /// Every value that does not make sense, or every one of the problem.
    pub fn validate(&self, problem: &Problem) -> Result<(), Invalid> {
        problem.validate()?;
        let mut values = Vec::new();
        for (index, step) in self.steps.iter().enumerate() {
            push_step(problem, step, &mut Faults::of(&mut values, format!("step {index}")));
        }
        finish(values)
    }
}

fn push_step(problem: &Problem, step: &Step, faults: &mut Faults<'_>) {
    problem.push_body(faults, "module", Body::Module(step.module));
    match step.action {
        Move::Yaw { angle_rad } => faults.finite("angle_rad", &[angle_rad]),
        Move::Slide { travel_m, curvature_per_m } => {
            faults.finite("travel_m", &[travel_m]);
            faults.finite("curvature_per_m", &[curvature_per_m]);
        }
        Move::Hop { to } => {
            problem.push_body(faults, "to", to);
        }
        Move::Cross { to, travel_m } => {
            problem.push_body(faults, "to", Body::Ground(to));
            faults.finite("travel_m", &[travel_m]);
        }
        Move::Stride { direction, angle_rad, planted, to } => {
            problem.push_body(faults, "to", Body::Ground(to));
            faults.finite("direction", &direction.to_array());
            faults.finite("angle_rad", &[angle_rad]);
            for &id in planted.ids() {
                problem.push_body(faults, "planted", Body::Module(id));
            }
        }
        Move::Brace | Move::Release => {}
    }
    problem.push_body(faults, "end.host", step.end.host);
    faults.finite("end.position", &step.end.position.to_array());
    faults.finite("end.orientation", &step.end.orientation.to_array());
}
