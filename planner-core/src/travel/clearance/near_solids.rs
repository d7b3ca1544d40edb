//! Which solids of the site come near to the places of a foot on one ground.
//!
//! Next to a ground of a terrain lie others, but few of them forbid anything to a shell whose foot stays inside the own outline. The rest need not be
//! looked at on any drive.

use super::{CLEAR_M, Clearance, Keep, Solid};
use crate::geometry::surface::Carrier;
use crate::geometry::{Path, Prism};
use crate::math::{DVec2, DVec3};
use crate::model::{Body, Deck, Ground, ModuleId, Problem};
use crate::travel::site_face::memo_key;
use std::sync::Arc;

/// Squares of places with a half diagonal below this share of the foot's radius are not parted again: the solid counts as near.
const LEAST_SHARE: f64 = 1.0 / 64.0;

/// For each deck off a ground, in their order, whether it comes near.
struct NearDecks(Vec<bool>);

impl<'a> Clearance<'a> {
    /// Adds the solids of all decks off the host that matter; `keep` gives the distance to keep more from those that are rough.
    pub(super) fn add_solids(
        &mut self,
        problem: &'a Problem,
        mover: ModuleId,
        host: Body,
        rough: impl Fn(&'a Deck) -> Option<&'a Ground>,
    ) {
        let near = self.near_decks(problem, mover, host, &rough);
        for (index, deck) in problem.decks_off(host.ground()).enumerate() {
            if near.as_ref().is_none_or(|near| near.0[index]) {
                self.add_solid(&deck.solid, rough(deck));
            }
        }
    }

    /// On terrain, where decks are many: worked out once for a ground and a size of module.
    fn near_decks(
        &self,
        problem: &'a Problem,
        mover: ModuleId,
        host: Body,
        rough: &impl Fn(&'a Deck) -> Option<&'a Ground>,
    ) -> Option<Arc<NearDecks>> {
        let ground = host.ground().filter(|_| !problem.is_plain())?;
        let mut key = memo_key(problem, problem.kind(mover));
        key.push(self.keep);
        let comes_near = |deck| {
            let keep = Keep { lift: 0.0, distance: self.keep, rough: rough(deck) };
            self.forbids_places(&deck.solid, &keep)
        };
        let all = || NearDecks(problem.decks_off(Some(ground)).map(comes_near).collect());
        Some(problem.ground(ground).memo.get(&key, all))
    }

    /// A bound on how far a place of the mover is from where a solid forbids it, in metres; negative where one does. It changes by no more than the
    /// place moves.
    pub(in crate::travel) fn spare_from_solids(&self, place: DVec3) -> f64 {
        let here = Path::Line { from: place, step: DVec3::ZERO };
        let spare = |this: &Self| {
            let of = |solid: &Solid<'_>| {
                let Keep { distance, rough, .. } = solid.keep;
                let spare = solid.prism.distance(place) - distance;
                // What a rough deck asks for changes at most as much as the place moves.
                rough.map_or(spare, |ground| 0.5 * (spare - ground.beyond_m(&here)))
            };
            this.solids.iter().map(of).fold(f64::INFINITY, f64::min)
        };
        spare(self).min(self.wide.as_ref().map_or(f64::INFINITY, |wide| spare(&wide.clearance)))
    }

    /// Whether some place, at which the foot is inside the outline, is too near to a solid. Squares of places are parted until each is clear of the
    /// solid or has no place inside; where that cannot be seen the answer is yes.
    fn forbids_places(&self, solid: &Prism, keep: &Keep<'_>) -> bool {
        let (Some((outline, foot)), Carrier::Plane(plane)) = (self.outline, &self.carrier) else {
            return true;
        };
        let [low, high] = outline.extent();
        let mut open = vec![(low.midpoint(high), 0.5 * (high - low))];
        while let Some((middle, half)) = open.pop() {
            let (place, reach) = (plane.point(middle), half.length());
            let around = Path::Line { from: place, step: DVec3::ZERO };
            // What a rough deck asks for grows with the height over it, and so by less than the place moves.
            let (beyond, more) = keep.rough.map_or((0.0, 0.0), |ground| (ground.beyond_m(&around), reach));
            let spare = solid.distance(place) - keep.distance - beyond;
            if spare >= reach + more {
                continue;
            }
            let inset = outline.inset(middle);
            if inset + reach < foot {
                continue;
            }
            if (spare < 0.0 && inset >= foot) || reach < LEAST_SHARE * (foot + CLEAR_M) {
                return true;
            }
            let quarters = [(-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5)];
            open.extend(quarters.map(|(x, y)| (middle + half * DVec2::new(x, y), 0.5 * half)));
        }
        false
    }
}
