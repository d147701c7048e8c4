//! How findings look: every shape of finding, built by hand, through every format.
//!
//! Names and figures are invented and show form only; no figure here is a limit.

mod chain;
mod documents;
mod junit;
mod pictures;

use harness_cli::{
    Look,
    render::{
        Checked, Failed, Run,
        check::{self, full, short, summary},
        kit::caution::caution,
    },
};
use harness_core::{
    Compared, Date, HotConductor, ModeSummary, Report, Summary, Unjudged,
    finding::{Finding, Judged, Level, Waived},
    internals::{
        review::fingerprint,
        text::{FileId, SourceFile, Sources, Span},
    },
};
use unicode_width::UnicodeWidthStr;

const LOOM: &str = "\
format: 1
design: Terrace tractor, traction and auxiliary looms
include: [parts/fuses.yaml]

looms:
  front:
    wires:
      101: { from: P1.1, to: P9.4, size: 0.75 mm2, colour: RD/WH, length: 1450 mm }
      102: { from: P1.2, to: R1, size: 0.75 mm2, colour: BK, length: 900 mm }
      103: { from: P2.1, to: P9.5, size: 1.5 mm2, colour: RD, length: 1450 mm }
      104: { from: P2.2, to: R1, size: 1.5 mm2, colour: BK, length: 900 mm, note: sleeve it where it passes the bulkhead behind the battery tray and tie it to the lug above, then again at 200 mm and 400 mm so that it cannot reach the steering column, peak: 18 A, via: [hood, bulkhead, dash] }
    splices: { S1: {} }
";

const FUSES: &str = "parts:\n  fuses:\n    blade-30: { standard: ISO 8820-3, rating: 30 A }\n";

/// Nasty to draw: a byte order mark, tabs, line ends of two bytes, wide and combining characters, an escape code.
const ODD: &str = "\u{feff}first: 1\r\nwide: ａｂ測定 45 A\r\na:\tb\tc: 2 mm²\r\ne\u{301}tude: \u{1b}[31mred\r\nlast: x";

fn sources() -> Sources {
    let mut sources = Sources::new();
    for (name, text) in [("tractor.yaml", LOOM), ("parts/fuses.yaml", FUSES), ("odd.yaml", ODD)] {
        sources.add(SourceFile::new(name.to_owned(), text.to_owned())).unwrap();
    }
    sources
}

/// The place of `part` behind `anchor`.
fn at(file: u16, anchor: &str, part: &str) -> Span {
    let text = [LOOM, FUSES, ODD][usize::from(file)];
    let from = text.find(anchor).unwrap();
    let start = from + text[from..].find(part).unwrap();
    Span::new(FileId(file), start as u32, (start + part.len()) as u32)
}

fn over_conductor() -> Finding {
    Finding::new(
        "protection/fuse-over-conductor",
        Level::Danger,
        at(1, "blade-30", "30 A"),
        "fuse `fusebox.F12` passes 30 A, 17.3 A more than wire `front.101` carries",
    )
    .label("rated 30 A")
    .context(at(0, "101:", "0.75 mm2"), "weakest conductor behind `F12`: 12.7 A at 85 degC in a bundle of 12")
    .path(["fusebox.F12", "P1:1", "front.101", "P9:4", "coolant-pump.J1:1"].map(str::to_owned).to_vec())
    .figure("current", "8.2 A in drive")
    .figure("capacity", "12.7 A: table A of the project, bundled, 0.75 mm2 at 85 degC (derived from the row for 70 degC)")
    .figure("fuse", "30 A")
    .help("fit a fuse of 10 A, or use 2.5 mm2 or more for `front.101` and everything else behind `fusebox.F12`")
    .concerns("fusebox.F12")
    .concerns("front.101")
}

/// One finding of every shape, in the order of reports.
fn shapes() -> Vec<Finding> {
    let end = Span::new(FileId(2), ODD.len() as u32, ODD.len() as u32);
    let finding = |rule, level, span, headline: &str| Finding::new(rule, level, span, headline);
    vec![
        finding("text/no-label", Level::Note, at(0, "design", "Terrace"), "a primary place without words and without help"),
        finding(
            "netlist/one-label",
            Level::Error,
            at(0, "101:", "P9.4"),
            "wire `front.101` ends at `P9:4`, which has no terminal",
        )
        .label("no terminal in this cavity")
        .help("add a terminal to `front.P9`"),
        finding("netlist/same-line", Level::Error, at(0, "102:", "P1.2"), "three labels are on one line")
            .label("the first place")
            .context(
                at(0, "102:", "0.75 mm2"),
                "the second, whose words are so many that they do not fit in what is left of the line",
            )
            .context(at(0, "102:", "900 mm"), "the third"),
        finding("netlist/near-and-far", Level::Warning, at(0, "103:", "1.5 mm2"), "labels near and far in one file")
            .label("here")
            .context(at(0, "101:", "0.75 mm2"), "two lines above")
            .context(at(0, "design", "design"), "far above")
            .context(at(0, "splices", "S1"), "two lines below"),
        finding("conductor/long-line", Level::Error, at(0, "peak", "18 A"), "a place far along a line of 300 columns")
            .label("more than the 12.7 A that 1.5 mm2 carries here")
            .context(at(0, "104:", "1.5 mm2"), "the size"),
        finding(
            "text/whole-block",
            Level::Note,
            at(0, "front:", "front:\n    wires:\n"),
            "a place over several lines is marked in its first",
        )
        .label("the block starts here"),
        finding("text/nested", Level::Note, at(0, "102:", "{ from: P1.2, to: R1"), "places that overlap are side by side")
            .label("outer")
            .context(at(0, "102:", "P1.2"), "inner")
            .context(at(0, "102:", "P1.2"), "inner again"),
        over_conductor(),
        finding("text/wide", Level::Warning, at(2, "wide", "45 A"), "behind wide characters").label("after 測定"),
        finding("text/tabs", Level::Warning, at(2, "a:", "2 mm²"), "behind tabs, in lines that end with two bytes")
            .label("after two tabs"),
        finding("text/escape", Level::Warning, at(2, "tude", "\u{1b}[31mred"), "`\u{1b}[31mred` does not colour the report")
            .label("shown, \u{1b}[31mnot obeyed"),
        finding("text/end", Level::Error, end, "an empty place at the end of the file").label("something is missing here"),
        finding("text/nowhere", Level::Error, Span::new(FileId(99), 0, 0), "a finding without a place in any file")
            .help("say what it is about"),
    ]
}

/// Findings that fail no check: accepted with a reason of any kind, known to a baseline.
fn reviewed() -> Vec<Judged> {
    let waived = |reason: &str, by: Option<&str>, until: Option<&str>| Waived {
        reason: reason.to_owned(),
        by: by.map(str::to_owned),
        until: until.and_then(Date::parse),
        reviewed: None,
        span: at(0, "104:", "size: 1.5 mm2"),
    };
    let long = "the tube that it runs in is clamped at both ends, nobody can reach it without taking the dash out, and it is \
                looked at every spring";
    let odd = "\u{1b}[31mred\u{202e}";
    vec![
        Judged { known: true, ..over_conductor().into() },
        Judged { known: true, level: Level::Warning, ..over_conductor().into() },
        Judged { waived: Some(waived(long, Some("A. Fitter"), Some("2027-06-30"))), ..over_conductor().into() },
        Judged { waived: Some(waived(odd, None, None)), level: Level::Note, ..over_conductor().into() },
        over_conductor().concerns("front.102").into(),
    ]
}

fn report(findings: Vec<impl Into<Judged>>) -> Checked {
    let mut findings: Vec<Judged> = findings.into_iter().map(Into::into).collect();
    fingerprint(&mut findings);
    let mode = |name: &str, loaded, solved| ModeSummary { name: name.to_owned(), loaded, solved };
    let hot = |name: &str, temperature| {
        let (name, mode) = (name.to_owned(), "drive".to_owned());
        HotConductor { name, mode, temperature, rated: 105.0 }
    };
    let summary = Summary {
        design: "Terrace tractor, traction and auxiliary looms".to_owned(),
        revision: "C".to_owned(),
        files: 3,
        devices: 12,
        looms: 1,
        ends: 9,
        conductors: 104,
        nets: 61,
        modes: vec![mode("parked", 3, true), mode("drive", 88, true), mode("charge", 1, true), mode("service", 0, false)],
        hottest: vec![hot("front.109", Some(96.34)), hot("front.102", Some(81.5)), hot("rear.3", None)],
        coverage: harness_core::Coverage {
            load: harness_core::Covered { judged: 98, unjudged: vec![(Unjudged::Idle, 4), (Unjudged::NoSize, 2)] },
            shorts: harness_core::Covered { judged: 104, unjudged: Vec::new() },
            drop: harness_core::Covered { judged: 97, unjudged: vec![(Unjudged::Idle, 4), (Unjudged::NoLength, 3)] },
            insulation_assumed: 12,
            unnamed_pins: 9,
        },
        rules: 58,
        unchecked: 7,
        unread: vec![("peak", 2), ("torque", 3)],
    };
    let compared = findings.iter().any(|finding| finding.known).then_some(Compared { listed: true, gone: 2, worse: 1 });
    let report = Report { sources: sources().into(), findings, summary, compared, ..Report::default() };
    Checked::new("designs/".to_owned(), "tractor.yaml".to_owned(), report)
}

fn run<'a>(designs: &'a [Checked], failures: &'a [Failed]) -> Run<'a> {
    Run { designs, failures, untouched: None, fail_on: Level::Error }
}

fn look(width: usize) -> Look {
    Look { width, colour: false, unicode: true }
}

fn written(write: impl FnOnce(&mut Vec<u8>) -> std::io::Result<()>) -> String {
    let mut out = Vec::new();
    write(&mut out).unwrap();
    String::from_utf8(out).unwrap()
}

fn full(findings: Vec<impl Into<Judged>>, look: Look) -> String {
    written(|out| full::write(&report(findings), look, 20, false, out))
}

/// `text` with its escape codes made legible.
fn legible(text: &str) -> String {
    text.replace('\u{1b}', "ESC")
}

#[test]
fn a_finding_across_files_in_full() {
    insta::assert_snapshot!(full(vec![over_conductor()], look(80)));
}

#[test]
fn every_shape_in_full() {
    insta::assert_snapshot!(full(shapes(), look(80)));
}

#[test]
fn every_shape_in_full_with_ascii() {
    insta::assert_snapshot!(full(shapes(), Look { unicode: false, ..look(100) }));
}

#[test]
fn a_finding_of_each_level_in_colour() {
    let levels = Level::ALL.map(|level| Judged { level, ..over_conductor().into() });
    insta::assert_snapshot!(legible(&full(levels.to_vec(), Look { colour: true, ..look(80) })));
}

#[test]
fn every_shape_in_short() {
    insta::assert_snapshot!(written(|out| short::write(&report(shapes()), look(80), false, out)));
}

#[test]
fn what_was_reviewed_in_full() {
    let text =
        full(reviewed(), look(80)) + &written(|out| summary::write(&report(reviewed()), look(80), (true, Level::Error), out));
    insta::assert_snapshot!(text);
}

#[test]
fn what_was_reviewed_in_short() {
    insta::assert_snapshot!(written(|out| short::write(&report(reviewed()), look(80), false, out)));
}

#[test]
fn every_shape_in_json() {
    let failures = [Failed { design: "other.yaml".to_owned(), reason: "read `other.yaml`: no such file".to_owned() }];
    let all = || shapes().into_iter().map(Judged::from).chain(reviewed()).collect();
    let json = written(|out| check::json(&run(&[report(all())], &failures), out));
    insta::assert_snapshot!(json);
    let schema: serde_json::Value = serde_json::from_str(harness_cli::commands::schema::REPORT_SCHEMA).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let mut value: serde_json::Value = serde_json::from_str(&json).unwrap();
    let errors: Vec<String> = validator.iter_errors(&value).map(|error| error.to_string()).collect();
    assert!(errors.is_empty(), "{errors:?}");
    value["designs"][0]["findings"][0]["level"] = "fatal".into();
    assert!(!validator.is_valid(&value), "the schema has to refuse a level that does not exist");
}

#[test]
fn bytes_in_json_are_those_of_the_file() {
    let json = written(|out| check::json(&run(&[report(shapes())], &[]), out));
    let value: serde_json::Value = serde_json::from_str(&json).unwrap();
    let wide = value["designs"][0]["findings"].as_array().unwrap().iter().find(|it| it["rule"] == "text/wide").unwrap();
    let byte = |end: &str| wide["primary"][end]["byte"].as_u64().unwrap() as usize;
    assert_eq!(&ODD[byte("start")..byte("end")], "45 A");
    assert_eq!((wide["primary"]["start"]["line"].as_u64(), wide["primary"]["start"]["column"].as_u64()), (Some(2), Some(12)));
    assert_eq!(wide["primary"]["file"], "designs/odd.yaml");
}

#[test]
fn the_end_of_a_report() {
    let text = written(|out| {
        summary::write(&report(shapes()), look(80), (true, Level::Error), out)?;
        caution(look(80), out)
    });
    insta::assert_snapshot!(text);
}

#[test]
fn an_empty_design_is_not_said_to_be_computed() {
    let nothing = Report::default();
    let checked = Checked::new(String::new(), "-".to_owned(), nothing);
    insta::assert_snapshot!(written(|out| summary::write(&checked, look(80), (true, Level::Error), out)));
}

#[test]
fn nothing_is_wider_than_asked_for() {
    for width in [60, 72, 80, 100] {
        for unicode in [true, false] {
            let look = Look { unicode, ..look(width) };
            let text = full(shapes(), look)
                + &full(reviewed(), look)
                + &written(|out| summary::write(&report(reviewed()), look, (true, Level::Error), out))
                + &written(|out| summary::write(&report(shapes()), look, (true, Level::Error), out));
            for line in text.lines() {
                assert!(line.width() <= width, "{width}: {line}");
                assert_eq!(line.trim_end(), line, "blanks at the end of {line:?}");
            }
        }
    }
}

#[test]
fn colour_changes_no_text() {
    let coloured = full(shapes(), Look { colour: true, ..look(80) });
    let mut plain = String::new();
    for (index, part) in coloured.split('\u{1b}').enumerate() {
        plain.push_str(if index == 0 { part } else { part.split_once('m').unwrap().1 });
    }
    let trimmed: Vec<&str> = plain.lines().map(str::trim_end).collect();
    assert_eq!(trimmed.join("\n") + "\n", full(shapes(), look(80)));
}

#[test]
fn what_is_left_out_is_counted_by_rule() {
    let many = (0..25).map(|_| over_conductor()).chain(shapes()).collect();
    let text = written(|out| full::write(&report(many), look(80), 3, false, out));
    assert_eq!(text.matches("danger[protection/fuse-over-conductor]").count(), 3);
    let end = &text[text.find("not drawn:").unwrap()..];
    insta::assert_snapshot!(end);
}
