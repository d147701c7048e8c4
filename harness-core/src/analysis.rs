//! A design with everything that was computed for it, once, for all rules.

use crate::{electrical::Electrical, model::Model, network::Network};
use std::{
    any::{Any, TypeId},
    sync::{Arc, Mutex, OnceLock, PoisonError},
};

/// An analysed design.
#[derive(Debug)]
pub struct Analysis<'a> {
    /// The resolved design.
    pub model: &'a Model,
    /// Who is joined to whom.
    pub network: &'a Network,
    /// What flows, in every mode that was asked for.
    pub electrical: &'a Electrical,
    shared: Mutex<Vec<(TypeId, Slot)>>,
}

/// The place of one thing that several rules look at.
type Slot = Arc<OnceLock<Arc<dyn Any + Send + Sync>>>;

impl<'a> Analysis<'a> {
    /// An analysis of a design from its three parts.
    #[must_use]
    pub fn new(model: &'a Model, network: &'a Network, electrical: &'a Electrical) -> Self {
        Self { model, network, electrical, shared: Mutex::default() }
    }

    /// Something that several rules look at: made by the first that asks, the same for all.
    ///
    /// It is known by its type, so each such thing has a type of its own. `make` depends on the design alone, which is
    /// why it does not matter which rule asks first.
    pub fn shared<T: Any + Send + Sync + Default>(&self, make: impl FnOnce(&Self) -> T) -> Arc<T> {
        let slot = {
            // A thread that panicked here left a list of finished slots, which is as good as ever.
            let mut slots = self.shared.lock().unwrap_or_else(PoisonError::into_inner);
            match slots.iter().find(|(known, _)| *known == TypeId::of::<T>()) {
                Some((_, slot)) => Arc::clone(slot),
                None => {
                    let slot = Slot::default();
                    slots.push((TypeId::of::<T>(), Arc::clone(&slot)));
                    slot
                }
            }
        };
        let made = Arc::clone(slot.get_or_init(|| Arc::new(make(self))));
        // The slot is the one of this type, so the downcast never fails.
        made.downcast::<T>().unwrap_or_default()
    }
}
