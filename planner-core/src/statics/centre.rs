//! The analytic centre of what cones allow: the point farthest, in the sense of the barrier, from all limits. It changes smoothly with the cones.

use super::cone::{Part, WIDEST};
use super::cone_program::ConeProgram;

const MOST_ITERATIONS: usize = 40;
/// Newton's decrement at which the centre is found.
const FOUND: f64 = 1e-5;

/// The analytic centre of the points within the cones, from a point strictly within; `None` if the start is not.
///
/// Newton's method on the sum of the logarithms of the cones' determinants, damped as in Nesterov and Nemirovskii (1994).
pub(super) fn centre(program: &ConeProgram, start: &[f64]) -> Option<Vec<f64>> {
    let mut x = start.to_vec();
    if !is_within(program, &x) {
        return None;
    }
    for _ in 0..MOST_ITERATIONS {
        let (gradient, hessian) = derivatives(program, &x);
        let Some(step) = solve(hessian, &gradient) else { break };
        let decrement = step.iter().zip(&gradient).map(|(s, g)| s * g).sum::<f64>().max(0.0).sqrt();
        if decrement < FOUND {
            break;
        }
        let mut share = if decrement > 0.25 { 1.0 / (1.0 + decrement) } else { 1.0 };
        let moved = |share: f64| -> Vec<f64> { x.iter().zip(&step).map(|(x, s)| x - share * s).collect() };
        while share > 1e-6 && !is_within(program, &moved(share)) {
            share *= 0.5;
        }
        if share <= 1e-6 {
            break;
        }
        x = moved(share);
    }
    Some(x)
}

/// Whether a point is strictly within all cones.
pub(super) fn is_within(program: &ConeProgram, x: &[f64]) -> bool {
    program.cones().all(|(right, columns)| {
        let s = slack(right, columns, x);
        s[0] > 0.0 && determinant(&s) > 0.0
    })
}

fn slack(right: &Part, columns: &[(usize, Part)], x: &[f64]) -> Part {
    let mut s = *right;
    for (unknown, part) in columns {
        s.iter_mut().zip(part).for_each(|(s, part)| *s -= part * x[*unknown]);
    }
    s
}

fn determinant(s: &Part) -> f64 {
    let tail = (s[1] * s[1] + s[2] * s[2] + s[3] * s[3]).sqrt();
    (s[0] - tail) * (s[0] + tail)
}

/// First and second derivatives of the barrier.
fn derivatives(program: &ConeProgram, x: &[f64]) -> (Vec<f64>, Vec<Vec<f64>>) {
    let count = x.len();
    let (mut gradient, mut hessian) = (vec![0.0; count], vec![vec![0.0; count]; count]);
    for (right, columns) in program.cones() {
        let s = slack(right, columns, x);
        let inverse = 1.0 / determinant(&s);
        let turned = |part: &Part| -> Part { [part[0], -part[1], -part[2], -part[3]] };
        let along = |part: &Part| (0..WIDEST).map(|i| turned(&s)[i] * part[i]).sum::<f64>();
        for (a, first) in columns {
            let towards = along(first);
            gradient[*a] += 2.0 * towards * inverse;
            for (b, second) in columns {
                let both: f64 = (0..WIDEST).map(|i| turned(first)[i] * second[i]).sum();
                hessian[*a][*b] += 4.0 * towards * along(second) * inverse * inverse - 2.0 * both * inverse;
            }
        }
    }
    (gradient, hessian)
}

/// Solves a symmetric positive definite system: Cholesky's factors.
fn solve(mut a: Vec<Vec<f64>>, right: &[f64]) -> Option<Vec<f64>> {
    let count = right.len();
    for j in 0..count {
        for k in 0..j {
            let factor = a[j][k];
            for row in a.iter_mut().skip(j) {
                row[j] -= row[k] * factor;
            }
        }
        if a[j][j].is_nan() || a[j][j] <= 0.0 {
            return None;
        }
        let root = a[j][j].sqrt();
        for row in a.iter_mut().skip(j) {
            row[j] /= root;
        }
    }
    let mut x = right.to_vec();
    for i in 0..count {
        let known: f64 = (0..i).map(|k| a[i][k] * x[k]).sum();
        x[i] = (x[i] - known) / a[i][i];
    }
    for i in (0..count).rev() {
        let known: f64 = (i + 1..count).map(|k| a[k][i] * x[k]).sum();
        x[i] = (x[i] - known) / a[i][i];
    }
    Some(x)
}
