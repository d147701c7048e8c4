//! One run: the stages in their order, the workshop's levels, the order of the findings.

use crate::{
    analysis::Analysis,
    electrical,
    files::Files,
    finding::{Finding, Judged, Level},
    format,
    model::{self, ModeId, Model},
    network::{self, Network},
    report::{HotConductor, ModeSummary, Options, Report, Summary},
    review::{self, Scope},
    rules,
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
    let scope = Scope { today: options.today, all_modes: modes.len() == model.modes().len() };
    let findings = review::judge(&model, scope, findings);
    let summary = summary(&analysis, loaded.sources.files().count(), &findings);
    let known_modes = model.modes().map(|(id, _)| model.mode_name(id).to_owned()).collect();
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

fn summary(analysis: &Analysis<'_>, files: usize, findings: &[Judged]) -> Summary {
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
            .modes()
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
