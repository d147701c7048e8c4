//! Names of one map that differ in upper and lower case alone: what is printed on a marker or said aloud does not keep them apart.

use super::{collect::Findings, design::Design, reader::clip, rules, values::Map};
use crate::{
    finding::Level,
    text::{Name, Names, Span},
};
use rustc_hash::FxHashMap;

/// Reports names that differ in case alone, of what is marked, called or ordered by its name: devices, looms, their wires, cables, ends and
/// splices, and kinds of parts. Labels of pins and cavities are not: circular connectors have both cases by standard.
pub(super) fn check(design: &Design, findings: &mut Findings, names: &Names) {
    let mut cases = Cases { findings, names };
    cases.map("device", "", &design.devices);
    cases.map("loom", "", &design.looms);
    for loom in &design.looms {
        let within = format!("{}.", names.text(loom.name.value));
        cases.map("wire", &within, &loom.value.wires);
        cases.map("cable", &within, &loom.value.cables);
        cases.map("end", &within, &loom.value.ends);
        cases.map("splice", &within, &loom.value.splices);
    }
    let Some(parts) = &design.parts else { return };
    cases.map("fuse kind", "", &parts.fuses);
    cases.map("conductor kind", "", &parts.conductors);
    cases.map("cable kind", "", &parts.cables);
    cases.map("housing kind", "", &parts.housings);
    cases.map("terminal kind", "", &parts.terminals);
}

struct Cases<'a> {
    findings: &'a mut Findings,
    names: &'a Names,
}

impl Cases<'_> {
    fn map<T>(&mut self, what: &str, within: &str, map: &Map<T>) {
        let mut first: FxHashMap<String, (Name, Span)> = FxHashMap::default();
        for entry in map {
            let (name, span) = (entry.name.value, entry.name.span);
            let text = self.names.text(name);
            // A name of digits has no case.
            if !text.chars().any(char::is_alphabetic) {
                continue;
            }
            let Some((other, place)) = first.get(&text.to_lowercase()).copied() else {
                first.insert(text.to_lowercase(), (name, span));
                continue;
            };
            let full = |name: &str| clip(&format!("{within}{name}"));
            let (one, two) = (full(self.names.text(other)), full(text));
            let mut finding = rules::LOOKALIKE_NAME
                .finding(span, format!("{what}s `{one}` and `{two}` differ in upper and lower case alone"))
                .label("printed markers do not keep them apart")
                .context(place, format!("`{one}`"))
                .help(format!("give one of them a name of its own, or write it as the other where one {what} is meant"));
            finding.stated = Level::Warning;
            self.findings.push(finding);
        }
    }
}
