//! From a survey to decks and stones.

use crate::ball::Ball;
use crate::cells::Cells;
use crate::cut::cells_of;
use crate::error::SurveyError;
use crate::fit::{self, Fit, Owner, Scale};
use crate::measure::{Measured, measure};
use crate::outline::{Care, Outlines, draw};
use crate::plane::Plane;
use crate::polygon;
use crate::survey::Survey;
use glam::DVec2;

/// How a survey is turned into decks and stones.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FitOptions {
    /// Surveyed points of a facet lie within this of its plane, in metres.
    pub tolerance_m: f64,
    /// The radius of the foot that is to stand there, in metres.
    pub foot_radius_m: f64,
    /// 95 % of surveyed points lie within this of the real surface, in metres; `None` if that is not known.
    pub accuracy_m: Option<f64>,
    /// The width of the squares into which points are sorted, in metres; `None` lets their number decide. With it a mesh is seen from above.
    pub cell_m: Option<f64>,
}

/// What a surface is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Use {
    /// A foot fits on it.
    Facet,
    /// It is as plane as a facet, but no foot fits on it.
    Ledge,
    /// It lies over what no plane and no ball fits.
    Cover,
}

/// A plane piece of ground.
#[derive(Clone, Debug)]
pub struct Surface {
    /// Unlike that of any other surface or stone.
    pub name: String,
    /// What it is for.
    pub sort: Use,
    /// Its plane.
    pub plane: Plane,
    /// Simple polygons that meet along whole edges; each becomes a deck.
    pub outlines: Vec<Vec<DVec2>>,
    /// The area of all of them seen from above.
    pub area_m2: f64,
    /// Surveyed points on it.
    pub points: usize,
    /// For the scene: the distance from the plane within which 95 % of its area lies, and the survey's accuracy.
    pub relief_m: f64,
    /// For the scene: the tilt under a foot that is not exceeded in 95 % of places, and what the survey's accuracy may hide.
    pub tilt_deg: f64,
    /// The largest distance of a surveyed point from the plane, without the survey's accuracy.
    pub worst_m: f64,
    /// The largest distance of points near the outline that lie beyond the tolerance; 0 if there are none.
    pub worst_at_edge_m: f64,
    /// Points beyond the tolerance that do not lie near the outline. There should be none.
    pub breaches: usize,
    /// The radius of the largest disc that fits on it.
    pub room_m: f64,
    /// The middle of that disc.
    pub room_at: DVec2,
}

impl Surface {
    /// The names of its decks, one for each outline.
    #[must_use]
    pub fn deck_names(&self) -> Vec<String> {
        match self.outlines.len() {
            1 => vec![self.name.clone()],
            count => (1..=count).map(|number| format!("{}-{number}", self.name)).collect(),
        }
    }
}

/// A stone.
#[derive(Clone, Debug)]
pub struct Stone {
    /// Unlike that of any other surface or stone.
    pub name: String,
    /// The ball, made larger by the residual that 95 % of its surface keep, and by the survey's accuracy.
    pub ball: Ball,
    /// By how much it was made larger.
    pub added_m: f64,
    /// The largest distance of a surveyed point from the fitted ball.
    pub worst_m: f64,
    /// Surveyed points on it.
    pub points: usize,
}

/// An edge along which two facets meet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Meeting {
    /// The two surfaces, as places in the list.
    pub between: [usize; 2],
    /// The length of all edges that they share, seen from above.
    pub length_m: f64,
    /// The least and the greatest height of the second over the first along them.
    pub step_m: [f64; 2],
    /// The angle between their planes.
    pub crease_deg: f64,
}

/// What was fitted at one cell of the survey.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Seen {
    /// On a facet or ledge, with the residual of the point that lies farthest from the plane, in metres, positive above.
    On(f64),
    /// Under a cover.
    Covered,
    /// On a stone, with the residual in the same way.
    Stone(f64),
    /// In none: an outline was drawn inside it.
    Outside,
}

/// The decks and stones of a survey, and how well they fit it.
#[derive(Clone, Debug)]
pub struct Ground {
    /// Facets, ledges and covers, each sort from the largest to the smallest.
    pub surfaces: Vec<Surface>,
    /// The stones.
    pub stones: Vec<Stone>,
    /// Where facets meet.
    pub meetings: Vec<Meeting>,
    /// Each cell as a polygon, with what was fitted there.
    pub cells: Vec<(Vec<DVec2>, Seen)>,
    /// The area that was surveyed, seen from above.
    pub surveyed_m2: f64,
    /// The area of the rectangle around it.
    pub rectangle_m2: f64,
    /// The width of a cell; 0 for the triangles of a mesh.
    pub cell_m: f64,
    /// The outlines of facets are known to within this.
    pub edge_known_m: f64,
    /// What was left out, mended or decided.
    pub notes: Vec<String>,
}

/// Fits decks and stones to a survey. The same survey and options give the same decks, bit for bit.
///
/// # Errors
///
/// The survey has no ground, or surfaces above each other, or is too large.
pub fn fit_ground(survey: &Survey, options: &FitOptions) -> Result<Ground, SurveyError> {
    let mut notes = Vec::new();
    let cells = cells_of(survey, options.cell_m, &mut notes)?;
    let scale = Scale::new(options.tolerance_m, options.foot_radius_m, &cells);
    let fit = fit::fit(&cells, &scale);
    let mut outlines = draw(&cells, &scale, &fit, Care::Usual)?;
    let (mut under, mut measured) = measure(&cells, &scale, &fit, &outlines);
    if measured.iter().any(|one| one.breaches > 0) {
        // An edge was moved too far: draw all as they are.
        outlines = draw(&cells, &scale, &fit, Care::Close)?;
        (under, measured) = measure(&cells, &scale, &fit, &outlines);
        notes.push("edges were left where the cells have them, because straight ones would have taken in points beyond the tolerance".into());
    }
    note_repairs(&fit, &outlines, &mut notes);
    Ok(Assembled {
        cells: &cells,
        options,
        fit: &fit,
        outlines: &outlines,
        under: &under,
        measured: &measured,
    }
    .ground(&scale, notes))
}

fn note_repairs(fit: &Fit, outlines: &Outlines, notes: &mut Vec<String>) {
    let shared = fit.shared_out.iter().filter(|shared| **shared).count();
    if shared > 0 {
        let cells = if shared == 1 { "1 cell".into() } else { format!("{shared} cells") };
        notes.push(format!("{cells} between two facets fit neither, and went to the nearer one"));
    }
    if outlines.ragged > 0 {
        notes.push(format!(
            "{} outlines follow the cells, because straight edges would have crossed others",
            outlines.ragged
        ));
    }
}

/// All that was found, on the way to a [`Ground`].
struct Assembled<'a> {
    cells: &'a Cells,
    options: &'a FitOptions,
    fit: &'a Fit,
    outlines: &'a Outlines,
    under: &'a [Option<u32>],
    measured: &'a [Measured],
}

impl Assembled<'_> {
    fn ground(&self, scale: &Scale, notes: Vec<String>) -> Ground {
        let order = self.order();
        let mut place = vec![None; self.fit.surfaces.len()];
        for (new, old) in order.iter().enumerate() {
            place[*old] = Some(new);
        }
        let mut counts = [0; 3];
        let surfaces: Vec<Surface> = order
            .iter()
            .map(|old| {
                let sort = self.sort(*old);
                let (count, word) = match sort {
                    Use::Facet => (&mut counts[0], "facet"),
                    Use::Ledge => (&mut counts[1], "ledge"),
                    Use::Cover => (&mut counts[2], "cover"),
                };
                *count += 1;
                self.surface(*old, sort, format!("{word}-{count}"))
            })
            .collect();
        Ground {
            meetings: self.meetings(&place),
            surfaces,
            stones: (0..self.fit.stones.len()).map(|number| self.stone(number)).collect(),
            cells: (0..self.cells.len()).map(|cell| self.seen(cell)).collect(),
            surveyed_m2: self.cells.areas.iter().sum(),
            rectangle_m2: {
                let (low, high) = polygon::extent(self.cells.corners.iter().copied());
                (high - low).element_product()
            },
            cell_m: self.cells.grain,
            edge_known_m: self.edge_known(scale),
            notes,
        }
    }

    /// Half a cell, the straightening of outlines, and the strips between facets as wide as they are.
    fn edge_known(&self, scale: &Scale) -> f64 {
        let facets = self.measured.iter().zip(&self.fit.surfaces).filter(|(_, surface)| !surface.is_cover);
        let strip = facets.map(|(measured, _)| measured.strip).fold(0.0, f64::max);
        rounded_up((0.5 * scale.grain + scale.straightened()).max(0.5 * scale.grain + strip), 1e-4)
    }

    fn sort(&self, number: usize) -> Use {
        match (self.fit.surfaces[number].is_cover, self.measured[number].room >= self.options.foot_radius_m) {
            (true, _) => Use::Cover,
            (false, true) => Use::Facet,
            (false, false) => Use::Ledge,
        }
    }

    fn area(&self, number: usize) -> f64 {
        self.outlines.pieces[number].iter().map(|ring| polygon::area(ring)).sum()
    }

    /// Surfaces that have an outline: facets, ledges, covers, each from the largest on.
    fn order(&self) -> Vec<usize> {
        let mut order: Vec<usize> =
            (0..self.fit.surfaces.len()).filter(|number| self.area(*number) > 0.0).collect();
        let rank = |number: usize| match self.sort(number) {
            Use::Facet => 0,
            Use::Ledge => 1,
            Use::Cover => 2,
        };
        order.sort_by(|a, b| {
            rank(*a).cmp(&rank(*b)).then(self.area(*b).total_cmp(&self.area(*a))).then(a.cmp(b))
        });
        order
    }

    fn surface(&self, number: usize, sort: Use, name: String) -> Surface {
        let measured = &self.measured[number];
        let accuracy = self.options.accuracy_m.unwrap_or(0.0);
        // Heights at opposite ends of a foot that are both wrong by the accuracy.
        let hidden_deg = (accuracy / self.options.foot_radius_m).atan().to_degrees();
        let tilt_deg =
            if sort == Use::Cover { 0.0 } else { rounded_up(measured.tilt_deg + hidden_deg, 0.01) };
        Surface {
            name,
            sort,
            plane: self.fit.surfaces[number].plane,
            outlines: self.outlines.pieces[number].clone(),
            area_m2: self.area(number),
            points: measured.points,
            relief_m: rounded_up(measured.usual + accuracy, 1e-4),
            tilt_deg,
            worst_m: measured.worst,
            worst_at_edge_m: measured.worst_at_edge,
            breaches: if sort == Use::Cover { 0 } else { measured.breaches },
            room_m: measured.room,
            room_at: measured.room_at,
        }
    }

    fn stone(&self, number: usize) -> Stone {
        let ball = self.fit.stones[number];
        let mut distances: Vec<f64> = (0..self.cells.len())
            .filter(|cell| self.fit.owners[*cell] == Owner::Stone(number as u32))
            .flat_map(|cell| self.cells.samples_of(cell))
            .map(|p| ball.distance(*p).abs())
            .filter(|distance| *distance <= self.options.tolerance_m)
            .collect();
        distances.sort_by(f64::total_cmp);
        let usual =
            distances.get((distances.len() * 95).div_ceil(100).saturating_sub(1)).copied().unwrap_or(0.0);
        let added_m = rounded_up(usual + self.options.accuracy_m.unwrap_or(0.0), 1e-4);
        let round = |value: f64| (value * 1e4).round() / 1e4;
        let centre = ball.centre.to_array().map(round).into();
        Stone {
            name: format!("stone-{}", number + 1),
            ball: Ball { centre, radius: round(ball.radius) + added_m },
            added_m,
            worst_m: distances.last().copied().unwrap_or(0.0),
            points: distances.len(),
        }
    }

    fn meetings(&self, place: &[Option<usize>]) -> Vec<Meeting> {
        let mut found: std::collections::BTreeMap<[usize; 2], Meeting> = std::collections::BTreeMap::new();
        for (number, borders) in self.outlines.borders.iter().enumerate() {
            for border in borders {
                let Some(other) = border.beyond.map(|other| other as usize) else { continue };
                let (Some(own), Some(beyond)) = (place[number], place[other]) else { continue };
                let covers = self.fit.surfaces[number].is_cover || self.fit.surfaces[other].is_cover;
                if own >= beyond || covers {
                    continue;
                }
                let [a, b] = [number, other].map(|n| self.fit.surfaces[n].plane);
                let meeting = found.entry([own, beyond]).or_insert_with(|| Meeting {
                    between: [own, beyond],
                    length_m: 0.0,
                    step_m: [f64::INFINITY, f64::NEG_INFINITY],
                    crease_deg: a.normal().dot(b.normal()).clamp(-1.0, 1.0).acos().to_degrees(),
                });
                meeting.length_m += border.from.distance(border.to);
                for at in [border.from, border.to] {
                    let step = b.at(at) - a.at(at);
                    meeting.step_m = [meeting.step_m[0].min(step), meeting.step_m[1].max(step)];
                }
            }
        }
        found.into_values().collect()
    }

    fn seen(&self, cell: usize) -> (Vec<DVec2>, Seen) {
        let ring =
            self.cells.loop_of(cell).iter().map(|corner| self.cells.corners[*corner as usize]).collect();
        let farthest = |distance: &dyn Fn(glam::DVec3) -> f64| {
            let all = self.cells.samples_of(cell).iter().map(|p| distance(*p));
            all.fold(0.0, |worst: f64, d| if d.abs() > worst.abs() { d } else { worst })
        };
        let seen = match (self.fit.owners[cell], self.under[cell]) {
            (Owner::Stone(number), _) => {
                Seen::Stone(farthest(&|p| self.fit.stones[number as usize].distance(p)))
            }
            (_, Some(number)) => {
                let surface = &self.fit.surfaces[number as usize];
                if surface.is_cover {
                    Seen::Covered
                } else {
                    Seen::On(farthest(&|p| surface.plane.distance(p)))
                }
            }
            (_, None) => Seen::Outside,
        };
        (ring, seen)
    }
}

/// Rounded up to a multiple of a step, but for what is nothing but rounding.
fn rounded_up(value: f64, step: f64) -> f64 {
    let steps = (value / step - 1e-3).ceil().max(0.0);
    // A whole number over a whole number has the shortest digits.
    steps / (1.0 / step).round()
}
