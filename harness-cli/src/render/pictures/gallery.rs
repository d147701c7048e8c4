//! Which pictures there are of a design, by kind and name: what `harness draw` writes and a review shows.

use super::{function, power_tree, time_current, timeline};
use crate::args::PictureKind;
use harness_core::{
    Analysis,
    inspect::{Found, Names, Thing, TimeCurrent, selective},
    internals::model::ElementKind,
    views::{Function, PowerTree, timeline as times},
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
        PictureKind::Power => power(analysis, names, &design),
        PictureKind::Circuit => circuits(analysis, names, &design),
        PictureKind::Chain | PictureKind::Loom | PictureKind::Vehicle => Ok(Vec::new()),
    }
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

/// Power trees: of the modes that were named, else of the one in which sources give most.
fn power(analysis: &Analysis, names: &[String], design: &str) -> Result<Vec<Plate>, String> {
    let trees: Vec<PowerTree> = if names.is_empty() {
        vec![PowerTree::of(analysis)]
    } else {
        let known: Vec<&str> = analysis.design().mode_names().collect();
        let tree = |name: &String| {
            let unknown = || format!("`{name}` is not a mode; the modes are {}", crate::phrase::quoted(&known).join(", "));
            PowerTree::in_mode(analysis, name).ok_or_else(unknown)
        };
        names.iter().map(tree).collect::<Result<_, _>>()?
    };
    let mut plates = Vec::new();
    for tree in &trees {
        let drawings = power_tree::draw(design, tree);
        let mode = tree.mode.clone().unwrap_or_default();
        let several = drawings.len() > 1;
        plates.extend(drawings.into_iter().enumerate().map(|(at, drawing)| Plate {
            kind: PictureKind::Power,
            name: if several { format!("{mode}-{}", at + 1) } else { mode.clone() },
            also: Vec::new(),
            drawing,
        }));
    }
    Ok(plates)
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
