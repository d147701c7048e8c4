//! Remedies that were tried, as actions at the place of their findings.

use super::{
    cavities::{self, MOST_UNASKED},
    findings::{Shown, Texts, diagnostic},
    held::Held,
    names::{edit_of, version, workspace_edit},
    place::Lines,
    server::Server,
};
use harness_core::{
    Checker, apply,
    finding::{Edit, Judged},
};
use lsp_types::{
    CodeAction, CodeActionKind, CodeActionOrCommand, CodeActionParams, CodeActionResponse, CodeActionTriggerKind, TextEdit,
};
use std::path::Path;

/// The actions at a range.
pub(super) fn actions(server: &mut Server<'_>, params: &CodeActionParams) -> Option<CodeActionResponse> {
    let (root, path) = server.design_of(&params.text_document.uri)?;
    if !server.client.takes_actions {
        return None;
    }
    let server = &*server;
    let held = server.held(&root).filter(|held| !held.is_alone)?;
    let is_wanted = |kind: &CodeActionKind| {
        let covers = |only: &CodeActionKind| kind == only || kind.as_str().starts_with(&format!("{}.", only.as_str()));
        params.context.only.as_ref().is_none_or(|only| only.iter().any(covers))
    };
    let mut actions = Vec::new();
    if is_wanted(&CodeActionKind::QUICKFIX) {
        actions.extend(fixes(server, held, &path, params).into_iter().flatten());
    }
    // All safe steps at once are offered to those who ask for them.
    if params.context.only.is_some() && is_wanted(&CodeActionKind::SOURCE_FIX_ALL) {
        actions.extend(all_safe(server, &root));
    }
    Some(actions.into_iter().map(CodeActionOrCommand::CodeAction).collect())
}

/// The tried remedies of the findings at a range; `None` if none is there, or they are tried for those who ask only.
fn fixes(server: &Server<'_>, held: &Held, path: &Path, params: &CodeActionParams) -> Option<Vec<CodeAction>> {
    let file = held.file(path)?;
    let text = held.sources().file(file)?.text();
    let lines = Lines::new(text, server.client.encoding);
    let (start, end) = (lines.byte(params.range.start), lines.byte(params.range.end));
    let is_here = |finding: &Judged| {
        let span = finding.primary.span;
        span.file == file && (span.start as usize) <= end && start <= span.end as usize
    };
    let report = held.report(server.today);
    let is_large = report.summary.conductors > MOST_UNASKED;
    let is_unasked = params.context.trigger_kind == Some(CodeActionTriggerKind::AUTOMATIC);
    let mut here = report.findings.iter().filter(|finding| is_here(finding) && finding.waived.is_none()).peekable();
    here.peek()?;
    let texts = Texts::new(&held.folder, held.sources(), server.client.encoding);
    let shown = |finding: &Judged| {
        let shown = Shown::of(&held.folder, held.sources(), finding)?;
        diagnostic(&shown, &texts, &server.buffers, server.client.shows_related).map(|(_, diagnostic)| diagnostic)
    };
    let action = |finding: &Judged, title: String, edits: &[Edit], is_preferred: bool| {
        Some(CodeAction {
            title,
            kind: Some(CodeActionKind::QUICKFIX),
            diagnostics: Some(vec![shown(finding)?]),
            edit: Some(workspace_edit(server, held, edits)),
            is_preferred: Some(is_preferred),
            ..CodeAction::default()
        })
    };
    let mut actions = Vec::new();
    let mut has_remedies = false;
    for finding in here {
        has_remedies |= !finding.remedies.is_empty();
        let others = cavities::others(server, held, report, finding);
        let is_only = others.len() == 1;
        actions
            .extend(others.into_iter().filter_map(|(name, edit)| action(finding, format!("write `{name}`"), &[edit], is_only)));
    }
    if !has_remedies || (is_unasked && is_large && !held.has_offers()) {
        return Some(actions);
    }
    for finding in held.offers(server.today).findings.iter().filter(|finding| is_here(finding)) {
        if let Some(offer) = finding.offer.as_ref().filter(|offer| offer.tried) {
            actions.extend(action(finding, offer.remedy.words.clone(), &offer.remedy.edits, offer.is_safe()));
        }
    }
    Some(actions)
}

/// Every safe remedy of the design, as `harness check --apply` writes them.
fn all_safe(server: &Server<'_>, root: &Path) -> Option<CodeAction> {
    let files = server.buffers.files(root);
    let checker = server.today.into_iter().fold(Checker::new().fold(), Checker::today);
    let applied = apply(&files, files.root(), &checker);
    let folder = root.parent().unwrap_or(Path::new(""));
    let by_file = applied.files.iter().filter_map(|(name, (old, new))| {
        let path = folder.join(name);
        let edit = TextEdit { range: Lines::new(old, server.client.encoding).whole(), new_text: new.clone() };
        Some((server.buffers.address(&path)?, version(&server.buffers, &path), vec![edit]))
    });
    let by_file: Vec<_> = by_file.collect();
    (!by_file.is_empty()).then(|| CodeAction {
        title: format!("make all safe corrections of the design ({})", applied.written.len()),
        kind: Some(CodeActionKind::SOURCE_FIX_ALL),
        edit: Some(edit_of(server, by_file)),
        ..CodeAction::default()
    })
}
