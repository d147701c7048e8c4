//! Library results against numbers printed elsewhere: standards, regulations, datasheets and worked examples.

#![expect(clippy::unwrap_used, reason = "a missing value fails the test that asked for it")]

mod published;
