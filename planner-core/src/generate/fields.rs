//! Many small shapes on one field.

use super::GenerateError;
use super::assembly::assemble;
use super::draft::Draft;
use super::ground::Plot;
use super::known::Known;
use super::lattice::pile;
use super::placed::Placed;
use super::rehearsal::Rehearsal;
use super::setting::Setting;
use crate::math::SplitMix64;
use crate::model::ModuleId;
use crate::motion::structure::part_of;

/// Side of the square cell of a pile, in radii.
const CELL: f64 = 12.0;
/// Greatest offset of a scattered module along each axis, in radii: there are ways between all of them and round the piles.
const OFF: f64 = 0.6;
/// Modules of a cell.
const CREW: usize = 4;
/// Up to so many modules are rehearsed as one crew.
const WHOLE: usize = 16;

/// Piles of four in the cells of a square field, each amid the modules of its cell.
pub(super) fn fields(
    setting: &Setting,
    modules: usize,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    let kind = setting.first_kind();
    let radius = kind.shell_radius_m;
    let cells = modules.div_ceil(CREW);
    let side = cells.isqrt() + usize::from(cells.isqrt().pow(2) < cells);
    let rows = cells.div_ceil(side);
    let width = |cells: usize| 0.5 * CELL * radius * cells as f64;
    let [x, y] = [width(side), width(rows)];
    let field = Plot::around([-x, -y], [x, y], setting.m(0.2));
    let mut draft = Draft::new(setting, setting.ground("apron", &field, random));
    let middle = |cell: usize| {
        let at = |n: usize, half: f64| (n as f64 + 0.5) * CELL * radius - half;
        [at(cell % side, x), at(cell / side, y)]
    };
    for module in 0..modules {
        let quarter = 0.25 * CELL * radius;
        let corner = [module % 2, module / 2 % 2].map(|n| (2.0 * n as f64 - 1.0) * quarter);
        let middle = middle(module / CREW);
        let at = std::array::from_fn(|axis| {
            middle[axis] + corner[axis] + setting.between(-OFF * radius, OFF * radius, random)
        });
        draft.stand("apron", at, random);
    }
    let shapes: Vec<Placed> =
        (0..modules / CREW).map(|cell| Placed::new(pile(kind), middle(cell), 0.0)).collect();
    finish(draft, &shapes)
}

/// Asks for the shapes if they carry; each is formed by as many modules as it has balls, in the order of the crew.
fn finish(mut draft: Draft, shapes: &[Placed]) -> Result<Draft, GenerateError> {
    let problem = draft.problem()?;
    let frame = draft.setting.frame;
    let mut crew = problem.module_ids();
    let mut alone = Vec::with_capacity(shapes.len());
    for shape in shapes {
        let members: Vec<ModuleId> = crew.by_ref().take(shape.balls.len()).collect();
        let (mut part, start) = part_of(&problem, &problem.start, &members);
        if !shape.carries(&part, frame) {
            return Ok(draft);
        }
        part.start = start;
        alone.push(part);
    }
    for shape in shapes {
        draft.ask_for(shape, "apron");
    }
    if problem.modules.len() <= WHOLE {
        let mut crew = Rehearsal::new(draft.problem()?, frame);
        let mut free: Vec<ModuleId> = crew.problem.module_ids().collect();
        let formed = shapes.iter().all(|shape| assemble(&mut crew, shape, &mut free));
        draft.known = Known::of(if formed { crew.trips_to_goal() } else { None });
        return Ok(draft);
    }
    let mut trips = 0;
    for (shape, part) in shapes.iter().zip(alone) {
        let mut crew = Rehearsal::new(part, frame);
        let mut free: Vec<ModuleId> = crew.problem.module_ids().collect();
        if !assemble(&mut crew, shape, &mut free) {
            return Ok(draft);
        }
        trips += crew.trips;
    }
    draft.known = Known::InParts { shapes: shapes.len(), trips };
    Ok(draft)
}
