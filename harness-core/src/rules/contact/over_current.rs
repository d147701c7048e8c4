//! No mated contact carries more than it is rated for beside its loaded neighbours.

use super::cavities::Cavities;
use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    model::{End, EndId, Mate, ModeId, PointId},
    network::EdgeKind,
    quantity::Ampere,
    rules::{Check, RulePage, mating::pair::Half},
    standards::{capacity::counts_from, contact::loaded_factor},
    text::{Name, Span},
};

pub(super) static RULE: Check = Check {
    rule: RulePage {
        name: "contact/over-current",
        level: Level::Error,
        since: "0.1.0",
        finds: "a contact that carries more current than it is rated for",
        docs: r#"
## What it checks
The current of each mated contact in every mode against its rating: the least of what both housings and both terminals say.
A rating holds for one loaded contact; where two or more contacts of a connector carry over 30 % of theirs, 80 % of it is
allowed. Equal values pass.
## Why it matters
A contact is the smallest cross-section of a circuit. Above its rating it heats, its spring softens, its resistance rises
and it heats more, until the housing melts.
## Example
```yaml
format: 1
design: Cider press
domains:
  aux: { nominal: 12 V, max: 15 V, reference: floating }
zones: { shed: { ambient: 40 degC } }
parts:
  housings:
    QL-2F: { family: QL, positions: 2, contacts: socket, current: 13 A, voltage: 60 V }
    QL-2M: { family: QL, positions: 2, contacts: pin, current: 13 A, voltage: 60 V }
  conductors: { thin: { standard: ISO 6722-1, rated: 105 degC, voltage: 60 V, wall: thin } }
  fuses: { blade-20: { standard: ISO 8820-3, rating: 20 A } }
devices:
  aux-battery:
    zone: shed
    ports:
      POS: { stud: M8, signal: battery plus, role: supply, domain: aux }
      NEG: { stud: M8, signal: battery minus, role: return, domain: aux }
    nodes: [CELL]
    inside:
      cells: { source: 12.6 V, resistance: 20 mohm, positive: CELL, negative: NEG }
      F1: { fuse: blade-20, from: CELL, to: POS }
  press-motor:
    zone: shed
    ports:
      J1:
        housing: QL-2M
        pins:
          1: { signal: battery plus, role: supply, domain: aux }
          2: { signal: battery minus, role: return, domain: aux }
    inside:
      motor: { load: 12 A, from: J1.1, to: J1.2 }
looms:
  press:
    wire: thin
    zone: shed
    ends:
      P1: { housing: QL-2F, mates: press-motor.J1 }
      R1: { ring: M8, bolts-to: aux-battery.POS }
      R2: { ring: M8, bolts-to: aux-battery.NEG }
    wires:
      1: { from: R1, to: P1.1, size: 4 mm2, colour: RD, length: 800 mm }
      2: { from: R2, to: P1.2, size: 4 mm2, colour: BK, length: 800 mm }
```
## Remedy
```yaml
format: 1
design: Cider press
domains:
  aux: { nominal: 12 V, max: 15 V, reference: floating }
zones: { shed: { ambient: 40 degC } }
parts:
  housings:
    TR-2F: { family: TR, positions: 2, contacts: socket, current: 25 A, voltage: 60 V }
    TR-2M: { family: TR, positions: 2, contacts: pin, current: 25 A, voltage: 60 V }
  conductors: { thin: { standard: ISO 6722-1, rated: 105 degC, voltage: 60 V, wall: thin } }
  fuses: { blade-20: { standard: ISO 8820-3, rating: 20 A } }
devices:
  aux-battery:
    zone: shed
    ports:
      POS: { stud: M8, signal: battery plus, role: supply, domain: aux }
      NEG: { stud: M8, signal: battery minus, role: return, domain: aux }
    nodes: [CELL]
    inside:
      cells: { source: 12.6 V, resistance: 20 mohm, positive: CELL, negative: NEG }
      F1: { fuse: blade-20, from: CELL, to: POS }
  press-motor:
    zone: shed
    ports:
      J1:
        housing: TR-2M
        pins:
          1: { signal: battery plus, role: supply, domain: aux }
          2: { signal: battery minus, role: return, domain: aux }
    inside:
      motor: { load: 12 A, from: J1.1, to: J1.2 }
looms:
  press:
    wire: thin
    zone: shed
    ends:
      P1: { housing: TR-2F, mates: press-motor.J1 }
      R1: { ring: M8, bolts-to: aux-battery.POS }
      R2: { ring: M8, bolts-to: aux-battery.NEG }
    wires:
      1: { from: R1, to: P1.1, size: 4 mm2, colour: RD, length: 800 mm }
      2: { from: R2, to: P1.2, size: 4 mm2, colour: BK, length: 800 mm }
```
## What it cannot see
Short peaks such as the stall of a motor, and the part's own derating curve over the ambient temperature.
## Source
ISO/IEC 60512-5-2: 0.8 of the base curve with all contacts loaded (seen in datasheets of three connectors). From which
current a neighbour counts as loaded: BS 7671:2008 appendix 4, regulation 523.5, written for cables; for contacts common
practice, no source.
"#,
    },
    run: check,
};

/// Current below which a contact without a rating carries nothing.
const NOTHING: f64 = 1e-6;
/// Share of a limit by which a computed current may miss it and still count as equal.
const EQUAL: f64 = 1e-6;

/// What a contact is rated for, and what says so.
#[derive(Debug, Clone, Copy)]
struct Rating {
    amps: Ampere,
    place: Span,
    holder: Name,
    /// Where the end names the terminal that sets the limit; `None` if a housing or the partner's terminal does.
    chosen: Option<Span>,
}

/// A mated contact with its worst mode.
#[derive(Debug, Clone, Copy)]
struct Contact {
    end: EndId,
    cavity: PointId,
    edge: crate::network::EdgeId,
    rating: Option<Rating>,
    worst: Worst,
}

#[derive(Debug, Clone, Copy, Default)]
struct Worst {
    /// Current over what is allowed.
    share: f64,
    amps: Ampere,
    allowed: Ampere,
    loaded: u32,
    mode: Option<ModeId>,
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let mut contacts = contacts(analysis);
    for mode in analysis.electrical().modes() {
        let amps = |contact: &Contact| {
            analysis.network().edge(contact.edge).map_or(0.0, |edge| mode.working_amps(contact.edge, edge).get().abs())
        };
        let mut loaded = vec![0_u32; analysis.model().ends().len()];
        for contact in &contacts {
            // The share is taken over from the rule for cables.
            let counts_from = contact.rating.map_or(NOTHING, |rating| counts_from().value * rating.amps.get());
            if amps(contact) > counts_from
                && let Some(count) = loaded.get_mut(contact.end.index())
            {
                *count += 1;
            }
        }
        for contact in &mut contacts {
            let Some(rating) = contact.rating.filter(|rating| rating.amps.get() > 0.0) else { continue };
            let loaded = loaded.get(contact.end.index()).copied().unwrap_or(0);
            let allowed = rating.amps.get() * if loaded > 1 { loaded_factor().value.get() } else { 1.0 };
            let share = amps(contact) / allowed;
            if share > contact.worst.share {
                let (amps, allowed) = (Ampere::new(amps(contact)), Ampere::new(allowed));
                contact.worst = Worst { share, amps, allowed, loaded, mode: Some(mode.id) };
            }
        }
    }
    contacts.retain(|contact| contact.worst.share > 1.0 + EQUAL);
    // The edges of one end follow each other, so its contacts do too.
    contacts.chunk_by(|a, b| a.end == b.end).filter_map(|contacts| finding(analysis, contacts)).collect()
}

/// Every mated contact, those of one end side by side.
fn contacts(analysis: &Analysis) -> Vec<Contact> {
    let model = analysis.model();
    let cavities = Cavities::new(model);
    let edges = analysis.network().edges().filter_map(|(edge, joined)| {
        let EdgeKind::Contact(end) = joined.kind else { return None };
        let item = model.end(end)?;
        let halves = [Some(Mate::End(end)), item.mate].map(|side| side.and_then(|side| Half::of(model, side)));
        let housings = halves.into_iter().flatten().filter_map(|half| {
            let current = half.housing.current?;
            Some(Rating { amps: current.value, place: current.span, holder: half.housing.name, chosen: None })
        });
        let terminals = [(joined.a, true), (joined.b, false)].into_iter().filter_map(|(cavity, own)| {
            let (_, terminal, named) = cavities.terminal(cavity)?;
            let current = terminal.current?;
            Some(Rating { amps: current.value, place: current.span, holder: terminal.name, chosen: own.then_some(named) })
        });
        let rating = housings.chain(terminals).reduce(|least, next| if next.amps < least.amps { next } else { least });
        Some(Contact { end, cavity: joined.a, edge, rating, worst: Worst::default() })
    });
    edges.collect()
}

/// One finding for the overloaded contacts of an end, led by the worst.
fn finding(analysis: &Analysis, contacts: &[Contact]) -> Option<Finding> {
    let model = analysis.model();
    let mut worst = contacts.first()?;
    for contact in contacts {
        if contact.worst.share > worst.worst.share {
            worst = contact;
        }
    }
    let Worst { amps, allowed, loaded, mode, .. } = worst.worst;
    let (rating, end): (Rating, &End) = (worst.rating?, model.end(worst.end)?);
    let excess = Ampere::new(amps.get() - allowed.get());
    let name = model.point_name(worst.cavity);
    let others = match contacts.len() - 1 {
        0 => String::new(),
        1 => "; 1 more contact of the connector is overloaded".to_owned(),
        more => format!("; {more} more contacts of the connector are overloaded"),
    };
    let holder = model.text(rating.holder);
    let mut finding = RULE
        .finding(
            rating.chosen.unwrap_or(end.housing_span),
            format!("contact `{name}` carries {amps}, {excess} above its limit of {allowed}{others}"),
        )
        .label(format!("carries {amps} in its worst contact"))
        .context(rating.place, format!("`{holder}` is rated {} with one contact loaded", rating.amps))
        .concerns(&name);
    for contact in contacts {
        for (_, edge, _) in analysis.network().around(contact.cavity) {
            let Some((id, wire)) = edge.wire().and_then(|id| Some((id, model.wire(id)?))) else { continue };
            let place = if wire.from == Some(contact.cavity) { wire.from_span } else { wire.to_span };
            let cavity = model.text(model.point(contact.cavity)?.label);
            let text = format!("cavity `{cavity}`, wire `{}`: {} in the contact", model.wire_name(id), contact.worst.amps);
            finding = finding.context(place, text);
        }
        if contact.cavity != worst.cavity {
            finding = finding.concerns(model.point_name(contact.cavity));
        }
    }
    finding = finding.figure("current", amps).figure("rating", format!("{}; `{holder}`", rating.amps));
    if loaded > 1 {
        finding = finding.figure("factor", format!("with {loaded} contacts loaded {}", loaded_factor()));
    }
    if let Some(mode) = mode {
        finding = finding.figure("mode", model.mode_name(mode));
    }
    let factor = loaded_factor().value.get();
    let needed = (amps.get() / (rating.amps.get() * factor)).ceil().max(2.0);
    // Rounded up to a tenth, so that the rating that is printed does carry the current.
    let better = Ampere::new((amps.get() / if loaded > 1 { factor } else { 1.0 } * 10.0).ceil() / 10.0);
    Some(finding.help(format!(
        "share the {amps} between {needed} contacts, or use housings and terminals rated {better} or more a contact"
    )))
}
