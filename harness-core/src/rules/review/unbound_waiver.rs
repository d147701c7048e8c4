//! A waiver records what was reviewed, so that it accepts nothing worse.

use crate::{finding::Level, rules::RulePage};

pub(crate) static RULE: RulePage = RulePage {
    name: "review/unbound-waiver",
    level: Level::Note,
    since: "0.1.0",
    finds: "waivers that do not record what was reviewed, and so accept a worse finding too",
    docs: include_str!("unbound_waiver.md"),
};
