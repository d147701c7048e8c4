//! What may be written at a place.

use super::{names::asked, server::Server};
use harness_core::editor::{self, ProposalKind};
use lsp_types::{
    CompletionItem, CompletionItemKind, CompletionList, CompletionParams, CompletionResponse, CompletionTextEdit, Documentation,
    TextEdit,
};
use std::fs;

/// Proposals that are sent at once: of more the client asks again as more is typed.
const MOST: usize = 500;

/// What may be written at the place.
pub(super) fn complete(server: &mut Server<'_>, params: &CompletionParams) -> Option<CompletionResponse> {
    let at = &params.text_document_position;
    let asked = asked(server, &at.text_document.uri, at.position)?;
    let place = editor::place(asked.text(), asked.offset)?;
    let text = asked.text();
    let mut found = editor::proposals(asked.held.index(), asked.held.design(), text, (&place, asked.offset));
    if editor::expected(&place).is_some_and(|expected| expected.is_file()) {
        (found.start, found.end) = (place.start, place.end);
        found.items = files(&asked);
    }
    let typed = text.get(found.start..asked.offset.max(found.start)).unwrap_or("").to_lowercase();
    // The client sorts and picks; what can't be meant is left out so that none of it is cut off.
    let fits = |label: &str| {
        let label = label.to_lowercase();
        let mut letters = label.chars();
        typed.chars().all(|wanted| letters.any(|letter| letter == wanted))
    };
    let texts = asked.texts();
    let range = texts.lines(&asked.path)?.range(found.start, found.end.max(asked.offset));
    let fitting: Vec<_> = found.items.into_iter().filter(|item| fits(&item.label)).collect();
    let is_incomplete = fitting.len() > MOST;
    let items = fitting.into_iter().take(MOST).enumerate();
    let item = |(number, item): (usize, editor::Proposal)| CompletionItem {
        kind: Some(match item.kind {
            ProposalKind::Key => CompletionItemKind::PROPERTY,
            ProposalKind::Word => CompletionItemKind::ENUM_MEMBER,
            ProposalKind::Unit => CompletionItemKind::UNIT,
            ProposalKind::Name => CompletionItemKind::REFERENCE,
            ProposalKind::Label => CompletionItemKind::FIELD,
            ProposalKind::Rule => CompletionItemKind::CONSTANT,
        }),
        detail: (!item.detail.is_empty()).then_some(item.detail),
        documentation: (!item.doc.is_empty()).then_some(Documentation::String(item.doc)),
        sort_text: Some(format!("{}{number:05}", item.rank)),
        filter_text: Some(item.label.clone()),
        text_edit: Some(CompletionTextEdit::Edit(TextEdit { range, new_text: item.text })),
        label: item.label,
        ..CompletionItem::default()
    };
    Some(CompletionResponse::List(CompletionList { is_incomplete, items: items.map(item).collect() }))
}

/// Netlists in the folder of the file and the folders below it that may be included.
fn files(asked: &super::names::Asked<'_>) -> Vec<editor::Proposal> {
    const MOST_FILES: usize = 200;
    let Some(top) = asked.path.parent() else { return Vec::new() };
    let (mut found, mut waiting) = (Vec::new(), vec![(top.to_owned(), 0)]);
    while let Some((folder, depth)) = waiting.pop() {
        for path in fs::read_dir(&folder).into_iter().flatten().filter_map(Result::ok).map(|entry| entry.path()) {
            let is_netlist = path.extension().is_some_and(|extension| extension == "yaml" || extension == "yml");
            let name = path.strip_prefix(top).ok().and_then(|path| path.to_str()).map(|path| path.replace('\\', "/"));
            if path.is_dir() && depth < 2 {
                waiting.push((path, depth + 1));
            } else if let Some(name) = name.filter(|_| is_netlist && path != asked.path && found.len() < MOST_FILES) {
                found.push(name);
            }
        }
    }
    found.sort();
    found.into_iter().map(|name| editor::Proposal::file(&name)).collect()
}
