//! The numbers of a kind that pull tests do not give, from a scene or a file of kinds.

use crate::failure::Failure;
use crate::sort::Sort;
use crate::{diagnostics, files, scene_file};
use clamber_core::unstable::scene::{KindEntry, read_kinds};
use std::path::Path;

/// A kind, and the file that it is from.
pub(super) struct Base {
    pub(super) file: String,
    pub(super) kind: KindEntry,
}

impl Base {
    pub(super) fn read(path: &Path, name: &str) -> Result<Self, Failure> {
        let (file, text) = (files::name(path), files::read_text(path)?);
        let kinds = match Sort::of(text.as_bytes()) {
            Some(Sort::Kinds | Sort::RatedKind) => {
                read_kinds(&file, &text).map_err(|found| diagnostics::failure(&found, &file))?
            }
            Some(found) if !found.is_scene() => {
                let to_do = "give a scene or a file of kinds with --from".into();
                return Err(diagnostics::wrong_sort(&file, found, "a file with kinds", to_do));
            }
            _ => scene_file::of_text(path, text)?.scenario.kind,
        };
        let known = kinds.keys().map(String::as_str).collect::<Vec<_>>().join(", ");
        let kind = kinds.get(name).cloned().ok_or_else(|| {
            Failure::unreadable(format!(
                "error: {file} has no kind {name:?}, which the pulls are of; its kinds are {known}; name the kind alike in both files"
            ))
        })?;
        Ok(Self { file, kind })
    }
}
