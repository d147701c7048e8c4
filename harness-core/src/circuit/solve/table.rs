//! A list read and written by `u32`, for which a place beyond the end reads as the default and takes no value.

use rustc_hash::FxHashMap;

/// A list of fixed length.
#[derive(Debug, Clone, Default)]
pub(in crate::circuit) struct Table<T>(Vec<T>);

impl<T: Copy + Default> Table<T> {
    /// `length` defaults.
    pub(in crate::circuit) fn new(length: usize) -> Self {
        Self(vec![T::default(); length])
    }

    /// The same list with defaults behind it up to `length`.
    pub(in crate::circuit) fn grown(&self, length: usize) -> Self {
        let mut list = Vec::with_capacity(length);
        list.extend_from_slice(&self.0);
        list.resize(length, T::default());
        Self(list)
    }

    /// Takes over a list.
    pub(in crate::circuit) fn of(list: Vec<T>) -> Self {
        Self(list)
    }

    #[inline]
    pub(in crate::circuit) fn at(&self, place: u32) -> T {
        match self.0.get(place as usize) {
            Some(value) => *value,
            None => T::default(),
        }
    }

    #[inline]
    pub(in crate::circuit) fn set(&mut self, place: u32, value: T) {
        if let Some(slot) = self.0.get_mut(place as usize) {
            *slot = value;
        }
    }

    pub(in crate::circuit) fn list(&self) -> &[T] {
        &self.0
    }

    /// Sets every place to `value`.
    pub(in crate::circuit) fn fill(&mut self, value: T) {
        self.0.fill(value);
    }
}

/// As [`Table`], for a few places of many: a place that was never set takes no memory.
#[derive(Debug, Clone, Default)]
pub(super) struct Sparse<T>(FxHashMap<u32, T>);

impl<T: Copy + Default> Sparse<T> {
    #[inline]
    pub(super) fn at(&self, place: u32) -> T {
        self.0.get(&place).copied().unwrap_or_default()
    }

    #[inline]
    pub(super) fn set(&mut self, place: u32, value: T) {
        self.0.insert(place, value);
    }

    /// Sets every place back to the default.
    pub(super) fn clear(&mut self) {
        self.0.clear();
    }
}

impl Table<f64> {
    #[inline]
    pub(in crate::circuit) fn add(&mut self, place: u32, value: f64) {
        if let Some(slot) = self.0.get_mut(place as usize) {
            *slot += value;
        }
    }

    /// Raises the value at `place` to at least `value`.
    #[inline]
    pub(in crate::circuit) fn raise(&mut self, place: u32, value: f64) {
        if let Some(slot) = self.0.get_mut(place as usize)
            && value > *slot
        {
            *slot = value;
        }
    }
}
