//! Readings as people write them: `front.P3.4=11.8 V`, `front.P3.4-front.S1=0.2 ohm`, `front.112=2.3 A`, `lamp-left=off`.

use super::{
    access,
    probe::{BADLY, NOT, Probe, WORKS},
    reference::Grounds,
};
use crate::{
    analysis::Analysis,
    inspect::{Found, Names, Thing},
    model::PointId,
    network::EdgeId,
    quantity::{Ampere, Ohm, QuantityError, Unit, Volt, is_of, parse},
};
use std::fmt;

/// What was measured or seen.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// What, and where.
    pub probe: Probe,
    /// Volts, amperes, ohms (infinite for an open circuit), or what works.
    pub value: f64,
    /// As it was written.
    pub written: String,
}

/// Why a text is not a reading: completes "reading `…`: ".
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Misread(String);

impl fmt::Display for Misread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for Misread {}

/// What the left side of a reading names.
enum Place {
    Point(PointId),
    Pair(PointId, PointId),
    /// A wire or an element: all its edges, and the first two points of it.
    Edges(Vec<EdgeId>, Option<(PointId, PointId)>),
}

/// What the right side of a reading says.
enum Value {
    Volts(f64),
    Ohms(f64),
    Amps(f64),
    Works(f64),
}

/// The names of a design with the grounds of a state.
pub(super) struct Reader<'a> {
    pub(super) analysis: &'a Analysis,
    pub(super) names: Names<'a>,
    pub(super) grounds: Grounds<'a>,
    /// The black lead, where it is said.
    pub(super) against: Option<PointId>,
}

impl Reader<'_> {
    /// Reads `PLACE=VALUE`.
    pub(super) fn read(&self, text: &str) -> Result<Reading, Misread> {
        let Some((place, value)) = text.rsplit_once('=') else {
            return Err(Misread("write a place and what is there, such as `front.P3.4=11.8 V` or `lamp-left=off`".to_owned()));
        };
        self.pair(place.trim(), value.trim(), text)
    }

    /// A place with what is there.
    pub(super) fn pair(&self, place: &str, value: &str, text: &str) -> Result<Reading, Misread> {
        let value = self::value(value)?;
        let (probe, value) = match value {
            Value::Works(works) => (Probe::Works(self.worker(place)?), works),
            Value::Amps(amps) => (Probe::Amps(self.conductor(place)?), amps.abs()),
            Value::Volts(volts) => {
                let (point, against) = self.two(place)?;
                (Probe::Volts { point, against }, volts)
            }
            Value::Ohms(ohms) => {
                let (one, other) = self.two(place)?;
                (Probe::Ohms { one: one.min(other), other: one.max(other) }, ohms)
            }
        };
        Ok(Reading { probe, value, written: text.trim().to_owned() })
    }

    /// The two points between which something is measured.
    fn two(&self, place: &str) -> Result<(PointId, PointId), Misread> {
        match self.place(place)? {
            Place::Pair(one, other) if one != other => Ok((one, other)),
            Place::Pair(..) => Err(Misread("both leads are at one point".to_owned())),
            Place::Point(point) => {
                let against = self.against.or_else(|| self.grounds.of(point)).filter(|against| *against != point);
                let against =
                    against.ok_or_else(|| Misread("name the place of the black lead too: `ONE-OTHER=11.8 V`".to_owned()))?;
                Ok((point, against))
            }
            Place::Edges(_, Some(points)) => Ok(points),
            Place::Edges(_, None) => Err(Misread("it does not join two points".to_owned())),
        }
    }

    fn place(&self, text: &str) -> Result<Place, Misread> {
        let whole = self.names.find(text);
        if let Found::One(thing) = &whole {
            return self.thing(*thing);
        }
        let splits = text.char_indices().filter(|(_, letter)| matches!(letter, '-' | '/' | '–'));
        for (at, letter) in splits {
            let (one, other) = (text.get(..at).unwrap_or_default(), text.get(at + letter.len_utf8()..).unwrap_or_default());
            if let (Some(one), Some(other)) = (self.point(one), self.point(other)) {
                return Ok(Place::Pair(one, other));
            }
        }
        Err(Misread(match whole {
            Found::Several { names, more } => several(&names, more),
            Found::Nothing(near) => nothing(&near),
            // Found above.
            Found::One(_) => String::new(),
        }))
    }

    fn point(&self, text: &str) -> Option<PointId> {
        let text = text.trim();
        let is_kind = text.starts_with("point ");
        let found = if is_kind { self.names.find(text) } else { self.names.find(&format!("point {text}")) };
        match found {
            Found::One(Thing::Point(point)) => Some(point),
            _ => None,
        }
    }

    fn thing(&self, thing: Thing) -> Result<Place, Misread> {
        let (model, network) = (self.analysis.model(), self.analysis.network());
        let edges = |keep: &dyn Fn(EdgeId) -> bool| network.edges().map(|(id, _)| id).filter(|id| keep(*id)).collect::<Vec<_>>();
        match thing {
            Thing::Point(point) => Ok(Place::Point(point)),
            Thing::Wire(wire) => {
                let own = edges(&|id| network[id].wire() == Some(wire));
                let ends = own.first().map(|id| (network[*id].a, network[*id].b));
                Ok(Place::Edges(own, ends))
            }
            Thing::Element(element) => {
                let own = edges(&|id| network[id].element() == Some(element));
                let points = &model[element].points;
                Ok(Place::Edges(own, points.first().copied().zip(points.get(1).copied())))
            }
            Thing::Cable(_) => Err(Misread("a cable has several cores: name one of them".to_owned())),
            Thing::Pair(_) => Err(Misread("a connector has several contacts: name one of them".to_owned())),
        }
    }

    /// The conductor, fuse or contact that a clamp is round.
    fn conductor(&self, place: &str) -> Result<EdgeId, Misread> {
        let of_one = |edges: &[EdgeId]| match edges {
            [edge] => Ok(*edge),
            _ => Err(Misread("several currents flow there: name the wire that the clamp is round".to_owned())),
        };
        match self.place(place)? {
            Place::Edges(edges, _) => of_one(&edges),
            Place::Point(point) => {
                let wires = self.analysis.network().around(point).filter(|(_, edge, _)| edge.wire().is_some());
                of_one(&wires.map(|(id, ..)| id).collect::<Vec<_>>())
            }
            Place::Pair(..) => Err(Misread("a current flows in one thing: name the wire that the clamp is round".to_owned())),
        }
    }

    /// The load, relay or converter that works or does not: by its own name, or by that of its device where it is the only one there.
    fn worker(&self, place: &str) -> Result<EdgeId, Misread> {
        let (model, network) = (self.analysis.model(), self.analysis.network());
        let workers = || {
            let looks = network.edges().filter(|(_, edge)| access::look(edge.role).is_some());
            looks.filter_map(|(id, edge)| Some((id, model.element_name(edge.element()?))))
        };
        let text = place.strip_prefix("element ").unwrap_or(place).trim();
        let (inside, ending) = (format!("{text}."), format!(".{text}"));
        let picks: [&dyn Fn(&str) -> bool; 3] =
            [&|name| name == text, &|name| name.ends_with(&ending), &|name| name.starts_with(&inside)];
        for pick in picks {
            let found: Vec<(EdgeId, String)> = workers().filter(|(_, name)| pick(name)).collect();
            match found.as_slice() {
                [] => {}
                [(edge, _)] => return Ok(*edge),
                many => return Err(Misread(several(&many.iter().map(|(_, name)| name.clone()).collect::<Vec<_>>(), 0))),
            }
        }
        match self.names.find(place) {
            Found::Nothing(near) => Err(Misread(nothing(&near))),
            Found::One(_) | Found::Several { .. } => Err(Misread(
                "it is seen to work only if it is a load, a relay or a converter; else give volts, amperes or ohms".to_owned(),
            )),
        }
    }
}

fn several(names: &[String], more: usize) -> String {
    let listed = names.iter().take(MOST).map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ");
    let more = more + names.len().saturating_sub(MOST);
    let rest = if more > 0 { format!(" and {more} more") } else { String::new() };
    format!("several things have that name or are in it: {listed}{rest}")
}

/// Names that are listed.
const MOST: usize = 6;

fn nothing(near: &[String]) -> String {
    match near {
        [] => "nothing in the design has that name".to_owned(),
        near => {
            let near = near.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(" or ");
            format!("nothing in the design has that name; did you mean {near}?")
        }
    }
}

fn value(text: &str) -> Result<Value, Misread> {
    let word = text.to_lowercase();
    match word.as_str() {
        "on" | "works" | "lit" | "runs" | "clicks" => return Ok(Value::Works(WORKS)),
        "weak" | "dim" | "slow" => return Ok(Value::Works(BADLY)),
        "off" | "dead" | "dark" | "stopped" => return Ok(Value::Works(NOT)),
        "open" | "no limit" | "ol" => return Ok(Value::Ohms(f64::INFINITY)),
        _ => {}
    }
    // A meter shows a sign where its leads are the other way round, which no quantity of a design has.
    let (sign, size) = match text.strip_prefix(['-', '−']) {
        Some(size) => (-1.0, size.trim_start()),
        None => (1.0, text),
    };
    if is_of::<Volt>(size) {
        figure::<Volt>(size).map(|volts| Value::Volts(sign * volts))
    } else if is_of::<Ampere>(size) {
        figure::<Ampere>(size).map(|amps| Value::Amps(sign * amps))
    } else if is_of::<Ohm>(text) {
        figure::<Ohm>(text).map(Value::Ohms)
    } else {
        Err(Misread(
            "write volts, amperes or ohms with their unit (`11.8 V`, `2.3 A`, `0.2 ohm`, `open`), or `on`, `weak`, `off`"
                .to_owned(),
        ))
    }
}

fn figure<U: Unit>(text: &str) -> Result<f64, Misread> {
    parse::<U>(text).map(Unit::get).map_err(|error: QuantityError| Misread(error.headline(text)))
}
