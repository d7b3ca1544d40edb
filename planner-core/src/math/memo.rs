//! Values that are worked out once and kept.

use std::any::Any;
use std::convert::Infallible;
use std::fmt;
use std::sync::{Arc, Mutex};

/// The bits of a key, and a value of some type.
type Entry = (Vec<u64>, Arc<dyn Any + Send + Sync>);

/// Values by type and key: what depends on the owner and on a few numbers alone. Keeping them saves time and decides nothing, so two owners are equal
/// whatever they keep. Clones of an owner share them.
#[derive(Clone, Default)]
pub struct Memo {
    entries: Arc<Mutex<Vec<Entry>>>,
}

impl Memo {
    /// The value for a key, made if it is not there yet.
    pub fn get<T: Any + Send + Sync>(&self, key: &[f64], make: impl FnOnce() -> T) -> Arc<T> {
        match self.try_get(key, || Ok::<T, Infallible>(make())) {
            Ok(value) => value,
            Err(never) => match never {},
        }
    }

    /// The same for a value that may fail to be made.
    ///
    /// # Errors
    /// That of `make`; nothing is kept then.
    pub fn try_get<T: Any + Send + Sync, E>(
        &self,
        key: &[f64],
        make: impl FnOnce() -> Result<T, E>,
    ) -> Result<Arc<T>, E> {
        let bits: Vec<u64> = key.iter().map(|number| number.to_bits()).collect();
        if let Some(known) = self.find(&bits) {
            return Ok(known);
        }
        let made = Arc::new(make()?);
        // Two threads may make the same; a lock that a panic has poisoned keeps nothing more.
        if let Ok(mut entries) = self.entries.lock() {
            entries.push((bits, Arc::<T>::clone(&made)));
        }
        Ok(made)
    }

    fn find<T: Any + Send + Sync>(&self, bits: &[u64]) -> Option<Arc<T>> {
        let entries = self.entries.lock().ok()?;
        let known = entries.iter().filter(|(key, _)| key == bits);
        known.into_iter().find_map(|(_, value)| Arc::clone(value).downcast::<T>().ok())
    }
}

impl PartialEq for Memo {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

impl fmt::Debug for Memo {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str("Memo")
    }
}
