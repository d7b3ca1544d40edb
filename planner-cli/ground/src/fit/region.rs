//! Sets of cells that hang together.

use crate::cells::Cells;
use crate::plane::Moments;
use std::collections::VecDeque;

/// Cells looked at around one cell.
const NEIGHBOURHOOD: usize = 48;

/// Marks cells; clearing all marks takes no time.
pub(super) struct Marks {
    stamps: Vec<u32>,
    now: u32,
}

impl Marks {
    pub(super) fn new(count: usize) -> Self {
        Self { stamps: vec![0; count], now: 1 }
    }

    pub(super) fn clear(&mut self) {
        self.now += 1;
    }

    /// Marks a cell; whether it was not marked before.
    pub(super) fn set(&mut self, cell: usize) -> bool {
        std::mem::replace(&mut self.stamps[cell], self.now) != self.now
    }

    pub(super) fn has(&self, cell: usize) -> bool {
        self.stamps[cell] == self.now
    }
}

/// The cells around a cell within a distance of it, nearest first by steps, that pass a test.
pub(super) fn around(
    cells: &Cells,
    middle: usize,
    reach: f64,
    marks: &mut Marks,
    allowed: impl Fn(usize) -> bool,
) -> Vec<usize> {
    marks.clear();
    marks.set(middle);
    let mut found = vec![middle];
    let mut next = 0;
    while next < found.len() && found.len() < NEIGHBOURHOOD {
        for other in cells.beside(found[next]) {
            if cells.centres[other].distance(cells.centres[middle]) <= reach
                && marks.set(other)
                && allowed(other)
            {
                found.push(other);
            }
        }
        next += 1;
    }
    found
}

/// The sums over the points of cells.
pub(super) fn moments_of(cells: &Cells, members: &[usize]) -> Moments {
    let mut moments = Moments::default();
    for &cell in members {
        add_cell(&mut moments, cells, cell);
    }
    moments
}

pub(super) fn add_cell(moments: &mut Moments, cells: &Cells, cell: usize) {
    let weight = cells.weight_in(cell);
    for p in cells.samples_of(cell) {
        moments.add(*p, weight);
    }
}

/// The area of cells seen from above.
pub(super) fn area_of(cells: &Cells, members: &[usize]) -> f64 {
    members.iter().map(|cell| cells.areas[*cell]).sum()
}

/// The parts of a set of cells that hang together, in the order of their first cells. The marks must be those of the set.
pub(super) fn parts(cells: &Cells, members: &[usize], is_in: impl Fn(usize) -> bool) -> Vec<Vec<usize>> {
    let mut seen = std::collections::BTreeSet::new();
    let mut found = Vec::new();
    for &start in members {
        if !seen.insert(start) {
            continue;
        }
        let (mut part, mut queue) = (Vec::new(), VecDeque::from([start]));
        while let Some(cell) = queue.pop_front() {
            part.push(cell);
            for other in cells.beside(cell) {
                if is_in(other) && seen.insert(other) {
                    queue.push_back(other);
                }
            }
        }
        found.push(part);
    }
    found
}
