//! Ranges that many fields share.

/// Largest magnitude of a length, mass, force, time and so on.
pub(super) const HUGE: f64 = 1e6;
/// Smallest value of a quantity that must not be zero.
pub(super) const TINY: f64 = 1e-6;
/// Most modules, decks, kinds or slots.
pub(super) const LARGEST: usize = 4096;
/// Pattern of a name: 1 to 200 characters, none of them a control character.
pub(super) const NAME: &str = "^[^\\u0000-\\u001F\\u007F-\\u009F]{1,200}$";
/// Longest name in characters, as in [`NAME`].
pub(super) const NAME_LENGTH: usize = 200;
/// Longest file, in bytes.
pub(super) const FILE_BYTES: usize = 1 << 26;
