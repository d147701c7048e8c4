//! All that is known of one thing: on screen, as JSON.

pub mod json;
pub mod text;
