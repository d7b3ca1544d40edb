//! The modules that roll on their decks in a stride.

use crate::model::ModuleId;
use std::fmt;

/// The planted modules of a stride, in their order: the first is the one that the others are compared with.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct Planted {
    ids: [ModuleId; Self::MOST],
    count: u8,
}

impl Planted {
    /// A stride has at most so many; machines have three or four legs.
    pub const MOST: usize = 16;

    /// These modules; `None` where there are more than [`MOST`](Self::MOST).
    #[must_use]
    pub fn new(modules: &[ModuleId]) -> Option<Self> {
        let mut ids = [ModuleId(0); Self::MOST];
        ids.get_mut(..modules.len())?.copy_from_slice(modules);
        Some(Self { ids, count: modules.len() as u8 })
    }

    /// The modules.
    #[must_use]
    pub fn ids(&self) -> &[ModuleId] {
        &self.ids[..usize::from(self.count)]
    }

    /// Those that are not gone.
    #[must_use]
    pub fn without(&self, gone: &[ModuleId]) -> Self {
        let left: Vec<ModuleId> = self.ids().iter().copied().filter(|id| !gone.contains(id)).collect();
        Self::new(&left).unwrap_or(*self)
    }

    /// The same modules under other names.
    #[must_use]
    pub fn renamed(mut self, name: impl Fn(ModuleId) -> ModuleId) -> Self {
        self.ids[..usize::from(self.count)].iter_mut().for_each(|id| *id = name(*id));
        self
    }
}

impl fmt::Debug for Planted {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_list().entries(self.ids()).finish()
    }
}
