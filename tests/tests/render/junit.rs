//! JUnit XML, validated with the schema of a CI server; see `schemas/README.md`.

use super::{documents::Whole, report, written};
use harness_cli::render::{Run, check::junit};
use harness_core::finding::{Finding, Level};
use harness_core::internals::text::Span;
use quick_xml::{Reader, events::Event};
use std::{
    collections::BTreeSet,
    io::Write,
    process::{Command, Stdio},
};

#[test]
fn every_shape_in_junit() {
    let whole = Whole::new();
    let text = written(|out| junit::write(&whole.run(Level::Error), out));
    // Cases of rules that found nothing differ by their names alone.
    let shown: Vec<&str> = text.lines().filter(|line| !line.trim().starts_with("<testcase") || !line.ends_with("/>")).collect();
    insta::assert_snapshot!(shown.join("\n"));
}

/// An element, by its name and attributes, with the text directly in it.
#[derive(Debug, Clone)]
struct Element {
    name: String,
    attributes: Vec<(String, String)>,
    text: String,
    depth: usize,
}

impl Element {
    fn get(&self, name: &str) -> &str {
        self.attributes.iter().find(|(known, _)| known == name).map_or("", |(_, value)| value)
    }
}

/// Reads a document; fails if it is not well-formed.
fn elements(xml: &str) -> Vec<Element> {
    let mut reader = Reader::from_str(xml);
    let (mut found, mut open): (Vec<Element>, Vec<usize>) = (Vec::new(), Vec::new());
    loop {
        match reader.read_event().unwrap() {
            event @ (Event::Start(_) | Event::Empty(_)) => {
                let (Event::Start(tag) | Event::Empty(tag)) = &event else { continue };
                let attribute = |it: quick_xml::events::attributes::Attribute<'_>| {
                    let value = quick_xml::escape::unescape(&it.value).unwrap().into_owned();
                    (it.key.as_ref().to_owned(), value)
                };
                let attributes = tag.attributes().map(|it| attribute(it.unwrap())).collect();
                let name = tag.name().as_ref().to_owned();
                found.push(Element { name, attributes, text: String::new(), depth: open.len() });
                if matches!(event, Event::Start(_)) {
                    open.push(found.len() - 1);
                }
            }
            Event::End(_) => drop(open.pop().unwrap()),
            Event::Text(text) if !open.is_empty() => found[*open.last().unwrap()].text.push_str(&text),
            Event::GeneralRef(name) => {
                let reference = format!("&{};", &*name);
                found[*open.last().unwrap()].text.push_str(&quick_xml::escape::unescape(&reference).unwrap());
            }
            Event::Eof => break,
            _ => {}
        }
    }
    assert!(open.is_empty());
    found
}

#[test]
fn junit_counts_what_it_holds() {
    let whole = Whole::new();
    for fail_on in Level::ALL {
        let all = elements(&written(|out| junit::write(&whole.run(fail_on), out)));
        assert_eq!(all[0].name, "testsuites");
        let mut sums = [0; 3];
        let suites: Vec<usize> = (0..all.len()).filter(|at| all[*at].name == "testsuite").collect();
        assert_eq!(suites.len(), 5, "two designs, one that can't be read, two left out");
        for (number, at) in suites.iter().enumerate() {
            let end = suites.get(number + 1).copied().unwrap_or(all.len());
            let inside = |name: &str| all[*at..end].iter().filter(|it| it.name == name).count();
            let said = |name: &str| all[*at].get(name).parse::<usize>().unwrap();
            for (name, attribute) in [("testcase", "tests"), ("failure", "failures"), ("error", "errors"), ("skipped", "skipped")]
            {
                assert_eq!(inside(name), said(attribute), "{attribute} of {:?}", all[*at]);
            }
            for (sum, name) in sums.iter_mut().zip(["tests", "failures", "errors"]) {
                *sum += said(name);
            }
        }
        for (sum, name) in sums.iter().zip(["tests", "failures", "errors"]) {
            assert_eq!(*sum, all[0].get(name).parse::<usize>().unwrap());
        }
        let failing: BTreeSet<(usize, &str)> = whole
            .designs
            .iter()
            .enumerate()
            .flat_map(|(number, it)| it.report.findings.iter().map(move |finding| (number, finding)))
            .filter(|(_, finding)| finding.waived.is_none() && finding.level >= fail_on)
            .map(|(number, finding)| (number, finding.rule))
            .collect();
        assert_eq!(failing.len(), sums[1], "{fail_on}");
    }
}

#[test]
fn junit_holds_every_text_and_no_character_that_xml_lacks() {
    let whole = Whole::new();
    let text = written(|out| junit::write(&whole.run(Level::Error), out));
    // XML 1.0, production 2: what a document may hold.
    let held = |ch: char| matches!(ch, '\t' | '\n' | '\r' | ' '..='\u{fffd}' | '\u{10000}'..);
    assert!(text.chars().all(held));
    let words: String = elements(&text).iter().map(|it| it.text.clone() + it.get("message")).collect();
    for checked in &whole.designs {
        for finding in &checked.report.findings {
            assert!(words.contains(&finding.headline.replace('\u{1b}', "␛")), "{}", finding.headline);
        }
    }
    assert!(words.contains("12,7 A: 60 % <ok>"), "{words}");
    let odd =
        Finding::new("text/odd", Level::Error, Span::default(), "a\u{0}b\u{1b}c\u{fffe}d\u{ffff}e ]]> &amp; \u{85}\u{2028}");
    let odd = [report(vec![odd])];
    let run = Run { designs: &odd, failures: &[], untouched: None, fail_on: Level::Error };
    let text = written(|out| junit::write(&run, out));
    assert!(text.chars().all(held));
    let read = elements(&text);
    let failure = read.iter().find(|it| it.name == "failure").unwrap();
    assert_eq!(failure.get("message"), "a␀b␛c<U+FFFE>d<U+FFFF>e ]]> &amp; <U+0085><U+2028>");
    assert!(failure.text.contains("]]> &amp; "), "{failure:?}");
    assert_eq!(failure.depth, 3);
}

#[test]
fn junit_is_what_ci_servers_read() {
    let there = Command::new("xmllint").arg("--version").stdout(Stdio::null()).stderr(Stdio::null()).status();
    if !there.is_ok_and(|status| status.success()) {
        assert!(std::env::var_os("HARNESS_XMLLINT").is_none(), "xmllint is demanded and not installed");
        // Written past the capture of the test runner: what was not validated is not silent.
        writeln!(std::io::stderr(), "xmllint is not installed: JUnit XML was not validated with its schema").unwrap();
        return;
    }
    let schema = concat!(env!("CARGO_MANIFEST_DIR"), "/schemas/junit-10.xsd");
    let faults = |xml: &str| {
        let mut child = Command::new("xmllint")
            .args(["--nonet", "--noout", "--schema", schema, "-"])
            .stdin(Stdio::piped())
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        child.stdin.take().unwrap().write_all(xml.as_bytes()).unwrap();
        let done = child.wait_with_output().unwrap();
        (done.status.success(), String::from_utf8_lossy(&done.stderr).into_owned())
    };
    let whole = Whole::new();
    for fail_on in Level::ALL {
        let (valid, told) = faults(&written(|out| junit::write(&whole.run(fail_on), out)));
        assert!(valid, "{told}");
    }
    let nothing = Run { designs: &[], failures: &[], untouched: None, fail_on: Level::Error };
    let (valid, told) = faults(&written(|out| junit::write(&nothing, out)));
    assert!(valid, "{told}");
    let (valid, told) = faults("<testsuites><testsuite name=\"a\" tests=\"1\"/></testsuites>");
    assert!(!valid && told.contains("'failures' is required"), "{told}");
}
