//! The rules of the protocol itself (Language Server Protocol, version 3.17), from its specification.

use super::client::{Client, Units};
use harness_cli::lsp::{Ended, serve};
use lsp_server::{Connection, Message, Notification, Request};
use serde_json::{Value, json};

#[test]
fn a_session_begins_and_ends_as_the_protocol_has_it() {
    let ends = Connection::memory();
    let mut client = Client::silent((&ends.0, &ends.1), Units::Utf16);
    // "If the server receives a request or notification before the initialize request": -32002 for a request.
    assert_eq!(client.request("textDocument/hover", json!({})).unwrap_err().0, -32002);
    client.notify("textDocument/didOpen", json!({}));
    assert_eq!(client.request("initialize", json!({ "capabilities": 7 })).unwrap_err().0, -32602);
    let answer = client.request("initialize", json!({ "processId": null, "rootUri": null, "capabilities": {} })).unwrap();
    assert_eq!(answer["capabilities"]["positionEncoding"], "utf-16", "what every client counts in");
    assert_eq!(answer["serverInfo"]["name"], "harness");
    // "The initialize request may only be sent once": -32600.
    let again = client.request("initialize", json!({ "processId": null, "rootUri": null, "capabilities": {} }));
    assert_eq!(again.unwrap_err().0, -32600);
    // Unknown methods: -32601; notifications that are not known are ignored.
    assert_eq!(client.request("textDocument/inlineCompletion", json!({})).unwrap_err().0, -32601);
    assert_eq!(client.request("$/unknown", json!({})).unwrap_err().0, -32601);
    client.notify("$/setTrace", json!({ "value": "off" }));
    client.notify("workspace/didChangeConfiguration", json!({ "settings": {} }));
    // Parameters that are not those of the method: -32602; a notification with such is let pass.
    assert_eq!(client.request("textDocument/hover", json!({ "textDocument": 1 })).unwrap_err().0, -32602);
    client.notify("textDocument/didChange", json!([]));
    // A text that is not open has nothing.
    let nowhere = json!({ "textDocument": { "uri": "file:///nowhere.yaml" }, "position": { "line": 0, "character": 0 } });
    assert_eq!(client.request("textDocument/hover", nowhere).unwrap(), Value::Null);
    assert_eq!(client.request("shutdown", Value::Null).unwrap(), Value::Null);
    // "If a server receives requests after a shutdown request those requests should error with InvalidRequest": -32600.
    assert_eq!(client.request("textDocument/hover", json!({})).unwrap_err().0, -32600);
    client.notify("exit", Value::Null);
    assert_eq!(client.run().1, Some(Ended::Exit));
}

#[test]
fn a_session_that_breaks_off_says_how() {
    let run = |messages: Vec<Message>| {
        let (server, client) = Connection::memory();
        messages.into_iter().for_each(|message| client.sender.send(message).unwrap());
        drop(client.sender);
        serve(&server, None)
    };
    let exit = || Notification::new("exit".to_owned(), Value::Null).into();
    assert_eq!(run(vec![exit()]), Ended::Abrupt);
    assert_eq!(run(Vec::new()), Ended::Gone);
    let begin = json!({ "processId": null, "rootUri": null, "capabilities": {} });
    assert_eq!(run(vec![Request::new(1.into(), "initialize".to_owned(), begin).into()]), Ended::Gone);
}

#[test]
fn a_request_that_is_cancelled_while_it_waits_is_answered_so() {
    let ends = Connection::memory();
    let mut client = Client::begun(&ends, Units::Utf16);
    client.open("file:///nowhere/lift.yaml", "format: 1\ndesign: Lift\n");
    client.run();
    let params = json!({ "textDocument": { "uri": "file:///nowhere/lift.yaml" } });
    for id in ["a", "b", "c"] {
        client.send(Request::new(id.to_owned().into(), "textDocument/foldingRange".to_owned(), params.clone()));
    }
    client.notify("$/cancelRequest", json!({ "id": "b" }));
    client.notify("$/cancelRequest", json!({ "id": "never asked" }));
    let (answers, _) = client.run();
    let codes: Vec<(String, Option<i32>)> = answers
        .iter()
        .map(|answer| (answer.id.to_string(), answer.response_result.as_ref().err().map(|error| error.code)))
        .collect();
    // The code of the specification, `RequestCancelled`.
    let mut expected = vec![("\"a\"".to_owned(), None), ("\"b\"".to_owned(), Some(-32800)), ("\"c\"".to_owned(), None)];
    expected.sort();
    let mut found = codes;
    found.sort();
    assert_eq!(found, expected);
}

#[test]
fn a_newer_text_wins_over_an_older_check() {
    let ends = Connection::memory();
    let mut client = Client::begun(&ends, Units::Utf16);
    let uri = "file:///nowhere/lift.yaml";
    client.open(uri, "format: 1\ndesign: Lift\nzones: { a: { wet: true } }\n");
    client.run();
    let before = client.published;
    // All keystrokes are there before the server looks: it checks the last alone.
    for letter in ["b", "c", "d", "e"] {
        client.replace(uri, "{ a", &format!("{{ a{letter}"));
        client.replace(uri, &format!("{{ a{letter}"), "{ a");
    }
    client.replace(uri, "wet", "wett");
    client.run();
    assert_eq!(client.findings(uri), [("format/unknown-key".to_owned(), "wett".to_owned())]);
    assert!(client.published - before <= 2, "{}", client.published - before);
}
