//! Touch forces that leave no force on feet in the air.
//!
//! The forces on a foot in the air are zero: six linear equations for each. Their solutions are the forces of least squares that balance the weight, plus
//! any combination of changes that keep the balance.

use super::bond::Wrench;

/// Moments are divided by this length, in metres, to be compared with forces.
const LENGTH_M: f64 = 0.1;
/// Equations whose part square to the others is smaller than this follow from them.
const DEPENDENT: f64 = 1e-7;

/// The equations of feet in the air, solved for the touch forces.
#[derive(Clone, Debug)]
pub(super) struct Balance {
    /// The bonds that are none.
    bonds: Vec<usize>,
    /// For each unknown and equation: the least change that answers to a unit of it.
    inverse: Vec<Vec<f64>>,
    /// Orthonormal changes of the unknowns that keep the balance.
    pub(super) free: Vec<Vec<f64>>,
}

impl Balance {
    /// For bonds, each with the unknowns that act there and what a unit of each subtracts from its wrench; `None` where touches cannot balance any load.
    pub(super) fn new(lifted: &[(usize, &[(usize, Wrench)])], unknowns: usize) -> Option<Self> {
        let mut rows = vec![vec![0.0; unknowns]; 6 * lifted.len()];
        for (number, (_, relief)) in lifted.iter().enumerate() {
            for (unknown, wrench) in *relief {
                for (row, value) in equations(wrench).into_iter().enumerate() {
                    rows[6 * number + row][*unknown] = value;
                }
            }
        }
        // Gram and Schmidt: rows = lower · square, with orthonormal rows in `square`.
        let count = rows.len();
        let (mut square, mut lower): (Vec<Vec<f64>>, Vec<Vec<f64>>) =
            (Vec::new(), vec![vec![0.0; count]; count]);
        for (row, own) in rows.into_iter().enumerate() {
            let mut left = own;
            let whole = norm(&left);
            for _ in 0..2 {
                for (column, unit) in square.iter().enumerate() {
                    let along = dot(&left, unit);
                    lower[row][column] += along;
                    left.iter_mut().zip(unit).for_each(|(v, u)| *v -= along * u);
                }
            }
            let length = norm(&left);
            if length.is_nan() || length <= DEPENDENT * whole {
                return None;
            }
            lower[row][row] = length;
            square.push(left.into_iter().map(|v| v / length).collect());
        }
        let mut inverse = vec![vec![0.0; count]; unknowns];
        for column in 0..count {
            // lower · y = the unit vector of the equation, and the answer is squareᵀ · y.
            let mut y = vec![0.0; count];
            for row in column..count {
                let unit = if row == column { 1.0 } else { 0.0 };
                let known: f64 = (column..row).map(|k| lower[row][k] * y[k]).sum();
                y[row] = (unit - known) / lower[row][row];
            }
            for (unknown, answer) in inverse.iter_mut().enumerate() {
                answer[column] = square.iter().zip(&y).map(|(unit, y)| unit[unknown] * y).sum();
            }
        }
        let bonds = lifted.iter().map(|(bond, _)| *bond).collect();
        Some(Self { bonds, inverse, free: complement(&square, unknowns) })
    }

    /// The forces of least squares that balance these wrenches of the bonds.
    pub(super) fn forces(&self, wrench: impl Fn(usize) -> Wrench) -> Vec<f64> {
        let asked: Vec<f64> = self.bonds.iter().flat_map(|&bond| equations(&wrench(bond))).collect();
        self.inverse.iter().map(|row| dot(row, &asked)).collect()
    }

    /// How far some unknowns change, at most, to answer to a moment of one newton metre.
    pub(super) fn change_by_moment(&self, unknowns: std::ops::Range<usize>) -> f64 {
        let moments =
            |row: &Vec<f64>| -> f64 { row.chunks(6).flat_map(|six| &six[3..]).map(|v| v * v).sum::<f64>() };
        self.inverse[unknowns].iter().map(moments).sum::<f64>().sqrt() / LENGTH_M
    }
}

fn equations(wrench: &Wrench) -> [f64; 6] {
    let (f, m) = (wrench.force, wrench.moment / LENGTH_M);
    [f.x, f.y, f.z, m.x, m.y, m.z]
}

/// Orthonormal vectors square to some orthonormal ones, as many as there are.
fn complement(square: &[Vec<f64>], length: usize) -> Vec<Vec<f64>> {
    let mut found: Vec<Vec<f64>> = Vec::new();
    let project = |vector: &mut Vec<f64>, found: &[Vec<f64>]| {
        for unit in square.iter().chain(found) {
            let along = dot(vector, unit);
            vector.iter_mut().zip(unit).for_each(|(v, u)| *v -= along * u);
        }
    };
    while found.len() + square.len() < length {
        let left = |k: usize| {
            let mut vector = vec![0.0; length];
            vector[k] = 1.0;
            project(&mut vector, &found);
            vector
        };
        let longest = (0..length).map(left).max_by(|a, b| norm(a).total_cmp(&norm(b)));
        let Some(mut vector) = longest else { break };
        project(&mut vector, &found);
        let size = norm(&vector);
        found.push(vector.into_iter().map(|v| v / size).collect());
    }
    found
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn norm(a: &[f64]) -> f64 {
    dot(a, a).sqrt()
}
