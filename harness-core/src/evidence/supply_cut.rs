//! What a cut supply says, whichever side of the load is cut off.

use crate::{
    facts::{
        Facts,
        supply_cuts::{Gap, Metal, SupplyCut},
    },
    finding::Finding,
    network::{EdgeId, EdgeRole, Network},
};

/// What is open, for the end of a headline, and what to do about it. `what` is cut off: a feed, a return.
#[must_use]
pub fn blame(facts: &Facts, cut: &SupplyCut, what: &str) -> (String, String) {
    let model = facts.model();
    let dead = model.point_name(cut.dead);
    match cut.gap {
        Some(Gap::Edge(edge, element)) => {
            let name = model.element_name(element);
            let (what, remedy) = match model[element].kind.throw() {
                Some(_) => (
                    "selector",
                    format!("use `at` to set `{name}` to a position that closes it, or take the mode out of the load's `in:`"),
                ),
                None => open_part(facts.network(), edge, &name),
            };
            (format!(": {what} `{name}` is open"), remedy)
        }
        Some(Gap::Unfitted(element)) => {
            let name = model.element_name(element);
            (format!(": `{name}` is not fitted"), format!("fit `{name}`, or take the mode out of the load's `in:`"))
        }
        Some(Gap::Converter(element)) => {
            let name = model.element_name(element);
            (
                format!(": converter `{name}` does not run"),
                format!("add the mode to `in:` of `{name}`, or take it out of the load's `in:`"),
            )
        }
        None if cut.modes.is_empty() => (" in any position of the switches".to_owned(), format!("add the {what} at `{dead}`")),
        None => match &cut.metal {
            Some(Metal { point, source: (source, pole) }) => {
                let metal = model.point_name(*point);
                let help = format!(
                    "add the strap or wire that is missing between `{metal}` and the minus of `{}`, `{}`",
                    model.element_name(*source),
                    model.point_name(*pole)
                );
                (format!(": nothing joins `{metal}` to it"), help)
            }
            None => (String::new(), format!("connect the {what} at `{dead}` to the source")),
        },
    }
}

/// Adds to a finding the place of what is open, and what it concerns.
#[must_use]
pub fn supply_cut(facts: &Facts, cut: &SupplyCut, mut finding: Finding) -> Finding {
    let model = facts.model();
    if let Some(Gap::Edge(_, element) | Gap::Unfitted(element) | Gap::Converter(element)) = cut.gap {
        finding = finding.context(model[element].value_span, "open here");
    }
    cut.loads.iter().fold(finding, |finding, load| finding.concerns(model.element_name(*load)))
}

/// What an open part is called, and how it is closed.
fn open_part(network: &Network, edge: EdgeId, name: &str) -> (&'static str, String) {
    use EdgeRole::{
        BreakContact, Capacitor, Coil, ConverterInput, ConverterOutput, Diode, Disconnect, Fuse, Interlock, Load, MakeContact,
        Metal, Resistor, Shunt, Source, Switch,
    };
    match network[edge].role {
        MakeContact | BreakContact => {
            ("the contact of", format!("feed the coil of `{name}` in these modes, or take them out of the load's `in:`"))
        }
        Disconnect => ("disconnect", format!("take the mode out of the load's `in:`: `{name}` is out there")),
        Diode => ("diode", format!("turn `{name}` round, or route the feed past it")),
        Switch { .. } => ("switch", format!("add the mode to `closed-in` of `{name}`, or take it out of the load's `in:`")),
        // These are never open once they are fitted.
        Metal(_)
        | Fuse
        | Interlock
        | Coil
        | Source { .. }
        | ConverterInput
        | ConverterOutput { .. }
        | Load
        | Resistor
        | Shunt
        | Capacitor => ("part", format!("close `{name}`")),
    }
}
