//! The sheet of each end of a loom: its face from both sides, what is in every cavity, what it mates.
//!
//! A housing gives its face from one side; the other view is its mirror, row by row, and is made nowhere else. A housing without a face, or
//! without the side from which it is seen, has no view: a list in order is all that can be said.

use super::{Bench, far_end};
use crate::{
    model::{EndId, EndKind, Housing, Mate, PointId},
    quantity::{Metre, SquareMillimetre},
    standards::colour::WireColour,
    vocabulary::{Contacts, FaceSide},
};
use std::collections::BTreeMap;

/// A wire at its point: its number and its cavity.
type Named = (PointId, (String, String));

/// What an end is.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum EndKindSheet {
    /// A connector with its housing kind; empty where none is named.
    Connector(String),
    /// A ring with its thread.
    Ring(String),
    /// Bare wire ends, or ends with a ferrule or push-on terminal.
    Bare,
}

/// The labels of a face in rows, from both sides.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Faces {
    /// Looking at the contacts, as its mate sees it.
    pub mating: Vec<Vec<String>>,
    /// Looking at its back, where the wires go in.
    pub wire: Vec<Vec<String>>,
    /// The side from which the design gives it.
    pub is_given_from_mating: bool,
}

impl Faces {
    /// Both views of a housing; `None` where its face or the side from which it is seen is not given.
    pub(super) fn of(housing: &Housing, text: impl Fn(crate::text::Name) -> String) -> Option<Self> {
        let side = housing.seen_from?.value;
        let given: Vec<Vec<String>> = housing.face.iter().map(|row| row.iter().map(|label| text(*label)).collect()).collect();
        if given.is_empty() {
            return None;
        }
        let turned = mirrored(&given);
        Some(match side {
            FaceSide::Mating => Self { mating: given, wire: turned, is_given_from_mating: true },
            FaceSide::Wire => Self { mating: turned, wire: given, is_given_from_mating: false },
        })
    }
}

/// Rows as they are seen from the other side: shorter rows keep their place from the edge, as a row in the middle of a face does.
fn mirrored(rows: &[Vec<String>]) -> Vec<Vec<String>> {
    rows.iter().map(|row| row.iter().rev().cloned().collect()).collect()
}

/// What an end mates.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct SheetMate {
    /// Its name: `controller.J1`, `rear.X2`.
    pub name: String,
    /// Its housing kind, `stud M8`, `screw` …
    pub what: String,
    /// The zone where it is; empty where none is given.
    pub zone: String,
}

/// What is in a cavity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CavityUse {
    /// A wire, a screen or something in line ends in it.
    Wired,
    /// A plug closes it.
    Plugged,
    /// Nothing is in it.
    Empty,
}

impl CavityUse {
    /// Its name in lists.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Wired => "wired",
            Self::Plugged => "plugged",
            Self::Empty => "empty",
        }
    }
}

/// A wire in a cavity.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct SheetWire {
    /// Its number.
    pub number: String,
    /// Its size as written; empty where none is given.
    pub size_as_written: String,
    /// The same in mm2.
    pub size: Option<SquareMillimetre>,
    /// Its colour.
    pub colour: Option<WireColour>,
    /// Where its other end is; empty for an end that could not be placed.
    pub far: String,
    /// Its length.
    pub length: Option<Metre>,
    /// The core that it is, as `cable.core`; empty for a wire.
    pub core: String,
}

/// A cavity, or the one point of a ring or bare end.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct SheetCavity {
    /// Its label; empty for a ring or bare end.
    pub label: String,
    /// It as findings name it.
    pub name: String,
    /// The position of its mate that it meets; empty for none.
    pub meets: String,
    /// What is in it.
    pub used: CavityUse,
    /// Its wires, in the order written.
    pub wires: Vec<SheetWire>,
    /// The signals on it.
    pub signal: String,
    /// Its terminal kind; empty where none is chosen.
    pub terminal: String,
    /// The seal; empty where none is named.
    pub seal: String,
    /// The plug that closes it; empty where none is named, or nothing closes it.
    pub plug: String,
    /// Whether it is of voltage class B.
    pub is_class_b: bool,
    /// `first` or `last` where its contact mates before or after the others; empty for the rest.
    pub mates: &'static str,
}

/// Two wires of one end that look alike and belong to different nets: who swaps them sees nothing.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct LookAlike {
    /// What they share: `0.75 mm2 RD`.
    pub look: String,
    /// Their numbers with their cavities.
    pub wires: Vec<(String, String)>,
}

/// The sheet of one end.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct EndSheet {
    /// The loom.
    pub loom: String,
    /// The end as findings name it: `front.P3`.
    pub name: String,
    /// What it is.
    pub kind: EndKindSheet,
    /// Sockets or pins.
    pub contacts: Option<Contacts>,
    /// Its family; empty where none is given.
    pub family: String,
    /// Its keyway, and where it sits; empty where none is given.
    pub key: [String; 2],
    /// Where its latch sits; empty where nothing is said.
    pub latch_at: String,
    /// Whether it keeps water out.
    pub is_sealed: Option<bool>,
    /// What it mates.
    pub mate: Option<SheetMate>,
    /// Its face from both sides.
    pub faces: Option<Faces>,
    /// Its cavities, row by row as on the face seen from the wire side, from which hands push in; without a face in the order of its housing.
    pub cavities: Vec<SheetCavity>,
    /// Wires that look alike.
    pub look_alikes: Vec<LookAlike>,
    /// Its zone; empty where none is given.
    pub zone: String,
    /// Free length from the last tie.
    pub reach: Option<Metre>,
    /// Whether anything at it is of voltage class B.
    pub has_class_b: bool,
}

impl Bench<'_> {
    /// The sheets of all ends, loom by loom in the order written.
    ///
    /// # Cost
    /// A pass over the cavities of all ends.
    #[must_use]
    pub fn end_sheets(&self) -> Vec<EndSheet> {
        self.loom_ids().into_iter().flat_map(|loom| self.ends_of(loom)).map(|end| self.end_sheet(end)).collect()
    }

    fn end_sheet(&self, id: EndId) -> EndSheet {
        let model = self.model();
        let end = &model[id];
        let housing = end.housing().map(|housing| &model[housing]);
        let text = |text| self.text(text);
        let faces = housing.and_then(|housing| Faces::of(housing, |label| model.text(label).to_owned()));
        let mut cavities: Vec<SheetCavity> = end.points.iter().map(|point| self.sheet_cavity(id, point)).collect();
        if let Some(faces) = &faces {
            let place = |label: &str| faces.wire.iter().flatten().position(|known| known == label).unwrap_or(usize::MAX);
            cavities.sort_by_key(|cavity| place(&cavity.label));
        }
        let zone =
            |zone: Option<crate::model::ZoneId>| zone.map_or_else(String::new, |zone| model.text(model[zone].name).to_owned());
        let mate = self.analysis.facts().wire_ends().partner(id).map(|mate| SheetMate {
            name: model.mate_name(mate),
            what: self.mate_kind(mate),
            zone: match mate {
                Mate::Port(port) => zone(model[port].zone),
                Mate::End(other) => zone(model[other].zone),
            },
        });
        EndSheet {
            loom: model.loom_name(end.loom).to_owned(),
            name: model.end_name(id),
            kind: match end.kind {
                EndKind::Connector(_) => {
                    EndKindSheet::Connector(housing.map_or_else(String::new, |housing| model.text(housing.name).to_owned()))
                }
                EndKind::Ring(thread) => EndKindSheet::Ring(model.text(thread.name).to_owned()),
                EndKind::Bare => EndKindSheet::Bare,
            },
            contacts: housing.and_then(|housing| housing.contacts).map(|contacts| contacts.value),
            family: text(housing.and_then(|housing| housing.family)),
            key: [text(housing.and_then(|housing| housing.key)), text(housing.and_then(|housing| housing.key_at))],
            latch_at: text(housing.and_then(|housing| housing.latch_at)),
            is_sealed: housing.and_then(|housing| housing.sealed).map(|sealed| sealed.value),
            mate,
            look_alikes: self.look_alikes(id),
            has_class_b: cavities.iter().any(|cavity| cavity.is_class_b),
            faces,
            cavities,
            zone: zone(end.zone),
            reach: end.reach.map(|reach| reach.value),
        }
    }

    fn mate_kind(&self, mate: Mate) -> String {
        let model = self.model();
        let housing =
            |housing: Option<crate::model::HousingId>| housing.map(|housing| model.text(model[housing].name).to_owned());
        match mate {
            Mate::Port(port) => housing(model[port].housing()).unwrap_or_else(|| match model[port].kind {
                crate::model::PortKind::Stud(thread) => format!("stud {}", model.text(thread.name)),
                _ => model[port].noun().to_owned(),
            }),
            Mate::End(end) => housing(model[end].housing()).unwrap_or_else(|| model[end].noun().to_owned()),
        }
    }

    fn sheet_cavity(&self, id: EndId, point: PointId) -> SheetCavity {
        let model = self.model();
        let end = &model[id];
        let ends = self.analysis.facts().wire_ends();
        let housing = end.housing().map(|housing| &model[housing]);
        let label = model[point].label;
        let is_plugged = end.plugged.iter().any(|(plugged, _)| *plugged == point);
        let used = self.use_of(id, point);
        let terminal = self.terminal(point).filter(|_| used == CavityUse::Wired).map(|terminal| &model[terminal]);
        let text = |text| self.text(text);
        let is_among = |labels: Option<&Vec<crate::text::Name>>| labels.is_some_and(|labels| labels.contains(&label));
        SheetCavity {
            label: if end.is_connector() { model.text(label).to_owned() } else { String::new() },
            name: model.point_name(point),
            meets: ends.opposite(model, point).map_or_else(String::new, |met| model.text(model[met].label).to_owned()),
            used,
            wires: ends.wires(point).iter().map(|wire| self.sheet_wire(wire.wire, point)).collect(),
            signal: self.signal_at(&[point]),
            terminal: terminal.map_or_else(String::new, |terminal| model.text(terminal.name).to_owned()),
            seal: text(terminal.and_then(|terminal| terminal.seal)),
            plug: if is_plugged { text(housing.and_then(|housing| housing.plug)) } else { String::new() },
            is_class_b: self.is_class_b(point),
            mates: match () {
                () if is_among(housing.map(|housing| &housing.mates_first)) => "first",
                () if is_among(housing.map(|housing| &housing.mates_last)) => "last",
                () if is_among(housing.map(|housing| &housing.interlock)) => "last",
                () => "",
            },
        }
    }

    fn sheet_wire(&self, id: crate::model::WireId, here: PointId) -> SheetWire {
        let model = self.model();
        let wire = &model[id];
        let far = far_end(wire, here);
        SheetWire {
            number: model.text(wire.name).to_owned(),
            size_as_written: self.size_of(wire),
            size: wire.size.map(|size| size.value),
            colour: wire.colour.map(|colour| colour.value),
            far: far.map_or_else(String::new, |point| model.point_name(point)),
            length: self.wire_length(wire).0,
            core: self.core_of(wire),
        }
    }

    /// Wires of one end with the same size and colour that are on different nets; two of one net may change places.
    fn look_alikes(&self, id: EndId) -> Vec<LookAlike> {
        let model = self.model();
        let (ends, network) = (self.analysis.facts().wire_ends(), self.analysis.network());
        let mut groups: BTreeMap<String, Vec<Named>> = BTreeMap::new();
        for point in model[id].points.iter().filter(|_| model[id].is_connector()) {
            for end in ends.wires(point) {
                let wire = &model[end.wire];
                let (Some(size), Some(colour)) = (wire.size, wire.colour) else { continue };
                // The cores of a cable are distinguished from single wires at a glance.
                let cable = wire.core.map_or_else(String::new, |(cable, _)| format!(", cable {}", model.text(model[cable].name)));
                let look = format!("{} mm2 {}{cable}", size.value.get(), colour.value);
                let named = (model.text(wire.name).to_owned(), model.text(model[point].label).to_owned());
                groups.entry(look).or_default().push((point, named));
            }
        }
        let differs = |wires: &[Named]| {
            let mut nets = wires.iter().map(|(point, _)| network.net(*point));
            let first = nets.next();
            nets.any(|net| Some(net) != first)
        };
        let groups = groups.into_iter().filter(|(_, wires)| differs(wires));
        groups.map(|(look, wires)| LookAlike { look, wires: wires.into_iter().map(|(_, named)| named).collect() }).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::mirrored;

    #[test]
    fn the_mirror_of_a_mirror_is_the_face() {
        let face = vec![vec!["1".to_owned(), "2".to_owned(), "3".to_owned()], vec!["4".to_owned(), "5".to_owned()]];
        assert_eq!(mirrored(&face), [vec!["3", "2", "1"], vec!["5", "4"]]);
        assert_eq!(mirrored(&mirrored(&face)), face);
    }
}
