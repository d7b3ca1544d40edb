//! Small dense systems of linear equations.

/// Solves `a x = b` by Gaussian elimination with partial pivoting (Golub & Van Loan 2013, section 3.4); the rows of `a` are replaced. `None` where the
/// matrix is singular to working precision.
///
/// Complexity: cubic in the unknowns.
pub(crate) fn solve_linear(a: &mut [Vec<f64>], b: &mut [f64]) -> Option<Vec<f64>> {
    let count = b.len();
    for column in 0..count {
        let pivot = (column..count).max_by(|i, j| a[*i][column].abs().total_cmp(&a[*j][column].abs()))?;
        let largest = a[pivot][column];
        if largest == 0.0 || !largest.is_finite() {
            return None;
        }
        a.swap(column, pivot);
        b.swap(column, pivot);
        let (above, below) = a.split_at_mut(column + 1);
        let row = &above[column];
        for (under, index) in below.iter_mut().zip(column + 1..) {
            let factor = under[column] / largest;
            if factor != 0.0 {
                for (own, pivot) in under[column..].iter_mut().zip(&row[column..]) {
                    *own -= factor * pivot;
                }
                b[index] -= factor * b[column];
            }
        }
    }
    let mut x = vec![0.0; count];
    for row in (0..count).rev() {
        let known: f64 = (row + 1..count).map(|column| a[row][column] * x[column]).sum();
        x[row] = (b[row] - known) / a[row][row];
    }
    x.iter().all(|value| value.is_finite()).then_some(x)
}

#[cfg(test)]
mod tests {
    use super::solve_linear;

    /// Checked by multiplication.
    #[test]
    fn a_system_with_a_zero_on_the_diagonal() {
        let matrix = vec![vec![0.0, 2.0, 1.0], vec![3.0, -1.0, 2.0], vec![1.0, 1.0, 1.0]];
        let right = [7.0, 7.0, 6.0];
        let x = solve_linear(&mut matrix.clone(), &mut right.clone()).expect("it is regular");
        for (row, wanted) in matrix.iter().zip(right) {
            let found: f64 = row.iter().zip(&x).map(|(a, x)| a * x).sum();
            assert!((found - wanted).abs() < 1e-12);
        }
    }

    #[test]
    fn a_singular_system_has_no_answer() {
        let mut matrix = vec![vec![1.0, 2.0], vec![2.0, 4.0]];
        assert_eq!(solve_linear(&mut matrix, &mut [1.0, 1.0]), None);
    }
}
