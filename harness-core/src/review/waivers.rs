//! Waivers applied: a finding that one accepts is marked, one that has grown since it was reviewed is not, and a waiver that accepts
//! nothing is reported.

use super::{
    acceptable,
    names::{Named, Names},
};
use crate::{
    date::Date,
    finding::{Figure, Finding, Judged, Label, Level, Remedy, RemedyKind, RulePage, Waived, growth, review_text},
    model::{Model, Waiver},
    rules::{self, STALE_WAIVER, UNBOUND_WAIVER},
    suggest::{nearest, question},
    text::{Sources, Span, Text},
    wording::{agree, count},
};
use rustc_hash::FxHashMap;
use std::{cell::Cell, collections::BTreeMap};

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
    let mut groups = Groups::new(findings);
    for waiver in &model.waivers {
        let subject = Subject { model, waiver };
        match subject.judge(scope, &rules, &mut names, &mut groups) {
            Verdict::Holds => {}
            Verdict::Stale(finding) => stale.push(*finding),
            Verdict::Empty(finding) => stale.extend((is_read && scope.all_modes).then_some(*finding)),
        }
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
    let mut finding = UNBOUND_WAIVER.finding(*first, headline).label("has no `reviewed`").help(format!(
        "add `reviewed` to {them} with the text of its finding, such as `reviewed: 'error: ...'`: it then accepts that and nothing worse"
    ));
    let mut remedy = Remedy::new(RemedyKind::Record, format!("write into {them} what was reviewed"));
    for (at, (waiver, mut said)) in texts {
        if at != finding.primary.span {
            finding = finding.context(at, "nor has this one");
        }
        said.sort_unstable();
        let reviewed = format!("reviewed: '{}'", said.join(" | ").replace('\'', "''"));
        remedy = remedy
            .edit(Span::new(waiver.at.span.file, waiver.at.span.end, waiver.at.span.end), after(sources, waiver, &reviewed));
        finding = finding.concerns(model.text(waiver.at.value));
    }
    Some(finding.remedy(remedy))
}

/// A further key of a waiver as it is written behind its `at`: after a comma in braces, else on a line of its own.
fn after(sources: &Sources, waiver: &Waiver, key: &str) -> String {
    let file = sources.file(waiver.span.file);
    let text = file.map_or("", |file| file.text());
    let in_braces = text.get(waiver.span.start as usize..).is_some_and(|text| text.starts_with('{'));
    if in_braces {
        return format!(", {key}");
    }
    // The keys of a block are below each other.
    let column = file.map_or(1, |file| file.line_column(waiver.span.start).1);
    format!("\n{}{key}", " ".repeat(column - 1))
}

/// The findings by rule and thing, and what waivers accept of them.
struct Groups<'f, 'w> {
    groups: FxHashMap<(&'static str, &'f str), Group>,
    /// By the number of the finding: of two waivers of one finding the first is shown.
    accepted: BTreeMap<usize, &'w Waiver>,
    /// Findings that are more severe than a waiver records, and in what.
    outgrown: BTreeMap<usize, (&'w Waiver, Vec<String>)>,
    findings: &'f [Judged],
}

#[derive(Default)]
struct Group {
    dangers: Part,
    others: Part,
}

/// Findings that one waiver accepts together or not at all.
#[derive(Default)]
struct Part {
    numbers: Vec<usize>,
    /// A waiver accepted all of them: the next one has nothing to add.
    is_accepted: Cell<bool>,
}

impl<'f, 'w> Groups<'f, 'w> {
    fn new(findings: &'f [Judged]) -> Self {
        let mut groups: FxHashMap<(&'static str, &'f str), Group> = FxHashMap::default();
        for (number, finding) in findings.iter().enumerate() {
            for thing in &finding.concerns {
                let group = groups.entry((finding.rule, thing)).or_default();
                let part = if finding.level == Level::Danger { &mut group.dangers } else { &mut group.others };
                // A finding may name a thing twice.
                if part.numbers.last() != Some(&number) {
                    part.numbers.push(number);
                }
            }
        }
        Self { groups, accepted: BTreeMap::new(), outgrown: BTreeMap::new(), findings }
    }

    /// Accepts the findings of `rule` about `thing` as far as they are no more severe than `reviewed` says; gives how many are the
    /// waiver's and how many it may not take.
    fn accept(&mut self, rule: &'static RulePage, thing: &str, waiver: &'w Waiver, reviewed: Option<&str>) -> (usize, usize) {
        let Some(Group { dangers, others }) = self.groups.get(&(rule.name, thing)) else { return (0, 0) };
        let answered = waiver.by.is_some() && waiver.until.is_some();
        for part in [Some(others), answered.then_some(dangers)].into_iter().flatten() {
            if part.is_accepted.get() {
                continue;
            }
            let mut all = true;
            for number in &part.numbers {
                let Some(finding) = self.findings.get(*number) else { continue };
                match reviewed.and_then(|reviewed| grown(reviewed, thing, finding, rule.level)) {
                    Some(grown) => {
                        self.outgrown.entry(*number).or_insert((waiver, grown));
                        all = false;
                    }
                    None => {
                        self.accepted.entry(*number).or_insert(waiver);
                    }
                }
            }
            part.is_accepted.set(all);
        }
        match answered {
            true => (others.numbers.len() + dangers.numbers.len(), 0),
            false => (others.numbers.len(), dangers.numbers.len()),
        }
    }
}

/// What of a finding is more severe than what was reviewed. A text may record several findings, with a bar between: the one that is
/// nearest counts.
fn grown(reviewed: &str, thing: &str, finding: &Judged, default: Level) -> Option<Vec<String>> {
    let each = reviewed.split(" | ").map(|one| growth(one, thing, finding, Some(default)));
    each.min_by_key(Vec::len).filter(|grown| !grown.is_empty())
}

enum Verdict {
    Holds,
    Stale(Box<Finding>),
    /// It accepts nothing of what was looked for.
    Empty(Box<Finding>),
}

struct Subject<'a> {
    model: &'a Model,
    waiver: &'a Waiver,
}

impl<'a> Subject<'a> {
    fn judge(&self, scope: Scope, rules: &[&'static RulePage], names: &mut Names, groups: &mut Groups<'_, 'a>) -> Verdict {
        let Self { waiver, .. } = self;
        let rule = match self.rule(rules) {
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
        match groups.accept(page, &thing, waiver, reviewed) {
            (0, 0) => {
                let finding = self.fault(waiver.at.span, format!("{} accepts nothing: there is no such finding", self.named()));
                let help = "take it out if the fault is fixed; otherwise write rule and thing as the finding names them";
                Verdict::Empty(Box::new(finding.label("nothing to accept here").help(help)))
            }
            (_, 1..) => stale(self.refused()),
            _ if waiver.by.is_none() => {
                let finding =
                    self.fault(waiver.span, format!("{} names nobody who answers for it: it has no `by`", self.named()));
                stale(finding.label("lacks `by`").help("add `by`: who reviewed and accepted it"))
            }
            _ => Verdict::Holds,
        }
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
    fn rule(&self, rules: &[&'static RulePage]) -> Result<&'static str, Box<Finding>> {
        let written = self.model.text(self.waiver.finding.value);
        let names = || rules.iter().map(|rule| rule.name);
        let fault = |name: &'static str| name.split_once('/').map_or(name, |(_, fault)| fault);
        let found: Vec<&'static str> = names().filter(|name| *name == written || fault(name) == written).collect();
        match found.as_slice() {
            [only] => Ok(*only),
            [] => Err(self.no_rule(nearest(written, names()).or_else(|| nearest(written, names().map(fault))))),
            [first, ..] => {
                let headline = format!("{} was not applied: several rules have this name", self.named());
                let finding = self.fault(self.waiver.finding.span, headline);
                Err(Box::new(finding.label("which of them?").help(format!("write the group too, such as `{first}`"))))
            }
        }
    }

    fn no_rule(&self, near: Option<&str>) -> Box<Finding> {
        let written = self.model.text(self.waiver.finding.value);
        let finding = self.fault(self.waiver.finding.span, format!("{} accepts nothing: there is no such rule", self.named()));
        Box::new(match near {
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

fn stale(finding: Finding) -> Verdict {
    Verdict::Stale(Box::new(finding))
}
