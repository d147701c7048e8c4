//! Which fuse sees what (in the making).

use crate::{model::Model, network::Network};

/// Which fuse sees what.
#[derive(Debug, Default)]
pub struct Protection {}

/// Finds it.
#[must_use]
pub fn protection(_model: &Model, _network: &Network) -> Protection {
    Protection {}
}
