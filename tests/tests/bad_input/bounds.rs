//! Small files that ask for much: what is beyond a limit is left out and reported, the rest is checked.

use harness_core::{
    Checker, Design, Files, MemoryFiles, Report, check,
    internals::format::limits::{ELEMENTS, FINDINGS, Limit, NAME, POINTS, POSITIONS, TEXT, UNSURE},
};

const HEAD: &str = "format: 1\ndesign: x\n";

/// The findings of `format/limit`, as headline and label.
fn limits(report: &Report) -> Vec<(String, String)> {
    let limits = report.findings.iter().filter(|finding| finding.rule == "format/limit");
    limits.map(|finding| (finding.headline.clone(), finding.primary.text.clone())).collect()
}

#[track_caller]
fn met_once(report: &Report, limit: &Limit) {
    let of: Vec<_> = limits(report).into_iter().filter(|(_, label)| label.ends_with(limit.what)).collect();
    assert_eq!(of.len(), 1, "{}: {:?}", limit.what, limits(report));
    assert!(of[0].0.contains("too many"), "{:?}", of[0]);
}

fn load(netlist: &str) -> Design {
    Design::load(&MemoryFiles::one("design.yaml", netlist), "design.yaml")
}

/// The report of reading alone: the rules have nothing to add to these.
fn read(netlist: &str) -> (Design, Report) {
    let design = load(netlist);
    let report = Report { findings: design.mistakes().iter().cloned().map(Into::into).collect(), ..Report::default() };
    (design, report)
}

#[test]
fn cavities_are_bounded() {
    let ends: String = (0..200).map(|end| format!("      e{end}: {{ housing: h, mates: d.p }}\n")).collect();
    let netlist = format!(
        "{HEAD}parts:\n  housings:\n    h: {{ family: f, positions: 9999, contacts: pin }}\nzones:\n  cab: {{ wett: true }}\n\
         looms:\n  l:\n    ends:\n{ends}"
    );
    let (design, report) = read(&netlist);
    met_once(&report, &POINTS);
    assert!(design.model().points().len() <= POINTS.most);
    assert_eq!(design.model().ends().len(), 200, "the ends are there, without their cavities");
    assert!(report.findings.iter().any(|finding| finding.rule == "format/unknown-key"), "what is elsewhere is read");
}

#[test]
fn positions_of_kinds_are_bounded() {
    let kinds: String = (0..120).map(|kind| format!("    h{kind}: {{ family: f, positions: 9999, contacts: pin }}\n")).collect();
    let (design, report) = read(&format!("{HEAD}parts:\n  housings:\n{kinds}"));
    met_once(&report, &POSITIONS);
    assert!(design.model().housings().map(|(_, housing)| housing.labels.len()).sum::<usize>() <= POSITIONS.most);
}

#[test]
fn what_device_kinds_multiply_is_bounded() {
    let elements: Vec<String> = (0..400).map(|number| format!("r{number}: {{ resistor: 1 ohm, from: A, to: B }}")).collect();
    let devices: String = (0..600).map(|number| format!("  d{number}: {{ device: k }}\n")).collect();
    let netlist = format!(
        "{HEAD}parts:\n  devices:\n    k:\n      ports: {{ A: {{ stud: M8 }}, B: {{ stud: M8 }}, C: {{ pins: {{ 1: {{ unsure: [{}] }} }} }} }}\n      \
         inside: {{ {} }}\ndevices:\n{devices}",
        ["u"; 30].join(", "),
        elements.join(", ")
    );
    let (design, report) = read(&netlist);
    met_once(&report, &ELEMENTS);
    met_once(&report, &UNSURE);
    assert_eq!(design.model().elements().len(), ELEMENTS.most);
    let ports: Vec<String> = (0..1_000).map(|number| format!("p{number}: {{}}")).collect();
    let netlist = format!("{HEAD}parts:\n  devices:\n    k: {{ ports: {{ {} }} }}\ndevices:\n{devices}", ports.join(", "));
    let (design, report) = read(&netlist);
    met_once(&report, &POINTS);
    assert!(design.model().ports().len() <= POINTS.most);
}

#[test]
fn findings_of_one_rule_are_bounded_and_counted() {
    let more = 3;
    let keys: String = (0..FINDINGS.most + more).map(|number| format!("u{number}: 1\n")).collect();
    let report = check(&MemoryFiles::one("design.yaml", format!("{HEAD}{keys}")), "design.yaml", &Checker::new());
    let unknown = report.findings.iter().filter(|finding| finding.rule == "format/unknown-key");
    assert_eq!(unknown.count(), FINDINGS.most);
    let told = "`format/unknown-key` was found 10,003 times; only the first 10,000 are listed".to_owned();
    assert_eq!(limits(&report), [(told, "the first that is not listed".to_owned())]);
    let place = report.findings.iter().find(|finding| finding.rule == "format/limit").unwrap().primary.span;
    assert_eq!(report.sources.slice(place), format!("u{}", FINDINGS.most), "it is where the list ends");
}

#[test]
fn long_names_and_texts_are_left_out() {
    let (at, beyond) = ("n".repeat(NAME.most), "ä".repeat(NAME.most + 1));
    let (design, report) = read(&format!("{HEAD}devices:\n  {at}: {{}}\n  {beyond}: {{}}\n"));
    met_once(&report, &NAME);
    assert_eq!(design.model().devices().len(), 1);
    let note = "t".repeat(TEXT.most);
    let (_, report) = read(&format!("{HEAD}devices:\n  a: {{ note: {note} }}\n  b: {{ note: {note}t }}\n"));
    met_once(&report, &TEXT);
    assert_eq!(report.findings.len(), 1);
}

/// Files that are asked for their neighbours are counted.
struct Counting {
    files: MemoryFiles,
    asked: std::cell::Cell<usize>,
}

impl Files for Counting {
    fn read(&self, name: &str) -> Result<Vec<u8>, harness_core::FileError> {
        self.files.read(name)
    }

    fn beside(&self, name: &str) -> Vec<String> {
        self.asked.set(self.asked.get() + 1);
        self.files.beside(name)
    }
}

#[test]
fn a_folder_is_listed_once_however_many_files_are_missing_in_it() {
    let missing: Vec<String> = (0..500).map(|number| format!("parts/fuse{number}.yaml")).collect();
    let root = format!("{HEAD}include: [{}]\n", missing.join(", "));
    let files = MemoryFiles::one("design.yaml", root).and("parts/fuses.yaml", "parts: {}\n");
    let files = Counting { files, asked: 0.into() };
    let design = Design::load(&files, "design.yaml");
    assert_eq!(files.asked.get(), 1);
    let (first, all) = (&design.mistakes()[0], design.mistakes().len());
    assert_eq!((all, first.help.as_str()), (500, "did you mean `parts/fuses.yaml`?"));
}
