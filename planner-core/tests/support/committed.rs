//! The example of the model page, and committed texts that tests compare with.

use std::path::{Path, PathBuf};

/// The example scene of the model page without what this version refuses (section 10 of the page): its ramp and its boulder.
pub(crate) fn example() -> String {
    let is_read = |table: &&str| !table.starts_with("[[stone]]") && !table.contains("name = \"ramp\"");
    whole_example().split("\n\n").filter(is_read).collect::<Vec<_>>().join("\n\n")
}

/// The example scene of the model page.
pub(crate) fn whole_example() -> String {
    let page = include_str!("../../../docs/model.md");
    let (_, rest) = page.split_once("```toml\n").expect("the page has an example");
    rest.split_once("```").expect("the example ends").0.to_owned()
}

/// A path in this package.
pub(crate) fn here(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// Compares a text with a committed one; with `CLAMBER_BLESS=1` in the environment, writes it.
pub(crate) fn compare(path: &Path, actual: &str) -> Result<(), String> {
    if std::env::var_os("CLAMBER_BLESS").is_some_and(|value| value == "1") {
        std::fs::write(path, actual).expect("the file can be written");
        return Ok(());
    }
    let expected = std::fs::read_to_string(path).unwrap_or_default();
    if expected == actual {
        return Ok(());
    }
    Err(format!(
        "{} differs (CLAMBER_BLESS=1 rewrites it)\nexpected:\n{expected}\nactual:\n{actual}",
        path.display()
    ))
}
