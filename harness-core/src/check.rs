//! One run: the stages in their order, the workshop's levels, the order of the findings, the remedies tried.

mod apply;
mod overlay;
mod own_keys;
mod remedies;
mod roots;
mod rounds;
mod trial;

pub use apply::{Applied, Written, apply};

use crate::{
    analysis::Analysis,
    causes,
    date::Date,
    design::Design,
    files::Files,
    finding::{Finding, Judged, Level, Remedy},
    network::Network,
    report::{HotConductor, ModeSummary, Report, Summary},
    review::{self, Scope},
    rules::{self, Rule},
    text::{FileId, Span},
    threads,
};
use roots::Roots;
use std::{
    num::NonZero,
    panic::{AssertUnwindSafe, catch_unwind},
    sync::{
        Arc,
        atomic::{AtomicUsize, Ordering},
    },
};

/// How many of the hottest conductors a summary names.
const HOTTEST: usize = 3;

/// Runs the rules over analysed designs.
///
/// # Example
/// An editor keeps the design and its analysis while the text stays as it is, and asks for findings and figures:
/// ```
/// use harness_core::{Analysis, Checker, Design, MemoryFiles};
///
/// struct Session {
///     text: String,
///     analysis: Analysis,
/// }
///
/// impl Session {
///     fn open(text: &str) -> Self {
///         let design = Design::load(&MemoryFiles::one("lift.yaml", text), "lift.yaml");
///         Self { text: text.to_owned(), analysis: Analysis::of_all(&design) }
///     }
///
///     /// Line and column of each finding, as editors count them, with its headline.
///     fn squiggles(&self) -> Vec<(usize, usize, String)> {
///         let report = Checker::new().check(&self.analysis);
///         let place = |finding: &harness_core::finding::Judged| {
///             let range = report.sources.range(finding.primary.span)?;
///             Some((range.start.line, range.start.utf16_column, finding.headline.clone()))
///         };
///         report.findings.iter().filter_map(place).collect()
///     }
/// }
///
/// let session = Session::open("format: 1\ndesign: Lift\nzones: { grill: { wett: true } }\n");
/// assert!(session.text.contains("wett"));
/// let (line, _, headline) = &session.squiggles()[0];
/// assert!(headline.contains("`wett`"), "{line}: {headline}");
/// ```
#[derive(Debug, Clone, Copy, Default)]
pub struct Checker {
    threads: Option<NonZero<usize>>,
    today: Option<Date>,
    tries: bool,
    folds: bool,
}

impl Checker {
    /// A checker that uses as many threads as help, and for which no waiver has expired.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Runs rules on at most so many threads. What is found is the same, however many there are.
    #[must_use]
    pub fn threads(mut self, most: NonZero<usize>) -> Self {
        self.threads = Some(most);
        self
    }

    /// Judges waivers as of this day; without one none has expired.
    #[must_use]
    pub fn today(mut self, day: Date) -> Self {
        self.today = Some(day);
        self
    }

    /// Tries the remedies of what it finds: each is made in memory and the design checked again, and a finding gets the first that
    /// removes it and leaves no other ([`Judged::offer`]).
    ///
    /// # Cost
    /// Nothing where no finding proposes a remedy; else a few checks, since remedies that share nothing are tried in one: at most 150, fewer
    /// above 10 conductors, and four in a very large design.
    #[must_use]
    pub fn try_remedies(mut self) -> Self {
        self.tries = true;
        self.fold()
    }

    /// Finds out what follows from what: the first remedy of each slip of wiring (wires, plugs, rings and poles in each other's places) is made in memory
    /// and the design checked again. What is gone then follows from that slip and is of its cause ([`Judged::follows`]), and the slip is as severe
    /// as the worst of it.
    ///
    /// # Cost
    /// Nothing where no finding is a slip of wiring; else at most eight checks, two in a very large design.
    #[must_use]
    pub fn fold(mut self) -> Self {
        self.folds = true;
        self
    }

    /// Runs every rule over an analysed design.
    ///
    /// Never fails: a rule that breaks off is a finding under its own name and listed in [`Report::broken_rules`]; such a report
    /// must not pass for a whole one.
    ///
    /// # Cost
    /// About linear in the size of the design; see the analysis for what was computed before.
    #[must_use]
    pub fn check(&self, analysis: &Analysis) -> Report {
        let design = analysis.design();
        let model = analysis.model();
        let mut findings = design.mistakes().to_vec();
        let rules: Vec<_> = rules::all().collect();
        let (found, broken_rules) = self.run(&rules, analysis);
        findings.extend(found);
        let all_modes = analysis.electrical().modes().len() == model.modes().len();
        let mut findings = review::judge(model, design.sources(), Scope { today: self.today, all_modes }, findings);
        let summary = summary(analysis, design.sources().files().count(), &findings);
        // What changes no letter can't be what removes a finding, though another step of the same trial may.
        for finding in &mut findings {
            let changes = |remedy: &Remedy| remedy.edits.iter().any(|edit| design.sources().slice(edit.span) != edit.text);
            finding.finding.remedies.retain(changes);
        }
        own_keys::own_keys(model, design.sources(), &mut findings);
        let roots =
            if self.folds && broken_rules.is_empty() { roots::roots(self, analysis, &findings) } else { Roots::default() };
        for (at, offer) in roots.offers.into_iter().filter(|_| self.tries) {
            if let Some(finding) = findings.get_mut(at) {
                finding.offer = Some(offer);
            }
        }
        for finding in &mut findings {
            finding.finding.remedies.retain(|remedy| !remedy.is_guess);
        }
        let (findings, causes) = causes::arrange(model, design.sources(), findings, &roots.follow);
        let mut report = Report {
            sources: Arc::clone(design.sources()),
            summary,
            findings,
            causes,
            known_modes: design.mode_names().map(str::to_owned).collect(),
            broken_rules,
            untried: 0,
            compared: None,
        };
        if self.tries {
            remedies::try_remedies(self, analysis, &mut report);
        }
        report
    }

    /// Runs the rules; their findings come in the order of the rules, and with them the names of those that broke off.
    fn run(&self, rules: &[&Rule], analysis: &Analysis) -> (Vec<Finding>, Vec<&'static str>) {
        let next = AtomicUsize::new(0);
        let work = || {
            let mut found: Vec<(usize, Result<Vec<Finding>, String>)> = Vec::new();
            loop {
                let at = next.fetch_add(1, Ordering::Relaxed);
                let Some(rule) = rules.get(at) else { return found };
                found.push((at, guarded(rule, analysis)));
            }
        };
        let mut found = threads::many(self.threads, work);
        found.sort_by_key(|(at, _)| *at);
        let (mut findings, mut broken) = (Vec::new(), Vec::new());
        for (rule, (_, outcome)) in rules.iter().zip(found) {
            match outcome {
                Ok(more) => findings.extend(more),
                Err(why) => {
                    findings.push(broke_off(rule, &why));
                    broken.push(rule.page.name);
                }
            }
        }
        (findings, broken)
    }
}

/// Reads the design in the file `root`, computes what flows in all its modes and runs every rule over it.
///
/// The short way for those who want the report alone; [`Design`], [`Analysis`] and [`Checker`] are the same in steps that can be
/// kept. Never fails: what prevents a check is itself a finding.
///
/// # Example
/// ```
/// use harness_core::{Checker, MemoryFiles, check, finding::Level};
///
/// let netlist = "format: 1\ndesign: Orchard lift\nzones: { grill: { wet: true } }\ndevices: { horn: { zone: gril } }\n";
/// let report = check(&MemoryFiles::one("lift.yaml", netlist), "lift.yaml", &Checker::new());
/// let finding = &report.findings[0];
/// assert_eq!((finding.rule, finding.level), ("format/unknown-name", Level::Error));
/// assert_eq!(report.sources.place(finding.primary.span), "lift.yaml:4:26");
/// assert_eq!(finding.primary.text, "did you mean `grill`?");
/// ```
#[must_use]
pub fn check(files: &dyn Files, root: &str, checker: &Checker) -> Report {
    checker.check(&Analysis::of_all(&Design::load(files, root)))
}

/// Runs one rule; why it broke off, if it did.
///
/// Rules only read, and what they share is made whole or not at all, so nothing half done is left behind.
fn guarded(rule: &Rule, analysis: &Analysis) -> Result<Vec<Finding>, String> {
    catch_unwind(AssertUnwindSafe(|| (rule.check)(analysis))).map_err(|payload| {
        let text = payload.downcast_ref::<&str>().map(|text| (*text).to_owned());
        text.or_else(|| payload.downcast_ref::<String>().cloned()).unwrap_or_else(|| "for an unknown reason".to_owned())
    })
}

/// The finding for all that a broken rule did not say.
fn broke_off(rule: &Rule, why: &str) -> Finding {
    let top = Span::new(FileId::default(), 0, 0);
    Finding::new(rule.page.name, Level::Error, top, format!("internal fault: the rule `{}` stopped", rule.page.name))
        .label("not checked by this rule")
        .figure("reason", why)
        .concerns(rule.page.name)
        .help("treat its findings as missing, not as none, and report the fault with the design that shows it")
}

fn summary(analysis: &Analysis, files: usize, findings: &[Judged]) -> Summary {
    let (model, network, electrical) = (analysis.model(), analysis.network(), analysis.electrical());
    let text = |name: Option<crate::text::Name>| name.map_or_else(String::new, |name| model.text(name).to_owned());
    Summary {
        design: text(model.design),
        revision: text(model.revision),
        files,
        devices: model.devices().len(),
        looms: model.looms().len(),
        ends: model.ends().len(),
        conductors: model.wires().len(),
        nets: joined_nets(network),
        modes: electrical
            .modes_as_written()
            .into_iter()
            .map(|mode| ModeSummary {
                name: model.mode_name(mode.id).to_owned(),
                loaded: electrical.loaded_wires(mode),
                solved: mode.is_settled(),
            })
            .collect(),
        hottest: electrical
            .hottest(HOTTEST)
            .into_iter()
            .map(|hot| HotConductor {
                name: model.wire_name(hot.wire),
                mode: model.mode_name(hot.mode).to_owned(),
                temperature: hot.temperature.map(|at| (at.get() * 10.0).round() / 10.0),
                rated: hot.class.get(),
            })
            .collect(),
        coverage: analysis.facts().coverage(),
        // Those that look at waivers ran too.
        rules: rules::all().count() + 2,
        unread: analysis.design().unread().collect(),
        unchecked: findings
            .iter()
            .filter(|finding| finding.rule == "review/missing-fact" && finding.level == Level::Note)
            .count(),
    }
}

/// Nets that join at least two points.
fn joined_nets(network: &Network) -> usize {
    network.nets().filter(|(_, points)| points.len() > 1).count()
}

#[cfg(test)]
mod tests {
    use super::Checker;
    use crate::{
        analysis::Analysis,
        design::Design,
        files::MemoryFiles,
        finding::{Finding, Level},
        rules::{self, Rule},
    };
    use std::num::NonZero;

    const DESIGN: &str = "format: 1
design: Orchard lift
domains: { aux: { nominal: 12 V, max: 15 V, reference: chassis } }
parts: { housings: { two-way-pins: { family: QL, positions: 2, contacts: pin } } }
devices: { horn: { ports: { J1: { housing: two-way-pins, pins: { 1: { signal: horn feed, role: supply, domain: aux } } } } } }
";

    fn breaks(_: &Analysis) -> Vec<Finding> {
        let points: Vec<u32> = Vec::new();
        vec![Finding::new("none/none", Level::Note, crate::text::Span::default(), points[points.len()].to_string())]
    }

    #[test]
    fn a_rule_that_breaks_off_is_a_finding_and_hides_no_other() {
        let design = Design::load(&MemoryFiles::one("lift.yaml", DESIGN), "lift.yaml");
        let analysis = Analysis::of_all(&design);
        let sound: Vec<&Rule> = rules::all().collect();
        let (expected, broken) = Checker::new().run(&sound, &analysis);
        assert!(broken.is_empty() && !expected.is_empty(), "{expected:?}");
        let page = crate::finding::RulePage { name: "netlist/breaks", level: Level::Note, since: "0.1.0", finds: "", docs: "" };
        let bad = Rule { page, check: breaks };
        for threads in [1, 4] {
            let with_bad: Vec<&Rule> = sound.iter().copied().take(3).chain([&bad]).chain(sound.iter().copied().skip(3)).collect();
            let checker = Checker::new().threads(NonZero::new(threads).unwrap());
            let (found, broken) = checker.run(&with_bad, &analysis);
            assert_eq!(broken, ["netlist/breaks"]);
            let (own, others): (Vec<_>, Vec<_>) = found.into_iter().partition(|finding| finding.rule == "netlist/breaks");
            assert_eq!(others, expected);
            assert_eq!((own.len(), own[0].stated), (1, Level::Error));
            assert!(own[0].figures[0].value.contains("index out of bounds"), "{:?}", own[0].figures);
        }
    }
}
