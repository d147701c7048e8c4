//! A fuse ends every short before the insulation of a conductor on its way is overheated.

use crate::{
    analysis::Analysis,
    electrical::{
        conductors::conductor::insulation_of,
        faults::{Exposure, Verdict},
        fuses::{
            fuse::{curve_of, kind_of, standard_of},
            protection::SectionId,
        },
    },
    evidence::{assumed_battery, beside, larger_wire, other_kinds, remedies, too_small},
    finding::{Finding, Level, Remedy, Weighed},
    model::{ElementId, WireId},
    quantity::{Ampere, Celsius},
    rules::{Rule, RulePage},
    standards::{
        Source,
        short_circuit::{Metal, copper_melts, k, least_trade_size},
    },
    wording::{agree, count},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "protection/uncleared-fault",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a short that no fuse ends before a conductor's insulation is overheated",
        docs: include_str!("uncleared_fault.md"),
    },
    check,
};

/// What one finding reports: the conductors that burn for want of the same fuse, or behind the same source.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Group {
    Fuse(ElementId),
    Section(SectionId),
}

/// A time in seconds that nobody waits for: the headline then leaves it to the figures.
const LONG: f64 = 3600.0;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let mut burning: Vec<(Group, WireId, &Exposure)> = Vec::new();
    let mut guards: Option<Guards> = None;
    let overfed = analysis.facts().overfed().iter().filter(|over| over.by_sources_alone());
    let mut by_sources: Vec<WireId> = overfed.map(|over| over.wire).collect();
    by_sources.sort_unstable();
    for (id, wire) in analysis.model().wires() {
        // What its load draws anyway is not a short: `conductor/undersized` reports it.
        let short = analysis.electrical().short(id).filter(|exposure| exposure.verdict == Verdict::Burns);
        let Some(exposure) = short else { continue };
        // What only sources feed, each up to its limit, lacks a fuse: `protection/missing-fuse` says so.
        // A short run to fuses of its own size is allowed without one.
        if by_sources.binary_search(&id).is_ok() || analysis.facts().is_stub(id) {
            continue;
        }
        // A wire that a short reaches has both its ends.
        let Some(point) = wire.from.or(wire.to) else { continue };
        let protection = analysis.electrical().protection();
        let section = protection.section(point);
        let guard = || guards.get_or_insert_with(|| Guards::new(analysis)).of(id, protection.sections_of(point));
        let group = match exposure.opens.map(|(fuse, _)| fuse).or_else(guard) {
            Some(fuse) => Group::Fuse(fuse),
            None => Group::Section(section),
        };
        burning.push((group, id, exposure));
    }
    burning.sort_by(|a, b| {
        let margin = |exposure: &Exposure| exposure.margin.unwrap_or(0.0);
        a.0.cmp(&b.0).then(margin(a.2).total_cmp(&margin(b.2))).then(a.1.cmp(&b.1))
    });
    burning.chunk_by(|a, b| a.0 == b.0).filter_map(|group| finding(analysis, group)).collect()
}

/// The fuse that should have ended the current of a conductor: the one that feeds it, or feeds what it leads back from.
struct Guards {
    by_section: Vec<(SectionId, ElementId)>,
    by_wire: Vec<(WireId, ElementId)>,
}

impl Guards {
    fn new(analysis: &Analysis) -> Self {
        let protection = analysis.electrical().protection();
        let (mut by_section, mut by_wire) = (Vec::new(), Vec::new());
        for feed in protection.feeds() {
            let sections = feed.fed.iter().filter_map(|cluster| protection.section_of(*cluster));
            by_section.extend(sections.map(|section| (section, feed.fuse)));
            by_wire.extend(protection.returns(feed.fuse).iter().map(|found| (found.wire, feed.fuse)));
        }
        by_section.sort_unstable();
        by_wire.sort_unstable();
        Self { by_section, by_wire }
    }

    fn of(&self, wire: WireId, mut sections: impl Iterator<Item = SectionId>) -> Option<ElementId> {
        let place = self.by_wire.partition_point(|(of, _)| *of < wire);
        if let Some((_, fuse)) = self.by_wire.get(place).filter(|(of, _)| *of == wire) {
            return Some(*fuse);
        }
        sections.find_map(|section| {
            let place = self.by_section.partition_point(|(of, _)| *of < section);
            self.by_section.get(place).filter(|(of, _)| *of == section).map(|(_, fuse)| *fuse)
        })
    }
}

fn finding(analysis: &Analysis, group: &[(Group, WireId, &Exposure)]) -> Option<Finding> {
    let model = analysis.model();
    let (guard, id, exposure) = *group.first()?;
    let wire = &model[id];
    let size = wire.size?;
    let name = model.wire_name(id);
    let others = match group.len() - 1 {
        0 => String::new(),
        more => format!("; so {} {} more", agree(more, "does", "do"), count(more, "wire")),
    };
    let (point, back) = exposure.short;
    let fuse = match guard {
        Group::Fuse(fuse) => Some(fuse),
        Group::Section(_) => None,
    };
    let why = match (exposure.ends, fuse) {
        (Some(ends), _) => format!("lasts up to {ends}"),
        // What opens is before one source; another feeds the short past it.
        (None, Some(fuse)) if exposure.opens.is_some() => {
            format!("current still flows when fuse `{}` has opened", model.element_name(fuse))
        }
        (None, Some(fuse)) => format!("fuse `{}` is not sure to open", model.element_name(fuse)),
        (None, None) => "no fuse is sure to end it".to_owned(),
    };
    let headline = match exposure.stands {
        Some(stands) if stands.get() > LONG => format!("a short slowly overheats wire `{name}`, and {why}{others}"),
        Some(stands) => format!("a short overheats wire `{name}` after {stands} and {why}{others}"),
        None => format!("a short overheats wire `{name}` and {why}{others}"),
    };
    let weighed = exposure
        .stands
        .filter(|stands| stands.get() <= LONG)
        .map(Weighed::smaller)
        .into_iter()
        .chain(exposure.ends.map(Weighed::larger));
    let mut finding = RULE.finding(size.span, headline, weighed).label(format!("{} carries {}", size.value, exposure.amps));
    finding = finding.figure(
        "short",
        format!(
            "`{}` to `{}` in mode `{}`: {} through `{name}`, conductors at their rated temperature, computed",
            model.point_name(point),
            model.point_name(back),
            model.mode_name(exposure.mode),
            exposure.amps
        ),
    );
    finding = match (exposure.opens, fuse) {
        (Some((fuse, edge)), _) => {
            let element = &model[fuse];
            finding
                .context(element.value_span, format!("opens within {}", edge.time))
                .figure("fuse", format!("`{}` opens within {edge}", model.element_name(fuse)))
                .concerns(model.element_name(fuse))
        }
        (None, Some(fuse)) => {
            let element = &model[fuse];
            match sure(analysis, fuse) {
                Some((amps, source)) => finding
                    .context(element.value_span, format!("sure to open from {amps}"))
                    .figure("fuse", format!("`{}` is sure to open from {amps}; {source}", model.element_name(fuse))),
                None => finding.context(element.value_span, "the fuse before it"),
            }
            .concerns(model.element_name(fuse))
        }
        (None, None) => finding.figure("fuse", "none that carries the current is sure to open at it"),
    };
    if let Some(stands) = exposure.stands {
        finding = finding.figure(
            "conductor",
            format!(
                "{} from {} withstands {} for {stands}, heat balance of IEC 60949",
                size.value, exposure.start, exposure.amps
            ),
        );
    }
    finding = finding.figure("reached", reached(exposure.reached)).figure("limit", exposure.limit);
    if let Some(insulation) = insulation_of(model, wire) {
        finding = finding.figure("insulation", insulation);
    }
    if exposure.ends.is_none_or(|ends| ends.get() > LONG) {
        let neighbours = analysis.electrical().neighbours_of_short(id, exposure.mode);
        finding = beside(analysis.facts(), id, finding, neighbours.as_ref());
    }
    if let Some(assumed) = assumed_battery(analysis.facts(), point, true) {
        finding = finding.figure("battery", assumed);
    }
    if let Some(margin) = exposure.margin {
        finding = finding.figure("margin", format!("{margin:.2} of the time that it would have to withstand"));
    }
    let (help, mut candidates) = remedy(analysis, id, fuse, exposure);
    candidates.extend(fuse.map(|fuse| together(analysis, group, fuse)).unwrap_or_default());
    // A quicker one of the same rating.
    candidates.extend(fuse.map(|fuse| other_kinds::other_fuse(analysis.facts(), fuse, |_| true)).unwrap_or_default());
    candidates.extend(fuse.map(|fuse| other_kinds::fuse_types(analysis.facts(), fuse)).unwrap_or_default());
    let finding = candidates.into_iter().fold(finding.help(help), Finding::remedy);
    Some(group.iter().fold(finding, |finding, (_, wire, _)| finding.concerns(model.wire_name(*wire))))
}

/// What may do it for all wires of a group: larger sizes in one step, or the next smaller ratings of the fuse's series.
fn together(analysis: &Analysis, group: &[(Group, WireId, &Exposure)], fuse: ElementId) -> Vec<Remedy> {
    let facts = analysis.facts();
    let sizes = group.iter().map(|(_, wire, exposure)| {
        let k = k(Metal::Copper, exposure.start, exposure.limit.value).value;
        Some((*wire, least_trade_size(k, exposure.amps, exposure.ends?)?))
    });
    let sizes: Option<Vec<_>> = sizes.collect();
    let sizes = sizes.filter(|sizes| sizes.len() > 1).and_then(|sizes| remedies::sized(facts, &sizes));
    let rating = kind_of(analysis.model(), fuse).and_then(|kind| kind.rating).map(|rating| rating.value);
    let smaller = remedies::ratings_made(analysis.model(), fuse).into_iter().rev();
    let smaller = smaller.filter(|made| rating.is_some_and(|rating| *made < rating)).take(2);
    sizes.into_iter().chain(remedies::refused(facts, fuse, smaller)).collect()
}

fn reached(temperature: Celsius) -> String {
    if copper_melts(temperature) { "copper melts".to_owned() } else { temperature.to_string() }
}

/// The current from which a fuse is sure to open, and the gate that says so.
fn sure(analysis: &Analysis, fuse: ElementId) -> Option<(Ampere, &'static Source)> {
    curve_of(analysis.model(), kind_of(analysis.model(), fuse)?)?.sure_to_open_at()
}

/// What to do in general, and what may do it: a larger size, or a rating of the fuse's series that is sure to open.
fn remedy(analysis: &Analysis, id: WireId, fuse: Option<ElementId>, exposure: &Exposure) -> (String, Vec<Remedy>) {
    let (model, facts) = (analysis.model(), analysis.facts());
    let name = model.wire_name(id);
    let Some(fuse) = fuse else {
        let help = format!(
            "put a fuse near the source that feeds `{name}`, in the feed and not in the return, that is sure to open at {}",
            exposure.amps
        );
        return (help, Vec::new());
    };
    let (fuse_name, larger) = (model.element_name(fuse), larger_wire(model, id));
    if let Some(ends) = exposure.ends {
        let k = k(Metal::Copper, exposure.start, exposure.limit.value).value;
        let size = least_trade_size(k, exposure.amps, ends);
        let small = size.map_or_else(String::new, |size| too_small(facts, &[(id, size)]));
        let help = format!("fit a smaller or faster fuse for `{fuse_name}` that its loads can live with, or {larger}{small}");
        return (help, size.map(|size| remedies::larger(facts, id, size)).unwrap_or_default());
    }
    if exposure.opens.is_some() {
        let help = format!(
            "put a fuse that is sure to open at {} near each source that feeds `{name}` past `{fuse_name}`, or {larger}",
            exposure.amps
        );
        return (help, Vec::new());
    }
    let help = format!(
        "fit a fuse for `{fuse_name}` that is sure to open at {} and that its loads can live with, or make the run of `{name}` thicker or \
         shorter so that more flows",
        exposure.amps
    );
    let smaller = largest_sure(analysis, fuse, exposure.amps);
    (help, remedies::refused(facts, fuse, smaller))
}

/// The largest rating of the fuse's own standard that is sure to open at this current.
fn largest_sure(analysis: &Analysis, fuse: ElementId, amps: Ampere) -> Option<Ampere> {
    let kind = kind_of(analysis.model(), fuse)?;
    let types = standard_of(analysis.model(), kind)?.types;
    let share = sure(analysis, fuse)?.0 / kind.rating?.value;
    let ratings = types.iter().flat_map(|kind| kind.ratings()).map(|rating| rating.value);
    let opens = ratings.filter(|rating| *rating * share <= amps);
    opens.reduce(|most, other| if other > most { other } else { most })
}
