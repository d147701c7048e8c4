//! Faces of mated halves that cannot both be right: what two housings say of where their positions are, held against each other.
//!
//! Two halves that join look at each other, so the mating face of the one is the mirror image of the other's, row by row. A face that is given
//! from the wire side is turned over first. Labels are compared as the mate calls them.

use super::{Facts, mated_pairs::Half};
use crate::{
    model::{HousingId, Mate, Model},
    text::Name,
    vocabulary::FaceSide,
};

/// What one face would have to be turned by to fit the other one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turn {
    /// One of the two was drawn from the other side.
    Mirrored,
    /// One of the two is upside down.
    HalfTurn,
    /// The rows of one of the two are in the other order.
    RowsSwapped,
    /// Nothing of the kind: the labels are elsewhere.
    Other,
}

/// Two housings whose faces contradict each other, with the mated pairs that have them.
#[derive(Debug)]
pub struct FaceClash {
    /// The housing of the first half.
    pub one: HousingId,
    /// That of its mate.
    pub other: HousingId,
    /// How they differ.
    pub turn: Turn,
    /// Two positions that the faces bring together, though the design joins each with its own.
    pub met: [Name; 2],
    /// The pairs, the half that names its mate first.
    pub pairs: Vec<[Mate; 2]>,
}

impl Facts {
    /// Mated halves whose faces cannot both be right, one entry for each two housings.
    ///
    /// Asked by `mating/mirrored-face`. Cost: the positions of mated pairs with two faces.
    #[must_use]
    pub fn face_clashes(&self) -> &[FaceClash] {
        self.made.face_clashes.get_or_init(|| clashes(self))
    }
}

/// Which position of the one half meets which of the other by their faces, in the order of the first face; `None` where a face or the side from
/// which it is seen is not given, or the two have another shape.
#[must_use]
pub fn met_by_faces(own: &Half<'_>, partner: &Half<'_>) -> Option<Vec<[Name; 2]>> {
    let of = |half: &Half<'_>| seen(half.housing.face.clone(), half.housing.seen_from?.value);
    let (own, theirs) = (of(own)?, of(partner)?);
    let looking_at_it = mirrored(&theirs);
    let is_alike = own.iter().map(Vec::len).eq(looking_at_it.iter().map(Vec::len));
    is_alike
        .then(|| own.into_iter().flatten().zip(looking_at_it.into_iter().flatten()).map(|(one, other)| [one, other]).collect())
}

fn clashes(facts: &Facts) -> Vec<FaceClash> {
    let model = facts.model();
    let mut found: Vec<FaceClash> = Vec::new();
    for pair in facts.mated_pairs().of_one_family(model) {
        let Some((turn, met)) = clash(model, &pair.own, &pair.partner) else { continue };
        let (Some(one), Some(other)) = (housing(model, pair.own.connector), housing(model, pair.partner.connector)) else {
            continue;
        };
        let pairs = [pair.own.connector, pair.partner.connector];
        match found.iter_mut().find(|known| known.one == one && known.other == other && known.turn == turn) {
            Some(known) => known.pairs.push(pairs),
            None => found.push(FaceClash { one, other, turn, met, pairs: vec![pairs] }),
        }
    }
    found
}

fn housing(model: &Model, half: Mate) -> Option<HousingId> {
    match half {
        Mate::Port(port) => model[port].housing(),
        Mate::End(end) => model[end].housing(),
    }
}

type Face = Vec<Vec<Name>>;

fn clash(model: &Model, own: &Half<'_>, partner: &Half<'_>) -> Option<(Turn, [Name; 2])> {
    let theirs = seen(partner.housing.face.clone(), partner.housing.seen_from?.value)?;
    let Mate::End(end) = own.connector else { return None };
    let other = match partner.connector {
        Mate::End(other) => Some(&model[other]),
        Mate::Port(_) => None,
    };
    let met = |label: &Name| {
        let cavity = model.position_of(model[end].points, *label);
        cavity.map_or(*label, |cavity| model.met_label(&model[end], other, cavity))
    };
    let face: Face = own.housing.face.iter().map(|row| row.iter().map(met).collect()).collect();
    let own = seen(face, own.housing.seen_from?.value)?;
    // What the mate's mating face must be.
    let wanted = mirrored(&own);
    // Other labels are another fault, and another shape says nothing of these.
    let sorted = |face: &Face| {
        let mut labels: Vec<Name> = face.iter().flatten().copied().collect();
        labels.sort_unstable();
        labels
    };
    if wanted == theirs || sorted(&wanted) != sorted(&theirs) {
        return None;
    }
    let turned = |face: &Face| -> Face { mirrored(face).into_iter().rev().collect() };
    let swapped = |face: &Face| -> Face { face.iter().rev().cloned().collect() };
    let turn = match () {
        () if mirrored(&wanted) == theirs => Turn::Mirrored,
        () if turned(&wanted) == theirs => Turn::HalfTurn,
        () if swapped(&wanted) == theirs => Turn::RowsSwapped,
        () => Turn::Other,
    };
    let pairs = wanted.iter().flatten().zip(theirs.iter().flatten());
    let met = pairs.into_iter().find(|(one, other)| one != other).map(|(one, other)| [*one, *other])?;
    Some((turn, met))
}

/// A face as it is seen from the mating side; `None` where there is none.
fn seen(face: Face, side: FaceSide) -> Option<Face> {
    (!face.is_empty()).then(|| match side {
        FaceSide::Mating => face,
        FaceSide::Wire => mirrored(&face),
    })
}

fn mirrored(face: &Face) -> Face {
    face.iter().map(|row| row.iter().rev().copied().collect()).collect()
}
