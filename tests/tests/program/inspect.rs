//! `harness trace` and `harness loads`: what a reviewer sees, and that every form of it says the same.

use super::document;
use harness_cli::{Terminal, exit};
use harness_core::{
    Design, MemoryFiles,
    inspect::{Against, Loads, Margin},
};
use harness_tests::{Done, corpus::checked_texts, fixtures, harness_at};
use serde_json::Value;
use std::collections::BTreeSet;
use unicode_width::UnicodeWidthStr;

/// A small design: one fuse, a thick and a thin conductor behind it, a return, a mode in which nothing flows.
const LIFT: &str = include_str!("lift.yaml");

pub(super) fn lift(args: &[&str]) -> Done {
    harness_at(Terminal::PIPE, LIFT, args)
}

/// The demo, with its folder as the README names it.
fn tractor(command: &str, args: &[&str]) -> Done {
    let path = fixtures().join("terrace-tractor/tractor.yaml");
    let folder = path.parent().unwrap().to_str().unwrap().to_owned();
    let mut all = vec![command, path.to_str().unwrap()];
    all.extend(args);
    let mut done = harness_at(Terminal::PIPE, "", &all);
    done.out = done.out.replace(&folder, "fixtures/terrace-tractor");
    done
}

fn seen(done: &Done) -> &str {
    assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""));
    assert!(done.out.lines().all(|line| line.width() <= 80 && line.trim_end() == line), "{}", done.out);
    &done.out
}

#[test]
fn a_wire_a_fuse_a_load_and_a_point_of_a_small_design() {
    for (name, what) in [("wire", "lift.2"), ("fuse", "fuse-box.F1"), ("load", "pump.motor"), ("point", "lift.P1.1")] {
        insta::assert_snapshot!(format!("trace_small_{name}"), seen(&lift(&["trace", "-", what])));
    }
}

#[test]
fn a_wire_and_a_fuse_of_the_demo() {
    insta::assert_snapshot!("trace_demo_wire", seen(&tractor("trace", &["front.101"])));
    insta::assert_snapshot!("trace_demo_fuse", seen(&tractor("trace", &["fusebox.F10"])));
}

#[test]
fn the_loads_of_a_small_design_and_the_fuses_of_the_demo() {
    insta::assert_snapshot!("loads_small", seen(&lift(&["loads", "-"])));
    insta::assert_snapshot!("loads_demo_fuses", seen(&tractor("loads", &["--by", "fuse"])));
}

#[test]
fn every_thing_of_a_design_can_be_traced() {
    let parts = MemoryFiles::one("lift.yaml", LIFT);
    let design = Design::load(&parts, "lift.yaml");
    let model = design.model();
    let points = model.points().map(|(id, _)| model.point_name(id));
    let wires = model.wires().map(|(id, _)| model.wire_name(id));
    let names: Vec<String> = points.chain(wires).chain(model.elements().map(|(id, _)| model.element_name(id))).collect();
    assert!(names.len() > 10);
    for name in &names {
        let text = lift(&["trace", "-", name]);
        assert!(seen(&text).lines().count() <= 50, "{name} takes more than a screen:\n{}", text.out);
        assert_eq!(document("trace", &lift(&["trace", "-", name, "--format", "json"]))["name"], name.as_str());
    }
    // Things that the lift has not: a return with many points, a relay, a link, an empty cavity.
    for name in ["battery.504", "fusebox.K1", "fusebox.left", "front.P1.16"] {
        seen(&tractor("trace", &[name]));
    }
}

#[test]
fn text_and_json_of_a_trace_tell_the_same() {
    let text = lift(&["trace", "-", "lift.2"]).out;
    let value = document("trace", &lift(&["trace", "-", "lift.2", "--format", "json"]));
    assert_eq!(value["kind"], "wire");
    assert_eq!(value["modes"].as_array().map(Vec::len), Some(2));
    let hoisting = &value["modes"][1];
    assert_eq!(hoisting["mode"], "hoisting");
    // The load asks for 4.2 A, and its feed has no other.
    assert!((hoisting["current_A"].as_f64().unwrap() - 4.2).abs() < 1e-6, "{hoisting}");
    assert!(text.contains("4.2 A"), "{text}");
    assert_eq!(value["way"]["mode"], "hoisting");
    let feed: Vec<&str> = value["way"]["feed"].as_array().unwrap().iter().map(|name| name.as_str().unwrap()).collect();
    assert_eq!(feed.first(), Some(&"battery.POS"));
    assert!(feed.contains(&"fuse-box.F1"), "{feed:?}");
    assert_eq!(value["way"]["back"].as_array().unwrap().last().unwrap(), "battery.NEG");
    assert_eq!(value["fuses"][0]["name"], "fuse-box.F1");
    for margin in value["margins"].as_array().unwrap() {
        assert_eq!(margin["holds"].as_bool().unwrap(), margin["ratio"].as_f64().unwrap() >= 1.0);
        assert!(!margin["sources"].as_array().unwrap().is_empty(), "a limit without a source: {margin}");
    }
    assert!(value["caution"][0].as_str().unwrap().contains("no safety certificate"));
    assert!(text.contains("no safety certificate"));
}

#[test]
fn a_short_is_told_with_its_fuse_and_both_times() {
    let value = document("trace", &lift(&["trace", "-", "lift.2", "--format", "json"]));
    let short = &value["worst_short"];
    let number = |key: &str| short[key].as_f64().unwrap_or_else(|| panic!("{key}: {short}"));
    assert_eq!((&short["outcome"], &short["fuse"]), (&Value::from("stands"), &Value::from("fuse-box.F1")));
    // 12.6 V over 8 mohm and 2.5 m of copper: some hundred ampere, and a blade fuse of 10 A is out at once.
    assert!((100.0..1000.0).contains(&number("current_A")), "{short}");
    assert!(number("fuse_opens_s") < 0.1 && number("stands_s") > number("ends_s"), "{short}");
    assert!(number("reached_degC") > number("start_degC") && number("reached_degC") < number("limit_degC"), "{short}");
}

#[test]
fn the_least_margin_comes_first_in_every_form() {
    let value = document("loads", &tractor("loads", &["--format", "json"]));
    for (table, by, key) in [("fuses", "fuse", "fuse"), ("conductors", "conductor", "conductor")] {
        let rows = value[table].as_array().unwrap();
        let margins: Vec<f64> = rows.iter().map(|row| row["margin"].as_f64().unwrap_or(f64::INFINITY)).collect();
        assert!(rows.len() > 20 && margins.is_sorted(), "{table}: {margins:?}");
        for row in rows {
            let least = row["margins"].as_array().unwrap().iter().map(|margin| margin["ratio"].as_f64().unwrap());
            assert_eq!(least.reduce(f64::min), row["margin"].as_f64(), "{row}");
        }
        let csv = tractor("loads", &["--format", "csv", "--by", by]);
        assert_eq!(csv.code, exit::CLEAN);
        let mut reader = csv::Reader::from_reader(csv.out.as_bytes());
        let headings = reader.headers().unwrap().clone();
        let records: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        assert_eq!(records.len(), rows.len());
        for (record, row) in records.iter().zip(rows) {
            assert_eq!(record.get(0), row[key].as_str());
            for (heading, cell) in headings.iter().zip(record) {
                let same = match &row[heading] {
                    Value::Null => cell.is_empty(),
                    Value::String(text) => text.replace(env!("CARGO_MANIFEST_DIR"), "") == cell || heading == "place",
                    other => format!("{other}") == cell,
                };
                assert!(same, "{heading}: {} in JSON, {cell} in CSV", row[heading]);
            }
        }
        let table = tractor("loads", &["--by", by, "--width", "200"]).out;
        let names: Vec<&str> = table
            .lines()
            .skip_while(|line| !line.starts_with(key))
            .skip(1)
            .map_while(|line| line.split_whitespace().next())
            .collect();
        let wanted: Vec<&str> = rows.iter().map(|row| row[key].as_str().unwrap()).collect();
        assert_eq!(names, wanted);
    }
}

#[test]
fn loads_agree_with_the_rules() {
    // What a rule calls a fault has a margin below one, and nothing else has: over every fixture and every example.
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    for (text, checked) in checked_texts() {
        let (report, loads) = (&checked.report, Loads::of(&checked.analysis));
        let wires: BTreeSet<&str> = loads.conductors.iter().map(|row| row.name.as_str()).collect();
        let concerned = |rule: &str, all: bool| -> BTreeSet<&str> {
            let findings = report.findings.iter().filter(|finding| finding.rule == rule);
            let names = findings.flat_map(|finding| finding.concerns.iter().take(if all { usize::MAX } else { 1 }));
            names.map(String::as_str).filter(|name| !all || wires.contains(name)).collect()
        };
        // Fuses that let too much through together are all named.
        let over = report.findings.iter().filter(|finding| finding.rule == "protection/fuse-over-conductor");
        let over = over.flat_map(|finding| &finding.concerns).map(String::as_str);
        // A source with a limit that gives together with a fuse has no row.
        let rows: BTreeSet<&str> = loads.fuses.iter().map(|row| row.name.as_str()).collect();
        let over: BTreeSet<&str> = over.filter(|name| rows.contains(name)).collect();
        let fails =
            |margins: &[Margin], against: Against| margins.iter().any(|margin| margin.against == against && !margin.holds());
        let fuses = |against: Against| -> BTreeSet<&str> {
            loads.fuses.iter().filter(|row| fails(&row.margins, against)).map(|row| row.name.as_str()).collect()
        };
        let conductors = |against: Against| -> BTreeSet<&str> {
            loads.conductors.iter().filter(|row| fails(&row.margins, against)).map(|row| row.name.as_str()).collect()
        };
        // What only sources feed, each up to its limit, lacks a fuse: that rule says so, and the other leaves it out.
        let by_sources = concerned("protection/missing-fuse", true);
        let limited = |name: &&str| by_sources.contains(name) && conductors(Against::Rating).contains(name);
        let burning: BTreeSet<&str> = conductors(Against::Short).into_iter().filter(|name| !limited(name)).collect();
        for (rule, found, all) in [
            ("protection/fuse-under-load", fuses(Against::Load), false),
            ("protection/fuse-over-conductor", fuses(Against::Rating), false),
            ("protection/breaking-capacity", fuses(Against::Breaking), false),
            ("protection/uncleared-fault", burning, true),
        ] {
            let named = if rule == "protection/fuse-over-conductor" { over.clone() } else { concerned(rule, all) };
            assert_eq!(found, named, "{}: {rule}", text.name);
            if !found.is_empty() {
                seen.insert(rule);
            }
        }
        // A conductor that is too thin alone is one rule's, one that is too thin in its bundle another's; of one that takes
        // more than its share beside others a third says, also where it withstands it.
        let thin: BTreeSet<&str> =
            ["conductor/undersized", "conductor/overheated"].iter().flat_map(|rule| concerned(rule, false)).collect();
        let uneven = concerned("conductor/uneven-parallel", true);
        let beyond = conductors(Against::Load);
        assert!(thin.is_subset(&beyond), "{}: {thin:?}, {beyond:?}", text.name);
        let untold: Vec<_> = beyond.iter().filter(|name| !thin.contains(*name) && !uneven.contains(*name)).collect();
        assert!(untold.is_empty(), "{}: no rule reports {untold:?}", text.name);
        seen.extend((!thin.is_empty()).then_some("conductor"));
    }
    assert_eq!(seen.len(), 5, "no text makes the others speak: {seen:?}");
}

#[test]
fn columns_that_do_not_fit_are_named() {
    for width in ["60", "80", "120"] {
        let done = lift(&["loads", "-", "--width", width]);
        assert_eq!(done.code, exit::CLEAN);
        let most: usize = width.parse().unwrap();
        assert!(done.out.lines().all(|line| line.width() <= most), "{width}:\n{}", done.out);
    }
    let narrow = lift(&["loads", "-", "--width", "60"]).out;
    let words = narrow.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("fuses: no room for") && words.contains("`--format csv` too"), "{narrow}");
    let said = words.split("shows all").next().unwrap().rsplit("`--width ").next().unwrap().trim_end_matches("` ");
    let wide = lift(&["loads", "-", "--by", "fuse", "--width", said.trim_end_matches('`')]).out;
    assert!(!wide.contains("no room"), "{said}:\n{wide}");
}

#[test]
fn colour_and_character_set_change_no_word() {
    let terminal =
        Terminal { out_colour: true, err_colour: true, err_terminal: false, width: Some(80), height: None, unicode: true };
    for args in [&["trace", "-", "lift.2"][..], &["loads", "-"]] {
        let coloured = harness_at(terminal, LIFT, args).out;
        assert!(coloured.contains('\u{1b}'));
        let plain: String = coloured
            .split('\u{1b}')
            .enumerate()
            .map(|(at, part)| if at == 0 { part } else { part.split_once('m').unwrap().1 })
            .collect();
        let trimmed: String = plain.lines().map(|line| line.trim_end().to_owned() + "\n").collect();
        assert_eq!(trimmed, lift(args).out);
        let mut ascii = args.to_vec();
        ascii.push("--ascii");
        assert!(lift(&ascii).out.is_ascii(), "{}", lift(&ascii).out);
    }
}

#[test]
fn names_are_found_by_their_end_and_others_are_helped() {
    assert_eq!(lift(&["trace", "-", "F1"]).out, lift(&["trace", "-", "fuse-box.F1"]).out);
    assert_eq!(lift(&["trace", "-", "wire lift.2"]).out, lift(&["trace", "-", "lift.2"]).out);
    let several = lift(&["trace", "-", "pump"]);
    assert_eq!((several.code, several.out.as_str()), (exit::FAILED, ""));
    assert_eq!(
        several.err,
        "error: failed to trace `pump` in `-`: that is not a single thing; write one of `pump.motor`, `pump.J1.1` or `pump.J1.2`\n"
    );
    let unknown = lift(&["trace", "-", "fusebox.F1"]);
    assert_eq!(unknown.code, exit::FAILED);
    assert!(unknown.err.contains("nothing has this name; did you mean `fuse-box.F1`?"), "{}", unknown.err);
    let stranger = lift(&["trace", "-", "quite-another"]);
    assert!(stranger.err.contains("`harness loads` lists all"), "{}", stranger.err);
    let mode = lift(&["loads", "-", "--mode", "hoistin"]);
    assert_eq!(mode.code, exit::FAILED);
    assert!(mode.err.contains("did you mean `hoisting`?"), "{}", mode.err);
}

#[test]
fn a_mode_alone_is_computed_alone() {
    let value = document("loads", &lift(&["loads", "-", "--mode", "parked", "--format", "json"]));
    assert_eq!(value["modes"], Value::from(vec!["parked"]));
    assert!(value["conductors"].as_array().unwrap().iter().all(|row| row["mode"].is_null()), "{value}");
}

#[test]
fn what_could_not_be_read_or_computed_is_said() {
    let broken = LIFT.replace("size: 1 mm2", "size: 1");
    let done = harness_at(Terminal::PIPE, &broken, &["loads", "-"]);
    let words = done.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(done.code, exit::CLEAN);
    assert!(words.contains("not known: what the file says at 2 mistakes (`harness check` shows them)"), "{}", done.out);
    assert!(words.contains("without a capacity: size, rated temperature or ambient is not given"), "{}", done.out);
    let trace = harness_at(Terminal::PIPE, &broken, &["trace", "-", "lift.2"]).out;
    assert!(trace.split_whitespace().collect::<Vec<_>>().join(" ").contains("its size not given"), "{trace}");
    let empty = harness_at(Terminal::PIPE, "", &["loads", "-"]);
    assert_eq!(empty.code, exit::CLEAN);
    assert!(empty.out.contains("no fuse to list") && empty.out.contains("not known:"), "{}", empty.out);
    let nothing = harness_at(Terminal::PIPE, "format: 1\nlooms: [", &["trace", "-", "lift.2"]);
    assert_eq!(nothing.code, exit::FAILED);
    assert!(nothing.err.contains("nothing has this name") && nothing.err.contains("mistake"), "{}", nothing.err);
}

#[test]
fn two_runs_give_the_same_bytes() {
    for args in [&["trace", "front.101"][..], &["trace", "front.101", "--format", "json"], &["loads", "--format", "csv"]] {
        let (command, rest) = args.split_first().unwrap();
        assert_eq!(tractor(command, rest).out, tractor(command, rest).out);
    }
}

#[test]
fn loads_can_be_narrowed_to_little_margin_and_to_a_loom() {
    let rows = |args: &[&str]| -> Vec<Value> {
        let all: Vec<&str> = ["--format", "json"].iter().chain(args).copied().collect();
        let value: Value = serde_json::from_str(&tractor("loads", &all).out).unwrap();
        value["conductors"].as_array().unwrap().clone()
    };
    let (all, narrow) = (rows(&[]), rows(&["--below", "2", "--loom", "front"]));
    let is_meant = |row: &&Value| {
        row["conductor"].as_str().unwrap().starts_with("front.") && row["margin"].as_f64().is_some_and(|margin| margin < 2.0)
    };
    let expected: Vec<&Value> = all.iter().filter(is_meant).collect();
    assert!(!expected.is_empty() && expected.len() < all.len(), "{} of {}", expected.len(), all.len());
    assert_eq!(narrow.iter().collect::<Vec<_>>(), expected);
    let table = tractor("loads", &["--below", "2", "--loom", "front"]);
    let words = seen(&table).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("left out by `--below 2` `--loom front`: "), "{words}");
    let unknown = tractor("loads", &["--loom", "frnt"]);
    assert_eq!((unknown.code, unknown.err.contains("did you mean `front`?")), (exit::FAILED, true), "{}", unknown.err);
}

#[test]
fn a_pin_shows_the_findings_of_what_it_mates_with() {
    // The pump's connector and the loom's have other keys: the finding concerns the end, the pin is on the other side.
    let design = LIFT.replacen("key: A", "key: B", 1);
    assert_ne!(design, LIFT);
    for name in ["pump.J1.1", "lift.P1.1", "lift.P1"] {
        let done = harness_at(Terminal::PIPE, &design, &["trace", "-", name, "--format", "json"]);
        let value: Value = serde_json::from_str(&done.out).unwrap_or_else(|error| panic!("{name}: {error} {}", done.err));
        let found = value["findings"].as_array().unwrap();
        assert!(found.iter().any(|finding| finding["rule"] == "mating/key-mismatch"), "{name}: {found:#?}");
    }
}

#[test]
fn a_cable_a_mated_pair_and_the_point_of_an_element_are_traced() {
    let pair = document("trace", &tractor("trace", &["traction.H1", "--format", "json"]));
    let of_port = document("trace", &tractor("trace", &["pack.HV", "--format", "json"]));
    assert_eq!((&pair, pair["kind"].as_str()), (&of_port, Some("mated pair")));
    let names: Vec<&str> = pair["members"].as_array().unwrap().iter().map(|it| it["name"].as_str().unwrap()).collect();
    assert_eq!(names, ["traction.H1.A", "traction.H1.B", "traction.H1.1", "traction.H1.2"]);
    let cable = document("trace", &tractor("trace", &["traction.C1", "--format", "json"]));
    let wire = document("trace", &tractor("trace", &["traction.205", "--format", "json"]));
    let most = |value: &Value| {
        value["modes"].as_array().unwrap().iter().map(|mode| mode["current_A"].as_f64().unwrap()).fold(0.0, f64::max)
    };
    assert_eq!(cable["members"][0]["name"], "traction.205");
    assert!((cable["members"][0]["current_A"].as_f64().unwrap() - most(&wire)).abs() < 1e-9, "{cable:#}");
    let point = document("trace", &tractor("trace", &["fusebox.F4.1", "--format", "json"]));
    assert_eq!(point["name"], "fusebox.BAT");
}

#[test]
fn a_battery_on_charge_shows_what_it_takes_and_what_the_loads_take() {
    let battery = document("trace", &tractor("trace", &["aux-battery.cells", "--format", "json"]));
    let charges = battery["charges"].as_array().unwrap();
    assert!(!charges.is_empty(), "{battery:#}");
    for charge in charges {
        let given: f64 = charge["given"].as_array().unwrap().iter().map(|it| it["current_A"].as_f64().unwrap()).sum();
        let taken = charge["battery_A"].as_f64().unwrap() + charge["loads_A"].as_f64().unwrap();
        assert!((given - taken).abs() < 1e-3 * given, "{charge:#}");
    }
}
