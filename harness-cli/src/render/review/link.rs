//! Where things are on the page: the one owner of ids and of links to them.
//!
//! An id is made of the kind of a thing and its name, never of a number, so that a link to it holds in the page of the next revision too.

use super::{LARGE, people};
use crate::render::{Checked, kit::printable};
use harness_core::{
    Analysis,
    inspect::{Names, Thing},
    internals::model::{EndId, Model, PointKind},
    source::{FileId, Span},
};
use maud::{Markup, html};
use std::{
    borrow::Cow,
    cell::RefCell,
    collections::{BTreeMap, BTreeSet},
};

/// What an id belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Kind {
    Wire,
    Cable,
    Fuse,
    Element,
    Splice,
    /// A connector of a loom.
    End,
    /// A cavity, ring or bare end.
    Contact,
    /// A pin, stud or inner node of a device.
    Pin,
    Device,
    Mode,
    Net,
    Rule,
    Finding,
    Picture,
    /// A line of a file.
    Line,
}

impl Kind {
    const fn prefix(self) -> &'static str {
        match self {
            Self::Wire => "w",
            Self::Cable => "k",
            Self::Fuse => "f",
            Self::Element => "e",
            Self::Splice => "s",
            Self::End => "x",
            Self::Contact => "c",
            Self::Pin => "p",
            Self::Device => "d",
            Self::Mode => "m",
            Self::Net => "n",
            Self::Rule => "r",
            Self::Finding => "i",
            Self::Picture => "g",
            Self::Line => "L",
        }
    }
}

/// The id of a thing: letters, digits, `.` and `-` as they are, every other byte as `~xx`.
pub(super) fn id(kind: Kind, name: &str) -> String {
    let mut id = format!("{}-", kind.prefix());
    for byte in name.bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'.' | b'-' => id.push(byte as char),
            other => id.push_str(&format!("~{other:02x}")),
        }
    }
    id
}

/// The link to a finding, by its fingerprint.
pub(super) fn href_of_finding(fingerprint: &str) -> String {
    format!("#{}", id(Kind::Finding, fingerprint))
}

/// The links of one page.
#[derive(Debug)]
pub(super) struct Links<'a> {
    checked: &'a Checked,
    /// What each name leads to; of several things the first kind.
    targets: BTreeMap<String, (Kind, String)>,
    /// The ids that have their element.
    defined: RefCell<BTreeSet<String>>,
    /// The lines of files that something leads to.
    lines: RefCell<BTreeSet<(FileId, usize)>>,
}

impl<'a> Links<'a> {
    /// The links to all things of a design; where connectors are one line each, cavities lead to theirs. Cost: a pass over its names.
    pub(super) fn new(analysis: &Analysis, checked: &'a Checked) -> Self {
        let model = analysis.model();
        let names = Names::new(model);
        let is_fitted = |end: EndId| model[model[end].loom].fitted;
        let ends: BTreeSet<EndId> = names
            .all()
            .filter_map(|(_, thing)| match thing {
                Thing::Pair(end) if is_fitted(end) => Some(end),
                _ => None,
            })
            .collect();
        let is_large = are_many(model);
        let mut targets: BTreeMap<String, (Kind, String)> = BTreeMap::new();
        let mut put = |name: &str, kind: Kind, of: String| match targets.get(name) {
            Some((known, _)) if *known <= kind => {}
            _ => drop(targets.insert(name.to_owned(), (kind, of))),
        };
        for (name, thing) in names.all() {
            let end = match thing {
                Thing::Pair(end) => Some(end),
                Thing::Point(point) => match model[point].kind {
                    PointKind::Cavity(end) | PointKind::Ring(end) => Some(end),
                    _ => None,
                },
                _ => None,
            };
            // Connectors of a loom that is not in this build have no place on the page.
            if end.is_some_and(|end| !is_fitted(end)) {
                continue;
            }
            match (thing, end) {
                (Thing::Point(point), None) if is_large && model.device_at(point).is_some() => {}
                (Thing::Point(_), Some(end)) if ends.len() > LARGE && ends.contains(&end) => {
                    put(name, Kind::End, model.end_name(end))
                }
                _ => put(name, kind(thing, thing.kind(model)), thing.name(model)),
            }
            let device = match thing {
                Thing::Point(point) => model.device_at(point),
                _ => None,
            };
            // Where devices are one line each, their pins are in it.
            if let Some(device) = device.filter(|_| is_large) {
                put(name, Kind::Device, model.device_name(device).to_owned());
            }
            if let Some(device) = device {
                put(model.device_name(device), Kind::Device, model.device_name(device).to_owned());
            }
        }
        for mode in analysis.design().mode_names() {
            put(mode, Kind::Mode, mode.to_owned());
        }
        Self { checked, targets, defined: RefCell::default(), lines: RefCell::default() }
    }

    /// The id for the element of a thing: made once, and made different where another element has it.
    pub(super) fn define(&self, kind: Kind, name: &str) -> String {
        let mut own = id(kind, name);
        while !self.defined.borrow_mut().insert(own.clone()) {
            own.push('~');
        }
        own
    }

    /// What kind of thing a name leads to.
    pub(super) fn kind(&self, name: &str) -> Option<Kind> {
        self.targets.get(name).map(|(kind, _)| *kind)
    }

    /// Whether a name leads somewhere.
    pub(super) fn href(&self, name: &str) -> Option<String> {
        self.targets.get(name).map(|(kind, name)| format!("#{}", id(*kind, name)))
    }

    /// A name as a link to its thing.
    pub(super) fn name(&self, name: &str) -> Markup {
        match self.href(name) {
            Some(href) => html! { a href=(href) { (plain(name)) } },
            None => html! { (plain(name)) },
        }
    }

    /// A name as a link, unless it is that of a contact: a way, or a net, has one at either end of each wire.
    pub(super) fn step(&self, name: &str) -> Markup {
        match self.targets.get(name) {
            Some((Kind::Contact | Kind::Pin, _)) | None => html! { (plain(name)) },
            Some(_) => self.name(name),
        }
    }

    /// A name that leads to a thing of a kind.
    pub(super) fn of_kind(&self, kind: Kind, name: &str) -> Markup {
        self.called(kind, name, name)
    }

    /// The same, called something shorter where what it belongs to is plain.
    pub(super) fn called(&self, kind: Kind, name: &str, short: &str) -> Markup {
        html! { a href=(format!("#{}", id(kind, name))) { (plain(short)) } }
    }

    /// Names as links, set apart by commas.
    pub(super) fn names<'b>(&self, names: impl IntoIterator<Item = &'b String>) -> Markup {
        html! { @for (at, name) in names.into_iter().enumerate() { @if at > 0 { ", " } (self.name(name)) } }
    }

    /// The first names of a list as links, and how many more there are.
    pub(super) fn first(&self, names: &[String], most: usize) -> Markup {
        let shown = crate::phrase::fitting(names.len(), most);
        html! { (self.names(names.iter().take(shown))) @if names.len() > shown { " and " (names.len() - shown) " more" } }
    }

    /// Names along a way as a chain of links; `wire front.107` leads to the wire.
    pub(super) fn chain(&self, names: &[String]) -> Markup {
        html! {
            @for (at, name) in names.iter().enumerate() {
                @if at > 0 { " \u{203a} " }
                @match self.worded(name) {
                    Some((word, of)) => { (plain(word)) " " (self.name(of)) }
                    None => (self.step(name)),
                }
            }
        }
    }

    /// The way of a current: its two ends, and of what is between them the things. The contacts between are those of the wires.
    pub(super) fn way(&self, names: &[String]) -> Markup {
        self.steps(&self.kept(names))
    }

    /// The names of a way that are written.
    pub(super) fn kept<'n>(&self, names: &'n [String]) -> Vec<&'n String> {
        let last = names.len().saturating_sub(1);
        let is_contact = |name: &String| matches!(self.targets.get(name), Some((Kind::Contact | Kind::Pin, _)));
        let kept = names.iter().enumerate().filter(|(at, name)| *at == 0 || *at == last || !is_contact(name));
        // Two studs of one box are one step.
        let mut kept: Vec<&String> = kept.map(|(_, name)| name).collect();
        kept.dedup();
        kept
    }

    /// Steps of a way, one behind the other.
    pub(super) fn steps(&self, kept: &[&String]) -> Markup {
        html! {
            @for (at, name) in kept.iter().enumerate() {
                @if at > 0 { " \u{203a} " }
                @match self.worded(name) { Some((_, of)) => (self.name(of)), None => (self.step(name)) }
            }
        }
    }

    /// The kind and the name of `wire front.107`.
    fn worded<'b>(&self, name: &'b str) -> Option<(&'b str, &'b str)> {
        let (word, of) = name.split_once(' ')?;
        (self.targets.contains_key(of) && !self.targets.contains_key(name)).then_some((word, of))
    }

    /// Running text: names between backticks as links, units as people write them.
    pub(super) fn shown(&self, text: &str) -> Markup {
        self.text(text, |name| self.targets.contains_key(name))
    }

    /// The same in the block of `own`: neither itself nor contacts, pins and modes are links there.
    pub(super) fn brief(&self, text: &str, own: &str) -> Markup {
        self.text(text, |name| {
            let quiet = matches!(self.targets.get(name), None | Some((Kind::Contact | Kind::Pin | Kind::Mode, _)));
            !quiet && name != own
        })
    }

    fn text(&self, text: &str, leads: impl Fn(&str) -> bool) -> Markup {
        let is_paired = text.matches('`').count().is_multiple_of(2);
        html! {
            @for (at, piece) in text.split('`').enumerate() {
                @if at % 2 == 1 && is_paired {
                    @match self.worded(piece) {
                        Some((word, of)) => { (plain(word)) " " (self.name(of)) }
                        None if leads(piece) => (self.name(piece)),
                        None if self.targets.contains_key(piece) => (plain(piece)),
                        None => { code { (plain(piece)) } }
                    }
                } @else {
                    @if at > 0 && !is_paired { "`" }
                    (plain(&people(piece)))
                }
            }
        }
    }

    /// A place as `file:line:column`, a link to that line. The file as the design calls it, never as somebody's disk does.
    pub(super) fn place(&self, span: Span) -> Markup {
        match self.checked.report.sources.file(span.file) {
            Some(file) => {
                let (line, column) = file.line_column(span.start);
                self.lines.borrow_mut().insert((span.file, line));
                html! { a href=(format!("#{}", line_id(file.name(), line))) { (plain(file.name())) ":" (line) ":" (column) } }
            }
            None => html! { (plain(&self.checked.root)) },
        }
    }

    /// Whether some place of the page leads to a line.
    pub(super) fn is_led_to(&self, file: FileId, line: usize) -> bool {
        self.lines.borrow().contains(&(file, line))
    }

    /// The same as text; of a design in one file the line alone.
    pub(super) fn place_words(&self, span: Span) -> String {
        let sources = &self.checked.report.sources;
        let Some(file) = sources.file(span.file) else { return String::new() };
        let (line, _) = file.line_column(span.start);
        if sources.files().nth(1).is_some() { format!("{}:{line}", file.name()) } else { line.to_string() }
    }
}

/// Whether the devices that have pins are so many that each is one line.
pub(super) fn are_many(model: &Model) -> bool {
    let devices: BTreeSet<_> = model.points().filter_map(|(point, _)| model.device_at(point)).collect();
    devices.len() > LARGE
}

/// Text of a design made harmless: what can't be seen, or turns a line around, is shown by its code.
pub(super) fn plain(text: &str) -> Cow<'_, str> {
    printable(text)
}

/// The id of a line of a file.
pub(super) fn line_id(file: &str, line: usize) -> String {
    format!("{}-{line}", id(Kind::Line, file))
}

/// Where a thing is on the page.
pub(super) fn kind(thing: Thing, word: &str) -> Kind {
    match thing {
        Thing::Wire(_) => Kind::Wire,
        Thing::Cable(_) => Kind::Cable,
        Thing::Element(_) if word == "fuse" => Kind::Fuse,
        Thing::Element(_) => Kind::Element,
        Thing::Pair(_) => Kind::End,
        Thing::Point(_) => match word {
            "splice" => Kind::Splice,
            "cavity" | "ring terminal" | "bare end" => Kind::Contact,
            _ => Kind::Pin,
        },
    }
}

#[cfg(test)]
mod tests {
    use super::{Kind, id, line_id};

    #[test]
    fn an_id_is_made_of_kind_and_name_and_two_names_never_share_one() {
        assert_eq!(id(Kind::Wire, "front.107"), "w-front.107");
        assert_eq!(id(Kind::Contact, "front.P1.a b"), "c-front.P1.a~20b");
        assert_eq!(id(Kind::Element, "a~20b"), "e-a~7e20b");
        assert_eq!(id(Kind::Fuse, "\"><script>"), "f-~22~3e~3cscript~3e");
        assert_eq!(id(Kind::Splice, "é"), "s-~c3~a9");
        assert_eq!(line_id("looms/front.yaml", 7), "L-looms~2ffront.yaml-7");
    }
}
