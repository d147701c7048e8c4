//! What is known of the thing, or of the key, under a place.

use super::{
    names::{Asked, asked},
    server::Server,
};
use harness_core::{
    editor::{self, Sort, SymbolId},
    inspect::{self, Trace},
};
use lsp_types::{Hover, HoverContents, HoverParams, MarkupContent, MarkupKind};

/// Lines of one kind that are shown.
const MOST: usize = 8;

/// What is known of what is under the place.
pub(super) fn hover(server: &mut Server<'_>, params: &HoverParams) -> Option<Hover> {
    let at = &params.text_document_position_params;
    let asked = asked(server, &at.text_document.uri, at.position)?;
    let tokens = asked.held.index().at(asked.file, asked.offset as u32);
    let (text, span) = match tokens.first() {
        Some(token) => (of_thing(&asked, &asked.symbols()), Some((token.span.start as usize, token.span.end as usize))),
        None => (of_place(&asked)?, None),
    };
    let markdown = asked.server.client.shows_markdown;
    let value = if markdown { text } else { text.replace("**", "").replace("```yaml\n", "").replace('`', "") };
    let kind = if markdown { MarkupKind::Markdown } else { MarkupKind::PlainText };
    let texts = asked.texts();
    let range = span.and_then(|(start, end)| Some(texts.lines(&asked.path)?.range(start, end)));
    Some(Hover { contents: HoverContents::Markup(MarkupContent { kind, value }), range })
}

/// A key, or a value that names nothing: what the format says of it.
fn of_place(asked: &Asked<'_>) -> Option<String> {
    let text = asked.text();
    // Within a key its own sentence is asked for, not that of what it is in.
    let place = editor::place(text, asked.offset)?;
    let end = match place.side {
        editor::Side::Key => {
            text.get(place.end..).and_then(|rest| rest.find(':')).map_or(place.end, |colon| place.end + colon + 1)
        }
        editor::Side::Value => place.end,
    };
    let behind = if place.side == editor::Side::Key { editor::place(text, end)? } else { place };
    let (key, doc) = editor::expected(&behind)?.about()?;
    Some(format!("**{key}**\n\n{doc}"))
}

fn of_thing(asked: &Asked<'_>, symbols: &[SymbolId]) -> String {
    let index = asked.held.index();
    let mut parts = Vec::new();
    for symbol in symbols.iter().take(MOST) {
        let noun = index.sort(*symbol).map_or("", Sort::noun);
        let head = format!("**{noun}** `{}`", index.path(*symbol));
        let thing = editor::thing(index, asked.held.design(), *symbol).filter(|_| !asked.held.is_alone);
        match thing {
            Some(thing) => {
                let report = asked.held.report(asked.server.today);
                let trace = inspect::trace(asked.held.analysis(), &report.findings, thing);
                parts.push(format!("{head}\n\n{}", of_trace(&trace)));
            }
            None => {
                let uses = index.of(*symbol).filter(|token| !token.defines).count();
                let times = if uses == 1 { "once".to_owned() } else { format!("{uses} times") };
                parts.push(format!("{head}, used {times}{}", written(asked, *symbol)));
            }
        }
    }
    parts.join("\n\n---\n\n")
}

/// What the design writes of a thing, as far as a look takes it in.
fn written(asked: &Asked<'_>, symbol: SymbolId) -> String {
    let mut text = String::new();
    for whole in asked.held.index().extents(symbol) {
        let lines: Vec<&str> = asked.held.sources().slice(whole).lines().take(2 * MOST).collect();
        text.push_str(&format!("\n\n```yaml\n{}\n```", lines.join("\n")));
    }
    text
}

/// The figures of a thing, a line each.
fn of_trace(trace: &Trace) -> String {
    let mut lines: Vec<String> = Vec::new();
    let facts = trace.facts.iter().map(|fact| format!("{}: {}", fact.name, fact.value));
    lines.extend(facts.take(2 * MOST));
    for net in trace.nets.iter().take(2) {
        let points = shortened(&net.points);
        let domain = net.domain.as_ref().map_or_else(String::new, |domain| format!(", domain `{domain}`"));
        lines.push(format!("net: {points}{domain}"));
    }
    for (name, way) in [("fed by", &trace.way.feed), ("back by", &trace.way.back)] {
        lines.extend(way.as_ref().map(|way| format!("{name}: {}", way.join(" > "))));
    }
    let flows: Vec<String> =
        trace.modes.iter().filter(|row| row.amps.get() > 1e-6).map(|row| format!("{} `{}`", row.amps, row.mode)).collect();
    if !flows.is_empty() {
        lines.push(format!("current: {}", flows.join(", ")));
    }
    if !trace.fuses.is_empty() {
        let fuses: Vec<String> = trace.fuses.iter().take(MOST).map(|fuse| format!("`{}` {}", fuse.name, fuse.kind)).collect();
        lines.push(format!("fuses before it: {}", fuses.join(", ")));
    }
    if let Some((thinnest, count)) = &trace.protects {
        lines.push(format!("protects: `{}` is the weakest of {count}", thinnest.name));
    }
    lines.extend(
        trace.margins.iter().take(MOST).map(|margin| {
            format!("margin: {:.2}, {}: {} of {}", margin.ratio, margin.against.word(), margin.figure, margin.limit)
        }),
    );
    lines.extend(trace.members.iter().take(MOST).map(|member| format!("`{}`: {}, {}", member.name, member.joins, member.amps)));
    let concerns = trace.concerns.iter().filter(|concern| !concern.waived).take(MOST);
    lines.extend(concerns.map(|concern| format!("**{}** {}: {}", concern.level, concern.rule, concern.headline)));
    lines.extend(trace.notes.iter().take(MOST).cloned());
    lines.extend(trace.unknown.iter().take(MOST).map(|what| format!("not known: {what}")));
    lines.iter().map(|line| format!("- {line}")).collect::<Vec<_>>().join("\n")
}

fn shortened(names: &[String]) -> String {
    let shown: Vec<String> = names.iter().take(MOST).map(|name| format!("`{name}`")).collect();
    let more = names.len().saturating_sub(MOST);
    let tail = if more > 0 { format!(" and {more} more") } else { String::new() };
    format!("{}{tail}", shown.join(", "))
}
