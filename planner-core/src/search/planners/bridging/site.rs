//! Sites where a crew can get from one deck to another: edges of the upper deck near the lower one.

use crate::math::{DVec2, DVec3, sin_cos, steps_of};
use crate::model::{Body, Configuration, GroundId, Kind, Problem};

/// Tolerance on limits of places, in metres, and on ends of edges, as a share of their length: places are put exactly at these limits.
const ROUNDING: f64 = 1e-9;
/// An edge and a ray are parallel if their cross product is below this.
const PARALLEL: f64 = 1e-12;

/// A place at the edge of a deck that faces another deck which is not higher.
///
/// All structures considered here stand in the vertical plane through the brink, square to the edge. Places in it have two coordinates, in metres:
/// `u`, the distance out from the edge (negative over the upper deck), and `z`, the height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct CrossingSite {
    /// The deck that the edge belongs to.
    pub(crate) upper: GroundId,
    /// The other deck.
    pub(crate) lower: GroundId,
    /// The point of the edge, in plan.
    brink: DVec2,
    /// Unit direction in plan, away from the upper deck, square to the edge.
    out: DVec2,
    /// Least `u` at which a foot stands on the lower deck and the shell is clear of the upper, in metres.
    pub(crate) landing_u: f64,
}

impl CrossingSite {
    /// A site without an edge: a place on one deck to keep clear of.
    pub(crate) fn about(place: DVec2) -> Self {
        let deck = GroundId::at(0);
        Self { upper: deck, lower: deck, brink: place, out: DVec2::X, landing_u: 0.0 }
    }

    /// The sites between two decks for modules of one kind, nearest to the crew first: one for each edge of the upper deck that faces the lower.
    pub(crate) fn between(
        problem: &Problem,
        configuration: &Configuration,
        kind: &Kind,
        decks: [GroundId; 2],
    ) -> Vec<Self> {
        let top = |deck: GroundId| problem.ground(deck).height_m();
        if decks.iter().any(|deck| !problem.ground(*deck).plane.is_level()) {
            return Vec::new();
        }
        let [lower, upper] = if top(decks[0]) <= top(decks[1]) { decks } else { [decks[1], decks[0]] };
        let crew = centroid(configuration, decks);
        let solid = problem.ground(upper);
        let mut sites: Vec<(f64, Self)> = solid
            .edges()
            .filter_map(|(a, b)| {
                let along = (b - a).try_normalize()?;
                let length = (b - a).length();
                let margin = (6.0 * kind.shell_radius_m).min(0.5 * length);
                let s = (crew - a).dot(along).clamp(margin, length - margin);
                let mut site = Self {
                    upper,
                    lower,
                    brink: a + along * s,
                    out: DVec2::new(along.y, -along.x),
                    landing_u: 0.0,
                };
                site.landing_u = site.find_landing(problem, kind)?;
                let way = site.landing_u + crew.distance(site.brink);
                Some((way, site))
            })
            .collect();
        sites.sort_by_key(|(way, _)| steps_of(*way));
        sites.into_iter().map(|(_, site)| site).collect()
    }

    /// The point at distance `u` out from the edge and height `z`, in the world frame.
    pub(crate) fn at(&self, u: f64, z: f64) -> DVec3 {
        (self.brink + self.out * u).extend(z)
    }

    /// The unit direction in the plane at an angle from straight up, positive outward.
    pub(crate) fn direction(&self, from_up_rad: f64) -> DVec3 {
        let (sin, cos) = sin_cos(from_up_rad);
        (self.out * sin).extend(cos)
    }

    /// The coordinate `u` of a place.
    pub(crate) fn u(&self, place: DVec3) -> f64 {
        (place.truncate() - self.brink).dot(self.out)
    }

    /// Horizontal distance of a place from the brink, in metres.
    pub(crate) fn distance(&self, place: DVec3) -> f64 {
        place.truncate().distance(self.brink)
    }

    /// A horizontal unit direction at an angle from straight out.
    pub(crate) fn level_direction(&self, turned_rad: f64) -> DVec3 {
        DVec2::from_angle(turned_rad).rotate(self.out).extend(0.0)
    }

    /// Straight out from the edge, the lower deck begins beyond the last of its edges that the ray crosses before there is room to stand.
    fn find_landing(&self, problem: &Problem, kind: &Kind) -> Option<f64> {
        let (lower, upper) = (problem.ground(self.lower), problem.ground(self.upper));
        let stands = |u: f64| {
            let place = self.at(u, lower.height_m() + kind.ride_height_m);
            lower.inset(place) >= kind.foot_radius_m - ROUNDING
                && problem.distance_to_ground(self.upper, place) >= kind.shell_radius_m - ROUNDING
        };
        let beside_wall =
            if upper.height_m() > lower.height_m() { kind.shell_radius_m } else { kind.foot_radius_m };
        let crossings = lower.edges().filter_map(|(a, b)| {
            let along = b - a;
            let across = self.out.perp_dot(along);
            if across.abs() < PARALLEL {
                return None;
            }
            let t = (a - self.brink).perp_dot(self.out) / across;
            let u = (a - self.brink).perp_dot(along) / across;
            // Beyond an edge that the ray meets obliquely, the foot needs more than its radius.
            (-ROUNDING..=1.0 + ROUNDING)
                .contains(&t)
                .then(|| u + kind.foot_radius_m * along.length() / across.abs())
        });
        crossings
            .chain([beside_wall])
            .filter(|&u| u >= beside_wall - ROUNDING && stands(u))
            .min_by(f64::total_cmp)
    }
}

/// Centroid in plan of the modules that stand on either deck.
fn centroid(configuration: &Configuration, decks: [GroundId; 2]) -> DVec2 {
    let places: Vec<DVec2> = configuration
        .iter()
        .filter(|(_, p)| decks.iter().any(|d| p.host == Body::Ground(*d)))
        .map(|(_, p)| p.position.truncate())
        .collect();
    places.iter().copied().sum::<DVec2>() / places.len().max(1) as f64
}
