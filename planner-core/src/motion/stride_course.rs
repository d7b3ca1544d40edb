//! The load over a stride: certified, not sampled. What is proven between two instants is in [`Rolling`]; here intervals are halved until it is.

use super::stretch::Group;
use super::{Stretch, WorstUtilisation};
use crate::control::{Interrupt, Stopped};
use crate::geometry::Sweep;
use crate::model::ModuleId;
use crate::statics::{DIRECTIONS, PosedCase, Rolling, RollingModule, Utilisation, WarmStart};
use indexmap::IndexMap;
use std::rc::Rc;

/// Most intervals in one direction; a stride that needs more counts as not carried.
const MOST_INTERVALS: usize = 2000;
/// Instants at which the worst is looked for first.
const LOOKS: u32 = 8;
/// A bound on the worst utilisation is sought so far above the worst that was found: the first that can be proven is taken.
const ABOVE: [f64; 7] = [5e-7, 1e-4, 1e-3, 5e-3, 0.02, 0.1, 0.5];
/// Intervals spent on each but the last.
const FEW_INTERVALS: usize = 250;

/// How a proof ended.
enum Proof {
    Carried,
    /// At this fraction no touch forces carry within the limit.
    Beyond(f64),
    /// Neither could be shown.
    Open,
}

impl Stretch<'_> {
    /// Whether a machine strides.
    pub(super) fn strides(&self) -> bool {
        !self.lifted.is_empty()
    }

    /// Whether a stride carries its load within a limit at every instant.
    pub(super) fn stride_carries(&self, limit: f64, interrupt: Interrupt<'_>) -> Result<bool, Stopped> {
        let Some(mut course) = StrideCourse::new(self) else { return Ok(false) };
        Ok(matches!(course.prove(limit, MOST_INTERVALS, interrupt)?, Proof::Carried))
    }

    /// The worst of what is known and of a stride: proven, and where possible no more than the worst instant.
    pub(super) fn stride_worst(
        &self,
        worst: &mut WorstUtilisation,
        interrupt: Interrupt<'_>,
    ) -> Result<(), Stopped> {
        let unbalanced = Utilisation { value: 0.0, excess_n: f64::INFINITY };
        let Some(mut course) = StrideCourse::new(self) else {
            worst.utilisation = worst.utilisation.worse(unbalanced);
            return Ok(());
        };
        for look in 0..=LOOKS {
            course.look(f64::from(look) / f64::from(LOOKS), worst, interrupt)?;
        }
        if !worst.utilisation.within(f64::INFINITY) {
            return Ok(());
        }
        for above in ABOVE {
            let most = if above == ABOVE[ABOVE.len() - 1] { MOST_INTERVALS } else { FEW_INTERVALS };
            loop {
                let limit = worst.utilisation.value + above;
                match course.prove(limit, most, interrupt)? {
                    Proof::Carried => {
                        worst.utilisation.value = limit;
                        return Ok(());
                    }
                    Proof::Open => break,
                    Proof::Beyond(share) => {
                        let before = worst.utilisation;
                        course.look(share, worst, interrupt)?;
                        if !worst.utilisation.within(f64::INFINITY) {
                            return Ok(());
                        }
                        if worst.utilisation.value <= before.value {
                            break;
                        }
                    }
                }
            }
        }
        worst.utilisation = worst.utilisation.worse(unbalanced);
        Ok(())
    }
}

/// A stride by itself, with the load cases at instants that were looked at.
struct StrideCourse<'a, 'b> {
    stretch: &'a Stretch<'b>,
    rolling: Rolling,
    angle_rad: f64,
    cases: IndexMap<u64, Rc<PosedCase>>,
    hint: WarmStart,
}

impl<'a, 'b> StrideCourse<'a, 'b> {
    /// `None` where more than one machine strides, or something else moves too.
    fn new(stretch: &'a Stretch<'b>) -> Option<Self> {
        let [machine, planted] = stretch.groups.as_slice() else { return None };
        if !planted.rolls || !stretch.hops.is_empty() {
            return None;
        }
        let Group { sweep: Sweep::Ride { arm, angle, .. }, .. } = *machine else { return None };
        let module = |&id: &ModuleId| {
            let kind = stretch.problem.kind(id);
            let swing_kgm = kind.mass_kg * kind.com_height_m.abs();
            // Touches hold within their tolerance.
            let reach_m = kind.ride_height_m + kind.shell_radius_m + stretch.problem.limits.touch_tol_m;
            RollingModule { id, swing_kgm, reach_m }
        };
        let rolling =
            Rolling { planted: planted.members.iter().map(module).collect(), crank_m: arm.length() };
        let (cases, hint) = (IndexMap::new(), WarmStart::default());
        Some(Self { stretch, rolling, angle_rad: angle, cases, hint })
    }

    fn case(&mut self, share: f64) -> Rc<PosedCase> {
        let stretch = self.stretch;
        let entry = self.cases.entry(share.to_bits());
        Rc::clone(entry.or_insert_with(|| Rc::new(PosedCase::new(stretch.load_at(share, 0)))))
    }

    /// Looks at all directions at an instant.
    fn look(
        &mut self,
        share: f64,
        worst: &mut WorstUtilisation,
        interrupt: Interrupt<'_>,
    ) -> Result<(), Stopped> {
        interrupt.go_on()?;
        let case = self.case(share);
        for direction in 0..DIRECTIONS {
            if case.uses_at_most(direction, worst.utilisation, &mut self.hint) {
                continue;
            }
            let here = case.utilisation(direction);
            if here.is_worse_than(worst.utilisation) {
                (worst.share, worst.hops_done) = (share, 0);
            }
            worst.utilisation = worst.utilisation.worse(here);
        }
        Ok(())
    }

    /// Proves a limit in all directions, with at most so many intervals in each.
    fn prove(&mut self, limit: f64, most: usize, interrupt: Interrupt<'_>) -> Result<Proof, Stopped> {
        for direction in 0..DIRECTIONS {
            match self.prove_along(direction, limit, most, interrupt)? {
                Proof::Carried => {}
                other => return Ok(other),
            }
        }
        Ok(Proof::Carried)
    }

    fn prove_along(
        &mut self,
        direction: usize,
        limit: f64,
        most: usize,
        interrupt: Interrupt<'_>,
    ) -> Result<Proof, Stopped> {
        let node = |course: &mut Self, share: f64, near: Option<&[f64]>| {
            let case = course.case(share);
            let forces = case.centred(direction, limit, near)?;
            Some((share, case, forces))
        };
        let Some(first) = node(self, 0.0, None) else { return Ok(Proof::Beyond(0.0)) };
        let Some(last) = node(self, 1.0, Some(&first.2)) else { return Ok(Proof::Beyond(1.0)) };
        let mut open = vec![(first, last)];
        for _ in 0..most {
            interrupt.go_on()?;
            let Some((from, to)) = open.pop() else { return Ok(Proof::Carried) };
            let angle = self.angle_rad * (to.0 - from.0);
            let ends = [(&*from.1, from.2.as_slice()), (&*to.1, to.2.as_slice())];
            if self.rolling.carries_between(ends, angle, direction, limit) {
                continue;
            }
            let middle = 0.5 * (from.0 + to.0);
            let Some(between) = node(self, middle, Some(&from.2)) else { return Ok(Proof::Beyond(middle)) };
            open.push((between.clone(), to));
            open.push((from, between));
        }
        Ok(if open.is_empty() { Proof::Carried } else { Proof::Open })
    }
}
