//! `clamber rate`: from pull tests to the rated holds of a kind.
//!
//! [`read`] makes pulls of a table, the library rates them, [`base`] has the numbers that pulls do not give, and [`text`], [`kind_file`], [`answer`] and [`page`]
//! write what came of it.

mod answer;
mod args;
mod base;
mod kind_file;
mod page;
mod read;
mod text;

pub(crate) use self::args::RateArgs;
pub(crate) use self::kind_file::BEGINS as KIND_FILE_BEGINS;

use self::base::Base;
use crate::failure::Failure;
use crate::sort::Sort;
use crate::{exit_code, files, output};
use clamber_core::unstable::rating::{OptionError, PullTests, Rating, RatingError, RatingOptions, rate};
use indexmap::IndexSet;

/// A rating with all that is known of it.
struct Rated {
    /// What the tests are called in messages.
    file: String,
    tests: PullTests,
    rating: Rating,
    base: Option<Base>,
    hold_factor: f64,
}

pub(crate) fn run(args: &RateArgs) -> Result<u8, Failure> {
    if let Some(path) = &args.output {
        files::probe(path, Sort::RatedKind)?;
    }
    if let Some(path) = &args.page {
        files::probe(path, Sort::Page)?;
    }
    let rated = rated(args)?;
    let mut written = Vec::new();
    if let Some(path) = &args.output {
        files::write(path, Sort::RatedKind, kind_file::text(&rated))?;
        written.push(files::name(path));
    }
    if let Some(path) = &args.page {
        files::write(path, Sort::Page, page::html(&rated))?;
        written.push(files::name(path));
    }
    if args.json {
        output::print(&output::json_line(&answer::Answer::new(&rated, &written))?)?;
    } else {
        output::print(&text::text(&rated, &written, args.output.is_some()))?;
    }
    Ok(if rated.rating.is_complete() { exit_code::DONE } else { exit_code::NOT_SOUND })
}

fn rated(args: &RateArgs) -> Result<Rated, Failure> {
    let file = files::name(&args.tests);
    let mut tests = read::read(&file, &files::read_text(&args.tests)?)?;
    let kind = kind_of(&tests, args, &file)?;
    tests.pulls.retain(|pull| pull.kind == kind);
    let base = args.from.as_deref().map(|path| Base::read(path, &kind)).transpose()?;
    let merged = args.merge.iter().map(|list| list.split(',').map(|name| name.trim().to_owned()).collect());
    let options = RatingOptions {
        share: args.share,
        confidence: args.confidence,
        joint: args.joint,
        method: args.method,
        surfaces: args.surface.clone(),
        merged: merged.collect(),
        compared: args.compare.clone(),
        foot_radius_m: base.as_ref().map(|base| base.kind.foot_radius_m),
        cup_area_m2: base.as_ref().map(|base| base.kind.cup_area_m2),
    };
    let rating = rate(&tests, &options).map_err(|error| refused(&error, &file))?;
    Ok(Rated { file, tests, rating, base, hold_factor: args.hold_factor })
}

/// The kind that is rated: the one that was named, or the only one.
fn kind_of(tests: &PullTests, args: &RateArgs, file: &str) -> Result<String, Failure> {
    let kinds: IndexSet<&str> = tests.pulls.iter().map(|pull| pull.kind.as_str()).collect();
    let known = kinds.iter().copied().collect::<Vec<_>>().join(", ");
    match (&args.kind, kinds.len()) {
        (Some(kind), _) if kinds.contains(kind.as_str()) => Ok(kind.clone()),
        (Some(kind), _) => Err(Failure::unreadable(format!(
            "error: {file} has no pulls of a kind {kind:?}; its kinds are {known}; name one of these with --kind"
        ))),
        (None, 1) => Ok(kinds[0].to_owned()),
        (None, _) => Err(Failure::unreadable(format!(
            "error: {file} has pulls of several kinds; one is rated at a time; name one of {known} with --kind"
        ))),
    }
}

fn refused(error: &RatingError, file: &str) -> Failure {
    let option = |name: &str| Failure::unreadable(format!("error: --{name}: {error}"));
    match error {
        RatingError::Option(OptionError::Surface { .. }) => option("surface or --merge"),
        RatingError::Option(OptionError::Merged { .. }) => option("merge"),
        RatingError::Option(OptionError::Column { .. }) => option("compare"),
        RatingError::NoPulls => Failure::unreadable(format!(
            "error: {file}: no pull counts: all are dropped or on other surfaces; add pulls, or name other surfaces"
        )),
        _ => Failure::unreadable(format!("error: {file}: {error}")),
    }
}
