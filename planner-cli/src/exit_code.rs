//! The exit codes of `clamber`. They are part of its interface: scripts may rely on them.

/// Done: the scene is solved, the plan is sound, the start is sound, the kind is rated.
pub(crate) const DONE: u8 = 0;
/// The question was understood and the answer is no: not solved, not sound, not rated.
pub(crate) const NOT_SOUND: u8 = 1;
/// A file could not be read or written, or the arguments make no sense.
pub(crate) const UNREADABLE: u8 = 2;
/// Interrupted twice: nothing was written.
pub(crate) const INTERRUPTED: u8 = 130;
