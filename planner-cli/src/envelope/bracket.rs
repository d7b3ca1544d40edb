//! From single numbers to the best that can be done and the least that cannot.

use super::point::Answer;
use super::question::{Question, Range};

/// What is known about one question for one size of crew: the hardest number that can be done, and the least hard one that cannot.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Bracket {
    pub(super) can: Option<f64>,
    pub(super) cannot: Option<f64>,
    /// Whether there is no more to find out: the hardest number can be done, or the easiest cannot.
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
            match ask(number)? {
                Answer::Can => found.can = Some(number),
                Answer::Cannot => {
                    let is_all = found.can.is_none();
                    return Ok(Bracket { cannot: Some(number), is_all, ..found });
                }
                Answer::Unknown => return Ok(found),
            }
            number += 1.0;
        }
        return Ok(Bracket { is_all: true, ..found });
    }
    // The least hard number that is neither done nor excluded.
    let mut open = range.easy;
    match ask(range.easy)? {
        Answer::Can => found.can = Some(range.easy),
        Answer::Cannot => return Ok(Bracket { cannot: Some(range.easy), is_all: true, ..found }),
        Answer::Unknown => {}
    }
    match ask(range.hard)? {
        Answer::Can => return Ok(Bracket { can: Some(range.hard), cannot: None, is_all: true }),
        Answer::Cannot => found.cannot = Some(range.hard),
        Answer::Unknown => {}
    }
    let far = |a: f64, b: f64| (a - b).abs() > range.to;
    if found.can.is_some() {
        open = range.hard;
        for _ in 0..MOST {
            let Some(can) = found.can.filter(|can| far(*can, open)) else { break };
            let middle = f64::midpoint(can, open);
            match ask(middle)? {
                Answer::Can => found.can = Some(middle),
                Answer::Cannot => {
                    found.cannot = Some(middle);
                    open = middle;
                }
                Answer::Unknown => open = middle,
            }
        }
    }
    // The proof may reach further down.
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

    /// For made-up answers with an open gap, both bounds are found to what is asked; what is open is never a bound.
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
        let open = |number: f64| Ok::<_, ()>(if number > 0.6 { Answer::Cannot } else { Answer::Unknown });
        let range = Range { easy: 0.0, hard: 1.0, to: 0.01 };
        let found = bracket(Question::Wall, range, open).expect("it answers");
        assert!(found.can.is_none() && !found.is_all);
        assert!((found.cannot.expect("1 cannot be done") - 0.6).abs() <= 0.01);
        let nothing = bracket(Question::Gap, range, |_| Ok::<_, ()>(Answer::Unknown)).expect("it answers");
        assert_eq!(nothing, Bracket::default());
    }
}
