//! One block for each thing: where it is written, its nets, the way of its current, what flows by mode, limits, findings. Exploring leads here.

use super::{
    LARGE, Page, Section, devices, faults, findings,
    link::{Kind, kind, plain},
    list::{Cell, Column, List, Row},
    margin::Least,
    pictures,
    ways::{Direction, Way, Ways},
};
use crate::{
    phrase::counted,
    render::{kit::figures::times, trace::text as words},
};
use harness_core::{
    inspect::{
        Against, ConductorLoad, ListedFuse, ModeRow, Names, Thing, Trace, Tracer,
        single_faults::{FaultKind, InState},
    },
    internals::threads,
};
use maud::{Markup, html};
use std::collections::BTreeMap;

/// A conductor with a margin below this has all said of it in sentences.
const NEAR: f64 = 1.2;

/// What a trace calls a thing that takes current.
const LOAD: &str = "load";

/// Conductors beside one that are named: those that warm it most.
const BESIDE: usize = 5;

/// Names of a list that a block shows: the net, the table of the loom has all.
const SOME: usize = 60;

const OTHERS: [Column; 3] = [Column::words("name"), Column::words("what"), Column::words("line")];

/// The groups of things, in reading order, each with what most of its things are.
const GROUPS: [(Kind, &str, &str); 5] = [
    (Kind::Fuse, "Fuses", "fuse"),
    (Kind::Element, "Sources, loads and what switches them", "load"),
    (Kind::Wire, "Wires and cores", "wire"),
    (Kind::Cable, "Cables", "cable"),
    (Kind::Splice, "Splices", "splice"),
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
    // So many that each is a line have no trace on the page.
    let few = |kind: Kind| of(kind).iter().copied().filter(move |_| of(kind).len() <= LARGE);
    let mut all = traced(&page.tracer, GROUPS.into_iter().flat_map(|(kind, ..)| few(kind)).collect()).into_iter();
    let traces: Vec<Vec<Trace>> = GROUPS.iter().map(|(kind, ..)| all.by_ref().take(few(*kind).count()).collect()).collect();
    let all = traces.iter().flatten();
    let ways = all.flat_map(|trace| {
        let way = move |(direction, names)| Way { of: &trace.name, direction, names, is_whole: trace.kind == LOAD };
        written_ways(page, trace).map(way)
    });
    let ways = Ways::of(&page.links, ways);
    let body = html! {
        p { "Each thing with all that is known of it. A click on a name anywhere leads here. The way of a load is written whole; what goes with it names the load. What figures rest on is named by its number among the " a href="#sources" { "sources" } "." }
        @for ((kind, heading, word), traces) in GROUPS.into_iter().zip(&traces) {
            @let of_kind = of(kind);
            @if !of_kind.is_empty() {
                div.group data-group data-of=(word) {
                    h3 { (heading) " (" (of_kind.len()) ")" }
                    @if of_kind.len() <= LARGE {
                        @for trace in traces { (block(page, &ways, trace, (kind, word))) }
                    } @else if kind == Kind::Wire {
                        p { "So many that each is one line, among the " a href="#conductors" { "conductors" } "; " code { "harness trace FILE NAME" } " has all that is known of one." }
                        @let others = without_load(page, of_kind);
                        @if !others.is_empty() { p { (others.len()) " of them have no load:" } (lines(page, &others, kind).markup(&page.links)) }
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

/// What is known of each thing, half of them beside the others.
fn traced(tracer: &Tracer<'_>, things: Vec<Thing>) -> Vec<Trace> {
    let (first, second) = things.split_at(things.len() / 2);
    let of = |half: &[Thing]| half.iter().map(|thing| tracer.trace(*thing)).collect::<Vec<Trace>>();
    let (mut all, rest) = threads::both(|| of(first), || of(second));
    all.extend(rest);
    all
}

/// A block; `word` is what most of its group are, which is said of the others alone.
fn block(page: &Page<'_>, ways: &Ways, trace: &Trace, (kind, word): (Kind, &str)) -> Markup {
    let links = &page.links;
    let own = links.define(kind, &trace.name);
    let row = page.review.checked.row(trace.span);
    html! {
        article id=(own) data-k=[(trace.kind != word).then_some(trace.kind)] {
            h4 { (plain(&trace.name)) @if trace.kind != word || kind == Kind::Element { " " small { (trace.kind) } } }
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
            (way(page, ways, trace))
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

/// The ways that the block of a thing has: of a conductor that leads to a load that from the source, of a return that back, as the block of the load
/// has both.
fn written_ways<'t>(page: &Page<'_>, trace: &'t Trace) -> impl Iterator<Item = (Direction, &'t [String])> + use<'t> {
    let row = page.conductors.get(trace.name.as_str());
    let (is_conductor, is_return) = (row.is_some(), row.is_some_and(|row| row.is_return && trace.way.back.is_some()));
    let feed = trace.way.feed.as_deref().filter(|_| !is_return).map(|names| (Direction::Feed, names));
    let back = trace.way.back.as_deref().filter(|_| !is_conductor || is_return).map(|names| (Direction::Back, names));
    feed.into_iter().chain(back)
}

/// Its nets and the way of its current.
fn way(page: &Page<'_>, ways: &Ways, trace: &Trace) -> Markup {
    let links = &page.links;
    html! {
        @if !trace.nets.is_empty() {
            p {
                @for (at, net) in trace.nets.iter().enumerate() {
                    (if at == 0 { "Net of " } else { ", of " })
                    @match net.points.first() {
                        Some(first) if net.wires.is_empty() => (plain(first)),
                        Some(first) => (links.of_kind(Kind::Net, first)),
                        None => "no point",
                    }
                    @match &net.domain { Some(domain) => { " (" (plain(domain)) ")" } None => " (no domain)" }
                    @if trace.kind == "splice" && net.points.len() <= SOME { ": " (links.names(&net.wires)) }
                }
            }
        }
        @for (direction, names) in written_ways(page, trace) {
            p {
                @match direction {
                    Direction::Feed => {
                        b { "From the source" }
                        @match &trace.way.mode { Some(mode) => { " in " (plain(mode)) } None => " (no current flows; what is joined)" }
                        ": "
                    }
                    Direction::Back => b { "Back to it: " }
                }
                (ways.markup(links, &trace.name, names, direction))
            }
        }
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

/// Volts across something below which nothing is said of them.
const NO_DROP: f64 = 0.0005;

/// What flows in a mode, in words that begin with the current.
fn flows(row: &ModeRow) -> String {
    let mut said = row.amps.to_string();
    let volts = if row.volts.get().abs() < NO_VOLTS { "0 V".to_owned() } else { row.volts.to_string().replace('-', "\u{2212}") };
    said += &format!("{AMPS_END}{volts}");
    if let Some(across) = row.across.filter(|across| across.get() >= NO_DROP) {
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
            p { "Fuse before it: " @for (at, fuse) in trace.fuses.iter().enumerate() {
                @if at > 0 { ", " } (links.name(&fuse.name)) @if let Some(rating) = fuse.rating { " (" (rating.to_string()) ")" }
            } }
        }
        @if !rows.is_empty() { dl { @for (name, value) in &rows { div { dt { (name) } dd { (links.brief(value, &trace.name)) } } } } }
        @if !sources.is_empty() { p.small { (page.sources.references(&sources)) "." } }
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

/// Wires that are not among the conductors, or all of them where those are a table.
fn without_load(page: &Page<'_>, wires: &[Thing]) -> Vec<Thing> {
    let model = page.review.analysis.model();
    let is_in_lines = |thing: &&Thing| page.conductors.len() > LARGE && page.conductors.contains_key(thing.name(model).as_str());
    wires.iter().filter(|thing| !is_in_lines(thing)).copied().collect()
}

fn lines(page: &Page<'_>, things: &[Thing], kind: Kind) -> List {
    let model = page.review.analysis.model();
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
