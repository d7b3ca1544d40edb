//! `clamber risk`: the chance that a plan holds, and what common causes do to it.

mod entry;
mod scatter_file;
mod text;

use crate::args::RiskArgs;
use crate::examine::examine;
use crate::failure::Failure;
use crate::{exit_code, output};
use clamber_core::Interrupt;
use clamber_core::unstable::assess::{Scatter, Scenario, risk};
pub(crate) use entry::schema;
use scatter_file::Stated;

/// Scatter of masses, in shares, and of places, in millimetres and degrees, where nothing else is said.
const MASS_CV: f64 = 0.02;
const PLACE_MM: f64 = 0.5;
const PLACE_DEG: f64 = 0.5;

pub(crate) fn run(args: &RiskArgs) -> Result<u8, Failure> {
    let stated = args.scatter.as_deref().map(scatter_file::read).transpose()?.unwrap_or_default();
    let examined = examine(&args.plan)?;
    let file = &examined.file;
    if !examined.is_sound() {
        return Err(Failure::not_sound(format!(
            "error: {file} is not sound, so nothing can be said about its chance; `clamber check {file}` lists what is wrong with it"
        )));
    }
    let scatter = scatter(args, &stated)?;
    let scenarios: Vec<Scenario> = Scenario::common().into_iter().chain(stated.scenarios).collect();
    let draws = (args.draws as usize, args.seed);
    let found = risk(&examined.problem, &examined.plan, &scatter, &scenarios, draws, Interrupt::NEVER);
    let found = found.map_err(|stopped| {
        Failure::not_sound(format!("internal error: stopped ({stopped:?}); please report this with the plan"))
    })?;
    output::print(&if args.json {
        output::json_line(&entry::entry(&examined, &scatter, args, &found))?
    } else {
        text::text(&examined, &scatter, args, &found)
    })?;
    let is_above = args.at_most.is_some_and(|most| found.chance.high > most);
    Ok(if is_above { exit_code::NOT_SOUND } else { exit_code::DONE })
}

/// What the command line says, or else the file.
fn scatter(args: &RiskArgs, stated: &Stated) -> Result<Scatter, Failure> {
    let mut scatter = Scatter::default();
    for (spread, [mean, cv], what) in
        [(&mut scatter.magnet, stated.magnet, "magnet_cv"), (&mut scatter.cup, stated.cup, "cup_cv")]
    {
        spread.mean = args.hold_mean.or(mean).unwrap_or(1.0);
        spread.cv = args.hold_cv.or(cv).ok_or_else(|| {
            Failure::unreadable(format!(
                "error: how holds scatter is not said: give {what} in the file of scatter, or --hold-cv"
            ))
        })?;
    }
    scatter.mass_cv = args.mass_cv.or(stated.mass_cv).unwrap_or(MASS_CV);
    scatter.place_m = args.place_mm.or(stated.place_mm).unwrap_or(PLACE_MM) * 1e-3;
    scatter.place_rad = args.place_deg.or(stated.place_deg).unwrap_or(PLACE_DEG).to_radians();
    Ok(scatter)
}
