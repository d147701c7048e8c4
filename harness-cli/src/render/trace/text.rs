//! A trace as one screen of text.

use crate::phrase;
use crate::{
    render::{
        Checked,
        kit::{
            blocks::pairs,
            caution::caution,
            figures::times,
            palette::{self, paint},
            printable,
            table::{self, Column},
        },
    },
    terminal::Look,
};
use harness_core::inspect::{
    Against, Charge, Duty, Margin, Member, ModeRow, Neighbour, Outcome, PointShort, Short, Source, Status, Trace, Way,
};
use std::io::{self, Write};

/// Longer lists are cut; JSON has them whole.
const MOST: usize = 10;

/// Writes what is known of one thing.
///
/// # Errors
/// If `out` can't be written.
pub fn write(checked: &Checked, trace: &Trace, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let row = checked.row(trace.span).map_or_else(String::new, |row| format!(" ({})", printable(&row.to_string())));
    let place = format!("  {}{row}", checked.place(trace.span));
    let title = format!("{} {}", trace.kind, printable(&trace.name));
    let room = look.width.saturating_sub(title.len());
    match place.len() <= room {
        true => writeln!(out, "{}{place}", paint(look, palette::heading(), &title))?,
        false => writeln!(out, "{}\n{place}", paint(look, palette::heading(), &title))?,
    }
    let mut rows: Vec<(&str, String)> = trace.facts.iter().map(|fact| (fact.name, sourced(&fact.value, fact.source))).collect();
    for net in &trace.nets {
        let domain = net.domain.as_ref().map_or_else(|| "no domain".to_owned(), |domain| format!("domain `{domain}`"));
        rows.push(("net", format!("{domain}; {}", few(&net.points))));
    }
    if trace.members.is_empty() {
        rows.extend(way(&trace.way));
    }
    named(&rows, look, out)?;
    if !trace.modes.is_empty() {
        writeln!(out)?;
        modes(&trace.modes, look, out)?;
    }
    if !trace.members.is_empty() {
        writeln!(out)?;
        members(trace, look, out)?;
    }
    let mut rows: Vec<(&str, String)> = Vec::new();
    rows.extend(trace.capacity.as_ref().map(|capacity| ("capacity", capacity.to_string())));
    let beside: Vec<String> = trace.neighbours.iter().map(neighbour).collect();
    rows.extend(
        trace.neighbours.first().map(|first| ("beside", format!("in mode `{}`: {}", printable(&first.mode), few(&beside)))),
    );
    if trace.kind != "fuse" {
        let fuse = |fuse: &harness_core::inspect::Fuse| {
            let rating = fuse.rating.map_or_else(|| "of unknown rating".to_owned(), |rating| rating.to_string());
            format!("{} ({rating}, {})", fuse.name, fuse.kind)
        };
        let fuses: Vec<String> = trace.fuses.iter().map(fuse).collect();
        rows.extend((!fuses.is_empty()).then(|| ("fuse", few(&fuses))));
    }
    if let Some((thinnest, count)) = &trace.protects {
        let conductors = phrase::counted(*count, "conductor");
        let weakest = format!("`{}`, {}, may carry {}", thinnest.name, thinnest.size, thinnest.capacity);
        rows.push(("protects", format!("{conductors}; the thinnest: {weakest}")));
    }
    let of = |against: Against| trace.margins.iter().find(|margin| margin.against == against);
    rows.extend(
        [Against::Load, Against::Rating, Against::Drop]
            .into_iter()
            .filter_map(of)
            .map(|margin| (margin.against.word(), words(margin))),
    );
    rows.extend(trace.duty.as_ref().map(|duty| ("breaking", duty_words(duty, of(Against::Breaking)))));
    rows.extend(trace.short.as_ref().map(|short| ("short", short_words(short, of(Against::Short)))));
    rows.extend(trace.charges.iter().map(|charge| ("on charge", charge_words(charge))));
    rows.extend(trace.notes.iter().map(|note| ("note", note.clone())));
    if !rows.is_empty() {
        writeln!(out)?;
        named(&rows, look, out)?;
    }
    writeln!(out)?;
    let mut rows = vec![("verdict", verdict(trace))];
    rows.extend(trace.concerns.iter().map(|concern| {
        let waived = if concern.waived { "; waived" } else { "" };
        let place = checked.place(concern.span);
        ("finding", format!("{}[{}]: {}; {place}{waived}", concern.level, concern.rule, concern.headline))
    }));
    rows.extend(trace.unknown.iter().map(|unknown| ("not known", unknown.clone())));
    let sources: Vec<String> = sources(trace).into_iter().map(Source::to_string).collect();
    rows.extend((!sources.is_empty()).then(|| ("rests on", sources.join("; "))));
    named(&rows, look, out)?;
    writeln!(out)?;
    caution(look, out)
}

/// What is beside a wire: `front.3` 12 A (+8.1 K).
pub(crate) fn neighbour(other: &Neighbour) -> String {
    let idle = if other.is_idle { ", idle but live" } else { "" };
    format!("{} {} (+{:.1} K{idle})", printable(&other.name), other.amps, other.adds.get())
}

fn named(rows: &[(&str, String)], look: Look, out: &mut dyn Write) -> io::Result<()> {
    pairs(&rows.iter().map(|(name, value)| (*name, value.as_str())).collect::<Vec<_>>(), look, out)
}

fn sourced(value: &str, source: Option<&Source>) -> String {
    source.map_or_else(|| value.to_owned(), |source| format!("{value}; {source}"))
}

/// The names of a list, cut where it is long.
fn few(names: &[String]) -> String {
    let shown = phrase::fitting(names.len(), MOST);
    let more = names.len() - shown;
    let shown = names.iter().take(shown).map(String::as_str).collect::<Vec<_>>().join(", ");
    if more == 0 { shown } else { format!("{shown} and {more} more (`--format json` has all)") }
}

fn way(way: &Way) -> Vec<(&'static str, String)> {
    let words = |names: &[String]| names.join(" > ");
    let mode = way.mode.as_ref().map_or_else(|| "no current flows; connected: ".to_owned(), |mode| format!("in `{mode}`: "));
    let mut rows = Vec::new();
    match (&way.feed, &way.back) {
        (None, None) => rows.push(("path", "no source is connected to it".to_owned())),
        (feed, back) => {
            rows.extend(feed.as_ref().map(|names| ("from source", format!("{mode}{}", words(names)))));
            rows.extend(back.as_ref().map(|names| ("back to it", words(names))));
        }
    }
    rows
}

/// The cores of a cable or the contacts of a pair.
fn members(trace: &Trace, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let title = if trace.kind == "cable" { "core" } else { "contact" };
    let columns = [Column::left(title, 0), Column::right("current", 0), Column::left("mode", 1), Column::left("joins", 0)];
    let row = |member: &Member| {
        let mode = member.mode.as_ref().map_or_else(|| "-".to_owned(), |mode| printable(mode).into_owned());
        vec![printable(&member.name).into_owned(), member.amps.to_string(), mode, printable(&member.joins).into_owned()]
    };
    table::write(&columns, &trace.members.iter().map(row).collect::<Vec<_>>(), 2, look, out).map(|_| ())
}

fn modes(rows: &[ModeRow], look: Look, out: &mut dyn Write) -> io::Result<()> {
    let columns = [
        Column::left("mode", 0),
        Column::right("current", 0),
        Column::right("volts", 1),
        Column::right("across it", 2),
        Column::right("temperature", 1),
        Column::right("shorted", 1),
        Column::left("opens", 2),
        Column::left("", 0),
    ];
    let row = |row: &ModeRow| {
        let remark = match row {
            ModeRow { settled: false, .. } => "not solved",
            ModeRow { shorted: true, .. } => "source shorted",
            ModeRow { live: false, .. } => "not live",
            _ => "",
        };
        vec![
            printable(&row.mode).into_owned(),
            row.amps.to_string(),
            row.volts.to_string(),
            row.across.map_or_else(String::new, |volts| volts.to_string()),
            row.temperature.map_or_else(String::new, |at| at.to_string()),
            row.short.as_ref().map_or_else(String::new, |short| short.amps.to_string()),
            row.short.as_ref().map_or_else(String::new, opens),
            remark.to_owned(),
        ]
    };
    table::write(&columns, &rows.iter().map(row).collect::<Vec<_>>(), 2, look, out).map(|_| ())
}

/// Which fuse opens in a short, and when at the latest.
pub(crate) fn opens(short: &PointShort) -> String {
    match (&short.fuse, short.opens) {
        (Some(fuse), Some(time)) => format!("{} in {time}", printable(fuse)),
        _ => "no fuse is sure to".to_owned(),
    }
}

pub(crate) fn words(margin: &Margin) -> String {
    format!("{}; limit {}: {}", margin.figure, margin.limit, holds(margin))
}

fn holds(margin: &Margin) -> String {
    against(margin.ratio)
}

/// How far a figure is from its limit, as people say it: `38 % over its limit`, `within, with 1.28 times to spare`.
fn against(ratio: f64) -> String {
    match ratio {
        ratio if ratio >= 1.0 => format!("within (the limit is {} times the figure)", times(ratio)),
        ratio if ratio > 0.0 => match (1.0 / ratio - 1.0) * 100.0 {
            over if over >= 1000.0 => format!("{} times its limit", times(1.0 / ratio)),
            over if over < 1.0 => format!("{over:.1} % over its limit"),
            over => format!("{over:.0} % over its limit"),
        },
        _ => "over its limit".to_owned(),
    }
}

/// What a battery on charge takes, what the loads beside it take, and what gives both.
pub(crate) fn charge_words(charge: &Charge) -> String {
    let given: Vec<String> = charge.given.iter().map(|(name, amps)| format!("`{name}` {amps}")).collect();
    let given = if given.is_empty() { "nothing that is known".to_owned() } else { few(&given) };
    format!("in `{}` the battery takes {}, the loads beside it {}; given by {given}", charge.mode, charge.battery, charge.loads)
}

pub(crate) fn duty_words(duty: &Duty, margin: Option<&Margin>) -> String {
    let [point, back] = &duty.points;
    let short = format!("{} at most, `{point}` to `{back}` in mode `{}`", duty.amps, duty.mode);
    match (duty.breaks, margin) {
        (Some(breaks), Some(margin)) => format!("{short}; it breaks {}: {}", breaks.value, holds(margin)),
        _ => format!("{short}; its breaking capacity is not known"),
    }
}

pub(crate) fn short_words(short: &Short, margin: Option<&Margin>) -> String {
    let [point, back] = &short.points;
    let opens = match (&short.fuse, short.opens) {
        (Some(fuse), Some(opens)) if Some(opens.value) == short.ends => format!("`{fuse}` opens within {}", opens.value),
        (Some(fuse), Some(opens)) => format!("`{fuse}` opens first, within {}", opens.value),
        _ => "no fuse is sure to open".to_owned(),
    };
    let wire = &short.wire;
    let limit = match short.taken {
        Some(material) => format!("{} (not given, taken as {material})", short.limit.value),
        None => short.limit.value.to_string(),
    };
    let heat = match (short.ends, &short.outcome) {
        (Some(_), _) if short.melts() => {
            format!("`{wire}` starts at {} and heats up until its copper melts, its insulation withstands {limit}", short.start)
        }
        (Some(_), _) => format!("`{wire}` goes from {} to {}, its insulation withstands {limit}", short.start, short.reached),
        (None, Outcome::Burns) => format!("`{wire}` starts at {} and keeps getting hotter", short.start),
        (None, _) => format!("`{wire}` stays at {}, its insulation withstands {limit}", short.reached),
    };
    let flows =
        short.ends.map_or_else(|| "it flows for as long as the source lasts".to_owned(), |time| format!("it flows for {time}"));
    let stands = match short.stands {
        Some(time) => format!("{flows}, `{wire}` withstands it for {time}"),
        None => format!("{flows}, `{wire}` withstands it without limit of time"),
    };
    let margin = margin.map_or_else(String::new, |margin| format!(": {}", holds(margin)));
    format!("{} at `{point}` to `{back}` in mode `{}`; {opens}; {heat}; {stands}{margin}", short.amps, short.mode)
}

/// What the margins and findings come to.
pub(crate) fn verdict(trace: &Trace) -> String {
    // A verdict that rests on a remembered figure says so.
    let memory = if sources(trace).iter().any(|source| source.status == Status::Memory) {
        "; rests on figures from memory: use those of the part in your hand"
    } else {
        ""
    };
    let beyond: Vec<&str> = trace.margins.iter().filter(|margin| !margin.holds()).map(|margin| margin.against.word()).collect();
    let least = trace.margins.iter().reduce(|least, other| if other.ratio < least.ratio { other } else { least });
    let found = match trace.concerns.len() {
        0 => "no finding concerns it".to_owned(),
        number => phrase::count(number, "finding concerns it", "findings concern it"),
    };
    match (least, beyond.is_empty()) {
        (None, _) => format!("it has no limit of its own; {found}"),
        (Some(least), true) => {
            format!(
                "within its limits, the nearest is {} times the figure ({}); {found}{memory}",
                times(least.ratio),
                least.against.word()
            )
        }
        (Some(_), false) => format!("over its limit: {}; {found}{memory}", beyond.join(", ")),
    }
}

/// The sources that the figures rest on, each once.
pub(crate) fn sources(trace: &Trace) -> Vec<&'static Source> {
    let chain = trace.capacity.iter().flat_map(|capacity| capacity.chain.iter().map(|step| step.source));
    let mut sources: Vec<&'static Source> = Vec::new();
    for source in chain.chain(trace.margins.iter().flat_map(|margin| margin.sources.iter().copied())) {
        if !sources.contains(&source) {
            sources.push(source);
        }
    }
    sources
}
