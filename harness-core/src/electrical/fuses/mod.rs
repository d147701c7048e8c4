//! What is known of each fuse, how it is loaded, and which fuse sees what.

pub mod fuse;
pub(super) mod load;
pub mod protection;

pub use load::{FuseLoad, ambient_of};
pub use protection::Protection;
