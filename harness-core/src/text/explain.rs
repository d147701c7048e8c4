//! Faults of the grammar in plain words, with what to write instead.

use super::{
    Problem, ProblemKind, Span,
    build::{Builder, tab},
    events::{DEPTH, Stop, YamlError},
    gotchas, lines,
    problem::shown,
};

/// What is wrong at `stop`, as the writer of the file would see it.
pub(super) fn explain(builder: &Builder<'_>, stop: &Stop) -> Problem {
    let text = builder.text;
    let at = floor(text, stop.at);
    let here = character(builder, at);
    let word = word_at(text, at);
    // The outermost bracket: what went wrong inside it often shows only lines later.
    let bracket = builder.frames.iter().find(|frame| frame.flow).map(|frame| frame.start);
    let later_line = bracket.is_some_and(|start| lines::start_of_line(text, at) > start);
    if let Some(start) = bracket {
        // The library says of a bracket that nothing closes at the bracket, of anything else behind the comment.
        let unclosed = stop.fault == YamlError::OpenBracket;
        let swallowed = gotchas::comment_in_line(text, start).filter(|comment| comment.0 < at || unclosed);
        if let Some(comment) = swallowed {
            let before = text.get(start as usize..comment.0 as usize).unwrap_or("");
            let key = before.trim_end().strip_suffix(':').and_then(|before| before.rsplit(['{', ',', '[']).next());
            if key.is_some() || !unclosed {
                return gotchas::comment_for_value(builder.file, text, key.map(str::trim), comment);
            }
        }
    }

    let syntax = |headline: String| Problem::new(ProblemKind::Syntax, here, headline);
    match &stop.fault {
        YamlError::Tab => tab(find_tab(builder, at)),
        YamlError::OpenBracket => open_bracket(builder, bracket.unwrap_or(at), None),
        YamlError::BracketSeparator if later_line => open_bracket(builder, bracket.unwrap_or(at), Some(here)),
        YamlError::BracketSeparator => syntax(format!("`{word}` does not fit here inside the brackets"))
            .label("a `,` or the closing bracket is expected before this")
            .help("separate entries with `, `, write each as `key: value` and leave nothing empty between two commas"),
        YamlError::MismatchedBracket { open, close } => syntax(format!("`{open}` is closed by `{close}`"))
            .label("opened here")
            .help(format!("close it with `{}`", if *open == '[' { ']' } else { '}' })),
        YamlError::StrayBracket => syntax(format!("`{word}` closes a bracket that was never opened"))
            .help("delete it, or add the opening bracket; quote the text if the bracket belongs to it"),
        YamlError::OpenQuote => syntax("a quote is opened and never closed".to_owned())
            .label("opened here")
            .help("add the closing quote at the end of the text"),
        YamlError::AfterQuote => after_quote(builder, at, here, word),
        YamlError::Escape => {
            Problem::new(ProblemKind::Syntax, escape(builder, at), "a quoted text holds an escape that YAML does not know")
                .help("double each backslash, or use single quotes, in which a backslash is just a backslash")
        }
        YamlError::NoColon | YamlError::SecondColon | YamlError::Indentation => colon_or_indent(builder, stop, at, here),
        YamlError::Dash => syntax("there is a list item where none can begin".to_owned())
            .label("this dash")
            .help("begin the list on a line of its own, or write it as `[first, second]`; quote a text that starts with `-`"),
        YamlError::Character(found) => syntax(format!("a text cannot begin with `{}`", found.escape_default()))
            .label("kept by YAML for other uses")
            .help("quote the text"),
        YamlError::UnspacedColon => Problem::new(ProblemKind::UnspacedColon, here, "a space is missing after a colon")
            .label("no space after this colon")
            .help("write `key: ` with a space before the value"),
        YamlError::CommentPlace => syntax("there is a comment where the text before it goes on".to_owned()).help(
            "put a space before `#` and keep comments out of the middle of a text; quote the text if the `#` belongs to it",
        ),
        YamlError::AliasName => Problem::new(ProblemKind::Alias, here, format!("`{word}` has no name after its sign"))
            .help("quote the text if the `&` or `*` belongs to it"),
        YamlError::Tag => Problem::new(ProblemKind::Tag, here, format!("`{word}` is read as a type tag; the format has none"))
            .help("delete the tag, or quote the text if the exclamation mark belongs to it"),
        YamlError::Directive => {
            syntax("a line that begins with `%` is an instruction to the YAML reader and is not understood".to_owned())
                .help("delete the line, or quote the text if the `%` belongs to it")
        }
        YamlError::Nesting => Problem::new(ProblemKind::Limit, here, format!("lists and maps are nested more than {DEPTH} deep"))
            .help("write the values with less nesting"),
        YamlError::ByteOrderMark => Problem::new(ProblemKind::Encoding, here, "there is a byte order mark inside the file")
            .help("delete the invisible character; it comes from joining files"),
        YamlError::BlockHeader => syntax("a text block has something behind its `|` or `>`".to_owned())
            .help("begin the text on the next line, or quote a text that starts with `|` or `>`"),
        YamlError::Other(told) => syntax(format!("YAML cannot be read here: {}", shown(told)))
            .help("quote the text, or write the entry as `key: value` on a line of its own"),
    }
}

fn open_bracket(builder: &Builder<'_>, start: u32, stopped: Option<Span>) -> Problem {
    let open = builder.text.get(start as usize..).and_then(|rest| rest.chars().next()).unwrap_or('{');
    let close = if open == '[' { ']' } else { '}' };
    let problem =
        Problem::new(ProblemKind::Syntax, builder.span(start, start + 1), format!("`{open}` is opened and never closed"))
            .label("opened here")
            .help(format!("add `{close}` at the end of the entry"));
    match stopped {
        Some(stopped) => problem.context(stopped, "still open here"),
        None => problem,
    }
}

/// What follows a quoted text; the quote that was left open may be lines above.
fn after_quote(builder: &Builder<'_>, at: u32, here: Span, word: &str) -> Problem {
    let text = builder.text;
    let read = builder.slice(builder.last_end, at);
    let open = read.find(['"', '\'']).map(|quote| builder.last_end + quote as u32);
    if let Some(open) = open.filter(|&open| lines::start_of_line(text, at) > open) {
        return Problem::new(ProblemKind::Syntax, builder.span(open, open + 1), "a quote is opened and not closed on its line")
            .label("opened here")
            .context(here, "closed only before this")
            .help("add the closing quote at the end of the text");
    }
    Problem::new(ProblemKind::Syntax, here, format!("`{word}` follows a closing quote"))
        .label("the quoted text ended before this")
        .help("put the whole text inside the quotes and double a `'` that belongs to it (`'it''s'`)")
}

/// The first escape of the quoted text at `at` that does not exist (YAML 1.2.2, section 5.7).
fn escape(builder: &Builder<'_>, at: u32) -> Span {
    let text = builder.text.get(at as usize..).unwrap_or("");
    let mut letters = text.char_indices();
    while let Some((index, letter)) = letters.next() {
        if letter != '\\' {
            continue;
        }
        let Some((_, escaped)) = letters.next() else { break };
        let start = at + index as u32;
        if !"0abt\tnvfre \"/\\N_LP\r\n".contains(escaped) {
            return builder.span(start, start + 1 + escaped.len_utf8() as u32);
        }
    }
    character(builder, at)
}

/// A line that fits no key above it: no colon, one too many, or the wrong column.
fn colon_or_indent(builder: &Builder<'_>, stop: &Stop, at: u32, here: Span) -> Problem {
    let text = builder.text;
    // A text that ran on into a line that was meant as the next key.
    let ran_on = builder.last_scalar.map(|node| builder.tree.span(node)).filter(|span| span.end == at);
    let ran_on = ran_on.filter(|span| lines::start_of_line(text, at) > span.start);
    let start = ran_on.map_or(at, |span| span.start);
    let line_start = lines::start_of_line(text, start);
    let first = lines::line_at(text, start);
    if let Some(unspaced) = unspaced(builder, if stop.fault == YamlError::Indentation { at } else { start }) {
        return unspaced;
    }
    if let Some(span) = ran_on {
        let line = lines::start_of_line(text, at);
        let indent = lines::line_at(text, line).find(|letter| letter != ' ').unwrap_or(0) as u32;
        let above = builder.span(span.start, span.start + first.trim_end().len() as u32);
        let is_value = builder.frames.last().is_some() && span.start > line_start;
        return if is_value {
            Problem::new(
                ProblemKind::Syntax,
                builder.span(line + indent, at),
                format!("`{}` is indented more than the key above it", shown(builder.slice(line + indent, at))),
            )
            .label(format!("read as a further line of `{}`", shown(first.trim_end())))
            .context(above, "the text it is added to")
            .help("put the key in the same column as its neighbours")
        } else {
            no_colon(above, first.trim_end())
        };
    }
    match stop.fault {
        YamlError::NoColon => no_colon(builder.span(at, at + first.trim_end().len() as u32), first.trim_end()),
        YamlError::SecondColon => Problem::new(ProblemKind::Syntax, here, "there is a second `: ` in one line")
            .label("this colon")
            .help("quote the value if the colon belongs to it, or put the inner `key: value` in braces or on its own line"),
        _ => Problem::new(
            ProblemKind::Syntax,
            here,
            format!("`{}` is in a column that fits no list or map above it", shown(word_at(text, at))),
        )
        .label("this column")
        .help("indent it like the entries it belongs with; a list takes `- ` on every line, a map `key: value`"),
    }
}

fn no_colon(span: Span, line: &str) -> Problem {
    Problem::new(ProblemKind::Syntax, span, format!("`{}` has no `: `, so it is not a key with a value", shown(line)))
        .help("write `key: value`, or quote a text that takes several lines")
}

/// `from:P1.1` at the start of what could not be read.
fn unspaced(builder: &Builder<'_>, at: u32) -> Option<Problem> {
    let word = word_at(builder.text, at);
    let colon = gotchas::inner_colon(word)?;
    let bracket = word.get(colon + 1..).is_some_and(|value| value.starts_with(['{', '[']));
    let line = lines::line_at(builder.text, at);
    // With a proper colon further on it was a key that merely holds one.
    if !bracket && line.get(word.len()..).is_some_and(|rest| rest.contains(": ") || rest.trim_end().ends_with(':')) {
        return None;
    }
    Some(gotchas::unspaced_colon(builder.file, at, word, colon))
}

/// The text from `at` to the next blank.
fn word_at(text: &str, at: u32) -> &str {
    let rest = text.get(at as usize..).unwrap_or("");
    let mut word = rest.split_whitespace().next().unwrap_or("");
    if !rest.starts_with(word) {
        word = "";
    }
    let length = word.char_indices().nth(40).map_or(word.len(), |(index, _)| index);
    word.get(..length).unwrap_or(word)
}

fn character(builder: &Builder<'_>, at: u32) -> Span {
    let length = builder.text.get(at as usize..).and_then(|rest| rest.chars().next());
    let length = length.filter(|letter| *letter != '\n' && *letter != '\r').map_or(0, char::len_utf8);
    builder.span(at, at + length as u32)
}

fn find_tab(builder: &Builder<'_>, at: u32) -> Span {
    let text = builder.text;
    let mut start = lines::start_of_line(text, at);
    for _ in 0..3 {
        let line = lines::line_at(text, start);
        let blanks = line.len() - line.trim_start_matches([' ', '\t']).len();
        if let Some(tab) = line.get(..blanks).and_then(|blanks| blanks.find('\t')) {
            let tabs = line.get(tab..blanks).map_or(1, |rest| rest.chars().take_while(|&letter| letter == '\t').count());
            return builder.span(start + tab as u32, start + (tab + tabs) as u32);
        }
        start = lines::next_line(text, start);
    }
    let rest = text.get(at as usize..).unwrap_or("");
    match rest.find('\t') {
        Some(tab) => builder.span(at + tab as u32, at + tab as u32 + 1),
        None => character(builder, at),
    }
}

/// The start of the character that holds the byte `at`.
fn floor(text: &str, at: u32) -> u32 {
    let mut at = (at as usize).min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at as u32
}
