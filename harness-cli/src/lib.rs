//! The program `harness` as a library, so that tests can drive it.
