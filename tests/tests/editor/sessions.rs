//! Whole sessions over the files of the demo: open, break, fix, look, go, rename over files.

use super::client::{Client, Units, uri};
use harness_tests::fixtures;
use lsp_server::Connection;
use serde_json::{Value, json};
use std::{
    fs,
    path::{Path, PathBuf},
};

fn demo(file: &str) -> PathBuf {
    fixtures().join("written-out/terrace-tractor").join(file).canonicalize().unwrap()
}

/// What is written up to the first cavity of `P1` that a wire names.
fn cavity(text: &str) -> String {
    let line = text.lines().find(|line| line.contains("from: P1.1,")).unwrap();
    line.split_once("P1.1").unwrap().0.to_owned() + "P1.1"
}

/// The text that a location names.
fn named(client: &Client<'_>, location: &Value) -> (String, String) {
    let uri = location["uri"].as_str().unwrap();
    let text = client.text(uri);
    let start = super::client::byte(&text, &location["range"]["start"], client.units);
    let line = text[start..].lines().next().unwrap_or("").to_owned();
    (uri.rsplit('/').next().unwrap().to_owned(), line)
}

fn all_named(client: &Client<'_>, locations: &Value) -> Vec<(String, String)> {
    locations.as_array().unwrap_or(&Vec::new()).iter().map(|location| named(client, location)).collect()
}

#[test]
fn a_misspelt_name_turns_red_before_the_key_is_up_and_one_key_fixes_it() {
    for units in [Units::Utf16, Units::Utf8] {
        let ends = Connection::memory();
        let mut client = Client::begun(&ends, units);
        let front = client.open_file(&demo("looms/front.yaml"));
        client.run();
        assert_eq!(client.findings(&front), [], "a file of the design shows what the design has: nothing");
        assert!(client.shown.values().all(Vec::is_empty), "{:?}", client.shown);
        client.replace(&front, "mates: horn.J1", "mates: hornn.J1");
        client.run();
        let found = client.findings(&front);
        assert!(found.contains(&("format/unknown-name".to_owned(), "hornn.J1".to_owned())), "{found:?}");
        let text = client.text(&front);
        let at = super::client::place(&text, text.find("hornn").unwrap() + 2, units);
        let params =
            json!({ "textDocument": { "uri": front }, "range": { "start": at, "end": at }, "context": { "diagnostics": [] } });
        let actions = client.request("textDocument/codeAction", params).unwrap();
        let action = &actions[0];
        assert_eq!(
            (&action["title"], &action["isPreferred"], &action["kind"]),
            (&json!("write `horn`"), &json!(true), &json!("quickfix"))
        );
        assert_eq!(action["diagnostics"][0]["code"], "format/unknown-name");
        assert!(client.apply(&action["edit"]).is_empty());
        client.run();
        assert_eq!(client.findings(&front), []);
        assert_eq!(client.text(&front), fs::read_to_string(demo("looms/front.yaml")).unwrap());
    }
}

#[test]
fn a_misspelt_pin_is_red_and_has_the_one_free_cavity_as_its_fix() {
    let ends = Connection::memory();
    let mut client = Client::begun(&ends, Units::Utf16);
    let front = client.open_file(&demo("looms/front.yaml"));
    client.replace(&front, "to: P8.1,", "to: P8.11,");
    client.run();
    let found = client.findings(&front);
    assert!(found.contains(&("format/unknown-name".to_owned(), "P8.11".to_owned())), "{found:?}");
    let text = client.text(&front);
    let at = super::client::place(&text, text.find("P8.11").unwrap() + 4, client.units);
    let context = json!({ "diagnostics": [], "triggerKind": 2 });
    let params = json!({ "textDocument": { "uri": front }, "range": { "start": at, "end": at }, "context": context });
    let actions = client.request("textDocument/codeAction", params).unwrap();
    assert_eq!(actions.as_array().unwrap().len(), 1, "{actions}");
    assert_eq!((&actions[0]["title"], &actions[0]["isPreferred"]), (&json!("write `P8.1`"), &json!(true)));
    client.apply(&actions[0]["edit"]);
    client.run();
    assert_eq!(client.findings(&front), []);
    assert_eq!(client.text(&front), fs::read_to_string(demo("looms/front.yaml")).unwrap());
}

#[test]
fn what_a_change_does_to_other_files_is_shown_there_and_goes_when_it_is_put_right_or_closed() {
    let ends = Connection::memory();
    let mut client = Client::begun(&ends, Units::Utf16);
    let fuses = client.open_file(&demo("parts/conductors-and-fuses.yaml"));
    client.run();
    let text = client.text(&fuses);
    // A fuse kind of another name: whoever names it is elsewhere.
    let line = text.lines().find(|line| line.contains("blade-10:")).unwrap().to_owned();
    client.replace(&fuses, &line, &line.replace("blade-10:", "blade-11:"));
    client.run();
    let elsewhere = |client: &Client<'_>| client.shown.iter().filter(|(uri, found)| **uri != fuses && !found.is_empty()).count();
    assert!(elsewhere(&client) > 0, "{:?}", client.shown.keys());
    let finding = client.shown.values().flatten().find(|finding| finding["code"] == "format/unknown-name").unwrap().clone();
    assert_eq!((&finding["severity"], &finding["source"]), (&json!(1), &json!("harness")));
    assert!(finding["message"].as_str().unwrap().contains("`blade-10`"), "{finding}");
    client.replace(&fuses, "blade-11:", "blade-10:");
    client.run();
    assert!(client.shown.values().all(Vec::is_empty));
    client.replace(&fuses, "blade-10:", "blade-11:");
    client.run();
    assert!(elsewhere(&client) > 0);
    client.close(&fuses);
    client.run();
    assert!(client.shown.values().all(Vec::is_empty), "the file on disk counts again, and nobody looks at the design");
}

#[test]
fn a_danger_is_an_error_with_both_parties_and_their_places() {
    let ends = Connection::memory();
    let mut client = Client::begun(&ends, Units::Utf16);
    let draft = client.open_file(&fixtures().join("terrace-tractor-draft/draft.yaml"));
    client.run();
    let crossing = client.shown[&draft].iter().find(|finding| finding["code"] == "domain/crossing").unwrap();
    assert_eq!(crossing["severity"], 1);
    assert!(crossing["message"].as_str().unwrap().starts_with("danger: `traction`"), "{crossing}");
    assert!(crossing["message"].as_str().unwrap().contains("\nhelp: "));
    let related = crossing["relatedInformation"].as_array().unwrap();
    assert_eq!(related.len(), 2);
    assert!(related.iter().all(|other| other["message"].as_str().unwrap().contains("is of")));
    let severities: std::collections::BTreeSet<u64> =
        client.shown[&draft].iter().map(|finding| finding["severity"].as_u64().unwrap()).collect();
    assert!(severities.is_superset(&[1, 2].into()), "{severities:?}");
}

#[test]
fn a_file_that_no_design_includes_is_checked_for_its_spelling_alone() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("editor part alone");
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(folder.join("looms")).unwrap();
    let path = folder.join("looms/front.yaml");
    let text = fs::read_to_string(demo("looms/front.yaml")).unwrap().replacen("housing:", "housin:", 1);
    fs::write(&path, &text).unwrap();
    let ends = Connection::memory();
    let mut client = Client::begun(&ends, Units::Utf16);
    let front = client.open_file(&path);
    client.run();
    let found = client.findings(&front);
    assert_eq!(found, [("editor/no-design".to_owned(), String::new()), ("format/unknown-key".to_owned(), "housin".to_owned())]);
    // A design above that includes it is found as soon as it is there, on disk or not.
    let root = uri(&folder.canonicalize().unwrap()).to_owned() + "/lift.yaml";
    client.open(&root, "format: 1\ndesign: Lift\ninclude: [looms/front.yaml]\n");
    client.run();
    let found = client.findings(&front);
    assert!(!found.iter().any(|(rule, _)| rule == "editor/no-design"), "{found:?}");
    assert!(found.iter().any(|(rule, _)| rule == "format/unknown-name"), "its names are missing in this design");
    client.close(&root);
    client.run();
    assert_eq!(client.findings(&front).len(), 2);
    client.close(&front);
    client.run();
    assert!(client.shown.values().all(Vec::is_empty));
}

#[test]
fn what_is_known_of_a_wire_a_pin_a_fuse_and_a_key_is_shown() {
    let ends = Connection::memory();
    let mut client = Client::begun(&ends, Units::Utf16);
    let front = client.open_file(&demo("looms/front.yaml"));
    let text = client.text(&front);
    let wire = text.lines().find(|line| line.contains("from: P1.1,")).unwrap().trim_start();
    let number = wire.split(':').next().unwrap();
    let hover = |client: &mut Client<'_>, before: &str| {
        let found = client.at("textDocument/hover", &front, before, json!({})).unwrap();
        found["contents"]["value"].as_str().unwrap_or("").to_owned()
    };
    let said = hover(&mut client, &format!("      {number}"));
    assert!(said.starts_with(&format!("**wire** `front.{number}`")), "{said}");
    assert!(said.contains("fuses before it: `fusebox.") && said.contains("current: ") && said.contains("margin: "), "{said}");
    let said = hover(&mut client, &cavity(&text));
    assert!(said.starts_with("**cavity** `front.P1.1`") && said.contains("net: "), "{said}");
    let said = hover(&mut client, "      P8:  { hous");
    assert!(said.starts_with("**housing**\n\nThe housing kind"), "{said}");
    let said = hover(&mut client, "    wire: thin-p");
    assert!(said.starts_with("**conductor kind** `thin-pvc`, used"), "{said}");
    let fuse = client.open_file(&demo("devices/auxiliary.yaml"));
    let found = client.at("textDocument/hover", &fuse, "      F1: { fuse: strip-125", json!({})).unwrap();
    assert!(found["contents"]["value"].as_str().unwrap().starts_with("**fuse kind** `strip-125`, used"), "{found}");
    assert!(found["contents"]["value"].as_str().unwrap().contains("rating: 125 A"), "its line is shown: {found}");
    let found = client.at("textDocument/hover", &fuse, "inside:\n      F1", json!({})).unwrap();
    let said = found["contents"]["value"].as_str().unwrap();
    assert!(said.starts_with("**element** `battery-fuse.F1`") && said.contains("protects: "), "{said}");
    // A line that is half typed takes nothing from the others.
    client.replace(&front, "      P9:  {", "      P99: { housing: [\n      P9:  {");
    let said = hover(&mut client, &format!("      {number}"));
    assert!(said.starts_with("**wire**"), "{said}");
}

#[test]
fn one_goes_from_a_name_to_its_thing_its_kind_its_uses_and_its_other_side() {
    let ends = Connection::memory();
    let mut client = Client::begun(&ends, Units::Utf16);
    let front = client.open_file(&demo("looms/front.yaml"));
    let go = |client: &mut Client<'_>, method: &str, before: &str| {
        let more = json!({ "context": { "includeDeclaration": true } });
        let found = client.at(&format!("textDocument/{method}"), &front, before, more).unwrap();
        all_named(client, &found)
    };
    let horn = go(&mut client, "definition", "P8:  { housing: QM-2D-S, mates: horn");
    assert_eq!(horn.len(), 1);
    assert!(horn[0].0 == "auxiliary.yaml" && horn[0].1 == "horn:", "{horn:?}");
    let port = go(&mut client, "definition", "P8:  { housing: QM-2D-S, mates: horn.J1");
    assert!(port[0].1.starts_with("J1:"), "{port:?}");
    let mate = go(&mut client, "implementation", "      P8");
    assert_eq!(mate, port, "the other side of an end is its mate");
    let kind = go(&mut client, "typeDefinition", "      P8");
    assert!(kind[0].0 == "housings.yaml" && kind[0].1.starts_with("QM-2D-S:"), "{kind:?}");
    // From a cavity to the pin that it meets, then to the other ends of its wires.
    let cavity = cavity(&fs::read_to_string(demo("looms/front.yaml")).unwrap());
    let sides = go(&mut client, "implementation", &cavity);
    assert!(sides.len() >= 2 && sides[0].0 == "auxiliary.yaml" && sides[0].1.starts_with("1:"), "{sides:?}");
    assert!(sides[1..].iter().all(|(file, _)| file == "front.yaml"), "{sides:?}");
    let pin = go(&mut client, "definition", &cavity);
    assert_eq!(pin, sides[..1]);
    let uses = go(&mut client, "references", "    zone: hood\n    ends".split("\n    ends").next().unwrap());
    assert!(
        uses.len() > 20 && uses.iter().any(|(file, line)| file == "tractor.yaml" && line.starts_with("hood:")),
        "{}",
        uses.len()
    );
    assert!(uses.iter().all(|(_, line)| line.starts_with("hood")));
    let tractor = client.open_file(&demo("tractor.yaml"));
    let found = client.at("textDocument/definition", &tractor, "looms/fro", json!({})).unwrap();
    assert!(found[0]["uri"].as_str().unwrap().ends_with("/looms/front.yaml"), "{found}");
}

#[test]
fn a_name_is_changed_in_every_file_and_the_design_stays_clean() {
    let ends = Connection::memory();
    let mut client = Client::begun(&ends, Units::Utf16);
    let front = client.open_file(&demo("looms/front.yaml"));
    let before = "P8:  { housing: QM-2D-S, mates: horn";
    let asked = client.at("textDocument/prepareRename", &front, before, json!({})).unwrap();
    assert_eq!(asked["placeholder"], "horn");
    let (code, why) = client.at("textDocument/rename", &front, before, json!({ "newName": "washer-pump" })).unwrap_err();
    assert_eq!((code, why.as_str()), (-32803, "the device `washer-pump` bears this name already"));
    let cavity = cavity(&client.text(&front));
    let label = client.at("textDocument/prepareRename", &front, &cavity, json!({})).unwrap_err();
    assert!(label.1.contains("the label of its housing"), "{label:?}");
    let edit = client.at("textDocument/rename", &front, before, json!({ "newName": "hooter" })).unwrap();
    let others = client.apply(&edit);
    assert!(others.keys().any(|uri| uri.ends_with("/devices/auxiliary.yaml")), "{:?}", others.keys());
    for (uri, text) in others {
        client.open(&uri, &text);
    }
    client.run();
    assert!(client.text(&front).contains("mates: hooter.J1"));
    assert!(client.shown.values().all(Vec::is_empty), "{:?}", client.shown);
}

#[test]
fn the_outline_is_that_of_looms_and_devices_and_folds_by_them() {
    let ends = Connection::memory();
    let mut client = Client::begun(&ends, Units::Utf16);
    let front = client.open_file(&demo("looms/front.yaml"));
    let text = client.text(&front);
    let params = json!({ "textDocument": { "uri": front } });
    let found = client.request("textDocument/documentSymbol", params.clone()).unwrap();
    let names: Vec<&str> = found.as_array().unwrap().iter().map(|item| item["name"].as_str().unwrap()).collect();
    assert_eq!(names, ["front"]);
    let inner = found[0]["children"].as_array().unwrap();
    assert!(inner.iter().any(|item| item["name"] == "P8" && item["detail"].as_str().unwrap().contains("horn.J1")));
    let folds = client.request("textDocument/foldingRange", params).unwrap();
    let first = |line: &str| text.lines().position(|known| known == line).unwrap() as u64;
    for line in ["looms:", "  front:", "    ends:", "    wires:"] {
        assert!(folds.as_array().unwrap().iter().any(|fold| fold["startLine"] == first(line)), "{line}");
    }
    let last = text.trim_end().lines().count() as u64 - 1;
    assert!(folds.as_array().unwrap().iter().any(|fold| fold["endLine"] == last));
    let found = client.request("workspace/symbol", json!({ "query": "HORN" })).unwrap();
    let names: Vec<&str> = found.as_array().unwrap().iter().map(|item| item["name"].as_str().unwrap()).collect();
    assert_eq!(names[0], "horn");
    assert!(names.contains(&"horn.J1") && names.contains(&"horn-button"), "{names:?}");
}

#[test]
fn keys_names_words_and_free_places_are_proposed() {
    let ends = Connection::memory();
    let mut client = Client::begun(&ends, Units::Utf16);
    let front = client.open_file(&demo("looms/front.yaml"));
    let line = "      P9:  {";
    client.replace(&front, line, &format!("      P99: {{ housing: , mates: }}\n{line}"));
    let housings = client.completions(&front, "P99: { housing: ");
    assert!(housings.contains(&"QM-2D-S".to_owned()), "{housings:?}");
    let mates = client.completions(&front, "P99: { housing: , mates: ");
    assert!(mates.len() > 40 && mates.contains(&"horn.J1".to_owned()));
    client.replace(&front, "P99: { housing: , mates: }", "P99: { housing: QM-2D-S, mates:  }");
    let mates = client.completions(&front, "P99: { housing: QM-2D-S, mates: ");
    let taken = mates.iter().position(|name| name == "horn.J1").unwrap();
    assert!(taken > 0, "what is mated already comes last: {mates:?}");
    client.replace(&front, "P99: { housing: QM-2D-S, mates:  }", "P99: { bolts-to:  }");
    let studs = client.completions(&front, "P99: { bolts-to: ");
    assert!(studs.contains(&"chassis.G1".to_owned()) && !studs.contains(&"horn.J1".to_owned()), "{studs:?}");
    client.replace(&front, "P99: { bolts-to:  }", "P99: { bolts-to: chassis.G1,  }");
    let keys = client.completions(&front, "P99: { bolts-to: chassis.G1, ");
    assert!(keys.contains(&"housing".to_owned()) && !keys.contains(&"bolts-to".to_owned()), "{keys:?}");
    let tractor = client.open_file(&demo("tractor.yaml"));
    assert_eq!(client.completions(&tractor, "reference: fl"), ["floating"]);
    assert!(client.completions(&tractor, "  mains:    { nominal: 230 V, max: 253 V, kind: ").contains(&"ac".to_owned()));
    let found = client.at("textDocument/completion", &tractor, "traction: { no", json!({})).unwrap();
    let item = found["items"].as_array().unwrap().iter().find(|item| item["label"] == "nominal").unwrap().clone();
    assert_eq!(item["documentation"], "Nominal voltage.");
    assert_eq!(item["textEdit"]["newText"], "nominal", "the colon is there");
    let files = client.completions(&tractor, "  - devices/ca");
    assert!(files.contains(&"devices/cab.yaml".to_owned()), "{files:?}");
}

const SHARED: &str = "format: 1
design: Lift
include: [facts.yaml]
parts:
  housings:
    eight-pins: { family: QL, positions: 8, contacts: pin }
    eight-sockets: { family: QL, positions: 8, contacts: socket }
devices:
  box:
    ports: { J1: { housing: eight-pins, pins: { 1: { signal: feed }, 3..6: spare, \"7, 8\": { role: input } } } }
    inside: { R: { resistor: 1 kohm, from: J1.7, to: J1.8 } }
looms:
  main:
    ends: { P1: { housing: eight-sockets, mates: box.J1, plugged: [3..6] } }
    wires:
      1: { from: P1.1, to: P1.2 }
      2: { from: P1.7, to: capped }
";

#[test]
fn several_cavities_in_one_word_and_one_thing_in_several_files_are_understood() {
    let ends = Connection::memory();
    let mut client = Client::begun(&ends, Units::Utf16);
    let (root, facts) = ("file:///nowhere/lift.yaml", "file:///nowhere/facts.yaml");
    client.open(facts, "format: 1\nzones: { grill: { wet: true } }\ndevices:\n  box: { zone: grill, case: insulating }\n");
    client.open(root, SHARED);
    client.run();
    assert_eq!(client.findings(facts), [], "facts of a thing that another file has");
    let go = |client: &mut Client<'_>, before: &str| {
        let found = client.at("textDocument/definition", root, before, json!({})).unwrap();
        all_named(client, &found)
            .into_iter()
            .map(|(file, line)| format!("{file} {}", line.split(':').next().unwrap()))
            .collect::<Vec<_>>()
    };
    assert_eq!(go(&mut client, "from: P1.7"), ["lift.yaml \"7, 8\""]);
    assert_eq!(go(&mut client, "to: J1.8"), ["lift.yaml \"7, 8\""]);
    assert_eq!(go(&mut client, "mates: bo"), ["lift.yaml box", "facts.yaml box"]);
    client.replace(root, "to: capped }\n", "to: capped }\n      3: { from: P1.\n");
    assert_eq!(client.completions(root, "3: { from: P1."), ["P1.8"], "the others have a wire or a plug");
    client.replace(root, "{ role: input } } }", "{ role: input },  } }");
    assert_eq!(client.completions(root, "{ role: input }, "), ["2"], "the others are given");
    let edit = client.at("textDocument/rename", root, "mates: bo", json!({ "newName": "case" })).unwrap();
    assert!(client.apply(&edit).is_empty());
    assert!(client.text(facts).contains("  case: { zone: grill, case: insulating }"), "{}", client.text(facts));
    let asked = client.at("textDocument/prepareRename", root, "{ signal: feed }, 3..", json!({})).unwrap_err();
    assert!(asked.1.contains("for several things"), "{asked:?}");
}

#[test]
fn files_that_are_no_netlists_are_left_alone_and_facts_of_a_part_raise_no_alarm() {
    let ends = Connection::memory();
    let mut client = Client::begun(&ends, Units::Utf16);
    let (other, part, new) = ("file:///nowhere/build.yaml", "file:///nowhere/part.yaml", "file:///nowhere/new.yaml");
    client.open(other, "on: push\njobs:\n  test: { runs-on: any, steps: [{ run: cargo test }] }\nzone: 7\n");
    client.open(part, "devices:\n  box: { zone: grill, ports: { J1: { access: without tool } } }\nlooms: { main: { wires: { 7: { size: 1 mm2 } } } }\n");
    client.open(new, "");
    client.run();
    assert!(!client.shown.contains_key(other) || client.shown[other].is_empty(), "{:?}", client.shown);
    assert_eq!(client.findings(part), [("editor/no-design".to_owned(), String::new())]);
    assert_eq!(client.findings(new), []);
    client.edit(new, (0, 0), "loo", false);
    assert_eq!(client.completions(new, "loo"), ["looms"]);
}
