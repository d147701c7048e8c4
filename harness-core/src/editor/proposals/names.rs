//! Names that may be written at a place, and labels that are still free.

use super::{
    Proposal, ProposalKind,
    fits::{fit, housing_of, suits},
    kinds_of, rule_names,
};
use crate::{
    design::Design,
    editor::{
        cursor::Place,
        expected::Expected,
        index::Index,
        opposite,
        symbols::{Sort, SymbolId},
    },
    format::{Attribute, Kind, Naming, cavities::spread},
    model::{End, EndId, EndKind, LoomId, Mate, Model, PointId, PointRange, PortKind},
    wording::commas,
};
use rustc_hash::FxHashSet;
use std::collections::BTreeSet;

/// Proposals of one kind are listed up to this many: more are found by typing.
pub(super) const MOST: usize = 2_000;

pub(super) struct Names<'a> {
    pub(super) index: &'a Index,
    pub(super) design: &'a Design,
    pub(super) asked: &'a Expected,
    pub(super) place: &'a Place,
    pub(super) typed: &'a str,
}

impl Names<'_> {
    fn model(&self) -> &Model {
        self.design.model()
    }

    /// The device, kind of device or loom that the place is in.
    pub(super) fn holder(&self) -> Option<SymbolId> {
        let (kind, name) =
            self.asked.things.first().filter(|(kind, _)| matches!(kind, Kind::Device | Kind::DeviceKind | Kind::Loom))?;
        self.index.find(None, Sort::Thing(*kind), name)
    }

    fn loom(&self) -> Option<LoomId> {
        let name = self.model().names.find(self.asked.within(Kind::Loom)?)?;
        self.model().looms().find(|(_, loom)| loom.name == name).map(|(id, _)| id)
    }

    fn end(&self) -> Option<EndId> {
        let (loom, name) = (self.loom()?, self.model().names.find(self.asked.within(Kind::End)?)?);
        self.model()[loom].ends.iter().copied().find(|end| self.model()[*end].name == name)
    }

    /// The names that may be a value here.
    pub(super) fn values(&self, items: &mut Vec<Proposal>) {
        let Some(field) = self.asked.field else { return };
        match (field.class.naming, field.key) {
            (Naming::Anywhere(_), _) => self.anywhere(items),
            (Naming::InLoom(kinds), _) => self.in_loom(kinds, items),
            (Naming::Mate, key) => self.mates(key, items),
            (Naming::Point, _) | (Naming::Nothing, Attribute::Selector) => self.points(items),
            (Naming::Nothing, Attribute::Exclusive | Attribute::Residual | Attribute::Opens) => self.elements(items),
            (Naming::Nothing, Attribute::Between | Attribute::And | Attribute::Apart) => self.things(Kind::Port, items),
            (Naming::Nothing, Attribute::Plugged) => {
                if let Some(end) = self.end() {
                    items.extend(self.cavities(end, ""));
                }
            }
            (Naming::Nothing, Attribute::Pins) => {
                items.extend(self.end().map(|end| self.labels_of_mate(end)).unwrap_or_default())
            }
            (Naming::Nothing, Attribute::Finding) => rule_names(items),
            (Naming::Nothing, Attribute::Like) => self.siblings(items),
            (Naming::Nothing, Attribute::At | Attribute::Rest) => self.of_sort(Sort::Position, self.element(), items),
            (Naming::Nothing, Attribute::Twist) => self.of_sort(Sort::Twist, self.holder(), items),
            (Naming::Nothing, Attribute::Signal) => self.of_sort(Sort::Signal, None, items),
            (Naming::Nothing, Attribute::From | Attribute::To) => self.of_sort(Sort::Junction, self.holder(), items),
            (Naming::Concerned, _) => self.concerned(items),
            (Naming::Nothing, _) => {}
        }
    }

    /// The signals of the design, for a pin that is written as words.
    pub(super) fn signals(&self, items: &mut Vec<Proposal>) {
        if self.asked.field.is_some_and(|field| field.key == Attribute::Pins) {
            self.of_sort(Sort::Signal, None, items);
        }
    }

    /// The labels that may be a key here: pins of a port, cavities of an end, modes of a selector.
    pub(super) fn labels(&self, items: &mut Vec<Proposal>) {
        let Some(field) = self.asked.field else { return };
        let given: BTreeSet<String> = self.place.beside.iter().flat_map(|key| spread(key)).collect();
        let first = items.len();
        match (field.key, self.end()) {
            (Attribute::Pins | Attribute::Terminals, Some(end)) => items.extend(self.all_labels(self.model()[end].points)),
            (Attribute::Pins, None) => {
                let port = self
                    .holder()
                    .and_then(|holder| self.index.find(Some(holder), Sort::Thing(Kind::Port), self.asked.within(Kind::Port)?));
                let port = port.and_then(|port| opposite::port(self.index, self.model(), port));
                items.extend(port.map(|port| self.all_labels(self.model()[port].points)).unwrap_or_default());
            }
            (Attribute::At, _) => self.of_sort(Sort::Thing(Kind::Mode), None, items),
            _ => {}
        }
        let mut at = 0;
        items.retain(|item| {
            at += 1;
            at <= first || !given.contains(item.label.as_str())
        });
    }

    fn all_labels(&self, points: PointRange) -> Vec<Proposal> {
        let model = self.model();
        points
            .iter()
            .map(|point| Proposal::new(ProposalKind::Label, model.text(model[point].label)).detail(self.said_of(point)))
            .collect()
    }

    fn element(&self) -> Option<SymbolId> {
        self.index.find(self.holder(), Sort::Thing(Kind::Element), self.asked.within(Kind::Element)?)
    }

    fn of_sort(&self, sort: Sort, parent: Option<SymbolId>, items: &mut Vec<Proposal>) {
        let names = self.index.within(parent, sort).map(|symbol| self.index.name(symbol));
        // What is being typed is the name of something already.
        let others = names.filter(|name| *name != self.typed);
        items.extend(others.take(MOST).map(|name| Proposal::new(ProposalKind::Name, name).detail(sort.noun())));
    }

    fn anywhere(&self, items: &mut Vec<Proposal>) {
        for kind in kinds_of(self.asked) {
            for symbol in self.index.within(None, Sort::Thing(*kind)).take(MOST) {
                let name = self.index.name(symbol);
                let (rank, detail) = self.kind_detail(*kind, name);
                items.push(Proposal::new(ProposalKind::Name, name).detail(detail).rank(rank));
            }
        }
    }

    /// What is said of a kind beside its name; housings that fit the mate come first.
    fn kind_detail(&self, kind: Kind, name: &str) -> (u8, String) {
        let model = self.model();
        let plain = (1, kind.noun().to_owned());
        let Some(name) = model.names.find(name) else { return plain };
        match kind {
            Kind::HousingKind => {
                let Some((id, housing)) = model.housings().find(|(_, housing)| housing.name == name) else { return plain };
                let family = housing.family.map(|family| model.text(family.value).to_owned());
                let positions = format!("{} positions", housing.labels.len());
                let contacts = housing.contacts.map(|contacts| crate::vocabulary::Word::written(contacts.value).to_owned());
                let parts: Vec<String> = family.into_iter().chain([positions]).chain(contacts).collect();
                let mate = self.end().and_then(|end| model[end].mate).and_then(|mate| housing_of(model, mate));
                let is_fit = mate.is_some_and(|mate| mate != id && fit(model, id, mate));
                (if is_fit { 0 } else { 1 }, commas(&parts))
            }
            Kind::FuseKind => {
                let kind = model.fuse_kinds().find(|(_, kind)| kind.name == name);
                (1, kind.and_then(|(_, kind)| kind.rating).map_or(plain.1, |rating| rating.value.to_string()))
            }
            Kind::Domain => {
                let domain = model.domains().find(|(_, domain)| domain.name == name);
                (1, domain.map_or(plain.1, |(_, domain)| format!("{} nominal", domain.nominal)))
            }
            _ => plain,
        }
    }

    /// Ends, splices and elements in line; behind `P3.` the cavities that are still free.
    fn in_loom(&self, kinds: &[Kind], items: &mut Vec<Proposal>) {
        let Some(loom) = self.holder() else { return };
        if let Some((head, _)) = self.typed.split_once('.') {
            for kind in kinds {
                let Some(symbol) = self.index.find(Some(loom), Sort::Thing(*kind), head) else { continue };
                match kind {
                    Kind::End => {
                        let end = opposite::end(self.index, self.model(), symbol);
                        items.extend(end.map(|end| self.cavities(end, head)).unwrap_or_default());
                    }
                    Kind::Element => {
                        items.extend(["1", "2"].map(|point| Proposal::new(ProposalKind::Label, format!("{head}.{point}"))));
                    }
                    Kind::Cable => items.extend(self.cores(symbol, head)),
                    _ => {}
                }
                return;
            }
            return;
        }
        for kind in kinds {
            if let (Kind::End, Some(loom)) = (kind, self.loom()) {
                items.extend(self.model()[loom].ends.iter().take(MOST).map(|end| self.end_proposal(*end)));
                continue;
            }
            for symbol in self.index.within(Some(loom), Sort::Thing(*kind)).take(MOST) {
                let name = self.index.name(symbol);
                let proposal = Proposal::new(ProposalKind::Name, name).detail(kind.noun());
                items.push(if *kind == Kind::Cable { Proposal { text: format!("{name}."), ..proposal } } else { proposal });
            }
        }
    }

    /// An end as one of the ends of a wire: a connector asks for a cavity.
    fn end_proposal(&self, id: EndId) -> Proposal {
        let model = self.model();
        let end = &model[id];
        let to = end.mate.map_or_else(String::new, |mate| format!(" to {}", model.mate_name(mate)));
        let proposal = Proposal::new(ProposalKind::Name, model.text(end.name)).detail(format!("{}{to}", end.noun()));
        if end.is_connector() { Proposal { text: format!("{}.", proposal.text), ..proposal } } else { proposal }
    }

    /// The cavities of an end in which neither a wire nor a plug is; those of the wire that is being written count as free.
    fn cavities(&self, id: EndId, head: &str) -> Vec<Proposal> {
        let model = self.model();
        let end = &model[id];
        let own = self.asked.within(Kind::Wire);
        let most = end.housing().map_or(1, |housing| model[housing].max_wires) as usize;
        let mut taken: Vec<PointId> = end.plugged.iter().map(|(point, _)| *point).collect();
        let wires = model.wires().filter(|(_, wire)| wire.loom == end.loom && Some(model.text(wire.name)) != own);
        let mut wired: Vec<PointId> = wires.flat_map(|(_, wire)| [wire.from, wire.to]).flatten().collect();
        wired.sort_unstable();
        taken.extend(wired.chunk_by(|one, other| one == other).filter(|same| same.len() >= most).filter_map(|same| same.first()));
        let free = end.points.iter().filter(|point| !taken.contains(point));
        let dot = if head.is_empty() { String::new() } else { format!("{head}.") };
        let label = |point: PointId| {
            let (rank, detail) = self.met(end, point);
            Proposal::new(ProposalKind::Label, format!("{dot}{}", model.text(model[point].label))).detail(detail).rank(rank)
        };
        free.map(label).collect()
    }

    /// What a cavity meets, and whether something is to be wired there.
    fn met(&self, end: &End, cavity: PointId) -> (u8, String) {
        let model = self.model();
        let Some(Mate::Port(port)) = end.mate else { return (1, "free".to_owned()) };
        let label = model.met_label(end, None, cavity);
        let Some(met) = model.position_of(model[port].points, label) else { return (2, "free; meets nothing".to_owned()) };
        let said = self.said_of(met);
        match (model.pin_at(met).is_some_and(|pin| pin.spare.is_some()), said.is_empty()) {
            (true, _) => (2, "free; spare".to_owned()),
            (_, true) => (1, "free".to_owned()),
            _ => (0, format!("free; {said}")),
        }
    }

    /// What is said of a pin: its signal, its role, its domain.
    fn said_of(&self, point: PointId) -> String {
        let model = self.model();
        let Some(pin) = model.pin_at(point) else { return String::new() };
        let signal = pin.signal.map(|signal| model.text(signal.value).to_owned());
        let role = pin.role.map(|role| crate::vocabulary::Word::written(role.value).to_owned());
        let domain = pin.domain.map(|(domain, _)| model.text(model[domain].name).to_owned());
        let spare = pin.spare.map(|_| "spare".to_owned());
        commas(&signal.into_iter().chain(role).chain(domain).chain(spare).collect::<Vec<_>>())
    }

    /// The cores of a cable that no wire uses.
    fn cores(&self, cable: SymbolId, head: &str) -> Vec<Proposal> {
        let model = self.model();
        let (Some(loom), Some(name)) = (self.loom(), model.names.find(self.index.name(cable))) else { return Vec::new() };
        let Some((id, cable)) = model.cables().find(|(_, cable)| cable.loom == loom && cable.name == name) else {
            return Vec::new();
        };
        let own = self.asked.within(Kind::Wire);
        let others = model.wires().filter(|(_, wire)| Some(model.text(wire.name)) != own);
        let taken: Vec<u32> =
            others.filter_map(|(_, wire)| wire.core).filter(|(of, _)| *of == id).map(|(_, core)| core).collect();
        let Some(kind) = cable.kind else { return Vec::new() };
        let cores = model[kind].cores.iter().enumerate().filter(|(at, _)| !taken.contains(&(*at as u32)));
        let proposal = |(_, core): (usize, &crate::model::Core)| {
            let size = core.size.map(|size| size.value.to_string());
            let colour = core.colour.map(|colour| colour.value.to_string());
            let detail = commas(&size.into_iter().chain(colour).collect::<Vec<_>>());
            Proposal::new(ProposalKind::Label, format!("{head}.{}", model.text(core.label))).detail(detail)
        };
        cores.map(proposal).collect()
    }

    fn labels_of_mate(&self, end: EndId) -> Vec<Proposal> {
        match self.model()[end].mate {
            Some(Mate::Port(port)) => self.all_labels(self.model()[port].points),
            Some(Mate::End(other)) => self.all_labels(self.model()[other].points),
            None => Vec::new(),
        }
    }

    /// Ports and ends that an end may be joined to: those that nothing is joined to and that fit come first.
    fn mates(&self, key: Attribute, items: &mut Vec<Proposal>) {
        let model = self.model();
        let own = self.end();
        let others = model.ends().filter(|(id, _)| Some(*id) != own);
        let taken: FxHashSet<Mate> = others.filter_map(|(_, end)| end.mate).collect();
        let housing = own.and_then(|own| model[own].housing());
        let rank = |mate: Mate, several: bool| {
            let partner = housing_of(model, mate);
            let is_fit = several || housing.zip(partner).is_some_and(|(one, other)| fit(model, one, other));
            match (is_fit, !several && taken.contains(&mate)) {
                (true, false) => 0,
                (false, false) => 1,
                (_, true) => 2,
            }
        };
        let said = |rank: u8| if rank == 2 { ", mated already" } else { "" };
        for (id, port) in model.ports().filter(|(_, port)| suits(key, port)).take(MOST) {
            let rank = rank(Mate::Port(id), !matches!(port.kind, PortKind::Connector(_)));
            let detail = format!("{}{}", port.noun(), said(rank));
            items.push(Proposal::new(ProposalKind::Name, model.port_name(id)).detail(detail).rank(rank));
        }
        if key != Attribute::Mates {
            return;
        }
        let connectors = model.ends().filter(|(id, end)| Some(*id) != own && matches!(end.kind, EndKind::Connector(_)));
        for (id, _) in connectors.take(MOST) {
            let rank = rank(Mate::End(id), false).max(1);
            items.push(Proposal::new(ProposalKind::Name, model.end_name(id)).detail(format!("end{}", said(rank))).rank(rank));
        }
    }

    /// Points of the same device or loom.
    fn points(&self, items: &mut Vec<Proposal>) {
        if self.asked.within(Kind::Loom).is_some() {
            return self.in_loom(&[Kind::End, Kind::Splice, Kind::Element], items);
        }
        let model = self.model();
        let Some(holder) = self.holder() else { return };
        let Some(device) = opposite::device(self.index, model, holder) else { return };
        for id in model[device].ports.iter() {
            let port = &model[id];
            let name = model.text(port.name);
            if !matches!(port.kind, PortKind::Connector(_)) {
                items.push(Proposal::new(ProposalKind::Name, name).detail(port.noun()));
                continue;
            }
            let label = |point: PointId| format!("{name}.{}", model.text(model[point].label));
            items.extend(
                port.points.iter().map(|point| Proposal::new(ProposalKind::Label, label(point)).detail(self.said_of(point))),
            );
        }
        self.of_sort(Sort::Node, Some(holder), items);
    }

    fn elements(&self, items: &mut Vec<Proposal>) {
        let model = self.model();
        let own = self.asked.things.first().map(|(_, name)| name.as_str());
        for (id, element) in model.elements().take(MOST) {
            let is_own = Some(model.owner_name(element.owner)) == own;
            let name = if is_own { model.text(element.name).to_owned() } else { model.element_name(id) };
            items.push(Proposal::new(ProposalKind::Name, name).detail("element").rank(if is_own { 0 } else { 1 }));
        }
    }

    fn things(&self, kind: Kind, items: &mut Vec<Proposal>) {
        if let Some(holder) = self.holder() {
            self.of_sort(Sort::Thing(kind), Some(holder), items);
        }
    }

    fn concerned(&self, items: &mut Vec<Proposal>) {
        let model = self.model();
        items.extend(
            model.wires().take(MOST).map(|(id, _)| Proposal::new(ProposalKind::Name, model.wire_name(id)).detail("wire")),
        );
        items.extend(
            model
                .elements()
                .take(MOST)
                .map(|(id, _)| Proposal::new(ProposalKind::Name, model.element_name(id)).detail("element")),
        );
        items.extend(model.ends().take(MOST).map(|(id, _)| Proposal::new(ProposalKind::Name, model.end_name(id)).detail("end")));
        items.extend(
            model.ports().take(MOST).map(|(id, _)| Proposal::new(ProposalKind::Name, model.port_name(id)).detail("port")),
        );
    }
}
