//! Values that are worked out once and kept.

use std::any::Any;
use std::fmt;
use std::sync::{Arc, Mutex};

/// The bits of a key, and a value of some type.
type Entry = (Vec<u64>, Arc<dyn Any + Send + Sync>);

/// Values by type and key: what depends on the owner and on a few numbers alone. Keeping them saves time and decides nothing, so two owners are equal
/// whatever they keep. Clones of an owner share them.
#[derive(Clone, Default)]
pub struct Kept {
    entries: Arc<Mutex<Vec<Entry>>>,
}

impl Kept {
    /// The value for a key, made if it is not there yet.
    pub fn get<T: Any + Send + Sync>(&self, key: &[f64], make: impl FnOnce() -> T) -> Arc<T> {
        let bits: Vec<u64> = key.iter().map(|number| number.to_bits()).collect();
        if let Some(known) = self.find(&bits) {
            return known;
        }
        let made = Arc::new(make());
        // Two threads may make the same; a lock that a panic has poisoned keeps nothing more.
        if let Ok(mut entries) = self.entries.lock() {
            entries.push((bits, Arc::<T>::clone(&made)));
        }
        made
    }

    fn find<T: Any + Send + Sync>(&self, bits: &[u64]) -> Option<Arc<T>> {
        let entries = self.entries.lock().ok()?;
        let known = entries.iter().filter(|(key, _)| key == bits);
        known.into_iter().find_map(|(_, value)| Arc::clone(value).downcast::<T>().ok())
    }
}

impl PartialEq for Kept {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

impl fmt::Debug for Kept {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str("Kept")
    }
}
