//! The outline of a file, what may be folded in it, and things by their names.

use super::{
    findings::{Spot, Texts},
    held::Held,
    server::Server,
};
use harness_core::editor::{self, Kind, Outline, Sort, SymbolId};
use lsp_types::{
    DocumentSymbol, DocumentSymbolParams, DocumentSymbolResponse, FoldingRange, FoldingRangeKind, FoldingRangeParams, Location,
    SymbolInformation, SymbolKind, WorkspaceSymbolParams, WorkspaceSymbolResponse,
};

/// Things that a search lists.
const MOST: usize = 300;

/// The things of a file.
pub(super) fn symbols(server: &mut Server<'_>, params: &DocumentSymbolParams) -> Option<DocumentSymbolResponse> {
    let (root, path) = server.design_of(&params.text_document.uri)?;
    let held = server.held(&root)?;
    let file = held.file(&path)?;
    let texts = Texts::new(&held.folder, held.sources(), server.client.encoding);
    let found = editor::outline(held.index(), file);
    let lines = texts.lines(&path)?;
    if server.client.shows_tree {
        let text = held.sources().file(file)?.text();
        return Some(DocumentSymbolResponse::Nested(found.iter().map(|item| nested(held, text, lines, item)).collect()));
    }
    let mut flat = Vec::new();
    flatten(held, &found, None, &mut |name, kind, item, container| {
        let location = Location {
            uri: params.text_document.uri.clone(),
            range: lines.range(item.whole.start as usize, item.whole.end as usize),
        };
        flat.push(information(name, kind, location, container));
    });
    Some(DocumentSymbolResponse::Flat(flat))
}

fn flatten(
    held: &Held,
    items: &[Outline],
    container: Option<&str>,
    add: &mut impl FnMut(String, SymbolKind, &Outline, Option<String>),
) {
    for item in items {
        let name = held.index().name(item.symbol).to_owned();
        add(name.clone(), kind_of(held, item.symbol), item, container.map(str::to_owned));
        flatten(held, &item.inner, Some(&name), add);
    }
}

fn nested(held: &Held, text: &str, lines: &super::Lines<'_>, item: &Outline) -> DocumentSymbol {
    let range = |span: harness_core::source::Span| lines.range(span.start as usize, span.end as usize);
    let inner: Vec<DocumentSymbol> = item.inner.iter().map(|item| nested(held, text, lines, item)).collect();
    let name = held.index().name(item.symbol);
    #[expect(deprecated, reason = "the field has to be given")]
    DocumentSymbol {
        name: if name.trim().is_empty() { "?".to_owned() } else { name.to_owned() },
        detail: detail(text, item),
        kind: kind_of(held, item.symbol),
        tags: None,
        deprecated: None,
        range: range(item.whole),
        selection_range: range(item.key),
        children: (!inner.is_empty()).then_some(inner),
    }
}

/// What is written of a thing, if that is one line.
fn detail(text: &str, item: &Outline) -> Option<String> {
    const MOST: usize = 80;
    let written = text.get(item.key.end as usize..item.whole.end as usize)?.trim_start_matches([':', '"', '\'', ' ']);
    let is_line = !written.is_empty() && !written.contains('\n');
    let is_long = written.chars().count() > MOST;
    is_line.then(|| if is_long { written.chars().take(MOST).chain(['…']).collect() } else { written.to_owned() })
}

/// Which of the protocol's sorts of symbols comes nearest.
fn kind_of(held: &Held, symbol: SymbolId) -> SymbolKind {
    match held.index().sort(symbol) {
        Some(Sort::Thing(kind)) => match kind {
            Kind::Device => SymbolKind::CLASS,
            Kind::Loom => SymbolKind::MODULE,
            Kind::Port | Kind::End => SymbolKind::INTERFACE,
            Kind::Wire => SymbolKind::FIELD,
            Kind::Cable | Kind::Segment => SymbolKind::ARRAY,
            Kind::Splice | Kind::Pin => SymbolKind::KEY,
            Kind::Element => SymbolKind::FUNCTION,
            Kind::Domain | Kind::Zone | Kind::Mode | Kind::Network | Kind::Design | Kind::Policy | Kind::Waiver => {
                SymbolKind::NAMESPACE
            }
            Kind::HousingKind
            | Kind::TerminalKind
            | Kind::PointKind
            | Kind::ConductorKind
            | Kind::CableKind
            | Kind::FuseKind
            | Kind::DeviceKind => SymbolKind::STRUCT,
        },
        Some(_) | None => SymbolKind::KEY,
    }
}

#[expect(deprecated, reason = "the field has to be given")]
fn information(name: String, kind: SymbolKind, location: Location, container_name: Option<String>) -> SymbolInformation {
    SymbolInformation { name, kind, tags: None, deprecated: None, location, container_name }
}

/// Things of all designs that are open whose name from the top holds what is asked for, capitals or not.
pub(super) fn search(server: &mut Server<'_>, params: &WorkspaceSymbolParams) -> Option<WorkspaceSymbolResponse> {
    let asked = params.query.to_lowercase();
    server.read_all();
    let mut found: Vec<(usize, SymbolInformation)> = Vec::new();
    for held in server.slots.values().filter_map(|slot| slot.held.as_ref()) {
        let (index, texts) = (held.index(), Texts::new(&held.folder, held.sources(), server.client.encoding));
        for token in index.tokens().iter().filter(|token| token.defines && !index.sort(token.symbol).is_some_and(Sort::is_label))
        {
            let path = index.path(token.symbol);
            let Some(at) = path.to_lowercase().find(&asked) else { continue };
            let location =
                Spot::of(&held.folder, held.sources(), token.span).and_then(|spot| texts.location(&server.buffers, &spot));
            let Some(location) = location else { continue };
            let noun = index.sort(token.symbol).map(|sort| sort.noun().to_owned());
            // Names that begin so come first, short ones before long ones.
            let rank = usize::from(at > 0) * 1_000 + path.len();
            found.push((rank, information(path, kind_of(held, token.symbol), location, noun)));
        }
    }
    found.sort_by(|(one, first), (other, second)| (one, &first.name).cmp(&(other, &second.name)));
    found.truncate(MOST);
    Some(WorkspaceSymbolResponse::Flat(found.into_iter().map(|(_, symbol)| symbol).collect()))
}

/// Looms, devices and their lists, as far as they go over several lines.
pub(super) fn folding(server: &mut Server<'_>, params: &FoldingRangeParams) -> Option<Vec<FoldingRange>> {
    let (root, path) = server.design_of(&params.text_document.uri)?;
    let held = server.held(&root)?;
    let file = held.file(&path)?;
    let folds = editor::folds(held.sources(), file);
    let fold = |fold: editor::Fold| FoldingRange {
        start_line: fold.first as u32,
        end_line: fold.last as u32,
        kind: Some(FoldingRangeKind::Region),
        ..FoldingRange::default()
    };
    Some(folds.into_iter().map(fold).collect())
}
