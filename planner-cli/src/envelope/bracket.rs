//! From single numbers to the best that can be done and the least that cannot.

use super::point::Answer;
use super::question::{Question, Range};

/// What is known about one question for one size of crew: the hardest number that can be done, and the least hard one that cannot.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Bracket {
    pub(super) can: Option<f64>,
    pub(super) cannot: Option<f64>,
    /// Whether nothing harder is asked of a crew of this size.
    pub(super) is_all: bool,
}

impl Bracket {
    /// Whether the bounds are within a share of each other, or within what they are worked out to.
    pub(super) fn is_closed(&self, range: Range, question: Question) -> bool {
        let (Some(can), Some(cannot)) = (self.can, self.cannot) else { return self.is_all };
        let step = if question.counts() { 1.0 } else { range.to.max(CLOSED * can.abs()) };
        self.is_all || (can - cannot).abs() <= step * (1.0 + 1e-9)
    }
}

/// Bounds nearer than this share are one.
const CLOSED: f64 = 0.05;
/// Most numbers tried for each of the two bounds.
const MOST: usize = 12;

/// Narrows the bounds down. A number that cannot be done settles all harder ones, and one that can all easier ones: what holds a load holds a lesser one,
/// what fits through a door fits through a wider one. For walls and gaps that is not so in general, and the bounds say what they say: a plan for
/// this number, a proof for that one.
pub(super) fn bracket<E>(
    question: Question,
    range: Range,
    mut ask: impl FnMut(f64) -> Result<Answer, E>,
) -> Result<Bracket, E> {
    let mut found = Bracket::default();
    if question.counts() {
        let most = range.hard - 1.0;
        let mut number = range.easy;
        while number <= most {
            if ask(number)? != Answer::Can {
                found.cannot = Some(number);
                return Ok(found);
            }
            found.can = Some(number);
            number += 1.0;
        }
        return Ok(Bracket { is_all: true, ..found });
    }
    if ask(range.easy)? != Answer::Can {
        found.cannot = Some(range.easy);
        return Ok(found);
    }
    found.can = Some(range.easy);
    let mut beyond = range.hard;
    match ask(beyond)? {
        Answer::Can => return Ok(Bracket { can: Some(beyond), cannot: None, is_all: true }),
        Answer::Cannot => found.cannot = Some(beyond),
        Answer::Unknown => {}
    }
    let far = |a: f64, b: f64| (a - b).abs() > range.to;
    for _ in 0..MOST {
        let can = found.can.unwrap_or(range.easy);
        if !far(can, beyond) {
            break;
        }
        let middle = f64::midpoint(can, beyond);
        match ask(middle)? {
            Answer::Can => found.can = Some(middle),
            Answer::Cannot => {
                found.cannot = Some(middle);
                beyond = middle;
            }
            Answer::Unknown => beyond = middle,
        }
    }
    // What is neither done nor excluded: the proof may reach further down.
    let mut open = beyond;
    for _ in 0..MOST {
        let Some(cannot) = found.cannot.filter(|cannot| far(*cannot, open)) else { break };
        let middle = f64::midpoint(open, cannot);
        match ask(middle)? {
            Answer::Cannot => found.cannot = Some(middle),
            Answer::Unknown => open = middle,
            Answer::Can => {
                found.can = Some(middle);
                open = middle;
            }
        }
    }
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// For made-up answers with an open gap, both bounds are found to what is asked.
    #[test]
    fn both_bounds_are_found() {
        for (can, cannot) in [(0.31, 0.31), (0.2, 0.7), (0.05, 0.93)] {
            let range = Range { easy: 0.0, hard: 1.0, to: 0.01 };
            let answer = |number: f64| {
                Ok::<_, ()>(if number <= can {
                    Answer::Can
                } else if number > cannot {
                    Answer::Cannot
                } else {
                    Answer::Unknown
                })
            };
            let found = bracket(Question::Payload, range, answer).expect("it answers");
            assert!((found.can.expect("0 can be done") - can).abs() <= 0.01);
            assert!((found.cannot.expect("1 cannot be done") - cannot).abs() <= 0.01);
        }
    }
}
