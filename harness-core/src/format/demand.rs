//! What a load asks for, a current or a power, and its short-time current with the time for which it flows.

use super::{
    content::Content,
    reader::{Limited, Read, Reader},
    shape::Shape,
};
use crate::{
    quantity::{self, Ampere, Second, Unit, Watt},
    text::{At, Names, NodeId},
    vocabulary::{Demand, Peak},
};

impl Limited for Peak {
    fn stored(self) -> f64 {
        let time = self.lasts.map_or(f64::INFINITY, Unit::get);
        Unit::get(self.current).min(time)
    }

    fn measured(self) -> &'static str {
        Ampere::MEASURES
    }
}

impl Read for At<Peak> {
    fn read(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let (_, text) = reader.scalar(node, || "a current, with its time as in `40 A for 200 ms`")?;
        let span = reader.tree.span(node);
        let (current, time) = match text.split_once(" for ") {
            Some((current, time)) => (current, Some(time)),
            None => (text, None),
        };
        let read = |current: &str, time: Option<&str>| {
            let current = quantity::parse::<Ampere>(current).map_err(|error| (error, current.to_owned()))?;
            let lasts = time.map(|time| quantity::parse::<Second>(time).map_err(|error| (error, time.to_owned()))).transpose()?;
            Ok::<_, (quantity::QuantityError, String)>(Peak { current, lasts })
        };
        match read(current, time) {
            Ok(value) => Some(Self { value, span }),
            Err((error, written)) => {
                super::values::quantity_fault(reader, span, error.headline(&written), error.help());
                None
            }
        }
    }

    fn shape() -> Shape {
        Shape::Lasting { measures: Ampere::MEASURES, units: || Ampere::SPELLINGS.iter().map(|(unit, _)| *unit).collect() }
    }

    fn tell(&self, _: &Names) -> Content {
        match self.value.lasts {
            None => Content::quantity(self.value.current),
            Some(time) => Content::Text(format!("{} for {time}", self.value.current)),
        }
    }
}

impl Limited for Demand {
    fn stored(self) -> f64 {
        match self {
            Self::Current(amps) => amps.get(),
            Self::Power(watts) => watts.get(),
        }
    }

    fn measured(self) -> &'static str {
        match self {
            Self::Current(_) => Ampere::MEASURES,
            Self::Power(_) => Watt::MEASURES,
        }
    }
}

impl Read for At<Demand> {
    fn read(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let (_, text) = reader.scalar(node, || "a current or a power with its unit")?;
        if let Ok(power) = quantity::parse::<Watt>(text) {
            return Some(Self { value: Demand::Power(power), span: reader.tree.span(node) });
        }
        let current = <At<Ampere> as Read>::read(reader, node)?;
        Some(Self { value: Demand::Current(current.value), span: current.span })
    }

    fn shape() -> Shape {
        Shape::Either(&[<At<Ampere> as Read>::shape, <At<Watt> as Read>::shape])
    }

    fn tell(&self, _: &Names) -> Content {
        match self.value {
            Demand::Current(amps) => Content::quantity(amps),
            Demand::Power(watts) => Content::quantity(watts),
        }
    }
}
