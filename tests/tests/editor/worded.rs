//! Within the words of a wire or pin an editor shows, finds, changes and proposes what it does within a map.

use super::client::{Client, Units};
use lsp_server::Connection;
use serde_json::json;

const LIFT: &str = "format: 1
design: Lift
domains: { aux: { nominal: 12 V, max: 15 V, reference: chassis } }
parts:
  housings:
    four-pins: { family: QL, positions: 4, contacts: pin }
    four-sockets: { family: QL, positions: 4, contacts: socket }
devices:
  box: { ports: { J1: { housing: four-pins, pins: { 1..4: \"feed, output, domain aux\" } } } }
  pump:
    ports:
      J1:
        housing: four-pins
        pins:
          1..3: feed, input
          4: spare
looms:
  main:
    ends:
      P1: { housing: four-sockets, mates: box.J1 }
      P2: { housing: four-sockets, mates: pump.J1 }
    splices: { S1: {} }
    route: { TRUNK: { length: 1 m }, REAR: { length: 1 m } }
    wires:
      1: P1.1 to P2.1, 1 mm2, RD/BK, via TRUNK and REAR
      2: P1.2 to S1, 1 mm2, twist T1
";

#[test]
fn words_are_shown_found_changed_and_proposed() {
    let ends = Connection::memory();
    let mut client = Client::begun(&ends, Units::Utf16);
    let root = "file:///nowhere/lift.yaml";
    client.open(root, LIFT);
    client.run();
    let hover = |client: &mut Client<'_>, before: &str| {
        let found = client.at("textDocument/hover", root, before, json!({})).unwrap();
        found["contents"]["value"].as_str().unwrap_or("").to_owned()
    };
    assert!(hover(&mut client, "1: P1.1").starts_with("**cavity** `main.P1.1`"));
    assert!(hover(&mut client, "P2.1, 1 m").starts_with("**size**\n\nCross-section."));
    assert!(hover(&mut client, "1 mm2, RD/").starts_with("**colour**\n\nColour."));
    assert!(hover(&mut client, "via TRUNK and RE").starts_with("**segment** `main.REAR`"));
    assert!(hover(&mut client, "1..3: feed, inp").starts_with("**role**\n\nWhat the pin does"));
    let place = |client: &mut Client<'_>, method: &str, before: &str| {
        let found =
            client.at(&format!("textDocument/{method}"), root, before, json!({ "context": { "includeDeclaration": true } }));
        let found = found.unwrap();
        let text = client.text(root);
        let lines: Vec<&str> = text.lines().collect();
        let line =
            |found: &serde_json::Value| lines[found["range"]["start"]["line"].as_u64().unwrap() as usize].trim().to_owned();
        found.as_array().unwrap().iter().map(line).collect::<Vec<_>>()
    };
    assert_eq!(place(&mut client, "definition", "P1.2 to S"), ["splices: { S1: {} }"]);
    assert_eq!(place(&mut client, "definition", "1: P1.1 to P2.1"), ["1..3: feed, input"]);
    assert_eq!(place(&mut client, "references", "route: { TRUNK").len(), 2);
    assert_eq!(place(&mut client, "references", "1..3: fee").len(), 2, "a signal by its name");

    let edit = client.at("textDocument/rename", root, "via TRUNK", json!({ "newName": "SPINE" })).unwrap();
    assert!(client.apply(&edit).is_empty());
    let edit = client.at("textDocument/rename", root, "2: P1.2 to S", json!({ "newName": "JOINT" })).unwrap();
    assert!(client.apply(&edit).is_empty());
    let edit = client.at("textDocument/rename", root, "1: P", json!({ "newName": "X9" })).unwrap();
    assert!(client.apply(&edit).is_empty());
    let text = client.text(root);
    assert!(
        text.contains("1: X9.1 to P2.1, 1 mm2, RD/BK, via SPINE and REAR\n      2: X9.2 to JOINT, 1 mm2, twist T1\n"),
        "{text}"
    );
    assert!(text.contains("route: { SPINE:") && text.contains("splices: { JOINT:"), "{text}");

    client.replace(root, "twist T1\n", "twist T1\n      3: X9.\n");
    assert_eq!(client.completions(root, "3: X9."), ["X9.3", "X9.4"]);
    client.replace(root, "3: X9.", "3: X9.3 to P2.");
    assert_eq!(client.completions(root, "3: X9.3 to P2."), ["P2.2", "P2.3", "P2.4"]);
    client.replace(root, "3: X9.3 to P2.", "3: X9.3 to P2.2, via RE");
    assert!(client.completions(root, "P2.2, via RE").contains(&"REAR".to_owned()));
    client.replace(root, "P2.2, via RE", "P2.2, 1 mm2, tw");
    assert_eq!(client.completions(root, "P2.2, 1 mm2, tw"), ["twist"]);
    client.replace(root, "P2.2, 1 mm2, tw", "P2.2, 1 m");
    let units = client.completions(root, "P2.2, 1 m");
    assert!(units.contains(&"1 mm2".to_owned()) && units.contains(&"1 mm".to_owned()), "{units:?}");
    client.replace(root, "1..3: feed, input", "1..3: feed, in");
    assert!(client.completions(root, "1..3: feed, in").contains(&"input".to_owned()));
    client.replace(root, "4: spare", "4: fe");
    assert!(client.completions(root, "4: fe").contains(&"feed".to_owned()));
    client.replace(root, "4: fe", "4: spa");
    assert!(client.completions(root, "4: spa").contains(&"spare".to_owned()));
}
