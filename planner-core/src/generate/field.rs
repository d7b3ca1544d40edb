//! A field: many small shapes, each in a cell with its modules.

use super::GenerateError;
use super::assembly::{assemble, rehearse};
use super::draft::Draft;
use super::ground::Plot;
use super::known::Known;
use super::lattice::Ball;
use super::placed::Placed;
use super::rehearsal::Rehearsal;
use super::setting::Setting;
use crate::math::{DVec2, SplitMix64};
use crate::model::{ModuleId, Problem};
use crate::motion::structure::part_of;
use rayon::prelude::*;

/// Spacing of the grid of modules, in radii.
const GRID: f64 = 6.0;
/// Greatest offset of a module from the grid along each axis, in radii: there are ways between all of them.
const OFF: f64 = 0.6;
/// Least distance of a point of the grid from a ball of a shape, seen from above, in radii.
const CLEAR: f64 = 2.0 + 1.5 * OFF;

/// Shapes in the cells of a field, each amid its modules; modules that are left have a cell without a shape. Forms come with the angle in radians by
/// which they are turned. Without `rehearsing`, nothing is said about whether they can be formed.
pub(super) fn field(
    setting: &Setting,
    modules: usize,
    forms: Vec<(Vec<Ball>, f64)>,
    random: &mut SplitMix64,
    rehearsing: bool,
) -> Result<Draft, GenerateError> {
    let radius = setting.first_kind().shell_radius_m;
    let spare = modules - forms.iter().map(|(form, _)| form.len()).sum::<usize>();
    let cells = forms.len() + usize::from(spare > 0);
    let columns = (1..).find(|n| n * n >= cells).unwrap_or(cells);
    let at_origin = |(form, turn): &(Vec<Ball>, f64)| Placed::new(form.clone(), [0.0; 2], *turn);
    let shapes: Vec<Placed> = forms.iter().map(at_origin).collect();
    let side = (2..).find(|&side| shapes.iter().all(|s| has_room(s, side, radius))).unwrap_or_default();
    let cell_m = GRID * radius * side as f64;
    let [width, depth] = [columns, cells.div_ceil(columns)].map(|n| 0.5 * cell_m * n as f64);
    let middle = |cell: usize| {
        let at = |n: usize, half: f64| (n as f64 + 0.5) * cell_m - half;
        [at(cell % columns, width), at(cell / columns, depth)]
    };
    let plot = Plot::around([-width, -depth], [width, depth], setting.m(0.2));
    let mut draft = Draft::new(setting, setting.ground("apron", &plot, random));
    for cell in 0..cells {
        let shape = shapes.get(cell);
        let mut free = spots(shape, side, radius);
        random.shuffle(&mut free);
        for spot in free.into_iter().take(shape.map_or(spare, |shape| shape.balls.len())) {
            let centre = middle(cell);
            let off = OFF * radius;
            let at =
                std::array::from_fn(|axis| centre[axis] + spot[axis] + setting.between(-off, off, random));
            draft.stand("apron", at, random);
        }
    }
    let shapes =
        forms.into_iter().enumerate().map(|(cell, (form, turn))| Placed::new(form, middle(cell), turn));
    let shapes: Vec<Placed> = shapes.collect();
    let Some(parts) = parts(&draft, &shapes)? else { return Ok(draft) };
    for shape in &shapes {
        draft.ask_for(shape, "apron");
    }
    draft.known = match (rehearsing, modules <= setting.rehearsed_up_to()) {
        (false, _) => Known::Untried,
        (true, true) => rehearse(&draft, &shapes)?,
        (true, false) => rehearsed_in_parts(&draft, &shapes, parts),
    };
    Ok(draft)
}

/// Whether a cell of so many grid points along its side has room for a shape, with a way round it, and for its modules.
fn has_room(shape: &Placed, side: usize, radius: f64) -> bool {
    let reach = (0..shape.balls.len()).map(|ball| shape.at(ball).truncate().length()).fold(0.0, f64::max);
    let room = reach + 2.0 * radius <= 0.5 * GRID * radius * side as f64;
    room && spots(Some(shape), side, radius).len() >= shape.balls.len()
}

/// The points of the grid of a cell at the origin that are clear of its shape, if it has one.
fn spots(shape: Option<&Placed>, side: usize, radius: f64) -> Vec<[f64; 2]> {
    let along = |n: usize| (n as f64 - 0.5 * (side as f64 - 1.0)) * GRID * radius;
    let grid = (0..side * side).map(|n| [along(n % side), along(n / side)]);
    let is_clear = |spot: &[f64; 2]| {
        let away = |shape: &Placed, ball| shape.at(ball).truncate().distance(DVec2::from(*spot));
        shape.is_none_or(|s| (0..s.balls.len()).all(|ball| away(s, ball) >= CLEAR * radius))
    };
    grid.filter(is_clear).collect()
}

/// The modules of each shape as a crew of their own, if all shapes stand. A shape has as many as it has balls, in the order of the crew.
fn parts(draft: &Draft, shapes: &[Placed]) -> Result<Option<Vec<Problem>>, GenerateError> {
    let problem = draft.problem()?;
    let mut crew = problem.module_ids();
    let part = |shape: &Placed| {
        let members: Vec<ModuleId> = crew.by_ref().take(shape.balls.len()).collect();
        let (part, start) = part_of(&problem, &problem.start, &members);
        shape.stands_alone(&part, draft.setting.frame).then_some(Problem { start, ..part })
    };
    Ok(shapes.iter().map(part).collect())
}

/// What rehearsals of all shapes show, each with its modules alone on the ground.
fn rehearsed_in_parts(draft: &Draft, shapes: &[Placed], parts: Vec<Problem>) -> Known {
    let trips = |(shape, part): (&Placed, Problem)| {
        let mut crew = Rehearsal::new(part, draft.setting.frame);
        let mut free: Vec<ModuleId> = crew.problem.module_ids().collect();
        assemble(&mut crew, shape, &mut free).then_some(crew.trips)
    };
    let all = shapes.par_iter().zip(parts).map(trips).try_reduce(|| 0, |a, b| Some(a + b));
    all.map_or(Known::Failed, |trips| Known::InParts { shapes: shapes.len(), trips })
}
