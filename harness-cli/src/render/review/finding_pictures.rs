//! The pictures of findings: of each of the first that is severe enough, what it is about, with what it names marked.
//!
//! A finding about a fuse whose operating times are known has its time-current picture; one about connectors leads to their faces; any other the
//! circuit of the first thing that it names and a current runs through. Findings about one circuit share the picture of the first.

use super::{
    Page,
    link::{Kind, Links, href_of_finding},
    pictures,
};
use crate::{
    args::PictureKind,
    render::{
        Entry,
        pictures::gallery::{Plate, plates},
    },
};
use harness_core::{
    Analysis,
    finding::{Judged, Level},
};
use maud::{Markup, html};
use std::collections::BTreeSet;

/// Findings that have a picture.
const MOST: usize = 20;

/// What a finding shows.
#[derive(Debug)]
enum Shown {
    /// The picture of this number.
    Picture(usize),
    /// The faces of these connectors, which are where the connectors are.
    Faces(Vec<String>),
}

/// The pictures of all findings.
#[derive(Debug, Default)]
pub(super) struct FindingPictures {
    plates: Vec<Drawn>,
    /// What each finding shows, by its fingerprint.
    of: Vec<(String, Shown)>,
    /// Findings that name nothing that is drawn.
    undrawn: usize,
    /// Findings that have none because others come first.
    left_out: usize,
}

/// A picture with what is marked in it.
#[derive(Debug)]
struct Drawn {
    plate: Plate,
    marks: BTreeSet<String>,
    /// The finding that it is at.
    owner: String,
}

impl FindingPictures {
    /// Those of `entries`, in their order.
    pub(super) fn of(analysis: &Analysis, links: &Links<'_>, entries: &[Entry<'_>]) -> Self {
        let mut all = Self::default();
        let mut severe: Vec<&Judged> =
            entries.iter().map(|entry| entry.lead).filter(|finding| finding.level >= Level::Warning).collect();
        // As the page has them: a picture that several share is at the first.
        severe.sort_by_key(|finding| std::cmp::Reverse(finding.level));
        for finding in severe {
            if all.of.len() + all.undrawn >= MOST {
                all.left_out += 1;
                continue;
            }
            let is_of_plugs = finding.concerns.first().is_some_and(|name| links.kind(name) == Some(Kind::End));
            let faces: Vec<String> =
                finding.concerns.iter().filter(|name| links.kind(name) == Some(Kind::End)).cloned().collect();
            let fuse = finding.concerns.iter().find(|name| links.kind(name) == Some(Kind::Fuse));
            let of_fuse = fuse.filter(|fuse| finding.rule.starts_with("protection/") || finding.concerns.first() == Some(fuse));
            let drawn = of_fuse
                .and_then(|fuse| plates(analysis, PictureKind::Curves, std::slice::from_ref(fuse)).ok())
                .or_else(|| if is_of_plugs { None } else { circuit(analysis, links, finding) })
                .and_then(|plates| plates.into_iter().next());
            let shown = match drawn {
                Some(plate) => Shown::Picture(all.take(plate, finding)),
                None if !faces.is_empty() => Shown::Faces(faces),
                None => {
                    all.undrawn += 1;
                    continue;
                }
            };
            all.of.push((finding.fingerprint.clone(), shown));
        }
        all
    }

    /// The number of a picture; of one that is there already its own, with the names of this finding marked too.
    fn take(&mut self, plate: Plate, finding: &Judged) -> usize {
        let marks = named(finding);
        let same = |known: &Drawn| same_picture(&known.plate, &plate);
        if let Some(at) = self.plates.iter().position(same) {
            self.plates.get_mut(at).into_iter().for_each(|known| known.marks.extend(marks.iter().cloned()));
            return at;
        }
        self.plates.push(Drawn { plate, marks, owner: finding.fingerprint.clone() });
        self.plates.len() - 1
    }

    /// The picture of the page that shows the same as `plate` at a finding: the finding's fingerprint.
    pub(super) fn has(&self, plate: &Plate) -> Option<&str> {
        self.plates.iter().find(|known| same_picture(&known.plate, plate)).map(|known| known.owner.as_str())
    }

    /// What is said of them before the findings.
    pub(super) fn about(&self) -> Option<String> {
        if self.of.is_empty() && self.left_out == 0 {
            return None;
        }
        let left = match self.left_out {
            0 => String::new(),
            1 => " 1 more has none on the page: `harness draw FILE circuit NAME` draws it.".to_owned(),
            more => format!(" {more} more have none on the page: `harness draw FILE circuit NAME` draws each."),
        };
        let undrawn = match self.undrawn {
            0 => String::new(),
            1 => " 1 of them is about nothing that is drawn.".to_owned(),
            more => format!(" {more} of them are about nothing that is drawn."),
        };
        Some(format!(
            "Findings from a warning on have a picture, the first {MOST} of them; what they name has a double frame in it.{undrawn}{left}"
        ))
    }

    /// The picture of a finding, or where it is.
    pub(super) fn at(&self, page: &Page<'_>, finding: &Judged) -> Markup {
        let shown = self.of.iter().find(|(fingerprint, _)| *fingerprint == finding.fingerprint).map(|(_, shown)| shown);
        html! {
            @match shown {
                Some(Shown::Faces(ends)) => { p { b { "Faces: " } (page.links.names(ends)) } }
                Some(Shown::Picture(at)) => {
                    @if let Some(drawn) = self.plates.get(*at) {
                        @if drawn.owner == finding.fingerprint { (figure(page, drawn)) } @else {
                            p { a href=(format!("#{}", pictures::id_of(&drawn.plate))) { "Picture: " (pictures::word(drawn.plate.kind)) }
                                ", drawn at " a href=(href_of_finding(&drawn.owner)) { "an earlier finding" } "." }
                        }
                    }
                }
                None => {}
            }
        }
    }
}

fn figure(page: &Page<'_>, drawn: &Drawn) -> Markup {
    let keys: BTreeSet<&str> = drawn.plate.drawing.drawn().collect();
    let marked: Vec<String> = drawn.marks.iter().filter(|name| keys.contains(name.as_str())).cloned().collect();
    html! {
        figure id=(page.links.define(Kind::Picture, &pictures::name(&drawn.plate))) data-k="picture" {
            h4 { (super::link::plain(drawn.plate.drawing.title())) }
            p.s {
                (page.links.shown(drawn.plate.drawing.about()))
                @if !marked.is_empty() { ". Framed: " (page.links.names(&marked)) }
            }
            (pictures::marked(page, &drawn.plate.drawing, &|key| drawn.marks.contains(key)))
        }
    }
}

/// The circuit of the first thing that a finding names and a current runs through.
fn circuit(analysis: &Analysis, links: &Links<'_>, finding: &Judged) -> Option<Vec<Plate>> {
    let is_drawn = |name: &&String| match links.kind(name) {
        Some(Kind::Wire | Kind::Fuse | Kind::Element | Kind::Splice | Kind::Contact | Kind::Pin) => true,
        Some(
            Kind::Cable
            | Kind::End
            | Kind::Device
            | Kind::Mode
            | Kind::Net
            | Kind::Rule
            | Kind::Finding
            | Kind::Picture
            | Kind::Line,
        ) => false,
        None => false,
    };
    let mut names = finding.concerns.iter().filter(is_drawn);
    // A point that nothing is joined to has a picture of nothing.
    let is_whole = |plates: &Vec<Plate>| plates.iter().any(|plate| plate.drawing.drawn().next().is_some());
    names.find_map(|name| plates(analysis, PictureKind::Circuit, std::slice::from_ref(name)).ok().filter(is_whole))
}

/// What a finding names: what it concerns, and what is between backticks in its headline.
fn named(finding: &Judged) -> BTreeSet<String> {
    let quoted = finding.headline.split('`').skip(1).step_by(2).map(|name| name.split_once(' ').map_or(name, |(_, name)| name));
    finding.concerns.iter().cloned().chain(quoted.map(str::to_owned)).collect()
}

/// Whether two pictures show the same: by name, or as everything in them is the same.
fn same_picture(one: &Plate, other: &Plate) -> bool {
    let keys = |plate: &Plate| plate.drawing.drawn().map(str::to_owned).collect::<BTreeSet<_>>();
    one.kind == other.kind && (one.name == other.name || (one.kind == PictureKind::Circuit && keys(one) == keys(other)))
}
