//! What runs through each segment of a route: single wires, and cables with their cores counted once, with their diameters.
//!
//! Cost: linear in the wires and the segments that they run through.

use super::Facts;
use crate::{
    arena::IdVec,
    electrical::conductors::conductor::over_insulation,
    model::{CableId, Model, SegmentId, WireId},
    quantity::Millimetre,
    standards::Source,
    text::Span,
    vocabulary::Strand,
};

impl Facts {
    /// What runs through each segment, in order; looms that are left out of the build have nothing in theirs.
    ///
    /// Asked by the rules on routes and `review/missing-fact`.
    #[must_use]
    pub fn segment_members(&self) -> &IdVec<SegmentId, Vec<Member>> {
        self.made.segment_members.get_or_init(|| segment_members(self.model()))
    }
}

/// A single wire or a cable.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Member {
    /// A cable with all its cores.
    Cable(CableId),
    /// A wire of its own, without a cable around it.
    Wire(WireId),
}

/// A diameter over the insulation or the sheath.
#[derive(Debug, Clone, Copy)]
pub struct OuterDiameter {
    /// The diameter.
    pub value: Millimetre,
    /// Where it is written; `None` for one of a table.
    pub place: Option<Span>,
    /// The table; `None` for one that the design gives.
    pub source: Option<&'static Source>,
}

impl Member {
    /// Its name.
    #[must_use]
    pub fn name(self, model: &Model) -> String {
        match self {
            Self::Cable(cable) => model.cable_name(cable),
            Self::Wire(wire) => model.wire_name(wire),
        }
    }

    /// What the trade calls it.
    #[must_use]
    pub fn noun(self) -> &'static str {
        match self {
            Self::Cable(_) => "cable",
            Self::Wire(_) => "wire",
        }
    }

    /// Where it is written.
    #[must_use]
    pub fn span(self, model: &Model) -> Span {
        match self {
            Self::Cable(cable) => model[cable].span,
            Self::Wire(wire) => model[wire].span,
        }
    }

    /// Its diameter, as its cable kind or a table says; `None` where neither does.
    #[must_use]
    pub fn diameter(self, model: &Model) -> Option<OuterDiameter> {
        match self {
            Self::Cable(cable) => {
                let own = model[model[cable].kind?].diameter?;
                Some(OuterDiameter { value: own.value, place: Some(own.span), source: None })
            }
            Self::Wire(wire) => {
                let of_table = over_insulation(model, &model[wire])?;
                Some(OuterDiameter { value: of_table.value, place: None, source: Some(of_table.source) })
            }
        }
    }

    /// How it is stranded with the place, and where its kind is written; `None` where it has no kind.
    #[must_use]
    pub fn stranding(self, model: &Model) -> Option<Stranding> {
        let (name, span, strand, standard) = match self {
            Self::Cable(cable) => {
                let kind = &model[model[cable].kind?];
                (kind.name, kind.span, kind.strand, kind.standard)
            }
            Self::Wire(wire) => {
                let kind = &model[model[wire].kind?];
                (kind.name, kind.span, kind.strand, kind.standard)
            }
        };
        let said = strand.map(|strand| (strand.value, strand.span));
        let of_standard = || {
            let standard = standard?;
            Some((class_of(model.text(standard.value))?, standard.span))
        };
        Some(Stranding { kind: model.text(name).to_owned(), span, strand: said.or_else(of_standard) })
    }
}

/// How the conductors of a kind are stranded.
#[derive(Debug, Clone)]
pub struct Stranding {
    /// The kind.
    pub kind: String,
    /// Where it is written.
    pub span: Span,
    /// How, with the place; `None` where neither `strand` nor the text of the standard says it.
    pub strand: Option<(Strand, Span)>,
}

/// How the text of a standard says that a conductor is stranded: `IEC 60228 class 5`.
fn class_of(standard: &str) -> Option<Strand> {
    let standard = standard.to_lowercase();
    let (_, behind) = standard.split_once("class")?;
    if !standard.contains("60228") {
        return None;
    }
    match behind.trim_start().chars().next()? {
        '1' => Some(Strand::Solid),
        '2' => Some(Strand::Stranded),
        '5' => Some(Strand::Fine),
        '6' => Some(Strand::ExtraFine),
        _ => None,
    }
}

fn segment_members(model: &Model) -> IdVec<SegmentId, Vec<Member>> {
    let mut members = IdVec::of(Vec::new(), model.segments().count());
    for (id, wire) in model.wires().filter(|(_, wire)| model[wire.loom].fitted) {
        let member = wire.core.map_or(Member::Wire(id), |(cable, _)| Member::Cable(cable));
        for segment in &wire.via {
            members[*segment].push(member);
        }
    }
    for (id, cable) in model.cables().filter(|(_, cable)| model[cable.loom].fitted) {
        for segment in &cable.via {
            members[*segment].push(Member::Cable(id));
        }
    }
    for segment in model.segments().map(|(segment, _)| segment) {
        members[segment].sort_unstable();
        members[segment].dedup();
    }
    members
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_standard_names_its_class() {
        assert_eq!(class_of("IEC 60228 class 5 tinned"), Some(Strand::Fine));
        assert_eq!(class_of("IEC 60228, Class 2"), Some(Strand::Stranded));
        assert_eq!(class_of("IEC 60228 class 6"), Some(Strand::ExtraFine));
        assert_eq!(class_of("ISO 6722-1 class B"), None);
        assert_eq!(class_of("IEC 60228"), None);
    }
}
