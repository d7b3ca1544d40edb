//! Looks for an enclosure: floods space from the target place, with ever smaller cells.
//!
//! The flood passes every cell that does not lie wholly within a shell's radius of a solid, so it covers every place that a module could reach. It
//! ends as soon as it meets a module along cells that are free at their centres: a way then probably exists.

use super::enclosure::neighbours;
use super::{CutOffPlace, Enclosure, Impossible, goal_shape, too_few};
use crate::math::{DVec2, DVec3, LeastFirst};
use crate::model::{Body, DeckId, GroundId, ModuleId, Problem, SlotId};
use crate::search::bounds::stances::Sizes;
use indexmap::IndexSet;

/// Ratios of the shell radius to the side of a cell, tried one after the other.
const PARTS: [f64; 4] = [2.0, 4.0, 8.0, 16.0];
/// Most cells visited before a flood is given up.
const MOST_CELLS: usize = 400_000;
/// Half the diagonal of a cell's face, in cells, and a little more.
const HALF_DIAGONAL: f64 = 0.71;
/// Margin by which blocked cells are deeper than a shell radius, in metres: more than all tolerances of places.
const DEPTH_M: f64 = 1e-5;
/// Greatest deviation of a slot's filler from its place along each axis, in metres.
const SLOT_PLAY_M: f64 = 1.01 * crate::math::tolerance::SLOT_M;

/// A place of the goal that is enclosed; only looked for where all modules are of one size.
pub(super) fn cut_off(problem: &Problem) -> Option<Impossible> {
    if !problem.is_one_size() {
        return None;
    }
    let within_reach = too_few::within_reach(problem);
    let target = slots_cut_off(problem, &within_reach).or_else(|| deck_cut_off(problem, &within_reach));
    target.map(|(target, enclosure)| Impossible::CutOff { target, enclosure, within_reach })
}

fn slots_cut_off(problem: &Problem, within_reach: &[GroundId]) -> Option<(CutOffPlace, Enclosure)> {
    let places = goal_shape::places(problem);
    let mut slots = places.into_iter().zip(&problem.goal.slots).enumerate();
    slots.find_map(|(index, (place, slot))| {
        let takers = problem.module_ids().filter(|&m| problem.slot_takes(slot, m));
        let site = FloodedSpace::new(problem, within_reach, takers);
        let seeds = |cell_m: f64| {
            let far = ((SLOT_PLAY_M - 0.5 * cell_m) / cell_m).ceil().max(0.0) as i32;
            let span = -far..=far;
            let rows = span.clone().flat_map(|i| span.clone().map(move |j| [i, j])).collect::<Vec<_>>();
            rows.into_iter().flat_map(|[i, j]| (-far..=far).map(move |k| [i, j, k])).collect()
        };
        Some((CutOffPlace::Slot(SlotId::at(index)), site.enclosure(place, seeds, |_| true)?))
    })
}

fn deck_cut_off(problem: &Problem, within_reach: &[GroundId]) -> Option<(CutOffPlace, Enclosure)> {
    let gather = problem.goal.gather.filter(|g| problem.gathered(&problem.start) < Some(g.count))?;
    let solid = problem.ground(gather.ground);
    // Where any place of the ground will do, whoever stands there is there; else those on another deck of it may still have to come.
    let is_there = |m: &ModuleId| match gather.within {
        Some(_) => problem.has_gathered(gather, problem.start.get(*m)),
        None => problem.start.hosts_below(*m).find_map(Body::ground) == Some(gather.ground),
    };
    let (foot_m, ride_m) = (Sizes::new(problem).foot_m, Sizes::new(problem).ride_m[0]);
    let low = solid.outline.corners().fold(DVec2::INFINITY, DVec2::min);
    let high = solid.outline.corners().fold(DVec2::NEG_INFINITY, DVec2::max);
    let origin = low.extend(solid.height_m() + ride_m);
    let site = FloodedSpace::new(problem, within_reach, problem.module_ids().filter(|m| !is_there(m)));
    let seeds = |cell_m: f64| {
        let [columns, rows] = ((high - low) / cell_m).to_array().map(|n| n.ceil().min(2e4) as i32);
        let cells = (0..=columns).flat_map(|i| (0..=rows).map(move |j| [i, j, 0]));
        let holds = |cell: &[i32; 3]| {
            let middle = low + DVec2::new(f64::from(cell[0]), f64::from(cell[1])) * cell_m;
            let is_within =
                |deck: DeckId| problem.decks[deck.index()].solid.inset(middle) >= -HALF_DIAGONAL * cell_m;
            solid.outline.inset(middle) >= foot_m - cell_m && gather.within.is_none_or(is_within)
        };
        cells.take(MOST_CELLS).filter(holds).collect()
    };
    // A cell whose centre lies outside the deck may be reached from outside, and a smaller one at the same place not.
    let is_sure = |at: DVec3| {
        gather.within.is_none_or(|deck| problem.decks[deck.index()].solid.inset(at.truncate()) >= 0.0)
    };
    let enclosure = site.enclosure(origin, seeds, is_sure)?;
    let inside = problem.start.iter().filter(|(_, p)| enclosure.holds(p.position)).count();
    (inside < gather.count).then_some((CutOffPlace::Deck(gather.ground), enclosure))
}

/// The space that a module's centre can pass, and the places of the modules that might come.
struct FloodedSpace<'a> {
    problem: &'a Problem,
    radius_m: f64,
    ceiling_m: f64,
    comers: Vec<DVec3>,
}

/// Result of a flood.
enum Flood {
    /// No module gets in or out: the cells.
    Closed(Vec<[i32; 3]>),
    /// A way probably exists.
    Open,
    /// Undecided: smaller cells may decide.
    Doubtful,
}

impl<'a> FloodedSpace<'a> {
    fn new(problem: &'a Problem, within_reach: &[GroundId], comers: impl Iterator<Item = ModuleId>) -> Self {
        let sizes = Sizes::new(problem);
        let comers = comers.map(|m| problem.start.get(m).position).collect();
        let ceiling_m = ceiling_m(problem, &sizes, within_reach);
        Self { problem, radius_m: sizes.radius_m, ceiling_m, comers }
    }

    /// The enclosure around the seeds, if there is one; `origin` is the centre of cell `[0, 0, 0]`. Of seeds that are not sure, smaller ones may not be
    /// needed.
    fn enclosure(
        &self,
        origin: DVec3,
        seeds: impl Fn(f64) -> Vec<[i32; 3]>,
        is_sure: impl Fn(DVec3) -> bool,
    ) -> Option<Enclosure> {
        if self.comers.is_empty() {
            return None;
        }
        for part in PARTS {
            let mut grid = Enclosure { origin, cell_m: self.radius_m / part, cells: Vec::new() };
            match self.flood(&grid, seeds(grid.cell_m), &is_sure) {
                Flood::Open => return None,
                Flood::Doubtful => {}
                Flood::Closed(mut cells) => {
                    cells.sort_unstable();
                    grid.cells = cells;
                    return Some(grid);
                }
            }
        }
        None
    }

    fn flood(&self, grid: &Enclosure, seeds: Vec<[i32; 3]>, is_sure: &impl Fn(DVec3) -> bool) -> Flood {
        let mut seen: IndexSet<[i32; 3]> = IndexSet::new();
        let mut open: LeastFirst<[i32; 3]> = LeastFirst::default();
        let mut doubtful = false;
        for seed in seeds {
            if self.is_blocked(grid, seed) || !seen.insert(seed) {
                continue;
            }
            let doubts = f64::from(u8::from(!is_sure(grid.centre(seed))));
            open.push([doubts, 0.0], [0, 0], seed);
            while let Some((doubts, cell)) = pop(&mut open) {
                if seen.len() > MOST_CELLS {
                    return Flood::Doubtful;
                }
                let here = grid.centre(cell);
                if self.comers.iter().any(|comer| comer.distance(here) < 2.0 * grid.cell_m) {
                    if doubts == 0.0 {
                        return Flood::Open;
                    }
                    doubtful = true;
                    break;
                }
                for next in neighbours(cell) {
                    if self.is_blocked(grid, next) || !seen.insert(next) {
                        continue;
                    }
                    let there = grid.centre(next);
                    let doubts = doubts + f64::from(u8::from(!self.is_free(there)));
                    let far = self.comers.iter().map(|c| c.distance(there)).fold(f64::INFINITY, f64::min);
                    open.push([doubts, far], [seen.len() as u64, 0], next);
                }
            }
            if doubtful {
                return Flood::Doubtful;
            }
        }
        if seen.is_empty() { Flood::Doubtful } else { Flood::Closed(seen.into_iter().collect()) }
    }

    /// Whether no module's centre can be anywhere in a cell, because one point of a solid is too near to all of it.
    fn is_blocked(&self, grid: &Enclosure, cell: [i32; 3]) -> bool {
        let (centre, half) = (grid.centre(cell), 0.5 * grid.cell_m);
        centre.z - half > self.ceiling_m
            || self.problem.decks.iter().any(|deck| {
                let to = (deck.solid.nearest_point(centre) - centre).abs() + DVec3::splat(half);
                to.length() < self.radius_m - DEPTH_M
            })
    }

    /// Whether a module's centre may be here.
    fn is_free(&self, centre: DVec3) -> bool {
        let free = |deck: &crate::model::Deck| deck.solid.distance(centre) >= self.radius_m - DEPTH_M;
        self.problem.decks.iter().all(free)
    }
}

fn pop(open: &mut LeastFirst<[i32; 3]>) -> Option<(f64, [i32; 3])> {
    let doubts = open.peek_ranks()?[0];
    open.pop().map(|cell| (doubts, cell))
}

/// An upper bound on the height of a module's centre, in metres: the whole crew stacked on the highest deck within reach.
pub(super) fn ceiling_m(problem: &Problem, sizes: &Sizes, within_reach: &[GroundId]) -> f64 {
    let tops = within_reach.iter().map(|deck| problem.ground(*deck).height_m());
    let top = tops.fold(f64::NEG_INFINITY, f64::max);
    top + sizes.ride_m[1] + (problem.modules.len() as f64 - 1.0) * sizes.bond_m[1] + DEPTH_M
}
