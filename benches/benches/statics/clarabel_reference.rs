//! The programme of the touch forces as Clarabel takes it: `minimise u subject to s = b − A x ∈ K`, with `x` the touch forces and `u`.
//!
//! Bonds are eliminated as in the library: the wrench of each is that of the weight above it and of the touch forces on what stands on it.

use clamber_core::unstable::statics::LoadCase;
use clamber_core::{Body, DVec3, ModuleId, Problem};
use clarabel::algebra::CscMatrix;
use clarabel::solver::{DefaultSettingsBuilder, DefaultSolver, IPSolver, SolverStatus, SupportedConeT};

/// Shrinks the elliptic limit surface, as section 5 of the model page has it.
const LIMIT_SURFACE: f64 = 0.93;

const AXES: [DVec3; 3] = [DVec3::X, DVec3::Y, DVec3::Z];

/// Rows of `A` and `b`, cone by cone.
#[derive(Default)]
struct Rows {
    entries: Vec<(usize, usize, f64)>,
    right: Vec<f64>,
    cones: Vec<SupportedConeT<f64>>,
}

impl Rows {
    /// A row of `s` that is `constant + Σ factor · x`.
    fn push(&mut self, constant: f64, terms: impl IntoIterator<Item = (usize, f64)>) {
        let row = self.right.len();
        self.right.push(constant);
        self.entries
            .extend(terms.into_iter().filter(|term| term.1 != 0.0).map(|(x, factor)| (row, x, -factor)));
    }
}

/// The least possible largest utilisation under a gravity vector.
///
/// # Panics
/// When Clarabel does not solve it.
pub(crate) fn utilisation(problem: &Problem, case: &LoadCase, gravity: DVec3) -> f64 {
    let last = 3 * case.touches.len();
    let mut rows = Rows::default();
    rows.push(0.0, [(last, 1.0)]);
    rows.cones.push(SupportedConeT::NonnegativeConeT(1));
    for bond in &case.bonds {
        let (force, moment) = (gravity * -bond.mass_kg, -bond.moment_kgm.cross(gravity));
        // A touch pushes what stands on the bond, or what stands on it pushes the touch's other side; the host pushes back.
        let pushes: Vec<(usize, f64, DVec3)> = case
            .touches
            .iter()
            .enumerate()
            .filter_map(|(index, touch)| {
                let on = |body: Body| body.module().is_some_and(|m| stands_on(problem, m, bond.child));
                let sign = f64::from(i8::from(on(touch.other)) - i8::from(on(Body::Module(touch.module))));
                (sign != 0.0).then_some((3 * index, sign, touch.point - bond.sole))
            })
            .collect();
        let along = |axis: DVec3, scale: f64| {
            let term = move |&(first, sign, _): &(usize, f64, DVec3)| {
                AXES.map(|unit| sign * scale * axis.dot(unit))
                    .into_iter()
                    .enumerate()
                    .map(move |(k, f)| (first + k, f))
            };
            (scale * axis.dot(force), pushes.iter().flat_map(term).collect::<Vec<_>>())
        };
        let about = |axis: DVec3, scale: f64| {
            let term = move |&(first, sign, arm): &(usize, f64, DVec3)| {
                let factors = AXES.map(|unit| sign * scale * axis.dot(arm.cross(unit)));
                factors.into_iter().enumerate().map(move |(k, f)| (first + k, f))
            };
            (scale * axis.dot(moment), pushes.iter().flat_map(term).collect::<Vec<_>>())
        };
        let (first, second) = bond.normal.any_orthonormal_pair();
        let head = |scale: f64| {
            let (constant, mut terms) = along(bond.normal, scale);
            terms.push((last, bond.adhesion_n * scale));
            (constant, terms)
        };
        let peel = [head(1.0), about(first, 1.0 / bond.peel_m), about(second, 1.0 / bond.peel_m)];
        let slip = [
            head(LIMIT_SURFACE * bond.friction),
            along(first, 1.0),
            along(second, 1.0),
            about(bond.normal, 1.0 / bond.spin_m),
        ];
        rows.cones.extend([peel.len(), slip.len()].map(SupportedConeT::SecondOrderConeT));
        peel.into_iter().chain(slip).for_each(|(constant, terms)| rows.push(constant, terms));
    }
    for (index, touch) in case.touches.iter().enumerate() {
        let (first, second) = touch.normal.any_orthonormal_pair();
        for (axis, scale) in [(touch.normal, touch.friction), (first, 1.0), (second, 1.0)] {
            let terms = AXES.map(|unit| scale * axis.dot(unit)).into_iter().enumerate();
            rows.push(0.0, terms.map(|(k, factor)| (3 * index + k, factor)));
        }
        rows.cones.push(SupportedConeT::SecondOrderConeT(3));
    }
    solve(&rows, last + 1)
}

/// Whether a module is another or stands on it, over others or at once.
fn stands_on(problem: &Problem, module: ModuleId, base: ModuleId) -> bool {
    module == base || problem.start.hosts_below(module).any(|host| host == Body::Module(base))
}

/// The least last unknown.
fn solve(rows: &Rows, columns: usize) -> f64 {
    let part = |of: fn(&(usize, usize, f64)) -> usize| rows.entries.iter().map(of).collect::<Vec<_>>();
    let values = rows.entries.iter().map(|entry| entry.2).collect();
    let matrix =
        CscMatrix::new_from_triplets(rows.right.len(), columns, part(|e| e.0), part(|e| e.1), values);
    let mut cost = vec![0.0; columns];
    cost[columns - 1] = 1.0;
    let settings = DefaultSettingsBuilder::default()
        .verbose(false)
        .max_threads(1)
        .direct_solve_method("qdldl".into())
        .build()
        .expect("settings make sense");
    let nothing = CscMatrix::zeros((columns, columns));
    let mut solver = DefaultSolver::new(&nothing, &cost, &matrix, &rows.right, &rows.cones, settings)
        .expect("the programme is well formed");
    solver.solve();
    assert_eq!(solver.solution.status, SolverStatus::Solved);
    solver.solution.x[columns - 1]
}
