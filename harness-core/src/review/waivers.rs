//! Waivers applied: a finding that one accepts is marked, one that has grown since it was reviewed is not, and a waiver that accepts
//! nothing is reported.

use super::{
    acceptable,
    groups::Groups,
    names::{Named, Names},
};
use crate::{
    date::Date,
    finding::{Figure, Finding, Judged, Label, Remedy, RemedyKind, RulePage, Waived, review_text},
    model::{Model, Waiver},
    rules::{self, STALE_WAIVER, UNBOUND_WAIVER},
    suggest::{nearest, question},
    text::{Sources, Span, Text},
    wording::{agree, count, list_of_first},
};
use std::collections::BTreeMap;

/// What a run looked at, as far as it decides whether a waiver can be said to accept nothing.
#[derive(Debug, Clone, Copy)]
pub struct Scope {
    /// The day on which waivers are judged; without it none has expired.
    pub today: Option<Date>,
    /// Every mode of the design was computed.
    pub all_modes: bool,
}

/// Marks the findings that the design's waivers accept and returns findings about waivers that do not hold.
///
/// Levels must have been applied: a danger asks more of a waiver than the rest. Cost: one pass over the findings and the names of
/// the design, if there is a waiver at all; each waiver is then a look-up.
pub(super) fn apply(model: &Model, sources: &Sources, scope: Scope, findings: &mut [Judged]) -> Vec<Finding> {
    if model.waivers.is_empty() {
        return Vec::new();
    }
    let rules = rules::pages();
    let mut names = Names::new(model, findings);
    // What was not read was not checked either.
    let is_read = !findings.iter().any(|finding| finding.rule.starts_with("format/"));
    let mut stale = Vec::new();
    let mut missed: Vec<(Subject<'_>, &'static str, String)> = Vec::new();
    let mut groups = Groups::new(findings);
    for waiver in &model.waivers {
        let subject = Subject { model, waiver };
        match subject.judge(scope, &rules, &mut names, &mut groups) {
            Verdict::Holds => {}
            Verdict::Stale(finding) => stale.push(*finding),
            Verdict::Empty(finding) => stale.extend((is_read && scope.all_modes).then_some(*finding)),
            Verdict::Missed(rule, thing) => missed.push((subject, rule, thing)),
        }
    }
    // What nobody accepted is known once all waivers were looked at.
    if is_read && scope.all_modes {
        stale.extend(missed.into_iter().map(|(subject, rule, thing)| subject.no_finding(rule, &thing, &groups)));
    }
    let Groups { accepted, outgrown, .. } = groups;
    stale.extend(unbound(model, sources, &accepted, findings));
    for (number, (waiver, grown)) in outgrown {
        if accepted.contains_key(&number) {
            continue;
        }
        let Some(finding) = findings.get_mut(number) else { continue };
        let place = waiver.reviewed.map_or(waiver.span, |reviewed| reviewed.span);
        finding.finding.labels.push(Label { span: place, text: "the waiver accepts less".to_owned() });
        finding.finding.figures.push(Figure { name: "since the review", value: grown.join("; ") });
    }
    for (number, waiver) in accepted {
        let Some(finding) = findings.get_mut(number) else { continue };
        let text = |text: Text| model.text(text.value).to_owned();
        finding.waived = Some(Waived {
            reason: text(waiver.reason),
            by: waiver.by.map(text),
            until: waiver.until.map(|until| until.value),
            reviewed: waiver.reviewed.map(text),
            span: waiver.span,
        });
    }
    stale
}

/// One finding for all waivers that accept something and do not record what was reviewed, with the text for each.
fn unbound(model: &Model, sources: &Sources, accepted: &BTreeMap<usize, &Waiver>, findings: &[Judged]) -> Option<Finding> {
    let mut texts: BTreeMap<Span, (&Waiver, Vec<String>)> = BTreeMap::new();
    for (number, waiver) in accepted.iter().filter(|(_, waiver)| waiver.reviewed.is_none()) {
        let Some(finding) = findings.get(*number) else { continue };
        let named = model.text(waiver.at.value);
        // The waiver may name its thing by the end of the name.
        let at = finding.concerns.iter().find(|name| *name == named || name.ends_with(&format!(".{named}")));
        let text = review_text(finding, at.map_or(named, String::as_str));
        texts.entry(waiver.span).or_insert((waiver, Vec::new())).1.push(text);
    }
    let (first, _) = texts.first_key_value()?;
    let (is, them) = (agree(texts.len(), "does", "do"), agree(texts.len(), "it", "each of them"));
    let headline = format!(
        "{} {is} not record what was reviewed, and {} a worse finding too",
        count(texts.len(), "waiver"),
        agree(texts.len(), "accepts", "accept")
    );
    let several = |said: &[String]| match said.len() {
        1 => String::new(),
        more => format!("; accepts {}", count(more, "finding")),
    };
    let label = texts.first_key_value().map_or_else(String::new, |(_, (_, said))| format!("has no `reviewed`{}", several(said)));
    let mut finding = UNBOUND_WAIVER.finding(*first, headline).label(label).help(format!(
        "add `reviewed` to {them} with the text of its finding, such as `reviewed: 'error: ...'`: it then accepts that and nothing worse"
    ));
    let mut remedy = Remedy::new(RemedyKind::Record, format!("write into {them} what was reviewed"));
    for (at, (waiver, mut said)) in texts {
        if at != finding.primary.span {
            finding = finding.context(at, format!("nor has this one{}", several(&said)));
        }
        said.sort_unstable();
        let reviewed = format!("reviewed: '{}'", said.join(" | ").replace('\'', "''"));
        let (place, text) = after(sources, waiver, &reviewed);
        remedy = remedy.edit(place, text);
        finding = finding.concerns(model.text(waiver.at.value));
    }
    Some(finding.remedy(remedy))
}

/// A further key of a waiver and where it is written: in braces behind its `at`, else on a line of its own below that.
fn after(sources: &Sources, waiver: &Waiver, key: &str) -> (Span, String) {
    let (file, end) = (sources.file(waiver.span.file), waiver.at.span.end);
    let text = file.map_or("", |file| file.text());
    let at = |end: u32| Span::new(waiver.at.span.file, end, end);
    let in_braces = text.get(waiver.span.start as usize..).is_some_and(|text| text.starts_with('{'));
    if in_braces {
        return (at(end), format!(", {key}"));
    }
    // The keys of a block are below each other; a comment stays beside what it is about.
    let column = file.map_or(1, |file| file.line_column(waiver.span.start).1);
    let rest = text.get(end as usize..).and_then(|text| text.lines().next()).unwrap_or_default();
    let is_comment = rest.trim_start().starts_with('#');
    let behind = if is_comment { u32::try_from(rest.len()).unwrap_or_default() } else { 0 };
    (at(end + behind), format!("\n{}{key}", " ".repeat(column - 1)))
}

enum Verdict {
    Holds,
    Stale(Box<Finding>),
    /// It accepts nothing of what was looked for.
    Empty(Box<Finding>),
    /// No finding of this rule is about this thing.
    Missed(&'static str, String),
}

struct Subject<'a> {
    model: &'a Model,
    waiver: &'a Waiver,
}

impl<'a> Subject<'a> {
    fn judge(&self, scope: Scope, rules: &[&'static RulePage], names: &mut Names, groups: &mut Groups<'_, 'a>) -> Verdict {
        let Self { waiver, .. } = self;
        let rule = match self.rule(rules, groups) {
            Ok(rule) => rule,
            Err(finding) => return Verdict::Stale(finding),
        };
        if let Some(finding) = self.unfit(rule, scope.today) {
            return stale(finding);
        }
        let thing = match names.find(self.at()) {
            Named::One(thing) => thing,
            Named::Several(some) => return stale(self.several(&some)),
            Named::Nothing(near) => return Verdict::Empty(Box::new(self.nothing(near))),
        };
        let Some(page) = rules.iter().find(|page| page.name == rule) else { return Verdict::Holds };
        let reviewed = waiver.reviewed.map(|text| self.model.text(text.value));
        let share = groups.accept(page, &thing, waiver, reviewed);
        match (share.of_it, share.refused, share.covered_by) {
            (0, 0, _) => Verdict::Missed(rule, thing),
            (_, 1.., _) => stale(self.refused()),
            (_, _, Some(first)) => stale(self.repeats(first)),
            _ if waiver.by.is_none() => {
                let finding =
                    self.fault(waiver.span, format!("{} names nobody who answers for it: it has no `by`", self.named()));
                stale(finding.label("lacks `by`").help("add `by`: who reviewed and accepted it"))
            }
            _ => Verdict::Holds,
        }
    }

    /// No finding of `rule` is about `thing`: what is there instead.
    fn no_finding(&self, rule: &str, thing: &str, groups: &Groups<'_, '_>) -> Finding {
        let finding = self.fault(self.waiver.at.span, format!("{} accepts nothing: there is no such finding", self.named()));
        let fixed = "take it out if the fault is fixed";
        let (things, rules) = (groups.things(rule, thing), groups.rules(thing));
        let help = match (things.is_empty(), rules.is_empty()) {
            (false, _) => format!(
                "{fixed}; otherwise name the thing as its finding does: those of `{rule}` are about {}",
                list_of_first(&quoted_all(&things), MOST_NAMED, 0)
            ),
            (true, false) => format!(
                "{fixed}; otherwise name the rule as its finding does: those about `{thing}` are of {}",
                list_of_first(&quoted_all(&rules), MOST_NAMED, 0)
            ),
            (true, true) => format!("{fixed}; otherwise write rule and thing as the finding names them"),
        };
        finding.label("nothing to accept here").help(help)
    }

    /// Another waiver accepts all that this one would.
    fn repeats(&self, first: Span) -> Finding {
        let headline = format!("{} adds nothing: another waiver accepts the same already", self.named());
        let finding = self.fault(self.waiver.span, headline).label("accepts nothing more").context(first, "accepts it already");
        finding.help("keep the one whose reason and `reviewed` are right, and take the other out")
    }

    /// What is at fault with a waiver of `rule` before anything is looked for: it can't accept such findings, its last day has
    /// passed, it says nothing.
    fn unfit(&self, rule: &str, today: Option<Date>) -> Option<Finding> {
        let waiver = self.waiver;
        if !acceptable(rule) {
            let why = match rule == STALE_WAIVER.name {
                true => "a waiver that does not hold is corrected or taken out",
                false => "what can't be read hides what it would have said",
            };
            let finding = self.fault(waiver.finding.span, format!("findings of `{rule}` are accepted by no waiver"));
            return Some(finding.label(why).help("fix what the finding says, and take the waiver out"));
        }
        if let (Some(today), Some(until)) = (today, waiver.until)
            && until.value < today
        {
            let headline = format!("{} held until {} and accepts nothing since", self.named(), until.value);
            let finding = self.fault(until.span, headline).label(format!("today is {today}"));
            let help = "fix the fault, or have it reviewed again and write a later `until`; take the waiver out if it is fixed";
            return Some(finding.help(help));
        }
        let blank = match waiver.by {
            _ if self.is_blank(waiver.reason) => "reason",
            Some(by) if self.is_blank(by) => "by",
            _ if waiver.reviewed.is_some_and(|text| self.is_blank(text)) => "reviewed",
            _ => return None,
        };
        let finding = self.fault(waiver.span, format!("{} has a blank `{blank}` and was not applied", self.named()));
        Some(finding.label("says nothing").help(format!("fill in `{blank}`")))
    }

    /// The full name of the waiver's rule, or what is at fault with it.
    fn rule(&self, rules: &[&'static RulePage], groups: &Groups<'_, '_>) -> Result<&'static str, Box<Finding>> {
        let written = self.model.text(self.waiver.finding.value);
        let names = || rules.iter().map(|rule| rule.name);
        let fault = |name: &'static str| name.split_once('/').map_or(name, |(_, fault)| fault);
        let found: Vec<&'static str> = names().filter(|name| *name == written || fault(name) == written).collect();
        match found.as_slice() {
            [only] => Ok(*only),
            [] => Err(self.no_rule(rules, groups, nearest(written, names()).or_else(|| nearest(written, names().map(fault))))),
            [first, ..] => {
                let headline = format!("{} was not applied: several rules have this name", self.named());
                let finding = self.fault(self.waiver.finding.span, headline);
                Err(Box::new(finding.label("which of them?").help(format!("write the group too, such as `{first}`"))))
            }
        }
    }

    fn no_rule(&self, rules: &[&'static RulePage], groups: &Groups<'_, '_>, near: Option<&str>) -> Box<Finding> {
        let written = self.model.text(self.waiver.finding.value);
        let finding = self.fault(self.waiver.finding.span, format!("{} accepts nothing: there is no such rule", self.named()));
        let one = "a waiver accepts findings of one rule: write its group and its fault";
        // One that found something here, if there is one.
        let here = groups.rules(self.at());
        let of_group = here.into_iter().chain(rules.iter().map(|rule| rule.name)).find(|name| {
            let group = written.trim_end_matches(['*', '/']);
            name.strip_prefix(group).is_some_and(|rest| rest.starts_with('/'))
        });
        Box::new(match near {
            _ if has_wildcard(written) || of_group.is_some() => {
                finding.label(if has_wildcard(written) { "`*` and `?` match nothing" } else { "a group, not a rule" }).help(
                    format!("{one}, such as `{}`, and one waiver for each rule", of_group.unwrap_or("netlist/unconnected-pin")),
                )
            }
            Some(near) => finding
                .label(question(written, near))
                .help("name a rule by its group and its fault, such as `netlist/unconnected-pin`")
                .remedy(
                    Remedy::new(RemedyKind::Spelling, format!("write `{near}` for `{written}`"))
                        .edit(self.waiver.finding.span, near),
                ),
            None => {
                finding.label("unknown rule").help("name a rule by its group and its fault, such as `netlist/unconnected-pin`")
            }
        })
    }

    fn several(&self, some: &[String]) -> Finding {
        let list = some.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ");
        let headline = format!("{} was not applied: more than one thing has this name", self.named());
        self.fault(self.waiver.at.span, headline).label("which of them?").help(format!("write the full name, such as {list}"))
    }

    fn nothing(&self, near: Option<String>) -> Finding {
        let finding = self.fault(self.waiver.at.span, format!("{} accepts nothing: nothing has this name", self.named()));
        match near {
            _ if has_wildcard(self.at()) => finding
                .label("`*` and `?` match nothing")
                .help("write one waiver for each thing, by the name that its finding gives it"),
            Some(near) => finding
                .label(question(self.at(), &near))
                .help("write the name as the finding gives it, or take the waiver out")
                .remedy(Remedy::new(RemedyKind::Record, format!("write `{near}`")).edit(self.waiver.at.span, near)),
            None => finding.label("unknown name").help("write the name as the finding gives it, or take the waiver out"),
        }
    }

    fn refused(&self) -> Finding {
        let lacks = match (self.waiver.by, self.waiver.until) {
            (None, None) => "`by` and `until`",
            (None, Some(_)) => "`by`",
            _ => "`until`",
        };
        let no = lacks.replace(" and ", " and no ");
        self.fault(self.waiver.span, format!("{} was not applied to a danger: it has no {no}", self.named()))
            .label(format!("lacks {lacks}"))
            .help("fix the danger; or say who accepted it (`by`) and until which day (`until`)")
    }

    fn fault(&self, at: Span, headline: String) -> Finding {
        STALE_WAIVER.finding(at, headline).concerns(self.at())
    }

    /// The waiver in words.
    fn named(&self) -> String {
        format!("the waiver of `{}` at `{}`", self.model.text(self.waiver.finding.value), self.at())
    }

    fn at(&self) -> &str {
        self.model.text(self.waiver.at.value)
    }

    fn is_blank(&self, text: Text) -> bool {
        self.model.text(text.value).trim().is_empty()
    }
}

/// Names that a help lists at most.
const MOST_NAMED: usize = 3;

fn quoted_all(names: &[&str]) -> Vec<String> {
    names.iter().map(|name| format!("`{name}`")).collect()
}

/// Whether somebody meant several names by one.
fn has_wildcard(text: &str) -> bool {
    text.contains(['*', '?'])
}

fn stale(finding: Finding) -> Verdict {
    Verdict::Stale(Box::new(finding))
}
