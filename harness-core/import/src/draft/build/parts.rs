//! Parts that a row of wires names: the cable that a wire is a core of, the housings at its ends.

use super::{
    super::{Node, Place, RowWire, Wire, names::slug},
    Builder,
};

impl Builder<'_> {
    /// Makes a wire the core that its row says; what is missing for that is said, and kept as a note.
    pub(super) fn core(&mut self, row: &RowWire, wire: &mut Wire, place: &Place) {
        let said = row.core.as_deref().unwrap_or_default();
        let (cable, label) = match (&row.cable, said.rsplit_once(['.', ':', '-', '/'])) {
            (Some(cable), _) => (cable.clone(), said),
            (None, Some((cable, label))) if !cable.is_empty() && !label.is_empty() => (slug(cable), label),
            (None, _) => {
                wire.notes.push(format!("core: {said}"));
                wire.unsure.push("core: of which cable is not in the list".to_owned());
                return;
            }
        };
        let Some(size) = wire.size.clone() else {
            wire.notes.push(format!("cable {cable} core {said}").trim_end().to_owned());
            wire.unsure.push("size: not in the list".to_owned());
            return;
        };
        let kind = format!("cable {cable}");
        let held = self.draft.looms.entry(row.loom.clone()).or_default();
        held.cables.entry(cable.clone()).or_insert_with(|| (kind.clone(), place.clone()));
        let (cores, _) = self.draft.cores.entry(kind).or_insert_with(|| (Default::default(), place.clone()));
        let label = if label.is_empty() {
            wire.unsure.push("core: the list does not say which".to_owned());
            (1..).map(|number: u32| number.to_string()).find(|number| !cores.contains_key(number)).unwrap_or_default()
        } else {
            slug(label)
        };
        if cores.contains_key(&label) {
            let text = format!("the core `{label}` of cable `{cable}` is on two rows");
            self.findings.conflict("duplicate core", text, vec![place.clone()]);
            wire.notes.push(format!("cable {cable} core {label}"));
            return;
        }
        cores.insert(label.clone(), (Some(size), wire.colour.take()));
        wire.size = None;
        wire.core = Some(format!("{cable}.{label}"));
    }

    /// The housings at both ends of a row: references where the design has the kind, notes otherwise.
    pub(super) fn housings(&mut self, row: &RowWire, ends: [&Node; 2], place: &Place) {
        for (housing, node) in row.housings.iter().zip(ends) {
            let (Some(housing), Node::Cavity { end: name, .. }) = (housing, node) else { continue };
            let is_known = self.draft.kinds.has("housings", housing);
            let Some(end) = self.draft.looms.get_mut(&row.loom).and_then(|loom| loom.ends.get_mut(name)) else { continue };
            let note = format!("housing: {housing}");
            let known = end.given.iter().find(|(key, _)| *key == "housing").map(|(_, known)| known.clone());
            let noted = end.notes.iter().find(|note| note.starts_with("housing: ")).cloned();
            let other =
                known.clone().or_else(|| noted.as_ref().and_then(|note| note.strip_prefix("housing: ").map(str::to_owned)));
            match other {
                Some(other) if other != *housing => {
                    let text = format!("the plug `{name}` has the housing `{other}` in one row and `{housing}` in another");
                    self.findings.conflict("tables differ", text, vec![place.clone()]);
                }
                Some(_) => {}
                None if is_known => end.given.push(("housing", housing.clone())),
                None => end.notes.push(note),
            }
        }
    }
}
