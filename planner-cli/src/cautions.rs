//! Cautions about machines with magnets. They stand in one place, so that every command says the same.

/// One line for the end of the output.
pub(crate) const SHORT: &str =
    "Caution: only software has checked this. Modules fall and pinch, magnets are strong: clamber --help";

/// The whole list, for `--help`.
pub(crate) const FULL: &str = "\
Cautions:
  - Modules can fall. Keep people out from under and beside a crew that moves or carries load.
  - Shells, feet and tracks pinch. Keep hands away from a crew that is switched on.
  - Strong magnets harm or disturb implants, such as pacemakers, and data carriers, and snap
    together without warning. Keep people with implants away.
  - A braced hold ends with its vacuum. Dirt, damage, altitude or loss of power can end it.
    Do not rely on a vacuum that is not monitored.
  - The figures are as good as the scene. Rated holds come from pull tests on the real surfaces,
    not from a model. A margin in a file is no margin in the field.
  - A check by software is no risk assessment. Local rules and qualified people decide whether,
    where and how a crew may move.";

/// The items of the list, one line each.
pub(crate) fn items() -> Vec<String> {
    let lines = FULL.lines().skip(1).map(str::trim);
    let mut items: Vec<String> = Vec::new();
    for line in lines {
        match (line.strip_prefix("- "), items.last_mut()) {
            (Some(first), _) => items.push(first.into()),
            (None, Some(item)) => *item = format!("{item} {line}"),
            (None, None) => {}
        }
    }
    items
}
