//! One block for each thing: where it is written, its nets, the way of its current, what flows by mode, limits, findings. Exploring leads here.

use super::{
    LARGE, Page, Section, devices, faults, findings,
    link::{Kind, kind, plain},
    list::{Cell, Column, List, Row},
    margin::Least,
    pictures,
};
use crate::{
    phrase::counted,
    render::{kit::figures::times, trace::text as words},
};
use harness_core::{
    inspect::{
        Against, ConductorLoad, ListedFuse, ListedWire, ModeRow, Names, Thing, Trace,
        single_faults::{FaultKind, InState},
    },
    quantity::Unit,
};
use maud::{Markup, html};
use std::collections::BTreeMap;

/// A conductor with a margin below this has all said of it in sentences.
const NEAR: f64 = 1.2;

/// Conductors beside one that are named: those that warm it most.
const BESIDE: usize = 5;

/// Names of a list that a block shows: the net, the table of the loom has all.
const SOME: usize = 60;

const WIRES: [Column; 9] = [
    Column::words("wire"),
    Column::figures("size", "mm²"),
    Column::words("colour"),
    Column::figures("length", "mm"),
    Column::words("from"),
    Column::words("to"),
    Column::words("signal"),
    Column::figures("load", "A"),
    Column::words("written"),
];
const OTHERS: [Column; 3] = [Column::words("name"), Column::words("what"), Column::words("written")];

/// The groups of things, in reading order.
const GROUPS: [(Kind, &str); 5] = [
    (Kind::Fuse, "Fuses"),
    (Kind::Element, "Sources, loads and what switches them"),
    (Kind::Wire, "Wires and cores"),
    (Kind::Cable, "Cables"),
    (Kind::Splice, "Splices"),
];

pub(super) fn section(page: &Page<'_>) -> Section {
    let model = page.review.analysis.model();
    let names = Names::new(model);
    let mut things: BTreeMap<Kind, Vec<Thing>> = BTreeMap::new();
    for (_, thing) in names.all() {
        things.entry(kind(thing, thing.kind(model))).or_default().push(thing);
    }
    for of_kind in things.values_mut() {
        of_kind.sort_unstable_by_key(|thing| (thing.span(model), *thing));
        of_kind.dedup();
    }
    let of = |kind: Kind| things.get(&kind).map(Vec::as_slice).unwrap_or_default();
    let body = html! {
        p { "Each thing with all that is known of it. A click on a name anywhere leads here." }
        @for (kind, heading) in GROUPS {
            @let of_kind = of(kind);
            @if !of_kind.is_empty() {
                div.group data-group {
                    h3 { (heading) " (" (of_kind.len()) ")" }
                    @if of_kind.len() <= LARGE {
                        @for thing in of_kind { (block(page, &page.tracer.trace(*thing), kind)) }
                    } @else {
                        p { "So many that each is one line here; " code { "harness trace FILE NAME" } " has all that is known of one." }
                        (lines(page, of_kind, kind).markup(&page.links))
                    }
                }
            }
        }
        (devices::group(page, of(Kind::Pin)))
    };
    Section { id: "things", title: "Everything by name", body }
}

fn block(page: &Page<'_>, trace: &Trace, kind: Kind) -> Markup {
    let links = &page.links;
    let own = links.define(kind, &trace.name);
    let row = page.review.checked.row(trace.span);
    html! {
        article id=(own) data-k=(trace.kind) {
            h4 { a href=(format!("#{own}")) { (plain(&trace.name)) } " " small { (trace.kind) } }
            p.s {
                @for (at, fact) in trace.facts.iter().enumerate() {
                    @if at > 0 { "; " }
                    (fact.name) " " (links.shown(&fact.value))
                    @if let Some(source) = fact.source { " (" (plain(&source.to_string())) ")" }
                }
                @if !trace.facts.is_empty() { "; " }
                (links.place(trace.span))
                @if let Some(row) = row { " (" (plain(&row.to_string())) ")" }
            }
            (way(page, trace))
            @if !trace.modes.is_empty() { (modes(&trace.modes)) }
            @if !trace.members.is_empty() {
                ul { @for member in &trace.members {
                    li { (links.name(&member.name)) ": " (super::people(&member.amps.to_string()))
                        @if let Some(mode) = &member.mode { " in " (links.of_kind(Kind::Mode, mode)) } ", joins " (links.shown(&member.joins)) }
                } }
            }
            (limits(page, trace))
            @if kind == Kind::Fuse { (behind(page, &trace.name)) }
            (pictures::of(page, &trace.name))
            @if !trace.concerns.is_empty() {
                ul { @for concern in &trace.concerns {
                    li { (findings::level(concern.level)) " " a href=(format!("#{}", super::link::id(Kind::Finding, &concern.fingerprint))) { (plain(&super::people(&concern.headline.replace('`', "")))) }
                        @if concern.waived { " (accepted)" } }
                } }
            }
            @for unknown in &trace.unknown { p { strong { "Not known: " } (links.shown(unknown)) } }
        }
    }
}

/// Its nets and the way of its current.
///
/// Of a conductor that leads to a load the way from the source, of a return the way back: the block of the load has both.
fn way(page: &Page<'_>, trace: &Trace) -> Markup {
    let links = &page.links;
    let row = page.conductors.get(trace.name.as_str()).copied();
    let (is_conductor, is_return) = (row.is_some(), row.is_some_and(|row| row.is_return && trace.way.back.is_some()));
    html! {
        @for net in &trace.nets {
            p.net { "Net of "
                @match net.points.first() {
                    Some(first) if net.wires.is_empty() => (plain(first)),
                    Some(first) => (links.of_kind(Kind::Net, first)),
                    None => "no point",
                }
                ": " @match &net.domain { Some(domain) => { "domain " (plain(domain)) } None => { "no domain" } }
                ", " (counted(net.points.len(), "point")) ", " (counted(net.wires.len(), "wire"))
                @if net.points.len() <= SOME && trace.kind == "splice" { ": " (links.names(&net.wires)) }
            }
        }
        @let mode = html! { @match &trace.way.mode { Some(mode) => { " in " (links.of_kind(Kind::Mode, mode)) } None => { " (no current flows; what is joined)" } } };
        @if let Some(feed) = trace.way.feed.as_ref().filter(|_| !is_return) { p.path { strong { "From the source" } (mode) ": " (links.way(feed)) } }
        @if let Some(back) = trace.way.back.as_ref().filter(|_| !is_conductor || is_return) { p.path { strong { "Back to it: " } (links.way(back)) } }
        @if trace.way.feed.is_none() && trace.way.back.is_none() && trace.members.is_empty() { p { "No source is connected to it." } }
    }
}

/// What flows in each mode; modes in which the same flows together.
fn modes(rows: &[ModeRow]) -> Markup {
    let mut groups: Vec<(String, Vec<&str>)> = Vec::new();
    for row in rows {
        let said = flows(row);
        match groups.iter_mut().find(|(known, _)| *known == said) {
            Some((_, modes)) => modes.push(&row.mode),
            None => groups.push((said, vec![&row.mode])),
        }
    }
    html! {
        ul.md { @for (said, modes) in &groups {
            @let (amps, rest) = said.split_at(said.find(AMPS_END).unwrap_or(said.len()));
            li { i { (plain(&modes.join(", "))) } " " b { (amps) } (rest) }
        } }
    }
}

/// What is behind the current.
const AMPS_END: &str = ", ";
/// Volts below which nothing is said of them: rounding, or a few millivolt along a ground.
const NO_VOLTS: f64 = 0.01;

/// What flows in a mode, in words that begin with the current.
fn flows(row: &ModeRow) -> String {
    let mut said = row.amps.to_string();
    let volts = if row.volts.get().abs() < NO_VOLTS { "0 V".to_owned() } else { row.volts.to_string().replace('-', "\u{2212}") };
    said += &format!("{AMPS_END}{volts}");
    if let Some(across) = row.across.filter(|across| across.get() > 0.0) {
        said += &format!(", {across} across");
    }
    if let Some(at) = row.temperature {
        said += &format!(", {}", super::people(&at.to_string()));
    }
    if let Some(short) = &row.short {
        said += &format!("; shorted {}, opens {}", short.amps, words::opens(short));
    }
    said += match row {
        ModeRow { settled: false, .. } => ", not solved",
        ModeRow { shorted: true, .. } => ", source shorted",
        ModeRow { live: false, .. } => ", not live",
        _ => "",
    };
    said
}

/// What it may carry, what protects it, how far its figures are from their limits.
fn limits(page: &Page<'_>, trace: &Trace) -> Markup {
    let links = &page.links;
    let of = |against: Against| trace.margins.iter().find(|margin| margin.against == against);
    let mut rows: Vec<(&str, String)> = Vec::new();
    rows.extend(trace.capacity.as_ref().map(|capacity| ("capacity", capacity.to_string())));
    if let Some(first) = trace.neighbours.first() {
        let shown = crate::phrase::fitting(trace.neighbours.len(), BESIDE);
        let mut beside: Vec<String> = trace.neighbours.iter().take(shown).map(words::neighbour).collect();
        let rest: f64 = trace.neighbours.iter().skip(shown).map(|other| other.adds.get()).sum();
        if trace.neighbours.len() > shown {
            beside.push(format!("{} more (+{rest:.1} K together)", trace.neighbours.len() - shown));
        }
        rows.push(("beside", format!("in mode `{}`: {}", first.mode, beside.join(", "))));
    }
    if let Some((thinnest, count)) = &trace.protects {
        let weakest = format!("`{}`, {}, may carry {}", thinnest.name, thinnest.size, thinnest.capacity);
        rows.push(("protects", format!("{}; the thinnest: {weakest}", counted(*count, "conductor"))));
    }
    if let Some(row) =
        page.conductors.get(trace.name.as_str()).filter(|_| trace.margins.iter().all(|margin| margin.ratio >= NEAR))
    {
        return in_figures(page, trace, row);
    }
    let margins = [Against::Load, Against::Rating, Against::Drop].into_iter().filter_map(of);
    rows.extend(margins.map(|margin| (margin.against.word(), words::words(margin))));
    rows.extend(trace.duty.as_ref().map(|duty| ("breaking", words::duty_words(duty, of(Against::Breaking)))));
    rows.extend(trace.short.as_ref().map(|short| ("short", words::short_words(short, of(Against::Short)))));
    rows.extend(trace.charges.iter().map(|charge| ("on charge", words::charge_words(charge))));
    rows.extend(trace.notes.iter().map(|note| ("note", note.clone())));
    let sources = words::sources(trace);
    let least = trace.margins.iter().reduce(|least, other| if other.ratio < least.ratio { other } else { least });
    html! {
        @if let Some(least) = Least::of(least) { p { "Least margin " b { (least.words()) } } }
        @if trace.kind != "fuse" && !trace.fuses.is_empty() {
            p.fused { "Fuse before it: " @for (at, fuse) in trace.fuses.iter().enumerate() {
                @if at > 0 { ", " } (links.name(&fuse.name)) @if let Some(rating) = fuse.rating { " (" (rating.to_string()) ")" }
            } }
        }
        @if !rows.is_empty() { dl { @for (name, value) in &rows { div { dt { (name) } dd { (links.brief(value, &trace.name)) } } } } }
        @if !sources.is_empty() { p.small { (page.sources.references(&sources)) } }
    }
}

/// The same of a conductor that is far from its limits, in one line: of one that is near to them every sentence counts.
fn in_figures(page: &Page<'_>, trace: &Trace, row: &ConductorLoad) -> Markup {
    let of = |against: Against| trace.margins.iter().find(|margin| margin.against == against).map(|margin| times(margin.ratio));
    let links = &page.links;
    let sources = words::sources(trace);
    html! {
        p {
            @if let Some(capacity) = &trace.capacity { (super::people(&capacity.to_string())) }
            @if let Some(load) = of(Against::Load) { "; load " (row.amps.to_string()) ": " b { (load) } " times within" }
            @for fuse in &trace.fuses {
                "; fuse " (links.name(&fuse.name)) @if let Some(rating) = fuse.rating { " (" (rating.to_string()) ")" }
            }
            @if let Some(rating) = of(Against::Rating) { ": " b { (rating) } }
            @if let Some(short) = &row.short {
                "; worst short " (short.amps.to_string())
                @match short.ends { Some(ends) => { " for " (ends.to_string()) } None => " without end" }
                ", " (super::people(&short.reached.to_string())) " of " (super::people(&short.limit.value.to_string()))
                @if let Some(margin) = of(Against::Short) { ": " b { (margin) } }
            }
            @if let Some(drop) = of(Against::Drop) { "; drop " b { (drop) } }
            "."
            @if let Some(first) = trace.neighbours.first() {
                " Warmed most by " (links.name(&first.name)) " (" (format!("+{:.1} K", first.adds.get())) ") of " (trace.neighbours.len()) "."
            }
            @for note in &trace.notes { " " (links.brief(&super::sentence(note), &trace.name)) "." }
            " " (page.sources.references(&sources)) "."
        }
    }
}

/// What follows by mode if a fuse blows or a plug is opened; the exploring reads it too.
pub(super) fn stops(page: &Page<'_>, what: &str, states: &[InState]) -> Markup {
    html! {
        p { strong { (what) } @if states.is_empty() { " nothing that is computed stops." } }
        @if !states.is_empty() {
            ul.stops { @for state in states {
                li data-m=(plain(&state.state)) { i { (plain(&state.state)) ": " } (page.links.shown(&faults::all(state).join("; "))) }
            } }
        }
    }
}

/// The conductors that go by a fuse.
fn behind(page: &Page<'_>, fuse: &str) -> Markup {
    let listed: Option<&ListedFuse> = page.review.lists.fuses.iter().find(|listed| listed.name == fuse);
    html! {
        @if let Some(listed) = listed {
            @if !listed.fitted { p { strong { "Not fitted: " } "an empty holder." } }
            @if listed.fitted {
                @let blown = page.review.faults.rows.iter().find(|row| row.kind == FaultKind::Blown && row.names.first().is_some_and(|name| name == fuse));
                @if let Some(blown) = blown { (stops(page, "If it blows:", &blown.states)) }
            }
            p.behind { strong { "Behind it: " } @if listed.protects.is_empty() { "no conductor" } (page.links.names(&listed.protects)) }
        }
    }
}

fn lines(page: &Page<'_>, things: &[Thing], kind: Kind) -> List {
    let model = page.review.analysis.model();
    if kind == Kind::Wire {
        return wires(page);
    }
    let row = |thing: &Thing| {
        let name = thing.name(model);
        Row {
            id: page.links.define(kind, &name),
            cells: vec![Cell::Name(name), Cell::text(thing.kind(model)), Cell::Place(thing.span(model))],
        }
    };
    List {
        kind: "thing",
        caption: "in the order written".to_owned(),
        columns: &OTHERS,
        rows: things.iter().map(row).collect(),
        identity: page.identity.clone(),
    }
}

fn wires(page: &Page<'_>) -> List {
    let loads: BTreeMap<&str, f64> = page.review.loads.conductors.iter().map(|row| (row.name.as_str(), row.amps.get())).collect();
    let row = |loom: &str, wire: &ListedWire| {
        let name = format!("{loom}.{}", wire.number);
        let end = |end: &harness_core::inspect::EndPlace| match end.position.as_str() {
            "" => Cell::text(end.item.clone()),
            position => Cell::text(format!("{}.{position}", end.item)),
        };
        Row {
            id: page.links.define(Kind::Wire, &name),
            cells: vec![
                Cell::Name(name.clone()),
                Cell::figure(wire.size.map(Unit::get)),
                Cell::text(wire.colour.clone()),
                Cell::figure(wire.length.map(|length| (length.get() * 1000.0).round())),
                end(&wire.from),
                end(&wire.to),
                Cell::text(wire.signal.clone()),
                Cell::figure(loads.get(name.as_str()).copied()),
                Cell::Place(wire.span),
            ],
        }
    };
    List {
        kind: "wire",
        caption: "wires and cores, loom by loom in the order written".to_owned(),
        columns: &WIRES,
        rows: page.review.lists.looms.iter().flat_map(|loom| loom.wires.iter().map(|wire| row(&loom.name, wire))).collect(),
        identity: page.identity.clone(),
    }
}
