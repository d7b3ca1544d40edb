//! The list of fixtures against the folder.

use crate::support::{FIXTURES, folder};

#[test]
fn the_list_of_fixtures_is_the_folder() {
    let mut found: Vec<String> = std::fs::read_dir(folder())
        .expect("the folder is there")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "toml"))
        .map(|path| path.file_stem().expect("a name").to_string_lossy().into_owned())
        .collect();
    found.sort();
    assert_eq!(found, FIXTURES);
}
