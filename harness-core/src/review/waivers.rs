//! Waivers applied: a finding that one accepts is marked, a waiver that accepts nothing is told.

use super::{
    acceptable,
    names::{Named, Names},
};
use crate::{
    date::Date,
    finding::{Finding, Judged, Level, RulePage, Waived},
    model::{Model, Waiver},
    rules::{self, STALE_WAIVER},
    suggest::{nearest, question},
    text::{Span, Text},
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
pub(super) fn apply(model: &Model, scope: Scope, findings: &mut [Judged]) -> Vec<Finding> {
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
            Verdict::Told(finding) => stale.push(*finding),
            Verdict::Empty(finding) => stale.extend((is_read && scope.all_modes).then_some(*finding)),
        }
    }
    let accepted = groups.accepted;
    for (number, waiver) in accepted {
        let Some(finding) = findings.get_mut(number) else { continue };
        finding.waived = Some(Waived {
            reason: model.text(waiver.reason.value).to_owned(),
            by: waiver.by.map(|by| model.text(by.value).to_owned()),
            until: waiver.until.map(|until| until.value),
            span: waiver.span,
        });
    }
    stale
}

/// The findings by rule and thing, and what waivers accept of them.
struct Groups<'f, 'w> {
    groups: FxHashMap<(&'static str, &'f str), Group>,
    /// By the number of the finding: of two waivers of one finding the first is shown.
    accepted: BTreeMap<usize, &'w Waiver>,
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
        Self { groups, accepted: BTreeMap::new() }
    }

    /// Accepts the findings of `rule` about `thing`; gives how many it took and how many it may not take.
    fn accept(&mut self, rule: &'static str, thing: &str, waiver: &'w Waiver) -> (usize, usize) {
        let Some(Group { dangers, others }) = self.groups.get(&(rule, thing)) else { return (0, 0) };
        let answered = waiver.by.is_some() && waiver.until.is_some();
        for part in [Some(others), answered.then_some(dangers)].into_iter().flatten() {
            if part.is_accepted.replace(true) {
                continue;
            }
            for number in &part.numbers {
                self.accepted.entry(*number).or_insert(waiver);
            }
        }
        match answered {
            true => (others.numbers.len() + dangers.numbers.len(), 0),
            false => (others.numbers.len(), dangers.numbers.len()),
        }
    }
}

enum Verdict {
    Holds,
    Told(Box<Finding>),
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
            Err(finding) => return Verdict::Told(finding),
        };
        if let Some(finding) = self.unfit(rule, scope.today) {
            return told(finding);
        }
        let thing = match names.find(self.at()) {
            Named::One(thing) => thing,
            Named::Several(some) => return told(self.several(&some)),
            Named::Nothing(near) => return Verdict::Empty(Box::new(self.nothing(near))),
        };
        match groups.accept(rule, &thing, waiver) {
            (0, 0) => {
                let finding = self.told(waiver.at.span, format!("{} accepts nothing: there is no such finding", self.named()));
                let help = "take it out if the fault is mended; otherwise write rule and thing as the finding names them";
                Verdict::Empty(Box::new(finding.label("nothing to accept here").help(help)))
            }
            (_, 1..) => told(self.refused()),
            _ if waiver.by.is_none() => {
                let finding = self.told(waiver.span, format!("nobody answers for {}: it has no `by`", self.named()));
                told(finding.label("lacks `by`").help("add `by`: who reviewed and accepted it"))
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
                true => "a waiver that does not hold is mended or taken out",
                false => "what can't be read hides what it would have said",
            };
            let finding = self.told(waiver.finding.span, format!("findings of `{rule}` are accepted by no waiver"));
            return Some(finding.label(why).help("mend what the finding says, and take the waiver out"));
        }
        if let (Some(today), Some(until)) = (today, waiver.until)
            && until.value < today
        {
            let headline = format!("{} held until {} and accepts nothing since", self.named(), until.value);
            let finding = self.told(until.span, headline).label(format!("today is {today}"));
            let help = "mend the fault, or have it reviewed again and write a later `until`; take the waiver out if it is mended";
            return Some(finding.help(help));
        }
        let blank = match waiver.by {
            _ if self.is_blank(waiver.reason) => "reason",
            Some(by) if self.is_blank(by) => "by",
            _ => return None,
        };
        let finding = self.told(waiver.span, format!("{} has a blank `{blank}` and was not applied", self.named()));
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
                let headline = format!("{} was not applied: several rules are called so", self.named());
                let finding = self.told(self.waiver.finding.span, headline);
                Err(Box::new(finding.label("which of them?").help(format!("write the group too, such as `{first}`"))))
            }
        }
    }

    fn no_rule(&self, near: Option<&str>) -> Box<Finding> {
        let written = self.model.text(self.waiver.finding.value);
        let finding = self.told(self.waiver.finding.span, format!("{} accepts nothing: there is no such rule", self.named()));
        Box::new(match near {
            Some(near) => finding.label(question(written, near)).help(format!("write `{near}` for `{written}`")),
            None => {
                finding.label("unknown rule").help("name a rule by its group and its fault, such as `netlist/unconnected-pin`")
            }
        })
    }

    fn several(&self, some: &[String]) -> Finding {
        let list = some.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ");
        let headline = format!("{} was not applied: more than one thing is called so", self.named());
        self.told(self.waiver.at.span, headline).label("which of them?").help(format!("write the full name, such as {list}"))
    }

    fn nothing(&self, near: Option<String>) -> Finding {
        let finding = self.told(self.waiver.at.span, format!("{} accepts nothing: nothing is called so", self.named()));
        match near {
            Some(near) => finding.label(question(self.at(), &near)).help(format!("write `{near}`, or take the waiver out")),
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
        self.told(self.waiver.span, format!("{} was not applied to a danger: it has no {no}", self.named()))
            .label(format!("lacks {lacks}"))
            .help("mend the danger; or say who accepted it (`by`) and until which day (`until`)")
    }

    fn told(&self, at: Span, headline: String) -> Finding {
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

fn told(finding: Finding) -> Verdict {
    Verdict::Told(Box::new(finding))
}
