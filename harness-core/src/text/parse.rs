//! The way from a file's text to its tree, past every fault on it.
//!
//! The library stops at the first fault. Reading then goes on at the next line that continues a list or map which was
//! open at that point, so that a slip in one wire costs that wire and not the loom. Each stretch is read once, so the
//! cost is that of the text plus at most [`MAX_FAULTS`] stretches that a fault ran through.

use super::{
    FileId, Kind, Names, NodeId, Problem, ProblemKind, Sources, Tree,
    build::Builder,
    events::{Event, Events, Stop, YamlError},
    explain::explain,
    lines,
    resume::{self, Next},
};

/// Faults of the grammar after which reading of a file is given up.
pub const MAX_FAULTS: usize = 20;

/// What was read from one file.
#[derive(Debug)]
pub struct Parsed {
    /// All nodes.
    pub tree: Tree,
    /// The top of the file; `None` if nothing could be read.
    pub root: Option<NodeId>,
    /// Everything that is wrong with the text, in the order of the text.
    pub problems: Vec<Problem>,
}

/// Reads the text of `file` into a tree; its texts go to `names`.
///
/// Never fails: faults come as problems beside a tree of all that could be read, and what they may have cut off says
/// so by [`Tree::is_incomplete`]. A file that is unknown or was refused gives an empty tree without problems.
#[must_use]
pub fn parse(sources: &Sources, file: FileId, names: &mut Names) -> Parsed {
    let Some(source) = sources.file(file).filter(|source| !source.is_refused()) else {
        return Parsed { tree: Tree::new(file), root: None, problems: Vec::new() };
    };
    let text = source.text();
    let mut builder = Builder::new(text, file, names);
    let clean = read(&mut builder);
    while !builder.frames.is_empty() {
        builder.close(None);
    }
    let root = builder.root();
    if let Some(root) = root.filter(|_| builder.lost_at_top) {
        builder.tree.mark_incomplete(root);
    }
    let Builder { mut tree, mut problems, .. } = builder;
    if root.is_none() && clean {
        problems.push(empty(file));
    }
    problems.sort_by_key(|problem| (problem.span, problem.kind));
    tree.finish();
    Parsed { tree, root, problems }
}

/// Reads stretch after stretch; whether the text held no fault of the grammar.
fn read(builder: &mut Builder<'_>) -> bool {
    let text = builder.text;
    let length = text.len() as u32;
    let (mut start, mut end) = (0, length);
    let mut faults = 0;
    let mut last_fault = None;
    loop {
        builder.begin(start);
        let (from, lost) = match stretch(builder, start, end) {
            Ended::Document => return faults == 0,
            Ended::Clean if end >= length => return faults == 0,
            Ended::Clean => (end, None),
            Ended::YamlError(stop) => {
                let again = last_fault == Some(stop.at);
                if !again {
                    let problem = explain(builder, &stop);
                    builder.problems.push(problem);
                    faults += 1;
                }
                last_fault = Some(stop.at);
                let broken = if again { stop.at } else { broken_from(builder, &stop) };
                (lines::next_line(text, broken.max(start)), Some(stop))
            }
        };
        if faults >= MAX_FAULTS {
            give_up(builder, from);
            return false;
        }
        let next = resume::resume(text, from, &builder.frames);
        let resumed = match next {
            Some(Next::Line { start, .. } | Next::Document { start }) => start,
            None => length,
        };
        if lost.is_none() && lost_line(builder, from, resumed) {
            faults += 1;
        }
        if let Some(stop) = &lost {
            cut(builder, stop, resumed);
        }
        match next {
            None => return faults == 0,
            Some(Next::Document { start }) => {
                let behind = lines::next_content(text, lines::next_line(text, start));
                if behind < length && text.get(start as usize..).is_some_and(|rest| rest.starts_with("---")) {
                    extra_document(builder, start, start + 3);
                }
                return faults == 0;
            }
            Some(Next::Line { start: line, frame }) => {
                let keep = frame.map_or(0, |frame| frame + 1);
                while builder.frames.len() > keep {
                    if lost.is_some()
                        && let Some(frame) = builder.frames.last()
                    {
                        builder.tree.mark_incomplete(frame.node);
                    }
                    builder.close(None);
                }
                start = line;
                end = match builder.frames.last() {
                    Some(frame) => {
                        if lost.is_some() {
                            builder.tree.mark_incomplete(frame.node);
                        }
                        resume::stretch_end(text, line, frame.column, frame.map)
                    }
                    None => {
                        builder.lost_at_top |= lost.is_some();
                        length
                    }
                };
                builder.even_out();
            }
        }
    }
}

enum Ended {
    Clean,
    /// A second document began; it was reported.
    Document,
    YamlError(Stop),
}

fn stretch(builder: &mut Builder<'_>, start: u32, end: u32) -> Ended {
    let text = builder.text;
    let Some(part) = text.get(start as usize..end as usize) else { return Ended::Clean };
    let mut documents = 0;
    for item in Events::new(part, start) {
        let item = match item {
            Ok(item) => item,
            Err(stop) => return Ended::YamlError(stop),
        };
        if matches!(item.event, Event::Document) {
            documents += 1;
            if documents > 1 {
                extra_document(builder, item.start, item.end);
                return Ended::Document;
            }
            continue;
        }
        if let Err(stop) = builder.feed(item) {
            return Ended::YamlError(stop);
        }
    }
    Ended::Clean
}

/// Where the entry begins that could not be read; reading can go on with the line after it.
fn broken_from(builder: &Builder<'_>, stop: &Stop) -> u32 {
    if let Some(frame) = builder.frames.iter().find(|frame| frame.flow) {
        return frame.start;
    }
    // A text over several lines that ends in a colon: all but its first line was meant as something else.
    if let Some(node) = builder.last_scalar {
        let span = builder.tree.span(node);
        if span.end == stop.at && lines::start_of_line(builder.text, stop.at) > span.start {
            return span.start;
        }
    }
    lines::next_content(builder.text, builder.last_end).min(stop.at.max(builder.last_end))
}

/// Takes back what was read from beyond the line at which reading goes on, and marks what a fault cut off.
fn cut(builder: &mut Builder<'_>, stop: &Stop, resumed: u32) {
    builder.drop_children_from(resumed);
    if let Some(node) = builder.last_scalar {
        let span = builder.tree.span(node);
        let ran_on =
            span.end > resumed || (span.end == stop.at && matches!(stop.fault, YamlError::SecondColon | YamlError::NoColon));
        let written = builder.slice(span.start, span.end);
        if ran_on
            && matches!(builder.tree.kind(node), Kind::Scalar { plain: true, .. })
            && let Some(first) = written.lines().next().filter(|first| first.len() < written.len())
        {
            let first = first.trim_end();
            let name = builder.names.intern(first);
            builder.tree.set_scalar(node, span.start + first.len() as u32, name);
            // On a line of its own it was meant as an entry, behind a key it is a sound value.
            let before = builder.slice(lines::start_of_line(builder.text, span.start), span.start);
            if before.trim_start_matches(['-', ' ']).is_empty() {
                builder.tree.mark_incomplete(node);
            }
        }
    }
    // What closed last may have lost its tail: the fault is where it could have gone on.
    let mut node = builder.pending.last().copied();
    while let Some(tail) = node {
        node = match builder.tree.kind(tail) {
            Kind::Map => builder.tree.entries(tail).last().map(|(_, value)| value),
            Kind::List => builder.tree.items(tail).last(),
            _ => None,
        };
        if matches!(builder.tree.kind(tail), Kind::Map | Kind::List) {
            builder.tree.mark_incomplete(tail);
        }
    }
    if resumed as usize >= builder.text.len() {
        for frame in &builder.frames {
            builder.tree.mark_incomplete(frame.node);
        }
    }
}

/// Reports the first line that is between two stretches and continues nothing.
fn lost_line(builder: &mut Builder<'_>, from: u32, to: u32) -> bool {
    let at = lines::next_content(builder.text, from);
    if at >= to {
        return false;
    }
    let problem = explain(builder, &Stop { at, fault: YamlError::Indentation });
    builder.problems.push(problem);
    for frame in &builder.frames {
        builder.tree.mark_incomplete(frame.node);
    }
    true
}

fn give_up(builder: &mut Builder<'_>, from: u32) {
    let at = from.min(builder.text.len() as u32);
    let span = builder.span(at, at);
    builder.problems.push(
        Problem::new(ProblemKind::Limit, span, format!("reading stopped after {MAX_FAULTS} faults of the YAML grammar"))
            .label("nothing from here on was read")
            .help("fix the faults reported above this place and check again"),
    );
    for frame in &builder.frames {
        builder.tree.mark_incomplete(frame.node);
    }
}

fn extra_document(builder: &mut Builder<'_>, start: u32, end: u32) {
    let span = builder.span(start, end);
    let what = builder.slice(start, end);
    let headline = if what == "---" {
        "`---` begins a second document in the file, and only the first is read".to_owned()
    } else {
        "text after `...` is a second document in the file, and only the first is read".to_owned()
    };
    builder.problems.push(
        Problem::new(ProblemKind::ExtraDocument, span, headline).label("not read from here on").help(
            "delete the line between the two, or move the second document to a file of its own and name it under `include`",
        ),
    );
}

fn empty(file: FileId) -> Problem {
    Problem::new(ProblemKind::EmptyFile, super::Span::new(file, 0, 0), "the file holds no design")
        .label("only blanks and comments, or nothing at all")
        .help(
            "write at least `format: 1`, `design: NAME`, `devices:` with one device and `looms:` with one loom; \
             a file for `include` needs `format: 1` and its parts",
        )
}
