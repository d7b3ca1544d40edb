//! Bodies by number.

use clamber_core::{Body, Problem};

/// Number of a body: decks first, then modules.
pub(super) fn number_of(problem: &Problem, body: Body) -> usize {
    match body {
        Body::Deck(id) => id.index(),
        Body::Module(id) => problem.decks.len() + id.index(),
    }
}
