//! Slips of the hand, made one by one in sound designs of many trades: the share of each kind that the program reports.
//!
//! The kinds are those that builders report (see `fixtures/cases`), made at every place of a design where they can be made. Which share is
//! owed is in the table of each file, with the reason why the rest may be quiet.

mod asked;
mod buses;
mod charging;
mod devices;
mod further;
mod fuses;
mod inputs;
mod items;
mod keys;
mod mains;
mod moved;
mod netlist;
mod parts;
mod paths;
mod points;
mod routes;
mod safety;
mod screens;
mod slip;
mod wires;

use asked::{Order, said_of};
use harness_core::{
    Report,
    finding::{Judged, Level},
};
use harness_tests::{corpus::side_by_side, fixtures, tier::share, words};
use netlist::Netlist;
use slip::{Kind, Owed, Slip};
use std::collections::BTreeSet;

/// The designs that the shares of the kinds were set for, each sound, with how many places of a kind in a row are one case: the largest has
/// hundreds that are alike.
const DESIGNS: [(&str, usize); 3] =
    [("boat-12v/boat.yaml", 1), ("cart-48v/cart.yaml", 1), ("written-out/terrace-tractor/tractor.yaml", 9)];

/// Further designs, of other trades: mains, class B with its interlock, 24 V with an equaliser, a car, a truck with a combined inlet. What is owed otherwise there is in `further`.
const FURTHER: [(&str, usize); 7] = [
    ("hut-truck/truck.yaml", 9),
    ("motorcycle-96v/motorcycle.yaml", 5),
    ("sound/delivery-van-350v.yaml", 5),
    ("sound/estate-car-12v.yaml", 3),
    ("sound/onboard-charger.yaml", 2),
    ("sound/pump-cabinet.yaml", 2),
    ("truck-24v/truck.yaml", 3),
];

/// Places of a kind in one design up to which each is a case of its own.
const FEW: usize = 12;

fn designs() -> impl Iterator<Item = (&'static str, usize)> {
    DESIGNS.into_iter().chain(FURTHER)
}

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
    [
        buses::kinds(),
        charging::kinds(),
        wires::kinds(),
        fuses::kinds(),
        inputs::kinds(),
        devices::kinds(),
        parts::kinds(),
        paths::kinds(),
        points::kinds(),
        mains::kinds(),
        moved::kinds(),
        safety::kinds(),
        routes::kinds(),
        keys::kinds(),
        screens::kinds(),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// A finding with all that it says.
fn sentence(finding: &Judged) -> (Level, String) {
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
}

/// The findings of a report, distinguished by all that they say.
fn sentences(report: &Report) -> BTreeSet<(Level, String)> {
    report.findings.iter().map(sentence).collect()
}

fn said(before: &BTreeSet<(Level, String)>, report: &Report, slip: &Slip) -> Said {
    said_in(before, &sentences(report), slip)
}

/// What the findings `after` a slip say of it that those `before` did not.
fn said_in(before: &BTreeSet<(Level, String)>, after: &BTreeSet<(Level, String)>, slip: &Slip) -> Said {
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

/// A design as it is, and what is said of it.
struct Sound {
    path: &'static str,
    netlist: Netlist,
    before: BTreeSet<(Level, String)>,
}

/// The slips of one kind in the designs in which it can be made: in all of them, or at one place in one of so many.
fn cases(sound: &[Sound], (at, kind): (usize, &Kind), one_in: usize) -> Vec<(usize, (usize, Slip))> {
    let made = sound.iter().enumerate().map(|(number, design)| (number, (kind.places)(&design.netlist)));
    let made: Vec<(usize, Vec<Slip>)> = made.filter(|(_, places)| !places.is_empty()).collect();
    let (some, first) = (made.len().div_ceil(one_in), at % made.len().max(1));
    // Each kind begins with another design.
    let order = (first..made.len()).chain(0..first).take(some).collect::<BTreeSet<usize>>();
    let picked = made.into_iter().enumerate().filter(|(number, _)| order.contains(number));
    let slips = picked.flat_map(|(_, (number, places))| {
        let alike = designs().find(|(path, _)| *path == sound[number].path).map_or(1, |(_, alike)| alike);
        let step = match (one_in, places.len()) {
            // What can be made at few places has none to spare.
            (1, all) if all <= FEW => 1,
            (1, _) => alike,
            (_, all) => all,
        };
        places.into_iter().step_by(step).map(move |slip| (number, (at, slip)))
    });
    slips.collect()
}

/// Makes every slip, or some of each kind, on two threads.
fn tried(kinds: &[Kind], one_in: usize) -> Vec<Tried> {
    let only = std::env::var("HARNESS_SLIPS_IN").unwrap_or_default();
    let asked: Vec<&'static str> = designs().map(|(path, _)| path).filter(|path| path.contains(&only)).collect();
    let sound = side_by_side(&asked, |path| {
        let netlist = Netlist::read(&fixtures().join(path));
        Sound { path, before: sentences(&netlist.report()), netlist }
    });
    let mut cases: Vec<(usize, (usize, Slip))> = kinds.iter().enumerate().flat_map(|kind| cases(&sound, kind, one_in)).collect();
    // Those of one design one after the other: rules that find slips there are asked first.
    cases.sort_by_key(|(design, (kind, _))| (*design, *kind));
    println!("{} slips in {} designs", cases.len(), sound.len());
    let order = Order::default();
    let mut all = side_by_side(&cases, |(design, case)| {
        let Sound { path, netlist, before } = &sound[*design];
        Tried { kind: case.0, design: path, place: case.1.place.clone(), said: said_of(before, netlist, case, &order) }
    });
    all.sort_by(|one, other| (one.kind, one.design, &one.place).cmp(&(other.kind, other.design, &other.place)));
    all
}

#[test]
fn the_designs_are_sound() {
    for (design, _) in designs() {
        let report = Netlist::read(&fixtures().join(design)).report();
        let loud = report.findings.iter().filter(|finding| finding.level > Level::Note).count();
        assert_eq!(loud, 0, "{design}:\n{}", words(&report));
    }
}

#[test]
fn slips_of_the_hand_are_found() {
    let mut kinds = kinds();
    let mut is_part = false;
    assert!(kinds.len() >= 40, "{} kinds", kinds.len());
    // Those of one sort alone, for whoever works at them: HARNESS_SLIPS=domain, HARNESS_SLIPS_IN=boat
    if let Ok(part) = std::env::var("HARNESS_SLIPS") {
        is_part = true;
        kinds.retain(|kind| kind.name.contains(&part));
        assert!(!kinds.is_empty(), "no kind of slip is named `{part}`");
    }
    let one_in = share("slips_of_the_hand_are_found");
    let is_whole = one_in == 1;
    let tried = tried(&kinds, one_in);
    let names: Vec<&str> = kinds.iter().map(|kind| kind.name).collect();
    assert!(is_part || further::unknown(&names).is_empty(), "{:?}", further::unknown(&names));
    let mut failures = Vec::new();
    for (at, kind) in kinds.iter().enumerate() {
        let of_kind = || tried.iter().filter(move |tried| tried.kind == at);
        if is_whole && of_kind().next().is_none() {
            failures.push(format!("{}: it can be made nowhere", kind.name));
        }
        let is_further = |tried: &&Tried| FURTHER.iter().any(|(design, _)| *design == tried.design);
        let (further, usual): (Vec<&Tried>, Vec<&Tried>) = of_kind().partition(is_further);
        let groups = [("", usual, kind.owed), (", further", further, further::owed(kind.name, kind.owed))];
        failures.extend(
            groups
                .into_iter()
                .filter_map(|(which, group, owed)| failure(&format!("{}{which}", kind.name), &group, owed, is_whole)),
        );
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}

/// What is wrong with what was said of the slips of one kind, if anything is.
fn failure(name: &str, tried: &[&Tried], owed: Owed, is_whole: bool) -> Option<String> {
    let count = |least: Said| tried.iter().filter(|tried| tried.said >= least).count();
    let (all, here, loud, noted) = (tried.len(), count(Said::Here), count(Said::Elsewhere), count(Said::Note));
    println!(
        "{name:<58} {all:>4} places: {here:>4} here, {:>3} elsewhere, {:>3} a note, {:>3} nothing",
        loud - here,
        noted - loud,
        all - noted
    );
    // With `--nocapture`: every place that is quiet, for whoever reads a share.
    for tried in tried.iter().filter(|tried| tried.said < Said::Here) {
        println!("{}", tried.line());
    }
    let least = match owed {
        Owed::All | Owed::Share(..) | Owed::Noted(..) => Said::Here,
        Owed::Somewhere(..) => Said::Elsewhere,
        Owed::Note(..) => Said::Note,
    };
    let (found, (percent, why)) = (count(least), owed.share());
    // A share holds of all places; of a part of them only what is owed for each can be asked.
    let is_share_kept = found * 100 >= all * percent as usize && (found > 0 || all == 0);
    let kept = if percent == 100 { found == all } else { !is_whole || is_share_kept };
    let is_silent = owed.is_never_silent() && noted < all;
    (!kept || is_silent).then(|| {
        let quiet: Vec<String> = tried.iter().filter(|tried| tried.said < least).map(|tried| tried.line()).collect();
        format!("{name}: {found} of {all} found, owed {percent} %; {why}\n{}", quiet.join("\n"))
    })
}
