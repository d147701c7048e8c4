//! The formats that hold a whole run in one document: SARIF, JUnit XML, workflow commands.
//!
//! SARIF is validated with the schema that OASIS publishes, JUnit XML with the schema of a CI server; see `schemas/README.md`.

use super::{over_conductor, report, shapes, written};
use harness_cli::render::{
    Checked, Failed, Run, Untouched,
    check::{annotations, junit, sarif},
};
use harness_core::{
    Compared, Date, Report,
    finding::{Finding, Judged, Level, Offer, Remedy, RemedyKind, Waived},
    internals::{
        review::fingerprint,
        rules,
        text::{FileId, SourceFile, Sources, Span},
    },
};
use quick_xml::{Reader, events::Event};
use std::{
    collections::BTreeSet,
    io::Write,
    process::{Command, Stdio},
};

/// Every shape of finding, an accepted one of each kind, a second design that shares nothing, one that can't be read, and two that
/// were left out.
struct Whole {
    designs: Vec<Checked>,
    failures: Vec<Failed>,
    untouched: Untouched,
}

impl Whole {
    fn new() -> Self {
        let waived = |span| Waived {
            reason: "the fuse \u{1b}[1m& the wire were measured, 12,7 A: 60 % <ok>".to_owned(),
            by: Some("M. Sample".to_owned()),
            until: Date::parse("2031-05-01"),
            reviewed: Some("error: 12.7 A".to_owned()),
            span,
        };
        let mut findings: Vec<Judged> = shapes().into_iter().map(Judged::from).collect();
        findings.push(Judged { waived: Some(waived(Span::new(FileId(0), 0, 6))), ..over_conductor().into() });
        findings.push(Judged { waived: Some(waived(Span::new(FileId(9), 0, 0))), ..known("contact/unsealed").into() });
        findings.push(known("conductor/undersized").into());
        findings.push(known("conductor/undersized").into());
        let mut sources = Sources::new();
        sources.add(SourceFile::new("-".to_owned(), "format: 1\n".to_owned())).unwrap();
        let mut alone = vec![known("review/missing-fact").into()];
        fingerprint(&mut alone);
        let other = Report { sources: sources.into(), findings: alone, ..Report::default() };
        let mut designs = vec![report(findings), Checked::new(String::new(), "-".to_owned(), other)];
        designs[0].prefix = "designs, old/100%/a:b/".to_owned();
        let failed = |design: &str| Failed {
            design: design.to_owned(),
            reason: format!("read `{design}`: no such file; did you mean\n`{design}l`?"),
        };
        let left_out = ["designs/<b>.yaml", "c.yaml"].map(str::to_owned).to_vec();
        let untouched = Untouched { revision: "main".to_owned(), designs: left_out };
        Self { designs, failures: vec![failed("other & more.yam")], untouched }
    }

    fn run(&self, fail_on: Level) -> Run<'_> {
        Run { designs: &self.designs, failures: &self.failures, untouched: Some(&self.untouched), fail_on }
    }
}

fn known(rule: &str) -> Finding {
    let rule = rules::pages().into_iter().find(|known| known.name == rule).unwrap();
    rule.finding(Span::new(FileId(0), 0, 9), format!("a finding of `{}`, 5 % above: 2, 3", rule.name)).help("fix it")
}

/// SARIF without the rules that no result names: their pages change with every release.
fn without_rules(sarif: &str) -> String {
    let mut value: serde_json::Value = serde_json::from_str(sarif).unwrap();
    value["runs"][0]["tool"]["driver"]["rules"] = "…".into();
    serde_json::to_string_pretty(&value).unwrap()
}

fn sarif_faults(value: &serde_json::Value) -> Vec<String> {
    // The published pattern of a language has a stray `]`, which strict readers of patterns refuse; the rest is as published.
    let published = include_str!("../../schemas/sarif-2.1.0.schema.json");
    let mended = published.replace("^[a-zA-Z]{2}|^[a-zA-Z]{2}-[a-zA-Z]{2}]?$", "^[a-zA-Z]{2}(-[a-zA-Z]{2})?$");
    let schema: serde_json::Value = serde_json::from_str(&mended).unwrap();
    jsonschema::draft7::new(&schema).unwrap().iter_errors(value).map(|it| format!("{}: {it}", it.instance_path())).collect()
}

#[test]
fn every_shape_in_sarif() {
    let whole = Whole::new();
    let text = written(|out| sarif::write(&whole.run(Level::Error), out));
    insta::assert_snapshot!(without_rules(&text));
    let mut value: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(sarif_faults(&value), Vec::<String>::new());
    value["runs"][0]["results"][0]["level"] = "danger".into();
    assert_eq!(sarif_faults(&value).len(), 1, "the schema has to refuse a level that SARIF does not have");
}

/// SARIF 2.1.0, 3.27.24: with a baseline each result says whether it is new; without one none does.
#[test]
fn sarif_says_what_a_baseline_knew() {
    let mut whole = Whole::new();
    let states = |whole: &Whole| {
        let text = written(|out| sarif::write(&whole.run(Level::Error), out));
        let value: serde_json::Value = serde_json::from_str(&text).unwrap();
        assert_eq!(sarif_faults(&value), Vec::<String>::new());
        let results = value["runs"][0]["results"].as_array().unwrap();
        results.iter().map(|it| it["baselineState"].as_str().unwrap_or("-").to_owned()).collect::<Vec<_>>()
    };
    assert!(states(&whole).iter().all(|state| state == "-"));
    whole.designs[0].report.compared = Some(Compared::default());
    whole.designs[0].report.findings[0].known = true;
    let told = states(&whole);
    let count = whole.designs[0].report.findings.len();
    assert_eq!(told.iter().filter(|state| *state == "unchanged").count(), 1, "{told:?}");
    assert_eq!(told.iter().filter(|state| *state == "new").count(), count - 1, "{told:?}");
}

/// SARIF 2.1.0, 3.55 to 3.57: a remedy that was tried is a fix of its result, one that was not is none.
#[test]
fn sarif_has_the_remedies_that_were_tried() {
    let mut whole = Whole::new();
    let span = whole.designs[0].report.findings[0].primary.span;
    let remedy = Remedy::new(RemedyKind::Spelling, "write `other`").edit(span, "other");
    let offers = [true, false].map(|tried| Some(Offer { remedy: remedy.clone(), tried, others: 0 }));
    for (finding, offer) in whole.designs[0].report.findings.iter_mut().zip(offers) {
        finding.offer = offer;
    }
    let value: serde_json::Value = serde_json::from_str(&written(|out| sarif::write(&whole.run(Level::Error), out))).unwrap();
    assert_eq!(sarif_faults(&value), Vec::<String>::new());
    let results = value["runs"][0]["results"].as_array().unwrap();
    let fixes: Vec<&serde_json::Value> = results.iter().filter_map(|result| result["fixes"].as_array()).flatten().collect();
    assert_eq!(fixes.len(), 1);
    let change = &fixes[0]["artifactChanges"][0];
    assert_eq!(change["replacements"][0]["insertedContent"]["text"], "other");
    assert_eq!(change["artifactLocation"]["uri"], results[0]["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]);
    assert_eq!(change["replacements"][0]["deletedRegion"], results[0]["locations"][0]["physicalLocation"]["region"]);
    let mut broken = value.clone();
    broken["runs"][0]["results"][0]["fixes"][0]["artifactChanges"] = serde_json::json!([]);
    assert!(!sarif_faults(&broken).is_empty(), "the schema has to ask for a change");
}

#[test]
fn sarif_points_to_its_rules_and_files() {
    let whole = Whole::new();
    let value: serde_json::Value = serde_json::from_str(&written(|out| sarif::write(&whole.run(Level::Error), out))).unwrap();
    let run = &value["runs"][0];
    let described = run["tool"]["driver"]["rules"].as_array().unwrap();
    assert_eq!(described.len(), rules::pages().len());
    for rule in described {
        assert!(rule["help"]["markdown"].as_str().unwrap().starts_with("## What it checks"), "{rule}");
        let full = rule["fullDescription"]["text"].as_str().unwrap();
        assert!(!full.is_empty() && !full.contains('\n') && !full.contains("Why it matters"), "{full}");
    }
    let results = run["results"].as_array().unwrap();
    assert_eq!(results.len(), whole.designs.iter().map(|it| it.report.findings.len()).sum::<usize>());
    for result in results {
        if let Some(number) = result["ruleIndex"].as_u64() {
            assert_eq!(described[number as usize]["id"], result["ruleId"]);
        }
        let places = [&result["locations"], &result["relatedLocations"]].into_iter().filter_map(|it| it.as_array()).flatten();
        for place in places {
            let file = &place["physicalLocation"]["artifactLocation"];
            let number = file["index"].as_u64().unwrap() as usize;
            assert_eq!(run["artifacts"][number]["location"]["uri"], file["uri"]);
        }
    }
    // Columns count code points, not bytes and not the halves of UTF-16.
    let wide = results.iter().find(|it| it["ruleId"] == "text/wide").unwrap();
    let region = &wide["locations"][0]["physicalLocation"]["region"];
    assert_eq!((region["startColumn"].as_u64(), region["endColumn"].as_u64()), (Some(12), Some(16)));
    assert_eq!(run["columnKind"], "unicodeCodePoints");
    let finger = |number: usize| results[number]["partialFingerprints"]["harnessFinding/v1"].as_str().unwrap().to_owned();
    assert_eq!(finger(results.len() - 2), format!("{} #2", finger(results.len() - 3)));
    assert_eq!(finger(7), "protection/fuse-over-conductor front.101 fusebox.F12");
}

#[test]
fn sarif_says_how_the_run_went() {
    let code = |run: &Run<'_>| {
        let text = written(|out| sarif::write(run, out));
        let value: serde_json::Value = serde_json::from_str(&text).unwrap();
        let invocation = &value["runs"][0]["invocations"][0];
        (invocation["executionSuccessful"].as_bool().unwrap(), invocation["exitCode"].as_u64().unwrap())
    };
    let whole = Whole::new();
    assert_eq!(code(&whole.run(Level::Error)), (false, 2));
    let read = Run { failures: &[], untouched: None, ..whole.run(Level::Error) };
    assert_eq!(code(&read), (true, 1));
    assert_eq!(code(&Run { designs: &whole.designs[1..], ..read }), (true, 0));
    let nothing = written(|out| sarif::write(&Run { designs: &[], ..read }, out));
    assert_eq!(sarif_faults(&serde_json::from_str(&nothing).unwrap()), Vec::<String>::new());
    assert!(!nothing.contains("suppressions"));
}

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

#[test]
fn every_shape_in_annotations() {
    let whole = Whole::new();
    insta::assert_snapshot!(written(|out| annotations::write(&whole.run(Level::Error), out)));
}

/// Name, properties and message of a workflow command.
type Annotation = (String, Vec<(String, String)>, String);

/// Takes a line apart as the published grammar says: `::name key=value,…::message`.
fn command(line: &str) -> Option<Annotation> {
    let (head, message) = line.strip_prefix("::")?.split_once("::")?;
    let (name, properties) = head.split_once(' ')?;
    let plain = |text: &str| {
        let text = text.replace("%3A", ":").replace("%2C", ",").replace("%0D", "\r").replace("%0A", "\n");
        text.replace("%25", "%")
    };
    let pair = |text: &str| text.split_once('=').map(|(key, value)| (key.to_owned(), plain(value)));
    Some((name.to_owned(), properties.split(',').map(|text| pair(text).unwrap()).collect(), plain(message)))
}

#[test]
fn annotations_come_back_whole() {
    let whole = Whole::new();
    let text = written(|out| annotations::write(&whole.run(Level::Error), out));
    let commands: Vec<_> = text.lines().filter_map(command).collect();
    let findings: Vec<&Judged> = whole.designs.iter().flat_map(|it| &it.report.findings).collect();
    assert_eq!(commands.len(), findings.len() + 2, "{text}");
    for ((name, properties, message), finding) in commands.iter().zip(&findings) {
        let expected = match finding.level {
            _ if finding.waived.is_some() => "notice",
            Level::Danger | Level::Error => "error",
            Level::Warning => "warning",
            Level::Note => "notice",
        };
        assert_eq!(name, expected);
        let get = |key: &str| properties.iter().find(|(known, _)| known == key).map(|(_, value)| value.as_str());
        assert_eq!(get("title"), Some(&*format!("{}[{}]", finding.level, finding.rule)));
        assert!(message.starts_with(&finding.headline.replace('\u{1b}', "␛")), "{message}");
        assert!(get("file").is_none_or(|file| file.starts_with("designs, old/100%/a:b/")), "{properties:?}");
    }
    assert!(text.lines().all(|line| line.starts_with("::") || line.starts_with("checked ") || line.starts_with("A clean")));
    assert!(!text.contains('\u{1b}'));
}

#[test]
fn documents_are_the_same_bytes_each_time() {
    let whole = Whole::new();
    type Format = fn(&Run<'_>, &mut dyn Write) -> std::io::Result<()>;
    for write in [sarif::write as Format, junit::write, annotations::write] {
        let [first, second] = [(); 2].map(|()| written(|out| write(&whole.run(Level::Error), out)));
        assert_eq!(first, second);
    }
}
