//! In which modes contacts may be closed, and what gives and takes may be on.

use super::Facts;
use crate::electrical::alternatives::possible::Possible;

impl Facts {
    /// In which modes each edge may be closed or on.
    ///
    /// Cost: a pass over the edges for each mode. Asked by [`supplies`](Self::supplies), where what feeds a conductor adds up.
    #[must_use]
    pub fn possible(&self) -> &Possible {
        self.made.possible.get_or_init(|| self.electrical().possible())
    }
}
