//! The papers of the bench: one file a paper turns typed tables into a [`Paper`](super::kit::paper::Paper), which each format lays out.
pub mod diagnosis;
