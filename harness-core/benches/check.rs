//! What a check costs, against the cost of the bare events of the YAML library over the same text in the same run.
//!
//! `cargo bench -p harness-core` prints the table that `README.md` beside this file keeps, then the samples of each stage.

#![expect(clippy::print_stdout, reason = "a bench prints what it measured")]

mod effect;
mod generator;
mod growth;
mod one_network;
mod papers;
mod plugs;
mod revisions;
mod shapes;

use generator::design;
use harness_core::{
    Analysis, Checker, Design, Document, FileError, Files, MemoryFiles, Modes, check,
    internals::{
        circuit::solve,
        electrical, model,
        text::{self, Names, Sources},
    },
};
use one_network::one_network;
use std::{
    hint::black_box,
    path::Path,
    process::Command,
    time::{Duration, Instant},
};

const SIZES: [usize; 3] = [1_000, 10_000, 100_000];
const SEED: u64 = 7;
/// Asks for the table of shorts alone.
const SHORTS: &str = "--shorts";
/// Asks for the table of comparisons alone.
const EFFECT: &str = "--effect";
/// Asks for the difference of two revisions alone.
const DIFFERENCE: &str = "--difference";
/// Asks for the growth of what is said of many mistakes alone.
const GROWTH: &str = "--growth";
/// Asks for the comparison of plugs alone.
const PLUGS: &str = "--plugs";
/// Asks for the papers of the bench alone.
const PAPERS: &str = "--papers";
/// Asks for the growth of designs of one shape alone.
const SHAPES: &str = "--shapes";
/// Asks the bench to be the child whose peak memory is measured.
const PEAK: &str = "--peak";

/// A stage by its name, with everything before it.
type Stage = (&'static str, fn(&str));

const STAGES: [Stage; 7] = [
    ("bare events", events),
    ("text", parse),
    ("+ document", load),
    ("+ model", to_model),
    ("+ network", to_network),
    ("+ electrical", to_electrical),
    ("whole check", whole),
];

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    if let Some(at) = arguments.iter().position(|argument| argument == PEAK) {
        if let Some(file) = arguments.get(at + 1) {
            black_box(check(&Disk, file, &Checker::new()));
            println!("{}", peak_bytes().unwrap_or(0));
        }
        return;
    }
    if arguments.iter().any(|argument| argument == SHORTS) {
        fault_table();
        return;
    }
    if arguments.iter().any(|argument| argument == EFFECT) {
        effect::effect_table(SIZES, SEED);
        return;
    }
    if arguments.iter().any(|argument| argument == DIFFERENCE) {
        revisions::table();
        revisions::rework_table();
        return;
    }
    if arguments.iter().any(|argument| argument == GROWTH) {
        growth::table();
        return;
    }
    if arguments.iter().any(|argument| argument == SHAPES) {
        shapes::table();
        return;
    }
    if arguments.iter().any(|argument| argument == PAPERS) {
        papers::table();
        return;
    }
    if arguments.iter().any(|argument| argument == PLUGS) {
        plugs::table();
        return;
    }
    if !arguments.iter().any(|argument| argument == "--test" || argument == "--list") {
        table();
        fault_table();
        effect::effect_table(SIZES, SEED);
        revisions::table();
        revisions::rework_table();
        growth::table();
        shapes::table();
        plugs::table();
        papers::table();
    }
    divan::main();
}

fn files(netlist: &str) -> MemoryFiles {
    MemoryFiles::one("design.yaml", netlist)
}

fn events(netlist: &str) {
    let mut parser = granit_parser::Parser::new_from_str(netlist);
    while let Some(event) = parser.next_event() {
        black_box(event.is_ok());
    }
}

fn parse(netlist: &str) {
    let (mut sources, mut names) = (Sources::new(), Names::new());
    if let Some(decoded) = text::decode(&mut sources, "design.yaml".to_owned(), netlist.as_bytes().to_vec()) {
        black_box(text::parse(&sources, decoded.file, &mut names));
    }
}

fn load(netlist: &str) {
    black_box(Document::read(&files(netlist), "design.yaml"));
}

fn to_model(netlist: &str) {
    let document = Document::read(&files(netlist), "design.yaml");
    black_box(model::build(document.design, document.names));
}

fn to_network(netlist: &str) {
    black_box(Design::load(&files(netlist), "design.yaml"));
}

fn to_electrical(netlist: &str) {
    black_box(Analysis::of_all(&Design::load(&files(netlist), "design.yaml")));
}

fn whole(netlist: &str) {
    black_box(check(&files(netlist), "design.yaml", &Checker::new()));
}

/// The best time of each stage; the stages take turns, so that a busy minute of the machine falls on all of them.
fn best(rounds: usize, netlist: &str) -> Vec<f64> {
    let mut best = vec![Duration::MAX; STAGES.len()];
    for _ in 0..rounds {
        for ((_, stage), best) in STAGES.iter().zip(&mut best) {
            let start = Instant::now();
            stage(netlist);
            *best = start.elapsed().min(*best);
        }
    }
    best.iter().map(Duration::as_secs_f64).collect()
}

fn table() {
    let designs: Vec<String> = SIZES.iter().map(|wires| design(*wires, SEED)).collect();
    let times: Vec<Vec<f64>> =
        designs.iter().zip(SIZES).map(|(netlist, wires)| best((600_000 / wires).clamp(6, 60), netlist)).collect();
    println!("| time over that of the bare events | 1 k wires | 10 k | 100 k | growth, exponent |\n|---|---|---|---|---|");
    for (index, (name, _)) in STAGES.iter().enumerate() {
        let of = |size: usize| times.get(size).and_then(|stages| stages.get(index)).copied().unwrap_or(f64::NAN);
        let bare = |size: usize| times.get(size).and_then(|stages| stages.first()).copied().unwrap_or(f64::NAN);
        let bytes = |size: usize| designs.get(size).map_or(f64::NAN, |netlist| netlist.len() as f64);
        let growth = (of(2) / of(0)).ln() / (bytes(2) / bytes(0)).ln();
        println!("| {name} | {:.2} | {:.2} | {:.2} | {growth:.3} |", of(0) / bare(0), of(1) / bare(1), of(2) / bare(2));
    }
    for (netlist, wires) in designs.iter().zip(SIZES) {
        let memory = peak_of(netlist).map_or("not measured".to_owned(), |bytes| format!("{:.2}", bytes / netlist.len() as f64));
        let megabytes = netlist.len() as f64 / 1e6;
        println!("{wires} wires: {megabytes:.2} MB, peak memory over file size {memory}");
    }
    if let (Some(netlist), Some(stages)) = (designs.last(), times.last()) {
        let rate = |stage: Option<&f64>| stage.map_or(f64::NAN, |seconds| netlist.len() as f64 / 1e6 / seconds);
        println!("this machine: bare events {:.0} MB/s, whole check {:.0} MB/s", rate(stages.first()), rate(stages.last()));
    }
}

/// Times of one mode, in seconds.
#[derive(Clone, Copy)]
struct ModeTimes {
    circuit: f64,
    point: f64,
    faults: f64,
}

/// The best times of the circuit of one mode, its operating point, and its fault pass; they take turns as the stages do.
fn one_mode(rounds: usize, netlist: &str) -> Option<ModeTimes> {
    let design = Design::load(&files(netlist), "design.yaml");
    // In this mode everything runs.
    let analysis = Analysis::of(&design, Modes::Named(&["work".to_owned()])).ok()?;
    let (mode, network) = (design.mode("work")?, design.network());
    let circuits = electrical::circuits(network, &[mode]);
    let circuit = circuits.first()?;
    let mut best = [Duration::MAX; 3];
    for _ in 0..rounds {
        let start = Instant::now();
        black_box(electrical::circuits(network, &[mode]));
        let made = start.elapsed();
        black_box(solve::solve(circuit));
        let solved = start.elapsed();
        black_box(analysis.electrical().faults_in(mode));
        let shorted = start.elapsed();
        for (best, time) in best.iter_mut().zip([made, solved - made, shorted - solved]) {
            *best = time.min(*best);
        }
    }
    let [circuit, point, faults] = best.map(|time| time.as_secs_f64());
    Some(ModeTimes { circuit, point, faults })
}

/// What the shorts of one mode cost over its operating point, in many small networks and in one large one.
fn fault_table() {
    type Make = fn(usize, u64) -> String;
    type Row = (&'static str, fn(ModeTimes) -> f64);
    let kinds: [(&str, Make); 2] = [("many small networks", design), ("one large network", one_network)];
    println!("\n| one mode | 1 k wires | 10 k | 100 k | growth from 10 k to 100 k, exponent |\n|---|---|---|---|---|");
    for (name, make) in kinds {
        let designs = SIZES.map(|wires| make(wires, SEED));
        let [small, middle, large] = [0, 1, 2].map(|at| {
            let (netlist, wires) = (designs.get(at)?, SIZES.get(at)?);
            one_mode((200_000 / wires).clamp(3, 40), netlist)
        });
        let (Some(small), Some(middle), Some(large)) = (small, middle, large) else { continue };
        let [_, less, more] = designs.map(|netlist| netlist.len() as f64);
        let rows: [Row; 3] = [
            ("circuit over operating point", |times| times.circuit),
            ("operating point", |times| times.point),
            ("fault pass over operating point", |times| times.faults),
        ];
        for (what, of) in rows {
            let growth = (of(large) / of(middle)).ln() / (more / less).ln();
            let over = |times: ModeTimes| of(times) / times.point;
            println!("| {name}: {what} | {:.2} | {:.2} | {:.2} | {growth:.3} |", over(small), over(middle), over(large));
        }
    }
}

/// Peak memory of a process of its own that checks `netlist` from a file.
fn peak_of(netlist: &str) -> Option<f64> {
    let path = std::env::temp_dir().join(format!("harness-bench-{}.yaml", std::process::id()));
    std::fs::write(&path, netlist).ok()?;
    let output = Command::new(std::env::current_exe().ok()?).arg(PEAK).arg(&path).output();
    let _ = std::fs::remove_file(&path);
    let bytes: f64 = String::from_utf8(output.ok()?.stdout).ok()?.trim().parse().ok()?;
    (bytes > 0.0).then_some(bytes)
}

/// The most memory this process ever held, where the system reports it.
fn peak_bytes() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    let kilobytes: u64 = line.trim().trim_end_matches("kB").trim().parse().ok()?;
    Some(kilobytes * 1024)
}

/// Files of the disk, read at once.
struct Disk;

impl Files for Disk {
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
        std::fs::read(Path::new(name)).map_err(|error| FileError::Unreadable(error.to_string()))
    }
}

macro_rules! samples {
    ($($name:ident: $stage:ident;)+) => {$(
        #[divan::bench(args = SIZES, sample_count = 5)]
        fn $name(bencher: divan::Bencher<'_, '_>, wires: usize) {
            let netlist = design(wires, SEED);
            bencher.counter(divan::counter::BytesCount::of_str(&netlist)).bench_local(|| $stage(&netlist));
        }
    )+};
}

samples! {
    s1_bare_events: events;
    s2_text: parse;
    s3_document: load;
    s4_model: to_model;
    s5_network: to_network;
    s6_electrical: to_electrical;
    s7_whole_check: whole;
}
