//! A scripted client: it holds texts, makes edits, and checks every place that comes back against the text that it names.

use harness_cli::lsp::{Ended, Session};
use harness_core::Date;
use lsp_server::{Connection, Message, Notification, Request, Response};
use lsp_types::Uri;
use serde_json::{Value, json};
use std::{
    collections::BTreeMap,
    path::{Path, PathBuf},
    str::FromStr,
};

/// In what a client counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Units {
    Utf8,
    Utf16,
}

/// Lines as the protocol has them, without their breaks, each with the byte at which it begins.
fn lines(text: &str) -> Vec<(usize, &str)> {
    let (mut lines, mut start) = (Vec::new(), 0);
    let bytes = text.as_bytes();
    let mut at = 0;
    while at < bytes.len() {
        let width = match (bytes[at], bytes.get(at + 1)) {
            (b'\r', Some(b'\n')) => 2,
            (b'\r' | b'\n', _) => 1,
            _ => 0,
        };
        if width > 0 {
            lines.push((start, &text[start..at]));
            start = at + width;
        }
        at += width.max(1);
    }
    lines.push((start, &text[start..]));
    lines
}

/// The byte of a place; fails where there is no such place, or it is within a character.
pub fn byte(text: &str, place: &Value, units: Units) -> usize {
    let (line, character) = (place["line"].as_u64().unwrap() as usize, place["character"].as_u64().unwrap() as usize);
    let lines = lines(text);
    let (start, line) = *lines.get(line).unwrap_or_else(|| panic!("there is no line {line} in {} lines", lines.len()));
    let mut counted = 0;
    for (at, letter) in line.char_indices() {
        if counted == character {
            return start + at;
        }
        counted += if units == Units::Utf8 { letter.len_utf8() } else { letter.len_utf16() };
    }
    assert_eq!(counted, character, "a place behind the line or within a character of {line:?}");
    start + line.len()
}

/// The place of a byte.
pub fn place(text: &str, byte: usize, units: Units) -> Value {
    let lines = lines(text);
    let line = lines.iter().rposition(|(start, _)| *start <= byte).unwrap();
    let (start, written) = lines[line];
    let before = &written[..(byte - start).min(written.len())];
    let character = if units == Units::Utf8 { before.len() } else { before.encode_utf16().count() };
    json!({ "line": line, "character": character })
}

/// The text of a range.
pub fn slice<'t>(text: &'t str, range: &Value, units: Units) -> &'t str {
    let (start, end) = (byte(text, &range["start"], units), byte(text, &range["end"], units));
    assert!(start <= end, "{range}");
    &text[start..end]
}

pub fn uri(path: &Path) -> String {
    let path = path.canonicalize().unwrap_or_else(|_| path.to_owned());
    let text = path.to_str().unwrap().replace('%', "%25").replace(' ', "%20");
    format!("file://{text}")
}

pub struct Client<'c> {
    end: &'c Connection,
    pub session: Session<'c>,
    pub units: Units,
    texts: BTreeMap<String, (i64, String)>,
    /// What is shown, by address.
    pub shown: BTreeMap<String, Vec<Value>>,
    /// How many publications came.
    pub published: usize,
    next: i32,
}

impl<'c> Client<'c> {
    /// A client that has said what it is.
    pub fn begun((server, end): &'c (Connection, Connection), units: Units) -> Self {
        let mut client = Self::silent((server, end), units);
        let offered = match units {
            Units::Utf8 => json!(["utf-8", "utf-16"]),
            Units::Utf16 => json!(["utf-16"]),
        };
        let answer = client
            .request(
                "initialize",
                json!({ "processId": null, "rootUri": null, "capabilities": {
                    "general": { "positionEncodings": offered },
                    "workspace": { "workspaceEdit": { "documentChanges": true } },
                    "textDocument": {
                        "publishDiagnostics": { "relatedInformation": true },
                        "hover": { "contentFormat": ["markdown", "plaintext"] },
                        "documentSymbol": { "hierarchicalDocumentSymbolSupport": true },
                        "codeAction": { "codeActionLiteralSupport": { "codeActionKind": { "valueSet": ["quickfix"] } } },
                    },
                } }),
            )
            .unwrap();
        let agreed = if units == Units::Utf8 { "utf-8" } else { "utf-16" };
        assert_eq!(answer["capabilities"]["positionEncoding"], agreed);
        client.notify("initialized", json!({}));
        client
    }

    /// A client that has said nothing yet.
    pub fn silent((server, end): (&'c Connection, &'c Connection), units: Units) -> Self {
        let session = Session::new(server, Date::parse("2026-11-30"));
        Self { end, session, units, texts: BTreeMap::new(), shown: BTreeMap::new(), published: 0, next: 0 }
    }

    pub fn send(&mut self, message: impl Into<Message>) {
        self.end.sender.send(message.into()).unwrap();
    }

    pub fn notify(&mut self, method: &str, params: Value) {
        self.send(Notification::new(method.to_owned(), params));
    }

    /// Lets the server do all that it has to do; the answers that came, in their order.
    pub fn run(&mut self) -> (Vec<Response>, Option<Ended>) {
        let ended = self.session.until_idle();
        let mut answers = Vec::new();
        while let Ok(message) = self.end.receiver.try_recv() {
            match message {
                Message::Response(response) => answers.push(response),
                Message::Notification(note) => {
                    assert_eq!(note.method, "textDocument/publishDiagnostics");
                    self.published += 1;
                    let uri = note.params["uri"].as_str().unwrap().to_owned();
                    if let (Some(version), Some((own, _))) = (note.params["version"].as_i64(), self.texts.get(&uri)) {
                        assert!(version <= *own);
                        // Places of an older text are not those of this one.
                        if version < *own {
                            continue;
                        }
                    }
                    self.check(&note.params, &uri);
                    self.shown.insert(uri, note.params["diagnostics"].as_array().unwrap().clone());
                }
                Message::Request(request) => panic!("the server asks {}", request.method),
            }
        }
        (answers, ended)
    }

    /// Asks, and checks every place of the answer.
    pub fn request(&mut self, method: &str, params: Value) -> Result<Value, (i32, String)> {
        self.next += 1;
        let about = params["textDocument"]["uri"].as_str().unwrap_or("").to_owned();
        let id = self.next;
        self.send(Request::new(id.into(), method.to_owned(), params));
        let (mut answers, _) = self.run();
        let answer = answers.pop().unwrap_or_else(|| panic!("no answer to {method}"));
        assert!(answers.is_empty() && answer.id == id.into(), "one answer to one request");
        match answer.response_result {
            Ok(value) => {
                self.check(&value, &about);
                Ok(value)
            }
            Err(error) => Err((error.code, error.message)),
        }
    }

    /// Checks every range in a value: it must be of the text that it names, and of whole characters.
    fn check(&self, value: &Value, about: &str) {
        match value {
            Value::Array(items) => items.iter().for_each(|item| self.check(item, about)),
            Value::Object(fields) => {
                let named = fields.get("uri").or_else(|| fields.get("textDocument")?.get("uri")).and_then(Value::as_str);
                let about = named.unwrap_or(about);
                if fields.contains_key("start") && fields.contains_key("end") {
                    slice(&self.text(about), value, self.units);
                }
                if let (Some(range), Some(own)) = (fields.get("range"), fields.get("selectionRange")) {
                    let text = self.text(about);
                    let (whole, own) = (slice(&text, range, self.units), slice(&text, own, self.units));
                    assert!(whole.contains(own));
                }
                for (key, value) in fields {
                    self.check(value, if key.starts_with("file://") { key } else { about });
                }
            }
            _ => {}
        }
    }

    /// The text at an address, held or on disk.
    pub fn text(&self, uri: &str) -> String {
        match self.texts.get(uri) {
            Some((_, text)) => text.clone(),
            None => {
                let path = uri.strip_prefix("file://").unwrap_or_else(|| panic!("`{uri}` is not held and not a file"));
                let path = path.replace("%20", " ").replace("%25", "%");
                std::fs::read_to_string(PathBuf::from(path)).unwrap()
            }
        }
    }

    pub fn open(&mut self, uri: &str, text: &str) {
        self.texts.insert(uri.to_owned(), (1, text.to_owned()));
        let document = json!({ "uri": uri, "languageId": "yaml", "version": 1, "text": text });
        self.notify("textDocument/didOpen", json!({ "textDocument": document }));
    }

    pub fn open_file(&mut self, path: &Path) -> String {
        let uri = uri(path);
        let text = std::fs::read_to_string(path).unwrap();
        self.open(&uri, &text);
        uri
    }

    pub fn close(&mut self, uri: &str) {
        self.texts.remove(uri);
        self.notify("textDocument/didClose", json!({ "textDocument": { "uri": uri } }));
    }

    /// Replaces some bytes of a text, as a change of a range or of the whole.
    pub fn edit(&mut self, uri: &str, (start, end): (usize, usize), new: &str, is_whole: bool) {
        let (version, text) = self.texts.get_mut(uri).unwrap();
        *version += 1;
        let range = json!({ "start": place(text, start, self.units), "end": place(text, end, self.units) });
        text.replace_range(start..end, new);
        let change = if is_whole { json!({ "text": text }) } else { json!({ "range": range, "text": new }) };
        let document = json!({ "uri": uri, "version": version });
        self.notify("textDocument/didChange", json!({ "textDocument": document, "contentChanges": [change] }));
    }

    /// Replaces the one place of a text by another.
    pub fn replace(&mut self, uri: &str, old: &str, new: &str) {
        let text = self.text(uri);
        assert_eq!(text.matches(old).count(), 1, "`{old}`");
        let start = text.find(old).unwrap();
        self.edit(uri, (start, start + old.len()), new, false);
    }

    /// Asks at the byte behind `before`, which is in the text once.
    pub fn at(&mut self, method: &str, uri: &str, before: &str, more: Value) -> Result<Value, (i32, String)> {
        let text = self.text(uri);
        assert_eq!(text.matches(before).count(), 1, "`{before}`");
        let position = place(&text, text.find(before).unwrap() + before.len(), self.units);
        let mut params = json!({ "textDocument": { "uri": uri }, "position": position });
        if let (Some(params), Some(more)) = (params.as_object_mut(), more.as_object()) {
            params.extend(more.clone());
        }
        self.request(method, params)
    }

    /// What may be written behind `before`, as labels.
    pub fn completions(&mut self, uri: &str, before: &str) -> Vec<String> {
        let found = self.at("textDocument/completion", uri, before, json!({})).unwrap();
        let items = found["items"].as_array().cloned().unwrap_or_default();
        let mut items: Vec<(String, String)> = items
            .iter()
            .map(|item| (item["sortText"].as_str().unwrap().to_owned(), item["label"].as_str().unwrap().to_owned()))
            .collect();
        items.sort();
        items.into_iter().map(|(_, label)| label).collect()
    }

    /// Makes the edits of an answer in the texts that are held, and says so to the server; the texts of files that are not held.
    pub fn apply(&mut self, edit: &Value) -> BTreeMap<String, String> {
        let mut others = BTreeMap::new();
        for change in edit["documentChanges"].as_array().unwrap() {
            let uri = change["textDocument"]["uri"].as_str().unwrap().to_owned();
            let mut text = self.text(&uri);
            let mut edits: Vec<(usize, usize, String)> = change["edits"]
                .as_array()
                .unwrap()
                .iter()
                .map(|edit| {
                    let range = &edit["range"];
                    let at = |end: &str| byte(&text, &range[end], self.units);
                    (at("start"), at("end"), edit["newText"].as_str().unwrap().to_owned())
                })
                .collect();
            edits.sort();
            for (start, end, new) in edits.into_iter().rev() {
                text.replace_range(start..end, &new);
            }
            match self.texts.get(&uri).map(|(version, held)| (*version, held.len())) {
                Some((version, length)) => {
                    assert_eq!(change["textDocument"]["version"], version, "the version that the edit was made for");
                    self.edit(&uri, (0, length), &text, true);
                }
                None => {
                    others.insert(uri, text);
                }
            }
        }
        others
    }

    /// The findings that are shown for a text, each with the text that it marks.
    pub fn findings(&self, uri: &str) -> Vec<(String, String)> {
        let text = self.text(uri);
        let shown = self.shown.get(uri).cloned().unwrap_or_default();
        shown
            .iter()
            .map(|finding| {
                let marked = slice(&text, &finding["range"], self.units).to_owned();
                (finding["code"].as_str().unwrap().to_owned(), marked)
            })
            .collect()
    }

    /// What the server has for a text.
    pub fn held(&self, uri: &str) -> Option<String> {
        self.session.text(&Uri::from_str(uri).unwrap()).map(str::to_owned)
    }
}
