//! `clamber whatif`: what one failure does to a plan, at whatever instant it happens.

mod entry;
mod rocking;
mod text;

use crate::args::{FailureWord, WhatifArgs};
use crate::examine::examine;
use crate::failure::Failure;
use crate::{exit_code, output};
use clamber_core::Interrupt;
use clamber_core::unstable::assess::{self, Verdict, WhatIf, what_if};
pub(crate) use entry::schema;

pub(crate) fn run(args: &WhatifArgs) -> Result<u8, Failure> {
    let examined = examine(&args.plan)?;
    let file = &examined.file;
    if !examined.is_sound() {
        return Err(Failure::not_sound(format!(
            "error: {file} is not sound, so nothing can be said about failures; `clamber check {file}` lists what is wrong with it"
        )));
    }
    let found = what_if(&examined.problem, &examined.plan, Interrupt::NEVER);
    let mut found = found.map_err(|stopped| {
        Failure::not_sound(format!("internal error: stopped ({stopped:?}); please report this with the plan"))
    })?;
    keep(&mut found, args);
    let rocking = rocking::of(&examined, args)?;
    output::print(&if args.json {
        output::json_line(&entry::entry(&examined, &found, rocking.as_ref()))?
    } else {
        text::text(&examined, &found, rocking.as_ref(), args)
    })?;
    Ok(if found.verdict() < Verdict::NotProven { exit_code::DONE } else { exit_code::NOT_SOUND })
}

/// Leaves out what is not asked for.
fn keep(found: &mut WhatIf, args: &WhatifArgs) {
    found.failures.retain(|row| args.asks(word_of(row.failure)));
    if !args.asks(FailureWord::Drive) {
        found.stalls.clear();
    }
    if !args.asks(FailureWord::Touch) {
        found.touches.clear();
        found.without_touches = None;
    }
}

const fn word_of(failure: assess::Failure) -> FailureWord {
    match failure {
        assess::Failure::Cup => FailureWord::Cup,
        assess::Failure::Bond => FailureWord::Bond,
        assess::Failure::Mass => FailureWord::Mass,
    }
}
