//! Below the circuits: interlock loops, coils, and when contacts are shut.

use super::look::WIDEST;
use crate::{
    phrase::counted,
    render::pictures::words::{holder, quantity, short},
};
use harness_core::views::{
    PieceKind,
    chain::{Chain, ClosingAct, Coil, CoilEnd, Loop, LoopStop, Opens, Order},
};
use harness_draw::{Anchor, LineKind, Point, Sheet, Symbol, Text, Turn, broken};

/// The width that loops and tables may take.
const WIDE: f64 = 1012.0;
const LEADING: f64 = 16.0;

/// What the picture shows, in a sentence.
pub(super) fn about(chain: &Chain) -> String {
    let circuits = counted(chain.circuits.len(), "circuit");
    let loops = counted(chain.loops.len(), "interlock loop");
    let coils = counted(chain.coils.len(), "coil");
    let left = match chain.left_out.len() {
        0 => "nothing of class B is left out".to_owned(),
        count => format!("{} of class B not drawn, listed at the foot", counted(count, "thing")),
    };
    format!("{circuits} of voltage class B, {loops}, {coils} of its contacts; {left}")
}

/// In which state contacts are drawn.
pub(super) fn at_rest(chain: &Chain) -> String {
    let names = |keep: fn(PieceKind) -> bool| -> Vec<&str> {
        chain.closing.contacts.iter().filter(|contact| keep(contact.kind)).map(|contact| contact.name.as_str()).collect()
    };
    let open = names(|kind| matches!(kind, PieceKind::MakeContact | PieceKind::Switch | PieceKind::Selector));
    let shut = names(|kind| kind == PieceKind::BreakContact);
    let disconnects = names(|kind| kind == PieceKind::Disconnect);
    let said = |names: &[&str], state: &str| (!names.is_empty()).then(|| format!("{state} {}", names.join(", ")));
    let parts: Vec<String> = [said(&open, "open"), said(&shut, "shut"), said(&disconnects, "in")].into_iter().flatten().collect();
    if parts.is_empty() {
        return "Drawn at rest. No contact and no disconnect is in class B.".to_owned();
    }
    format!("Drawn at rest: {}. Plugs are mated, lids shut.", parts.join("; "))
}

/// Draws all of it below `top`; gives where it ends.
pub(super) fn draw(sheet: &mut Sheet, chain: &Chain, top: f64) -> f64 {
    sheet.line(LineKind::Rule, &[Point::new(0.0, top), Point::new(WIDE, top)], None);
    let mut y = heading(sheet, top + 24.0, "interlock loops", "");
    if chain.loops.is_empty() {
        y = line(sheet, y, 0.0, "The design has no interlock loop.");
    }
    for one in &chain.loops {
        y = draw_loop(sheet, one, y + 8.0);
    }
    y = heading(sheet, y + 30.0, "coils of contacts of class B", "what is between source and coil, from the source on");
    if chain.coils.is_empty() {
        y = line(sheet, y, 0.0, "No contact of class B has a coil that is drawn.");
    }
    for coil in &chain.coils {
        y = draw_coil(sheet, coil, y);
    }
    for order in &chain.closing.orders {
        y = draw_order(sheet, order, y + 30.0);
    }
    table(sheet, chain, y + 30.0)
}

fn heading(sheet: &mut Sheet, y: f64, name: &str, more: &str) -> f64 {
    let text = Text::bold(name).within(WIDE);
    let beside = text.width() + 10.0;
    sheet.text(Point::new(0.0, y), Anchor::Start, text, None);
    sheet.text(Point::new(beside, y), Anchor::Start, Text::small(more), None);
    y + 8.0
}

/// A sentence in as many lines as it needs.
fn line(sheet: &mut Sheet, mut y: f64, x: f64, words: &str) -> f64 {
    for piece in broken(&harness_draw::printable(words), 12.0, false, WIDE - x) {
        y += LEADING;
        sheet.text(Point::new(x, y), Anchor::Start, Text::small(piece), None);
    }
    y
}

/// A stop of a loop with what it takes of the line.
fn stop_lines(stop: &LoopStop) -> [Text; 2] {
    let name = Text::small(&stop.name).strong().within(WIDEST);
    let below = match &stop.of {
        Some(of) => of.as_str(),
        None if stop.is_bridge => "bridge",
        None => "switch",
    };
    [name, Text::small(below).within(WIDEST)]
}

fn draw_loop(sheet: &mut Sheet, one: &Loop, top: f64) -> f64 {
    let kind = LineKind::ClassA;
    let end =
        |names: &[String]| Text::small(if names.is_empty() { "closed ring".to_owned() } else { names.join(", ") }).within(200.0);
    let (first, last) = (end(&one.from.at), end(&one.to.at));
    let begin = first.width().max(40.0) + 12.0;
    let mut x = begin;
    let mut y = top + 34.0;
    sheet.text(Point::new(begin - 8.0, y + 4.0), Anchor::End, first, None);
    sheet.symbol(Symbol::Stud, Point::new(x, y), Turn::None, kind, None);
    let mut from = x + 3.0;
    for stop in &one.stops {
        let [name, below] = stop_lines(stop);
        let half = (name.width().max(below.width()) / 2.0 + 8.0).max(22.0);
        if x + 2.0 * half + 30.0 > WIDE {
            // Goes on in the next line, at the left.
            sheet.line(
                kind,
                &[
                    Point::new(from, y),
                    Point::new(x + 8.0, y),
                    Point::new(x + 8.0, y + 24.0),
                    Point::new(begin - 20.0, y + 24.0),
                    Point::new(begin - 20.0, y + 56.0),
                    Point::new(begin, y + 56.0),
                ],
                None,
            );
            y += 56.0;
            x = begin;
            from = begin;
        }
        let at = Point::new((x + half).round(), y);
        let symbol = if stop.is_bridge { Symbol::Link } else { Symbol::Switch };
        let thing = Some(sheet.thing(stop.name.clone(), format!("{}, {}", stop.name, below.words())));
        let [enters, leaves] = symbol.ends(at, Turn::None);
        sheet.line(kind, &[Point::new(from, y), enters], thing);
        sheet.symbol(symbol, at, Turn::None, kind, thing);
        sheet.text(at.by(0.0, -14.0), Anchor::Middle, name, thing);
        sheet.text(at.by(0.0, 17.0), Anchor::Middle, below, thing);
        from = leaves.x;
        x = at.x + half;
    }
    let end = Point::new((x + 6.0).max(from + 6.0), y);
    sheet.line(kind, &[Point::new(from, y), end], None);
    sheet.symbol(Symbol::Stud, end.by(3.0, 0.0), Turn::None, kind, None);
    let wide = last.width();
    let fits = end.x + 12.0 + wide <= WIDE;
    if fits {
        sheet.text(end.by(11.0, 4.0), Anchor::Start, last, None);
    } else {
        sheet.text(Point::new(WIDE, y + 34.0), Anchor::End, last, None);
        y += 18.0;
    }
    y += 20.0;
    for words in effects(one) {
        y = line(sheet, y, begin, &words);
    }
    y + 6.0
}

/// What opening a loop does, in sentences.
pub(crate) fn effects(one: &Loop) -> Vec<String> {
    let mut said: Vec<String> = one.opens.iter().map(effect).collect();
    if said.is_empty() {
        let unknown = "What opening it does was not found: it is not closed, or no contactor of class B is shut in any mode that was computed.";
        said.push(unknown.to_owned());
    }
    let past: Vec<&str> = one.stops.iter().filter(|stop| stop.is_bypassed).map(|stop| stop.name.as_str()).collect();
    if !past.is_empty() {
        let past = past.join(", ");
        said.push(format!("Does not open the loop, because something leads past it or feeds the loop behind it: {past}."));
    }
    said
}

/// What opening a loop does, by modes with the same answer.
fn effect(opens: &Opens) -> String {
    let mut parts: Vec<String> = Vec::new();
    if !opens.drops.is_empty() {
        parts.push(format!(
            "{} {} by the circuit",
            opens.drops.join(", "),
            if opens.drops.len() == 1 { "opens" } else { "open" }
        ));
    }
    match (&opens.program, opens.stay.is_empty()) {
        (Some(device), _) => parts.push(format!("{device} sees it and must open {} by its program", opens.stay.join(", "))),
        (None, false) => parts.push(format!("{} stay shut", opens.stay.join(", "))),
        (None, true) => {}
    }
    format!(
        "Opened in {} {}: {}.",
        if opens.modes.len() == 1 { "mode" } else { "modes" },
        opens.modes.join(", "),
        parts.join("; ")
    )
}

/// What is on one side of a coil.
fn side(end: &CoilEnd, from_source: bool) -> String {
    let mut words = end.way.clone();
    words.push(end.to.clone().unwrap_or_else(|| "nothing that is drawn".to_owned()));
    if from_source {
        words.reverse();
    }
    words.join(" – ")
}

/// The width of what is said of one side of a coil.
const SIDE: f64 = 420.0;

fn draw_coil(sheet: &mut Sheet, coil: &Coil, top: f64) -> f64 {
    let y = top + 34.0;
    let middle = WIDE / 2.0;
    let kind = LineKind::ClassA;
    let thing = Some(sheet.thing(coil.name.clone(), format!("coil of {}", coil.name)));
    let at = Point::new(middle, y);
    let [enters, leaves] = Symbol::Coil.ends(at, Turn::None);
    sheet.line(kind, &[Point::new(middle - 50.0, y), enters], thing);
    sheet.line(kind, &[leaves, Point::new(middle + 50.0, y)], thing);
    sheet.symbol(Symbol::Coil, at, Turn::None, kind, thing);
    let sides = [(side(&coil.plus, true), middle - 56.0, Anchor::End), (side(&coil.minus, false), middle + 56.0, Anchor::Start)];
    let mut end = y + 14.0;
    for (words, x, anchor) in sides {
        let mut below = y + 4.0;
        for piece in broken(&harness_draw::printable(&words), 12.0, false, SIDE) {
            sheet.text(Point::new(x, below), anchor, Text::small(piece), thing);
            end = end.max(below + 4.0);
            below += LEADING;
        }
    }
    let own = short(&coil.name, holder(&coil.name));
    let others = coil.contacts.iter().any(|name| *name != coil.name);
    let name = if others { format!("{own}: {}", coil.contacts.join(", ")) } else { coil.name.clone() };
    sheet.text(Point::new(middle, y - 17.0), Anchor::Middle, Text::small(name).strong().within(WIDE - 60.0), thing);
    end
}

fn draw_order(sheet: &mut Sheet, order: &Order, top: f64) -> f64 {
    let [charges, then] = &order.modes;
    let modes = if charges == then { format!("mode {charges}") } else { format!("modes {charges}, then {then}") };
    let about = format!("{} charged through {}, {modes}", order.of.join(", "), order.through);
    let mut y = heading(sheet, top, "order of closing", &about);
    for (number, step) in order.steps.iter().enumerate() {
        let words = match &step.act {
            ClosingAct::Shut(names) => format!("{} shut", names.join(", ")),
            ClosingAct::Open(names) => format!("{} open", names.join(", ")),
            ClosingAct::Wait { takes, given } => {
                let takes = takes.map_or_else(|| "never there".to_owned(), |time| format!("there after {}", quantity(time)));
                let given = given.map_or_else(|| "no time given".to_owned(), |time| format!("{} given", quantity(time)));
                format!("wait for the voltage: {takes}, {given}")
            }
        };
        y += LEADING;
        let volts = match step.act {
            ClosingAct::Wait { .. } => format!("at least {}", quantity(step.volts)),
            ClosingAct::Shut(_) | ClosingAct::Open(_) => quantity(step.volts),
        };
        sheet.text(Point::new(0.0, y), Anchor::Start, Text::small(format!("{}. {words}", number + 1)).within(700.0), None);
        sheet.text(Point::new(860.0, y), Anchor::End, Text::small(volts), None);
    }
    y
}

/// Which contacts are shut in which mode.
fn table(sheet: &mut Sheet, chain: &Chain, top: f64) -> f64 {
    let closing = &chain.closing;
    if closing.contacts.is_empty() || closing.modes.is_empty() {
        return top - 20.0;
    }
    let mut y = heading(sheet, top, "contacts by mode", "shut in the modes that are named");
    for contact in &closing.contacts {
        let modes: Vec<&str> =
            closing.modes.iter().zip(&contact.shut).filter(|(_, shut)| **shut).map(|(mode, _)| mode.as_str()).collect();
        let words = if modes.is_empty() { "in none".to_owned() } else { modes.join(", ") };
        sheet.text(Point::new(0.0, y + LEADING), Anchor::Start, Text::small(&contact.name).strong().within(280.0), None);
        y = line(sheet, y, 300.0, &words);
    }
    y
}
