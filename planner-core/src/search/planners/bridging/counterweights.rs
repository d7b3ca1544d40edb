//! Counterweights: modules that must stand on a structure so that it carries its builders and the modules that cross it.

use super::site::CrossingSite;
use super::span::{Footing, OVERLAP_M, Post, Posts, ROUNDING, SAME_POST_M, root_of};
use super::staging::staged;
use super::take_down::{Descent, Home, take_down};
use crate::control::Stopped;
use crate::math::{DVec3, cos, heading_frame};
use crate::model::{Body, Configuration, GroundId, Kind, ModuleId, Placement, Problem};
use crate::motion::{Move, Stretch};
use crate::search::trips::trip_sequence::TripFinder;
use crate::statics::WarmStart;
use crate::travel::{Way, Waypoint};
use std::f64::consts::FRAC_PI_4;

/// Beam width: sets of counterweights kept for each number of counterweights.
const BEAM: usize = 10;

/// A structure that carries its load, with the order in which it is built.
#[derive(Clone, Debug)]
pub(super) struct Balanced {
    /// The module in each post.
    pub(super) members: Vec<ModuleId>,
    /// The order in which it comes down.
    pub(super) descents: Vec<Descent>,
}

/// What is fixed while counterweights are searched.
pub(super) struct Counterweights<'a, 'b> {
    pub(super) finder: &'a TripFinder<'a, 'b>,
    /// The same problem with unlimited bonds: what geometry alone allows.
    pub(super) unbreakable: &'a Problem,
    pub(super) site: CrossingSite,
    /// The configuration with all modules on decks, before the structure is built.
    pub(super) rest: &'a Configuration,
    /// Modules that may be used, for each deck, nearest to the site first.
    pub(super) pools: [(GroundId, Vec<ModuleId>); 2],
    /// The module that crosses first.
    pub(super) mover: ModuleId,
    /// The kind of the structure's modules.
    pub(super) kind: &'a Kind,
    /// The deck that it crosses to.
    pub(super) target: GroundId,
    pub(super) landing: &'a [DVec3],
}

/// An instant of building or crossing: the configuration without counterweights, and the module that moves.
type Instant = (Configuration, ModuleId);

impl Counterweights<'_, '_> {
    /// The structure with the fewest counterweights found, if the crew has enough modules for it.
    pub(super) fn with_counterweights(&self, posts: &Posts) -> Result<Option<Balanced>, Stopped> {
        let Some(members) = self.members(posts) else { return Ok(None) };
        let bare = staged(self.rest, posts, &members);
        let Some(instants) = self.instants(&bare, &members)? else { return Ok(None) };
        let mut beam: Vec<(usize, Posts)> =
            vec![(self.not_carried(&instants, posts, posts.len())?, posts.clone())];
        loop {
            for (failing, set) in &beam {
                if *failing <= 2
                    && let Some(balanced) = self.verified(set)?
                {
                    return Ok(Some(balanced));
                }
            }
            let mut next: Vec<(usize, Posts)> = Vec::new();
            for (_, set) in &beam {
                for weight in self.weights(set) {
                    let mut more = set.clone();
                    more.push(weight);
                    if self.members(&more).is_none()
                        || next.iter().any(|(_, known)| same_places(known, &more))
                    {
                        continue;
                    }
                    next.push((self.not_carried(&instants, &more, posts.len())?, more));
                }
            }
            next.sort_by_key(|(failing, _)| *failing);
            next.truncate(BEAM);
            if next.is_empty() {
                return Ok(None);
            }
            beam = next;
        }
    }

    /// The module for each post: the nearest on the deck below it; `None` when there are too few.
    fn members(&self, posts: &[Post]) -> Option<Vec<ModuleId>> {
        let mut used = [0, 0];
        (0..posts.len())
            .map(|i| {
                let side = self.pools.iter().position(|(deck, _)| *deck == root_of(posts, i))?;
                used[side] += 1;
                self.pools[side].1.get(used[side] - 1).copied()
            })
            .collect()
    }

    /// The relevant instants of the ways by which geometry lets the mover cross and the builders come down; `None` if geometry does not allow it.
    fn instants(&self, bare: &Configuration, members: &[ModuleId]) -> Result<Option<Vec<Instant>>, Stopped> {
        let freely = TripFinder { problem: self.unbreakable, ..*self.finder };
        let Some(over) = freely.trip_to_deck(bare, self.mover, self.target, self.landing)? else {
            return Ok(None);
        };
        let mut instants = Vec::new();
        self.note_way(&mut instants, bare, self.mover, &over.waypoints);
        let Some(descents) = take_down(&freely, bare, members, &self.homes(members))? else {
            return Ok(None);
        };
        let mut now = bare.clone();
        for Descent { trip, .. } in &descents {
            if let Way::Alone(waypoints) = &trip.way {
                self.note_way(&mut instants, &now, trip.module, waypoints);
            }
            *now.get_mut(trip.module) = *self.rest.get(trip.module);
        }
        Ok(Some(instants))
    }

    fn homes(&self, members: &[ModuleId]) -> Vec<Home> {
        members
            .iter()
            .filter_map(|&owner| {
                let place = self.rest.get(owner);
                Some(Home { deck: place.host.ground()?, place: place.position, owner })
            })
            .collect()
    }

    /// Waypoints on shells, and the middles of the drives between them.
    fn note_way(&self, instants: &mut Vec<Instant>, crew: &Configuration, mover: ModuleId, way: &[Waypoint]) {
        let start = crew.get(mover);
        let mut before = Waypoint::straight(start.host, start.position);
        for &waypoint in way {
            if let Body::Module(host) = waypoint.host {
                let centre = crew.get(host).position;
                let mut note = |place: DVec3| {
                    let up = (place - centre).normalize_or(DVec3::Z);
                    let orientation = heading_frame(up, DVec3::Z)
                        .or_else(|| heading_frame(up, DVec3::X))
                        .unwrap_or(start.orientation);
                    let mut there = crew.clone();
                    let hold = crate::model::Hold::Rolling;
                    *there.get_mut(mover) =
                        Placement { position: place, orientation, host: waypoint.host, hold };
                    instants.push((there, mover));
                };
                if waypoint.host == before.host
                    && let Some(sweep) = waypoint.sweep_from(before.position, Some(centre))
                {
                    note(sweep.point_at(before.position, 0.5));
                }
                note(waypoint.position);
            }
            before = waypoint;
        }
    }

    /// The number of instants at which the load is not carried when the posts from `first` on are in place as well.
    fn not_carried(&self, instants: &[Instant], posts: &[Post], first: usize) -> Result<usize, Stopped> {
        let Some(members) = self.members(posts) else { return Ok(usize::MAX) };
        let all = staged(self.rest, posts, &members);
        let limit = self.finder.problem.limits.utilisation();
        let mut hint = WarmStart::default();
        let mut failing = 0;
        for (there, mover) in instants {
            let mut crew = there.clone();
            for &weight in &members[first..] {
                *crew.get_mut(weight) = *all.get(weight);
            }
            // A counterweight on a post that has come down already waits beside it.
            for &weight in members[first..].iter() {
                if let Body::Module(host) = crew.get(weight).host
                    && crew.get(host).position.distance(all.get(host).position) > SAME_POST_M
                {
                    *crew.get_mut(weight) = *self.rest.get(weight);
                }
            }
            let stretch =
                Stretch::of_move(self.finder.problem, &crew, *mover, &Move::DRIVE_ON_THE_SPOT, &crew);
            failing += usize::from(!stretch.carries(limit, &mut hint, self.finder.budget.interrupt)?);
        }
        Ok(failing)
    }

    /// Sines of the angles at which counterweights stand out from a post: level, and such that they just touch one of the two decks.
    fn rises(&self, from: DVec3) -> Vec<f64> {
        let distance = self.kind.standing_distance(self.kind);
        let touching = |deck: GroundId| {
            (self.finder.problem.ground(deck).height_m() + self.kind.shell_radius_m - from.z) / distance
        };
        let mut rises = vec![0.0];
        for rise in [self.site.lower, self.site.upper].map(touching) {
            if rise.abs() < 1.0 && rises.iter().all(|known| (known - rise).abs() > ROUNDING) {
                rises.push(rise);
            }
        }
        rises
    }

    /// Candidate places for one more counterweight: all around each post.
    fn weights(&self, posts: &Posts) -> Vec<Post> {
        let kind = self.kind;
        let distance = kind.standing_distance(kind);
        let mut weights = Vec::new();
        for (index, post) in posts.iter().enumerate() {
            let rises = self.rises(post.centre);
            for (rise, eighth) in rises.iter().flat_map(|&rise| (0..8).map(move |eighth| (rise, eighth))) {
                let level = self.site.level_direction(f64::from(eighth) * FRAC_PI_4);
                let up = level * (1.0 - rise * rise).sqrt() + DVec3::Z * rise;
                let centre = post.centre + up * distance;
                let in_reach = up.dot(post.up) >= cos(kind.shell_reach_rad) - ROUNDING;
                let keep = 2.0 * kind.shell_radius_m - OVERLAP_M;
                let clear = posts.iter().all(|other| other.centre.distance(centre) >= keep)
                    && self.finder.problem.decks.iter().all(|d| d.solid.distance(centre) >= 0.5 * keep);
                if in_reach && clear {
                    weights.push(Post { footing: Footing::Post(index), centre, up });
                }
            }
        }
        weights
    }

    /// The structure, if under the true loads it can be built and crossed.
    fn verified(&self, posts: &Posts) -> Result<Option<Balanced>, Stopped> {
        let Some(members) = self.members(posts) else { return Ok(None) };
        let configuration = staged(self.rest, posts, &members);
        if self.finder.trip_to_deck(&configuration, self.mover, self.target, self.landing)?.is_none() {
            return Ok(None);
        }
        let descents = take_down(self.finder, &configuration, &members, &self.homes(&members))?;
        Ok(descents.map(|descents| Balanced { members, descents }))
    }
}

fn same_places(a: &Posts, b: &Posts) -> bool {
    a.len() == b.len() && a.iter().all(|p| b.iter().any(|q| p.centre.distance(q.centre) < SAME_POST_M))
}
