//! Splits slides in two where another drive waits for the whole slide only because of a part of it. Of two slides along one way both are split, so that
//! the later one follows at half the distance; splitting the parts again makes a convoy.

use super::drive_sequence::{DriveSequence, Part, WHOLE};
use super::sequence::Made;
use crate::motion::Move;

/// Least length of a part of a slide, in metres.
const SHORTEST_M: f64 = 0.01;
/// Where a slide is split that another one follows.
const HALF: f64 = 0.5;

/// A drive waits for another because their paths cross: where to split either.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Cut {
    /// The drive that is waited for, and the fraction of it after which the rest is out of the way.
    pub(crate) early: (usize, Option<f64>),
    /// The drive that waits, and the fraction of it up to which it is out of the way.
    pub(crate) late: (usize, Option<f64>),
}

/// Possible splits along a critical path of drives, the last first, those of one drive only before those of both; `None` for a step that is no drive.
pub(super) fn cuts(course: &DriveSequence<'_>, path: &[Option<usize>]) -> Vec<Cut> {
    let pairs = path.windows(2).filter_map(|pair| Some((pair[0]?, pair[1]?)));
    let waits: Vec<(usize, usize)> = pairs
        .filter(|&(late, early)| !course.keep_order(late, early) && course.collide(late, early))
        .collect();
    let apart = |&(late, early): &(usize, usize)| Cut {
        early: (early, share(course, early, (late, WHOLE), true)),
        late: (late, share(course, late, (early, WHOLE), false)),
    };
    let behind = |&(late, early): &(usize, usize)| {
        let second = (early, (HALF, 1.0));
        Cut {
            early: (early, share_if_long(course, early, HALF)),
            late: (late, share(course, late, second, false)),
        }
    };
    let useful = |cut: &Cut| cut.early.1.is_some() || cut.late.1.is_some();
    let both = |cut: &Cut| cut.early.1.is_some() && cut.late.1.is_some();
    let follow = waits.iter().map(behind).filter(both);
    waits.iter().map(apart).filter(useful).chain(follow).collect()
}

/// The share of a drive at which to split it from a part of another.
fn share(course: &DriveSequence<'_>, drive: usize, other: (usize, Part), rest: bool) -> Option<f64> {
    let Move::Slide { .. } = course.drives[drive].action else { return None };
    share_if_long(course, drive, course.clear_share(drive, other, rest))
}

/// The share, if it splits a slide into parts that are long enough.
fn share_if_long(course: &DriveSequence<'_>, drive: usize, share: f64) -> Option<f64> {
    let Move::Slide { travel_m, .. } = course.drives[drive].action else { return None };
    let shortest = SHORTEST_M / travel_m.abs();
    (share >= shortest && share <= 1.0 - shortest).then_some(share)
}

/// Moves with slides split, each at the first of the cuts that splits it.
pub(crate) fn cut(moves: &[Made], cuts: &[Cut]) -> Vec<Made> {
    let mut parts = Vec::with_capacity(moves.len() + 2 * cuts.len());
    for (index, made) in moves.iter().enumerate() {
        let ends = cuts.iter().flat_map(|cut| [cut.early, cut.late]);
        let share = ends.filter(|(drive, _)| *drive == index).find_map(|(_, share)| share);
        match (share, made.action) {
            (Some(share), Move::Slide { travel_m, curvature_per_m }) => {
                for travel_m in [share * travel_m, (1.0 - share) * travel_m] {
                    parts.push(Made { action: Move::Slide { travel_m, curvature_per_m }, ..*made });
                }
            }
            _ => parts.push(*made),
        }
    }
    parts
}

/// Moves with two parts of one slide of a trip, consecutive for its module, joined at the position of the first; `index` is that of the first. `None`
/// if there are no such parts.
pub(crate) fn joined(moves: &[Made], index: usize) -> Option<Vec<Made>> {
    let first = moves[index];
    let next = (index + 1..moves.len()).find(|&later| moves[later].module == first.module)?;
    let (
        Move::Slide { travel_m, curvature_per_m },
        Move::Slide { travel_m: more_m, curvature_per_m: same_per_m },
    ) = (first.action, moves[next].action)
    else {
        return None;
    };
    if moves[next].trip != first.trip || curvature_per_m != same_per_m || travel_m * more_m <= 0.0 {
        return None;
    }
    let mut all = moves.to_vec();
    all[index].action = Move::Slide { travel_m: travel_m + more_m, curvature_per_m };
    all.remove(next);
    Some(all)
}
