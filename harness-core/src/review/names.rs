//! What `at` of a waiver names.

use crate::{finding::Judged, model::Model, suggest::Candidates};
use std::{cell::OnceCell, collections::BTreeSet};

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
pub(super) struct Names {
    all: Vec<String>,
    /// The number of a name and where behind one of its dots an ending of it begins, sorted by the text of the ending.
    endings: OnceCell<Vec<(usize, usize)>>,
    candidates: Option<Candidates>,
}

impl Names {
    /// The names of `model`, and those that findings gave. Cost: one pass, sorted.
    pub(super) fn new(model: &Model, findings: &[Judged]) -> Self {
        let concerned = findings.iter().flat_map(|finding| finding.concerns.iter().cloned());
        let all: BTreeSet<String> = concerned
            .chain(model.devices().map(|(id, _)| model.device_name(id).to_owned()))
            .chain(model.ports().map(|(id, _)| model.port_name(id)))
            .chain(model.looms().map(|(id, _)| model.loom_name(id).to_owned()))
            .chain(model.ends().map(|(id, _)| model.end_name(id)))
            .chain(model.wires().map(|(id, _)| model.wire_name(id)))
            .chain(model.elements().map(|(id, _)| model.element_name(id)))
            .chain(model.points().map(|(id, _)| model.point_name(id)))
            .collect();
        Self { all: all.into_iter().collect(), endings: OnceCell::new(), candidates: None }
    }

    /// A full name leads to its thing, the end of a name (`107` of `front.107`) to the one thing that ends so.
    pub(super) fn find(&mut self, name: &str) -> Named {
        if let Ok(at) = self.all.binary_search_by(|known| known.as_str().cmp(name)) {
            return Named::One(self.name(at).to_owned());
        }
        let endings = self.endings();
        let first = endings.partition_point(|&ending| self.ending(ending) < name);
        let rest = endings.get(first..).unwrap_or_default();
        let mut ends: Vec<&str> = Vec::new();
        // Equal endings are in the order of their names.
        for &ending in rest.iter().take_while(|&&ending| self.ending(ending) == name).take(MOST + 1) {
            ends.push(self.name(ending.0));
        }
        match ends.as_slice() {
            [] => {}
            [only] => return Named::One((*only).to_owned()),
            _ => return Named::Several(ends.into_iter().take(MOST).map(str::to_owned).collect()),
        }
        let all = &self.all;
        let candidates = self.candidates.get_or_insert_with(|| Candidates::new(all.iter().map(String::as_str)));
        let near = candidates.nearest(name).map(str::to_owned);
        Named::Nothing(near.or_else(|| self.moved(name)))
    }

    /// The one thing whose name ends as `name` does behind its first dot: what it is in may have got another name.
    fn moved(&self, name: &str) -> Option<String> {
        let (_, ending) = name.split_once('.')?;
        let endings = self.endings();
        let first = endings.partition_point(|&known| self.ending(known) < ending);
        let rest = endings.get(first..).unwrap_or_default();
        let mut same = rest.iter().take_while(|&&known| self.ending(known) == ending);
        let only = same.next().filter(|_| same.next().is_none())?;
        Some(self.name(only.0).to_owned())
    }

    fn name(&self, number: usize) -> &str {
        self.all.get(number).map_or("", String::as_str)
    }

    fn ending(&self, (number, at): (usize, usize)) -> &str {
        self.name(number).get(at..).unwrap_or("")
    }

    fn endings(&self) -> &[(usize, usize)] {
        self.endings.get_or_init(|| {
            let dots = |name: &str| name.match_indices('.').map(|(at, _)| at + 1).collect::<Vec<_>>();
            let mut endings: Vec<(usize, usize)> = (self.all.iter().enumerate())
                .flat_map(|(number, name)| dots(name).into_iter().map(move |at| (number, at)))
                .collect();
            endings.sort_by(|&a, &b| self.ending(a).cmp(self.ending(b)).then(a.0.cmp(&b.0)));
            endings
        })
    }
}
