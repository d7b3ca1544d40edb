//! Why a load is not carried, in an engineer's words.

use super::bond::{BondLoad, FailureMode};
use super::describe_direction;
use crate::math::log10;
use crate::model::{Body, ModuleId, Problem};

/// The bond that fails first, and its failure mode.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reason {
    /// The module whose bond it is.
    pub child: ModuleId,
    /// Its host.
    pub host: Body,
    /// The failure mode.
    pub governs: FailureMode,
    /// The demand: adhesion in newtons, or the drive force in newtons, or the torque in N·m.
    pub needs: f64,
    /// The capacity in the same unit, already divided by the hold factor.
    pub holds: f64,
    /// Adhesion of the bond, in newtons.
    pub adhesion_n: f64,
    /// Index of the direction of gravity.
    pub direction: usize,
}

impl Reason {
    pub(super) fn of_bond(
        bond: &BondLoad,
        governs: FailureMode,
        needs: f64,
        holds: f64,
        direction: usize,
    ) -> Self {
        Self {
            child: bond.child,
            host: bond.host,
            governs,
            needs,
            holds,
            adhesion_n: bond.adhesion_n,
            direction,
        }
    }

    /// The reason as a sentence without a full stop: `m4 peels off m2: needs 61 N, holds 53 N at a factor of 1.5, gravity tilted
    /// 3° towards +x`.
    #[must_use]
    pub fn describe(&self, problem: &Problem, sway_rad: f64) -> String {
        let (child, host) = (problem.module_name(self.child), problem.name_of(self.host));
        let gravity = describe_direction(self.direction, sway_rad);
        let (needs, holds) = (figure(self.needs), figure(self.holds));
        let held = format!("holds {holds} N {}", problem.limits.reserve());
        match self.governs {
            FailureMode::Drive => {
                format!(
                    "{child} cannot drive on {host}: needs {needs} N along the surface, its tracks give {holds} N, {gravity}"
                )
            }
            FailureMode::Turn => {
                format!(
                    "{child} cannot turn on {host}: needs {needs} N·m, its foot gives {holds} N·m, {gravity}"
                )
            }
            FailureMode::Peel if self.adhesion_n > 0.0 => {
                format!("{child} peels off {host}: needs {needs} N, {held}, {gravity}")
            }
            FailureMode::Slip if self.adhesion_n > 0.0 => {
                format!("{child} slips on {host}: needs {needs} N, {held}, {gravity}")
            }
            FailureMode::Peel => {
                format!(
                    "{child} tips on {host}: needs {needs} N of adhesion, and nothing holds it there but its weight, {gravity}"
                )
            }
            FailureMode::Slip => {
                format!(
                    "{child} slips on {host}: needs {needs} N of adhesion, and nothing holds it there but its weight, {gravity}"
                )
            }
        }
    }
}

/// A number with three significant figures.
fn figure(value: f64) -> String {
    if !value.is_finite() {
        return "more than any force".into();
    }
    let magnitude = log10(value.abs().max(1e-12)).floor() as i32;
    let decimals = (2 - magnitude).clamp(0, 6) as usize;
    let text = format!("{value:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').into() } else { text }
}
