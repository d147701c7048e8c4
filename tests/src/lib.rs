//! Shared helpers of the whole-program tests.
