//! The demo with a conductor of half its size: what the check leaves unsaid really is within its limits,
//! and what it calls too thin or too hot really is beyond them, by the recomputation of this room.
//!
//! Taken from the library: which fuse is before a conductor and which of them decides.

use super::{
    Anew, Folder, Lies, Twice,
    trials::{FOLDER, NEAR, ROOT, hold},
    warmth::Conductor,
};
use harness_core::{
    Analysis, Checker, Design, FileError, Files,
    finding::Level,
    internals::{
        electrical::{ModeState, fuses::fuse::kind_of},
        facts::Facts,
        model::WireId,
    },
};
use harness_tests::{fixtures, tier::sample};

/// The rules that judge a conductor by its capacity and its temperature alone.
const BY_CAPACITY: [&str; 3] = ["conductor/overheated", "conductor/undersized", "protection/fuse-over-conductor"];

/// The demo with one line of one file changed.
struct Changed {
    of: Folder,
    file: String,
    line: usize,
    from: String,
    to: String,
}

impl Files for Changed {
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
        let bytes = self.of.read(name)?;
        if name != self.file {
            return Ok(bytes);
        }
        let text = String::from_utf8(bytes).expect("a text");
        let lines = text
            .lines()
            .enumerate()
            .map(|(number, line)| if number == self.line { line.replacen(&self.from, &self.to, 1) } else { line.to_owned() });
        Ok(lines.collect::<Vec<_>>().join("\n").into_bytes())
    }
}

/// Every wire of the demo with a size of its own, at half of it: its name and the changed files.
fn halves() -> Vec<(String, Changed)> {
    let folder = || Folder(fixtures().join(FOLDER));
    let looms = std::fs::read_dir(folder().0.join("looms")).expect("a folder of looms");
    let mut files: Vec<String> =
        looms.map(|entry| format!("looms/{}", entry.expect("an entry").file_name().to_string_lossy())).collect();
    files.sort();
    let mut found = Vec::new();
    for file in files {
        let text = std::fs::read_to_string(folder().0.join(&file)).expect("a loom");
        let mut loom = "";
        for (number, line) in text.lines().enumerate() {
            let indent = line.len() - line.trim_start().len();
            let Some((name, rest)) = line.trim_start().split_once(':') else { continue };
            if indent == 2 {
                loom = name;
            }
            let Some((_, size)) = rest.split_once("size: ").filter(|_| indent == 6 && rest.contains("from: ")) else { continue };
            let size = size.split([',', '}']).next().expect("a size").trim();
            let mm2: f64 = size.trim_end_matches(" mm2").parse().unwrap_or_else(|_| panic!("a size: {size}"));
            let changed = Changed {
                of: folder(),
                file: file.clone(),
                line: number,
                from: format!("size: {size}"),
                to: format!("size: {} mm2", mm2 / 2.0),
            };
            found.push((format!("{loom}.{name}"), changed));
        }
    }
    found
}

impl Twice {
    /// The largest share of a limit that a wire reaches, computed anew: its own current and its fuse by its capacity, its rise in
    /// temperature by the one that it may have.
    fn share(&self, wire: usize) -> f64 {
        let electrical = self.analysis.electrical();
        let states = electrical.modes().chain(electrical.charges().iter().map(|charge| &charge.flat));
        let modes: Vec<(&ModeState, Anew)> =
            states.map(|mode| (mode, self.mode(mode, self.analysis.model().mode_name(mode.id)))).collect();
        let Lies { rated, air, .. } = &self.lies[wire];
        let (alone, beside) = (self.conductors[wire].capacity(0.0), self.conductors[wire].capacity(self.beside(&modes)[wire].0));
        let amps = modes.iter().map(|(_, anew)| anew.amps[wire]).fold(0.0, f64::max);
        let hottest = modes.iter().map(|(_, anew)| anew.degc[wire].unwrap_or(f64::INFINITY)).fold(f64::NEG_INFINITY, f64::max);
        let fuse = before(self.analysis.facts(), self.names[wire]);
        [amps / alone, (hottest - air) / (rated - air), fuse / beside].into_iter().fold(0.0, f64::max)
    }
}

/// What the fuses before a wire, or before the load whose return it is, let through for long; 0 where none is.
pub(super) fn before(facts: &Facts, wire: WireId) -> f64 {
    if let Some(supply) = &facts.supplies()[wire] {
        return supply.amps.get().max(supply.late.get());
    }
    let protection = facts.electrical().protection();
    let back = protection.feeds().iter().filter(|feed| protection.returns(feed.fuse).iter().any(|back| back.wire == wire));
    let leads = protection.unfused().iter().flat_map(|unfused| &unfused.lead_ins);
    let leads = leads.filter(|lead| lead.wires.contains(&wire)).map(|lead| lead.fuse);
    let fuses = back.map(|feed| feed.fuse).chain(leads);
    // A fault inside the load meets the whole fuse, whatever else limits what flows to it.
    let passes = fuses.filter_map(|fuse| Some(kind_of(facts.model(), fuse)?.rating?.value.get()));
    passes.fold(0.0, f64::max)
}

/// What is wrong with what the check says of one half, if anything is, and whether it is silent.
fn judged(twice: &mut Twice, name: &str, files: &Changed, is_tried: bool) -> (Option<String>, bool) {
    let report = harness_core::check(files, ROOT, &Checker::new());
    let concerns = report.findings.iter().filter(|finding| finding.concerns.iter().any(|thing| thing == name));
    let spoken: Vec<&str> = concerns.filter(|finding| finding.level > Level::Note).map(|finding| finding.rule).collect();
    let is_silent = spoken.is_empty();
    // Each that is silent is computed anew, and one in so many of those that are found.
    if !is_silent && !is_tried {
        return (None, is_silent);
    }
    let wire = twice.names.iter().position(|id| twice.analysis.model().wire_name(*id) == name).expect("the wire");
    let whole = twice.lies[wire].size;
    let set = |twice: &mut Twice, size: f64| {
        twice.lies[wire].size = size;
        let Lies { rated, air, .. } = &twice.lies[wire];
        twice.conductors[wire] = Conductor::new(size, *rated, *air, false);
    };
    set(twice, whole / 2.0);
    twice.analysis = Analysis::of_all(&Design::load(files, ROOT));
    let share = twice.share(wire);
    set(twice, whole);
    let by_capacity = spoken.iter().any(|rule| BY_CAPACITY.contains(rule));
    let failure = if is_silent && share > 1.0 + NEAR {
        Some(format!("{name} {}: silent at {share} of a limit", files.to))
    } else if by_capacity && share < 1.0 - NEAR {
        Some(format!("{name} {}: {spoken:?} at {share} of every limit", files.to))
    } else {
        None
    };
    (failure, is_silent)
}

#[test]
fn half_a_conductor_is_silent_only_where_it_is_within_its_limits() {
    let all = halves();
    assert!(all.len() >= 200, "{} wires", all.len());
    let cases = sample("half_a_conductor_is_silent_only_where_it_is_within_its_limits", all);
    hold(&cases, judged);
}
