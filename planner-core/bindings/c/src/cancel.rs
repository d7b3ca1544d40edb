//! How long work is stopped from another thread.

use crate::border::{Done, asked, free, handle};
use clamber_core::Signal;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

/// Stops work. Any thread may use it at any time until it is freed.
pub struct ClamberCancel {
    flag: Arc<AtomicBool>,
}

/// A new one, not set.
#[unsafe(no_mangle)]
pub extern "C" fn clamber_cancel_new() -> *mut ClamberCancel {
    Box::into_raw(Box::new(ClamberCancel { flag: Arc::new(AtomicBool::new(false)) }))
}

/// Stops all work that was given this handle, now and later.
///
/// # Safety
/// The handle is NULL or valid.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_cancel_set(cancel: *const ClamberCancel) {
    asked((), || {
        // SAFETY: as the caller promises.
        unsafe { handle("cancel", cancel) }?.flag.store(true, Ordering::Relaxed);
        Ok(())
    });
}

/// Frees it. Work that was given it may still be under way, and goes on.
///
/// # Safety
/// The handle is NULL or valid, and is not used afterwards.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_cancel_free(cancel: *mut ClamberCancel) {
    // SAFETY: as the caller promises.
    unsafe { free(cancel) };
}

/// What a search is told: to finish after some seconds, to stop when cancelled.
///
/// # Safety
/// The handle is NULL, for none, or valid.
pub(crate) unsafe fn signal(time_s: f64, cancel: *const ClamberCancel) -> Done<impl Fn() -> Signal + Sync> {
    if !(time_s > 0.0 && time_s.is_finite()) {
        let words = format!("time_s is {time_s}; a number of seconds above 0 is allowed");
        return Err(crate::border::Failure::Argument(words));
    }
    let flag = match cancel.is_null() {
        true => Arc::default(),
        // SAFETY: as the caller promises.
        false => Arc::clone(&unsafe { handle("cancel", cancel) }?.flag),
    };
    let begin = Instant::now();
    Ok(move || {
        if flag.load(Ordering::Relaxed) {
            Signal::StopNow
        } else if begin.elapsed().as_secs_f64() >= time_s {
            Signal::Finish
        } else {
            Signal::GoOn
        }
    })
}
