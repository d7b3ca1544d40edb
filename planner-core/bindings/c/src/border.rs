//! What goes over the border: texts, pointers, errors. Nothing unwinds.

use crate::ClamberStatus;
use std::cell::RefCell;
use std::ffi::{CStr, CString, c_char};
use std::panic::{AssertUnwindSafe, catch_unwind};

thread_local! {
    static LAST: RefCell<CString> = RefCell::new(CString::default());
}

/// Why a call failed.
pub(crate) enum Failure {
    Argument(String),
    Refused(String),
}

pub(crate) type Done<T> = Result<T, Failure>;

pub(crate) fn refused(error: impl std::fmt::Display) -> Failure {
    Failure::Refused(error.to_string())
}

/// Runs the body of a function; its failure, or its panic, becomes a status and words.
pub(crate) fn guarded(body: impl FnOnce() -> Done<()>) -> ClamberStatus {
    let (status, words) = match catch_unwind(AssertUnwindSafe(body)) {
        Ok(Ok(())) => return ClamberStatus::Ok,
        Ok(Err(Failure::Argument(words))) => (ClamberStatus::Argument, words),
        Ok(Err(Failure::Refused(words))) => (ClamberStatus::Refused, words),
        Err(_) => (ClamberStatus::Internal, "internal error; please report it with the scene".to_owned()),
    };
    let text = as_c(words);
    LAST.with(|last| *last.borrow_mut() = text);
    status
}

/// The same for a function that answers a question and cannot fail but for a NULL: it then gives `otherwise`.
pub(crate) fn asked<T>(otherwise: T, body: impl FnOnce() -> Done<T>) -> T {
    match catch_unwind(AssertUnwindSafe(body)) {
        Ok(Ok(answer)) => answer,
        _ => otherwise,
    }
}

/// A text for C; zero bytes within it are left out.
fn as_c(mut text: String) -> CString {
    text.retain(|c| c != '\0');
    CString::new(text).unwrap_or_default()
}

/// The text at a pointer.
///
/// # Safety
/// The pointer is NULL, or points to a text that ends in a zero byte and does not change meanwhile.
pub(crate) unsafe fn text<'a>(name: &str, pointer: *const c_char) -> Done<&'a str> {
    if pointer.is_null() {
        return Err(Failure::Argument(format!("{name} is NULL")));
    }
    // SAFETY: it is not NULL, and the caller promises the rest.
    let text = unsafe { CStr::from_ptr(pointer) };
    text.to_str().map_err(|error| Failure::Argument(format!("{name} is not UTF-8: {error}")))
}

/// What a handle points to.
///
/// # Safety
/// The pointer is NULL, or came from this library and was not freed.
pub(crate) unsafe fn handle<'a, T>(name: &str, pointer: *const T) -> Done<&'a T> {
    // SAFETY: the caller promises that it is NULL or valid.
    unsafe { pointer.as_ref() }.ok_or_else(|| Failure::Argument(format!("{name} is NULL")))
}

/// The numbers at a pointer.
///
/// # Safety
/// The pointer is NULL, or points to `count` values that do not change meanwhile.
pub(crate) unsafe fn list<'a, T>(name: &str, pointer: *const T, count: usize) -> Done<&'a [T]> {
    if count == 0 {
        return Ok(&[]);
    }
    if pointer.is_null() {
        return Err(Failure::Argument(format!("{name} is NULL")));
    }
    // SAFETY: it is not NULL, and the caller promises the rest.
    Ok(unsafe { std::slice::from_raw_parts(pointer, count) })
}

/// Writes an answer to where the caller wants it.
///
/// # Safety
/// The pointer is NULL, or points to room for a value.
pub(crate) unsafe fn give<T>(name: &str, to: *mut T, value: T) -> Done<()> {
    if to.is_null() {
        return Err(Failure::Argument(format!("{name} is NULL")));
    }
    // SAFETY: it is not NULL, and the caller promises the rest. What was there is no value of ours, so nothing is dropped.
    unsafe { to.write(value) };
    Ok(())
}

/// A new handle.
///
/// # Safety
/// As [`give`].
pub(crate) unsafe fn give_handle<T>(name: &str, to: *mut *mut T, value: T) -> Done<()> {
    if to.is_null() {
        return Err(Failure::Argument(format!("{name} is NULL")));
    }
    // SAFETY: as the caller promises.
    unsafe { give(name, to, Box::into_raw(Box::new(value))) }
}

/// A new text that the caller frees.
///
/// # Safety
/// As [`give`].
pub(crate) unsafe fn give_text(name: &str, to: *mut *mut c_char, value: String) -> Done<()> {
    if to.is_null() {
        return Err(Failure::Argument(format!("{name} is NULL")));
    }
    // SAFETY: as the caller promises.
    unsafe { give(name, to, as_c(value).into_raw()) }
}

/// Frees a handle.
///
/// # Safety
/// As [`handle`]; nobody uses it afterwards.
pub(crate) unsafe fn free<T>(pointer: *mut T) {
    if !pointer.is_null() {
        // SAFETY: it came from `give_handle`, and nobody uses it afterwards.
        let boxed = unsafe { Box::from_raw(pointer) };
        asked((), || {
            drop(boxed);
            Ok(())
        });
    }
}

/// What the last call of this thread that failed said. It stays until the next call of this thread fails; do not free it.
#[unsafe(no_mangle)]
pub extern "C" fn clamber_last_error() -> *const c_char {
    LAST.with(|last| last.borrow().as_ptr())
}

/// Frees a text that a function gave. NULL is nothing to free.
///
/// # Safety
/// The text is NULL, or a function of this library gave it, and it was not freed.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_text_free(text: *mut c_char) {
    if !text.is_null() {
        // SAFETY: it came from `give_text`.
        drop(unsafe { CString::from_raw(text) });
    }
}
