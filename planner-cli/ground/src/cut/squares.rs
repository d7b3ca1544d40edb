//! Square cells: those of a height grid, and those into which points are sorted.

use crate::cells::{Cells, NONE};
use crate::error::SurveyError;
use crate::survey::HeightGrid;
use glam::{DVec2, DVec3};

/// Points that a cell should hold on average, so that hardly any cell among them stays empty.
const POINTS_PER_CELL: f64 = 9.0;
/// Points nearer to each other than this seen from above, in metres, are no area.
const LEAST_EXTENT_M: f64 = 1e-3;
/// More cells than this are refused.
const MOST_CELLS: f64 = 16e6;

pub(super) fn of_grid(grid: &HeightGrid) -> Cells {
    let lattice =
        Lattice { columns: grid.columns, rows: grid.rows, low: DVec2::from(grid.corner), cell: grid.cell };
    lattice.cells(|index| {
        let z = grid.heights[index];
        if z.is_nan() { Vec::new() } else { vec![lattice.middle(index).extend(z)] }
    })
}

pub(super) fn of_cloud(
    points: &[DVec3],
    cell_m: Option<f64>,
    notes: &mut Vec<String>,
) -> Result<Cells, SurveyError> {
    let mut distinct = points.to_vec();
    distinct.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)).then(a.z.total_cmp(&b.z)));
    distinct.dedup();
    if distinct.len() < points.len() {
        notes.push(format!("{} points that repeat others were left out", points.len() - distinct.len()));
    }
    sorted_in(&distinct, cell_m, notes)
}

/// Sees a mesh from above: its topmost surface at the middle and the corners of each cell.
pub(super) fn of_mesh(
    points: &[DVec3],
    triangles: &[[u32; 3]],
    cell: f64,
    notes: &mut Vec<String>,
) -> Result<Cells, SurveyError> {
    let lattice = Lattice::over(points, cell)?;
    let mut tops = vec![f64::NAN; lattice.columns * lattice.rows];
    for triangle in triangles {
        let [a, b, c] = triangle.map(|corner| points[corner as usize]);
        let (low, high) = (a.min(b).min(c).truncate(), a.max(b).max(c).truncate());
        let double = (b - a).truncate().perp_dot((c - a).truncate());
        if double == 0.0 {
            continue;
        }
        let first = ((low - lattice.low) / cell - 0.5).ceil().max(DVec2::ZERO);
        let last = ((high - lattice.low) / cell - 0.5).floor();
        for row in first.y as usize..(last.y + 1.0).clamp(0.0, lattice.rows as f64) as usize {
            for column in first.x as usize..(last.x + 1.0).clamp(0.0, lattice.columns as f64) as usize {
                let index = row * lattice.columns + column;
                let p = lattice.middle(index) - a.truncate();
                let v = p.perp_dot((c - a).truncate()) / double;
                let w = (b - a).truncate().perp_dot(p) / double;
                if v >= -1e-9 && w >= -1e-9 && v + w <= 1.0 + 1e-9 {
                    let z = a.z + v * (b.z - a.z) + w * (c.z - a.z);
                    tops[index] = tops[index].max(z);
                }
            }
        }
    }
    notes.push(format!(
        "the mesh was looked at from above, on cells {} mm wide; what lies below other parts was left out",
        cell * 1e3
    ));
    Ok(lattice.cells(|index| {
        let z = tops[index];
        if z.is_nan() { Vec::new() } else { vec![lattice.middle(index).extend(z)] }
    }))
}

fn sorted_in(points: &[DVec3], cell_m: Option<f64>, notes: &mut Vec<String>) -> Result<Cells, SurveyError> {
    let (low, high) = extent(points);
    let cell = cell_m.unwrap_or_else(|| {
        let size = (high - low).max(DVec2::splat(LEAST_EXTENT_M));
        let fine = (size.x * size.y * POINTS_PER_CELL / points.len().max(1) as f64).sqrt();
        // A round number of millimetres reads better in a report.
        (fine * 1e3).ceil().max(1.0) * 1e-3
    });
    let lattice = Lattice::over(points, cell)?;
    let mut members: Vec<Vec<DVec3>> = vec![Vec::new(); lattice.columns * lattice.rows];
    for p in points {
        members[lattice.index_of(p.truncate())].push(*p);
    }
    let full = members.iter().filter(|list| !list.is_empty()).count();
    notes.push(format!(
        "{} points were sorted into {full} cells {} mm wide; every point counts in the residuals",
        points.len(),
        crate::words::trimmed(cell * 1e3, 3)
    ));
    Ok(lattice.cells(|index| std::mem::take(&mut members[index])))
}

fn extent(points: &[DVec3]) -> (DVec2, DVec2) {
    let none = (DVec2::INFINITY, DVec2::NEG_INFINITY);
    points.iter().fold(none, |(low, high), p| (low.min(p.truncate()), high.max(p.truncate())))
}

/// A lattice of squares.
#[derive(Clone, Copy)]
struct Lattice {
    columns: usize,
    rows: usize,
    low: DVec2,
    cell: f64,
}

impl Lattice {
    fn over(points: &[DVec3], cell: f64) -> Result<Self, SurveyError> {
        let (low, high) = extent(points);
        let size = high - low;
        if points.is_empty() || size.min_element() < LEAST_EXTENT_M {
            let found = match points.len() {
                0 => "no points are left".into(),
                count => format!(
                    "all {count} points lie within {:.2} mm by {:.2} mm, seen from above",
                    (size.x * 1e3).max(0.0),
                    (size.y * 1e3).max(0.0)
                ),
            };
            let to_do = "check --unit, --up and --window, and whether the export lost the coordinates";
            return Err(SurveyError::new("points", found, "points that cover an area are allowed", to_do));
        }
        // The outermost points lie in the middle of the outermost cells.
        let low = low - 0.5 * cell;
        let count = ((size / cell).floor() + 1.0).max(DVec2::ONE);
        if count.x * count.y > MOST_CELLS {
            return Err(SurveyError::new(
                "--cell",
                format!("cells {} mm wide would be {:.0} million", cell * 1e3, count.x * count.y / 1e6),
                "up to 16 million cells are allowed",
                "give wider cells, or a part of the survey with --window",
            ));
        }
        Ok(Self { columns: count.x as usize, rows: count.y as usize, low, cell })
    }

    fn middle(&self, index: usize) -> DVec2 {
        let at = DVec2::new((index % self.columns) as f64, (index / self.columns) as f64);
        self.low + (at + 0.5) * self.cell
    }

    fn index_of(&self, p: DVec2) -> usize {
        let at = ((p - self.low) / self.cell).floor();
        let most = DVec2::new((self.columns - 1) as f64, (self.rows - 1) as f64);
        let at = at.clamp(DVec2::ZERO, most);
        at.y as usize * self.columns + at.x as usize
    }

    /// The cells that hold points.
    fn cells(&self, mut points_in: impl FnMut(usize) -> Vec<DVec3>) -> Cells {
        let (columns, rows) = (self.columns, self.rows);
        let stride = columns + 1;
        let corners = (0..stride * (rows + 1))
            .map(|i| self.low + DVec2::new((i % stride) as f64, (i / stride) as f64) * self.cell)
            .collect();
        let mut cells = Cells::new(corners, self.cell);
        let mut number = vec![NONE; columns * rows];
        for (index, number) in number.iter_mut().enumerate() {
            let points = points_in(index);
            if points.is_empty() {
                continue;
            }
            *number = cells.len() as u32;
            let first = index / columns * stride + index % columns;
            let ring = [first, first + 1, first + stride + 1, first + stride].map(|corner| corner as u32);
            cells.push(&ring, &points, false);
        }
        let mut across = Vec::with_capacity(4 * cells.len());
        for index in (0..columns * rows).filter(|index| number[*index] != NONE) {
            let (x, y) = (index % columns, index / columns);
            let beside = |there: bool, other: usize| if there { number[other] } else { NONE };
            // In the order of the edges: south, east, north, west.
            across.push(beside(y > 0, index.wrapping_sub(columns)));
            across.push(beside(x + 1 < columns, index + 1));
            across.push(beside(y + 1 < rows, index + columns));
            across.push(beside(x > 0, index.wrapping_sub(1)));
        }
        cells.set_neighbours(across);
        cells
    }
}
