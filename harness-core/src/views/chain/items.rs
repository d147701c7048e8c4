//! What a way is made of, with names: elements, mated contacts, wires, and the places between them.

use super::places::{LinkOf, PlaceId, Places};
use super::reduce::Raw;
use crate::{
    arena::IdVec,
    model::{ElementKind, EndKind, Owner, PointId, PointKind},
    network::{EdgeId, EdgeKind, EdgeRole},
    quantity::{Farad, Metre, SquareMillimetre},
    views::{Consumer, Letter, Piece, Side, Source, piece::Maker},
};

/// A stretch of a way.
#[derive(Debug, Clone, PartialEq)]
pub enum Step {
    /// Something in the way.
    Item(Item),
    /// A place that is passed.
    Spot(Spot),
    /// Ways side by side between the places before and behind.
    Beside(Vec<Vec<Step>>),
}

/// A place.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Spot {
    /// The device that it is in; `None` for what is of a loom.
    pub device: Option<String>,
    /// Bars that make it one, the splice that it is, its terminals at which nothing is joined.
    pub names: Vec<String>,
    /// Letters at which more is joined to it.
    pub letters: Vec<Letter>,
    /// A point of it.
    pub point: String,
}

/// Something in a way.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// A fuse, contact, disconnect, diode, resistor.
    Piece {
        /// It.
        piece: Piece,
        /// The device that it is in.
        device: Option<String>,
        /// Passed from its second point to its first.
        turned: bool,
    },
    /// A source.
    Source {
        /// It.
        source: Source,
        /// The device that it is in.
        device: Option<String>,
        /// Plus comes first.
        plus_first: bool,
        /// Alternating.
        ac: bool,
    },
    /// What takes current.
    Consumer {
        /// It.
        consumer: Consumer,
        /// The device that it is in.
        device: Option<String>,
        /// Its voltage is alternating.
        ac: bool,
    },
    /// A capacitor.
    Capacitor {
        /// Its name.
        name: String,
        /// The device that it is in.
        device: Option<String>,
        /// Its capacitance.
        farad: Farad,
    },
    /// A box of which nothing is drawn between two of its pins.
    Undrawn {
        /// The device.
        device: String,
        /// The two pins, in the order of the way.
        pins: [String; 2],
    },
    /// A mated contact, a ring on its stud, a bare end at its point: the two halves in the order of the way.
    Joint {
        /// The halves.
        halves: [Half; 2],
        /// Whether a plug joins them.
        is_plug: bool,
    },
    /// A wire or core.
    Wire(WirePart),
}

/// Half of a joint.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Half {
    /// The point: `charger.HV.1`.
    pub point: String,
    /// The connector, stud or end: `charger.HV`.
    pub of: String,
    /// The device that it is on; `None` for what is of a loom.
    pub device: Option<String>,
    /// Whether it holds a pin; `None` where its housing does not say.
    pub is_pin: Option<bool>,
}

/// A wire in a way.
#[derive(Debug, Clone, PartialEq)]
pub struct WirePart {
    /// `traction.201`.
    pub name: String,
    /// Its cross-section.
    pub size: Option<SquareMillimetre>,
    /// Its colour, in the letters of IEC 60757.
    pub colour: Option<String>,
    /// Its length.
    pub length: Option<Metre>,
    /// The cable that it is a core of.
    pub cable: Option<String>,
}

/// The end of a row.
#[derive(Debug, Clone, PartialEq)]
pub enum CutEnd {
    /// It goes on at this letter.
    Letter(Letter),
    /// Nothing more is joined.
    Open(Spot),
}

impl Item {
    /// The device that it is in.
    #[must_use]
    pub fn device(&self) -> Option<&str> {
        match self {
            Self::Piece { device, .. } | Self::Source { device, .. } | Self::Consumer { device, .. } => device.as_deref(),
            Self::Capacitor { device, .. } => device.as_deref(),
            Self::Undrawn { device, .. } => Some(device),
            Self::Joint { .. } | Self::Wire(_) => None,
        }
    }

    /// Whether it gives, takes or stores, so that it is a rung between the rails and not a stretch of one.
    #[must_use]
    pub fn works(&self) -> bool {
        match self {
            Self::Source { .. } | Self::Consumer { .. } | Self::Capacitor { .. } | Self::Undrawn { .. } => true,
            Self::Piece { .. } | Self::Joint { .. } | Self::Wire(_) => false,
        }
    }
}

impl Step {
    /// Whether something in it gives, takes or stores.
    #[must_use]
    pub fn works(&self) -> bool {
        match self {
            Self::Item(item) => item.works(),
            Self::Spot(_) => false,
            Self::Beside(lanes) => lanes.iter().flatten().any(Self::works),
        }
    }
}

/// The steps of a way, those of ways side by side one after the other, themselves behind what is in them.
pub(super) fn all(steps: &[Step]) -> Vec<&Step> {
    let mut found = Vec::new();
    for step in steps {
        if let Step::Beside(lanes) = step {
            lanes.iter().for_each(|lane| found.extend(all(lane)));
        }
        found.push(step);
    }
    found
}

/// Names things of places and links.
pub(super) struct Namer<'p, 'a> {
    pub(super) places: &'p Places<'a>,
    /// Letters per place.
    pub(super) marks: IdVec<PlaceId, super::Marks>,
}

impl Namer<'_, '_> {
    fn maker(&self) -> Maker<'_> {
        Maker { analysis: self.places.analysis, mode: None }
    }

    /// The steps of a way.
    pub(super) fn steps(&self, raw: &[Raw]) -> Vec<Step> {
        raw.iter()
            .filter_map(|step| match step {
                Raw::Place(place) => Some(Step::Spot(self.spot(*place))),
                Raw::Link(link, forward) => self.item(*link, *forward).map(Step::Item),
                Raw::Beside(lanes) => Some(Step::Beside(lanes.iter().map(|lane| self.steps(lane)).collect())),
            })
            .collect()
    }

    /// A place.
    pub(super) fn spot(&self, place: PlaceId) -> Spot {
        let model = self.places.analysis.model();
        let mut names: Vec<String> = self.places.bars[place].iter().map(|bar| model.element_name(*bar)).collect();
        let points = &self.places.points[place];
        let splices = points.iter().filter(|point| matches!(model[**point].kind, PointKind::Splice(_)));
        names.extend(splices.map(|point| model.point_name(*point)));
        // A terminal at which nothing is joined is named by the place, every other one by its joint.
        let network = self.places.analysis.network();
        for point in points {
            if let PointKind::Pin(port) | PointKind::Stud(port) = model[*point].kind
                && !network.around(*point).any(|(_, edge, _)| edge.role.is_place())
                && !names.contains(&model.port_name(port))
            {
                names.push(model.port_name(port));
            }
        }
        let device = points.iter().find_map(|point| model.device_at(*point));
        Spot {
            device: device.map(|device| model.device_name(device).to_owned()),
            names,
            letters: self.marks[place].clone(),
            point: points.first().map_or_else(String::new, |point| model.point_name(*point)),
        }
    }

    fn item(&self, link: usize, forward: bool) -> Option<Item> {
        let model = self.places.analysis.model();
        match self.places.links.get(link)?.of {
            LinkOf::Edge(edge) => self.edge(edge, forward),
            LinkOf::Vacant(element) => {
                Some(Item::Piece { piece: self.maker().vacant(element), device: self.holder(element), turned: !forward })
            }
            LinkOf::Undrawn(a, b) => {
                let (a, b) = if forward { (a, b) } else { (b, a) };
                let device = model.device_at(a).map_or("", |device| model.device_name(device)).to_owned();
                Some(Item::Undrawn { device, pins: [model.point_name(a), model.point_name(b)] })
            }
        }
    }

    fn holder(&self, element: crate::model::ElementId) -> Option<String> {
        let model = self.places.analysis.model();
        match model[element].owner {
            Owner::Device(device) => Some(model.device_name(device).to_owned()),
            Owner::Loom(_) => None,
        }
    }

    fn edge(&self, id: EdgeId, forward: bool) -> Option<Item> {
        let analysis = self.places.analysis;
        let (network, model) = (analysis.network(), analysis.model());
        let edge = &network[id];
        let (first, second) = if forward { (edge.a, edge.b) } else { (edge.b, edge.a) };
        match edge.kind {
            EdgeKind::Wire(wire) => {
                let item = &model[wire];
                Some(Item::Wire(WirePart {
                    name: model.wire_name(wire),
                    size: item.size.map(|size| size.value),
                    colour: item.colour.map(|colour| colour.value.to_string()),
                    length: item.length.map(|length| length.value),
                    cable: item.core.map(|(cable, _)| model.cable_name(cable)),
                }))
            }
            EdgeKind::Contact(_) => Some(Item::Joint { halves: [self.half(first), self.half(second)], is_plug: true }),
            EdgeKind::Joint(_) => Some(Item::Joint { halves: [self.half(first), self.half(second)], is_plug: false }),
            EdgeKind::Screen(_) | EdgeKind::Chassis(_) => None,
            EdgeKind::Element(element) => {
                let device = self.holder(element);
                match edge.role {
                    EdgeRole::Source { .. } | EdgeRole::ConverterOutput { .. } => {
                        let source = self.maker().source(id, None)?;
                        Some(Item::Source { source, device, plus_first: !forward, ac: self.maker().is_ac(edge.b) })
                    }
                    EdgeRole::Load | EdgeRole::Coil | EdgeRole::ConverterInput => {
                        let consumer = self.maker().consumer(id, None)?;
                        Some(Item::Consumer { consumer, device, ac: self.maker().is_ac(edge.a) })
                    }
                    EdgeRole::Capacitor => {
                        let ElementKind::Capacitor(capacitor) = &model[element].kind else { return None };
                        Some(Item::Capacitor { name: model.element_name(element), device, farad: capacitor.farad.value })
                    }
                    EdgeRole::Fuse | EdgeRole::Switch { .. } | EdgeRole::Disconnect | EdgeRole::MakeContact => {
                        Some(Item::Piece { piece: self.maker().piece(id, Side::Feed)?, device, turned: !forward })
                    }
                    EdgeRole::BreakContact | EdgeRole::Resistor | EdgeRole::Shunt | EdgeRole::Diode => {
                        Some(Item::Piece { piece: self.maker().piece(id, Side::Feed)?, device, turned: !forward })
                    }
                    EdgeRole::Metal(_) | EdgeRole::Interlock => None,
                }
            }
        }
    }

    fn half(&self, point: PointId) -> Half {
        let model = self.places.analysis.model();
        let device = model.device_at(point).map(|device| model.device_name(device).to_owned());
        let (of, housing) = match model[point].kind {
            PointKind::Pin(port) | PointKind::Stud(port) => (model.port_name(port), model[port].housing()),
            PointKind::Cavity(end) | PointKind::Ring(end) => {
                let housing = match model[end].kind {
                    EndKind::Connector(housing) => housing,
                    EndKind::Ring(_) | EndKind::Bare => None,
                };
                (model.end_name(end), housing)
            }
            PointKind::Node(_) | PointKind::Splice(_) => (model.point_name(point), None),
        };
        let contacts = housing.and_then(|housing| model[housing].contacts);
        let is_pin = contacts.map(|contacts| contacts.value == crate::vocabulary::Contacts::Pin);
        Half { point: model.point_name(point), of, device, is_pin }
    }
}
