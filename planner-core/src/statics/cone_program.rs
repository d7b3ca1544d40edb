//! A small dense second-order cone programme, solved by a primal-dual interior-point method.
//!
//! `minimise cᵀx  subject to  s = h − G x ∈ K`, with the homogeneous self-dual embedding, Nesterov–Todd scaling and Mehrotra's predictor and
//! corrector, after Vandenberghe, "The CVXOPT linear and quadratic cone program solvers" (2010). Programmes of a crew have at most a few dozen
//! unknowns, so everything is dense, and only an `n × n` matrix is factorised.

use super::cone::{Part, Scaling, WIDEST, divide, dot, largest_step, minus, plus, product};

/// The programme: `cost` has an entry per unknown, `cones` one per cone.
#[derive(Clone, Debug, Default)]
pub(super) struct ConeProgram {
    pub(super) cost: Vec<f64>,
    pub(super) right: Vec<Part>,
    /// For each cone, where its rows of `G` begin in `entries`; one more entry than there are cones.
    starts: Vec<usize>,
    /// Unknown and column of `G` within the cone; zero columns are omitted.
    entries: Vec<(usize, Part)>,
}

/// The result of a solve.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Solution {
    /// An optimal `x`.
    Optimal(Vec<f64>),
    /// An `x` that the caller accepted early.
    GoodEnough(Vec<f64>),
    /// No `x` satisfies the cones, or none at a cost up to the requested one. With the dual certificate, see [`ConeProgram::is_refused_by`].
    Infeasible(Vec<Part>),
    /// Neither could be shown to the required accuracy.
    Stuck,
}

const MOST_ITERATIONS: usize = 80;
/// Target accuracy.
const FINE: f64 = 1e-11;
/// Accuracy accepted where rounding stops progress: a tenth of the model's tolerance for a utilisation.
const COARSE: f64 = 1e-7;
/// A step shorter than this fraction of the full one makes no more progress.
const SHORTEST_STEP: f64 = 1e-9;
/// Regularisation added to the diagonal of the normal equations, as a fraction of its largest entry, so that they stay positive definite under
/// rounding.
const REGULARISATION: f64 = 1e-15;
/// While the residual is larger than this, steps need no iterative refinement.
const REFINED: f64 = 1e-3;
/// Upper bound on an unknown of a reasonable programme: touch forces of ten million weights.
const LARGEST_UNKNOWN: f64 = 1e7;
/// The same where only a bound on the cost is needed: a thousand weights.
const LARGE_UNKNOWN: f64 = 1e3;
/// A bound on the cost counts when it exceeds the limit by twice this.
const SETTLED: f64 = 1e-6;

struct Iterate {
    x: Vec<f64>,
    s: Vec<Part>,
    z: Vec<Part>,
    tau: f64,
    kappa: f64,
}

struct Residuals {
    x: Vec<f64>,
    z: Vec<Part>,
    t: f64,
}

struct Direction {
    x: Vec<f64>,
    s: Vec<Part>,
    z: Vec<Part>,
    tau: f64,
    kappa: f64,
}

impl ConeProgram {
    /// A programme without cones.
    pub(super) fn new(cost: Vec<f64>) -> Self {
        Self { cost, right: Vec::new(), starts: vec![0], entries: Vec::new() }
    }

    /// Adds a cone: its part of `h`, and its columns of `G` by unknown.
    pub(super) fn push(&mut self, right: Part, columns: impl IntoIterator<Item = (usize, Part)>) {
        self.right.push(right);
        self.entries.extend(columns.into_iter().filter(|(_, part)| *part != [0.0; WIDEST]));
        self.starts.push(self.entries.len());
    }

    /// The programme over the changes `free` of its first unknowns from `base`; the last unknown stays.
    pub(super) fn restricted(&self, base: &[f64], free: &[Vec<f64>]) -> Self {
        let last = self.cost.len() - 1;
        let mut cost = vec![0.0; free.len() + 1];
        cost[free.len()] = self.cost[last];
        let mut new = Self::new(cost);
        for cone in 0..self.right.len() {
            let own = &self.entries[self.starts[cone]..self.starts[cone + 1]];
            let mut right = self.right[cone];
            let mut columns = vec![[0.0; WIDEST]; free.len() + 1];
            let add = |to: &mut Part, part: &Part, times: f64| {
                to.iter_mut().zip(part).for_each(|(to, part)| *to += times * part);
            };
            for (unknown, part) in own {
                if *unknown == last {
                    add(&mut columns[free.len()], part, 1.0);
                    continue;
                }
                add(&mut right, part, -base[*unknown]);
                for (column, change) in columns.iter_mut().zip(free) {
                    add(column, part, change[*unknown]);
                }
            }
            new.push(right, columns.into_iter().enumerate());
        }
        new
    }

    /// The programme with its last unknown fixed.
    pub(super) fn fixed(&self, value: f64) -> Self {
        let last = self.cost.len() - 1;
        let mut new = Self::new(self.cost[..last].to_vec());
        for cone in 0..self.right.len() {
            let own = &self.entries[self.starts[cone]..self.starts[cone + 1]];
            let mut right = self.right[cone];
            for (_, part) in own.iter().filter(|(unknown, _)| *unknown == last) {
                right.iter_mut().zip(part).for_each(|(to, part)| *to -= value * part);
            }
            new.push(right, own.iter().filter(|(unknown, _)| *unknown != last).copied());
        }
        new
    }

    /// The cones with their columns.
    pub(super) fn cones(&self) -> impl Iterator<Item = (&Part, &[(usize, Part)])> {
        let columns = self.starts.windows(2).map(|ends| &self.entries[ends[0]..ends[1]]);
        self.right.iter().zip(columns)
    }

    /// Solves the programme. `content` is called after every iteration and returns whether the present `x` is accepted. Costs above `most` count as
    /// infeasible, which is found sooner than an optimum.
    pub(super) fn solve(&self, most: f64, mut content: impl FnMut(&[f64]) -> bool) -> Solution {
        let (n, m) = (self.cost.len(), self.right.len());
        let mut one = [0.0; WIDEST];
        one[0] = 1.0;
        let mut it = Iterate { x: vec![0.0; n], s: vec![one; m], z: vec![one; m], tau: 1.0, kappa: 1.0 };
        let size_c = norm(&self.cost).max(1.0);
        let size_h = part_norm(&self.right).max(1.0);
        let mut best: Option<(f64, Vec<f64>)> = None;
        for _ in 0..MOST_ITERATIONS {
            let res = self.residuals(&it);
            let (cx, hz) = (sum(&self.cost, &it.x), part_sum(&self.right, &it.z));
            let point: Vec<f64> = it.x.iter().map(|v| v / it.tau).collect();
            let primal = part_norm(&res.z) / it.tau / size_h;
            let dual = norm(&res.x) / it.tau / size_c;
            let gap = part_sum(&it.s, &it.z) / (it.tau * it.tau) / (cx / it.tau).abs().max(1.0);
            let worst = primal.max(dual).max(gap);
            if worst <= FINE {
                return Solution::Optimal(point);
            }
            if content(&point) {
                return Solution::GoodEnough(point);
            }
            // A dual point bounds the cost from below, up to its residual times any x of reasonable size.
            if dual * LARGE_UNKNOWN <= SETTLED && -hz / it.tau > most + 2.0 * SETTLED {
                let point = it.z.iter().map(|z| z.map(|v| v / it.tau)).collect();
                return Solution::Infeasible(point);
            }
            // Later iterations may lose accuracy to rounding.
            if worst <= best.as_ref().map_or(COARSE, |b| b.0) {
                best = Some((worst, point));
            }
            if hz < 0.0 && norm(&self.transposed(&it.z)) * LARGEST_UNKNOWN <= -hz {
                let ray = || it.z.iter().map(|z| z.map(|v| v / -hz)).collect();
                return best
                    .map_or_else(|| Solution::Infeasible(ray()), |(_, point)| Solution::Optimal(point));
            }
            if !self.advance(&mut it, &res, worst < REFINED) {
                break;
            }
        }
        best.map_or(Solution::Stuck, |(_, point)| Solution::Optimal(point))
    }

    /// Whether a dual point of a similar programme shows that this one costs more than `most` or is infeasible: by the same tests as
    /// [`solve`](Self::solve).
    pub(super) fn is_refused_by(&self, z: &[Part], most: f64) -> bool {
        if z.len() != self.right.len() {
            return false;
        }
        let hz = part_sum(&self.right, z);
        let bounds = -hz > most + 2.0 * SETTLED;
        if !bounds && hz >= 0.0 {
            return false;
        }
        let mut residual = self.transposed(z);
        if hz < 0.0 && norm(&residual) * LARGEST_UNKNOWN <= -hz {
            return true;
        }
        residual.iter_mut().zip(&self.cost).for_each(|(r, c)| *r += c);
        bounds && norm(&residual) / norm(&self.cost).max(1.0) * LARGE_UNKNOWN <= SETTLED
    }

    /// Entries of one cone.
    fn cone(&self, cone: usize) -> &[(usize, Part)] {
        &self.entries[self.starts[cone]..self.starts[cone + 1]]
    }

    fn transposed(&self, z: &[Part]) -> Vec<f64> {
        let mut x = vec![0.0; self.cost.len()];
        for (cone, z) in z.iter().enumerate() {
            for (unknown, part) in self.cone(cone) {
                x[*unknown] += dot(part, z);
            }
        }
        x
    }

    fn times(&self, x: &[f64]) -> Vec<Part> {
        (0..self.right.len())
            .map(|cone| {
                let mut y = [0.0; WIDEST];
                for (unknown, part) in self.cone(cone) {
                    y = plus(&y, x[*unknown], part);
                }
                y
            })
            .collect()
    }

    fn residuals(&self, it: &Iterate) -> Residuals {
        let mut x = self.transposed(&it.z);
        for (r, c) in x.iter_mut().zip(&self.cost) {
            *r += c * it.tau;
        }
        let mut z = self.times(&it.x);
        for ((r, s), h) in z.iter_mut().zip(&it.s).zip(&self.right) {
            *r = plus(r, 1.0, &plus(s, -it.tau, h));
        }
        let t = it.kappa + sum(&self.cost, &it.x) + part_sum(&self.right, &it.z);
        Residuals { x, z, t }
    }

    /// One predictor and corrector step; `false` when rounding allows no further progress.
    fn advance(&self, it: &mut Iterate, res: &Residuals, refine: bool) -> bool {
        let scalings: Option<Vec<Scaling>> =
            it.s.iter().zip(&it.z).map(|(s, z)| Scaling::new(s, z)).collect();
        let Some(scalings) = scalings else { return false };
        let Some(kkt) = Kkt::new(self, &scalings) else { return false };
        let negative_cost: Vec<f64> = self.cost.iter().map(|c| -c).collect();
        let (x1, z1) = kkt.solve(&negative_cost, &self.right, refine);
        let degree = self.right.len() as f64 + 1.0;
        let mu = (part_sum(&it.s, &it.z) + it.tau * it.kappa) / degree;

        let square: Vec<Part> = scalings.iter().map(|w| product(&w.lambda, &w.lambda)).collect();
        let step_for = |centre: &[Part], kappa: f64, share: f64| -> Direction {
            let divided: Vec<Part> = scalings.iter().zip(centre).map(|(w, d)| divide(&w.lambda, d)).collect();
            let bx: Vec<f64> = res.x.iter().map(|r| -share * r).collect();
            let bz: Vec<Part> =
                (0..res.z.len()).map(|i| plus(&scalings[i].apply(&divided[i]), -share, &res.z[i])).collect();
            let (x2, z2) = kkt.solve(&bx, &bz, refine);
            let top = -share * res.t + kappa / it.tau - sum(&self.cost, &x2) - part_sum(&self.right, &z2);
            let bottom = sum(&self.cost, &x1) + part_sum(&self.right, &z1) - it.kappa / it.tau;
            let tau = top / bottom;
            let x = x2.iter().zip(&x1).map(|(a, b)| a + tau * b).collect();
            let z: Vec<Part> = z2.iter().zip(&z1).map(|(a, b)| plus(a, tau, b)).collect();
            let s = (0..z.len())
                .map(|i| {
                    let sum = plus(&divided[i], 1.0, &scalings[i].apply(&z[i]));
                    scalings[i].apply(&minus(&sum))
                })
                .collect();
            Direction { x, s, z, tau, kappa: -(kappa + it.kappa * tau) / it.tau }
        };

        let predictor = step_for(&square, it.tau * it.kappa, 1.0);
        let length = longest(it, &predictor, 1.0);
        let sigma = (1.0 - length).powi(3);
        let corrected: Vec<Part> = (0..square.len())
            .map(|i| {
                let cross =
                    product(&scalings[i].apply_inverse(&predictor.s[i]), &scalings[i].apply(&predictor.z[i]));
                let mut d = plus(&square[i], 1.0, &cross);
                d[0] -= sigma * mu;
                d
            })
            .collect();
        let kappa = it.tau * it.kappa + predictor.tau * predictor.kappa - sigma * mu;
        let step = step_for(&corrected, kappa, 1.0 - sigma);
        let length = 0.99 * longest(it, &step, 1.0 / 0.99);
        if !length.is_finite() || length < SHORTEST_STEP {
            return false;
        }
        it.x.iter_mut().zip(&step.x).for_each(|(a, d)| *a += length * d);
        for (mine, theirs) in [(&mut it.s, &step.s), (&mut it.z, &step.z)] {
            for (a, d) in mine.iter_mut().zip(theirs) {
                *a = plus(a, length, d);
            }
        }
        it.tau += length * step.tau;
        it.kappa += length * step.kappa;
        it.tau > 0.0 && it.kappa > 0.0
    }
}

fn longest(it: &Iterate, step: &Direction, most: f64) -> f64 {
    let mut length = most;
    for (point, direction) in [(&it.s, &step.s), (&it.z, &step.z)] {
        for (a, d) in point.iter().zip(direction) {
            length = largest_step(a, d, length);
        }
    }
    for (a, d) in [(it.tau, step.tau), (it.kappa, step.kappa)] {
        if d < 0.0 {
            length = length.min(-a / d);
        }
    }
    length
}

/// `[0 Gᵀ; G −W²]` through the Cholesky factor of `Gᵀ W⁻² G`.
struct Kkt<'a> {
    program: &'a ConeProgram,
    scalings: &'a [Scaling],
    /// `W⁻¹ G`, stored like the programme's entries.
    scaled: Vec<Part>,
    /// The lower triangle, row by row.
    factor: Vec<f64>,
}

impl<'a> Kkt<'a> {
    fn new(program: &'a ConeProgram, scalings: &'a [Scaling]) -> Option<Self> {
        let n = program.cost.len();
        let mut scaled: Vec<Part> = Vec::with_capacity(program.entries.len());
        let mut factor = vec![0.0; n * n];
        for (cone, scaling) in scalings.iter().enumerate() {
            let first = scaled.len();
            let entries = program.cone(cone);
            scaled.extend(entries.iter().map(|(_, part)| scaling.apply_inverse(part)));
            // Unknowns are in ascending order within a cone, so this fills the lower triangle.
            for (row, (i, _)) in entries.iter().enumerate() {
                for (column, (j, _)) in entries[..=row].iter().enumerate() {
                    factor[i * n + j] += dot(&scaled[first + row], &scaled[first + column]);
                }
            }
        }
        let largest = (0..n).map(|i| factor[i * n + i]).fold(0.0, f64::max);
        for i in 0..n {
            factor[i * n + i] += REGULARISATION * largest;
        }
        cholesky(&mut factor, n).then_some(Self { program, scalings, scaled, factor })
    }

    fn solve(&self, bx: &[f64], bz: &[Part], refine: bool) -> (Vec<f64>, Vec<Part>) {
        let (mut x, mut z) = self.solve_once(bx, bz);
        if !refine {
            return (x, z);
        }
        // One round of iterative refinement: the normal equations square the condition number.
        let gz = self.program.transposed(&z);
        let rx: Vec<f64> = bx.iter().zip(&gz).map(|(b, g)| b - g).collect();
        let gx = self.program.times(&x);
        let rz: Vec<Part> = (0..bz.len())
            .map(|i| {
                let wwz = self.scalings[i].apply(&self.scalings[i].apply(&z[i]));
                plus(&plus(&bz[i], -1.0, &gx[i]), 1.0, &wwz)
            })
            .collect();
        let (dx, dz) = self.solve_once(&rx, &rz);
        x.iter_mut().zip(&dx).for_each(|(a, d)| *a += d);
        for (a, d) in z.iter_mut().zip(&dz) {
            *a = plus(a, 1.0, d);
        }
        (x, z)
    }

    fn solve_once(&self, bx: &[f64], bz: &[Part]) -> (Vec<f64>, Vec<Part>) {
        let mut z: Vec<Part> = bz.iter().zip(self.scalings).map(|(b, w)| w.apply_inverse(b)).collect();
        let mut x = bx.to_vec();
        for (cone, z) in z.iter().enumerate() {
            for ((unknown, _), part) in self.program.cone(cone).iter().zip(self.scaled_cone(cone)) {
                x[*unknown] += dot(part, z);
            }
        }
        substitute(&self.factor, &mut x);
        for (cone, z) in z.iter_mut().enumerate() {
            let mut sum = minus(z);
            for ((unknown, _), part) in self.program.cone(cone).iter().zip(self.scaled_cone(cone)) {
                sum = plus(&sum, x[*unknown], part);
            }
            *z = self.scalings[cone].apply_inverse(&sum);
        }
        (x, z)
    }

    fn scaled_cone(&self, cone: usize) -> &[Part] {
        &self.scaled[self.program.starts[cone]..self.program.starts[cone + 1]]
    }
}

fn cholesky(a: &mut [f64], n: usize) -> bool {
    for i in 0..n {
        for j in 0..=i {
            let (row_i, row_j) = (i * n, j * n);
            let mut value = a[row_i + j];
            for k in 0..j {
                value -= a[row_i + k] * a[row_j + k];
            }
            if i == j {
                if !(value > 0.0 && value.is_finite()) {
                    return false;
                }
                a[row_i + i] = value.sqrt();
            } else {
                a[row_i + j] = value / a[row_j + j];
            }
        }
    }
    true
}

fn substitute(factor: &[f64], x: &mut [f64]) {
    let n = x.len();
    for i in 0..n {
        for k in 0..i {
            x[i] -= factor[i * n + k] * x[k];
        }
        x[i] /= factor[i * n + i];
    }
    for i in (0..n).rev() {
        for k in i + 1..n {
            x[i] -= factor[k * n + i] * x[k];
        }
        x[i] /= factor[i * n + i];
    }
}

fn sum(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn norm(a: &[f64]) -> f64 {
    sum(a, a).sqrt()
}

fn part_sum(a: &[Part], b: &[Part]) -> f64 {
    a.iter().zip(b).map(|(a, b)| dot(a, b)).sum()
}

fn part_norm(a: &[Part]) -> f64 {
    part_sum(a, a).sqrt()
}
