//! Who is joined to whom in each mode.

use super::Facts;
use crate::{
    electrical::{ModeState, connectivity::Connectivity},
    model::ModeId,
};
use rustc_hash::FxHashMap;

/// The views of all modes.
pub(super) type Views = FxHashMap<ModeId, Connectivity>;

impl Facts {
    /// Who is joined to whom in one of the modes that were computed.
    ///
    /// Cost: a few passes over the edges for each mode, once for all who ask. Asked for whatever has or lacks a supply.
    #[must_use]
    pub fn joined_in(&self, mode: &ModeState) -> &Connectivity {
        let views = self.made.views.get_or_init(|| {
            let modes = self.electrical().modes();
            modes.map(|mode| (mode.id, Connectivity::new(self.network(), Some(mode)))).collect()
        });
        &views[&mode.id]
    }
}
