//! A table by a key that no list numbers, indexed as loudly as such a list.

use rustc_hash::FxHashMap;
use std::{
    hash::Hash,
    ops::{Index, IndexMut},
};

/// Things by a key. Whoever indexes it put the thing there before; without it something in this library is broken.
#[derive(Debug, Clone)]
pub(super) struct Lookup<K, T>(pub(super) FxHashMap<K, T>);

impl<K, T> Default for Lookup<K, T> {
    fn default() -> Self {
        Self(FxHashMap::default())
    }
}

impl<K: Eq + Hash, T> FromIterator<(K, T)> for Lookup<K, T> {
    fn from_iter<I: IntoIterator<Item = (K, T)>>(entries: I) -> Self {
        Self(entries.into_iter().collect())
    }
}

#[expect(clippy::indexing_slicing, reason = "a key without a thing is a fault of this library and must be loud")]
impl<K: Eq + Hash, T> Index<K> for Lookup<K, T> {
    type Output = T;

    #[track_caller]
    fn index(&self, key: K) -> &T {
        &self.0[&key]
    }
}

#[expect(clippy::expect_used, reason = "a key without a thing is a fault of this library and must be loud")]
impl<K: Eq + Hash, T> IndexMut<K> for Lookup<K, T> {
    #[track_caller]
    fn index_mut(&mut self, key: K) -> &mut T {
        self.0.get_mut(&key).expect("a thing under its key")
    }
}
