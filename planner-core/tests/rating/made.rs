//! Pull tests made up in code.

use clamber_core::Hold;
use clamber_core::unstable::rating::{Ending, Pull, PullTests};
use indexmap::IndexMap;

/// A pull on a shell that came off.
pub(crate) fn pull(
    index: usize,
    module: &str,
    hold: Hold,
    [angle_deg, offset_m]: [f64; 2],
    force_n: f64,
) -> Pull {
    Pull {
        name: format!("p{index}"),
        date: None,
        module: module.into(),
        kind: "cobble".into(),
        hold,
        surface: "shell".into(),
        angle_deg,
        offset_m,
        temperature_c: None,
        vacuum_pa: None,
        tilt_deg: None,
        force_n,
        ending: Ending::CameOff,
        dropped: None,
        labels: IndexMap::new(),
    }
}

/// One pull of each module.
pub(crate) fn series(hold: Hold, ray: [f64; 2], forces: &[f64]) -> Vec<Pull> {
    forces
        .iter()
        .enumerate()
        .map(|(index, force)| pull(index, &format!("m{index}"), hold, ray, *force))
        .collect()
}

pub(crate) fn tests(series: impl IntoIterator<Item = Vec<Pull>>) -> PullTests {
    PullTests { rig_limit_n: None, pulls: series.into_iter().flatten().collect() }
}
