//! How far a feed or a return reaches, in words: shared by `no-source` and `no-return`.

use super::starved::{Open, Starved};
use crate::{
    analysis::Analysis,
    finding::Finding,
    model::{Element, ElementKind},
    network::{EdgeId, Terminal},
};

/// The first of the loads that one thing starves.
pub(super) fn reach<'m>(analysis: &'m Analysis, starved: &Starved) -> Option<(String, &'m Element)> {
    let load = *starved.loads.first()?;
    Some((analysis.model().element_name(load), analysis.model().element(load)?))
}

/// What is open, for the headline, and what to do about it.
pub(super) fn blame(analysis: &Analysis, starved: &Starved, side: &str) -> (String, String) {
    let model = analysis.model();
    let dead = model.point_name(starved.dead);
    match starved.open {
        Some(Open::Edge(edge)) => {
            let (name, what, remedy) = edge_words(analysis, edge);
            (format!(": {what} `{name}` is open"), remedy)
        }
        Some(Open::Unfitted(element)) => {
            let name = model.element_name(element);
            (format!(": `{name}` is not fitted"), format!("fit `{name}`, or take the mode out of the load's `in:`"))
        }
        Some(Open::Converter(element)) => {
            let name = model.element_name(element);
            (
                format!(": converter `{name}` does not run"),
                format!("add the mode to `in:` of `{name}`, or take it out of the load's `in:`"),
            )
        }
        None if starved.modes.is_empty() => {
            (" in any position of the switches".to_owned(), format!("add the {side} at `{dead}`"))
        }
        None => (String::new(), format!("lead the {side} at `{dead}` on to the source")),
    }
}

/// Name, kind and remedy of an open edge.
fn edge_words(analysis: &Analysis, edge: EdgeId) -> (String, &'static str, String) {
    let model = analysis.model();
    let part = analysis.network().edge(edge).and_then(|edge| edge.element());
    let Some((element, terminal)) = part else { return (String::new(), "joint", String::new()) };
    let name = model.element_name(element);
    let kind = model.element(element).map(|element| &element.kind);
    let (what, remedy) = match (kind, terminal) {
        (_, Terminal::Make | Terminal::Break) => {
            ("the contact of", format!("feed the coil of `{name}` in these modes, or take them out of the load's `in:`"))
        }
        (Some(ElementKind::Disconnect { .. }), _) => {
            ("disconnect", format!("take the mode out of the load's `in:`: `{name}` is out there"))
        }
        (Some(ElementKind::Diode(_)), _) => ("diode", format!("turn `{name}` round, or lead the feed past it")),
        _ => ("switch", format!("add the mode to `closed-in` of `{name}`, or take it out of the load's `in:`")),
    };
    (name, what, remedy)
}

/// The place of what is open, and what the finding concerns.
pub(super) fn evidence(analysis: &Analysis, starved: &Starved, mut finding: Finding) -> Finding {
    let model = analysis.model();
    let open = match starved.open {
        Some(Open::Edge(edge)) => analysis.network().edge(edge).and_then(|edge| edge.element()).map(|(element, _)| element),
        Some(Open::Unfitted(element) | Open::Converter(element)) => Some(element),
        None => None,
    };
    if let Some(item) = open.and_then(|open| model.element(open)) {
        finding = finding.context(item.value_span, "open here");
    }
    starved.loads.iter().fold(finding, |finding, load| finding.concerns(model.element_name(*load)))
}
