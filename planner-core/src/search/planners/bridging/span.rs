//! Structures that would let a module cross, by geometry alone: a stack on the lower deck, a chain from the brink of the upper, or both.

use super::site::CrossingSite;
use crate::control::{Budget, Stopped};
use crate::math::{DVec2, DVec3, acos, asin, cos};
use crate::model::{GroundId, Kind, Problem};
use std::f64::consts::{FRAC_PI_2, FRAC_PI_6, PI};

/// Tolerance on limits of directions (radians) and lengths (metres): posts are put exactly at these limits.
pub(super) const ROUNDING: f64 = 1e-9;
/// Posts whose centres are nearer than this are the same, in metres.
pub(super) const SAME_POST_M: f64 = 1e-6;
/// Greatest overlap of posts that just touch a body, in metres: less than the model's tolerance, and more than rounding.
pub(super) const OVERLAP_M: f64 = 1e-7;

/// The host of a post.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Footing {
    /// A deck.
    Deck(GroundId),
    /// Another post, by index.
    Post(usize),
}

/// One place of a structure, whichever module fills it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Post {
    pub(super) footing: Footing,
    pub(super) centre: DVec3,
    /// Its body z.
    pub(super) up: DVec3,
}

/// Posts of a structure; hosts come before the posts that stand on them.
pub(super) type Posts = Vec<Post>;

/// The deck on which a post's chain of hosts ends.
pub(super) fn root_of(posts: &[Post], index: usize) -> GroundId {
    let mut at = index;
    loop {
        match posts[at].footing {
            Footing::Deck(deck) => return deck,
            Footing::Post(host) => at = host,
        }
    }
}

/// Number of posts whose chains of hosts end on a deck.
pub(super) fn count_on(posts: &[Post], deck: GroundId) -> usize {
    (0..posts.len()).filter(|&i| root_of(posts, i) == deck).count()
}

/// Enumerates structures at one site for one kind of module.
pub(super) struct Spans<'a> {
    pub(super) problem: &'a Problem,
    pub(super) site: CrossingSite,
    pub(super) kind: &'a Kind,
    /// Whether posts may also stand out of the plane, where they lean on the edge or in the corner below it.
    pub(super) asides: bool,
}

impl Spans<'_> {
    /// Structures of `on_lower` posts rooted on the lower deck and `on_upper` on the upper along which a module could get from one deck to the other,
    /// and could not without any one of the posts.
    ///
    /// Links between posts go up, down, level or at multiples of 30° between; or such that the next post just touches the lower deck or the wall; or
    /// along the edge; or aside, if that is asked for. Complexity: about 14, or 19, to the power of the number of links.
    pub(super) fn of_size(
        &self,
        on_lower: usize,
        on_upper: usize,
        budget: &Budget<'_>,
    ) -> Result<Vec<Posts>, Stopped> {
        let (stacks, chains) =
            (self.chains(on_lower, self.lower_anchors()), self.chains(on_upper, self.upper_anchors()));
        let mut found = Vec::new();
        for stack in &stacks {
            budget.go_on()?;
            for chain in &chains {
                if stack.iter().any(|a| chain.iter().any(|b| self.overlap(a.centre, b.centre))) {
                    continue;
                }
                let mut posts = stack.clone();
                posts.extend(chain.iter().map(|post| Post {
                    footing: match post.footing {
                        Footing::Post(host) => Footing::Post(host + stack.len()),
                        deck @ Footing::Deck(_) => deck,
                    },
                    ..*post
                }));
                if self.might_lead_over(&posts, None)
                    && !(0..posts.len()).any(|without| self.might_lead_over(&posts, Some(without)))
                {
                    found.push(posts);
                }
            }
        }
        Ok(found)
    }

    fn lower_anchors(&self) -> Vec<Post> {
        let z = self.problem.ground(self.site.lower).height_m() + self.kind.ride_height_m;
        let step = self.kind.shell_radius_m;
        (0..3).map(|k| self.anchor(self.site.lower, self.site.landing_u + k as f64 * step, z)).collect()
    }

    fn upper_anchors(&self) -> Vec<Post> {
        let z = self.problem.ground(self.site.upper).height_m() + self.kind.ride_height_m;
        vec![self.anchor(self.site.upper, -self.kind.foot_radius_m, z)]
    }

    fn anchor(&self, deck: GroundId, u: f64, z: f64) -> Post {
        Post { footing: Footing::Deck(deck), centre: self.site.at(u, z), up: DVec3::Z }
    }

    /// All chains of a given length from an anchor; one empty chain for length 0.
    fn chains(&self, length: usize, anchors: Vec<Post>) -> Vec<Posts> {
        if length == 0 {
            return vec![Posts::new()];
        }
        let mut chains: Vec<Posts> =
            anchors.into_iter().filter(|a| self.is_free(a.centre, &[])).map(|a| vec![a]).collect();
        for _ in 1..length {
            chains = chains.iter().flat_map(|chain| self.longer(chain)).collect();
        }
        chains
    }

    fn longer(&self, chain: &Posts) -> Vec<Posts> {
        let Some(last) = chain.last() else { return Vec::new() };
        let distance = self.kind.standing_distance(self.kind);
        let mut ups: Vec<DVec3> =
            self.link_angles(last.centre).into_iter().map(|angle| self.site.direction(angle)).collect();
        ups.extend(self.along_the_edge(last.centre));
        if self.asides {
            ups.extend(self.aside(last.centre));
        }
        let mut longer: Vec<Posts> = Vec::new();
        for up in ups {
            let centre = last.centre + up * distance;
            let in_reach = up.dot(last.up) >= cos(self.kind.shell_reach_rad) - ROUNDING;
            let known = longer.iter().any(|c| c[c.len() - 1].centre.distance(centre) < SAME_POST_M);
            if in_reach && !known && self.is_free(centre, chain) {
                let mut next = chain.clone();
                next.push(Post { footing: Footing::Post(chain.len() - 1), centre, up });
                longer.push(next);
            }
        }
        longer
    }

    /// Sideways along the edge, and down or up to touch the lower deck: beside the wall there may be room where in front of it there is none. One
    /// side is enough, because the other is its mirror image.
    fn along_the_edge(&self, from: DVec3) -> Option<DVec3> {
        let distance = self.kind.standing_distance(self.kind);
        let ground = self.problem.ground(self.site.lower).height_m() + self.kind.shell_radius_m;
        let rise = (ground - from.z) / distance;
        let side = self.site.level_direction(FRAC_PI_2);
        (rise.abs() < 1.0).then(|| side * (1.0 - rise * rise).sqrt() + DVec3::Z * rise)
    }

    /// Out of the plane: in the corner of the wall and the lower deck, and leaning on the edge. One side is enough.
    fn aside(&self, from: DVec3) -> Vec<DVec3> {
        let (distance, radius) = (self.kind.standing_distance(self.kind), self.kind.shell_radius_m);
        let [low, top] = [self.site.lower, self.site.upper].map(|deck| self.problem.ground(deck).height_m());
        let [out, side] = [0.0, FRAC_PI_2].map(|turned| self.site.level_direction(turned));
        let towards = |u: f64, y: f64, z: f64| (out * u + side * y + DVec3::Z * z) / distance;
        let mut ups = Vec::new();
        let to_corner = DVec2::new(radius - self.site.u(from), low + radius - from.z);
        let beside = distance * distance - to_corner.length_squared();
        if beside > 0.0 && top > low {
            ups.push(towards(to_corner.x, beside.sqrt(), to_corner.y));
        }
        let to_edge = DVec2::new(-self.site.u(from), top - from.z);
        for y in [0.5, 0.75_f64.sqrt()].map(|share| share * distance) {
            // Seen along the edge: a circle about the last post, and one about the edge.
            let reach_squared = distance * distance - y * y;
            let along = 0.5 * (reach_squared - radius * radius + to_edge.length_squared()) / to_edge.length();
            let across = reach_squared - along * along;
            if across > 0.0 {
                let ahead = to_edge.normalize();
                let to = [across.sqrt(), -across.sqrt()].map(|across| ahead * along + ahead.perp() * across);
                ups.extend(to.map(|to| towards(to.x, y, to.y)));
            }
        }
        ups
    }

    /// Angles from straight up at which the next post may stand; those that make it touch a body come first.
    fn link_angles(&self, from: DVec3) -> Vec<f64> {
        let distance = self.kind.standing_distance(self.kind);
        let radius = self.kind.shell_radius_m;
        let ground = self.problem.ground(self.site.lower).height_m() + radius;
        let mut angles = Vec::new();
        let to_ground = (ground - from.z) / distance;
        if to_ground.abs() < 1.0 {
            angles.extend([acos(to_ground), -acos(to_ground)]);
        }
        let to_wall = (radius - self.site.u(from)) / distance;
        if to_wall.abs() < 1.0 {
            angles.extend([asin(to_wall), PI - asin(to_wall)]);
        }
        angles.extend((-5..=6).map(|k| f64::from(k) * FRAC_PI_6));
        angles
    }

    fn overlap(&self, a: DVec3, b: DVec3) -> bool {
        a.distance(b) < 2.0 * self.kind.shell_radius_m - OVERLAP_M
    }

    fn is_free(&self, centre: DVec3, others: &[Post]) -> bool {
        let radius = self.kind.shell_radius_m - OVERLAP_M;
        !others.iter().any(|post| self.overlap(post.centre, centre))
            && self.problem.decks.iter().all(|deck| deck.solid.distance(centre) >= radius)
    }

    /// Whether hops lead from deck to deck, by distances and pivots only: a necessary condition, not a sufficient one.
    fn might_lead_over(&self, posts: &[Post], without: Option<usize>) -> bool {
        let used = |i: usize| Some(i) != without;
        // A post that stands on a missing post is missing too.
        let gone = |i: usize| {
            let mut at = i;
            loop {
                if !used(at) {
                    return true;
                }
                match posts[at].footing {
                    Footing::Post(host) => at = host,
                    Footing::Deck(_) => return false,
                }
            }
        };
        let left: Vec<usize> = (0..posts.len()).filter(|&i| !gone(i)).collect();
        let mut reached: Vec<usize> = left
            .iter()
            .copied()
            .filter(|&i| self.hops_between_deck(self.site.lower, posts[i].centre))
            .collect();
        let mut next = 0;
        while let Some(&at) = reached.get(next) {
            next += 1;
            if self.hops_between_deck(self.site.upper, posts[at].centre) {
                return true;
            }
            for &other in &left {
                if !reached.contains(&other) && self.hops_between(posts[at].centre, posts[other].centre) {
                    reached.push(other);
                }
            }
        }
        false
    }

    fn hops_between(&self, a: DVec3, b: DVec3) -> bool {
        let half = 0.5 * a.distance(b) / self.kind.standing_distance(self.kind);
        half < 1.0 && 2.0 * asin(half) <= self.kind.hop_limit_rad + ROUNDING
    }

    fn hops_between_deck(&self, deck: GroundId, centre: DVec3) -> bool {
        let distance = self.kind.standing_distance(self.kind);
        let height = self.problem.ground(deck).height_m() + self.kind.ride_height_m - centre.z;
        let level = distance * distance - height * height;
        if level < 0.0 || height < distance * cos(self.kind.hop_limit_rad) - ROUNDING {
            return false;
        }
        let u = self.site.u(centre);
        if deck == self.site.upper {
            u - level.sqrt() <= -self.kind.foot_radius_m + ROUNDING
        } else {
            u + level.sqrt() >= self.site.landing_u - ROUNDING
        }
    }
}
