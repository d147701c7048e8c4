//! The internal resistance of a source: one figure, or those of a new and of an aged battery.

use super::{
    content::Content,
    reader::{Read, Reader},
    record::record,
    shape::{Limit, Shape},
};
use crate::{
    quantity::Ohm,
    text::{self, At, Names, NodeId},
};

record! {
    /// The two internal resistances of a battery.
    InnerResistance {
        /// Of the new, warm and full battery: the least.
        new: Option<At<Ohm>> = New above_zero => alter();
        /// Of the aged, cold one: the most.
        aged: Option<At<Ohm>> = Aged above_zero => alter();
    }
}

/// The internal resistance of a source: one figure, or those of a new and of an aged battery.
#[derive(Debug, Clone)]
pub enum SourceResistance {
    /// One figure.
    One(At<Ohm>),
    /// Two, of which either may be left out.
    Two(Box<InnerResistance>),
}

impl SourceResistance {
    /// The figure of a new, warm battery.
    #[must_use]
    pub fn unworn(&self) -> Option<At<Ohm>> {
        match self {
            Self::One(ohm) => Some(*ohm),
            Self::Two(both) => both.new,
        }
    }

    /// The figure of an aged, cold one.
    #[must_use]
    pub fn aged(&self) -> Option<At<Ohm>> {
        match self {
            Self::One(_) => None,
            Self::Two(both) => both.aged,
        }
    }
}

impl Read for SourceResistance {
    fn read(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        if matches!(reader.tree.kind(node), text::Kind::Scalar { .. }) {
            let mut one = <At<Ohm> as Read>::read(reader, node);
            reader.keep(&mut one, node, Limit::AboveZero);
            return one.map(Self::One);
        }
        reader.record::<InnerResistance>(node).map(|both| Self::Two(Box::new(both)))
    }

    fn shape() -> Shape {
        Shape::Either(&[<At<Ohm> as Read>::shape, <InnerResistance as Read>::shape])
    }

    fn tell(&self, names: &Names) -> Content {
        match self {
            Self::One(ohm) => Read::tell(ohm, names),
            Self::Two(both) => Read::tell(both.as_ref(), names),
        }
    }
}
