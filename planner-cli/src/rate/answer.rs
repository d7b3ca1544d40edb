//! The answer as JSON.

use super::Rated;
use clamber_core::unstable::rating::Rating;
use serde::Serialize;

/// What `rate --json` prints.
#[derive(Serialize)]
pub(super) struct Answer<'r> {
    format: &'static str,
    tests: &'r str,
    /// The file that the other numbers of the kind are from.
    from: Option<&'r str>,
    /// Whether all that the kind needs is rated.
    complete: bool,
    #[serde(flatten)]
    rating: &'r Rating,
    /// The pulls of each series, in its order.
    pulls: Vec<Vec<PullEntry<'r>>>,
    written_to: &'r [String],
}

/// One pull.
#[derive(Serialize)]
struct PullEntry<'r> {
    pull: &'r str,
    module: &'r str,
    force_n: f64,
    result: &'static str,
}

impl<'r> Answer<'r> {
    pub(super) fn new(rated: &'r Rated, written: &'r [String]) -> Self {
        let pulls = rated.rating.series.iter().map(|series| {
            let members = series.members.iter().map(|index| &rated.tests.pulls[*index]);
            members
                .map(|pull| PullEntry {
                    pull: &pull.name,
                    module: &pull.module,
                    force_n: pull.force_n,
                    result: pull.ending.word(),
                })
                .collect()
        });
        Self {
            format: "clamber-rating/1",
            tests: &rated.file,
            from: rated.base.as_ref().map(|base| base.file.as_str()),
            complete: rated.rating.is_complete(),
            rating: &rated.rating,
            pulls: pulls.collect(),
            written_to: written,
        }
    }
}
