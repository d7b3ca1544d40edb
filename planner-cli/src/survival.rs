//! When a plan survives any one failure: for the pictures of plans.

use crate::wording::fixed;
use clamber_core::unstable::assess::{Piece, Verdict, survival};
use clamber_core::{Interrupt, Plan, Problem};

/// The pieces of a sound plan's time; none where it would take long to work them out, or where there are no steps.
pub(crate) fn pieces(problem: &Problem, plan: &Plan) -> Vec<Piece> {
    if plan.steps.is_empty() {
        return Vec::new();
    }
    survival(problem, plan, Interrupt::NEVER).ok().flatten().unwrap_or_default()
}

/// Pauses shorter than this are not told.
const BLINK_S: f64 = 0.01;

/// Times in which some failure brings something down, as `12.3-15.0 s`; neighbours are one.
pub(crate) fn falls(pieces: &[Piece]) -> Vec<String> {
    let mut runs: Vec<(f64, f64)> = Vec::new();
    for piece in pieces.iter().filter(|piece| piece.verdict >= Verdict::NotProven) {
        match runs.last_mut() {
            Some(last) if last.1 + BLINK_S >= piece.from_s => last.1 = piece.to_s,
            _ => runs.push((piece.from_s, piece.to_s)),
        }
    }
    runs.iter().map(|&(from_s, to_s)| format!("{}-{} s", fixed(from_s, 1), fixed(to_s, 1))).collect()
}

/// For how many seconds the crew does not survive any one failure, or is not proved to.
pub(crate) fn falls_for_s(pieces: &[Piece]) -> f64 {
    let falls = pieces.iter().filter(|piece| piece.verdict >= Verdict::NotProven);
    falls.map(|piece| piece.to_s - piece.from_s).sum()
}

/// What a verdict means in a strip.
pub(crate) const fn words(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Stands => "any one failure: it stands",
        Verdict::UsesMargin => "it stands, but one failure may use up its margin",
        Verdict::NotProven | Verdict::Falls => "one failure may bring something down",
    }
}
