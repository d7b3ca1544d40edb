//! Ranges that many fields share.

pub(super) use crate::model::ranges::{HUGE, LARGEST, NAME_LENGTH, TINY};

/// Pattern of a name: 1 to [`NAME_LENGTH`] characters, none of them a control character.
pub(super) const NAME: &str = "^[^\\u0000-\\u001F\\u007F-\\u009F]{1,200}$";
/// Longest file, in bytes.
pub(super) const FILE_BYTES: usize = 1 << 26;
