//! The comments before the header: the format, and what holds for all pulls.

use super::{FORMAT, Mistakes};
use clamber_core::unstable::rating::range_fault;

/// Reads the comments; returns the force at which the rig stops, infinity for one that is wrong, with which no pull is at odds.
pub(super) fn read(mistakes: &mut Mistakes<'_>) -> Option<f64> {
    let text = mistakes.text;
    let mut lines = comments(text);
    let first = lines.next();
    let told = first.as_ref().map_or("", |(_, words)| words);
    if told != FORMAT {
        let (span, found) = match &first {
            Some((at, words)) => (*at..at + words.len(), format!("\"# {words}\" was found")),
            None => (0..0, "no format was found".into()),
        };
        let help = if told.starts_with("clamber-pulls/") {
            "this version reads only that format".into()
        } else {
            format!("put the line `# {FORMAT}` at the top")
        };
        mistakes.add(span, "file", found, format!("a first line \"# {FORMAT}\" is allowed"), help);
    }
    let mut rig_limit_n = None;
    for (at, words) in lines {
        // Other comments are free.
        let Some((name, value)) = words.split_once('=') else { continue };
        let (name, value) = (name.trim(), value.trim());
        let is_like = |a: &str| a.replace(['-', ' '], "_").to_lowercase().starts_with("rig_limit");
        if name != "rig_limit_n" {
            if is_like(name) {
                rig_limit_n = Some(f64::INFINITY);
                let help = "write `# rig_limit_n = 120`, in newtons";
                mistakes.add(
                    at..at + name.len(),
                    "rig_limit_n",
                    format!("{name:?} was found"),
                    "\"rig_limit_n\" is the name",
                    help,
                );
            }
            continue;
        }
        let span = at..at + words.len();
        let fault = match value.parse::<f64>() {
            Ok(number) => {
                if rig_limit_n.replace(number).is_some() {
                    // Neither is held against the pulls.
                    rig_limit_n = Some(f64::INFINITY);
                    let help = "keep one; pulls of two rigs are two files";
                    mistakes.add(
                        span.clone(),
                        "rig_limit_n",
                        "it is there twice",
                        "one line `# rig_limit_n = ...` is allowed",
                        help,
                    );
                }
                range_fault("rig_limit_n", number).map(|fault| (fault.found, fault.allowed, fault.help))
            }
            Err(_) => {
                let help = "give newtons without a unit, such as `# rig_limit_n = 120`";
                Some((format!("{value:?} was found"), "a number is allowed".into(), help.into()))
            }
        };
        if let Some((found, allowed, help)) = fault {
            rig_limit_n = Some(f64::INFINITY);
            mistakes.add(span, "rig_limit_n", found, allowed, help);
        }
    }
    rig_limit_n
}

/// Comments before the first other line: where their words begin, and these.
fn comments(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let lines = text.split_inclusive('\n').scan(0, |at, line| {
        let begin = *at;
        *at += line.len();
        Some((begin, line))
    });
    let trimmed = lines.map(|(begin, line)| {
        let words = line.trim_start_matches('\u{feff}');
        (begin + line.len() - words.len(), words)
    });
    trimmed.filter(|(_, line)| !line.trim().is_empty()).map_while(|(begin, line)| {
        let words = line.strip_prefix('#')?;
        let begin = begin + 1 + words.len() - words.trim_start().len();
        // Spreadsheets fill a comment up with empty cells.
        Some((begin, words.trim().trim_end_matches(',').trim_end()))
    })
}
