//! All that is known of one thing: on screen, as JSON, and the time-current picture of a fuse.

pub mod json;
pub mod picture;
pub mod text;
