//! What `at` of a waiver names.

use crate::{finding::Finding, model::Model, suggest::nearest};
use std::collections::BTreeSet;

/// Names that a message lists at most.
const MOST: usize = 3;

/// What a name leads to.
pub(super) enum Named {
    /// One thing, by its full name.
    One(String),
    /// Several things end so; some of their full names.
    Several(Vec<String>),
    /// Nothing is called so; the nearest name.
    Nothing(Option<String>),
}

/// Every name of a design that a finding can concern.
pub(super) struct Names(BTreeSet<String>);

impl Names {
    /// The names of `model`, and those that findings gave. Cost: one pass, sorted.
    pub(super) fn new(model: &Model, findings: &[Finding]) -> Self {
        let concerned = findings.iter().flat_map(|finding| finding.concerns.iter().cloned());
        let all = concerned
            .chain(model.devices().map(|(id, _)| model.device_name(id).to_owned()))
            .chain(model.ports().map(|(id, _)| model.port_name(id)))
            .chain(model.looms().map(|(id, _)| model.loom_name(id).to_owned()))
            .chain(model.ends().map(|(id, _)| model.end_name(id)))
            .chain(model.wires().map(|(id, _)| model.wire_name(id)))
            .chain(model.elements().map(|(id, _)| model.element_name(id)))
            .chain(model.points().map(|(id, _)| model.point_name(id)));
        Self(all.collect())
    }

    /// A full name leads to its thing, the end of a name (`107` of `front.107`) to the one thing that ends so.
    pub(super) fn find(&self, name: &str) -> Named {
        if self.0.contains(name) {
            return Named::One(name.to_owned());
        }
        let ending = format!(".{name}");
        let mut ends: Vec<&String> = self.0.iter().filter(|known| known.ends_with(&ending)).take(MOST + 1).collect();
        match ends.as_slice() {
            [] => Named::Nothing(nearest(name, self.0.iter().map(String::as_str)).map(str::to_owned)),
            [only] => Named::One((*only).clone()),
            _ => {
                ends.truncate(MOST);
                Named::Several(ends.into_iter().cloned().collect())
            }
        }
    }
}
