//! Which pictures there are of a design, by kind and name: what `harness draw` writes and a review shows.

use super::{chain, function, loom, plan, power_tree, time_current, timeline};
use crate::args::PictureKind;
use harness_core::{
    Analysis,
    bench::{Bench, Layout},
    inspect::{Found, Names, Thing, TimeCurrent, selective},
    internals::model::ElementKind,
    views::{Chain, Function, PowerTree, plan::Plan, timeline as times},
};
use harness_draw::Drawing;

/// A picture with its name.
#[derive(Debug, Clone)]
pub struct Plate {
    /// What kind it is.
    pub kind: PictureKind,
    /// What it is of, which distinguishes it among its kind; empty for the only one.
    pub name: String,
    /// What else it is of.
    pub also: Vec<String>,
    /// The picture.
    pub drawing: Drawing,
}

/// The pictures of a kind: of the things called `names`, or of all that there are.
///
/// # Errors
/// If nothing is called so, or there is no such picture of it, in words.
pub fn plates(analysis: &Analysis, kind: PictureKind, names: &[String]) -> Result<Vec<Plate>, String> {
    scaled(analysis, kind, names, None)
}

/// The same with looms at true lengths, 1 to `scale`.
///
/// # Errors
/// As [`plates`].
pub fn scaled(analysis: &Analysis, kind: PictureKind, names: &[String], scale: Option<u32>) -> Result<Vec<Plate>, String> {
    let design = called(analysis);
    let plate =
        |name: &String, also: &[String], drawing: Drawing| Plate { kind, name: name.clone(), also: also.to_vec(), drawing };
    match kind {
        PictureKind::Curves => curves(analysis, names, &design),
        PictureKind::Precharge => chosen(
            times::precharges(analysis)
                .iter()
                .map(|one| plate(&one.resistor, &one.capacitors, timeline::precharge(one, &design)))
                .collect(),
            names,
            "is precharged",
        ),
        PictureKind::Discharge => chosen(
            times::discharges(analysis).iter().map(|one| plate(&one.capacitor, &[], timeline::discharge(one, &design))).collect(),
            names,
            "is discharged",
        ),
        PictureKind::Power => chosen(power(analysis, &design), names, "can be drawn is a mode"),
        PictureKind::Chain => chosen(chain_of(analysis, &design), names, "can be drawn has no name"),
        PictureKind::Circuit => circuits(analysis, names, &design),
        PictureKind::Loom => chosen(looms(analysis, &design, scale), names, "is laid out is a loom"),
        PictureKind::Vehicle => Ok(vec![plate(&String::new(), &[], plan::draw(&Plan::of(analysis), &design))]),
    }
}

/// The power tree of each mode, on as many sheets as it needs.
fn power(analysis: &Analysis, design: &str) -> Vec<Plate> {
    let trees = PowerTree::of_modes(analysis);
    trees
        .iter()
        .flat_map(|tree| {
            let sheets = power_tree::draw(design, tree);
            numbered(PictureKind::Power, tree.mode.as_deref().unwrap_or_default(), sheets)
        })
        .collect()
}

/// The chain of class B; none where the design has nothing of class B.
fn chain_of(analysis: &Analysis, design: &str) -> Vec<Plate> {
    let chain = Chain::of(analysis);
    if chain.is_empty() {
        return Vec::new();
    }
    vec![Plate { kind: PictureKind::Chain, name: String::new(), also: Vec::new(), drawing: chain::draw(&chain, design) }]
}

/// Each loom, to the scale that is asked for on several sheets, else on one.
fn looms(analysis: &Analysis, design: &str, scale: Option<u32>) -> Vec<Plate> {
    let drawn = |layout: &Layout| match scale {
        Some(scale) => loom::sheets(layout, design, scale),
        None => vec![loom::draw(layout, design)],
    };
    Bench::of(analysis).layouts().iter().flat_map(|layout| numbered(PictureKind::Loom, &layout.loom, drawn(layout))).collect()
}

/// The sheets of one thing; from the second on they have a number.
fn numbered(kind: PictureKind, name: &str, sheets: Vec<Drawing>) -> Vec<Plate> {
    let named = |at: usize| if at == 0 { name.to_owned() } else { format!("{name}-{}", at + 1) };
    let sheets = sheets.into_iter().enumerate();
    sheets.map(|(at, drawing)| Plate { kind, name: named(at), also: vec![name.to_owned()], drawing }).collect()
}

/// What the design is called.
fn called(analysis: &Analysis) -> String {
    let model = analysis.model();
    let text = |name: Option<_>| name.map_or("", |name| model.text(name));
    match (text(model.design), text(model.revision)) {
        (design, "") => design.to_owned(),
        (design, revision) => format!("{design}, revision {revision}"),
    }
}

/// Those of `plates` that are asked for: by their whole name or the end of it behind a full stop.
fn chosen(plates: Vec<Plate>, names: &[String], what: &str) -> Result<Vec<Plate>, String> {
    if names.is_empty() {
        return Ok(plates);
    }
    let is_called = |plate: &Plate, name: &String| {
        let end = format!(".{name}");
        plate.also.iter().chain([&plate.name]).any(|whole| whole == name || whole.ends_with(&end))
    };
    if let Some(unknown) = names.iter().find(|name| !plates.iter().any(|plate| is_called(plate, name))) {
        let known: Vec<&str> = plates.iter().map(|plate| plate.name.as_str()).collect();
        let there = if known.is_empty() {
            format!("nothing {what}")
        } else {
            format!("what {what}: {}", crate::phrase::quoted(&known).join(", "))
        };
        return Err(format!("`{unknown}`: {there}"));
    }
    Ok(plates.into_iter().filter(|plate| names.iter().any(|name| is_called(plate, name))).collect())
}

/// The loads of a design, in the order written.
fn loads(analysis: &Analysis) -> Vec<Thing> {
    let elements = analysis.model().elements();
    let mut loads: Vec<_> = elements.filter(|(_, element)| matches!(element.kind, ElementKind::Load { .. })).collect();
    loads.sort_by_key(|(_, element)| element.span);
    loads.into_iter().map(|(id, _)| Thing::Element(id)).collect()
}

/// The names of the first loads, and how many more there are: each has a circuit.
#[must_use]
pub fn first_loads(analysis: &Analysis, most: usize) -> (Vec<String>, usize) {
    let loads = loads(analysis);
    let names = loads.iter().take(most).map(|thing| thing.name(analysis.model())).collect();
    (names, loads.len().saturating_sub(most))
}

/// What the current of a thing runs through: of those that were named, else of all loads.
fn circuits(analysis: &Analysis, names: &[String], design: &str) -> Result<Vec<Plate>, String> {
    let model = analysis.model();
    let things: Vec<Thing> = if names.is_empty() {
        let mut loads: Vec<_> =
            model.elements().filter(|(_, element)| matches!(element.kind, ElementKind::Load { .. })).collect();
        loads.sort_by_key(|(_, element)| element.span);
        loads.into_iter().map(|(id, _)| Thing::Element(id)).collect()
    } else {
        let known = Names::new(model);
        let thing = |name: &String| match known.find(name) {
            Found::One(thing) => Ok(thing),
            Found::Several { names, more } => Err(format!("`{name}`: {}", crate::phrase::several(&names, more))),
            Found::Nothing(near) => Err(format!("`{name}`: {}", crate::phrase::nothing(&near))),
        };
        names.iter().map(thing).collect::<Result<_, _>>()?
    };
    let plate = |thing: Thing| {
        let none = || format!("`{}`: a current runs through wires, elements and points; name one of them", thing.name(model));
        let function = Function::of(analysis, thing, None).ok_or_else(none)?;
        let drawing = function::draw(design, &function);
        Ok(Plate { kind: PictureKind::Circuit, name: function.name, also: Vec::new(), drawing })
    };
    things.into_iter().map(plate).collect()
}

/// Time-current pictures: one for each fuse, or one for all that were named.
fn curves(analysis: &Analysis, names: &[String], design: &str) -> Result<Vec<Plate>, String> {
    let kind = PictureKind::Curves;
    if names.is_empty() {
        let model = analysis.model();
        let fuses = model.elements().map(|(id, _)| id).filter_map(|id| TimeCurrent::of(analysis, id).ok());
        return Ok(fuses
            .map(|fuse| Plate { kind, name: fuse.name.clone(), also: Vec::new(), drawing: time_current::draw(&fuse, design) })
            .collect());
    }
    let known = Names::new(analysis.model());
    let mut fuses = Vec::new();
    let mut curves = Vec::new();
    for name in names {
        let fuse = match known.find(name) {
            Found::One(Thing::Element(fuse)) => fuse,
            Found::One(thing) => return Err(format!("`{}` is not a fuse", thing.name(analysis.model()))),
            Found::Several { names, more } => return Err(format!("`{name}`: {}", crate::phrase::several(&names, more))),
            Found::Nothing(near) => return Err(format!("`{name}`: {}", crate::phrase::nothing(&near))),
        };
        fuses.push(fuse);
        curves.push(TimeCurrent::of(analysis, fuse)?);
    }
    let pairs = selective(analysis, &fuses, &curves);
    let name = curves.iter().map(|curve| curve.name.as_str()).collect::<Vec<_>>().join("+");
    Ok(vec![Plate { kind, name, also: Vec::new(), drawing: time_current::several(&curves, &pairs, design) }])
}
