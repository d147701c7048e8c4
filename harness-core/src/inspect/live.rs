//! What is live in each mode: of the contacts that can be touched, inside the boxes, and left over in capacitors; and what opening one thing does.

use super::{Found, Names, Thing};
use crate::{
    analysis::Analysis,
    electrical::what_if::Change,
    facts::{
        Facts,
        charged_parts::Charged,
        live_parts::LivePair,
        loops::{DropsBy, is_contactor},
        openings::{Opened, Opening},
    },
    model::{ElementId, ElementKind, Mate, ModeId},
    network::EdgeId,
    quantity::{Farad, Second, Volt},
    text::Span,
};

/// What is asked for beside the modes themselves.
#[derive(Debug, Default)]
pub struct LiveQuery {
    /// Names of connectors, elements and wires that are opened at once.
    pub open: Vec<String>,
    /// Names of contacts that are welded.
    pub welded: Vec<String>,
    /// Names of disconnects that were left in.
    pub half_out: Vec<String>,
}

/// What is live.
#[derive(Debug)]
pub struct Live {
    /// The modes, in the order written.
    pub modes: Vec<LiveMode>,
    /// What was altered, in words.
    pub altered: Vec<String>,
    /// What was taken for granted, in words.
    pub assumed: Vec<String>,
    /// What is not known.
    pub unknown: Vec<String>,
}

/// What is live in one mode.
#[derive(Debug)]
pub struct LiveMode {
    /// Its name.
    pub name: String,
    /// The design says that nothing live can be touched in it.
    pub is_touch_safe: bool,
    /// Contacts that can be touched as it is; with `open` those that can be touched then.
    pub standing: Vec<LiveContact>,
    /// Connectors and covers that expose something live when they are opened by themselves; none with `open`.
    pub steps: Vec<LiveUnmated>,
    /// How many connectors and covers were tried.
    pub tried: usize,
    /// What is live inside the boxes.
    pub inside: Vec<LiveContact>,
    /// Capacitors that are cut off while they are charged.
    pub charged: Vec<ChargedPart>,
    /// What was opened, with its effect.
    pub effect: Option<OpenEffect>,
}

/// A connector or cover that exposes something live.
#[derive(Debug)]
pub struct LiveUnmated {
    /// What is opened.
    pub opened: String,
    /// What has been done to it: `unmated`, `off`.
    pub done: &'static str,
    /// The contacts.
    pub contacts: Vec<LiveContact>,
    /// The capacitors whose voltage can be touched then.
    pub charged: Vec<ChargedPart>,
}

/// A live contact.
#[derive(Debug)]
pub struct LiveContact {
    /// The contact.
    pub contact: String,
    /// Against which other one; `None` for the chassis.
    pub against: Option<String>,
    /// The voltage between them.
    pub volts: Volt,
    /// The limit that it is above.
    pub limit: Volt,
    /// Alternating voltage.
    pub is_ac: bool,
    /// The source.
    pub source: Option<String>,
    /// The way from the source's pole to the contact.
    pub path: Vec<String>,
    /// Where it is written.
    pub span: Span,
}

/// A charged capacitor.
#[derive(Debug)]
pub struct ChargedPart {
    /// The capacitor.
    pub capacitor: String,
    /// The voltage that it has at most.
    pub volts: Volt,
    /// The mode in which it gets that.
    pub from_mode: String,
    /// Its capacitance with those in parallel.
    pub farad: Farad,
    /// It is emptied by a means of its own.
    pub by_own_means: bool,
    /// The resistors that empty it.
    pub through: Vec<String>,
    /// The time until it is below 60 V; `None` for never.
    pub time: Option<Second>,
    /// The two contacts at which it can be touched.
    pub touched: Option<[String; 2]>,
    /// Where it is written.
    pub span: Span,
}

/// What opening something does.
#[derive(Debug)]
pub struct OpenEffect {
    /// Further interlock bridges that are no longer in a closed loop.
    pub loop_opened: Vec<String>,
    /// The design has an interlock loop.
    pub has_loop: bool,
    /// Contactors of class B that let go, as computed.
    pub dropped: Vec<String>,
    /// Contactors of class B that stay closed.
    pub stay: Vec<String>,
    /// The device that sees the loop open and has to let the others go by its program.
    pub controller: Option<String>,
    /// Contacts that can still be touched live once it has let them go.
    pub once_let_go: Vec<LiveContact>,
}

/// What is live in the modes named, in all if none is.
///
/// Cost: some solutions of the network for each mode.
///
/// # Errors
/// In words, if a name leads to nothing, to several things, or to one that can't be opened, welded or left in.
pub fn live(analysis: &Analysis, modes: &[String], query: &LiveQuery) -> Result<Live, String> {
    let facts = analysis.facts();
    let model = analysis.model();
    let names = Names::new(model);
    let cover = |name: &String| {
        let covers = facts.unmatings().iter().filter(|opened| match opened.what {
            Opening::Cover(cover) => model.cover_name(cover) == *name || model.text(model[cover].name) == name,
            Opening::Connector(_) | Opening::Element(_) | Opening::Wire(_) => false,
        });
        let covers: Vec<&Opened> = covers.collect();
        match covers.as_slice() {
            [only] => Some((*only).clone()),
            _ => None,
        }
    };
    let mut altered = Vec::new();
    let mut changes: Vec<Change> = Vec::new();
    for name in &query.welded {
        let element = element_of(&names, name)?;
        let element = element
            .filter(|element| is_contact(facts, *element))
            .ok_or_else(|| format!("`{name}` has no contact that can weld"))?;
        changes.extend(facts.opened_element(element).edges.into_iter().map(Change::Closed));
        altered.push(format!("`{}` is welded closed", model.element_name(element)));
    }
    for name in &query.half_out {
        let element = element_of(&names, name)?;
        let element = element
            .filter(|element| is_disconnect(facts, *element))
            .ok_or_else(|| format!("`{name}` is not a service disconnect"))?;
        changes.extend(facts.opened_element(element).edges.into_iter().map(Change::Closed));
        altered.push(format!("`{}` is still in", model.element_name(element)));
    }
    let mut opened: Option<Opened> = None;
    for name in &query.open {
        let one = cover(name).map_or_else(|| opening_of(facts, &names, name), Ok)?;
        altered.push(format!("`{}` is {}", one.what.name(facts), one.what.done()));
        opened = Some(match opened {
            Some(mut all) => {
                all.edges.extend(one.edges);
                all.exposed.extend(one.exposed);
                all
            }
            None => one,
        });
    }
    let states = facts.electrical().modes_as_written();
    let asked = states.into_iter().filter(|state| modes.is_empty() || modes.iter().any(|name| name == model.mode_name(state.id)));
    let modes = asked.filter_map(|state| mode(facts, state.id, opened.as_ref(), &changes)).collect();
    Ok(Live { modes, altered, assumed: assumed(facts), unknown: Vec::new() })
}

fn mode(facts: &Facts, id: ModeId, opened: Option<&Opened>, changes: &[Change]) -> Option<LiveMode> {
    let model = facts.model();
    let mut all: Vec<Change> = changes.to_vec();
    all.extend(opened.iter().flat_map(|opened| opened.changes()));
    let before = facts.electrical().in_mode(id)?;
    let altered = if all.is_empty() { None } else { facts.electrical().altered(id, &all) };
    let state = altered.as_ref().unwrap_or(before);
    let (standing, steps, tried) = match opened {
        Some(_) => (facts.live_step(id, opened, changes), Vec::new(), 0),
        None => {
            let steps = facts.live_steps(id, changes);
            (steps.standing, steps.unsafe_steps, steps.tried)
        }
    };
    let standing = standing?;
    let steps = steps.into_iter().filter_map(|step| {
        Some(LiveUnmated {
            opened: step.opened?.name(facts),
            done: step.opened?.done(),
            contacts: step.pairs.iter().map(|pair| contact(facts, pair)).collect(),
            charged: step.charged.iter().filter(|charged| charged.touched.is_some()).map(|one| charged(facts, one)).collect(),
        })
    });
    Some(LiveMode {
        name: model.mode_name(id).to_owned(),
        is_touch_safe: model[id].touch_safe,
        standing: standing.pairs.iter().map(|pair| contact(facts, pair)).collect(),
        steps: steps.collect(),
        tried,
        inside: facts.live_inside(state).iter().map(|pair| contact(facts, pair)).collect(),
        charged: standing.charged.iter().map(|one| charged(facts, one)).collect(),
        effect: opened.map(|opened| effect(facts, id, opened, changes)),
    })
}

fn effect(facts: &Facts, id: ModeId, opened: &Opened, changes: &[Change]) -> OpenEffect {
    let (model, network, electrical) = (facts.model(), facts.network(), facts.electrical());
    let none = || OpenEffect {
        loop_opened: Vec::new(),
        has_loop: false,
        dropped: Vec::new(),
        stay: Vec::new(),
        controller: None,
        once_let_go: Vec::new(),
    };
    let mut all: Vec<Change> = changes.to_vec();
    let first = if changes.is_empty() { None } else { electrical.altered(id, changes) };
    all.extend(opened.changes());
    let (Some(before), Some(after)) = (first.as_ref().or_else(|| electrical.in_mode(id)), electrical.altered(id, &all)) else {
        return none();
    };
    let contactors: Vec<EdgeId> = network
        .edges()
        .filter(|(edge, at)| at.role.is_relay_contact() && is_contactor(facts, at) && before.conducts(*edge))
        .map(|(edge, _)| edge)
        .collect();
    let (stay, dropped): (Vec<EdgeId>, Vec<EdgeId>) = contactors.into_iter().partition(|edge| after.conducts(*edge));
    let names = |edges: &[EdgeId]| {
        edges.iter().filter_map(|edge| Some(model.element_name(network[*edge].element()?))).collect::<Vec<_>>()
    };
    let bridges = &facts.loops().bridges;
    let mut lost: Vec<String> =
        facts.loops_opened(before, &after, &opened.edges).iter().map(|bridge| model.element_name(*bridge)).collect();
    // The one bridge of a loop may be what was opened.
    lost.extend(
        opened
            .edges
            .iter()
            .filter(|edge| bridges.contains(edge))
            .filter_map(|edge| Some(model.element_name(network[*edge].element()?))),
    );
    let controller = facts.loops().effects.iter().find_map(|effect| match effect.by {
        DropsBy::Controller(device) if effect.mode == id && !lost.is_empty() && !stay.is_empty() => {
            Some(model.device_name(device).to_owned())
        }
        DropsBy::Controller(_) | DropsBy::Circuit { .. } | DropsBy::Nothing => None,
    });
    let once_let_go = if controller.is_some() {
        let mut let_go = changes.to_vec();
        let_go.extend(stay.iter().map(|edge| Change::Open(*edge)));
        facts.live_step(id, Some(opened), &let_go).iter().flat_map(|step| &step.pairs).map(|pair| contact(facts, pair)).collect()
    } else {
        Vec::new()
    };
    OpenEffect {
        loop_opened: lost,
        has_loop: !bridges.is_empty(),
        dropped: names(&dropped),
        stay: names(&stay),
        controller,
        once_let_go,
    }
}

fn contact(facts: &Facts, pair: &LivePair) -> LiveContact {
    let (model, network) = (facts.model(), facts.network());
    LiveContact {
        contact: model.point_name(pair.contact),
        against: pair.other.map(|other| model.point_name(other)),
        volts: pair.volts,
        limit: pair.limit(),
        is_ac: pair.is_ac,
        source: pair.from.as_ref().map(|(source, ..)| model.element_name(*source)),
        path: pair.from.as_ref().map_or_else(Vec::new, |(_, start, steps)| network.names(*start, steps)),
        span: model[pair.contact].span,
    }
}

fn charged(facts: &Facts, charged: &Charged) -> ChargedPart {
    let model = facts.model();
    ChargedPart {
        capacitor: model.element_name(charged.capacitor),
        volts: charged.volts,
        from_mode: model.mode_name(charged.mode).to_owned(),
        farad: charged.farad,
        by_own_means: charged.by_own_means,
        through: charged.through.iter().map(|resistor| model.element_name(*resistor)).collect(),
        time: charged.time,
        touched: charged.touched.map(|points| points.map(|point| model.point_name(point))),
        span: model[charged.capacitor].span,
    }
}

fn is_contact(facts: &Facts, element: ElementId) -> bool {
    match &facts.model()[element].kind {
        ElementKind::Switch { .. } | ElementKind::Relay { .. } => true,
        ElementKind::Source { .. } | ElementKind::Load { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) => false,
        ElementKind::Diode(_) | ElementKind::Fuse { .. } | ElementKind::Disconnect { .. } | ElementKind::Link { .. } => false,
        ElementKind::Converter { .. } | ElementKind::Interlock { .. } => false,
    }
}

fn is_disconnect(facts: &Facts, element: ElementId) -> bool {
    match &facts.model()[element].kind {
        ElementKind::Disconnect { .. } => true,
        ElementKind::Source { .. } | ElementKind::Load { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) => false,
        ElementKind::Diode(_) | ElementKind::Fuse { .. } | ElementKind::Switch { .. } | ElementKind::Relay { .. } => false,
        ElementKind::Link { .. } | ElementKind::Converter { .. } | ElementKind::Interlock { .. } => false,
    }
}

/// The thing of a name.
fn thing_of(names: &Names<'_>, name: &str) -> Result<Thing, String> {
    match names.find(name) {
        Found::One(thing) => Ok(thing),
        Found::Several { names, more } => {
            let more = if more > 0 { format!(" and {more} more") } else { String::new() };
            Err(format!("`{name}` is not a single thing; write one of `{}`{more}", names.join("`, `")))
        }
        Found::Nothing(near) if near.is_empty() => Err(format!("nothing is named `{name}`")),
        Found::Nothing(near) => Err(format!("nothing is named `{name}`; did you mean `{}`?", near.join("` or `"))),
    }
}

fn element_of(names: &Names<'_>, name: &str) -> Result<Option<ElementId>, String> {
    Ok(match thing_of(names, name)? {
        Thing::Element(element) => Some(element),
        Thing::Wire(_) | Thing::Point(_) | Thing::Cable(_) | Thing::Pair(_) => None,
    })
}

/// What is opened by a name.
fn opening_of(facts: &Facts, names: &Names<'_>, name: &str) -> Result<Opened, String> {
    match thing_of(names, name)? {
        Thing::Element(element) => Ok(facts.opened_element(element)),
        Thing::Wire(wire) => Ok(facts.opened_wire(wire)),
        Thing::Pair(end) => {
            let is_it = |opened: &&Opened| {
                let own = match opened.what {
                    Opening::Connector(own) => own,
                    Opening::Cover(_) | Opening::Element(_) | Opening::Wire(_) => return false,
                };
                own == end || facts.model()[own].mate == Some(Mate::End(end))
            };
            facts.unmatings().iter().find(is_it).cloned().ok_or_else(|| format!("`{name}` mates nothing"))
        }
        Thing::Point(_) | Thing::Cable(_) => Err(format!("`{name}` can't be opened; name a connector, an element or a wire")),
    }
}

/// What was taken for granted.
fn assumed(facts: &Facts) -> Vec<String> {
    let mut assumed = vec![
        "the insulation of what is floating is sound: it counts between its own contacts, and against the chassis only where the drawing joins \
         it or its domain has the chassis or earth as reference"
            .to_owned(),
        "each capacitor had the highest voltage that any mode gives it".to_owned(),
    ];
    if facts.touchable().iter().any(|one| one.is_assumed) {
        assumed.push(
            "studs, screws, tabs and connectors without a mate can be touched where nothing says how they are reached (`access`)"
                .to_owned(),
        );
    }
    if facts.unmatings().iter().any(|opened| opened.is_class_b) {
        assumed.push("connectors and covers open without a tool where nothing says otherwise (`access`)".to_owned());
    }
    assumed
}
