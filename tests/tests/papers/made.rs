//! Papers of small designs, each figure worked out by hand beside it.

use harness_tests::harness_at;

fn papers(design: &str, arguments: &[&str]) -> String {
    let all: Vec<&str> = ["papers", "-"].into_iter().chain(arguments.iter().copied()).collect();
    let done = harness_at(harness_cli::Terminal::PIPE, design, &all);
    assert_eq!(done.code, 0, "{all:?}: {}", done.err);
    done.out
}

fn rows(design: &str, arguments: &[&str]) -> Vec<std::collections::BTreeMap<String, String>> {
    let out = papers(design, &[arguments, &["--format", "csv"]].concat());
    let mut reader = csv::Reader::from_reader(out.as_bytes());
    let head: Vec<String> = reader.headers().expect("a head").iter().map(str::to_owned).collect();
    let rows = reader.records().map(|record| record.expect("a record"));
    rows.map(|record| head.iter().cloned().zip(record.iter().map(str::to_owned)).collect()).collect()
}

const LIFT: &str = r#"format: 1
design: Orchard lift
revision: A
bench:
  waste: 5 %
  spares: 10 %
  labels: ["{loom}-{wire}", "{here} to {there}", "{size} {colour} {nothing"]
parts:
  housings:
    Q2: { family: Q, face: [[1, 2]], seen-from: wire side, contacts: socket, key: A, sealed: yes, terminals: [q-small, q-large], plug: q-plug }
    Z3: { family: Z, positions: 3, contacts: pin, key: A, sealed: yes }
  terminals:
    q-small: { family: Q, size: 0.5 mm2 .. 1 mm2, strip-length: 4 mm, seal: q-seal, die: 1.0 }
    q-large: { family: Q, size: 1.5 mm2 .. 2.5 mm2, strip-length: 5 mm, die: 2.5 }
    z-pin:   { family: Z, size: 0.5 mm2 .. 1.5 mm2 }
    z-thick: { family: Z, size: 2.5 mm2 .. 4 mm2 }
looms:
  mast:
    allowance: 30 mm
    size: 1 mm2
    ends:
      P1: { housing: Q2, at: foot, reach: 120 mm }
      P2: { housing: Q2, at: head, plugged: [2] }
      P3: { housing: Z3 }
      R1: { ring: M6 }
    splices: { S1: {} }
    route:
      foot: { length: 400 mm, from: A, to: B, covering: conduit }
      head: { length: 1100 mm, from: B, to: C, covering: conduit }
      spur: { from: B, to: D }
    wires:
      1: { from: P1.1, to: P2.1, size: 2.5 mm2, colour: RD, via: [foot, head] }
      2: { from: P1.2, to: S1, colour: BK, via: [foot] }
      3: { from: S1, to: R1, colour: BK, length: 300 mm }
      4: { from: S1, to: P3.1, colour: BK, via: [spur] }
      5: { from: P3.2, to: R1, size: 2.5 mm2, colour: BK }
"#;

#[test]
fn a_length_is_that_of_the_design_or_follows_from_the_route_and_says_so() {
    let rows = rows(LIFT, &["cut-list", "--table", "wires"]);
    let of = |wire: &str| rows.iter().find(|row| row["wire"] == wire).unwrap_or_else(|| panic!("wire {wire}"));
    // 400 + 1100 of route, 120 of reach at P1, 30 at each of two ends.
    assert_eq!(
        (of("1")["length_mm"].as_str(), of("1")["length_from"].as_str()),
        ("1680", "route foot + head, reach 120 mm, allowance 60 mm")
    );
    // A splice is cut to fit: nothing is added there.
    assert_eq!(
        (of("2")["length_mm"].as_str(), of("2")["length_from"].as_str()),
        ("550", "route foot, reach 120 mm, allowance 30 mm")
    );
    assert_eq!((of("3")["length_mm"].as_str(), of("3")["length_from"].as_str()), ("300", "design"));
    assert_eq!(of("4")["length_from"], "no `length`, and none for segment spur of its route");
    assert_eq!(of("5")["length_from"], "no `length`, and no `via` to add it up from");
    assert_eq!((of("4")["length_mm"].as_str(), of("5")["length_mm"].as_str()), ("", ""));
    let text = papers(LIFT, &["cut-list"]);
    assert!(text.contains("not known: the length of 2 wires: "), "{text}");
}

#[test]
fn each_end_has_what_is_crimped_to_it() {
    let rows = rows(LIFT, &["cut-list", "--table", "wires"]);
    let end = |at: &str| {
        rows.iter()
            .flat_map(|row| ["from", "to"].map(|end| (row, end)))
            .find(|(row, end)| row[*end] == at)
            .map(|(row, end)| ["sort", "terminal", "strip_mm", "die", "seal"].map(|key| row[&format!("{end}_{key}")].clone()))
            .unwrap_or_else(|| panic!("{at}"))
    };
    assert_eq!(end("mast.P1.1"), ["cavity", "q-large", "5", "2.5", ""]);
    assert_eq!(end("mast.P1.2"), ["cavity", "q-small", "4", "1.0", "q-seal"]);
    assert_eq!(end("mast.P3.1"), ["cavity", "", "", "", ""]);
    assert_eq!(end("mast.R1"), ["ring M6", "", "", "", ""]);
    assert_eq!(end("mast.S1"), ["splice", "", "", "", ""]);
}

#[test]
fn the_totals_have_the_waste_and_the_spares_of_the_workshop() {
    let spools = rows(LIFT, &["cut-list", "--table", "spools"]);
    let red = spools.iter().find(|row| row["colour"] == "RD").expect("red wire");
    assert_eq!((red["length_m"].as_str(), red["with_waste_m"].as_str()), ("1.68", "1.764"));
    let black = spools.iter().find(|row| row["colour"] == "BK" && row["size"] == "1 mm²").expect("black wire");
    // 0.55 and 0.3 m; the third has no length.
    assert_eq!((black["length_m"].as_str(), black["pieces"].as_str(), black["without_length"].as_str()), ("0.85", "3", "1"));
    let totals = rows(LIFT, &["parts-list", "--table", "totals"]);
    let of = |sort: &str, name: &str| {
        let row = totals.iter().find(|row| row["sort"] == sort && row["name"] == name).unwrap_or_else(|| panic!("{sort} {name}"));
        (row["count"].clone(), row["spares"].clone())
    };
    assert_eq!(of("terminal", "q-large"), ("2".to_owned(), "1".to_owned()));
    assert_eq!(of("housing", "Q2"), ("2".to_owned(), String::new()));
    assert_eq!(of("cavity plug", "q-plug"), ("1".to_owned(), "1".to_owned()));
    assert_eq!(of("splice", "of 3 wires"), ("1".to_owned(), "1".to_owned()));
    let conduit = totals.iter().find(|row| row["sort"] == "covering").expect("conduit");
    assert_eq!(conduit["length_m"], "1.5");
}

#[test]
fn what_nobody_has_chosen_is_listed_with_what_would_fit() {
    let open = rows(LIFT, &["parts-list", "--table", "not-chosen"]);
    let said: Vec<[&str; 5]> =
        open.iter().map(|row| ["end", "what", "size", "cavities", "fits"].map(|key| row[key].as_str())).collect();
    // The larger terminal of Q names no seal, though its housing is sealed.
    assert_eq!(
        said,
        [
            ["mast.P1", "seal", "2.5 mm²", "1", ""],
            ["mast.P2", "seal", "2.5 mm²", "1", ""],
            ["mast.P3", "terminal", "1 mm²", "1", "z-pin"],
            ["mast.P3", "terminal", "2.5 mm²", "2", "z-thick"],
        ]
    );
}

/// An end whose housing nobody named is asked for as a whole, with the kind that mates its other half; a ring needs none.
#[test]
fn an_end_without_a_housing_is_listed_with_what_mates_its_other_half() {
    let lamp =
        "    Q2-pins: { family: Q, face: [[1, 2]], seen-from: wire side, contacts: pin, key: A, sealed: yes }\n  terminals:";
    let device = "devices:\n  lamp: { ports: { J1: { housing: Q2-pins, pins: { 1: lamp, 2: ground } } } }\nlooms:\n";
    let design = LIFT
        .replacen("  terminals:", lamp, 1)
        .replacen("looms:\n", device, 1)
        .replacen("P1: { housing: Q2,", "P1: { mates: lamp.J1,", 1)
        .replacen("P3: { housing: Z3 }", "P3: {}", 1);
    let open = rows(&design, &["parts-list", "--table", "not-chosen"]);
    let said: Vec<[&str; 4]> = open.iter().map(|row| ["end", "what", "cavities", "fits"].map(|key| row[key].as_str())).collect();
    assert!(said.contains(&["mast.P3", "housing", "1, 2", ""]), "{said:?}");
    assert!(!said.iter().any(|row| row[0] == "mast.R1"), "{said:?}");
    // The kind that it has from its other half, as `mates-with` or the only one that fits would give it, or asked for by name.
    assert!(said.contains(&["mast.P1", "housing", "1, 2", "Q2"]), "{said:?}");
}

#[test]
fn a_label_is_filled_from_the_template_of_the_workshop() {
    let labels = rows(LIFT, &["labels", "--end", "mast.P1"]);
    let first = labels.iter().find(|row| row["at"] == "mast.P1.1").expect("a label");
    assert_eq!(
        (first["line1"].as_str(), first["line2"].as_str(), first["line3"].as_str()),
        ("mast-1", "P1.1 to P2.1", "2.5 mm2 RD {nothing")
    );
    let wrong = LIFT.replace("{loom}", "{lom}");
    let done = harness_at(harness_cli::Terminal::PIPE, &wrong, &["check", "-", "--format", "short"]);
    assert!(done.out.contains("the label has `{lom}`, which is the name of nothing that it can show"), "{}", done.out);
    let text = papers(&wrong, &["labels"]);
    assert!(text.contains("not known: what the file says at 1 mistake"), "{text}");
}

#[test]
fn a_face_is_seen_from_both_sides_and_each_view_is_named() {
    let text = papers(LIFT, &["connector-sheets", "--end", "mast.P1"]);
    let views: Vec<&str> = text.lines().skip_while(|line| !line.contains("mating face:")).take(4).map(str::trim).collect();
    assert_eq!(views, ["mating face:", "[2] [1]", "wire side:", "[1] [2]"], "the design gives the wire side");
    let none = papers(LIFT, &["connector-sheets", "--end", "mast.P3"]);
    assert!(none.contains("no face given") && !none.contains("mating face:"), "{none}");
}

#[test]
fn a_paper_that_is_asked_for_by_a_wrong_name_is_answered() {
    let of = |arguments: &[&str]| harness_at(harness_cli::Terminal::PIPE, LIFT, &[&["papers", "-"], arguments].concat());
    let loom = of(&["cut-list", "--loom", "mats"]);
    assert_eq!((loom.code, loom.out.as_str()), (2, ""));
    assert!(loom.err.contains("the design has no such loom") && loom.err.contains("`mast`"), "{}", loom.err);
    let table = of(&["cut-list", "--format", "csv", "--table", "wire"]);
    assert!(table.code == 2 && table.err.contains("no table is called `wire`; there are `wires`, `spools`"), "{}", table.err);
}
