//! The state of a session: texts, the designs that they belong to, and what the client was shown of them.

use super::{
    buffers::{Buffers, Replaced, key},
    findings::{Shown, Texts, diagnostic},
    held::Held,
    home::{self, Home},
    place::Encoding,
    uri,
};
use harness_core::{Date, Head, head};
use lsp_server::{Connection, Message, Notification};
use lsp_types::{
    ClientCapabilities, Diagnostic, InitializeParams, MarkupKind, PublishDiagnosticsParams, Uri,
    notification::{Notification as _, PublishDiagnostics},
};
use std::{
    collections::{BTreeMap, BTreeSet},
    path::{Path, PathBuf},
    time::Duration,
};

/// The longest wait for a further message before a design is checked.
const LONGEST_WAIT: Duration = Duration::from_millis(400);
/// A check that takes no longer than this is made at once.
const SHORT: Duration = Duration::from_millis(25);

/// What the client can do.
#[derive(Debug, Clone, Copy, Default)]
pub struct Client {
    /// In what it counts.
    pub encoding: Encoding,
    /// It shows the other places of a finding.
    pub shows_related: bool,
    /// It takes edits of several files with their versions.
    pub takes_versions: bool,
    /// It takes actions that are edits.
    pub takes_actions: bool,
    /// It shows things within things.
    pub shows_tree: bool,
    /// It shows Markdown.
    pub shows_markdown: bool,
}

impl Client {
    /// What the client says of itself.
    #[must_use]
    pub fn of(capabilities: &ClientCapabilities) -> Self {
        let text = capabilities.text_document.as_ref();
        let offered = capabilities.general.as_ref().and_then(|general| general.position_encodings.as_deref());
        let markdown = |formats: &Vec<MarkupKind>| formats.contains(&MarkupKind::Markdown);
        Self {
            encoding: Encoding::agreed(offered),
            shows_related: text.and_then(|text| text.publish_diagnostics.as_ref()?.related_information).unwrap_or(false),
            takes_versions: (capabilities.workspace.as_ref())
                .and_then(|workspace| workspace.workspace_edit.as_ref()?.document_changes)
                .unwrap_or(false),
            takes_actions: text.and_then(|text| text.code_action.as_ref()?.code_action_literal_support.as_ref()).is_some(),
            shows_tree: text
                .and_then(|text| text.document_symbol.as_ref()?.hierarchical_document_symbol_support)
                .unwrap_or(false),
            shows_markdown: text.and_then(|text| text.hover.as_ref()?.content_format.as_ref()).is_some_and(markdown),
        }
    }
}

/// A design of the session.
#[derive(Debug)]
pub(super) struct Slot {
    /// What was read last; `None` before the first time.
    pub(super) held: Option<Held>,
    is_alone: bool,
    /// Its texts are newer than what was read.
    is_stale: bool,
    /// The findings that a whole check had, moved with the text since.
    carried: Vec<Shown>,
    /// How long the last whole check took.
    took: Duration,
    /// What is to be shown now.
    shown: Vec<Shown>,
    /// Something of it was not sent yet.
    is_unsent: bool,
    /// What is to be shown is what a whole check found.
    is_checked: bool,
}

/// A session.
pub struct Server<'c> {
    pub(super) connection: &'c Connection,
    pub(super) client: Client,
    pub(super) buffers: Buffers,
    pub(super) today: Option<Date>,
    /// The folders that the client works in.
    top: Vec<PathBuf>,
    pub(super) slots: BTreeMap<PathBuf, Slot>,
    /// The design of each text that the client holds.
    homes: BTreeMap<PathBuf, PathBuf>,
    /// What was sent for each file.
    sent: BTreeMap<PathBuf, (Uri, Option<i32>, Vec<Diagnostic>)>,
}

impl<'c> Server<'c> {
    /// A session with a client that says this of itself.
    #[must_use]
    pub fn new(connection: &'c Connection, params: &InitializeParams, today: Option<Date>) -> Self {
        let folders = params.workspace_folders.iter().flatten().map(|folder| &folder.uri);
        #[expect(deprecated, reason = "older clients give their folder this way alone")]
        let top = folders.chain(params.root_uri.as_ref()).filter_map(uri::path).collect();
        Self {
            connection,
            client: Client::of(&params.capabilities),
            buffers: Buffers::default(),
            today,
            top,
            slots: BTreeMap::new(),
            homes: BTreeMap::new(),
            sent: BTreeMap::new(),
        }
    }

    /// Takes a text that the client opened.
    pub fn open(&mut self, uri: Uri, version: i32, text: String) {
        self.buffers.open(uri, version, text);
        self.settle();
    }

    /// Makes the client's changes.
    pub fn change(&mut self, uri: &Uri, version: i32, changes: Vec<lsp_types::TextDocumentContentChangeEvent>) {
        let path = key(uri);
        let marks = |buffers: &Buffers| buffers.get(&path).map(|buffer| home::marks(&buffer.text));
        let before = marks(&self.buffers);
        let replaced = self.buffers.change(&path, version, changes, self.client.encoding);
        // What was something else may have become a netlist.
        let is_new = !self.homes.contains_key(&path)
            && self.buffers.get(&path).is_some_and(|buffer| head(buffer.text.as_bytes()) != Head::Other);
        if before != marks(&self.buffers) || is_new {
            self.settle();
        }
        for slot in self.slots.values_mut() {
            if slot.held.as_ref().is_none_or(|held| held.file(&path).is_some() || held.root == path) {
                slot.is_stale = true;
                slot.shift(&path, &replaced);
            }
        }
    }

    /// Lets a text go: what is on disk counts again.
    pub fn close(&mut self, uri: &Uri) {
        let path = key(uri);
        self.buffers.close(&path);
        self.settle();
    }

    /// Finds out again which design each text belongs to, and reads all of them again: files came, went or were saved.
    pub fn settle(&mut self) {
        let paths: Vec<PathBuf> = self.buffers.paths().cloned().collect();
        let known = std::mem::take(&mut self.homes);
        let mut wanted: BTreeMap<PathBuf, bool> = BTreeMap::new();
        for path in paths {
            let (root, is_alone) = match home::of(&self.buffers, &path, &self.top, known.contains_key(&path)) {
                Home::Design(root) => (root, false),
                Home::Alone => (path.clone(), true),
                Home::Foreign => continue,
            };
            *wanted.entry(root.clone()).or_insert(is_alone) &= is_alone;
            self.homes.insert(path, root);
        }
        self.slots.retain(|root, slot| wanted.get(root).is_some_and(|is_alone| slot.is_alone == *is_alone));
        for (root, is_alone) in wanted {
            let slot = self.slots.entry(root).or_insert_with(|| Slot::new(is_alone));
            slot.is_stale = true;
        }
    }

    /// The design of a text as it is now.
    pub(super) fn design_of(&mut self, uri: &Uri) -> Option<(PathBuf, PathBuf)> {
        let path = key(uri);
        let root = self.homes.get(&path)?.clone();
        self.read(&root);
        Some((root, path))
    }

    /// The design at `root`, if it was read.
    pub(super) fn held(&self, root: &Path) -> Option<&Held> {
        self.slots.get(root)?.held.as_ref()
    }

    /// Reads every design whose texts are newer than what was read.
    pub(super) fn read_all(&mut self) {
        let roots: Vec<PathBuf> = self.slots.keys().cloned().collect();
        roots.iter().for_each(|root| self.read(root));
    }

    fn read(&mut self, root: &Path) {
        let Some(slot) = self.slots.get_mut(root).filter(|slot| slot.is_stale) else { return };
        let held = Held::read(&self.buffers, root, slot.is_alone);
        (slot.held, slot.is_stale, slot.is_unsent, slot.is_checked) = (Some(held), false, true, false);
    }

    /// Does the next piece of work for which no message has to wait: reading first. `false` if there is none.
    pub fn work(&mut self) -> bool {
        let stale = self.slots.iter().find(|(_, slot)| slot.is_stale).map(|(root, _)| root.clone());
        if let Some(root) = stale {
            self.read(&root);
        }
        // A request may have read what was not sent yet.
        if self.slots.values().any(|slot| slot.is_unsent) {
            self.publish();
            return true;
        }
        if let Some(slot) = self.slots.values_mut().find(|slot| slot.is_due()) {
            slot.check(self.today);
            self.publish();
            return true;
        }
        // Files may have gone, and with them what was shown of them.
        self.publish();
        false
    }

    /// How long a further message is waited for before the next whole check; nothing if no check is due or it is a short one.
    #[must_use]
    pub fn wait(&self) -> Duration {
        if self.slots.values().any(|slot| slot.is_stale || slot.is_unsent) {
            return Duration::ZERO;
        }
        let due = self.slots.values().filter(|slot| slot.is_due());
        let took = due.map(|slot| slot.took).max().unwrap_or_default();
        if took <= SHORT { Duration::ZERO } else { took.min(LONGEST_WAIT) }
    }

    /// Sends what is to be shown where that is not what was sent: also that nothing is to be shown any more.
    fn publish(&mut self) {
        self.slots.values_mut().for_each(Slot::show);
        let mut now: BTreeMap<PathBuf, (Uri, Vec<Diagnostic>)> = BTreeMap::new();
        for slot in self.slots.values() {
            let Some(held) = &slot.held else { continue };
            let texts = Texts::new(&held.folder, held.sources(), self.client.encoding);
            for shown in &slot.shown {
                let Some((uri, found)) = diagnostic(shown, &texts, &self.buffers, self.client.shows_related) else { continue };
                let (_, all) = now.entry(shown.spot.path.clone()).or_insert_with(|| (uri, Vec::new()));
                // Two designs that read the same file find the same.
                if self.slots.len() == 1 || !all.contains(&found) {
                    all.push(found);
                }
            }
        }
        let known: BTreeSet<PathBuf> = now.keys().chain(self.sent.keys()).chain(self.buffers.paths()).cloned().collect();
        for path in known {
            let version = self.buffers.get(&path).map(|buffer| buffer.version);
            let before = self.sent.get(&path);
            let found = now.remove(&path);
            let Some(uri) = found
                .as_ref()
                .map(|(uri, _)| uri.clone())
                .or_else(|| Some(before?.0.clone()))
                .or_else(|| self.buffers.address(&path))
            else {
                continue;
            };
            let diagnostics = found.map(|(_, all)| all).unwrap_or_default();
            if before.is_some_and(|(_, was, all)| *was == version && *all == diagnostics)
                || (before.is_none() && version.is_none() && diagnostics.is_empty())
            {
                continue;
            }
            let params = PublishDiagnosticsParams { uri: uri.clone(), diagnostics: diagnostics.clone(), version };
            let note = Notification::new(PublishDiagnostics::METHOD.to_owned(), params);
            // Nobody is there any more; the loop will see that.
            let _ = self.connection.sender.send(Message::Notification(note));
            if version.is_none() && diagnostics.is_empty() {
                self.sent.remove(&path);
            } else {
                self.sent.insert(path, (uri, version, diagnostics));
            }
        }
    }
}

impl Slot {
    fn new(is_alone: bool) -> Self {
        Self {
            held: None,
            is_alone,
            is_stale: true,
            carried: Vec::new(),
            took: Duration::ZERO,
            shown: Vec::new(),
            is_unsent: false,
            is_checked: false,
        }
    }

    fn is_due(&self) -> bool {
        self.held.is_some() && !self.is_checked
    }

    /// Takes what is to be shown of a design that was read since: what is at fault with its text, and what the last whole check found where
    /// it has moved to.
    fn show(&mut self) {
        if let (Some(held), true, false) = (&self.held, self.is_unsent, self.is_checked) {
            let carried = self.carried.iter().filter(|shown| !shown.is_reading).cloned();
            self.shown = held.reading().into_iter().chain(carried).collect();
        }
        self.is_unsent = false;
    }

    fn check(&mut self, today: Option<Date>) {
        let Some(held) = &self.held else { return };
        let (shown, took) = held.check(today);
        (self.shown, self.took, self.is_checked) = (shown, took, true);
        self.carried.clone_from(&self.shown);
    }

    /// Moves what is carried along with the text; what was in a stretch that was replaced is let go.
    fn shift(&mut self, path: &Path, replaced: &[Replaced]) {
        for stretch in replaced {
            self.carried.retain_mut(|shown| {
                shown.related.retain_mut(|(spot, _)| spot.shift(path, *stretch));
                shown.spot.shift(path, *stretch)
            });
        }
    }
}
