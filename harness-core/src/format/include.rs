//! Which file includes which: the graph that is walked while a design is read.
//!
//! Owns the paths of includes, that each file is read once, and the circles among them. Leaves reading to `read`.

use super::{
    limits::{FILES, grouped},
    reader::clip,
    rules,
};
use crate::{
    finding::Finding,
    text::{Names, Span, Text},
};
use rustc_hash::FxHashMap;
use std::collections::VecDeque;

/// A file that is to be read, and where it was first asked for.
#[derive(Debug, Clone)]
pub(super) struct Asked {
    number: usize,
    /// Its path, relative to the caller's root.
    pub(super) path: String,
    /// The include that names it; `None` for the design's own file.
    pub(super) at: Option<Span>,
}

/// The files of a design, each by its number in the order in which they were asked for.
#[derive(Debug, Default)]
pub(super) struct Includes {
    /// What each file includes, as written, with the number of the file that it leads to.
    edges: Vec<Vec<(usize, Text)>>,
    numbers: FxHashMap<String, usize>,
    waiting: VecDeque<Asked>,
}

impl Includes {
    /// The graph that begins with the file `root`.
    pub(super) fn new(root: &str) -> Self {
        let first = Asked { number: 0, path: root.to_owned(), at: None };
        Self { edges: vec![Vec::new()], numbers: [(root.to_owned(), 0)].into_iter().collect(), waiting: [first].into() }
    }

    /// The next file to read: those of one file in the order written, before those that they include themselves.
    pub(super) fn next(&mut self) -> Option<Asked> {
        self.waiting.pop_front()
    }

    /// Queues what `include` of `from` names, unless it leads out of the project or was asked for already.
    pub(super) fn ask(&mut self, from: &Asked, include: &Text, names: &Names) -> Result<(), Box<Finding>> {
        let written = names.text(include.value);
        let Some(path) = join(&from.path, written) else {
            return Err(Box::new(leads_out(written, include.span)));
        };
        let number = match self.numbers.get(&path) {
            Some(number) => *number,
            None => self.add(path, include.span)?,
        };
        if let Some(edges) = self.edges.get_mut(from.number) {
            edges.push((number, *include));
        }
        Ok(())
    }

    fn add(&mut self, path: String, at: Span) -> Result<usize, Box<Finding>> {
        let number = self.edges.len();
        if number >= FILES.most {
            let finding = FILES.exceeded(at, format!("the design has more than {} files", grouped(FILES.most)));
            return Err(Box::new(finding));
        }
        self.numbers.insert(path.clone(), number);
        self.edges.push(Vec::new());
        self.waiting.push_back(Asked { number, path, at: Some(at) });
        Ok(number)
    }

    /// The includes that lead back to a file they are reached from, found by walking down from the root once.
    pub(super) fn circles(&self) -> Vec<Text> {
        let mut circles = Vec::new();
        let mut open = vec![false; self.edges.len()];
        let mut seen = open.clone();
        let mut walk: Vec<(usize, usize)> = vec![(0, 0)];
        while let Some((file, next)) = walk.last_mut() {
            let (file, edge) = (*file, *next);
            *next += 1;
            if let (Some(open), Some(seen)) = (open.get_mut(file), seen.get_mut(file)) {
                (*open, *seen) = (true, true);
            }
            match self.edges.get(file).and_then(|edges| edges.get(edge)) {
                Some((to, text)) if open.get(*to) == Some(&true) => circles.push(*text),
                Some((to, _)) if seen.get(*to) == Some(&false) => walk.push((*to, 0)),
                Some(_) => {}
                None => {
                    if let Some(open) = open.get_mut(file) {
                        *open = false;
                    }
                    walk.pop();
                }
            }
        }
        circles
    }
}

/// What is said of an include that leads back to a file it is reached from.
pub(super) fn circle(include: &Text, names: &Names) -> Finding {
    rules::INCLUDE
        .finding(include.span, format!("the include `{}` leads back to a file that includes it", clip(names.text(include.value))))
        .label("a circle")
        .help("take it out: each file is read once")
}

fn leads_out(written: &str, span: Span) -> Finding {
    rules::INCLUDE
        .finding(span, format!("the include `{}` leads out of the project", clip(written)))
        .label("above the folder of the design")
        .help("keep included files in the folder of the design or below it")
}

/// Joins `include` to the folder of `from`; `None` if it leads above the root or is absolute.
fn join(from: &str, include: &str) -> Option<String> {
    let include = include.replace('\\', "/");
    if include.starts_with('/') || include.contains(':') {
        return None;
    }
    let folder = from.rsplit_once('/').map_or("", |(folder, _)| folder);
    let mut parts: Vec<&str> = folder.split('/').filter(|part| !part.is_empty()).collect();
    for part in include.split('/') {
        match part {
            "" | "." => {}
            ".." => {
                parts.pop()?;
            }
            _ => parts.push(part),
        }
    }
    Some(parts.join("/"))
}

#[cfg(test)]
mod tests {
    use super::join;

    #[test]
    fn includes_stay_below_the_folder_of_the_design() {
        assert_eq!(join("tractor.yaml", "parts/a.yaml").as_deref(), Some("parts/a.yaml"));
        assert_eq!(join("looms/front.yaml", "../parts/a.yaml").as_deref(), Some("parts/a.yaml"));
        assert_eq!(join("looms/front.yaml", "./b.yaml").as_deref(), Some("looms/b.yaml"));
        assert_eq!(join("tractor.yaml", "../a.yaml"), None);
        assert_eq!(join("tractor.yaml", "/a.yaml"), None);
        assert_eq!(join("tractor.yaml", "c:\\a.yaml"), None);
    }
}
