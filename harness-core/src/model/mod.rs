//! The design resolved: names have become typed ids, everything knows where it was written, nothing changes any more.
//!
//! Owns what the document means. Knows nothing of graphs, figures or rules. Text comes back only in messages, through
//! the naming functions in `naming`.

mod at;
mod build;
mod devices;
mod domain;
mod element;
mod elements;
mod fuses;
mod ids;
mod items;
mod kinds;
mod known;
mod looms;
mod naming;
mod parts;
mod points;
mod room;
mod scope;
mod wiring;

pub use build::build;
pub use element::{Element, ElementKind, Owner};
pub use ids::{
    CableId, CableKindId, ConductorId, DeviceId, DomainId, ElementId, EndId, FuseKindId, HousingId, LoomId, ModeId, ModeSet,
    PinId, PointId, PointList, PointRange, PortId, PortRange, SegmentId, SpliceId, TerminalId, WireId, ZoneId,
};
pub use items::{
    Cable, Device, Domain, End, EndKind, Loom, Mate, Mode, Pin, Point, PointKind, Policy, Port, PortKind, Segment, Splice,
    Thread, Waiver, Wire, Zone,
};
pub use kinds::{CableKind, Conductor, Core, FuseGate, FuseKind, Housing, Terminal};

use crate::{
    arena::IdVec,
    text::{Name, Names, Span},
};
use std::ops::Index;

macro_rules! store {
    ($($(#[$doc:meta])+ $field:ident, $get:ident, $ids:ident: $id:ident -> $item:ident;)+) => {
        /// A resolved design.
        #[derive(Debug, Default)]
        pub struct Model {
            /// All texts.
            pub names: Names,
            /// The design's name.
            pub design: Option<Name>,
            /// Its revision.
            pub revision: Option<Name>,
            /// The workshop's limits.
            pub policy: Policy,
            /// Wire numbers that may never come back, with their places.
            pub retired: Vec<(Name, Span)>,
            /// Facts that are still to be measured: the thing, the fact, the place.
            pub unsure: Vec<(String, Name, Span)>,
            /// Findings that were reviewed and accepted, in the order written.
            pub waivers: Vec<Waiver>,
            $(pub(crate) $field: IdVec<$id, $item>,)+
        }

        impl Model {$(
            $(#[$doc])+
            #[must_use]
            pub fn $get(&self, id: $id) -> Option<&$item> {
                self.$field.find(id)
            }

            /// All of them with their ids, by name within what they are in.
            pub fn $ids(&self) -> impl ExactSizeIterator<Item = ($id, &$item)> + DoubleEndedIterator + Clone {
                self.$field.iter()
            }
        )+}

        $(impl Index<$id> for Model {
            type Output = $item;

            #[track_caller]
            fn index(&self, id: $id) -> &$item {
                &self.$field[id]
            }
        })+
    };
}

store! {
    /// The voltage domain `id`.
    domains, domain, domains: DomainId -> Domain;
    /// The zone `id`.
    zones, zone, zones: ZoneId -> Zone;
    /// The mode `id`.
    modes, mode, modes: ModeId -> Mode;
    /// The housing kind `id`.
    housings, housing, housings: HousingId -> Housing;
    /// The terminal kind `id`.
    terminals, terminal, terminals: TerminalId -> Terminal;
    /// The conductor kind `id`.
    conductors, conductor_kind, conductor_kinds: ConductorId -> Conductor;
    /// The cable kind `id`.
    cable_kinds, cable_kind, cable_kinds: CableKindId -> CableKind;
    /// The fuse kind `id`.
    fuse_kinds, fuse_kind, fuse_kinds: FuseKindId -> FuseKind;
    /// The device `id`.
    devices, device, devices: DeviceId -> Device;
    /// The port `id`.
    ports, port, ports: PortId -> Port;
    /// The loom `id`.
    looms, loom, looms: LoomId -> Loom;
    /// The loom end `id`.
    ends, end, ends: EndId -> End;
    /// The splice `id`.
    splices, splice, splices: SpliceId -> Splice;
    /// The wire `id`.
    wires, wire, wires: WireId -> Wire;
    /// The cable `id` of a loom.
    cables, cable, cables: CableId -> Cable;
    /// The route segment `id`.
    segments, segment, segments: SegmentId -> Segment;
    /// What the pin `id` needs.
    pins, pin, pins: PinId -> Pin;
    /// The element `id`.
    elements, element, elements: ElementId -> Element;
    /// The point `id`.
    points, point, points: PointId -> Point;
}
