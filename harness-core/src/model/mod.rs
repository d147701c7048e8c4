//! The design resolved: names have become typed ids, everything knows where it was written, nothing changes any more.
//!
//! Owns what the document means. Knows nothing of graphs, figures or rules. Text comes back only in messages, through
//! the naming functions in `naming`.

mod among;
mod at;
mod bodies;
mod build;
mod contact;
mod devices;
mod domain;
mod element;
mod elements;
mod fuses;
mod grouping;
mod groups;
mod ids;
mod items;
mod kinds;
mod known;
mod looms;
mod naming;
mod owner;
mod parts;
mod points;
mod rest;
mod room;
mod safety;
mod scope;
mod selectors;
mod wiring;

pub use build::build;
pub use contact::{Exclusive, Residual, Selector, Throw};
pub use element::{Capacitor, Element, ElementKind, Resistor};
pub use ids::{
    CableId, CableKindId, ConductorId, CoverId, DeviceId, DomainId, ElementId, EndId, FuseKindId, HousingId, LandingKindId,
    LoomId, ModeId, ModeSet, NetworkId, PinId, PointId, PointList, PointRange, PortId, PortRange, SegmentId, SelectorId,
    SpliceId, TerminalId, WireId, ZoneId,
};
pub use items::{
    Bench, Cable, Cover, Device, Domain, End, EndKind, Fixing, Guard, InletLock, Isolation, IsolationMonitor, Landing, Loom,
    Mate, Mode, Network, OpenedBy, Opener, Opening, Pin, Point, PointKind, Policy, Port, PortKind, Segment, Splice, Thread,
    Waiver, Wire, Zone,
};
pub use kinds::{CableKind, Conductor, Core, FuseGate, FuseKind, Housing, LandingKind, LandingTakes, Terminal};
pub use owner::Owner;

use crate::{
    arena::IdVec,
    text::{Name, Names, Span},
};
use std::ops::Index;

macro_rules! store {
    ($($(#[$doc:meta])+ $field:ident, $ids:ident: $id:ident -> $item:ident;)+) => {
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
            /// What the papers of the bench go by.
            pub bench: Bench,
            /// Points that are worth measuring at, sorted.
            pub test_points: Vec<PointId>,
            /// Wire numbers that may never come back, with their places.
            pub retired: Vec<(Name, Span)>,
            /// Facts that are still to be measured: the thing, the fact, the place.
            pub unsure: Vec<(String, Name, Span)>,
            /// Findings that were reviewed and accepted, in the order written.
            pub waivers: Vec<Waiver>,
            /// Groups of elements that are never closed together.
            pub exclusive: Vec<Exclusive>,
            /// The poles of each residual-current device.
            pub residual: Vec<Residual>,
            /// Elements that are left out of this build, empty holders of fuses and links excepted; no rule has to remember that.
            pub left_out: Vec<Element>,
            /// Contacts that must be open in a mode, or when something else is open.
            pub openings: Vec<Opening>,
            /// The order of modes from rest to drive, with the places; empty where nothing is said.
            pub sequence: Vec<(ModeId, Span)>,
            $(pub(crate) $field: IdVec<$id, $item>,)+
        }

        impl Model {$(
            $(#[$doc])+
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
    /// The voltage domains with their ids, by name within what they are in.
    domains, domains: DomainId -> Domain;
    /// The zones with their ids, by name within what they are in.
    zones, zones: ZoneId -> Zone;
    /// The modes with their ids, by name within what they are in.
    modes, modes: ModeId -> Mode;
    /// The data buses with their ids, by name within what they are in.
    networks, networks: NetworkId -> Network;
    /// The covers of all devices with their ids, by name within what they are in.
    covers, covers: CoverId -> Cover;
    /// The housing kinds with their ids, by name within what they are in.
    housings, housings: HousingId -> Housing;
    /// The terminal kinds with their ids, by name within what they are in.
    terminals, terminals: TerminalId -> Terminal;
    /// The kinds of points that take a bare wire with their ids, by name within what they are in.
    landing_kinds, landing_kinds: LandingKindId -> LandingKind;
    /// The conductor kinds with their ids, by name within what they are in.
    conductors, conductor_kinds: ConductorId -> Conductor;
    /// The cable kinds with their ids, by name within what they are in.
    cable_kinds, cable_kinds: CableKindId -> CableKind;
    /// The fuse kinds with their ids, by name within what they are in.
    fuse_kinds, fuse_kinds: FuseKindId -> FuseKind;
    /// The devices with their ids, by name within what they are in.
    devices, devices: DeviceId -> Device;
    /// The ports of all devices with their ids, by name within what they are in.
    ports, ports: PortId -> Port;
    /// The looms with their ids, by name within what they are in.
    looms, looms: LoomId -> Loom;
    /// The loom ends with their ids, by name within what they are in.
    ends, ends: EndId -> End;
    /// The splices with their ids, by name within what they are in.
    splices, splices: SpliceId -> Splice;
    /// The wires, cores of cables among them with their ids, by name within what they are in.
    wires, wires: WireId -> Wire;
    /// The cables of all looms with their ids, by name within what they are in.
    cables, cables: CableId -> Cable;
    /// The route segments with their ids, by name within what they are in.
    segments, segments: SegmentId -> Segment;
    /// What the pins need of which something is said with their ids, by name within what they are in.
    pins, pins: PinId -> Pin;
    /// The elements inside devices and in looms with their ids, by name within what they are in.
    elements, elements: ElementId -> Element;
    /// The selectors with their ids, by name within what they are in.
    selectors, selectors: SelectorId -> Selector;
    /// The points with their ids, by name within what they are in.
    points, points: PointId -> Point;
}
