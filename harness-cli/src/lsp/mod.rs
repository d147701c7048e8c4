//! The editor's protocol (the Language Server Protocol, version 3.17) over a pair of channels.
//!
//! Owns the session: texts as the client has them, which design each belongs to, when a design is read and when it is checked. What is at a
//! place of a text is the business of `harness_core::editor`. One thread answers; of all that waits, every change of a text is taken
//! before a design is read, and a whole check is made only when nothing waits, so that a newer text always wins over an older check.

mod actions;
mod answers;
mod buffers;
mod complete;
mod findings;
mod held;
mod home;
mod hover;
mod names;
mod outline;
mod place;
mod server;
mod transport;
mod uri;

pub use place::{Encoding, Lines};
pub use transport::connect;

use harness_core::Date;
use lsp_server::{Connection, ErrorCode, Message, Notification, Request, RequestId, Response};
use lsp_types::{
    CodeActionKind, CodeActionOptions, CodeActionProviderCapability, CompletionOptions, FoldingRangeProviderCapability,
    HoverProviderCapability, ImplementationProviderCapability, InitializeParams, InitializeResult, OneOf, RenameOptions,
    SaveOptions, ServerCapabilities, ServerInfo, TextDocumentSyncCapability, TextDocumentSyncKind, TextDocumentSyncOptions,
    TextDocumentSyncSaveOptions, TypeDefinitionProviderCapability, Uri, WorkspaceFoldersServerCapabilities,
    WorkspaceServerCapabilities,
    notification::{
        Cancel, DidChangeTextDocument, DidChangeWatchedFiles, DidChangeWorkspaceFolders, DidCloseTextDocument,
        DidOpenTextDocument, DidSaveTextDocument, Exit, Notification as _,
    },
    request::{Initialize, Request as _, Shutdown},
};
use serde::de::DeserializeOwned;
use server::Server;
use std::{
    collections::VecDeque,
    panic::{AssertUnwindSafe, catch_unwind},
};

/// How a session ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    /// As it should: `shutdown`, then `exit`.
    Exit,
    /// With `exit` alone.
    Abrupt,
    /// The client went away without a word.
    Gone,
}

/// Serves one client until it ends the session.
#[must_use]
pub fn serve(connection: &Connection, today: Option<Date>) -> Ended {
    Session::new(connection, today).run()
}

fn send(connection: &Connection, response: Response) {
    // Where nobody listens any more, the next message that is waited for says so.
    let _ = connection.sender.send(Message::Response(response));
}

fn refusal(id: RequestId, code: ErrorCode, why: String) -> Response {
    Response::new_err(id, code as i32, why)
}

/// What the server can do.
fn answer_of(encoding: Encoding) -> InitializeResult {
    let sync = TextDocumentSyncOptions {
        open_close: Some(true),
        change: Some(TextDocumentSyncKind::INCREMENTAL),
        save: Some(TextDocumentSyncSaveOptions::SaveOptions(SaveOptions { include_text: Some(false) })),
        ..TextDocumentSyncOptions::default()
    };
    let letters = [".", ":", " ", "{", "[", ",", "/"].map(str::to_owned).to_vec();
    let folders = WorkspaceFoldersServerCapabilities { supported: Some(true), change_notifications: None };
    let capabilities = ServerCapabilities {
        position_encoding: Some(encoding.kind()),
        text_document_sync: Some(TextDocumentSyncCapability::Options(sync)),
        hover_provider: Some(HoverProviderCapability::Simple(true)),
        completion_provider: Some(CompletionOptions { trigger_characters: Some(letters), ..CompletionOptions::default() }),
        definition_provider: Some(OneOf::Left(true)),
        type_definition_provider: Some(TypeDefinitionProviderCapability::Simple(true)),
        implementation_provider: Some(ImplementationProviderCapability::Simple(true)),
        references_provider: Some(OneOf::Left(true)),
        document_highlight_provider: Some(OneOf::Left(true)),
        document_symbol_provider: Some(OneOf::Left(true)),
        workspace_symbol_provider: Some(OneOf::Left(true)),
        folding_range_provider: Some(FoldingRangeProviderCapability::Simple(true)),
        code_action_provider: Some(CodeActionProviderCapability::Options(CodeActionOptions {
            code_action_kinds: Some(vec![CodeActionKind::QUICKFIX, CodeActionKind::SOURCE_FIX_ALL]),
            ..CodeActionOptions::default()
        })),
        rename_provider: Some(OneOf::Right(RenameOptions {
            prepare_provider: Some(true),
            work_done_progress_options: lsp_types::WorkDoneProgressOptions::default(),
        })),
        workspace: Some(WorkspaceServerCapabilities { workspace_folders: Some(folders), file_operations: None }),
        ..ServerCapabilities::default()
    };
    let server_info = Some(ServerInfo { name: "harness".to_owned(), version: Some(env!("CARGO_PKG_VERSION").to_owned()) });
    InitializeResult { capabilities, server_info }
}

/// A session with one client.
pub struct Session<'c> {
    connection: &'c Connection,
    today: Option<Date>,
    /// `None` before the client has said what it is.
    server: Option<Server<'c>>,
    /// What has arrived and waits.
    queue: VecDeque<Message>,
    is_down: bool,
    is_gone: bool,
}

impl<'c> Session<'c> {
    /// A session that has not begun.
    #[must_use]
    pub fn new(connection: &'c Connection, today: Option<Date>) -> Self {
        Self { connection, today, server: None, queue: VecDeque::new(), is_down: false, is_gone: false }
    }

    /// Answers until the session ends.
    pub fn run(&mut self) -> Ended {
        loop {
            if let Some(ended) = self.take_all() {
                return ended;
            }
            let wait = self.server.as_ref().map(Server::wait).unwrap_or_default();
            if !wait.is_zero()
                && let Ok(message) = self.connection.receiver.recv_timeout(wait)
            {
                self.queue(message);
                continue;
            }
            if self.work() {
                continue;
            }
            match self.connection.receiver.recv() {
                Ok(message) => self.queue(message),
                Err(_) => self.is_gone = true,
            }
        }
    }

    /// Answers all that has arrived and does all work that is due, without waiting for more; how the session ended, if it did.
    pub fn until_idle(&mut self) -> Option<Ended> {
        loop {
            if let Some(ended) = self.take_all() {
                return Some(ended);
            }
            if !self.work() {
                return None;
            }
        }
    }

    /// A text as the session has it; `None` if the client does not hold it.
    #[must_use]
    pub fn text(&self, uri: &Uri) -> Option<&str> {
        self.server.as_ref()?.buffers.get(&buffers::key(uri)).map(|buffer| buffer.text.as_str())
    }

    /// One piece of the work that is due; whether there was one.
    fn work(&mut self) -> bool {
        let Some(server) = &mut self.server else { return false };
        // A fault of the program itself must not take the session and its unsaved texts along.
        catch_unwind(AssertUnwindSafe(|| server.work())).unwrap_or(false)
    }

    /// Takes every message that has arrived, in their order.
    fn take_all(&mut self) -> Option<Ended> {
        loop {
            self.drain();
            let Some(message) = self.queue.pop_front() else { return self.is_gone.then_some(Ended::Gone) };
            if let Some(ended) = self.take(message) {
                return Some(ended);
            }
        }
    }

    fn drain(&mut self) {
        loop {
            match self.connection.receiver.try_recv() {
                Ok(message) => self.queue(message),
                Err(error) => {
                    self.is_gone |= error.is_disconnected();
                    return;
                }
            }
        }
    }

    /// Puts a message behind the others; a request that is cancelled while it waits is answered so at once.
    fn queue(&mut self, message: Message) {
        let Message::Notification(note) = &message else { return self.queue.push_back(message) };
        if note.method != Cancel::METHOD {
            return self.queue.push_back(message);
        }
        let id = note.params.get("id").cloned().and_then(|id| serde_json::from_value::<RequestId>(id).ok());
        let is_it = |waiting: &Message| matches!(waiting, Message::Request(request) if Some(&request.id) == id.as_ref());
        let Some(at) = self.queue.iter().position(is_it) else { return };
        if let Some(Message::Request(request)) = self.queue.remove(at) {
            send(self.connection, refusal(request.id, ErrorCode::RequestCanceled, "cancelled".to_owned()));
        }
    }

    fn take(&mut self, message: Message) -> Option<Ended> {
        match message {
            Message::Request(request) => {
                let response = self.answer(request);
                send(self.connection, response);
            }
            Message::Notification(note) if note.method == Exit::METHOD => {
                return Some(if self.is_down { Ended::Exit } else { Ended::Abrupt });
            }
            Message::Notification(note) => {
                if let Some(server) = self.server.as_mut().filter(|_| !self.is_down) {
                    take_note(server, note);
                }
            }
            Message::Response(_) => {}
        }
        None
    }

    fn answer(&mut self, request: Request) -> Response {
        let id = request.id.clone();
        if self.is_down {
            return refusal(id, ErrorCode::InvalidRequest, "the session is shut down".to_owned());
        }
        match (&mut self.server, request.method.as_str()) {
            (None, Initialize::METHOD) => self.begin(request),
            (None, _) => refusal(id, ErrorCode::ServerNotInitialized, "`initialize` comes first".to_owned()),
            (Some(_), Shutdown::METHOD) => {
                self.is_down = true;
                Response::new_ok(id, ())
            }
            (Some(_), Initialize::METHOD) => refusal(id, ErrorCode::InvalidRequest, "the session has begun already".to_owned()),
            (Some(server), _) => {
                let answered = catch_unwind(AssertUnwindSafe(|| answers::answer(server, request)));
                let fault = || refusal(id, ErrorCode::InternalError, "a fault of the program itself".to_owned());
                answered.unwrap_or_else(|_| fault())
            }
        }
    }

    fn begin(&mut self, request: Request) -> Response {
        match serde_json::from_value::<InitializeParams>(request.params) {
            Ok(params) => {
                let server = Server::new(self.connection, &params, self.today);
                let answer = answer_of(server.client.encoding);
                self.server = Some(server);
                Response::new_ok(request.id, answer)
            }
            Err(error) => refusal(request.id, ErrorCode::InvalidParams, error.to_string()),
        }
    }
}

fn take_note(server: &mut Server<'_>, note: Notification) {
    match note.method.as_str() {
        DidOpenTextDocument::METHOD => {
            if let Some(params) = params::<DidOpenTextDocument>(note) {
                let document = params.text_document;
                server.open(document.uri, document.version, document.text);
            }
        }
        DidChangeTextDocument::METHOD => {
            if let Some(params) = params::<DidChangeTextDocument>(note) {
                server.change(&params.text_document.uri, params.text_document.version, params.content_changes);
            }
        }
        DidCloseTextDocument::METHOD => {
            if let Some(params) = params::<DidCloseTextDocument>(note) {
                server.close(&params.text_document.uri);
            }
        }
        // Files on disk are others now, or there are others.
        DidSaveTextDocument::METHOD | DidChangeWatchedFiles::METHOD | DidChangeWorkspaceFolders::METHOD => server.settle(),
        _ => {}
    }
}

/// What a notification says; nothing where it is not as the protocol has it, since nobody waits for an answer.
fn params<N: lsp_types::notification::Notification>(note: Notification) -> Option<N::Params>
where
    N::Params: DeserializeOwned,
{
    serde_json::from_value(note.params).ok()
}
