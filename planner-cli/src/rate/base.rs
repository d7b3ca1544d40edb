//! The numbers of a kind that pull tests do not give, from a scene or a file of kinds.

use crate::failure::Failure;
use crate::{files, kinds_file};
use clamber_core::unstable::scene::KindEntry;
use std::path::Path;

/// A kind, and the file that it is from.
pub(super) struct Base {
    pub(super) file: String,
    pub(super) kind: KindEntry,
}

impl Base {
    pub(super) fn read(path: &Path, name: &str) -> Result<Self, Failure> {
        Ok(Self {
            file: files::name(path),
            kind: kinds_file::one(
                path,
                name,
                [", which the pulls are of", "name the kind alike in both files"],
            )?,
        })
    }
}
