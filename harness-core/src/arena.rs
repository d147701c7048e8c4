//! Lists that are indexed by a typed id: a wire's number finds no device, and a number without a thing is loud.
//!
//! Whoever holds an id got it from the list that it belongs to, so the thing is there. Where it is not, something in this library is
//! broken, and a value made up in its place would be a figure that nobody measured. So an index that is out of bounds panics, and
//! the run says which rule broke off.

use std::{
    fmt,
    marker::PhantomData,
    ops::{Index, IndexMut},
};

/// A typed number of a thing in a list.
pub trait Id: Copy + Ord + fmt::Debug {
    /// The id as an index.
    fn index(self) -> usize;

    /// The id of the thing at `index`.
    ///
    /// The limits on what is read keep every list far below `u32::MAX` things; one that passed it would be loud.
    fn from_index(index: usize) -> Self;
}

/// Things in the order of their ids.
#[derive(Clone, PartialEq, Eq)]
pub struct IdVec<I, T> {
    items: Vec<T>,
    id: PhantomData<fn(I) -> I>,
}

impl<I: Id, T> IdVec<I, T> {
    /// No things yet.
    #[must_use]
    pub const fn new() -> Self {
        Self { items: Vec::new(), id: PhantomData }
    }

    /// As many copies of `item` as `count` says.
    #[must_use]
    pub fn of(item: T, count: usize) -> Self
    where
        T: Clone,
    {
        Self { items: vec![item; count], id: PhantomData }
    }

    /// Adds a thing and hands out its id.
    pub fn push(&mut self, item: T) -> I {
        let id = self.next_id();
        self.items.push(item);
        id
    }

    /// The id that the next thing will have.
    #[inline]
    #[must_use]
    pub fn next_id(&self) -> I {
        I::from_index(self.items.len())
    }

    /// How many things there are.
    #[inline]
    #[must_use]
    pub fn len(&self) -> usize {
        self.items.len()
    }

    /// Whether there are none.
    #[inline]
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.items.is_empty()
    }

    /// The things with their ids, in order.
    #[inline]
    pub fn iter(&self) -> impl ExactSizeIterator<Item = (I, &T)> + DoubleEndedIterator + Clone {
        self.items.iter().enumerate().map(|(index, item)| (I::from_index(index), item))
    }

    /// The things with their ids, in order, to be changed.
    pub fn iter_mut(&mut self) -> impl ExactSizeIterator<Item = (I, &mut T)> + DoubleEndedIterator {
        self.items.iter_mut().enumerate().map(|(index, item)| (I::from_index(index), item))
    }

    /// The ids, in order.
    #[inline]
    pub fn ids(&self) -> impl ExactSizeIterator<Item = I> + DoubleEndedIterator + Clone + use<I, T> {
        (0..self.items.len()).map(I::from_index)
    }

    /// The things alone, in order.
    #[inline]
    #[must_use]
    pub fn items(&self) -> &[T] {
        &self.items
    }

    /// Room for exactly so many things more.
    pub fn reserve_exact(&mut self, more: usize) {
        self.items.reserve_exact(more);
    }
}

impl<I, T> Default for IdVec<I, T> {
    fn default() -> Self {
        Self { items: Vec::new(), id: PhantomData }
    }
}

impl<I: Id, T: fmt::Debug> fmt::Debug for IdVec<I, T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_map().entries(self.iter()).finish()
    }
}

impl<I: Id, T> FromIterator<T> for IdVec<I, T> {
    fn from_iter<A: IntoIterator<Item = T>>(items: A) -> Self {
        Self { items: items.into_iter().collect(), id: PhantomData }
    }
}

impl<I: Id, T> From<Vec<T>> for IdVec<I, T> {
    fn from(items: Vec<T>) -> Self {
        Self { items, id: PhantomData }
    }
}

#[expect(clippy::indexing_slicing, reason = "an id without a thing is a fault of this library and must be loud")]
impl<I: Id, T> Index<I> for IdVec<I, T> {
    type Output = T;

    #[inline]
    #[track_caller]
    fn index(&self, id: I) -> &T {
        &self.items[id.index()]
    }
}

#[expect(clippy::indexing_slicing, reason = "an id without a thing is a fault of this library and must be loud")]
impl<I: Id, T> IndexMut<I> for IdVec<I, T> {
    #[inline]
    #[track_caller]
    fn index_mut(&mut self, id: I) -> &mut T {
        &mut self.items[id.index()]
    }
}

/// Things that were added to a list one after the other, such as the points of a connector.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct IdRange<I> {
    first: usize,
    end: usize,
    id: PhantomData<fn(I) -> I>,
}

impl<I: Id> IdRange<I> {
    /// The ids from `first` up to `end`, which is not among them; empty where `end` is not behind `first`.
    #[must_use]
    pub fn new(first: I, end: I) -> Self {
        Self { first: first.index(), end: end.index(), id: PhantomData }
    }

    /// The ids, in order.
    pub fn iter(self) -> impl ExactSizeIterator<Item = I> + DoubleEndedIterator + Clone {
        (self.first..self.end).map(I::from_index)
    }

    /// The id at `position`, counted from zero; `None` behind the last.
    #[must_use]
    pub fn get(self, position: usize) -> Option<I> {
        (position < self.len()).then(|| I::from_index(self.first + position))
    }

    /// The first id; `None` where there is none.
    #[must_use]
    pub fn first(self) -> Option<I> {
        self.get(0)
    }

    /// How many there are.
    #[must_use]
    pub fn len(self) -> usize {
        self.end.saturating_sub(self.first)
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(self) -> bool {
        self.len() == 0
    }
}

impl<I> Default for IdRange<I> {
    fn default() -> Self {
        Self { first: 0, end: 0, id: PhantomData }
    }
}

impl<I: Id> fmt::Debug for IdRange<I> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_list().entries(self.iter()).finish()
    }
}

/// Defines typed ids.
macro_rules! ids {
    ($($(#[$doc:meta])+ $name:ident;)+) => {$(
        $(#[$doc])+
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub struct $name(pub(crate) u32);

        impl $name {
            /// The id as an index.
            #[inline]
            #[must_use]
            #[allow(dead_code, reason = "ids of one room alone are only used to index its tables")]
            pub fn index(self) -> usize {
                self.0 as usize
            }

            /// The id of the thing at `index`.
            ///
            /// The limits on what is read keep every list far below `u32::MAX` things; one that passed it would be loud.
            #[inline]
            #[must_use]
            #[track_caller]
            pub const fn from_index(index: usize) -> Self {
                assert!(index <= u32::MAX as usize, "more things than ids can number");
                Self(index as u32)
            }
        }

        impl $crate::arena::Id for $name {
            #[inline]
            fn index(self) -> usize {
                self.0 as usize
            }

            #[inline]
            fn from_index(index: usize) -> Self {
                Self::from_index(index)
            }
        }
    )+};
}

pub(crate) use ids;

#[cfg(test)]
mod tests {
    use super::{IdRange, IdVec};

    ids! {
        /// A thing.
        ThingId;
    }

    #[test]
    fn an_id_finds_the_thing_that_it_was_handed_out_for() {
        let mut things: IdVec<ThingId, &str> = IdVec::new();
        let (lamp, horn) = (things.push("lamp"), things.push("horn"));
        assert_eq!((things[lamp], things[horn]), ("lamp", "horn"));
        assert_eq!(things.iter().map(|(id, _)| id).collect::<Vec<_>>(), [lamp, horn]);
    }

    #[test]
    fn a_range_holds_what_was_added_since_it_began() {
        let mut things: IdVec<ThingId, &str> = IdVec::new();
        things.push("lamp");
        let first = things.next_id();
        let (horn, pump) = (things.push("horn"), things.push("pump"));
        let range = IdRange::new(first, things.next_id());
        assert_eq!(range.iter().collect::<Vec<_>>(), [horn, pump]);
        assert_eq!((range.first(), range.get(1), range.get(2), range.len()), (Some(horn), Some(pump), None, 2));
        assert!(IdRange::<ThingId>::default().is_empty());
    }

    #[test]
    #[should_panic(expected = "index out of bounds")]
    fn an_id_of_another_list_is_loud() {
        let things: IdVec<ThingId, &str> = IdVec::new();
        let _ = things[ThingId::from_index(ThingId(3).index())];
    }
}
