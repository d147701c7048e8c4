//! Batteries in parallel have one open-circuit voltage.

use crate::{
    analysis::Analysis,
    electrical::battery::{Bank, BatteryString, Cell, LumpId},
    evidence::string_name,
    finding::{Finding, Level, Weighed},
    model::{ElementId, PointId},
    network::Components,
    quantity::{Ampere, Ohm, Volt},
    rules::{Rule, RulePage},
    standards::battery::apart,
};
use rustc_hash::FxHashMap;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "battery/unequal-strings",
        level: Level::Error,
        since: "0.1.0",
        finds: "batteries or strings in parallel whose open-circuit voltages differ, with the current that then flows between them",
        docs: include_str!("unequal_strings.md"),
    },
    check,
};

/// Share of the larger voltage from which a difference is a short.
const SHORT: f64 = 0.4;

/// A battery or string, for the comparison with what is beside it.
struct Side {
    name: String,
    source: ElementId,
    ends: (PointId, PointId),
    volts: f64,
    ohms: f64,
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let batteries = analysis.facts().batteries();
    let mut findings = Vec::new();
    let mut joined = Joined { analysis, modes: None };
    for bank in batteries.strings.iter().flat_map(|string| &string.banks) {
        findings.extend(compare(analysis, &mut joined, cells(analysis, bank)));
    }
    let mut beside: FxHashMap<(LumpId, LumpId), usize> = FxHashMap::default();
    let mut groups: Vec<Vec<Side>> = Vec::new();
    for string in batteries.strings.iter().filter(|string| string.is_straight()) {
        let at = *beside.entry((batteries.lump(string.bottom), batteries.lump(string.top))).or_insert(groups.len());
        if at == groups.len() {
            groups.push(Vec::new());
        }
        if let (Some(group), Some(side)) = (groups.get_mut(at), side(analysis, string)) {
            group.push(side);
        }
    }
    for group in groups {
        findings.extend(compare(analysis, &mut joined, group));
    }
    findings
}

/// The sources of one bank that take current back.
fn cells(analysis: &Analysis, bank: &Bank) -> Vec<Side> {
    let side = |cell: &Cell| {
        let element = &analysis.model()[cell.source];
        let [plus, minus] = element.points.exactly();
        let name = format!("`{}`", analysis.model().element_name(cell.source));
        let (volts, ohms) = (cell.emf.get(), cell.resistance.get());
        Side { name, source: cell.source, ends: (minus, plus), volts, ohms }
    };
    bank.cells.iter().filter(|cell| !cell.limited).map(side).collect()
}

/// A string as a whole; `None` if a source in it takes no current back.
fn side(analysis: &Analysis, string: &BatteryString) -> Option<Side> {
    let first = string.banks.first()?.first;
    let limited = string.banks.iter().any(|bank| bank.first.limited);
    let (volts, ohms) = (string.voltage().get(), string.resistance().get());
    let name = string_name(analysis.model(), string);
    (!limited).then_some(Side { name, source: first.source, ends: (string.bottom, string.top), volts, ohms })
}

/// The highest of those side by side against the first that is too low.
fn compare(analysis: &Analysis, joined: &mut Joined<'_>, mut sides: Vec<Side>) -> Option<Finding> {
    // Of equal ones the first by name has the finding, so that the order of the file does not matter.
    sides.sort_by(|a, b| a.name.cmp(&b.name));
    let high = sides.iter().rev().max_by(|a, b| a.volts.total_cmp(&b.volts))?;
    let differs = |side: &&Side| {
        let share = (high.volts - side.volts) / high.volts;
        share > apart().value.get() && share < SHORT
    };
    let low = sides.iter().filter(differs).min_by(|a, b| a.volts.total_cmp(&b.volts)).filter(|low| joined.are(high, low))?;
    let model = analysis.model();
    let (volts, ohms) = (Volt::new(high.volts - low.volts), Ohm::new(high.ohms + low.ohms));
    let amps = Ampere::new(volts.get() / ohms.get().max(f64::MIN_POSITIVE));
    let (own, other) = (Volt::new(high.volts), Volt::new(low.volts));
    let finding = RULE
        .finding(
            model[low.source].value_span,
            format!("{} of {other} is in parallel with {} of {own}: up to {amps} flow between them", low.name, high.name), [Weighed::neither(other), Weighed::neither(own), Weighed::larger(amps)])
        .label("charged by the battery in parallel")
        .context(model[high.source].value_span, "has the higher voltage")
        .figure("difference", volts)
        .figure("allowed", format!("{} of the higher; {}", apart().value, apart().source))
        .figure("resistance", format!("{ohms} inside both; wires left out"))
        .help("use batteries of one kind, age and state of charge, or separate them by a switch; if one of them is a charger, give it its `limit`")
        .concerns(model.element_name(low.source))
        .concerns(model.element_name(high.source));
    Some(finding)
}

/// Whether both ends of two batteries are joined in one mode; looked up only where two differ.
struct Joined<'a> {
    analysis: &'a Analysis,
    modes: Option<Vec<Components>>,
}

impl Joined<'_> {
    fn are(&mut self, a: &Side, b: &Side) -> bool {
        let analysis = self.analysis;
        let modes = self.modes.get_or_insert_with(|| {
            let lumps = analysis
                .electrical()
                .modes()
                .map(|mode| analysis.network().components(|id, edge| edge.role.leads_to_battery() && mode.conducts(id)));
            lumps.collect()
        });
        modes.iter().any(|lumps| lumps.of(a.ends.0) == lumps.of(b.ends.0) && lumps.of(a.ends.1) == lumps.of(b.ends.1))
    }
}
