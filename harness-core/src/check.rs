//! One run: the stages in their order, the workshop's levels, the order of the findings.

use crate::{
    analysis::Analysis,
    electrical,
    files::Files,
    finding::{Finding, Level},
    format::{self, rules as format_rules},
    model::{self, ModeId, Model},
    network::{self, Network},
    report::{HotConductor, ModeSummary, Options, Report, Summary},
    review::{self, Scope},
    rules,
    suggest::nearest,
};
use std::{
    num::NonZero,
    sync::atomic::{AtomicUsize, Ordering},
    thread,
};

/// How many of the hottest conductors a summary names.
const HOTTEST: usize = 3;
/// Most threads that rules run on; more only wait for the longest rule.
const MOST_THREADS: usize = 4;

/// Reads the design in the file `root`, builds its network, computes what flows in every mode and checks it.
///
/// Never fails: what stands in the way of a check is itself a finding. Modes of `options` that the design does not have
/// are left out; [`Report::known_modes`] names those that there are.
#[must_use]
pub fn check(files: &dyn Files, root: &str, options: &Options) -> Report {
    analyse(files, root, options, |_, _| ()).0
}

/// As [`check`], and shows the analysed design with its report to `look` before both are let go.
///
/// What `look` makes of it is handed back beside the report. An editor or a command that lays out figures begins here;
/// a check costs the same, it looks at nothing.
pub fn analyse<T>(
    files: &dyn Files,
    root: &str,
    options: &Options,
    look: impl FnOnce(&Analysis<'_>, &Report) -> T,
) -> (Report, T) {
    let loaded = format::read(files, root);
    let mut findings = loaded.findings;
    let (model, mistakes) = model::build(loaded.design, loaded.names);
    findings.extend(mistakes);
    let network = network::network(&model);
    let modes = asked(&model, options);
    let electrical = electrical::electrical(&model, &network, &modes);
    let analysis = Analysis::new(&model, &network, &electrical);
    findings.extend(run(&analysis, options));
    let mistakes = raise_levels(&model, &mut findings);
    findings.extend(mistakes);
    let scope = Scope { today: options.today, all_modes: modes.len() == model.modes().len() };
    let mut stale = review::apply(&model, scope, &mut findings);
    raise_levels(&model, &mut stale);
    findings.extend(stale);
    findings.sort_by(Finding::order);
    findings.dedup();
    review::fingerprint(&mut findings);
    let summary = summary(&analysis, loaded.sources.files().count(), &findings);
    let mut known_modes: Vec<_> = model.modes().map(|(id, mode)| (mode.span, model.mode_name(id).to_owned())).collect();
    known_modes.sort();
    let known_modes = known_modes.into_iter().map(|(_, name)| name).collect();
    let report = Report { sources: loaded.sources, findings, summary, known_modes, compared: None };
    let seen = look(&analysis, &report);
    (report, seen)
}

/// Runs all rules, on as many threads as the options or the machine allow; their findings come in the order of the rules.
fn run(analysis: &Analysis<'_>, options: &Options) -> Vec<Finding> {
    let checks: Vec<_> = rules::checks().collect();
    let next = AtomicUsize::new(0);
    let allowed = options.threads.or_else(|| thread::available_parallelism().ok());
    let threads = allowed.map_or(1, NonZero::get).min(MOST_THREADS);
    let work = || {
        let mut found: Vec<(usize, Vec<Finding>)> = Vec::new();
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(check) = checks.get(at) else { return found };
            found.push((at, (check.run)(analysis)));
        }
    };
    let mut found = thread::scope(|scope| {
        let helpers: Vec<_> = (1..threads).map(|_| scope.spawn(work)).collect();
        let mut found = work();
        for helper in helpers {
            // A rule never panics; if one did, its findings would be missed, so the panic goes on to the caller.
            match helper.join() {
                Ok(more) => found.extend(more),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        found
    });
    found.sort_by_key(|(at, _)| *at);
    found.into_iter().flat_map(|(_, findings)| findings).collect()
}

/// The modes that were asked for; all if none was.
fn asked(model: &Model, options: &Options) -> Vec<ModeId> {
    let wanted = |id: &ModeId| options.modes.is_empty() || options.modes.iter().any(|name| model.mode_name(*id) == name);
    model.modes().map(|(id, _)| id).filter(wanted).collect()
}

/// Raises levels as the workshop's policy says, and returns what is at fault with the policy. A level is never lowered: what
/// may hurt someone stays that.
fn raise_levels(model: &Model, findings: &mut [Finding]) -> Vec<Finding> {
    let rules = rules::all();
    let mut wrong = Vec::new();
    for (name, level, span) in &model.policy.levels {
        let text = model.text(*name);
        let Some(rule) = rules.iter().find(|rule| rule.name == text) else {
            let finding = format_rules::UNKNOWN_NAME.finding(*span, format!("there is no rule `{}`", format::clip(text)));
            wrong.push(match nearest(text, rules.iter().map(|rule| rule.name)) {
                Some(near) => finding.label(format!("did you mean `{near}`?")).help(format!("write `{near}`")),
                None => finding.label("unknown rule").help("`harness rules` lists them"),
            });
            continue;
        };
        if *level < rule.level {
            wrong.push(
                format_rules::UNEXPECTED_VALUE
                    .finding(*span, format!("the level of `{text}` can't be lowered from {} to {level}", rule.level))
                    .label("lower than the default")
                    .help("take the line out; a finding that was reviewed gets a waiver with its reason"),
            );
            continue;
        }
        for finding in findings.iter_mut().filter(|finding| finding.rule == text) {
            finding.level = finding.level.max(*level);
        }
    }
    wrong
}

fn summary(analysis: &Analysis<'_>, files: usize, findings: &[Finding]) -> Summary {
    let Analysis { model, network, electrical, .. } = analysis;
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
            .modes_as_written(model)
            .into_iter()
            .map(|mode| ModeSummary {
                name: model.mode_name(mode.id).to_owned(),
                loaded: mode.loaded_wires(network),
                solved: mode.is_settled(),
            })
            .collect(),
        hottest: electrical
            .hottest(model, HOTTEST)
            .into_iter()
            .map(|hot| HotConductor {
                name: model.wire_name(hot.wire),
                mode: model.mode_name(hot.mode).to_owned(),
                temperature: hot.temperature.map(|at| (at.get() * 10.0).round() / 10.0),
                rated: hot.class.get(),
            })
            .collect(),
        // The one that looks at waivers ran too.
        rules: rules::checks().count() + 1,
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
