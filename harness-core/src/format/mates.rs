//! Housing kinds that say what they mate with: what one half says of itself, the other need not repeat.
//!
//! Owns which facts of a housing follow from those of its partner, what is said where the two contradict each other, and which housing an
//! end has whose partner is known. It is done to the document, as if the facts were written at both halves.

use super::{
    collect::Findings,
    design::Design,
    looms::{End, Loom},
    parts::{Housing, Positions},
    reader::clip,
    rules,
    values::{Choice, Map},
};
use crate::{
    suggest::{Candidates, question},
    text::{Name, Names, Span, Text},
    vocabulary::{Contacts, FaceSide},
};
use rustc_hash::FxHashMap;

/// Gives each housing what follows from its partner, and each end without a housing the one that fits what it mates.
pub(super) fn derive(design: &mut Design, findings: &mut Findings, names: &Names) {
    let Some(parts) = &mut design.parts else { return };
    let halves: Vec<(usize, Text)> =
        parts.housings.iter().enumerate().filter_map(|(at, housing)| Some((at, housing.value.mates_with?))).collect();
    if halves.is_empty() {
        return;
    }
    let places: FxHashMap<Name, usize> = parts.housings.iter().enumerate().map(|(at, entry)| (entry.name.value, at)).collect();
    let mut partners = Partners::default();
    for (at, text) in halves {
        let Some(partner) = places.get(&text.value).copied() else {
            findings.push(unknown(&parts.housings, &text, names));
            // What it lacks may be what the partner has.
            if let Some(half) = parts.housings.0.get_mut(at) {
                half.value.is_faulty = true;
            }
            continue;
        };
        let Some(own) = parts.housings.0.get(at).map(|entry| entry.name.value) else { continue };
        partners.add(own, text.value);
        // What was given so far counts, whichever of the two is read first.
        let given = |at: usize| parts.housings.0.get(at).map(|entry| (entry.name.value, entry.value.clone()));
        let (Some((_, half)), Some((other_name, other))) = (given(at), given(partner)) else { continue };
        if at == partner {
            // A kind that mates with itself has both sorts of contacts.
            continue;
        }
        contradictions(&text, (own, &half), (other_name, &other), findings, names);
        let filled = [(at, &other), (partner, &half)];
        for (at, from) in filled {
            if let Some(entry) = parts.housings.0.get_mut(at) {
                fill(&mut entry.value, from);
            }
        }
        lacking(&parts.housings, [at, partner], &text, findings, names);
    }
    ends(design, &partners, names);
}

/// Which housings mate with which.
#[derive(Debug, Default)]
struct Partners(FxHashMap<Name, Vec<Name>>);

impl Partners {
    fn add(&mut self, one: Name, other: Name) {
        for (from, to) in [(one, other), (other, one)] {
            let known = self.0.entry(from).or_default();
            if !known.contains(&to) {
                known.push(to);
            }
        }
    }

    /// The one housing that mates with `housing`; `None` if there is none or several.
    fn of(&self, housing: Name) -> Option<Name> {
        match self.0.get(&housing)?.as_slice() {
            [one] => Some(*one),
            _ => None,
        }
    }
}

/// Takes over what follows from the partner: all by which the two are known to fit, and what holds for each pair of contacts.
fn fill(housing: &mut Housing, from: &Housing) {
    housing.family = housing.family.or(from.family);
    if housing.positions.is_none() && housing.face.is_empty() {
        housing.positions.clone_from(&from.positions);
        if !from.face.is_empty() {
            housing.face.clone_from(&from.face);
            // Seen from its back, one half has its positions where the other has them seen from its front.
            housing.seen_from = from.seen_from.map(|side| Choice { value: other_side(side.value), span: side.span });
        }
    }
    housing.contacts =
        housing.contacts.or(from.contacts.map(|contacts| Choice { value: opposite(contacts.value), span: contacts.span }));
    housing.key = housing.key.or(from.key);
    housing.current = housing.current.or(from.current);
    housing.voltage = housing.voltage.or(from.voltage);
    housing.contact_resistance = housing.contact_resistance.or(from.contact_resistance);
    housing.sealed = housing.sealed.or(from.sealed);
    housing.hv = housing.hv.or(from.hv);
    housing.mixed = housing.mixed.or(from.mixed);
    for (own, other) in [
        (&mut housing.mates_first, &from.mates_first),
        (&mut housing.mates_last, &from.mates_last),
        (&mut housing.interlock, &from.interlock),
    ] {
        if own.is_empty() {
            own.clone_from(other);
        }
    }
}

fn opposite(contacts: Contacts) -> Contacts {
    match contacts {
        Contacts::Pin => Contacts::Socket,
        Contacts::Socket => Contacts::Pin,
    }
}

fn other_side(side: FaceSide) -> FaceSide {
    match side {
        FaceSide::Mating => FaceSide::Wire,
        FaceSide::Wire => FaceSide::Mating,
    }
}

/// Notes what both halves say, and not the same.
fn contradictions(
    text: &Text,
    (own, half): (Name, &Housing),
    (name, other): (Name, &Housing),
    findings: &mut Findings,
    names: &Names,
) {
    let word = |text: Option<Text>| text.map(|text| (names.text(text.value).to_owned(), text.span));
    let contacts = half.contacts.zip(other.contacts).filter(|(one, two)| one.value == two.value);
    let same_contacts = contacts.map(|(one, two)| (one.span, two.span));
    let count = |housing: &Housing| match &housing.positions {
        Some(Positions::Count(count)) => Some((count.value.to_string(), count.span)),
        Some(Positions::Labels(_)) | None => None,
    };
    let differ = |key: &str, one: Option<(String, Span)>, two: Option<(String, Span)>| {
        let ((one, place), (two, there)) = one.zip(two)?;
        (one != two).then(|| (format!("`{key}` {one} and {two}"), place, there))
    };
    let first = same_contacts
        .map(|(place, there)| ("both the same `contacts`".to_owned(), place, there))
        .or_else(|| differ("family", word(half.family), word(other.family)))
        .or_else(|| differ("key", word(half.key), word(other.key)))
        .or_else(|| differ("positions", count(half), count(other)));
    let Some((what, place, there)) = first else { return };
    let (own, name) = (clip(names.text(own)), clip(names.text(name)));
    findings.push(
        rules::UNEXPECTED_VALUE
            .finding(text.span, format!("`{own}` mates with `{name}`, and the two have {what}"))
            .label("these two do not join")
            .context(place, format!("of `{own}`"))
            .context(there, format!("of `{name}`"))
            .help(format!("correct what one of them says, or name the housing that `{own}` mates with")),
    );
}

/// Notes what neither of two halves says and each housing must have.
fn lacking(housings: &Map<Housing>, halves: [usize; 2], text: &Text, findings: &mut Findings, names: &Names) {
    let of = |at: usize| housings.0.get(at);
    let [Some(one), Some(two)] = halves.map(of) else { return };
    if one.value.is_faulty || two.value.is_faulty {
        return;
    }
    let lacks = [("family", one.value.family.is_none()), ("contacts", one.value.contacts.is_none())];
    for (key, _) in lacks.into_iter().filter(|(_, lacks)| *lacks) {
        let (one, two) = (clip(names.text(one.name.value)), clip(names.text(two.name.value)));
        findings.push(
            rules::MISSING_KEY
                .finding(text.span, format!("neither `{one}` nor `{two}`, which it mates with, has the key `{key}`"))
                .label(format!("no `{key}`"))
                .help(format!("add `{key}` to one of them")),
        );
    }
}

fn unknown(housings: &Map<Housing>, text: &Text, names: &Names) -> crate::finding::Finding {
    let written = names.text(text.value);
    let mut known = Candidates::new(housings.iter().map(|entry| names.text(entry.name.value)));
    let near = known.nearest(written);
    let finding = rules::UNKNOWN_NAME.finding(text.span, format!("there is no housing `{}`", clip(written)));
    match near {
        Some(near) => {
            finding.label(question(written, near)).help(format!("write `{near}`, or define `{}`", clip(written))).remedy(
                crate::finding::Remedy::new(crate::finding::RemedyKind::Spelling, format!("write `{near}`"))
                    .edit(text.span, near),
            )
        }
        None => finding.label("unknown housing").help(format!("define `{}`, or name a housing that is there", clip(written))),
    }
}

/// The housings of all ports and ends, by what `mates` may name.
struct Known {
    ports: FxHashMap<String, Name>,
    ends: FxHashMap<(Name, String), Name>,
}

/// Gives ends that name what they mate and no housing the one that fits.
fn ends(design: &mut Design, partners: &Partners, names: &Names) {
    let bare = |end: &End| end.housing.is_none() && end.ring.is_none() && end.lands_on.is_none() && end.mates.is_some();
    if !design.looms.iter().any(|loom| loom.value.ends.iter().any(|end| bare(&end.value))) {
        return;
    }
    let known = known(design, names);
    for loom in &mut design.looms.0 {
        let Loom { ends, .. } = &mut loom.value;
        for end in ends.0.iter_mut().filter(|end| bare(&end.value)) {
            let Some(mates) = end.value.mates else { continue };
            let written = names.text(mates.value);
            let there =
                known.ports.get(written).copied().or_else(|| known.ends.get(&(loom.name.value, written.to_owned())).copied());
            if let Some(own) = there.and_then(|housing| partners.of(housing)) {
                // Behind what it mates, where a key of its own can be put: an edit of the housing must not change the mate.
                let span = Span::new(mates.span.file, mates.span.end, mates.span.end);
                end.value.housing = Some(Text { value: own, span });
            }
        }
    }
}

fn known(design: &Design, names: &Names) -> Known {
    let mut known = Known { ports: FxHashMap::default(), ends: FxHashMap::default() };
    for loom in &design.looms {
        for end in &loom.value.ends {
            if let Some(housing) = end.value.housing {
                let name = names.text(end.name.value).to_owned();
                known.ports.insert(format!("{}.{name}", names.text(loom.name.value)), housing.value);
                known.ends.insert((loom.name.value, name), housing.value);
            }
        }
    }
    let kinds: FxHashMap<Name, &super::devices::Device> =
        design.parts.iter().flat_map(|parts| &parts.devices).map(|entry| (entry.name.value, &entry.value)).collect();
    for device in &design.devices {
        let of_kind = device.value.device.and_then(|kind| kinds.get(&kind.value)).into_iter().flat_map(|kind| &kind.ports);
        // The device's own ports come last: they take the place of those of its kind.
        for port in of_kind.chain(&device.value.ports) {
            let name = format!("{}.{}", names.text(device.name.value), names.text(port.name.value));
            match port.value.housing {
                Some(housing) => known.ports.insert(name, housing.value),
                None => known.ports.remove(&name),
            };
        }
    }
    known
}
