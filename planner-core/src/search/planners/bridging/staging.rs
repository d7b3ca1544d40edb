//! A structure with modules assigned to its posts.

use super::span::{Footing, Post};
use crate::math::{DVec3, heading_frame};
use crate::model::{Body, Configuration, Hold, ModuleId, Placement};

/// The configuration with some modules in the posts of a structure: `members[i]` is in post `i`, the others stand as in `rest`.
pub(super) fn staged(rest: &Configuration, posts: &[Post], members: &[ModuleId]) -> Configuration {
    let mut crew = rest.clone();
    for (post, &member) in posts.iter().zip(members) {
        let host = match post.footing {
            Footing::Deck(deck) => Body::Ground(deck),
            Footing::Post(host) => Body::Module(members[host]),
        };
        // Facing up or down, as a module does that has just hopped on from below or is about to hop off.
        let orientation = heading_frame(post.up, DVec3::Z)
            .or_else(|| heading_frame(post.up, DVec3::X))
            .unwrap_or(crew.get(member).orientation);
        *crew.get_mut(member) = Placement { position: post.centre, orientation, host, hold: Hold::Braced };
    }
    crew
}
