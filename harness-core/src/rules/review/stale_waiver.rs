//! A waiver holds for what it was written for, or it is reported.

use crate::{finding::Level, rules::RulePage};

pub(crate) static RULE: RulePage = RulePage {
    name: "review/stale-waiver",
    level: Level::Warning,
    since: "0.1.0",
    finds: "a waiver that has expired, accepts nothing, or lacks what it needs to be applied",
    docs: include_str!("stale_waiver.md"),
};
