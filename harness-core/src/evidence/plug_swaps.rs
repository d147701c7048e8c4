//! What follows from a plug in another one's place, in words: what meets where, which current flows, which fuse opens, what burns if none does.

use crate::{
    electrical::faults::StrikingModes,
    facts::{
        Facts,
        swaps::{Between, Code, Cure, Effect, Grade, Kind, Pair, PlugId, Pole, Proof, Recoded, Spot, Verdict, Way, plug_name},
    },
    finding::{Remedy, RemedyKind},
    model::{ElementId, Housing, Mate, Model, PointId},
    quantity::{Ampere, Second, Volt},
    text::{Name, Span},
    wording::{agree, count, list, list_of_first, quoted},
};

/// A short between two positions that meet by a swap, in the mode in which it lasts longest.
#[derive(Debug, Clone, PartialEq)]
pub struct SwapShort {
    /// The current.
    pub amps: Ampere,
    /// The fuse that opens first, with the latest time at which it does.
    pub fuse: Option<(ElementId, Second)>,
    /// Whether fuses end it.
    pub ends: bool,
    /// The thinnest conductor that carries it where no fuse ends it.
    pub burns: Option<String>,
}

/// What a swap does, with its figures.
#[derive(Debug, Clone, PartialEq)]
pub struct Consequence {
    /// One clause: what meets what, and what follows.
    pub words: String,
    /// The voltages that the clause names.
    pub volts: Vec<Volt>,
    /// How much it matters, with what the current of a short says about it.
    pub grade: Grade,
    /// The short, where it is one and a mode has the source on.
    pub short: Option<SwapShort>,
    /// The two points that meet; that of the half that is moved first.
    pub points: Option<(PointId, PointId)>,
}

/// The word of an effect, for programs.
#[must_use]
pub fn effect_word(effect: Effect) -> &'static str {
    match effect {
        Effect::Same => "same",
        Effect::Swapped => "swapped",
        Effect::Unconnected => "unconnected",
        Effect::TooLow => "voltage too low",
        Effect::AlwaysOn => "input always on",
        Effect::HeldDown => "held down",
        Effect::TurnedOn => "always on",
        Effect::PulledDown => "supply pulled down",
        Effect::FeedsJoined => "feeds joined",
        Effect::Backwards => "backwards",
        Effect::Unknown => "unknown",
        Effect::Outputs => "outputs against each other",
        Effect::OutputShorted => "output shorted",
        Effect::SupplyOnLine => "supply on a signal line",
        Effect::Reversed => "reversed polarity",
        Effect::SupplyOnReturn => "supply on a return pin",
        Effect::TooHigh => "voltage too high",
        Effect::Taps => "cell taps",
        Effect::Sources => "sources of different voltage",
        Effect::LiveCase => "live case",
        Effect::Short { .. } => "short",
        Effect::Classes => "class B meets class A",
    }
}

/// How a plug goes in the wrong way, in words.
#[must_use]
pub fn way_words(way: Way) -> &'static str {
    match way {
        Way::HalfTurn => "turned by half a turn",
        Way::NextRow => "shifted to the next row",
        Way::RowBefore => "shifted to the row before",
    }
}

/// What a connector is called, with what it mates: `` `front.P1` (on `lamp.J1`) ``.
#[must_use]
pub fn plug_words(facts: &Facts, id: PlugId) -> String {
    let (model, plug) = (facts.model(), facts.swaps().plug(id));
    let own = plug_name(model, plug);
    let other = plug.halves().map(|half| model.mate_name(half.at)).find(|name| *name != own);
    other.map_or_else(|| quoted(&own), |other| format!("{} (on {})", quoted(&own), quoted(other)))
}

/// The shorts that are still computed; what all in a mode have in common is made once.
#[derive(Debug)]
pub struct Shorts<'f> {
    modes: StrikingModes<'f>,
    left: usize,
}

impl<'f> Shorts<'f> {
    /// So many at most.
    #[must_use]
    pub fn new(facts: &'f Facts, most: usize) -> Self {
        Self { modes: StrikingModes::new(facts.electrical()), left: most }
    }

    /// That between two points, if one more is computed.
    fn next(&mut self, facts: &Facts, points: (PointId, PointId)) -> Option<SwapShort> {
        self.left = self.left.checked_sub(1)?;
        short(facts, &self.modes, points)
    }
}

/// What a verdict means; the current of a short is computed if `shorts` allows for one more.
#[must_use]
pub fn consequence(facts: &Facts, verdict: &Verdict, shorts: &mut Shorts<'_>) -> Consequence {
    let swaps = facts.swaps();
    let met = swaps.met(verdict);
    let points = met.map(|(own, other)| (own.point, other.point));
    let Some((own, other)) = met else {
        return Consequence { words: String::new(), volts: Vec::new(), grade: verdict.grade, short: None, points };
    };
    let (Some(kind), Some(its)) = (swaps.kind(own.kind), swaps.kind(other.kind)) else {
        return Consequence { words: String::new(), volts: Vec::new(), grade: verdict.grade, short: None, points };
    };
    let is_plus = kind.pole == Some(Pole::Plus);
    let short = match verdict.effect {
        Effect::Short { .. } => shorts.next(facts, if is_plus { (own.point, other.point) } else { (other.point, own.point) }),
        _ => None,
    };
    let place = |spot: &Spot, kind: &Kind| place(facts, spot, kind);
    let (one, two) = (place(&own, kind), place(&other, its));
    // Whoever drives comes first.
    let is_first = is_plus || !kind.drives.is_empty() && its.pole != Some(Pole::Plus);
    let (giver, taker) = if is_first { (&one, &two) } else { (&two, &one) };
    let words = match verdict.effect {
        Effect::Classes => {
            let is_b = kind.domain().is_some_and(|domain| facts.model()[domain].is_class_b());
            let (high, low) = if is_b { (&one, &two) } else { (&two, &one) };
            format!("class B at {high} meets {low}")
        }
        Effect::Short { .. } => format!("the supply at {giver} meets the return at {taker}"),
        Effect::Sources => format!("two sources of different voltage meet: {one} and {two}"),
        Effect::LiveCase => format!("the supply at {giver} makes the case at {taker} live"),
        Effect::TooHigh => format!("the supply at {giver} is more than {taker} is made for"),
        Effect::TooLow => format!("the supply at {giver} is less than {taker} is made for"),
        Effect::Taps => format!("cell tap at {one} meets the pin of another tap, {two}"),
        Effect::SupplyOnReturn => {
            format!("the supply at {giver} meets the return pin {taker}: a short, or a box connected backwards")
        }
        Effect::Reversed => format!("supply and return are swapped at {two}: what it feeds is connected backwards and minds it"),
        Effect::Backwards => format!("supply and return are swapped at {two}: what it feeds works either way"),
        Effect::SupplyOnLine => format!("the supply at {giver} meets the signal line {taker}"),
        Effect::OutputShorted => format!("the output at {one} and {two} drive against each other or into a short"),
        Effect::Outputs => format!("the outputs at {one} and {two} drive against each other"),
        Effect::PulledDown => format!("the return at {taker} pulls down the supply at {giver}, which limits itself"),
        Effect::FeedsJoined => format!("two feeds meet at {one} and {two}: each bypasses the fuse of the other"),
        Effect::AlwaysOn => format!("the supply at {giver} holds the input {taker} on"),
        Effect::HeldDown => format!("{one} meets {two}: the signal is dead"),
        Effect::TurnedOn => {
            let (ground, switched) = if kind.pole == Some(Pole::Minus) { (&one, &two) } else { (&two, &one) };
            format!("the return at {ground} keeps on what {switched} switches")
        }
        Effect::Unconnected => format!("{one} meets {two}: one of the two has no wire"),
        Effect::Swapped => format!("{one} meets {two}"),
        Effect::Same => "the same things meet".to_owned(),
        Effect::Unknown => format!("{one} meets {two}, and the design does not say what that does"),
    };
    let joined = match verdict.between {
        Between::Both => None,
        Between::Moved => swaps.plug(verdict.insertion.pin).pin.as_ref(),
        Between::Other => swaps.plug(verdict.insertion.socket).socket.as_ref(),
    };
    let words = match joined {
        Some(half) => format!("{words}, joined through {}", quoted(facts.model().mate_name(half.at))),
        None => words,
    };
    // A short that no fuse ends is a danger, whatever fuse is on its way.
    let is_endless = short.as_ref().is_some_and(|short| !short.ends) && matches!(verdict.effect, Effect::Short { .. });
    let grade = if is_endless { Grade::Danger } else { verdict.grade };
    let named = [kind, its].into_iter().filter_map(|kind| volts(facts.model(), kind)).map(|(volts, _)| volts);
    let volts = named.filter(|volts| words.contains(&volts.to_string())).collect();
    Consequence { words, volts, grade, short, points }
}

/// `` `front.P1.1` (`pump feed`, 12 V) ``
fn place(facts: &Facts, spot: &Spot, kind: &Kind) -> String {
    let model = facts.model();
    let name = quoted(model.point_name(spot.point));
    let mut about = Vec::new();
    if let Some(signal) = signal(facts, spot) {
        about.push(quoted(model.text(signal)));
    }
    if let Some((volts, kind)) = volts(model, kind) {
        about.push(format!("{volts} {kind}"));
    }
    if about.is_empty() { name } else { format!("{name} ({})", about.join(", ")) }
}

/// The voltage of a position: what its source gives or the design gives to it, else that of its domain.
fn volts(model: &Model, kind: &Kind) -> Option<(Volt, &'static str)> {
    let domain = kind.domain().map(|domain| &model[domain]);
    let volts = kind.volts().or(domain.map(|domain| domain.nominal))?;
    Some((volts, if domain.is_some_and(|domain| domain.ac) { "AC" } else { "DC" }))
}

/// What a position is for: the signal of its own pin, of the pin that it meets in the design, of the nearest pin on its conductors.
fn signal(facts: &Facts, spot: &Spot) -> Option<Name> {
    let model = facts.model();
    let of = |point: PointId| model[model[point].pin?].signal.map(|signal| signal.value);
    let nearest = || {
        let wanted = spot.signal?;
        let pin = facts.pins().of(spot.net).iter().find(|pin| pin.signal == Some(wanted))?;
        model[pin.pin].signal.map(|signal| signal.value)
    };
    of(spot.point).or_else(|| of(facts.wire_ends().opposite(model, spot.point)?)).or_else(nearest)
}

/// How a short ends: `fuse `box.F4` opens within 0.2 s`.
#[must_use]
pub fn ended(model: &Model, short: &SwapShort) -> String {
    match short {
        SwapShort { ends: true, fuse: Some((fuse, time)), .. } => {
            format!("fuse `{}` opens within {time}", model.element_name(*fuse))
        }
        SwapShort { ends: true, .. } => "it ends by itself".to_owned(),
        SwapShort { burns: Some(burns), .. } => format!("no fuse opens; `{burns}` is the thinnest conductor that carries it"),
        SwapShort { .. } => "no fuse opens".to_owned(),
    }
}

/// The short between a plus and a minus, of all modes that in which it lasts longest; `None` where nothing flows in any.
fn short(facts: &Facts, modes: &StrikingModes<'_>, (plus, minus): (PointId, PointId)) -> Option<SwapShort> {
    let model = facts.model();
    let strikes = modes.all().filter_map(|mode| mode.strike((plus, Some(minus))));
    let found = strikes.filter_map(|(strike, _)| {
        let first = strike.stages().first()?;
        let time: f64 = strike.stages().iter().map(|stage| stage.lasts().map_or(f64::INFINITY, Second::get)).sum();
        let last = strike.stages().last()?;
        let sizes = last.wires.iter().filter_map(|(wire, _)| Some((model[*wire].size?.value, *wire)));
        let thinnest = sizes.reduce(|thin, next| if next.0 < thin.0 { next } else { thin });
        let burns = thinnest.filter(|_| !strike.ends()).map(|(_, wire)| model.wire_name(wire));
        let fuse = first.opens.map(|(fuse, opens)| (fuse, opens.time));
        Some((time, SwapShort { amps: first.amps, fuse, ends: strike.ends(), burns }))
    });
    found.reduce(|worst, next| if next.0 > worst.0 { next } else { worst }).map(|(_, short)| short)
}

/// Changes of keys that are named in one sentence.
const MOST_CHANGES: usize = 8;

/// What to change so that the worst pairs of some plugs no longer fit, in words.
#[must_use]
pub fn cure_words(facts: &Facts, cure: &Cure, plugs: &[PlugId]) -> String {
    let (model, swaps) = (facts.model(), facts.swaps());
    let of_these: Vec<&Recoded> = cure.changes.iter().filter(|change| plugs.contains(&change.plug)).collect();
    let key = |code: Code| match code {
        Code::Known(name) => format!("key `{}`", model.text(name)),
        Code::More(number) => format!("new key {}", number + 1),
    };
    let each: Vec<String> = of_these
        .iter()
        .map(|change| format!("{} to {}", quoted(plug_name(model, swaps.plug(change.plug))), key(change.key)))
        .collect();
    let fewest = match cure.proof {
        Proof::Fewest => "fewer changes do not suffice".to_owned(),
        Proof::NoFewer(least) => format!("at least {least} are needed for the family"),
    };
    let letters: Vec<String> = cure.letters.iter().map(|letter| quoted(model.text(*letter))).collect();
    let more = match (cure.letters_more, letters.as_slice()) {
        (0, _) => String::new(),
        (more, []) => format!("; housings of this family with {} are needed, or another family", count(more, "key")),
        (more, known) => {
            format!("; {} more than {} {} needed, or another family", count(more, "key"), list(known), agree(more, "is", "are"))
        }
    };
    format!("change both halves of {}; {fewest}{more}", list_of_first(&each, MOST_CHANGES, 0))
}

/// The keys of a cure as changes of the text: for each connector the housings of the design that differ in the key alone. `None` where there are
/// none for one of the halves.
#[must_use]
pub fn another_key(facts: &Facts, cure: &Cure, plugs: &[PlugId]) -> Option<Remedy> {
    let (model, swaps) = (facts.model(), facts.swaps());
    let mut words = Vec::new();
    let mut edits = Vec::new();
    for change in cure.changes.iter().filter(|change| plugs.contains(&change.plug)) {
        let Code::Known(key) = change.key else { return None };
        let plug = swaps.plug(change.plug);
        for half in plug.halves() {
            let other = alike(model, &model[half.housing], key)?;
            let span = match half.at {
                Mate::End(end) => model[end].housing_span,
                Mate::Port(port) => model[port].housing_span,
            };
            edits.push((span, model.text(other.name).to_owned()));
        }
        words.push(format!("{} to key `{}`", quoted(plug_name(model, plug)), model.text(key)));
    }
    let remedy = Remedy::new(RemedyKind::Mating, format!("change both halves of {}", list(&words)));
    Some(edits.into_iter().fold(remedy, |remedy, (span, text)| remedy.edit(span, text)))
}

/// The housing that differs from another one in its key alone.
fn alike<'m>(model: &'m Model, housing: &Housing, key: Name) -> Option<&'m Housing> {
    let facts = |housing: &Housing| {
        let contacts = housing.contacts.map(|contacts| contacts.value);
        let family = housing.family.map(|family| family.value);
        let takes = (
            housing.takes_size.map(|range| range.value),
            housing.takes_insulation.map(|range| range.value),
            housing.current.map(|current| current.value),
            housing.voltage.map(|voltage| voltage.value),
        );
        let kept = (housing.sealed.map(|sealed| sealed.value), housing.max_wires, housing.hv, housing.mixed);
        (family, contacts, housing.index.clone(), housing.interlock.clone(), takes, kept)
    };
    let own = facts(housing);
    model.housings().map(|(_, other)| other).find(|other| other.key.is_some_and(|its| its.value == key) && facts(other) == own)
}

/// Which connectors of a pair are taken to reach the other's place for want of a zone, in words, and what says it; `None` where the design says that
/// they do.
#[must_use]
pub fn taken_near(facts: &Facts, pair: &Pair) -> Option<(String, String)> {
    let (model, swaps) = (facts.model(), facts.swaps());
    let names: Vec<String> = swaps.taken_near(pair).iter().map(|id| quoted(plug_name(model, swaps.plug(*id)))).collect();
    if names.is_empty() {
        return None;
    }
    let assumed = format!("that the two reach each other: {} {} no `zone`", list(&names), agree(names.len(), "has", "have"));
    let help = format!(
        "if they can't reach each other, write the `zone` of {}, or where each plug hangs (`at`) and its `reach`",
        list(&names)
    );
    Some((assumed, help))
}

/// Where the housing of the half in hand is named.
#[must_use]
pub fn half_in_hand(facts: &Facts, plug: PlugId) -> Span {
    let model = facts.model();
    facts.swaps().plug(plug).own().map_or_else(Span::default, |half| match half.at {
        Mate::End(end) => model[end].housing_span,
        Mate::Port(port) => model[port].housing_span,
    })
}

/// The housing of the half in hand, with its key: `` `QL-2F`, key `A` ``.
#[must_use]
pub fn housing_words(facts: &Facts, plug: PlugId) -> String {
    let model = facts.model();
    let Some(half) = facts.swaps().plug(plug).own() else { return String::new() };
    let key = half.key.map_or("no key".to_owned(), |key| format!("key `{}`", model.text(key)));
    format!("{}, {key}", quoted(model.text(model[half.housing].name)))
}
