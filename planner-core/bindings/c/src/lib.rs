//! The C interface of clamber.
//!
//! Handles are opaque; each has a function that frees it, and takes NULL. A function that can fail returns a `ClamberStatus`; the words are in
//! `clamber_last_error`, of the same thread. Nothing unwinds into C. Texts are UTF-8 and end in a zero byte; those that a function gives belong to the caller, who
//! frees them with `clamber_text_free`. Units are metres, seconds, radians and kilograms; quaternions are x, y, z, w.

#![allow(clippy::disallowed_methods, reason = "this is the outside of the core: it keeps time")]

mod border;
mod cancel;
mod follower;
mod plan;
mod scene;

/// The version of this interface. A library with another is not to be used.
pub const CLAMBER_ABI: u32 = 1;

/// What `CLAMBER_ABI` was when the library was made.
#[unsafe(no_mangle)]
pub extern "C" fn clamber_abi() -> u32 {
    CLAMBER_ABI
}

/// How a call ended.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ClamberStatus {
    /// As asked.
    Ok = 0,
    /// A pointer is NULL, a text is not UTF-8, or a number is out of range.
    Argument = 1,
    /// A scene, a plan, a state, a pose or an event makes no sense, or cannot be.
    Refused = 2,
    /// A mistake in the library; please report it.
    Internal = 3,
}
