//! Clearance while modules drive (section 4 of the model, rule 5).

use crate::math::tolerance;
use crate::model::{Body, Configuration, ModuleId, Problem};
use crate::motion::{Fault, Move, Stretch, gap_between};
use crate::plan::Step;

/// A step of a replay: what it moves, and the crew before and after it.
pub(super) struct Past {
    pub(super) module: ModuleId,
    pub(super) action: Move,
    pub(super) from_s: f64,
    pub(super) to_s: f64,
    pub(super) before: Configuration,
    pub(super) after: Configuration,
}

impl Past {
    pub(super) fn new(step: &Step, before: Configuration, after: Configuration) -> Self {
        let (module, action) = (step.module, step.action);
        Self { module, action, from_s: step.start_s, to_s: step.end_s(), before, after }
    }

    /// Whether a body is moved: a module that slides, yaws, or stands on one that does.
    fn moves(&self, body: Body) -> bool {
        let carried = |id: ModuleId| {
            id == self.module || self.before.hosts_below(id).any(|below| below == Body::Module(self.module))
        };
        self.action.sweeps() && body.module().is_some_and(carried)
    }

    /// Whether a body leaves its place: a yaw on the spot does not.
    fn displaces(&self, body: Body) -> bool {
        let on_the_spot = || {
            let (Some(id), place) = (body.module(), self.before.get(self.module)) else { return true };
            let arm = self.before.get(id).position - place.position;
            matches!(self.action, Move::Yaw { .. })
                && crate::math::perpendicular_part(arm, place.up()).length() < tolerance::LENGTH_M
        };
        self.moves(body) && !on_the_spot()
    }

    /// Whether one of two bodies hops to or from the other in this step.
    fn hops_between(&self, a: Body, b: Body) -> bool {
        let Move::Hop { to } = self.action else { return false };
        let ends = [self.before.get(self.module).host, to];
        let is = |body: Body| body == Body::Module(self.module);
        (is(a) && ends.contains(&b)) || (is(b) && ends.contains(&a))
    }
}

/// Where drives of a stretch come nearer to what they do not move than they should, with the share of the stretch at which they do.
pub(super) fn clearance_faults(
    problem: &Problem,
    stretch: &Stretch<'_>,
    underway: &[usize],
    history: &[Option<Past>],
) -> Vec<(Fault, f64)> {
    let wanted = problem.limits.clearance_m;
    let mut faults = Vec::new();
    if wanted <= 0.0 {
        return faults;
    }
    stretch.visit_gaps(wanted, |gap| {
        let (module, other) = (gap.module, gap.other);
        if is_hidden(problem, stretch.begin(), module, other) {
            return true;
        }
        let asked_m = wanted.min(least_at_ends(problem, underway, history, module, other));
        // What overlaps is reported as that.
        if gap.gap_m < asked_m - tolerance::LENGTH_M && gap.gap_m >= -tolerance::LENGTH_M {
            faults.push((Fault::Clearance { module, other, gap_m: gap.gap_m, asked_m }, gap.share));
        }
        true
    });
    faults
}

/// Whether a ground lies wholly below the one that a module stands on and within its outline: there it is no body.
fn is_hidden(problem: &Problem, crew: &Configuration, module: ModuleId, other: Body) -> bool {
    let (Body::Ground(own), Body::Ground(below)) = (crew.get(module).host, other) else { return false };
    let own = problem.ground(own);
    problem.decks_of(below).all(|deck| {
        deck.solid.top <= own.top + tolerance::LENGTH_M
            && deck.solid.outline.iter().all(|corner| own.inset(*corner) >= -tolerance::LENGTH_M)
    })
}

/// The least gap that counts at the start and end of the moves under way that move either of two bodies; infinite where none does.
fn least_at_ends(
    problem: &Problem,
    underway: &[usize],
    history: &[Option<Past>],
    module: ModuleId,
    other: Body,
) -> f64 {
    let steps = underway.iter().filter_map(|&step| history[step].as_ref());
    let moving = steps.filter(|past| past.moves(Body::Module(module)) || past.moves(other));
    let ends = moving.flat_map(|past| [(past.from_s, &past.before), (past.to_s, &past.after)]);
    ends.filter_map(|(at_s, crew)| {
        let gap_m = gap_between(problem, crew, module, other);
        let touches = gap_m.abs() <= problem.limits.touch_tol_m;
        (touches || counts(history, Body::Module(module), other, at_s)).then_some(gap_m)
    })
    .fold(f64::INFINITY, f64::min)
}

/// Whether two bodies keep their places from an instant back to the plan's start or on to its end, or to a hop between them.
fn counts(history: &[Option<Past>], a: Body, b: Body, at_s: f64) -> bool {
    let leaving = || history.iter().flatten().filter(|past| past.displaces(a) || past.displaces(b));
    let is_under_way =
        |past: &Past| past.from_s < at_s - tolerance::TIME_S && past.to_s > at_s + tolerance::TIME_S;
    if leaving().any(is_under_way) {
        return false;
    }
    let since = leaving().map(|past| past.to_s).filter(|t| *t <= at_s + tolerance::TIME_S).reduce(f64::max);
    let until = leaving().map(|past| past.from_s).filter(|t| *t >= at_s - tolerance::TIME_S).reduce(f64::min);
    let (Some(since), Some(until)) = (since, until) else { return true };
    history.iter().flatten().any(|past| {
        past.hops_between(a, b)
            && past.from_s >= since - tolerance::TIME_S
            && past.to_s <= until + tolerance::TIME_S
    })
}
