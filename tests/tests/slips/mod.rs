//! Slips of the hand, made one by one in sound designs of many trades: the share of each kind that the program reports.
//!
//! The kinds are those that builders report (see `fixtures/cases`), made at every place of a design where they can be made. Which share is
//! owed is in the table of each file, with the reason why the rest may be quiet.

mod devices;
mod fuses;
mod items;
mod netlist;
mod parts;
mod paths;
mod points;
mod slip;
mod wires;

use harness_core::{Report, finding::Level};
use harness_tests::{fixtures, tier::share, words};
use netlist::Netlist;
use slip::{Kind, Owed, Slip};
use std::{
    collections::BTreeSet,
    sync::atomic::{AtomicUsize, Ordering},
    thread,
};

/// The designs, each sound, with how many places of a kind in a row are one case: the largest has hundreds that are alike.
const DESIGNS: [(&str, usize); 9] = [
    ("boat-12v/boat.yaml", 1),
    ("cart-48v/cart.yaml", 1),
    ("motorcycle-96v/motorcycle.yaml", 5),
    ("sound/delivery-van-350v.yaml", 5),
    ("sound/estate-car-12v.yaml", 3),
    ("sound/onboard-charger.yaml", 2),
    ("sound/pump-cabinet.yaml", 2),
    ("terrace-tractor/tractor.yaml", 9),
    ("truck-24v/truck.yaml", 3),
];

/// What the program said of one slip.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Said {
    Nothing,
    Note,
    /// A warning or more, none of which names what was touched.
    Elsewhere,
    Here,
}

fn kinds() -> Vec<Kind> {
    [wires::kinds(), fuses::kinds(), devices::kinds(), parts::kinds(), paths::kinds(), points::kinds()]
        .into_iter()
        .flatten()
        .collect()
}

/// The findings of a report, distinguished by all that they say.
fn sentences(report: &Report) -> BTreeSet<(Level, String)> {
    let sentence = |finding: &harness_core::finding::Judged| {
        let labels: Vec<&str> = finding.labels.iter().map(|label| label.text.as_str()).collect();
        let figures: Vec<String> = finding.figures.iter().map(|figure| format!("{figure:?}")).collect();
        let text = format!(
            "{} {} {} {} {} {:?} {:?}",
            finding.rule,
            finding.headline,
            finding.primary.text,
            labels.join(" "),
            figures.join(" "),
            finding.path,
            finding.concerns
        );
        (finding.level, text)
    };
    report.findings.iter().map(sentence).collect()
}

fn said(before: &BTreeSet<(Level, String)>, report: &Report, slip: &Slip) -> Said {
    let after = sentences(report);
    let new = after.difference(before).map(|(level, text)| {
        if *level <= Level::Note {
            Said::Note
        } else if slip.names.iter().any(|name| !name.is_empty() && text.contains(name.as_str())) {
            Said::Here
        } else {
            Said::Elsewhere
        }
    });
    new.max().unwrap_or(Said::Nothing)
}

/// A slip with what was said of it.
struct Tried {
    kind: usize,
    design: &'static str,
    place: String,
    said: Said,
}

impl Tried {
    fn line(&self) -> String {
        let said = match self.said {
            Said::Nothing => "nothing",
            Said::Note => "a note",
            Said::Elsewhere => "elsewhere",
            Said::Here => "found",
        };
        format!("    {}: {}: {said}", self.design, self.place)
    }
}

/// Makes every slip, or one in so many, on two threads.
fn tried(kinds: &[Kind], one_in: usize) -> Vec<Tried> {
    let mut all = Vec::new();
    let only = std::env::var("HARNESS_SLIPS_IN").unwrap_or_default();
    for (design, alike) in DESIGNS.into_iter().filter(|(design, _)| design.contains(&only)) {
        let sound = Netlist::read(&fixtures().join(design));
        let before = sentences(&sound.report());
        let cases: Vec<(usize, Slip)> = kinds
            .iter()
            .enumerate()
            .flat_map(|(at, kind)| (kind.places)(&sound).into_iter().step_by(one_in * alike).map(move |slip| (at, slip)))
            .collect();
        println!("{design}: {} slips", cases.len());
        let next = AtomicUsize::new(0);
        let work = || {
            let mut mine = Vec::new();
            while let Some((kind, slip)) = cases.get(next.fetch_add(1, Ordering::Relaxed)) {
                let said = said(&before, &slip.made(&sound).report(), slip);
                mine.push(Tried { kind: *kind, design, place: slip.place.clone(), said });
            }
            mine
        };
        let workers = thread::available_parallelism().map_or(1, |count| count.get().min(4));
        thread::scope(|scope| {
            let running: Vec<_> = (0..workers).map(|_| scope.spawn(work)).collect();
            all.extend(running.into_iter().flat_map(|worker| worker.join().expect("a worker")));
        });
    }
    all.sort_by(|one, other| (one.kind, one.design, &one.place).cmp(&(other.kind, other.design, &other.place)));
    all
}

#[test]
fn the_designs_are_sound() {
    for (design, _) in DESIGNS {
        let report = Netlist::read(&fixtures().join(design)).report();
        let loud = report.findings.iter().filter(|finding| finding.level > Level::Note).count();
        assert_eq!(loud, 0, "{design}:\n{}", words(&report));
    }
}

#[test]
fn slips_of_the_hand_are_found() {
    let mut kinds = kinds();
    assert!(kinds.len() >= 40, "{} kinds", kinds.len());
    // Those of one sort alone, for whoever works at them: HARNESS_SLIPS=domain, HARNESS_SLIPS_IN=boat
    if let Ok(part) = std::env::var("HARNESS_SLIPS") {
        kinds.retain(|kind| kind.name.contains(&part));
        assert!(!kinds.is_empty(), "no kind of slip is named `{part}`");
    }
    let one_in = share("slips_of_the_hand_are_found");
    let is_whole = one_in == 1;
    let tried = tried(&kinds, one_in);
    let mut failures = Vec::new();
    for (at, kind) in kinds.iter().enumerate() {
        let of_kind: Vec<&Tried> = tried.iter().filter(|tried| tried.kind == at).collect();
        let count = |least: Said| of_kind.iter().filter(|tried| tried.said >= least).count();
        let (all, here, loud, noted) = (of_kind.len(), count(Said::Here), count(Said::Elsewhere), count(Said::Note));
        println!(
            "{:<48} {all:>4} places: {here:>4} here, {:>3} elsewhere, {:>3} a note, {:>3} nothing",
            kind.name,
            loud - here,
            noted - loud,
            all - noted
        );
        // With `--nocapture`: every place that is quiet, for whoever reads a share.
        for tried in of_kind.iter().filter(|tried| tried.said < Said::Here) {
            println!("{}", tried.line());
        }
        let least = match kind.owed {
            Owed::All | Owed::Share(..) | Owed::Noted(..) => Said::Here,
            Owed::Somewhere(..) => Said::Elsewhere,
            Owed::Note(..) => Said::Note,
        };
        let (found, (percent, why)) = (count(least), kind.owed.share());
        // A share holds of all places; of a part of them only what is owed for each can be asked.
        let kept = if percent == 100 { found == all } else { !is_whole || (found * 100 >= all * percent as usize && found > 0) };
        let is_silent = kind.owed.is_never_silent() && noted < all;
        if (all == 0 && is_whole) || !kept || is_silent {
            let quiet = of_kind.iter().filter(|tried| tried.said < least);
            let quiet: Vec<String> = quiet.map(|tried| tried.line()).collect();
            failures.push(format!("{}: {found} of {all} found, owed {percent} %; {why}\n{}", kind.name, quiet.join("\n")));
        }
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}
