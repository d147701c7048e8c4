//! The demo with a fuse of twice and of four times its rating: where the check leaves it unsaid, every conductor behind that fuse carries the
//! larger rating for ever, by the recomputation of this room; where it calls a conductor too thin, one is.
//!
//! Taken from the library: which fuse is before a conductor and which of them decides.

use super::{
    Anew, Folder, Twice,
    sizes::before,
    trials::{FOLDER, NEAR, ROOT, hold},
};
use harness_core::{Analysis, Checker, Design, FileError, Files, finding::Level, internals::electrical::ModeState};
use harness_tests::{fixtures, tier::sample};
use std::collections::BTreeMap;

const KINDS: &str = "parts/conductors-and-fuses.yaml";

/// The demo with other texts in place of some of its files.
struct Changed {
    of: Folder,
    texts: BTreeMap<String, String>,
}

impl Files for Changed {
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
        self.texts.get(name).map_or_else(|| self.of.read(name), |text| Ok(text.clone().into_bytes()))
    }
}

fn text(name: &str) -> String {
    std::fs::read_to_string(fixtures().join(FOLDER).join(name)).expect("a file of the demo")
}

/// The kinds of fuses with one more that has `factor` times the rating of one of them.
fn kinds(kind: &str, factor: f64) -> Option<String> {
    let whole = text(KINDS);
    let from = whole.lines().skip_while(|line| !line.trim_start().starts_with(&format!("{kind}:")));
    let mut open = 0;
    let mut is_last = |line: &str| {
        open += line.matches('{').count();
        open -= line.matches('}').count();
        open == 0
    };
    let own: Vec<&str> = from.clone().take(from.clone().position(&mut is_last)? + 1).collect();
    let own = own.join("\n");
    let (before, rest) = own.split_once("rating: ")?;
    let (rating, after) = rest.split_once(" A")?;
    let rating: f64 = rating.parse().ok()?;
    // Gates that have a name are taken by it: a name is given once.
    let after = match after.split_once("gates: &") {
        Some((head, gates)) => format!("{head}gates: *{} }}", gates.split(' ').next()?),
        None => after.to_owned(),
    };
    let before = before.replacen(&format!("{kind}:"), "larger:", 1);
    let larger = format!("{before}rating: {} A{after}", rating * factor);
    let mut lines: Vec<&str> = whole.lines().collect();
    let start = lines.iter().position(|line| line.trim_end() == "  fuses:")?;
    let is_out = |line: &&str| !line.trim().is_empty() && line.len() - line.trim_start().len() <= 2;
    let end = lines.iter().skip(start + 1).position(is_out).map_or(lines.len(), |at| start + 1 + at);
    lines.insert(end, &larger);
    Some(lines.join("\n"))
}

/// Every fuse of the demo at so many times its rating: its name with that, and the changed files.
fn larger() -> Vec<(String, Changed)> {
    let folder = || Folder(fixtures().join(FOLDER));
    let mut found = Vec::new();
    for part in ["devices", "looms"] {
        let entries = std::fs::read_dir(folder().0.join(part)).expect("a folder");
        let mut files: Vec<String> =
            entries.map(|entry| format!("{part}/{}", entry.expect("an entry").file_name().to_string_lossy())).collect();
        files.sort();
        for file in files {
            let whole = text(&file);
            for (number, line) in whole.lines().enumerate() {
                let Some((_, rest)) = line.split_once("{ fuse: ") else { continue };
                let kind = rest.split([',', ' ']).next().expect("a kind of fuse");
                for factor in [2.0, 4.0] {
                    let Some(kinds) = kinds(kind, factor) else { continue };
                    let changed = line.replacen(&format!("fuse: {kind}"), "fuse: larger", 1);
                    let lines: Vec<&str> =
                        whole.lines().enumerate().map(|(at, line)| if at == number { changed.as_str() } else { line }).collect();
                    let texts = BTreeMap::from([(file.clone(), lines.join("\n")), (KINDS.to_owned(), kinds)]);
                    found.push((format!("{file}:{} {} x{factor}", number + 1, line.trim()), Changed { of: folder(), texts }));
                }
            }
        }
    }
    found
}

impl Twice {
    /// The largest share of what a conductor may carry beside its neighbours that the fuse before it lets through for long.
    fn worst_fuse(&self) -> (f64, String) {
        let electrical = self.analysis.electrical();
        let states = electrical.modes().chain(electrical.charges().iter().map(|charge| &charge.flat));
        let modes: Vec<(&ModeState, Anew)> =
            states.map(|mode| (mode, self.mode(mode, self.analysis.model().mode_name(mode.id)))).collect();
        let beside = self.beside(&modes);
        let share =
            |wire: usize| before(self.analysis.facts(), self.names[wire]) / self.conductors[wire].capacity(beside[wire].0);
        let all = (0..self.names.len()).map(|wire| (share(wire), self.analysis.model().wire_name(self.names[wire])));
        all.fold((0.0, String::new()), |most, one| if one.0 > most.0 { one } else { most })
    }
}

/// What is wrong with what the check says of one larger fuse, if anything is, and whether it is silent.
fn judged(twice: &mut Twice, name: &str, files: &Changed, is_tried: bool) -> (Option<String>, bool) {
    let report = harness_core::check(files, ROOT, &Checker::new());
    let spoken: Vec<&str> =
        report.findings.iter().filter(|finding| finding.level > Level::Note).map(|finding| finding.rule).collect();
    if spoken.iter().any(|rule| rule.starts_with("format/")) {
        return (Some(format!("{name}: {spoken:?}")), false);
    }
    let is_silent = spoken.is_empty();
    let is_thin = spoken.contains(&"protection/fuse-over-conductor");
    // Each that is silent is computed anew, and one in so many of those whose conductors are called too thin.
    if !(is_silent || is_thin && is_tried) {
        return (None, is_silent);
    }
    twice.analysis = Analysis::of_all(&Design::load(files, ROOT));
    let (share, wire) = twice.worst_fuse();
    let failure = if is_silent && share > 1.0 + NEAR {
        Some(format!("{name}: silent, and wire {wire} gets {share} of what it may carry"))
    } else if is_thin && share < 1.0 - NEAR {
        Some(format!("{name}: {spoken:?}, and no conductor gets more than {share} of what it may carry"))
    } else {
        None
    };
    (failure, is_silent)
}

#[test]
fn a_larger_fuse_is_silent_only_where_its_conductors_carry_it() {
    let all = larger();
    assert!(all.len() >= 60, "{} fuses", all.len());
    let cases = sample("a_larger_fuse_is_silent_only_where_its_conductors_carry_it", all);
    hold(&cases, judged);
}
