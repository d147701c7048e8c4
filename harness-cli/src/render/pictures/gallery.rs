//! Which pictures there are of a design, by kind and name: what `harness draw` writes and a review shows.

use super::{chain, function, loom, net, plan, power_tree, time_current, timeline};
use crate::args::PictureKind;
use harness_core::{
    Analysis,
    bench::Bench,
    inspect::{Found, Names, Thing, TimeCurrent, selective},
    internals::model::ElementKind,
    quantity::Ampere,
    views::{Chain, Function, Net, PowerTrees, plan::Plan, timeline as times},
};
use harness_draw::Drawing;
use std::collections::BTreeMap;

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

impl Plate {
    fn new(kind: PictureKind, name: impl Into<String>, drawing: Drawing) -> Self {
        Self { kind, name: name.into(), also: Vec::new(), drawing }
    }
}

/// What can be drawn: its name, what else it is of, and how; nothing is drawn that nobody asks for.
struct Offer<'a> {
    name: String,
    also: Vec<String>,
    draw: Box<dyn Fn() -> Vec<Drawing> + 'a>,
}

impl<'a> Offer<'a> {
    fn new(name: &str, also: &[String], draw: impl Fn() -> Vec<Drawing> + 'a) -> Self {
        Self { name: name.to_owned(), also: also.to_vec(), draw: Box::new(draw) }
    }
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
    match kind {
        PictureKind::Curves => curves(analysis, names, &design),
        PictureKind::Precharge => {
            let found = times::precharges(analysis);
            let draw = |one| vec![timeline::precharge(one, &design)];
            let offers = found.iter().map(|one| Offer::new(&one.resistor, &one.capacitors, move || draw(one)));
            chosen(kind, offers.collect(), names, "is precharged")
        }
        PictureKind::Discharge => {
            let found = times::discharges(analysis);
            let draw = |one| vec![timeline::discharge(one, &design)];
            let offers = found.iter().map(|one| Offer::new(&one.capacitor, &[], move || draw(one)));
            chosen(kind, offers.collect(), names, "is discharged")
        }
        PictureKind::Power => {
            let trees = PowerTrees::of(analysis);
            // Where no mode was computed there is one tree, which has none.
            let modes = trees.modes().map(Some).chain(trees.modes().next().is_none().then_some(None)).enumerate();
            let draw = |at: usize| power_tree::draw(&design, &trees.at(at));
            let offers = modes.map(|(at, mode)| Offer::new(mode.unwrap_or_default(), &[], move || draw(at)));
            chosen(kind, offers.collect(), names, "can be drawn is a mode")
        }
        PictureKind::Chain => only(kind, names, || of_chain(&Chain::of(analysis), &design)),
        PictureKind::Circuit => circuits(analysis, names, &design),
        PictureKind::Net => nets(analysis, names, &design),
        PictureKind::Loom => {
            let bench = Bench::of(analysis);
            let looms = bench.looms();
            let draw = |loom: &str| {
                bench.layout_of(loom).map_or_else(Vec::new, |layout| match scale {
                    Some(scale) => loom::sheets(&layout, &design, scale),
                    None => vec![loom::draw(&layout, &design)],
                })
            };
            let offers = looms.iter().map(|loom| Offer::new(loom, &[], move || draw(loom)));
            chosen(kind, offers.collect(), names, "is laid out is a loom")
        }
        PictureKind::Vehicle => only(kind, names, || vec![plan::draw(&Plan::of(analysis), &design)]),
    }
}

/// The sheets of a chain that is known already; none where the design has nothing of class B.
pub(crate) fn chained(analysis: &Analysis, chain: &Chain) -> Vec<Plate> {
    numbered(PictureKind::Chain, ("", &[]), of_chain(chain, &called(analysis)))
}

fn of_chain(chain: &Chain, design: &str) -> Vec<Drawing> {
    if chain.is_empty() { Vec::new() } else { chain::draw(chain, design) }
}

/// The sheets of the only picture of its kind; none where the design has nothing of it.
fn only(kind: PictureKind, names: &[String], draw: impl FnOnce() -> Vec<Drawing>) -> Result<Vec<Plate>, String> {
    match names.first() {
        Some(name) => Err(format!("`{name}`: a design has one picture of this kind, which has no name; leave the name out")),
        None => Ok(numbered(kind, ("", &[]), draw())),
    }
}

/// The sheets of one thing; from the second on they have a number.
fn numbered(kind: PictureKind, (name, also): (&str, &[String]), sheets: Vec<Drawing>) -> Vec<Plate> {
    let count = sheets.len();
    let named = |at: usize| match (at, name) {
        (0, "") if count > 1 => "1".to_owned(),
        (0, _) => name.to_owned(),
        (_, "") => (at + 1).to_string(),
        _ => format!("{name}-{}", at + 1),
    };
    let sheets = sheets.into_iter().enumerate();
    sheets.map(|(at, drawing)| Plate { kind, name: named(at), also: also.to_vec(), drawing }).collect()
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

/// Those of `offers` that are asked for, drawn: by their whole name or the end of it behind a full stop.
fn chosen(kind: PictureKind, offers: Vec<Offer<'_>>, names: &[String], what: &str) -> Result<Vec<Plate>, String> {
    let is_called = |offer: &Offer<'_>, name: &String| {
        let end = format!(".{name}");
        offer.also.iter().chain([&offer.name]).any(|whole| whole == name || whole.ends_with(&end))
    };
    if let Some(unknown) = names.iter().find(|name| !offers.iter().any(|offer| is_called(offer, name))) {
        let known: Vec<&str> = offers.iter().map(|offer| offer.name.as_str()).collect();
        let there = if known.is_empty() {
            format!("nothing {what}")
        } else {
            format!("what {what}: {}", crate::phrase::quoted(&known).join(", "))
        };
        return Err(format!("`{unknown}`: {there}"));
    }
    let asked = offers.iter().filter(|offer| names.is_empty() || names.iter().any(|name| is_called(offer, name)));
    Ok(asked.flat_map(|offer| numbered(kind, (&offer.name, &offer.also), (offer.draw)())).collect())
}

/// The loads of a design, in the order written.
fn loads(analysis: &Analysis) -> Vec<Thing> {
    let elements = analysis.model().elements();
    let mut loads: Vec<_> = elements.filter(|(_, element)| matches!(element.kind, ElementKind::Load { .. })).collect();
    loads.sort_by_key(|(_, element)| element.span);
    loads.into_iter().map(|(id, _)| Thing::Element(id)).collect()
}

/// The names of the loads that take most in any mode, and how many more there are: each has a circuit. Of those that take the same the first written.
#[must_use]
pub fn largest_loads(analysis: &Analysis, most: usize) -> (Vec<String>, usize) {
    let mut amps: BTreeMap<Thing, Ampere> = BTreeMap::new();
    for (id, edge) in analysis.network().edges() {
        let Some(element) = edge.element() else { continue };
        let taken = analysis.electrical().modes().map(|mode| mode.amps(id).abs()).fold(Ampere::ZERO, Ampere::max);
        let known = amps.entry(Thing::Element(element)).or_insert(taken);
        *known = known.max(taken);
    }
    let mut loads = loads(analysis);
    let taken = |thing: &Thing| amps.get(thing).copied().unwrap_or_default();
    loads.sort_by(|a, b| taken(b).get().total_cmp(&taken(a).get()));
    let names = loads.iter().take(most).map(|thing| thing.name(analysis.model())).collect();
    (names, loads.len().saturating_sub(most))
}

/// The things that are called so, each one thing.
fn called_things(analysis: &Analysis, names: &[String]) -> Result<Vec<Thing>, String> {
    let known = Names::new(analysis.model());
    let thing = |name: &String| match known.find(name) {
        Found::One(thing) => Ok(thing),
        Found::Several { names, more } => Err(format!("`{name}`: {}", crate::phrase::several(&names, more))),
        Found::Nothing(near) => Err(format!("`{name}`: {}", crate::phrase::nothing(&near))),
    };
    names.iter().map(thing).collect()
}

/// What the current of a thing runs through: of those that were named, else of all loads.
fn circuits(analysis: &Analysis, names: &[String], design: &str) -> Result<Vec<Plate>, String> {
    let model = analysis.model();
    let things: Vec<Thing> = if names.is_empty() { loads(analysis) } else { called_things(analysis, names)? };
    let plate = |thing: Thing| {
        let none = || format!("`{}`: a current runs through wires, elements and points; name one of them", thing.name(model));
        let function = Function::of(analysis, thing, None).ok_or_else(none)?;
        let drawing = function::draw(design, &function);
        Ok(Plate::new(PictureKind::Circuit, function.name, drawing))
    };
    things.into_iter().map(plate).collect()
}

/// Nets: those at which something is that was named, each once; else all that have a wire.
fn nets(analysis: &Analysis, names: &[String], design: &str) -> Result<Vec<Plate>, String> {
    let points = match names {
        [] => Net::with_wires(analysis),
        _ => net::points(analysis, &called_things(analysis, names)?)?,
    };
    let drawn = points.into_iter().filter_map(|point| Net::of(analysis, point, None));
    Ok(drawn.flat_map(|one: Net| numbered(PictureKind::Net, (&one.name, &[]), net::draw(&one, design))).collect())
}

/// Time-current pictures: one for each fuse, or one for all that were named.
fn curves(analysis: &Analysis, names: &[String], design: &str) -> Result<Vec<Plate>, String> {
    let kind = PictureKind::Curves;
    if names.is_empty() {
        let model = analysis.model();
        let fuses = model.elements().map(|(id, _)| id).filter_map(|id| TimeCurrent::of(analysis, id).ok());
        return Ok(fuses.map(|fuse| Plate::new(kind, fuse.name.as_str(), time_current::draw(&fuse, design))).collect());
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
    Ok(vec![Plate::new(kind, name, time_current::several(&curves, &pairs, design))])
}
