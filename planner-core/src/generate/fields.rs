//! Many small shapes on one field.

use super::GenerateError;
use super::assembly::assemble;
use super::draft::Draft;
use super::ground::Plot;
use super::known::Known;
use super::lattice::{Ball, arch, pile, pyramid, wall};
use super::placed::Placed;
use super::rehearsal::Rehearsal;
use super::setting::Setting;
use crate::math::{DVec2, SplitMix64};
use crate::model::{ModuleId, Problem};
use crate::motion::structure::part_of;
use std::f64::consts::TAU;

/// Spacing of the grid of modules, in radii.
const GRID: f64 = 6.0;
/// Greatest offset of a module from the grid along each axis, in radii: there are ways between all of them.
const OFF: f64 = 0.6;
/// Least distance of a point of the grid from a ball of a shape, seen from above, in radii.
const CLEAR: f64 = 2.0 + 1.5 * OFF;
/// Greatest number of balls of an arm of an arch.
const LONGEST_ARM: usize = 6;
/// Up to so many modules are rehearsed as one crew.
const WHOLE: usize = 16;

/// Piles of four in rows and columns.
pub(super) fn fields(
    setting: &Setting,
    modules: usize,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    let form = pile(setting.first_kind());
    let forms = (0..modules / form.len()).map(|_| (form.clone(), 0.0)).collect();
    field(setting, modules, forms, random)
}

/// Shapes of three to six balls, each turned by an angle of its own.
pub(super) fn fields_various(
    setting: &Setting,
    modules: usize,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    let kind = setting.first_kind();
    let all = [wall(kind, 2, 2), pile(kind), pyramid(kind, 2), wall(kind, 3, 3)];
    let mut forms = Vec::new();
    let mut left = modules;
    while left >= all[0].len() {
        let fitting = all.iter().filter(|form| form.len() <= left).count();
        let form = all[random.below(fitting)].clone();
        left -= form.len();
        forms.push((form, random.between(0.0, TAU)));
    }
    field(setting, modules, forms, random)
}

/// Arches as high as the kind can bear.
pub(super) fn arches(
    setting: &Setting,
    modules: usize,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    let mut arm = LONGEST_ARM.min(modules / 2);
    loop {
        let form = arch(setting.first_kind(), arm);
        let forms = (0..modules / form.len()).map(|_| (form.clone(), 0.0)).collect();
        let draft = field(setting, modules, forms, random)?;
        if draft.scenario.goal.is_some() || arm == 2 {
            return Ok(draft);
        }
        arm -= 1;
    }
}

/// Shapes in the cells of a field, each amid its modules; modules that are left have a cell without a shape. Forms come with the angle in radians by
/// which they are turned.
fn field(
    setting: &Setting,
    modules: usize,
    forms: Vec<(Vec<Ball>, f64)>,
    random: &mut SplitMix64,
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
    ask_for_all(draft, &shapes.collect::<Vec<_>>())
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

/// Asks for the shapes if they stand; each is formed by as many modules as it has balls, in the order of the crew.
fn ask_for_all(mut draft: Draft, shapes: &[Placed]) -> Result<Draft, GenerateError> {
    let problem = draft.problem()?;
    let frame = draft.setting.frame;
    let mut crew = problem.module_ids();
    let mut parts: Vec<Problem> = Vec::with_capacity(shapes.len());
    for shape in shapes {
        let members: Vec<ModuleId> = crew.by_ref().take(shape.balls.len()).collect();
        let (part, start) = part_of(&problem, &problem.start, &members);
        if !shape.stands_alone(&part, frame) {
            return Ok(draft);
        }
        parts.push(Problem { start, ..part });
    }
    for shape in shapes {
        draft.ask_for(shape, "apron");
    }
    draft.known = if problem.modules.len() <= WHOLE {
        let mut crew = Rehearsal::new(draft.problem()?, frame);
        let mut free: Vec<ModuleId> = crew.problem.module_ids().collect();
        let formed = shapes.iter().all(|shape| assemble(&mut crew, shape, &mut free));
        Known::of(if formed { crew.trips_to_goal() } else { None })
    } else {
        let rehearsed = shapes.iter().zip(parts).map(|(shape, part)| {
            let mut crew = Rehearsal::new(part, frame);
            let mut free: Vec<ModuleId> = crew.problem.module_ids().collect();
            assemble(&mut crew, shape, &mut free).then_some(crew.trips)
        });
        let trips: Option<usize> = rehearsed.sum();
        trips.map_or(Known::Failed, |trips| Known::InParts { shapes: shapes.len(), trips })
    };
    Ok(draft)
}
