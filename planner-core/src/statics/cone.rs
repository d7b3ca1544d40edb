//! One second-order cone of up to four dimensions and its Nesterov–Todd scaling.
//!
//! `s ∈ K` means `s₀ ≥ ‖(s₁, …)‖`; in one dimension `s₀ ≥ 0`. The scaling `W` is the symmetric matrix with `W z = W⁻¹ s = λ` (Nesterov & Todd 1997;
//! formulas as in Vandenberghe, "The CVXOPT linear and quadratic cone program solvers", 2010).

/// Largest dimension of one cone.
pub(super) const WIDEST: usize = 4;

/// A vector of one cone; entries past the cone's dimension are zero.
pub(super) type Part = [f64; WIDEST];

fn tail_dot(a: &Part, b: &Part) -> f64 {
    a[1] * b[1] + a[2] * b[2] + a[3] * b[3]
}

pub(super) fn dot(a: &Part, b: &Part) -> f64 {
    a[0] * b[0] + tail_dot(a, b)
}

/// `a + t b`. Written out, as all on parts: compilers do not inline `map` and `from_fn` reliably, and everything is made of these.
pub(super) fn plus(a: &Part, t: f64, b: &Part) -> Part {
    [a[0] + t * b[0], a[1] + t * b[1], a[2] + t * b[2], a[3] + t * b[3]]
}

/// `−a`.
pub(super) fn minus(a: &Part) -> Part {
    [-a[0], -a[1], -a[2], -a[3]]
}

/// `a / t`.
pub(super) fn quotient(a: &Part, t: f64) -> Part {
    [a[0] / t, a[1] / t, a[2] / t, a[3] / t]
}

/// `s₀² − ‖tail‖²`, as a product to avoid cancellation.
fn determinant(a: &Part) -> f64 {
    let tail = tail_dot(a, a).sqrt();
    (a[0] - tail) * (a[0] + tail)
}

/// The Jordan product.
pub(super) fn product(a: &Part, b: &Part) -> Part {
    [dot(a, b), a[0] * b[1] + b[0] * a[1], a[0] * b[2] + b[0] * a[2], a[0] * b[3] + b[0] * a[3]]
}

/// The `x` with `a ∘ x = b`.
pub(super) fn divide(a: &Part, b: &Part) -> Part {
    let head = (a[0] * b[0] - tail_dot(a, b)) / determinant(a);
    let tail = |i: usize| (b[i] - head * a[i]) / a[0];
    [head, tail(1), tail(2), tail(3)]
}

/// The largest step from an interior point `a` along `d` that stays in the cone, at most `most`.
pub(super) fn largest_step(a: &Part, d: &Part, most: f64) -> f64 {
    let square = determinant(d);
    let linear = a[0] * d[0] - tail_dot(a, d);
    let constant = determinant(a).max(0.0);
    // constant + 2·linear·t + square·t² = 0, and the head must stay positive.
    let discriminant = linear * linear - square * constant;
    let mut step = most;
    if discriminant >= 0.0 {
        let q = -(linear + linear.signum() * discriminant.sqrt());
        for root in [q / square, constant / q] {
            if root > 0.0 && root < step {
                step = root;
            }
        }
    }
    if d[0] < 0.0 { step.min(-a[0] / d[0]) } else { step }
}

/// The scaling of one cone.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scaling {
    /// `W = β (2 v vᵀ − J)`.
    beta: f64,
    v: Part,
    /// The scaled point.
    pub(super) lambda: Part,
}

impl Scaling {
    /// The scaling of a pair strictly inside the cone; `None` when one is on the boundary.
    pub(super) fn new(s: &Part, z: &Part) -> Option<Self> {
        let (ds, dz) = (determinant(s), determinant(z));
        if !(ds > 0.0 && dz > 0.0) {
            return None;
        }
        let (ns, nz) = (ds.sqrt(), dz.sqrt());
        let (unit_s, unit_z) = (quotient(s, ns), quotient(z, nz));
        let gamma = (0.5 * (1.0 + dot(&unit_s, &unit_z))).sqrt();
        let mut w = quotient(&plus(&unit_s, -1.0, &unit_z), 2.0 * gamma);
        w[0] = (unit_s[0] + unit_z[0]) / (2.0 * gamma);
        let scale = 1.0 / (2.0 * (w[0] + 1.0)).sqrt();
        let v = [(w[0] + 1.0) * scale, w[1] * scale, w[2] * scale, w[3] * scale];
        let mut scaling = Self { beta: (ds / dz).sqrt().sqrt(), v, lambda: [0.0; WIDEST] };
        scaling.lambda = scaling.apply(z);
        Some(scaling)
    }

    /// `W x`.
    pub(super) fn apply(&self, x: &Part) -> Part {
        let (v, beta) = (&self.v, self.beta);
        let twice = 2.0 * dot(v, x);
        [
            beta * (twice * v[0] - x[0]),
            beta * (twice * v[1] + x[1]),
            beta * (twice * v[2] + x[2]),
            beta * (twice * v[3] + x[3]),
        ]
    }

    /// `W⁻¹ x`.
    pub(super) fn apply_inverse(&self, x: &Part) -> Part {
        let (v, beta) = (&self.v, self.beta);
        let twice = 2.0 * (v[0] * x[0] - tail_dot(v, x));
        [
            (twice * v[0] - x[0]) / beta,
            (x[1] - twice * v[1]) / beta,
            (x[2] - twice * v[2]) / beta,
            (x[3] - twice * v[3]) / beta,
        ]
    }
}
