//! Whatever is typed, the server has the text that the client has, and shows what a fresh check of it shows.

use super::client::{Client, Units};
use harness_tests::Numbers;
use lsp_server::Connection;
use serde_json::json;

const LIFT: &str = "format: 1\r
design: Lift \u{1f69c}\r
zones: { köln: { wet: true }, \u{1f525}heat: { ambient: 90 degC } }\r
domains:\r
  aux: { nominal: 12 V, max: 15 V, reference: chassis }\r
parts:\r
  housings:\r
    zwei-a: { family: QL, positions: 2, contacts: pin, key: A }\r
    zwei-b: { family: QL, positions: 2, contacts: socket, key: A }\r
devices:\r
  hupe-ö: { zone: köln, ports: { J1: { housing: zwei-a, pins: { 1: { signal: \u{1f4ef}, role: supply, domain: aux }, 2: { role: return, domain: aux } } } } }\r
  battery:\r
    ports: { POS: { stud: M8, role: supply, domain: aux }, NEG: { stud: M8, role: return, domain: aux } }\r
    inside: { cells: { source: 12.8 V, resistance: 16 mohm, positive: POS, negative: NEG } }\r
looms:\r
  front:\r
    zone: \u{1f525}heat\r
    ends:\r
      P1: { housing: zwei-b, mates: hupe-ö.J1 }\r
      R1: { ring: M8, bolts-to: battery.POS }\r
      R2: { ring: M8, bolts-to: battery.NEG }\r
    wires:\r
      1: { from: P1.1, to: R1, size: 1 mm2, colour: RD, length: 2 m, note: \"\u{1f600} über\" }\r
      2: { from: P1.2, to: R2, size: 1 mm2, colour: BK, length: 2 m }\r
";

const PIECES: [&str; 22] = [
    "a",
    " ",
    "{",
    "}",
    "[",
    "]",
    ":",
    ": ",
    ",",
    "\r\n",
    "\n",
    "  ",
    "\"",
    "'",
    "#",
    "ö",
    "\u{1f69c}",
    "P1.",
    "zwei-b",
    "- ",
    "\t",
    "\u{feff}",
];

fn fresh(text: &str, units: Units) -> Vec<serde_json::Value> {
    let ends = Connection::memory();
    let mut client = Client::begun(&ends, units);
    client.open("file:///nowhere/lift.yaml", text);
    client.run();
    client.shown.remove("file:///nowhere/lift.yaml").unwrap_or_default()
}

#[test]
fn random_edits_leave_both_sides_with_one_text_and_the_findings_of_a_fresh_check() {
    let uri = "file:///nowhere/lift.yaml";
    for (seed, units) in [(1, Units::Utf16), (2, Units::Utf8), (3, Units::Utf16)] {
        let mut numbers = Numbers::new(seed);
        let ends = Connection::memory();
        let mut client = Client::begun(&ends, units);
        client.open(uri, LIFT);
        for round in 0..60 {
            for _ in 0..=numbers.below(4) {
                let text = client.text(uri);
                let boundary = |numbers: &mut Numbers| {
                    let at = numbers.below(text.len() + 1);
                    // Not between the two bytes of a line break, where no client can point.
                    (at..=text.len())
                        .find(|at| text.is_char_boundary(*at) && !(text[..*at].ends_with('\r') && text[*at..].starts_with('\n')))
                        .unwrap()
                };
                let start = boundary(&mut numbers);
                let end = if numbers.below(3) == 0 { boundary(&mut numbers) } else { start };
                let (start, end) = (start.min(end), end.max(start).min(start.min(end) + 40));
                let end = (end..=text.len())
                    .find(|at| text.is_char_boundary(*at) && !(text[..*at].ends_with('\r') && text[*at..].starts_with('\n')))
                    .unwrap();
                let piece = PIECES[numbers.below(PIECES.len())];
                // Bytes that would join a line break are not typed there.
                let joins = piece.starts_with('\n') && text[..start].ends_with('\r')
                    || text[end..].starts_with('\n') && piece.ends_with('\r');
                if !joins {
                    client.edit(uri, (start, end), piece, numbers.below(4) == 0);
                }
            }
            if round % 6 == 5 {
                client.run();
                assert_eq!(client.held(uri).as_deref(), Some(client.text(uri).as_str()), "round {round} of {seed}");
                let shown = client.shown.get(uri).cloned().unwrap_or_default();
                assert_eq!(shown, fresh(&client.text(uri), units), "round {round} of {seed}:\n{}", client.text(uri));
                // Any request at any place has an answer whose places are those of this text.
                let position = super::client::place(
                    &client.text(uri),
                    (0..=client.text(uri).len() / 2).rev().find(|at| client.text(uri).is_char_boundary(*at)).unwrap(),
                    units,
                );
                let params = json!({ "textDocument": { "uri": uri }, "position": position });
                let more =
                    json!({ "textDocument": { "uri": uri }, "position": position, "context": { "includeDeclaration": true } });
                client.request("textDocument/references", more).unwrap();
                for method in ["hover", "completion", "definition", "documentSymbol", "foldingRange", "implementation"] {
                    client.request(&format!("textDocument/{method}"), params.clone()).unwrap();
                }
            }
        }
    }
}

#[test]
fn each_letter_of_a_wire_is_answered_while_it_is_typed() {
    let uri = "file:///nowhere/lift.yaml";
    let ends = Connection::memory();
    let mut client = Client::begun(&ends, Units::Utf16);
    let text = LIFT.replace("\r\n", "\n").replace("      2: { from: P1.2, to: R2, size: 1 mm2, colour: BK, length: 2 m }\n", "");
    client.open(uri, &text);
    client.run();
    let mut typed = String::new();
    let line = "      2: { from: P1.2, to: R2, size: 1 mm2, colour: BK, length: 2 m }\n";
    for letter in line.chars() {
        let end = client.text(uri).len();
        client.edit(uri, (end, end), &letter.to_string(), false);
        typed.push(letter);
        let proposals = if letter == '\n' { Vec::new() } else { client.completions(uri, &client.text(uri)) };
        match typed.trim_start() {
            "2: {" | "2: { " => assert_eq!(&proposals[..2], ["from", "to"], "required keys come first"),
            "2: { f" => assert!(proposals.contains(&"from".to_owned())),
            "2: { from: " => assert_eq!(proposals, ["P1", "R1", "R2"]),
            "2: { from: P1." => assert_eq!(proposals, ["P1.2"], "the other cavity has a wire"),
            "2: { from: P1.2, " => assert!(!proposals.contains(&"from".to_owned()) && proposals.contains(&"size".to_owned())),
            "2: { from: P1.2, to: R2, size: 1" => assert!(proposals.contains(&"1 mm2".to_owned()), "{proposals:?}"),
            "2: { from: P1.2, to: R2, size: 1 mm2, colour: B" => {
                assert!(proposals.contains(&"BK".to_owned()) && !proposals.contains(&"RD".to_owned()))
            }
            _ => {}
        }
    }
    client.run();
    assert_eq!(client.shown[uri], fresh(&client.text(uri), Units::Utf16));
}
