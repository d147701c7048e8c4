//! Remedies: each that was tried is made in the text here and the design checked anew, by means of this file alone.

use harness_core::{
    Checker, FileError, Files, MemoryFiles, Report, check,
    finding::{Edit, Judged, Level, Offer, RemedyKind},
};
use harness_tests::{
    corpus::{Folder, Text, checked_texts, files, place, side_by_side, texts},
    tier, words,
};
use std::{collections::BTreeMap, sync::OnceLock};

/// The files of a design that a report read, with the edits of an offer made.
fn edited(report: &Report, offer: &Offer) -> BTreeMap<String, String> {
    let mut all: BTreeMap<String, String> =
        report.sources.files().map(|(_, file)| (file.name().to_owned(), file.text().to_owned())).collect();
    let mut edits = offer.remedy.edits.clone();
    edits.sort();
    // From the end on, so that the places before stay where they are.
    for edit in edits.iter().rev() {
        let name = report.sources.file(edit.span.file).expect("an edit is in a file that was read").name();
        let text = all.get_mut(name).expect("a file of the report");
        text.replace_range(edit.span.start as usize..edit.span.end as usize, &edit.text);
    }
    all
}

/// Texts as files; what a design includes and nobody read stays on disk.
struct Texts(BTreeMap<String, String>);

impl Files for Texts {
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
        self.0.get(name).map(|text| text.clone().into_bytes()).ok_or(FileError::Missing)
    }
}

/// How many findings of each rule and things there are, and how severe the worst is. Notes do not count.
fn census(report: &Report) -> BTreeMap<String, (usize, Level)> {
    let mut census: BTreeMap<String, (usize, Level)> = BTreeMap::new();
    for finding in report.findings.iter().filter(|finding| finding.level > Level::Note) {
        let (count, worst) = census.entry(finding.identity()).or_insert((0, finding.level));
        *count += 1;
        *worst = finding.level.max(*worst);
    }
    census
}

fn comments(texts: &BTreeMap<String, String>) -> Vec<&str> {
    let lines = texts.values().flat_map(|text| text.lines());
    lines.filter_map(|line| line.find(" #").or(line.starts_with('#').then_some(0)).map(|at| &line[at..])).collect()
}

/// The names of an identity, and its rule.
fn parts(identity: &str) -> (&str, Vec<&str>) {
    let mut words = identity.split(' ');
    (words.next().unwrap_or_default(), words.collect())
}

/// Whether a finding of the same rule was there that concerned the same things and more.
fn was_larger(before: &BTreeMap<String, (usize, Level)>, identity: &str, worst: Level) -> bool {
    let (rule, names) = parts(identity);
    let holds = |known: &str| parts(known).0 == rule && names.iter().all(|name| parts(known).1.contains(name));
    before.iter().any(|(known, (_, level))| worst <= *level && holds(known))
}

/// The fuses that a check of a text offers for a fuse which can't break its short.
fn fuses_offered(text: &str) -> Vec<String> {
    let report = check(&MemoryFiles::one("press.yaml", text), "press.yaml", &Checker::new().try_remedies());
    let of_rule = report.findings.iter().filter(|finding| finding.rule == "protection/breaking-capacity");
    of_rule.filter_map(|finding| finding.offer.as_ref()).map(|offer| offer.remedy.words.clone()).collect()
}

/// A blade and a bolted strip of one rating have no holder in common.
#[test]
fn a_fuse_of_another_body_is_not_offered() {
    let text = include_str!("../../../fixtures/rules/protection/breaking-capacity.yaml");
    assert_eq!(fuses_offered(text), ["fit `blade-own` (30 A) for `fuse-box.F1`"]);
    let bolted = text.replacen("blade-own: { standard: ISO 8820-3, type: C", "blade-own: { standard: ISO 8820-5, type: SF 51", 1);
    assert_ne!(bolted, text);
    assert_eq!(fuses_offered(&bolted), Vec::<String>::new());
    let unknown = text.replacen("blade-own: { standard: ISO 8820-3, type: C", "blade-own: { standard: ISO 8820-3", 1);
    assert_eq!(fuses_offered(&unknown), Vec::<String>::new(), "nothing says that it fits");
}

/// Makes every remedy of a report that was tried, one at a time; gives how many there were.
fn make_all(name: &str, root: &str, report: &Report) -> usize {
    let before = census(report);
    let unchanged: BTreeMap<String, String> =
        report.sources.files().map(|(_, file)| (file.name().to_owned(), file.text().to_owned())).collect();
    let mut made = 0;
    for finding in &report.findings {
        let Some(offer) = finding.offer.as_ref().filter(|offer| offer.tried) else { continue };
        let texts = edited(report, offer);
        assert_eq!(comments(&texts), comments(&unchanged), "{name}: {}: a comment was changed", offer.remedy.words);
        let after = check(&Texts(texts), root, &Checker::new());
        let shown = || format!("{name}: {}\n{}: {}\n{}", finding.headline, finding.rule, offer.remedy.words, words(&after));
        let same = |other: &&Judged| other.identity() == finding.identity() && other.headline == finding.headline;
        assert!(!after.findings.iter().any(|other| same(&other)), "it is still there: {}", shown());
        for (identity, (count, worst)) in census(&after) {
            let known = before.get(&identity);
            let was_known = known.is_some_and(|(before, level)| count <= *before && worst <= *level);
            let is_less = known.is_none() && was_larger(&before, &identity, worst);
            // On a wrong port nothing was said of what a plug fits where it belongs.
            let (rule, names) = parts(&identity);
            let was_hidden = finding.rule == "mating/wrong-port" && rule == "mating/swapped-mating";
            let was_hidden = was_hidden && finding.concerns.iter().any(|name| names.contains(&name.as_str()));
            // The other line of the pair is swapped as well and has a finding of its own: both remedies together leave the pair twisted.
            let was_hidden = was_hidden || (finding.rule == "netlist/signal-mismatch" && rule == "bus/untwisted-pair");
            assert!(was_known || is_less || was_hidden, "{identity} came: {}", shown());
        }
        made += 1;
    }
    made
}

/// Some netlists with what is found in them and the remedies that were tried, once for all tests that ask for them.
fn tried() -> &'static [(&'static Text, Report)] {
    static TRIED: OnceLock<Vec<(&Text, Report)>> = OnceLock::new();
    TRIED.get_or_init(|| {
        let texts = tier::sample("every_remedy_that_was_tried_removes_its_finding_and_adds_none", texts());
        let checker = Checker::new().try_remedies();
        let files = |text: &Text| MemoryFiles::one("design.yaml", text.netlist.as_str());
        let reports = side_by_side(&texts, |text| check(&files(text), "design.yaml", &checker));
        texts.into_iter().zip(reports).collect()
    })
}

#[test]
fn every_remedy_that_was_tried_removes_its_finding_and_adds_none() {
    let checker = Checker::new().try_remedies();
    let alone = tried().iter().map(|(text, report)| (&text.name, "design.yaml", report));
    let mut cases: Vec<(String, Report, String)> = Vec::new();
    let included = files().into_iter().filter(|(_, text)| text.lines().any(|line| line.starts_with("include:")));
    for (path, _) in included {
        let (folder, root): (Folder, String) = place(&path);
        cases.push((path.display().to_string(), check(&folder, &root, &checker), root));
    }
    let included = cases.iter().map(|(name, report, root)| (name, root.as_str(), report));
    let cases: Vec<(&String, &str, &Report)> = alone.chain(included).collect();
    let made: usize = side_by_side(&cases, |(name, root, report)| make_all(name, root, report)).into_iter().sum();
    assert!(made >= cases.len() / 8, "only {made} remedies in {} designs", cases.len());
}

fn offers(netlist: &str) -> Vec<(&'static str, Option<Offer>)> {
    let report = check(&MemoryFiles::one("design.yaml", netlist), "design.yaml", &Checker::new().try_remedies());
    make_all("design", "design.yaml", &report);
    let of = report.findings.iter().filter(|finding| finding.level > Level::Note);
    of.map(|finding| (finding.rule, finding.offer.clone())).collect()
}

/// The words of the one remedy that a design gets, and whether a program may write it.
fn only(netlist: &str) -> (String, bool) {
    let mut offers: Vec<Offer> = offers(netlist).into_iter().filter_map(|(_, offer)| offer).collect();
    assert_eq!(offers.len(), 1, "{offers:?}");
    let offer = offers.remove(0);
    (offer.remedy.words.clone(), offer.is_safe())
}

/// Two boxes with three pins each; `wires` join them.
fn boxes(one: &str, other: &str, wires: &str) -> String {
    format!(
        "format: 1\ndesign: Plough\ndomains: {{ aux: {{ nominal: 12 V, max: 15 V, reference: chassis }} }}\n\
         parts:\n  housings:\n    pins: {{ family: QL, positions: 4, contacts: pin, voltage: 60 V }}\n    \
         sockets: {{ family: QL, positions: 4, contacts: socket, voltage: 60 V }}\n  \
         terminals: {{ t: {{ family: QL, size: 0.35 mm2 .. 2.5 mm2, max-wires: 1 }} }}\n\
         devices:\n  panel: {{ ports: {{ J1: {{ housing: pins, pins: {{ {one} }} }} }} }}\n  \
         unit: {{ ports: {{ J1: {{ housing: pins, pins: {{ {other} }} }} }} }}\n\
         looms:\n  main:\n    ends:\n      P1: {{ housing: sockets, mates: panel.J1, terminal: t }}\n      \
         P2: {{ housing: sockets, mates: unit.J1, terminal: t }}\n    wires:\n{wires}"
    )
}

fn wire(number: usize, from: &str, to: &str) -> String {
    format!("      {number}: {{ from: {from}, to: {to}, size: 0.5 mm2, colour: BK, length: 1 m }} # wire {number}\n")
}

const ONE: &str = "1: { signal: lamp }, 2: { signal: horn }, 3: { signal: wiper }";

#[test]
fn two_wires_in_each_others_cavities_are_swapped_whichever_way_they_are_written() {
    for (first, second) in
        [(("P1.1", "P2.2"), ("P1.2", "P2.1")), (("P2.1", "P1.2"), ("P1.1", "P2.2")), (("P1.1", "'P2.2'"), ("P1.2", "P2.1"))]
    {
        let wires = wire(1, first.0, first.1) + &wire(2, second.0, second.1) + &wire(3, "P1.3", "P2.3");
        let (words, safe) = only(&boxes(ONE, ONE, &wires));
        assert!(words.starts_with("swap wires `main.") && safe, "{words}");
    }
}

#[test]
fn three_wires_in_a_ring_trade_places() {
    let wires = wire(1, "P1.1", "P2.2") + &wire(2, "P1.2", "P2.3") + &wire(3, "P1.3", "P2.1");
    let (words, safe) = only(&boxes(ONE, ONE, &wires));
    assert!(words.starts_with("move `main.") && safe, "{words}");
}

#[test]
fn a_wire_goes_to_the_free_cavity_of_its_signal_and_to_no_other() {
    // The second wire of cavity 1 belongs to 2, which is free; 4 is free too and has no signal.
    let wires = wire(1, "P1.1", "P2.1") + &wire(2, "P1.2", "P2.1") + &wire(3, "P1.3", "P2.3");
    let found = offers(&boxes(ONE, ONE, &wires));
    let words: Vec<String> = found.iter().filter_map(|(_, offer)| Some(offer.as_ref()?.remedy.words.clone())).collect();
    assert!(words.iter().any(|words| words == "move wire `main.2` from `main.P2.1` to `main.P2.2`"), "{found:#?}");
    // The free cavity is the wiper's: nothing is offered to a wire of the horn.
    let other = "1: { signal: lamp }, 2: { signal: wiper }, 3: { signal: fan }";
    let found =
        offers(&boxes("1: { signal: lamp }, 2: { signal: horn }", other, &(wire(1, "P1.1", "P2.1") + &wire(2, "P1.2", "P2.1"))));
    assert!(found.iter().any(|(rule, _)| *rule == "netlist/crowded-cavity"), "{found:#?}");
    assert!(found.iter().all(|(_, offer)| offer.is_none()), "{found:#?}");
}

#[test]
fn different_signals_are_never_spliced() {
    let splice = |signal: &str| {
        let panel = format!("1: {{ signal: lamp }}, 2: {{ signal: {signal} }}, 3: {{ signal: lamp }}");
        let wires = wire(1, "P1.1", "S1") + &wire(2, "S1", "P2.1") + &wire(3, "P1.2", "P2.1") + &wire(4, "P1.3", "S1");
        boxes(&panel, "1: { signal: lamp }", &wires).replace("    wires:\n", "    splices: { S1: {} }\n    wires:\n")
    };
    let (words, safe) = only(&splice("lamp"));
    assert_eq!((words.as_str(), safe), ("move wire `main.3` from `main.P2.1` to `main.S1`", false));
    let found = offers(&splice("horn"));
    assert!(found.iter().any(|(rule, _)| *rule == "netlist/crowded-cavity"), "{found:#?}");
    assert!(found.iter().all(|(_, offer)| offer.is_none()), "{found:#?}");
}

#[test]
fn names_keys_and_words_are_corrected_where_that_leaves_nothing() {
    let sound = boxes(ONE, ONE, &(wire(1, "P1.1", "P2.1") + &wire(2, "P1.2", "P2.2") + &wire(3, "P1.3", "P2.3")));
    assert_eq!(offers(&sound), []);
    for (word, slip) in [
        ("mates: unit.J1", "mates: uint.J1"),
        ("colour: BK", "color: BK"),
        ("housing: sockets, mates: panel", "housing: socket, mates: panel"),
        ("contacts: pin,", "contacts: pn,"),
        ("devices:", "device:"),
    ] {
        let slipped = sound.replacen(word, slip, 1);
        assert_ne!(slipped, sound, "{word}");
        let found = offers(&slipped);
        let (rule, offer) = found.first().unwrap_or_else(|| panic!("{slip} is not found"));
        assert!(rule.starts_with("format/"), "{slip}: {rule}");
        assert!(offer.as_ref().is_some_and(Offer::is_safe), "{slip}: {found:#?}");
    }
}

#[test]
fn what_shares_nothing_is_tried_together_and_all_of_it() {
    let mut wires = String::new();
    for number in 0..40 {
        wires.push_str(&wire(number, "P1.1", "P2.1").replace("colour", "color"));
    }
    let netlist = boxes(ONE, ONE, &wires);
    let report = check(&MemoryFiles::one("design.yaml", netlist), "design.yaml", &Checker::new().try_remedies());
    let slips: Vec<&Judged> = report.findings.iter().filter(|finding| finding.rule == "format/unknown-key").collect();
    assert!(slips.len() == 40 && report.untried == 0, "{} {}", slips.len(), report.untried);
    assert!(slips.iter().all(|finding| finding.offer.as_ref().is_some_and(Offer::is_safe)), "{}", words(&report));
}

#[test]
fn what_was_not_tried_is_counted_and_never_safe() {
    for (text, report) in tried() {
        let offered: Vec<&Offer> = report.findings.iter().filter_map(|finding| finding.offer.as_ref()).collect();
        assert_eq!(offered.iter().filter(|offer| !offer.tried).count(), report.untried, "{}", text.name);
        assert!(offered.iter().all(|offer| offer.tried || !offer.is_safe()), "{}", text.name);
    }
}

#[test]
fn what_one_swap_removes_is_one_cause_led_by_the_most_severe() {
    let mut mixed = 0;
    for (text, checked) in checked_texts() {
        let report = &checked.report;
        for cause in &report.causes {
            let members = &report.findings[cause.findings.clone()];
            assert!(members.is_sorted_by(|one, next| one.level >= next.level), "{}", text.name);
            mixed += usize::from(members.iter().any(|member| member.rule != members[0].rule));
        }
        let swap = |finding: &Judged| {
            let remedy = finding.remedies.first().filter(|remedy| remedy.kind == RemedyKind::Swap)?;
            let mut edits = remedy.edits.clone();
            edits.sort();
            Some(edits)
        };
        let cause_of = |number: usize| report.causes.iter().position(|cause| cause.findings.contains(&number));
        let mut known: BTreeMap<Vec<Edit>, usize> = BTreeMap::new();
        for (number, finding) in report.findings.iter().enumerate() {
            let (Some(edits), Some(cause)) = (swap(finding), cause_of(number)) else { continue };
            assert_eq!(*known.entry(edits).or_insert(cause), cause, "{}: {}", text.name, finding.headline);
        }
    }
    assert!(mixed >= 2, "{mixed} causes of several rules");
}

#[test]
fn no_size_is_offered_that_a_terminal_or_a_housing_does_not_take() {
    let name = "fuse-over-conductor/no-larger-size-fits.yaml";
    let narrow = texts().iter().find(|text| text.name.ends_with(name)).expect("the fixture is there");
    assert!(offers(&narrow.netlist).iter().all(|(_, offer)| offer.is_none()), "{:#?}", offers(&narrow.netlist));
    let wide = narrow.netlist.replace("1 mm2, max-wires", "4 mm2, max-wires").replace("0.5 mm2 .. 1 mm2 }", "0.5 mm2 .. 4 mm2 }");
    let sizes = offers(&wide).into_iter().filter_map(|(_, offer)| offer).filter(|offer| offer.remedy.kind == RemedyKind::Size);
    assert!(sizes.count() >= 2, "where they are taken, sizes are offered: {:#?}", offers(&wide));
}
