//! `harness import` as people use it: what is said, what is written, what is left alone, and the same again after an edit.

use super::{findings, fresh, harness, imported, list, text, written};
use serde_json::Value;
use std::fs;

#[test]
fn a_list_of_sixty_wires_becomes_a_netlist_that_reads_and_asks_for_what_is_missing() {
    let folder = fresh("sixty");
    let out = imported(&folder, &[&list("valley-pickup.csv")], &[]);
    for line in [
        "valley-pickup.csv: wires, headings in row 3, 63 rows, loom `valley-pickup`",
        "valley-pickup.csv:64 column 'Gauge (AWG)': \"12 / 16\" holds two sizes",
        "valley-pickup.csv:66 column 'Color': \"WHT/WHT\" names one colour twice",
        "valley-pickup.csv:4: `Fuse box to bulkhead` is a heading of the rows below",
        "no cavity: the end `Dome lamp` of wire `133` names no cavity",
        "1. add the battery or supply as a device with a `source` inside: ",
        "name the housing of",
    ] {
        assert!(out.contains(line), "`{line}` is not in\n{out}");
    }
    assert!(out.lines().all(|line| line.chars().count() <= 80), "{out}");
    let found = findings(&folder);
    // The one cavity that the list leaves without a wire is all that is at fault; the rest is what no list says.
    let others: Vec<_> = found.iter().filter(|(rule, _)| !rule.starts_with("review/")).collect();
    assert_eq!(others.len(), 1, "{others:?}");
    assert_eq!(others[0].1, "pin `GC.J.8` for `spare sense` has no wire");
    let unsure = found.iter().filter(|(rule, _)| rule == "review/unsure-fact").count();
    assert!(unsure >= 10, "each doubt of the list is one of the design: {found:?}");
}

#[test]
fn findings_name_the_row_of_the_list() {
    let folder = fresh("rows");
    imported(&folder, &[&list("valley-pickup.csv")], &[]);
    let done = harness(&["check", "--format", "short", &text(&folder.join("design"))]);
    assert!(
        done.out.contains("pin `GC.J.8` for `spare sense` has no wire; nothing reaches this pin; list: valley-pickup.csv:65"),
        "{}",
        done.out
    );
}

#[test]
fn one_inserted_row_is_one_change_though_no_wire_has_a_number() {
    let folder = fresh("again");
    let old = fs::read_to_string(list("hill-tram.csv")).unwrap();
    let path = written(&folder, "tram.csv", &old);
    let first = imported(&folder, &[&path], &[]);
    assert!(!first.contains("since the last import"), "{first}");
    let same = imported(&folder, &[&path], &[]);
    assert!(same.contains("no change since the last import"), "{same}");
    let (head, rest) = old.split_at(old.find("|ECU|A26").unwrap());
    written(&folder, "tram.csv", &format!("{head}|ECU|A30|TPS|4|16 AWG|GRN/YEL|2 m\n{rest}"));
    let more = imported(&folder, &[&path], &[]);
    let changed: Vec<&str> =
        more.lines().skip_while(|line| !line.starts_with("changed since")).take_while(|line| !line.is_empty()).collect();
    assert_eq!(changed[0], "changed since the last import (3)");
    assert!(changed.iter().any(|line| line.contains("wire `tram.ECU.A30-TPS.4` added")), "{changed:?}");
    assert!(changed.iter().skip(1).all(|line| line.contains("added") || line.starts_with("    ")), "{changed:?}");
}

#[test]
fn what_people_own_is_made_once_and_left_alone() {
    let folder = fresh("own");
    imported(&folder, &[&list("hill-tram.csv")], &[]);
    let design = folder.join("design");
    // What is made from a list is nobody's to tidy, and what is begun for people is tidy.
    let tidy = harness(&["tidy", "--check", &text(&design)]);
    assert_eq!((tidy.code, tidy.err.as_str()), (0, ""), "{}", tidy.out);
    let facts = "looms:\n  hill-tram:\n    note: measured in March\nparts: { conductors: { thin: { rated: 105 degC } } }\n";
    fs::write(design.join("facts.yaml"), facts).unwrap();
    let mapping =
        fs::read_to_string(design.join("mapping.yaml")).unwrap().replace("Run: length", "Run: note # not a length to rely on");
    fs::write(design.join("mapping.yaml"), &mapping).unwrap();
    let out = imported(&folder, &[&list("hill-tram.csv")], &[]);
    assert!(out.contains("yours, left as they are: design.yaml, facts.yaml and mapping.yaml"), "{out}");
    assert_eq!(fs::read_to_string(design.join("facts.yaml")).unwrap(), facts);
    assert_eq!(fs::read_to_string(design.join("mapping.yaml")).unwrap(), mapping);
    // The mapping is obeyed: what was a length is a note.
    let made = fs::read_to_string(design.join("imported/hill-tram.yaml")).unwrap();
    assert!(!made.contains("length:") && made.contains("note: 0.9 m"), "{made}");
    // A further list is added to the mapping, whose comments stay.
    imported(&folder, &[&list("hill-tram.csv"), &list("orchard-sprayer.csv")], &[]);
    let added = fs::read_to_string(design.join("mapping.yaml")).unwrap();
    assert!(added.contains("# not a length to rely on") && added.contains("  orchard-sprayer.csv:\n    kind: wires"), "{added}");
    // A file of somebody's own among the generated ones stops it before anything is written.
    fs::write(design.join("imported/mine.yaml"), "looms: {}\n").unwrap();
    let done = harness(&["import", &list("hill-tram.csv"), "--out", &text(&design)]);
    assert_eq!(done.code, 2);
    assert!(done.err.contains("mine.yaml`: the folder of generated files holds a file of another kind"), "{}", done.err);
    assert!(design.join("imported/orchard-sprayer.yaml").exists());
}

#[test]
fn an_import_that_reads_no_wire_fails_and_writes_nothing() {
    let folder = fresh("none");
    for (name, rows, why) in [
        ("empty.csv", "", "no row of headings was recognised"),
        ("heads.csv", "Wire,From,To,AWG\n", "no wire was read"),
        ("prices.csv", "Bolt,Price\nM6,0.10\nM8,0.20\n", "`Bolt` is unread, `Price` is unread"),
        ("one-side.csv", "Wire,From,AWG\n1,P1:1,20\n2,P1:2,20\n", "no wire was read"),
        (
            "twice.csv",
            "Wire,From,To,Goes to,AWG\n1,P1:1,P2:1,P2:2,20\n2,P1:2,P2:3,P2:4,20\n",
            "`To` is to be decided, `Goes to` is to be decided",
        ),
    ] {
        let path = written(&folder, name, rows);
        let done = harness(&["import", &path, "--out", &text(&folder.join("design"))]);
        assert_eq!((done.code, done.out.as_str()), (2, ""), "{name}");
        assert!(done.err.contains(why), "{name}: {}", done.err);
    }
    assert!(!folder.join("design").exists());
    let done = harness(&["import", &text(&folder.join("missing.csv")), "--out", &text(&folder.join("design"))]);
    assert_eq!((done.code, done.err.contains("missing.csv`: no such file")), (2, true), "{}", done.err);
}

#[test]
fn a_mapping_that_does_not_fit_is_an_error_with_its_place() {
    let folder = fresh("mapping");
    let path = written(&folder, "a.csv", "Wire,From,To,AWG\n1,P1:1,P2:1,20\n");
    for (mapping, why) in [
        (
            "lists:\n  a.csv:\n    kind: wires\n    columns: { Gauge: size in AWG }\n",
            "the mapping names the column `Gauge` of `a.csv`, which is not there; its columns are `Wire`, `From`, `To`, `AWG`",
        ),
        ("lists:\n  a.csv:\n    kind: wire\n", "`wire` is not a kind of list"),
        ("lists:\n  a.csv:\n    kind: wires\n    columns: { AWG: gauge }\n", "`gauge` is not a meaning of a column"),
        ("lists:\n  a.csv:\n    kind: wires\n    colums: {}\n", "unknown field `colums`"),
        ("colours: { L: blue }\n", "`blue` is not in IEC letters; write `BU`"),
    ] {
        let file = written(&folder, "mapping.yaml", mapping);
        let done = harness(&["import", &path, "--out", &text(&folder.join("design")), "--mapping", &file]);
        assert_eq!(done.code, 2, "{mapping}");
        assert!(done.err.contains(why), "{mapping}: {}", done.err);
    }
    assert!(!folder.join("design").exists());
}

#[test]
fn the_own_table_of_colours_and_the_encoding_are_obeyed() {
    let folder = fresh("table");
    let file = written(&folder, "mapping.yaml", "colours: { bl: BU, gr: GY }\n");
    let out = imported(&folder, &[&list("orchard-sprayer.csv")], &["--mapping", &file, "--encoding", "windows-1252"]);
    assert!(!out.contains("could not be read") && !out.contains("is a guess"), "{out}");
    let made = fs::read_to_string(folder.join("design/imported/orchard-sprayer.yaml")).unwrap();
    assert!(made.contains("7: { from: X1.7, to: B1.a, size: 0.5 mm2, colour: BU, length: 400 mm, row: 8 }"), "{made}");
    assert!(made.contains("mast, 85 °C near the exhaust"), "{made}");
    let done = harness(&["import", &list("orchard-sprayer.csv"), "--out", &text(&folder.join("x")), "--encoding", "klingon"]);
    assert_eq!((done.code, done.err.contains("there is no encoding `klingon`")), (2, true));
}

#[test]
fn two_tables_of_pins_make_the_wires_that_their_numbers_join() {
    let folder = fresh("pins");
    let out = imported(&folder, &[&list("marsh-boat-J1.csv"), &list("marsh-boat-J2.csv")], &[]);
    assert!(out.contains("7 wires of loom `marsh-boat`") && !out.contains("conflicts"), "{out}");
    let found = findings(&folder);
    assert!(found.iter().all(|(rule, _)| rule == "review/missing-fact"), "{found:?}");
    let made = fs::read_to_string(folder.join("design/imported/marsh-boat-j1.yaml")).unwrap();
    for line in [
        "01: { signal: bilge pump, row: 3 }",
        "06: spare",
        "08: spare",
        "10: { need: optional, row: 12 }",
        "201: { from: J1.01, to: J2.A, size: 14 AWG, colour: BN/RD, row: 3 }",
    ] {
        assert!(made.contains(line), "{line}: {made}");
    }
}

#[test]
fn conflicts_of_the_lists_are_named_with_their_rows() {
    let folder = fresh("conflicts");
    let wires = written(
        &folder,
        "wires.csv",
        "Front loom: 9 wires\nWire,From,To,AWG,Color,Length (mm),Signal\n\
         1,P1:1,P2:1,20,RED,500,horn\n1,P1:2,P2:2,20,RED,500,lamp\n3,P1:3,P2:3,20,BLK,500,fan\n4,P1:3,P3:1,20,BLK,500,pump\n\
         5,P1:4,P2:4,20,GRN,500,spare feed\n90,P1:5,P2:5,20,BLU,500,light\nTotal,,,,,9000,\n",
    );
    let pins = written(&folder, "P2.csv", "Pin,Signal\n1,horn\n2,wiper\n2,lamp\n3,fan\n4,\n5,light\n");
    let other = written(&folder, "P2 as built.csv", "Plug,Pin,Signal\nP2,1,bell\n");
    let retired = written(&folder, "retired.csv", "Retired number,Reason\n90,cut out\n91,never built\n");
    let out = imported(
        &folder,
        &[&wires, &pins, &other, &retired],
        &[
            "--mapping",
            &written(
                &folder,
                "m.yaml",
                "lists:\n  P2.csv:\n    kind: pins\n    header-row: 1\n    plug: P2\n    columns: { Pin: pin, Signal: signal }\n  retired.csv:\n    kind: retired\n    header-row: 1\n    columns: { Retired number: number, Reason: note }\n",
            ),
        ],
    );
    let flat = out.split_whitespace().collect::<Vec<_>>().join(" ");
    for line in [
        "total: `Front loom: 9 wires` says 9 wires, and there are 6 rows of wires (wires.csv:1)",
        "total: the total says 9000 mm, and the rows add up to 3000 mm (wires.csv:9)",
        "duplicate number: the number `1` is on two wires of loom `wires` (wires.csv:3 and wires.csv:4)",
        "two signals: the pin `wires.P1.3` has 2 signals: `fan` and `pump` (wires.csv:5 and wires.csv:6)",
        "duplicate pin: pin 2 of plug `P2` is twice in its table: `wiper` and `lamp` (P2.csv:3 and P2.csv:4)",
        "tables differ: two tables of plug `P2` differ at pin 1: `horn` and `bell` (P2.csv:2 and P2 as built.csv:2)",
        "tables differ: pin 4 of plug `P2` is empty in its table, and wire `5` goes to it (P2.csv:6 and wires.csv:7)",
        "retired number: the number `90` is retired, and a wire of loom `wires` has it (retired.csv:2 and wires.csv:8)",
        "colour twice: wires of one colour in loom `wires`: BK on 2, RD on 2",
    ] {
        assert!(flat.contains(line), "`{line}` is not in\n{out}");
    }
}

#[test]
fn what_a_spreadsheet_changed_or_hides_is_read_and_said() {
    use rust_xlsxwriter::{ExcelDateTime, Format, Workbook};
    let folder = fresh("workbook");
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    sheet.set_name("Front").unwrap();
    let (unit, struck, date) = (
        Format::new().set_num_format("0.00\" mm²\""),
        Format::new().set_font_strikethrough(),
        Format::new().set_num_format("d-mmm"),
    );
    for (column, head) in (0u16..).zip(["Wire", "From", "To", "Size", "Colour", "Length (mm)"]) {
        sheet.write_string(0, column, head).unwrap();
    }
    for (row, number) in (1u32..=5).zip(101u32..) {
        sheet.write_number(row, 0, number).unwrap();
        sheet.write_string(row, 1, format!("P1:{row}")).unwrap();
        sheet.write_string(row, 2, format!("P2:{row}")).unwrap();
        sheet.write_number_with_format(row, 3, 0.5, &unit).unwrap();
        sheet.write_string(row, 4, "red").unwrap();
        sheet.write_number(row, 5, 400).unwrap();
    }
    sheet.set_row_hidden(2).unwrap();
    for (column, text) in (0u16..).zip(["103", "P1:3", "P2:3", "0.5 mm²", "red", "400"]) {
        sheet.write_string_with_format(3, column, text, &struck).unwrap();
    }
    sheet.write_datetime_with_format(4, 1, ExcelDateTime::from_ymd(2026, 2, 1).unwrap(), &date).unwrap();
    let path = folder.join("front.xlsx");
    book.save(&path).unwrap();
    let out = imported(&folder, &[&text(&path)], &[]);
    let flat = out.split_whitespace().collect::<Vec<_>>().join(" ");
    for line in [
        "front.xlsx, tab Front: wires",
        "front.xlsx, tab Front:5 column 'From': \"2026-02-01\" is a date: `1/2` becomes one when it is typed",
        "front.xlsx, tab Front: is hidden in the sheet, and is read in row 3",
        "front.xlsx, tab Front: is struck out, and is read in row 4",
    ] {
        assert!(flat.contains(line), "`{line}` is not in\n{out}");
    }
    let made = fs::read_to_string(folder.join("design/imported/front-front.yaml")).unwrap();
    assert!(
        made.contains("from: \"front.xlsx, tab Front\"")
            && made.contains("102: { from: P1.2, to: P2.2, size: 0.5 mm2, colour: RD, length: 400 mm, row: 3 }"),
        "{made}"
    );
    assert!(made.contains("unsure: [the row is struck out]"), "{made}");
}

#[test]
fn the_report_as_json_keeps_its_schema() {
    let folder = fresh("json");
    let schema: Value = serde_json::from_str(&harness(&["schema", "--of", "import"]).out).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    for _ in 0..2 {
        let out = imported(&folder, &[&list("valley-pickup.csv"), &list("orchard-sprayer.csv")], &["--format", "json"]);
        let report: Value = serde_json::from_str(&out).unwrap();
        let errors: Vec<String> = validator.iter_errors(&report).map(|error| error.to_string()).collect();
        assert!(errors.is_empty(), "{errors:?}");
        assert_eq!(report["wires"], 78);
        assert_eq!(report["unreadable"][0]["place"]["row"].as_u64(), Some(66));
        assert!(report["asked"][0]["checks"].as_u64().unwrap() > 100);
    }
}
