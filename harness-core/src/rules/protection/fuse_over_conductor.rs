//! Fuses open before any conductor that they protect is overloaded.

use crate::{
    analysis::Analysis,
    electrical::{conductors::conductor::least_size_of, fuses::fuse::kind_of},
    evidence::{apart_from_others, at_one_time, beside, capacity_here, larger_wire, remedies, together_in, too_small},
    facts::overfed::Overfed,
    finding::{Finding, Level, Remedy, Weighed},
    model::ElementId,
    quantity::Ampere,
    rules::{Rule, RulePage},
    wording::{agree, and_more, count, list_of_first},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "protection/fuse-over-conductor",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a fuse, or fuses together, that let through more than the thinnest conductor they protect may carry",
        docs: include_str!("fuse_over_conductor.md"),
    },
    check,
};

/// Names of fuses and sources that a headline lists.
const MOST_NAMES: usize = 4;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let groups = analysis.facts().overfed_groups().filter(|group| group.first().is_some_and(|first| !first.by_sources_alone()));
    groups.filter_map(|group| finding(analysis, group)).collect()
}

fn finding(analysis: &Analysis, group: &[Overfed]) -> Option<Finding> {
    let model = analysis.model();
    let thinnest = group.first()?;
    let fuse = thinnest.by.iter().find(|feeder| feeder.is_fuse)?.element;
    let element = &model[fuse];
    let wire = &model[thinnest.wire];
    let name = model.wire_name(thinnest.wire);
    let allowance = &thinnest.allowance;
    let others = match group.len() - 1 {
        0 => String::new(),
        more => format!(",{} {} too thin for it", and_more(more, "wire"), agree(more, "is", "are")),
    };
    let takes = match allowance.together {
        1 => format!("wire `{name}` takes"),
        cables => format!("wire `{name}` and {} beside it take", count(cables - 1, "wire")),
    };
    let here = capacity_here(analysis.facts(), thinnest.wire, &allowance.capacity);
    let place = match thinnest.of {
        Some(of) if thinnest.is_common_return => {
            format!("thinnest common return of all that `{}` feeds: {here}", model.element_name(of))
        }
        None => format!("thinnest conductor behind `{}`: {here}", model.element_name(fuse)),
        Some(of) if thinnest.is_lead_in => {
            format!("the lead from `{}` to `{}`: {here}", model.element_name(of), model.element_name(fuse))
        }
        Some(of) => format!("thinnest conductor that leads back from `{}`: {here}", model.element_name(of)),
    };
    let rating = kind_of(model, fuse).and_then(|kind| kind.rating);
    let rated = rating.map_or(thinnest.amps, |rating| rating.value);
    let (headline, weighed) = headline(analysis, thinnest, &takes, &others);
    let mut finding = RULE
        .finding(element.value_span, headline, weighed)
        .label(format!("rated {rated}"))
        .context(wire.size.map_or(wire.span, |size| size.span), place);
    for feeder in &thinnest.by {
        finding = finding.figure(
            if feeder.is_fuse { "rating" } else { "limit" },
            match thinnest.by.len() {
                1 => feeder.amps.to_string(),
                _ => format!("{} of `{}`", feeder.amps, model.element_name(feeder.element)),
            },
        );
    }
    if let Some((sure, source)) = thinnest.sure {
        finding = finding.figure("sure to open", format!("from {sure}; {source}"));
    }
    if let Some(when) = at_one_time(model, thinnest) {
        finding = finding.figure("at one time", when);
    }
    finding = finding.figure("capacity", &allowance.capacity);
    if allowance.together > 1 {
        finding = finding.figure("together", format!("{} by the way that they share the current", allowance.amps));
    }
    finding = finding
        .figure("rule", format!("at most {}; {}", allowance.amps, allowance.source))
        .help(remedy(analysis, thinnest, fuse));
    for feeder in &thinnest.by {
        finding = finding.concerns(model.element_name(feeder.element));
    }
    if let Some(of) = thinnest.of {
        let what = if thinnest.is_common_return {
            "all circuits behind these fuses go back through it: it carries what they let through together, as the feed before them does; \
             common practice, no source"
        } else if thinnest.is_lead_in {
            "all that flows through a fuse comes through the lead before it"
        } else if model[of].kind.is_source() {
            "the lead of the source carries what its first fuse lets through"
        } else {
            "a return carries what the fuse of its feed lets through"
        };
        finding = finding.figure(if thinnest.is_lead_in { "lead" } else { "return" }, what);
    }
    if let Some(rating) = rating.filter(|at| at.span.file != element.value_span.file || at.span.start != element.value_span.start)
    {
        finding = finding.context(rating.span, "the rating");
    }
    for step in &allowance.capacity.chain {
        finding = finding.figure("source", step.source);
    }
    finding = beside(analysis.facts(), thinnest.wire, finding, analysis.electrical().neighbours(thinnest.wire).as_ref());
    let finding = candidates(analysis, fuse, group).into_iter().fold(finding, Finding::remedy);
    Some(group.iter().fold(finding, |finding, over| finding.concerns(model.wire_name(over.wire))))
}

/// The headline with its figures.
fn headline(analysis: &Analysis, over: &Overfed, takes: &str, others: &str) -> (String, [Weighed; 2]) {
    let model = analysis.model();
    let names: Vec<String> = over.by.iter().map(|feeder| format!("`{}`", model.element_name(feeder.element))).collect();
    let shown = list_of_first(&names, MOST_NAMES, 0);
    let who = match (over.by.as_slice(), over.by.iter().all(|feeder| feeder.is_fuse)) {
        ([_], _) => format!("fuse {shown} passes"),
        (_, true) => format!("fuses {shown} together pass"),
        (_, false) => format!("{shown} together give"),
    };
    let when = together_in(model, over);
    match over.sure {
        // What the fuse lets through for long is below it: that it opens late is the fault.
        Some((sure, _)) => {
            let name = over.by.iter().find(|feeder| feeder.is_fuse).map(|feeder| model.element_name(feeder.element));
            let name = name.unwrap_or_default();
            (
                format!(
                    "fuse `{name}` is sure to open only from {sure}, too late for what {takes}, {}{others}",
                    over.allowance.amps
                ),
                [Weighed::larger(sure), Weighed::smaller(over.allowance.amps)],
            )
        }
        None if over.allowance.amps <= Ampere::ZERO => {
            let wire = format!("`{}`", model.wire_name(over.wire));
            let neighbours = analysis.electrical().neighbours(over.wire);
            let hottest = neighbours.as_ref().and_then(|it| it.iter().max_by(|a, b| a.adds.get().total_cmp(&b.adds.get())));
            match hottest {
                Some(hottest) => (
                    format!(
                        "{who} {}{when}, and wire {wire} takes nothing beside `{}`, which carries {}{others}",
                        over.amps,
                        model.wire_name(hottest.wire),
                        hottest.amps
                    ),
                    [Weighed::larger(over.amps), Weighed::larger(hottest.amps)],
                ),
                // The air alone is as hot as it may be.
                None => (
                    format!("{who} {}{when}, and wire {wire} takes {} where it is{others}", over.amps, over.allowance.amps),
                    [Weighed::larger(over.amps), Weighed::smaller(over.allowance.amps)],
                ),
            }
        }
        None => {
            let excess = Ampere::new(over.amps.get() - over.allowance.amps.get());
            (
                format!("{who} {}{when}, {excess} over what {takes}{others}", over.amps),
                [Weighed::larger(over.amps), Weighed::larger(excess)],
            )
        }
    }
}

/// What to do in general.
fn remedy(analysis: &Analysis, over: &Overfed, fuse: ElementId) -> String {
    let model = analysis.model();
    let name = model.wire_name(over.wire);
    if over.allowance.amps <= Ampere::ZERO {
        return apart_from_others(&name);
    }
    if let Some((sure, _)) = over.sure {
        let fuse = model.element_name(fuse);
        return format!(
            "fit a full-range fuse for `{fuse}`, or one in series with it, that is sure to open at 1.45 times {}; a back-up fuse breaks \
             short circuits only, and between its rating and {sure} nothing protects `{name}`",
            over.allowance.amps
        );
    }
    let least = least_size_of(model, &model[over.wire], over.amps, analysis.electrical().loading(over.wire).beside);
    let small = least.map_or_else(String::new, |least| too_small(analysis.facts(), &[(over.wire, least)]));
    let larger = larger_wire(model, over.wire) + &small;
    if over.is_common_return {
        return format!("{larger}: the return that all of them share is as thick as their feed");
    }
    if over.by.len() > 1 {
        return format!(
            "put a fuse before `{name}` whose rating is at most the {} that it takes, or {larger}{}",
            over.allowance.amps,
            interlocked(over.is_past_contacts(analysis.network()))
        );
    }
    if least.is_none() {
        return format!(
            "route `{name}` apart from the loaded wires beside it or where it is cooler, or take loads off the fuse: no larger size of it \
             takes {} here",
            over.amps
        );
    }
    if least_for_loads(analysis, fuse).is_some_and(|least| least > over.allowance.amps) {
        return format!("take loads off `{name}`, because a fuse small enough for it does not carry its loads, or {larger}");
    }
    format!("fit a smaller fuse that still carries its loads, or {larger}")
}

/// How to say that contacts are interlocked.
fn interlocked(is_past_contacts: bool) -> &'static str {
    if is_past_contacts {
        "; if an interlock keeps their contacts from closing together, write it as a `selector` or under `exclusive`"
    } else {
        ""
    }
}

/// The least rating that carries what flows through a fuse continuously.
fn least_for_loads(analysis: &Analysis, fuse: ElementId) -> Option<Ampere> {
    let (edge, _) = analysis.network().edges().find(|(_, edge)| edge.element() == Some(fuse))?;
    let load = analysis.electrical().fuse_loading(edge)?;
    Some(Ampere::new(load.amps.get() / (load.share.value.get() * load.rerating.value.get()).max(1e-9)))
}

/// A smaller fuse of its series, else larger sizes for all that are too thin.
fn candidates(analysis: &Analysis, fuse: ElementId, group: &[Overfed]) -> Vec<Remedy> {
    let model = analysis.model();
    let Some(thinnest) = group.first().filter(|over| over.sure.is_none()) else { return Vec::new() };
    let mut candidates = Vec::new();
    if thinnest.by.len() == 1 {
        let smaller = remedies::ratings_made(model, fuse).into_iter().rev().filter(|made| *made <= thinnest.allowance.amps);
        candidates.extend(remedies::refused(analysis.facts(), fuse, smaller.take(2)));
    }
    let sizes = group.iter().map(|over| {
        let beside = analysis.electrical().loading(over.wire).beside;
        let alone = over.allowance.together == 1;
        Some((over.wire, least_size_of(model, &model[over.wire], over.amps, beside).filter(|_| alone)?))
    });
    let sizes: Option<Vec<_>> = sizes.collect();
    candidates.extend(sizes.and_then(|sizes| remedies::sized(analysis.facts(), &sizes)));
    candidates
}
