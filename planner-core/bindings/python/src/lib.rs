//! The native half of the Python package `clamber`: what it gives is plain values; `python/clamber` makes them into classes and arrays.

#![allow(
    clippy::disallowed_methods,
    clippy::too_many_arguments,
    clippy::type_complexity,
    reason = "this is the outside of the core: it keeps time, and its signatures are those of Python"
)]

mod entries;
mod follow;
mod plan;
mod scene;
mod waiting;

use pyo3::create_exception;
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;

create_exception!(_native, ClamberError, PyValueError, "What was given makes no sense, or cannot be.");

/// An error in words.
fn refused(error: impl std::fmt::Display) -> PyErr {
    ClamberError::new_err(error.to_string())
}

#[pymodule]
fn _native(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add("ClamberError", module.py().get_type::<ClamberError>())?;
    module.add("__version__", env!("CARGO_PKG_VERSION"))?;
    module.add_class::<scene::Scene>()?;
    module.add_class::<plan::Plan>()?;
    module.add_class::<follow::Follower>()?;
    Ok(())
}
