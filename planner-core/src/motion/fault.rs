//! Violations of a rule at an instant: which rule, which module, the value found and the limit.

use super::{MoveError, Rule};
use crate::math::tolerance;
use crate::model::{Body, ModuleId, Problem};
use crate::statics::Reason;

/// A violation of a rule of the model, sections 2 to 6.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fault {
    /// The move cannot begin.
    Cannot {
        /// The mover.
        module: ModuleId,
        /// The cause.
        error: MoveError,
    },
    /// A bond is not where section 2 puts it.
    Bond {
        /// The module whose bond it is.
        module: ModuleId,
        /// Its host.
        host: Body,
        /// Deviation of the centre, in metres.
        off_m: f64,
        /// Deviation of body z, in radians.
        off_rad: f64,
    },
    /// A chain of bonds does not end on a deck.
    Adrift {
        /// The module.
        module: ModuleId,
    },
    /// The foot's disc leaves the deck's outline.
    Outline {
        /// The module.
        module: ModuleId,
        /// The deck.
        deck: Body,
        /// Signed distance of the foot's centre inside the outline, in metres.
        inset_m: f64,
        /// The foot's radius, in metres.
        foot_m: f64,
    },
    /// A foot stands too far from its host's axis.
    Reach {
        /// The module.
        module: ModuleId,
        /// The host.
        host: Body,
        /// Angle from the host's body +z, in radians.
        angle_rad: f64,
        /// The host's limit.
        limit_rad: f64,
    },
    /// Two bodies overlap.
    Overlap {
        /// A module.
        module: ModuleId,
        /// The body that it overlaps.
        other: Body,
        /// Free gap in metres; negative.
        gap_m: f64,
    },
    /// A drive comes nearer to what it does not move than the clearance asked for.
    Clearance {
        /// A module that is moved.
        module: ModuleId,
        /// The body that it comes near to.
        other: Body,
        /// The gap, in metres.
        gap_m: f64,
        /// The gap asked for there, in metres.
        asked_m: f64,
    },
    /// The load is not carried.
    Load {
        /// Which bond fails, and how; `None` if no equilibrium could be computed.
        reason: Option<Reason>,
        /// The least possible largest utilisation; `None` without equilibrium.
        utilisation: Option<f64>,
    },
}

impl Fault {
    /// The rule.
    #[must_use]
    pub const fn rule(&self) -> Rule {
        match self {
            Self::Cannot { .. } => Rule::Move,
            Self::Bond { .. } => Rule::Bond,
            Self::Adrift { .. } => Rule::Connectivity,
            Self::Outline { .. } => Rule::Outline,
            Self::Reach { .. } => Rule::Reach,
            Self::Overlap { .. } => Rule::Overlap,
            Self::Clearance { .. } => Rule::Clearance,
            Self::Load { .. } => Rule::Load,
        }
    }

    /// The fault as a sentence without a full stop.
    #[must_use]
    pub fn describe(&self, problem: &Problem) -> String {
        let name = |m: ModuleId| problem.module_name(m);
        match *self {
            Self::Cannot { module, error } => format!("{}: {error}", name(module)),
            Self::Bond { module, host, off_m, off_rad } => format!(
                "{} is {off_m:.3e} m and {off_rad:.3e} rad off its place on {}; {:e} of each is allowed",
                name(module),
                problem.name_of(host),
                tolerance::LENGTH_M
            ),
            Self::Adrift { module } => {
                format!("{}'s bonds end on no deck; every chain of bonds must", name(module))
            }
            Self::Outline { module, deck, inset_m, foot_m } => format!(
                "{}'s foot leaves {}: its centre is {:.2} mm inside the outline, the foot's radius is {:.2} mm",
                name(module),
                problem.name_of(deck),
                inset_m * 1e3,
                foot_m * 1e3
            ),
            Self::Reach { module, host, angle_rad, limit_rad } => format!(
                "{} stands {:.3}° from the top of {}; its shell reach is {:.3}°",
                name(module),
                angle_rad.to_degrees(),
                problem.name_of(host),
                limit_rad.to_degrees()
            ),
            Self::Overlap { module, other, gap_m } => format!(
                "{} overlaps {} by {:.4} mm; shells and solids must not overlap",
                name(module),
                problem.name_of(other),
                -gap_m * 1e3
            ),
            Self::Clearance { module, other, gap_m, asked_m } => format!(
                "{} comes within {:.3} mm of {}; drives keep {:.3} mm there",
                name(module),
                gap_m * 1e3,
                problem.name_of(other),
                asked_m * 1e3
            ),
            Self::Load { reason: Some(reason), .. } => reason.describe(problem, problem.limits.sway_rad),
            Self::Load { reason: None, .. } => "no forces balance the crew".into(),
        }
    }

    /// The modules and decks involved.
    #[must_use]
    pub fn bodies(&self) -> Vec<Body> {
        match *self {
            Self::Cannot { module, .. } | Self::Adrift { module } => vec![Body::Module(module)],
            Self::Bond { module, host: other, .. }
            | Self::Outline { module, deck: other, .. }
            | Self::Reach { module, host: other, .. }
            | Self::Overlap { module, other, .. }
            | Self::Clearance { module, other, .. } => vec![Body::Module(module), other],
            Self::Load { reason, .. } => {
                reason.map_or_else(Vec::new, |r| vec![Body::Module(r.child), r.host])
            }
        }
    }

    /// Value found and limit, in the unit of the rule; `None` where there is no number.
    #[must_use]
    pub fn figures(&self) -> Option<(f64, f64)> {
        match *self {
            Self::Cannot { .. } | Self::Adrift { .. } => None,
            Self::Bond { off_m, off_rad, .. } => Some((off_m.max(off_rad), crate::math::tolerance::LENGTH_M)),
            Self::Outline { inset_m, foot_m, .. } => Some((inset_m, foot_m)),
            Self::Reach { angle_rad, limit_rad, .. } => Some((angle_rad, limit_rad)),
            Self::Overlap { gap_m, .. } => Some((gap_m, 0.0)),
            Self::Clearance { gap_m, asked_m, .. } => Some((gap_m, asked_m)),
            Self::Load { reason, utilisation } => utilisation
                .zip(reason)
                .map(|(u, r)| (u, if r.adhesion_n > 0.0 { r.holds / r.adhesion_n } else { 0.0 })),
        }
    }
}
