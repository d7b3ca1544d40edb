//! Unions of intervals of a curve's parameter.

/// Intervals shorter than this fraction of the span are ignored: tangent circles, rounding.
const NOTHING: f64 = 1e-10;

/// The common parts of intervals of a parameter, as `(from, width)`; on a ring they are periodic with the span.
#[must_use]
pub fn common(some: &[(f64, f64)], others: &[(f64, f64)], span: f64, ring: bool) -> Vec<(f64, f64)> {
    let mut found = Vec::new();
    for &(a, a_width) in some {
        for &(b, b_width) in others {
            if !ring {
                let (from, to) = (a.max(b), (a + a_width).min(b + b_width));
                found.extend((to > from).then_some((from, to - from)));
            } else if a_width >= span {
                found.push((b, b_width));
            } else if b_width >= span {
                found.push((a, a_width));
            } else {
                // The second begins within the first, or the first within the second, or both.
                let (after, before) = ((b - a).rem_euclid(span), (a - b).rem_euclid(span));
                if after < a_width {
                    found.push((b, b_width.min(a_width - after)));
                }
                if before < b_width && before > 0.0 {
                    found.push((a, a_width.min(b_width - before)));
                }
            }
        }
    }
    found
}

/// Forbidden intervals of a parameter in `[0, span]`, periodic for a ring.
#[derive(Clone, Debug)]
pub(super) struct Forbidden {
    span: f64,
    ring: bool,
    all: bool,
    list: Vec<(f64, f64)>,
}

impl Forbidden {
    pub(super) const fn new(span: f64, ring: bool) -> Self {
        Self { span, ring, all: false, list: Vec::new() }
    }

    /// Forbids everything.
    pub(super) fn all(&mut self) {
        self.all = true;
    }

    /// Whether everything is forbidden.
    pub(super) const fn is_all(&self) -> bool {
        self.all
    }

    /// Forbids an interval of a given width from `from`; on a ring it may pass the end.
    pub(super) fn push(&mut self, from: f64, width: f64) {
        if width <= 0.0 {
            return;
        }
        if !self.ring {
            let (a, b) = (from.max(0.0), (from + width).min(self.span));
            if b > a {
                self.list.push((a, b));
            }
            return;
        }
        let from = from.rem_euclid(self.span);
        let to = from + width;
        self.list.push((from, to.min(self.span)));
        if to > self.span {
            self.list.push((0.0, (to - self.span).min(self.span)));
        }
    }

    /// The free intervals, as `(from, width)`; on a ring the piece across the end is one piece. A whole free ring is `(0, span)`.
    pub(super) fn free(mut self) -> Vec<(f64, f64)> {
        if self.all {
            return Vec::new();
        }
        let least = NOTHING * self.span;
        self.list.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut free: Vec<(f64, f64)> = Vec::new();
        let mut reached = 0.0;
        for (from, to) in self.list {
            if from - reached > least {
                free.push((reached, from - reached));
            }
            reached = f64::max(reached, to);
        }
        if self.span - reached > least {
            free.push((reached, self.span - reached));
        }
        if self.ring
            && free.len() > 1
            && let (Some(first), Some(last)) = (free.first().copied(), free.last().copied())
            && first.0 <= least
            && last.0 + last.1 >= self.span - least
        {
            free.remove(0);
            if let Some(joined) = free.last_mut() {
                joined.1 = self.span - joined.0 + first.0 + first.1;
            }
        }
        free
    }
}
