//! Where a name is defined and used, what is at its other side, and the name changed everywhere.

use super::{
    buffers::Buffers,
    findings::{Spot, Texts},
    held::Held,
    server::Server,
};
use harness_core::{
    editor::{self, Kind, Sort, SymbolId},
    finding::Edit,
    source::{FileId, Span},
};
use lsp_server::ErrorCode;
use lsp_types::{
    DocumentChanges, DocumentHighlight, DocumentHighlightKind, DocumentHighlightParams, GotoDefinitionParams,
    GotoDefinitionResponse, Location, OneOf, OptionalVersionedTextDocumentIdentifier, Position, PrepareRenameResponse,
    ReferenceParams, RenameParams, TextDocumentEdit, TextDocumentPositionParams, TextEdit, Uri, WorkspaceEdit,
};
use std::{
    collections::HashMap,
    path::{Path, PathBuf},
};

/// Why a request has no answer; a sentence for people.
pub(super) type Refusal = (ErrorCode, String);

/// A place of a text with the design that the text belongs to.
pub(super) struct Asked<'s> {
    pub(super) server: &'s Server<'s>,
    pub(super) held: &'s Held,
    pub(super) path: PathBuf,
    pub(super) file: FileId,
    pub(super) offset: usize,
}

/// The place that a request asks about; `None` where no such text is open.
pub(super) fn asked<'s, 'c: 's>(server: &'s mut Server<'c>, uri: &Uri, position: Position) -> Option<Asked<'s>> {
    let (root, path) = server.design_of(uri)?;
    let server: &'s Server<'c> = server;
    let held = server.held(&root)?;
    let file = held.file(&path)?;
    let text = held.sources().file(file)?.text();
    let offset = super::place::Lines::new(text, server.client.encoding).byte(position);
    Some(Asked { server, held, path, file, offset })
}

impl Asked<'_> {
    /// The text of the file.
    pub(super) fn text(&self) -> &str {
        self.held.sources().file(self.file).map_or("", |file| file.text())
    }

    /// The things that the place names.
    pub(super) fn symbols(&self) -> Vec<SymbolId> {
        let tokens = self.held.index().at(self.file, self.offset as u32);
        let mut symbols: Vec<SymbolId> = tokens.iter().map(|token| token.symbol).collect();
        symbols.dedup();
        symbols
    }

    pub(super) fn texts(&self) -> Texts<'_> {
        Texts::new(&self.held.folder, self.held.sources(), self.server.client.encoding)
    }

    fn locations(&self, spans: impl IntoIterator<Item = Span>) -> Vec<Location> {
        let texts = self.texts();
        let spot = |span| Spot::of(&self.held.folder, self.held.sources(), span);
        let mut found: Vec<Location> = Vec::new();
        for location in spans.into_iter().filter_map(spot).filter_map(|spot| texts.location(&self.server.buffers, &spot)) {
            if !found.contains(&location) {
                found.push(location);
            }
        }
        found
    }

    fn goto(&self, spans: Vec<Span>) -> Option<GotoDefinitionResponse> {
        let found = self.locations(spans);
        (!found.is_empty()).then_some(GotoDefinitionResponse::Array(found))
    }
}

fn at<'s, 'c: 's>(server: &'s mut Server<'c>, params: &TextDocumentPositionParams) -> Option<Asked<'s>> {
    asked(server, &params.text_document.uri, params.position)
}

/// Where the thing is defined; of a cavity, which has no line of its own, the pin that it meets; of an include the file.
pub(super) fn definition(server: &mut Server<'_>, params: &GotoDefinitionParams) -> Option<GotoDefinitionResponse> {
    let asked = at(server, &params.text_document_position_params)?;
    let index = asked.held.index();
    let mut spans = Vec::new();
    for symbol in asked.symbols() {
        let defined = index.definitions(symbol);
        match (defined.is_empty(), index.sort(symbol)) {
            (true, Some(Sort::Cavity)) => {
                let mates = editor::opposites(index, asked.held.design(), symbol);
                spans.extend(mates.first().copied());
            }
            (true, Some(Sort::Thing(Kind::Pin))) => {
                spans.extend(index.parent(symbol).map(|port| index.definitions(port)).unwrap_or_default())
            }
            _ => spans.extend(defined),
        }
    }
    if spans.is_empty() {
        return asked.included();
    }
    asked.goto(spans)
}

impl Asked<'_> {
    /// The file that an include names.
    fn included(&self) -> Option<GotoDefinitionResponse> {
        let place = editor::place(self.text(), self.offset)?;
        if !editor::expected(&place)?.is_file() {
            return None;
        }
        let named = self.text().get(place.start..place.end)?;
        let path = super::uri::clean(&self.path.parent()?.join(named));
        let is_there = self.server.buffers.get(&path).is_some() || path.is_file();
        let uri = self.server.buffers.address(&path).filter(|_| is_there)?;
        Some(GotoDefinitionResponse::Array(vec![Location { uri, range: lsp_types::Range::default() }]))
    }
}

/// Where the kind of the thing is defined: the housing of an end, the kind of a fuse, the kind of a device.
pub(super) fn kind(server: &mut Server<'_>, params: &GotoDefinitionParams) -> Option<GotoDefinitionResponse> {
    let asked = at(server, &params.text_document_position_params)?;
    let index = asked.held.index();
    let of_kind = |kind: SymbolId| index.sort(kind).is_some_and(|sort| matches!(sort, Sort::Thing(kind) if is_kind(kind)));
    let mut spans = Vec::new();
    for symbol in asked.symbols() {
        let symbol = if index.sort(symbol).is_some_and(Sort::is_label) { index.parent(symbol)? } else { symbol };
        // What the lines of the thing itself name.
        for whole in index.extents(symbol) {
            let named = index.tokens().iter().filter(|token| {
                token.span.file == whole.file && token.span.start >= whole.start && token.span.end <= whole.end && !token.defines
            });
            spans.extend(named.filter(|token| of_kind(token.symbol)).flat_map(|token| index.definitions(token.symbol)));
        }
    }
    asked.goto(spans)
}

fn is_kind(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::HousingKind
            | Kind::TerminalKind
            | Kind::PointKind
            | Kind::ConductorKind
            | Kind::CableKind
            | Kind::FuseKind
            | Kind::DeviceKind
    )
}

/// What is at the other side: the mate of an end, the pin that a cavity meets, the other end of a wire.
pub(super) fn opposite(server: &mut Server<'_>, params: &GotoDefinitionParams) -> Option<GotoDefinitionResponse> {
    let asked = at(server, &params.text_document_position_params)?;
    let index = asked.held.index();
    let spans: Vec<Span> =
        asked.symbols().into_iter().flat_map(|symbol| editor::opposites(index, asked.held.design(), symbol)).collect();
    asked.goto(spans)
}

/// Every place that bears the name.
pub(super) fn uses(server: &mut Server<'_>, params: &ReferenceParams) -> Option<Vec<Location>> {
    let asked = at(server, &params.text_document_position)?;
    let index = asked.held.index();
    let is_wanted = |defines: bool| params.context.include_declaration || !defines;
    let symbols = asked.symbols();
    let tokens = symbols.into_iter().flat_map(|symbol| index.of(symbol)).filter(|token| is_wanted(token.defines));
    Some(asked.locations(tokens.map(|token| token.span)))
}

/// The places of the same file that bear the name.
pub(super) fn highlights(server: &mut Server<'_>, params: &DocumentHighlightParams) -> Option<Vec<DocumentHighlight>> {
    let asked = at(server, &params.text_document_position_params)?;
    let (index, texts) = (asked.held.index(), asked.texts());
    let lines = texts.lines(&asked.path)?;
    let symbols = asked.symbols();
    let own = symbols.into_iter().flat_map(|symbol| index.of(symbol)).filter(|token| token.span.file == asked.file);
    let highlight = |token: &editor::Token| DocumentHighlight {
        range: lines.range(token.span.start as usize, token.span.end as usize),
        kind: Some(if token.defines { DocumentHighlightKind::WRITE } else { DocumentHighlightKind::READ }),
    };
    Some(own.map(highlight).collect())
}

fn failed(why: impl ToString) -> Refusal {
    (ErrorCode::RequestFailed, why.to_string())
}

/// The name that may be changed, with its place.
pub(super) fn prepare(
    server: &mut Server<'_>,
    params: &TextDocumentPositionParams,
) -> Result<Option<PrepareRenameResponse>, Refusal> {
    let Some(asked) = at(server, params) else { return Ok(None) };
    let index = asked.held.index();
    let token = editor::nameable(index, asked.file, asked.offset as u32).map_err(failed)?;
    let texts = asked.texts();
    let range = texts.lines(&asked.path).map(|lines| lines.range(token.span.start as usize, token.span.end as usize));
    let placeholder = index.name(token.symbol).to_owned();
    Ok(range.map(|range| PrepareRenameResponse::RangeWithPlaceholder { range, placeholder }))
}

/// The name changed in every file of the design.
pub(super) fn rename(server: &mut Server<'_>, params: &RenameParams) -> Result<Option<WorkspaceEdit>, Refusal> {
    let Some(asked) = at(server, &params.text_document_position) else { return Err(failed("no such text is open")) };
    let index = asked.held.index();
    let token = editor::nameable(index, asked.file, asked.offset as u32).map_err(failed)?;
    let edits = editor::rename(index, asked.held.sources(), token.symbol, &params.new_name).map_err(failed)?;
    Ok(Some(workspace_edit(asked.server, asked.held, &edits)))
}

/// Edits of the files of a design for the client.
pub(super) fn workspace_edit(server: &Server<'_>, held: &Held, edits: &[Edit]) -> WorkspaceEdit {
    let texts = Texts::new(&held.folder, held.sources(), server.client.encoding);
    let mut by_file: Vec<(Uri, Option<i32>, Vec<TextEdit>)> = Vec::new();
    for edit in edits {
        let Some(spot) = Spot::of(&held.folder, held.sources(), edit.span) else { continue };
        let Some(Location { uri, range }) = texts.location(&server.buffers, &spot) else { continue };
        let edit = TextEdit { range, new_text: edit.text.clone() };
        match by_file.iter_mut().find(|(known, ..)| *known == uri) {
            Some((_, _, all)) => all.push(edit),
            None => by_file.push((uri, version(&server.buffers, &spot.path), vec![edit])),
        }
    }
    edit_of(server, by_file)
}

/// An edit of several files, with versions where the client takes them.
pub(super) fn edit_of(server: &Server<'_>, by_file: Vec<(Uri, Option<i32>, Vec<TextEdit>)>) -> WorkspaceEdit {
    if !server.client.takes_versions {
        #[expect(clippy::mutable_key_type, reason = "the protocol's own type: an address is not changed in place")]
        let changes: HashMap<Uri, Vec<TextEdit>> = by_file.into_iter().map(|(uri, _, edits)| (uri, edits)).collect();
        return WorkspaceEdit { changes: Some(changes), ..WorkspaceEdit::default() };
    }
    let edit = |(uri, version, edits): (Uri, Option<i32>, Vec<TextEdit>)| TextDocumentEdit {
        text_document: OptionalVersionedTextDocumentIdentifier { uri, version },
        edits: edits.into_iter().map(OneOf::Left).collect(),
    };
    let changes = DocumentChanges::Edits(by_file.into_iter().map(edit).collect());
    WorkspaceEdit { document_changes: Some(changes), ..WorkspaceEdit::default() }
}

pub(super) fn version(buffers: &Buffers, path: &Path) -> Option<i32> {
    buffers.get(path).map(|buffer| buffer.version)
}
