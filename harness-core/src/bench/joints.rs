//! What is bolted: studs, screws, bodies and bolted fuses, with what goes under each and its torque, in the order of a walk round the vehicle.

use super::Bench;
use crate::{
    model::{ElementKind, EndKind, Fixing, PortId, PortKind},
    quantity::{NewtonMetre, SquareMillimetre},
    text::Span,
};

/// What is bolted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum JointKind {
    /// Rings on a stud.
    Stud,
    /// Wires under a screw or in a screwed clamp.
    Screw,
    /// The body of a device on metal of another one.
    Body,
    /// A bolted fuse in its holder.
    Fuse,
}

impl JointKind {
    /// What it is called in a list.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Stud => "stud",
            Self::Screw => "screw",
            Self::Body => "body",
            Self::Fuse => "bolted fuse",
        }
    }
}

/// A ring on a stud, or what goes under a screw.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct JointRing {
    /// The end as findings name it.
    pub end: String,
    /// The thread that the ring is made for; empty for a bare end.
    pub thread: String,
    /// The numbers of its wires.
    pub wires: Vec<String>,
    /// Their cross-sections together.
    pub size: Option<SquareMillimetre>,
    /// Its terminal kind; empty where none is chosen.
    pub terminal: String,
}

/// A joint that is tightened.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Joint {
    /// The device.
    pub device: String,
    /// The joint as findings name it: `pack.B+`.
    pub name: String,
    /// What it is.
    pub kind: JointKind,
    /// Its thread as the design gives it; empty where none is given.
    pub thread: String,
    /// What goes on it, from below: the largest cross-section next to the surface that carries the current (common practice, no source).
    pub rings: Vec<JointRing>,
    /// Its torque as the design gives it; `None` where it gives none. There is no other source.
    pub torque: Option<NewtonMetre>,
    /// Whether it is of voltage class B.
    pub is_class_b: bool,
    place: (Span, u8, Span),
}

impl Bench<'_> {
    /// All joints that are tightened, device by device in the order written. A stud that nothing is on and that has no torque is left out.
    ///
    /// # Cost
    /// A pass over ports and elements.
    #[must_use]
    pub fn joints(&self) -> Vec<Joint> {
        let model = self.model();
        let ports = model.ports().filter(|(_, port)| model[port.device].fitted);
        let mut joints: Vec<Joint> = ports.filter_map(|(id, _)| self.joint(id)).collect();
        for (id, element) in model.elements() {
            let ElementKind::Fuse { kind: Some(kind), .. } = element.kind else { continue };
            let Some(torque) = model[kind].torque else { continue };
            let owner = model.owner_name(element.owner).to_owned();
            joints.push(Joint {
                device: owner,
                name: model.element_name(id),
                kind: JointKind::Fuse,
                thread: String::new(),
                rings: Vec::new(),
                torque: Some(torque.value),
                is_class_b: element.points.iter().any(|point| self.is_class_b(*point)),
                place: (self.owner_place(element.owner), 1, element.span),
            });
        }
        joints.sort_by_key(|joint| joint.place);
        joints
    }

    fn owner_place(&self, owner: crate::model::Owner) -> Span {
        match owner {
            crate::model::Owner::Device(device) => self.model()[device].span,
            crate::model::Owner::Loom(loom) => self.model()[loom].span,
        }
    }

    fn joint(&self, id: PortId) -> Option<Joint> {
        let model = self.model();
        let port = &model[id];
        let (kind, thread, torque) = match port.kind {
            PortKind::Stud(thread) => (JointKind::Stud, model.text(thread.name).to_owned(), port.torque),
            PortKind::Body => (JointKind::Body, String::new(), port.torque),
            PortKind::Landing(landing) => {
                let of_kind = landing.kind.and_then(|kind| model[kind].torque);
                let torque = port.torque.or(of_kind);
                match landing.fixing {
                    Fixing::Screw => (JointKind::Screw, String::new(), torque),
                    // A clamp is tightened if it has a torque.
                    Fixing::Tab | Fixing::Strip | Fixing::Ferrule => (JointKind::Screw, String::new(), Some(torque?)),
                }
            }
            PortKind::Connector(_) => return None,
        };
        let mut rings: Vec<JointRing> = self
            .analysis
            .facts()
            .wire_ends()
            .at_port(id)
            .filter(|end| model[model[*end].loom].fitted)
            .map(|end| self.joint_ring(end))
            .collect();
        rings.sort_by(|one, other| {
            let size = |ring: &JointRing| std::cmp::Reverse(ring.size.map_or(0, |size| (size.get() * 1000.0).round() as u64));
            (size(one), &one.end).cmp(&(size(other), &other.end))
        });
        if rings.is_empty() && torque.is_none() && kind != JointKind::Body {
            return None;
        }
        Some(Joint {
            device: model.device_name(port.device).to_owned(),
            name: model.port_name(id),
            kind,
            thread,
            rings,
            torque: torque.map(|torque| torque.value),
            is_class_b: port.points.iter().any(|point| self.is_class_b(point)),
            place: (model[port.device].span, 0, port.span),
        })
    }

    fn joint_ring(&self, id: crate::model::EndId) -> JointRing {
        let model = self.model();
        let end = &model[id];
        let ends = self.analysis.facts().wire_ends();
        let wires: Vec<_> = end.points.iter().flat_map(|point| ends.wires(point).iter().map(|wire| wire.wire)).collect();
        let sizes: Option<Vec<f64>> = wires.iter().map(|wire| model[*wire].size.map(|size| size.value.get())).collect();
        let terminal = end.points.iter().find_map(|point| self.terminal(point));
        JointRing {
            end: model.end_name(id),
            thread: match end.kind {
                EndKind::Ring(thread) => model.text(thread.name).to_owned(),
                EndKind::Connector(_) | EndKind::Bare => String::new(),
            },
            size: sizes.filter(|sizes| !sizes.is_empty()).map(|sizes| SquareMillimetre::new(sizes.iter().sum())),
            wires: wires.into_iter().map(|wire| model.text(model[wire].name).to_owned()).collect(),
            terminal: terminal.map_or_else(String::new, |terminal| model.text(model[terminal].name).to_owned()),
        }
    }
}
