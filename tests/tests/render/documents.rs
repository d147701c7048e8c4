//! The formats that hold a whole run in one document: SARIF, JUnit XML, workflow commands.
//!
//! SARIF is validated with the schema that OASIS publishes; see `schemas/README.md`. What is of JUnit XML alone is in `junit`.

use super::{over_conductor, report, shapes, written};
use harness_cli::render::{
    Checked, Failed, Run, Untouched,
    check::{self, annotations, junit, sarif},
};
use harness_core::{
    Cause, Compared, Date, Report,
    finding::{Figure, Finding, Judged, Level, Offer, Remedy, RemedyKind, Waived},
    internals::{
        review::fingerprint,
        rules,
        text::{FileId, SourceFile, Sources, Span},
    },
};
use std::io::Write;

/// Every shape of finding, an accepted one of each kind, a second design that shares nothing, one that can't be read, and two that
/// were left out.
pub(super) struct Whole {
    pub(super) designs: Vec<Checked>,
    failures: Vec<Failed>,
    untouched: Untouched,
}

impl Whole {
    pub(super) fn new() -> Self {
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

    pub(super) fn run(&self, fail_on: Level) -> Run<'_> {
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

/// What a reader of JSON gets of the cause and of the weakest value, a reader of SARIF gets too.
#[test]
fn sarif_says_cause_and_trust_as_json_does() {
    let mut whole = Whole::new();
    let design = &mut whole.designs[0];
    let count = design.report.findings.len();
    design.report.findings[0].level = Level::Danger;
    design.report.findings[0]
        .finding
        .figures
        .push(Figure { name: "limit", value: "5 A, a page (from memory, not seen)".to_owned() });
    design.report.causes = vec![Cause { findings: 0..2, held_back: false }, Cause { findings: 2..count, held_back: true }];
    let read = |text: String| serde_json::from_str::<serde_json::Value>(&text).unwrap();
    let told = read(written(|out| sarif::write(&whole.run(Level::Error), out)));
    assert_eq!(sarif_faults(&told), Vec::<String>::new());
    let json = read(written(|out| check::json(&whole.run(Level::Error), out)));
    let findings = json["designs"].as_array().unwrap().iter().flat_map(|design| design["findings"].as_array().unwrap());
    let results = told["runs"][0]["results"].as_array().unwrap();
    let mut seen = Vec::new();
    for (result, finding) in results.iter().zip(findings) {
        let properties = &result["properties"];
        assert_eq!(properties["cause"], finding["cause"]);
        assert_eq!(properties["heldBack"], finding["held_back"]);
        assert_eq!(properties["restsOn"], finding["rests_on"]);
        seen.push((properties["cause"].as_u64().unwrap(), properties["heldBack"].as_bool().unwrap()));
    }
    assert_eq!(seen[..3], [(1, false), (1, false), (2, true)]);
    assert_eq!(results[0]["properties"]["restsOn"], "memory");
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
