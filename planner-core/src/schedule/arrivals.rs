//! Trips in another order: those that arrive sooner first, so that in list scheduling nobody waits for a module that is still far away.

use super::drive_sequence::DriveSequence;
use crate::control::{Interrupt, Stopped};
use crate::model::ModuleId;
use crate::motion::duration_s;
use std::ops::Range;

/// Consecutive drives of one module.
#[derive(Clone, Debug)]
struct Trip {
    drives: Range<usize>,
    /// The modules that take part.
    members: Vec<ModuleId>,
    /// When its module arrives if it never waits, in seconds from the start.
    arrives_s: f64,
}

/// The drives of a sequence with each trip ahead of those that arrive later, as far as their ways and hosts allow it. Loads are not looked at.
///
/// Complexity: quadratic in the trips.
///
/// # Errors
/// When interrupted.
pub(super) fn by_arrival(
    course: &DriveSequence<'_>,
    interrupt: Interrupt<'_>,
) -> Result<Vec<usize>, Stopped> {
    let mut sorted: Vec<Trip> = Vec::new();
    for trip in trips(course) {
        interrupt.go_on()?;
        let stays =
            |other: &Trip| other.arrives_s <= trip.arrives_s || !may_change_order(course, other, &trip);
        let at = sorted.iter().rposition(stays).map_or(0, |at| at + 1);
        sorted.insert(at, trip);
    }
    Ok(sorted.into_iter().flat_map(|trip| trip.drives).collect())
}

fn trips(course: &DriveSequence<'_>) -> Vec<Trip> {
    let mut busy_s = vec![0.0; course.places.len()];
    let mut trips: Vec<Trip> = Vec::new();
    for (index, drive) in course.drives.iter().enumerate() {
        let hold = course.problem.start.get(drive.module).hold;
        let lasts_s =
            drive.lasts_s.unwrap_or_else(|| duration_s(course.problem, drive.module, hold, &drive.action));
        let arrives_s: &mut f64 = &mut busy_s[drive.module.index()];
        *arrives_s += lasts_s;
        match trips.last_mut() {
            Some(last) if course.drives[last.drives.start].module == drive.module => {
                last.drives.end = index + 1;
                last.members.extend(&drive.members);
                last.arrives_s = *arrives_s;
            }
            _ => {
                let (drives, members) = (index..index + 1, drive.members.clone());
                trips.push(Trip { drives, members, arrives_s: *arrives_s });
            }
        }
    }
    for trip in &mut trips {
        trip.members.sort_unstable();
        trip.members.dedup();
    }
    trips
}

/// Whether the later of two trips can be made before the earlier one: each past where the other then stands.
fn may_change_order(course: &DriveSequence<'_>, early: &Trip, late: &Trip) -> bool {
    let keeps = |a: usize| late.drives.clone().any(|b| course.keep_order(a, b));
    let is_past = |trip: &Trip, other: &Trip, at: usize| {
        let stands = |&module: &ModuleId| (module, course.done_before(at, module));
        let standing: Vec<(ModuleId, usize)> = other.members.iter().map(stands).collect();
        trip.drives.clone().all(|drive| standing.iter().all(|&(m, done)| course.is_clear_of(drive, m, done)))
    };
    !early.drives.clone().any(keeps)
        && is_past(late, early, early.drives.start)
        && is_past(early, late, late.drives.end)
}
