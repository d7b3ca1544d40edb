//! Kinds of module from a file of kinds or from a scene.

use crate::failure::Failure;
use crate::sort::Sort;
use crate::{diagnostics, files, scene_file};
use clamber_core::unstable::scene::{KindEntry, read_kinds};
use indexmap::IndexMap;
use std::path::Path;

/// All kinds of a file, by name.
pub(crate) fn read(path: &Path) -> Result<IndexMap<String, KindEntry>, Failure> {
    let (file, text) = (files::name(path), files::read_text(path)?);
    match Sort::of(text.as_bytes()) {
        Some(Sort::Kinds | Sort::RatedKind) => {
            read_kinds(&file, &text).map_err(|found| diagnostics::failure(&found, &file))
        }
        Some(found) if !found.is_scene() => Err(diagnostics::wrong_sort(
            &file,
            found,
            "a file with kinds",
            "give a scene or a file of kinds".into(),
        )),
        _ => Ok(scene_file::of_text(path, text)?.scenario.kind),
    }
}

/// One of them; if there is none of that name, the message says where the name is from and what to do.
pub(crate) fn one(path: &Path, name: &str, [from, to_do]: [&str; 2]) -> Result<KindEntry, Failure> {
    let kinds = read(path)?;
    kinds.get(name).cloned().ok_or_else(|| {
        let known = kinds.keys().map(String::as_str).collect::<Vec<_>>().join(", ");
        Failure::unreadable(format!(
            "error: {} has no kind {name:?}{from}; its kinds are {known}; {to_do}",
            files::name(path)
        ))
    })
}
