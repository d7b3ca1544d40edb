//! The core: from a sequence of steps to minimal precedences among them, and the earliest starts that these allow.
//!
//! Steps are placed one after the other in the order of the sequence. Each waits for as little as possible: among all sets of placed steps that make
//! it sound, the one that ends first is chosen, and of that set only what is needed. Unordered steps may be under way in any order and at any
//! overlap, so [`Rules::holds`] has to answer for every such case (partial-order schedules, Policella et al. 2004).

use crate::control::Stopped;
use fixedbitset::FixedBitSet;

/// Times nearer than this are equal, in seconds.
const SAME_S: f64 = 1e-6;

/// The steps and the constraints among them.
pub(super) trait Rules {
    /// Number of steps.
    fn len(&self) -> usize;

    /// Duration of a step, in seconds.
    fn duration_s(&self, step: usize) -> f64;

    /// Least time from the end of a step to the end of all, in seconds.
    fn after_s(&self, _step: usize, _pause_s: f64) -> f64 {
        0.0
    }

    /// Whether two steps must keep the order that they have in every sequence.
    fn keep_order(&self, earlier: usize, later: usize) -> bool;

    /// Whether two steps must not be under way at once, in either order.
    fn collide(&self, a: usize, b: usize) -> bool;

    /// Whether a step can be made once all placed steps have ended.
    fn may_follow(&self, order: &Order, step: usize) -> bool;

    /// The placed steps that may affect whether a step is sound, when it waits for those in `waits` only.
    fn concerned(&mut self, order: &Order, step: usize, waits: &FixedBitSet) -> Vec<usize>;

    /// Whether a step that waits for those in `waits` only is sound in every case in which it is under way. More waits never make it worse.
    ///
    /// # Errors
    /// When interrupted.
    fn holds(&mut self, order: &Order, step: usize, waits: &FixedBitSet) -> Result<bool, Stopped>;

    /// Whether a step is sound when no other step is under way.
    fn holds_alone(&mut self, order: &Order, step: usize) -> bool;
}

/// Why a sequence has no schedule.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum NotArranged {
    /// This step cannot be made where the sequence has it.
    Unsound(usize),
    /// It would not end within the time asked for.
    Late,
    /// The search was interrupted.
    Stopped(Stopped),
}

impl From<Stopped> for NotArranged {
    fn from(stop: Stopped) -> Self {
        Self::Stopped(stop)
    }
}

/// The steps placed so far: their precedences, and the earliest starts.
#[derive(Clone, Debug)]
pub(super) struct Order {
    /// For each step all its predecessors, direct or not.
    pub(super) before: Vec<FixedBitSet>,
    /// The placed steps, in the order of the sequence.
    pub(super) placed: Vec<usize>,
    /// Earliest starts, in seconds.
    pub(super) start_s: Vec<f64>,
    /// Earliest ends, in seconds.
    pub(super) end_s: Vec<f64>,
    /// Steps that must be under way alone: every other step is a predecessor or a successor.
    exclusive: FixedBitSet,
}

impl Order {
    pub(super) fn new(steps: usize) -> Self {
        Self {
            before: vec![FixedBitSet::with_capacity(steps); steps],
            placed: Vec::with_capacity(steps),
            start_s: vec![0.0; steps],
            end_s: vec![0.0; steps],
            exclusive: FixedBitSet::with_capacity(steps),
        }
    }

    /// End of the last step, in seconds.
    pub(super) fn makespan_s(&self) -> f64 {
        self.placed.iter().map(|&step| self.end_s[step]).fold(0.0, f64::max)
    }

    /// Whether neither of two placed steps precedes the other.
    pub(super) fn unordered(&self, a: usize, b: usize) -> bool {
        a != b && !self.before[a].contains(b) && !self.before[b].contains(a)
    }

    /// The direct predecessors of a step.
    pub(super) fn waits_of(&self, step: usize) -> Vec<usize> {
        let mut indirect = FixedBitSet::with_capacity(self.before.len());
        let mut direct: Vec<usize> = Vec::new();
        // The last first: most of the others then need not be looked at.
        let mut before: Vec<usize> = self.before[step].ones().collect();
        before.sort_by(|&a, &b| self.end_s[b].total_cmp(&self.end_s[a]));
        for other in before {
            if !indirect.contains(other) {
                indirect.union_with(&self.before[other]);
                direct.push(other);
            }
        }
        direct.retain(|&other| !indirect.contains(other));
        direct.sort_unstable();
        direct
    }

    /// A set of steps with all their predecessors.
    fn closed(&self, waits: &FixedBitSet) -> FixedBitSet {
        let mut all = waits.clone();
        for step in waits.ones() {
            all.union_with(&self.before[step]);
        }
        all
    }

    /// A set of steps and others, with all predecessors of these.
    fn closed_with(&self, waits: &FixedBitSet, others: &[usize]) -> FixedBitSet {
        let mut all = waits.clone();
        for &other in others {
            all.insert(other);
            all.union_with(&self.before[other]);
        }
        all
    }

    /// Places a step after those in `waits`.
    pub(super) fn place(&mut self, step: usize, waits: FixedBitSet, duration_s: f64, pause_s: f64) {
        let ends = waits.ones().map(|b| self.end_s[b] + pause_s);
        self.start_s[step] = ends.fold(0.0, f64::max);
        self.end_s[step] = self.start_s[step] + duration_s;
        self.before[step] = waits;
        self.placed.push(step);
    }
}

/// Places all steps of a sequence, each as early as possible.
///
/// # Errors
/// When a step cannot be made where the sequence has it, or when interrupted.
pub(super) fn arrange(
    rules: &mut impl Rules,
    sequence: &[usize],
    pause_s: f64,
) -> Result<Order, NotArranged> {
    arrange_within(rules, sequence, pause_s, f64::INFINITY)
}

/// The same, if it ends within a time, in seconds: it is given up as soon as it cannot.
pub(super) fn arrange_within(
    rules: &mut impl Rules,
    sequence: &[usize],
    pause_s: f64,
    within_s: f64,
) -> Result<Order, NotArranged> {
    arrange_by(rules, sequence, pause_s, within_s, least_waits)
}

/// The same by list scheduling: a step that is not sound with the waits that it needs waits for every step before it that may affect that; if it
/// `may_leave_out` some, for all but the last few.
pub(super) fn arrange_quickly(
    rules: &mut impl Rules,
    sequence: &[usize],
    pause_s: f64,
    may_leave_out: bool,
) -> Result<Order, NotArranged> {
    arrange_by(rules, sequence, pause_s, f64::INFINITY, |rules, order, step, needed| {
        if rules.holds(order, step, &needed)? {
            return Ok(needed);
        }
        let candidates = candidates(rules, order, step, &needed);
        let mut waits = order.closed_with(&needed, &candidates);
        if !rules.holds(order, step, &waits)? {
            return exclusive_waits(rules, order, step, waits);
        }
        let mut left_out = 1;
        while may_leave_out && left_out <= candidates.len() {
            let fewer = order.closed_with(&needed, &candidates[..candidates.len() - left_out]);
            if !rules.holds(order, step, &fewer)? {
                break;
            }
            waits = fewer;
            left_out *= 2;
        }
        Ok(waits)
    })
}

/// The steps that may affect whether a step is sound, in the order of their ends.
fn candidates(rules: &mut impl Rules, order: &Order, step: usize, waits: &FixedBitSet) -> Vec<usize> {
    let mut candidates = rules.concerned(order, step, waits);
    candidates.sort_by(|&a, &b| order.end_s[a].total_cmp(&order.end_s[b]).then(a.cmp(&b)));
    candidates
}

fn arrange_by<R: Rules>(
    rules: &mut R,
    sequence: &[usize],
    pause_s: f64,
    within_s: f64,
    waits_of: impl Fn(&mut R, &mut Order, usize, FixedBitSet) -> Result<FixedBitSet, NotArranged>,
) -> Result<Order, NotArranged> {
    let mut order = Order::new(rules.len());
    for &step in sequence {
        if !rules.may_follow(&order, step) {
            return Err(NotArranged::Unsound(step));
        }
        let mut waits = order.closed(&order.exclusive);
        for &other in order.placed.iter().rev() {
            // What it waits for through another need not be asked about.
            if !waits.contains(other) && (rules.keep_order(other, step) || rules.collide(other, step)) {
                waits.insert(other);
                waits.union_with(&order.before[other]);
            }
        }
        let waits = waits_of(rules, &mut order, step, waits)?;
        order.place(step, waits, rules.duration_s(step), pause_s);
        if order.end_s[step] + rules.after_s(step, pause_s) > within_s + SAME_S {
            return Err(NotArranged::Late);
        }
    }
    Ok(order)
}

/// The predecessors of a step that is sound only while no other step is under way.
fn exclusive_waits(
    rules: &mut impl Rules,
    order: &mut Order,
    step: usize,
    mut waits: FixedBitSet,
) -> Result<FixedBitSet, NotArranged> {
    if !rules.holds_alone(order, step) {
        return Err(NotArranged::Unsound(step));
    }
    waits.extend(order.placed.iter().copied());
    order.exclusive.insert(step);
    Ok(waits)
}

/// The least set of predecessors, with `needed` among them, that makes a step sound and ends as early as possible.
///
/// Soundness is monotonic in the predecessors. So over the candidates in the order of their ends there is a shortest sound prefix. Its last member is
/// needed, and the search continues before it with that member kept.
fn least_waits<R: Rules>(
    rules: &mut R,
    order: &mut Order,
    step: usize,
    needed: FixedBitSet,
) -> Result<FixedBitSet, NotArranged> {
    let mut waits = needed;
    if rules.holds(order, step, &waits)? {
        return Ok(waits);
    }
    let mut candidates = candidates(rules, order, step, &waits);
    if !rules.holds(order, step, &order.closed_with(&waits, &candidates))? {
        return exclusive_waits(rules, order, step, waits);
    }
    while !rules.holds(order, step, &waits)? {
        if candidates.is_empty() {
            return Err(NotArranged::Unsound(step)); // more waits made it worse
        }
        // `candidates[..high]` is sufficient and `candidates[..low]` is not.
        let (mut low, mut high) = (0, candidates.len());
        while high - low > 1 {
            let middle = low.midpoint(high);
            if rules.holds(order, step, &order.closed_with(&waits, &candidates[..middle]))? {
                high = middle;
            } else {
                low = middle;
            }
        }
        let last = candidates[high - 1];
        waits = order.closed_with(&waits, &[last]);
        candidates.truncate(high - 1);
    }
    Ok(waits)
}
