//! One face on the map.

use super::labels::{self, Labels};
use super::projection::Projection;
use super::{MARGIN, curve, fill, marks};
use crate::svg::{Svg, closed, line};
use clamber_core::unstable::geometry::surface::{Carrier, Obstacle, Region};
use clamber_core::unstable::travel::HopArc;
use clamber_core::{Body, DVec2, DVec3, GroundId, Problem, Survey};

/// Height of a panel's heading, and of its scale bar.
const HEADING: f64 = 38.0;
const FOOT: f64 = 34.0;
/// Room for coordinates on the left of a deck.
const ASIDE: f64 = 36.0;
/// A place this far off a carrier, in metres, is not on it.
const ON_M: f64 = 1e-6;

/// A face, and where it is drawn.
pub(crate) struct Panel<'a> {
    host: Body,
    region: &'a Region,
    projection: Projection,
    /// Upper left corner on the page.
    pub(crate) corner: (f64, f64),
}

impl<'a> Panel<'a> {
    pub(crate) fn new(problem: &Problem, host: Body, region: &'a Region) -> Self {
        let projection = Projection::new(problem, host, &region.carrier);
        Self { host, region, projection, corner: (0.0, 0.0) }
    }

    /// Width and height with all that belongs to it, in pixels.
    pub(crate) fn size(&self) -> (f64, f64) {
        let (half_x, half_y) = self.projection.half();
        (self.aside() + 2.0 * half_x + MARGIN, HEADING + 2.0 * half_y + FOOT)
    }

    /// Room on the left.
    const fn aside(&self) -> f64 {
        match self.projection {
            Projection::Plan { .. } => ASIDE,
            Projection::Lambert { .. } => 0.0,
        }
    }

    pub(crate) fn draw(&self, svg: &mut Svg, problem: &Problem, survey: &Survey) {
        let (half_x, half_y) = self.projection.half();
        svg.shifted((self.corner.0 + self.aside() + half_x, self.corner.1 + HEADING + half_y));
        self.heading(svg, problem, survey);
        self.ground(svg, problem);
        let reached: Vec<bool> = (0..self.region.parts)
            .map(|part| {
                let known = survey.parts.iter().find(|p| p.host == self.host && p.part == part);
                known.is_some_and(|p| p.unreached.is_none())
            })
            .collect();
        let class = |p: DVec3| {
            (self.region.clearance(p) >= 0.0)
                .then(|| self.region.part_at(p).map(|part| usize::from(!reached[part])))?
        };
        for (data, class) in fill::rows(self.projection, 2, class).iter().zip(["free", "dots"]) {
            svg.rows(data, class);
        }
        self.boundaries(svg, problem);
        self.hop_arcs(svg, survey);
        self.places(svg, problem, survey);
        self.names(svg, problem, survey);
        match self.projection {
            Projection::Plan { middle, half, scale, .. } => {
                marks::coordinates(svg, middle, half, scale);
            }
            Projection::Lambert { .. } => {
                let scale = self.projection.scale();
                marks::scale_bar(svg, (-half_x, half_y + 16.0), scale, 0.7 * half_x, " at the middle");
            }
        }
        svg.close();
    }

    fn heading(&self, svg: &mut Svg, problem: &Problem, survey: &Survey) {
        let (half_x, half_y) = self.projection.half();
        let area: f64 = survey.parts.iter().filter(|p| p.host == self.host).map(|p| p.area_m2).sum();
        let name = labels::shortened(problem.name_of(self.host), labels::LONGEST);
        svg.text((-half_x, -half_y - 22.0), "name", &format!("{name}: {:.1} cm²", area * 1e4));
        let note = match self.projection {
            Projection::Lambert { right, .. } => format!("top in the middle, +{right} to the right"),
            Projection::Plan { .. } => "from above, +x to the right".into(),
        };
        svg.text((-half_x, -half_y - 8.0), "note", &note);
    }

    /// What is forbidden until something free is drawn on it.
    fn ground(&self, svg: &mut Svg, problem: &Problem) {
        match (self.host, self.projection.half()) {
            (Body::Module(_), (half, _)) => svg.circle((0.0, 0.0), half, "hatch"),
            (Body::Stone(_), _) => {}
            (Body::Ground(deck), _) => {
                let outline: String = self.rings(problem, deck).iter().map(|ring| closed(ring)).collect();
                svg.path(&outline, "hatch");
                svg.path(&outline, "outline");
            }
        }
    }

    fn rings(&self, problem: &Problem, ground: GroundId) -> Vec<Vec<(f64, f64)>> {
        let plane = problem.ground(ground).plane;
        let to_page = |corner: &DVec2| self.projection.to_page(plane.point(*corner));
        problem.ground(ground).outline.rings.iter().map(|ring| ring.iter().map(to_page).collect()).collect()
    }

    /// Boundaries, but for the reach limit, which is dashed.
    fn boundaries(&self, svg: &mut Svg, problem: &Problem) {
        let is_reach =
            |index: usize| matches!(&self.region.obstacles[index], Obstacle::Inside(p) if p.len() == 1);
        let mut data = String::new();
        for arc in self.region.arcs.iter().filter(|arc| !is_reach(arc.obstacle)) {
            for points in curve::lines(self.projection, arc) {
                data += &line(&points);
            }
        }
        svg.path(&data, "edge");
        if let (Body::Module(id), (half, _)) = (self.host, self.projection.half()) {
            svg.circle((0.0, 0.0), half, "outline");
            let reach = problem.kind(id).shell_reach_rad;
            if reach < std::f64::consts::PI {
                svg.circle((0.0, 0.0), Projection::ring(reach), "reach");
            }
        }
    }

    fn own_arcs<'s>(&self, survey: &'s Survey) -> impl Iterator<Item = &'s HopArc> + use<'s> {
        let host = self.host;
        survey.surface.hop_arcs().filter(move |hop_arc| hop_arc.hosts.contains(&host))
    }

    fn hop_arcs(&self, svg: &mut Svg, survey: &Survey) {
        let mut data = String::new();
        for hop_arc in self.own_arcs(survey) {
            for points in curve::lines(self.projection, &hop_arc.arc) {
                data += &line(&points);
            }
        }
        svg.path(&data, "hop");
    }

    fn places(&self, svg: &mut Svg, problem: &Problem, survey: &Survey) {
        for pocket in survey.pockets.iter().filter(|pocket| self.holds(pocket.position)) {
            marks::pocket(svg, self.projection.to_page(pocket.position));
        }
        for rest in survey.rests.iter().filter(|rest| rest.reach.place.host == self.host) {
            marks::rest(svg, self.projection.to_page(rest.reach.place.position));
        }
        let start = problem.start.get(survey.mover);
        if start.host == self.host {
            marks::start(svg, self.projection.to_page(start.position));
        }
    }

    /// Whether a place is on this face.
    fn holds(&self, p: DVec3) -> bool {
        let off = match self.region.carrier {
            Carrier::Sphere { centre, radius } => p.distance(centre) - radius,
            Carrier::Plane(plane) => plane.above(p),
        };
        off.abs() < ON_M && self.region.clearance(p) > -ON_M
    }

    /// The other host's name once in the middle of what it forbids, or near the middle of each hop arc if there is no room for that.
    fn names(&self, svg: &mut Svg, problem: &Problem, survey: &Survey) {
        let mut labels = Labels::default();
        let mut named: Vec<Body> = Vec::new();
        for hop_arc in self.own_arcs(survey) {
            let other = if hop_arc.hosts[0] == self.host { hop_arc.hosts[1] } else { hop_arc.hosts[0] };
            let words = labels::shortened(problem.name_of(other), labels::LONGEST);
            let half = labels::half_width(&words);
            let mut places = Vec::new();
            if let Body::Module(id) = other {
                let centre = self.region.carrier.project(problem.start.get(id).position);
                let (x, y) = self.projection.to_page(centre);
                let rim = self.projection.to_page(hop_arc.arc.at(0.5));
                // A body below the host is all round the rim of the disc: it has no middle there.
                let shown = self.projection.place_at((x, y));
                let hides =
                    shown.is_some_and(|p| p.distance(centre) < ON_M && self.region.clearance(p) < 0.0);
                if hides && (rim.0 - x).hypot(rim.1 - y) > half + 3.0 {
                    if named.contains(&other) {
                        continue;
                    }
                    places.push((x, y + 3.5));
                }
            }
            let first = if hop_arc.arc.is_ring() { 0.75 } else { 0.5 };
            for share in [first, 0.4, 0.6, 0.25, 0.75, 0.1, 0.9] {
                let p = hop_arc.arc.at(share);
                let at = self.projection.to_page(p);
                let away = self.away(problem, other, p);
                for off in [6.0, -6.0, 16.0] {
                    let off = off + f64::copysign(half * away.0.abs() + 5.0 * away.1.abs(), off);
                    places.push((at.0 + away.0 * off, at.1 + away.1 * off + 3.5));
                }
            }
            if let Some(at) = labels.place(half, &places) {
                svg.text(at, "arc", &words);
                named.push(other);
            }
        }
    }

    /// Direction on the page from a place towards the body met there.
    fn away(&self, problem: &Problem, other: Body, p: DVec3) -> (f64, f64) {
        let towards = match other {
            Body::Module(id) => problem.start.get(id).position - p,
            Body::Ground(_) => DVec3::NEG_Z,
            Body::Stone(id) => problem.stones[id.index()].centre - p,
        };
        let step = self.region.carrier.project(p + towards.normalize_or_zero() * 1e-4);
        let (a, b) = (self.projection.to_page(p), self.projection.to_page(step));
        let (x, y) = (b.0 - a.0, b.1 - a.1);
        let length = x.hypot(y);
        if length > 1e-9 { (x / length, y / length) } else { (0.0, -1.0) }
    }
}
