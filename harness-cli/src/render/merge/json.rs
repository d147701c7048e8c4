//! What collides between two branches as JSON, as structs. `collisions.schema.json` describes the same for readers.

use super::text::Branches;
use crate::render::kit::document;
use crate::render::{
    diff::json::{RevisionJson, name},
    kit::caution::CAUTION,
};
use harness_core::diff::{Collision, Grade};
use serde::Serialize;
use std::io::{self, Write};

/// The version of the JSON: raised when a reader of the one before would misread it.
pub const VERSION: u32 = 1;

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(crate) struct BranchesJson<'a> {
    version: u32,
    base: RevisionJson<'a>,
    ours: RevisionJson<'a>,
    theirs: RevisionJson<'a>,
    edits: EditsJson,
    found: FoundJson,
    collisions: Vec<CollisionJson<'a>>,
    not_compared: Vec<String>,
    caution: &'a [&'a str],
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct EditsJson {
    ours: usize,
    theirs: usize,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct FoundJson {
    certain: usize,
    look: usize,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct CollisionJson<'a> {
    grade: &'static str,
    concerns: Vec<ThingJson<'a>>,
    headline: &'a str,
    ours: &'a [String],
    theirs: &'a [String],
    help: &'a str,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct ThingJson<'a> {
    of: &'static str,
    name: &'a str,
}

impl<'a> From<&'a Collision> for CollisionJson<'a> {
    fn from(collision: &'a Collision) -> Self {
        Self {
            grade: collision.grade.word(),
            concerns: collision.concerns.iter().map(|key| ThingJson { of: key.kind.noun(), name: name(key) }).collect(),
            headline: &collision.headline,
            ours: &collision.ours,
            theirs: &collision.theirs,
            help: &collision.help,
        }
    }
}

/// Writes what collides.
///
/// # Errors
/// If `out` can't be written.
pub fn write(branches: &Branches, out: &mut dyn Write) -> io::Result<()> {
    let value = BranchesJson {
        version: VERSION,
        base: RevisionJson::from(&branches.base),
        ours: RevisionJson::from(&branches.ours),
        theirs: RevisionJson::from(&branches.theirs),
        edits: EditsJson { ours: branches.ours_made, theirs: branches.theirs_made },
        found: FoundJson { certain: branches.count(Grade::Certain), look: branches.count(Grade::Look) },
        collisions: branches.collisions.iter().map(CollisionJson::from).collect(),
        not_compared: branches.unread(),
        caution: &CAUTION,
    };
    document(&value, out)
}
