//! The review: a whole design as one page that opens in any browser, prints, and needs no network.
//!
//! Everything is written as HTML, a file a section; the script adds finding, filtering, sorting and exploring to what is there already. Ids and links are
//! made in `link` alone, tables in `list`, margins in `margin`. No file is named but as the design names it.

mod bench;
mod changed;
mod checked;
mod conductors;
mod connectors;
mod devices;
mod faults;
mod finding_pictures;
mod findings;
mod fuses;
mod interlock;
mod link;
mod list;
mod live;
mod margin;
mod modes;
mod nets;
mod parts;
mod pictures;
mod rules;
mod script;
mod source;
mod sources;
mod style;
mod swaps;
mod terse;
mod things;
mod verdict;
mod waivers;
mod ways;

pub(crate) use pictures::KINDS;

use super::{
    Checked,
    diff::Compared,
    kit::{
        caution::CAUTION,
        html as whole,
        markup::{warning_shape, warning_sign},
    },
    pictures::gallery::Plate,
};
use finding_pictures::FindingPictures;
use harness_core::{
    Analysis, Date,
    bench::Bench,
    diff::rework::Rework,
    inspect::{
        ConductorLoad, FitRow, Lists, Live, Loads, Swaps, Tracer,
        single_faults::{SingleFaults, UnpluggedRow},
    },
    views::chain::Loop,
};
use link::{Links, plain};
use maud::{Markup, PreEscaped, html};
use sources::Sources;
use std::collections::BTreeMap;

/// Tables of more rows are written as lines.
const LARGE: usize = 400;

/// Sections that are printed only if the reader ticks them: half of the sheets, for looking things up.
const SCREEN: [&str; 2] = ["things", "netlist"];

/// What the page shows, as it was computed.
#[derive(Debug)]
pub(crate) struct Review<'a> {
    pub analysis: &'a Analysis,
    pub checked: &'a Checked,
    pub lists: &'a Lists,
    pub loads: &'a Loads,
    pub live: &'a Live,
    pub swaps: &'a Swaps,
    pub matrix: &'a [FitRow],
    /// The interlock loops.
    pub loops: &'a [Loop],
    pub faults: &'a SingleFaults,
    /// What follows if a connector is opened; of a large design none was tried.
    pub unplugged: &'a [UnpluggedRow],
    /// Why not every single fault was tried, in a sentence; `None` if every one was.
    pub faults_left_out: Option<String>,
    pub plates: &'a [Plate],
    /// Pictures that are not on the page, and why, in a sentence each.
    pub plates_left_out: &'a [String],
    /// What the figures don't hold, because the file could not be read whole.
    pub mistakes: Option<String>,
    /// What changed since an older revision, with the steps at the bench.
    pub changed: Option<(&'a Compared, &'a Rework)>,
    /// The day on which waivers were judged.
    pub today: Date,
}

/// A section of the page.
struct Section {
    id: &'static str,
    /// Its heading.
    title: &'static str,
    body: Markup,
}

/// What the sections share.
struct Page<'a> {
    review: &'a Review<'a>,
    links: Links<'a>,
    tracer: Tracer<'a>,
    sources: Sources,
    bench: Bench<'a>,
    pictured: FindingPictures,
    /// The loads of conductors by name.
    conductors: BTreeMap<&'a str, &'a ConductorLoad>,
    /// Design, revision and fingerprint in one line.
    identity: String,
}

/// The page.
#[must_use]
pub(crate) fn page(review: &Review<'_>) -> String {
    let bench = Bench::of(review.analysis);
    let identity = bench.identity();
    let (design, revision) = (&identity.design, &identity.revision);
    let named = if design.is_empty() { "a design without a name".to_owned() } else { design.clone() };
    let revised = if revision.is_empty() { "no revision given".to_owned() } else { format!("revision {revision}") };
    let links = Links::new(review.analysis, review.checked);
    let pictured = FindingPictures::of(review.analysis, &links, &findings::entries(review.checked));
    let page = Page {
        review,
        links,
        pictured,
        sources: Sources::of(review.loads),
        tracer: Tracer::new(review.analysis, &review.checked.report.findings),
        bench,
        conductors: review.loads.conductors.iter().map(|row| (row.name.as_str(), row)).collect(),
        identity: format!("{named}, {revised}, files {}", identity.fingerprint),
    };
    let sections: Vec<Section> = changed::section(&page)
        .into_iter()
        .chain([
            findings::section(&page),
            modes::section(&page),
            fuses::section(&page),
            conductors::section(&page),
            connectors::section(&page),
            pictures::section(&page),
            live::section(&page),
            interlock::section(&page),
            swaps::section(&page),
            faults::section(&page),
            parts::section(&page),
            things::section(&page),
            nets::section(&page),
            waivers::section(&page),
            checked::section(&page),
            source::section(&page),
            bench::section(&page),
            rules::section(&page),
        ])
        .collect();
    let made = format!("harness {}", env!("CARGO_PKG_VERSION"));
    let body = html! {
        a.skip href="#main" { "to the findings" }
        header {
            @if identity.has_class_b { svg.defs width="0" height="0" aria-hidden="true" { g #ws { (warning_shape()) } } }
            div.who {
                h1 { "Review of " (plain(&named)) }
                p.id {
                    (plain(&revised)) " · files " (identity.fingerprint) " · waivers judged on " (review.today) " · " (made)
                }
            }
            div #find.find role="search" hidden {
                label for="q" { "Find a name, a place or a word " kbd { "/" } }
                input #q type="search" autocomplete="off" spellcheck="false" aria-controls="found" aria-describedby="count";
                p #count role="status" {}
                div #found hidden {}
            }
        }
        (verdict::verdict(&page, identity.has_class_b))
        nav aria-label="sections" {
            ul {
                li { a href="#verdict" { "Verdict" } }
                @for section in &sections { li { a href=(format!("#{}", section.id)) { (section.title) } } }
                li { a href="#cautions" { "Cautions" } }
            }
        }
        main #main {
            @for section in &sections {
                section id=(section.id) aria-labelledby=(format!("{}-h", section.id)) {
                    h2 id=(format!("{}-h", section.id)) { (section.title) }
                    label.paper { input type="checkbox" checked[!SCREEN.contains(&section.id)]; span { "on paper" } }
                    (section.body)
                }
            }
            section #cautions aria-labelledby="cautions-h" {
                h2 #cautions-h { "Cautions" }
                @if identity.has_class_b { p.b { (warning_sign()) " " (CAUTION[1]) } }
                @for line in CAUTION { p { (line) } }
            }
        }
    };
    let title = html! { "Review of " (plain(&named)) };
    let page = whole::page(&title, style::STYLE, Some(script::SCRIPT), &body);
    terse::terse(&page.into_string())
}

/// The sign of electricity, which the page draws once.
fn live_sign() -> Markup {
    html! { svg.ws viewBox="0 0 24 22" role="img" aria-label="warning: electricity" { (PreEscaped("<use href=\"#ws\"/>")) } }
}

/// Units as people write them, where the design and messages write `mm2`, `degC`, `ohm`.
fn people(text: &str) -> String {
    const UNITS: [(&str, &str); 5] = [("mm2", "mm²"), ("degC", "°C"), ("mohm", "mΩ"), ("kohm", "kΩ"), (" ohm", " Ω")];
    let mut shown = text.to_owned();
    for (written, said) in UNITS {
        if shown.contains(written) {
            shown = shown.replace(written, said);
        }
    }
    shown
}

/// The same with a capital at its beginning.
fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::people;

    #[test]
    fn units_are_written_as_people_write_them() {
        assert_eq!(people("2.5 mm2 at 105 degC, 3 mohm, 10 ohm"), "2.5 mm² at 105 °C, 3 mΩ, 10 Ω");
    }
}
