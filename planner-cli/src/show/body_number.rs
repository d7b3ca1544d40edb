//! Bodies by number.

use clamber_core::{Body, Problem};

/// Number of a body: decks first, then modules, then stones. A ground has the number of its first deck.
pub(super) fn number_of(problem: &Problem, body: Body) -> usize {
    match body {
        Body::Ground(id) => problem.ground(id).decks[0].index(),
        Body::Module(id) => problem.decks.len() + id.index(),
        Body::Stone(id) => problem.decks.len() + problem.modules.len() + id.index(),
    }
}
