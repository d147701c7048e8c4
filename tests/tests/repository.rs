//! What the repository keeps to as a whole: its top level, what it depends on, and that no test gets lost.

use harness_tests::{
    corpus::{Fixture, checked_files},
    fixtures,
    tier::SAMPLED,
};
use serde_json::Value;
use std::{
    collections::{BTreeMap, BTreeSet},
    fmt::Write,
    fs,
    path::{Path, PathBuf},
    process::Command,
};

fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

fn read(name: &str) -> String {
    fs::read_to_string(top().join(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
}

#[test]
fn the_top_level_holds_what_it_should_and_nothing_else() {
    let asked = BTreeSet::from(
        ["Cargo.toml", "Cargo.lock", "README.md", "DEVELOPERS.md", "LICENSE", "harness-core", "harness-cli", "fixtures", "tests"]
            .map(str::to_owned),
    );
    // What a build or an editor leaves behind is ignored by git, and so here.
    let ignored: Vec<String> = read(".gitignore").lines().map(|line| line.trim_matches('/').to_owned()).collect();
    let names = fs::read_dir(top()).expect("the top level can be listed");
    let found: BTreeSet<String> = names
        .map(|entry| entry.expect("an entry can be read").file_name().to_string_lossy().into_owned())
        .filter(|name| !name.starts_with('.') && !ignored.contains(name))
        .collect();
    assert_eq!(found, asked);
}

/// What cargo knows of every package that is built for this machine.
fn packages() -> Vec<Value> {
    let version = Command::new(env!("CARGO")).arg("-vV").output().expect("cargo runs");
    let version = String::from_utf8(version.stdout).expect("cargo writes UTF-8");
    let host = version.lines().find_map(|line| line.strip_prefix("host: ")).expect("cargo names its machine");
    let done = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--locked", "--offline", "--filter-platform", host])
        .current_dir(top())
        .output()
        .expect("cargo runs");
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    let mut metadata: Value = serde_json::from_slice(&done.stdout).expect("the metadata are JSON");
    let Value::Array(packages) = metadata["packages"].take() else { panic!("no packages") };
    assert!(packages.len() > 100, "only {} packages", packages.len());
    packages
}

/// Licences under which a package may be built into the program or used for its tests.
const ALLOWED: [&str; 10] = [
    "MIT",
    "MIT-0",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "ISC",
    "Unicode-3.0",
    "Zlib",
];

/// Whether a licence expression leaves a choice that is allowed. `and` binds closer than `or`; older packages write `/` for `or`.
fn is_allowed(expression: &str) -> bool {
    // A choice in brackets within a sum, the only brackets in use, is taken as one of the terms of the sum.
    if let Some((choice, rest)) = expression.strip_prefix('(').and_then(|rest| rest.split_once(") AND ")) {
        return is_allowed(choice) && is_allowed(rest);
    }
    let choices = expression.split(" OR ").flat_map(|choice| choice.split('/'));
    choices.into_iter().any(|choice| choice.split(" AND ").all(|licence| ALLOWED.contains(&licence.trim())))
}

#[test]
fn every_dependency_has_a_licence_that_is_allowed() {
    let refused: BTreeMap<String, String> = packages()
        .iter()
        .map(|package| (package["name"].to_string(), package["license"].as_str().unwrap_or("none").to_owned()))
        .filter(|(_, licence)| !is_allowed(licence))
        .collect();
    assert_eq!(refused, BTreeMap::new());
}

#[test]
fn a_licence_is_refused_where_no_choice_is_allowed() {
    for licence in ["MIT OR Apache-2.0 OR LGPL-2.1-or-later", "Unlicense/MIT", "(MIT OR Apache-2.0) AND Unicode-3.0"] {
        assert!(is_allowed(licence), "{licence}");
    }
    for licence in ["none", "GPL-3.0-only", "MIT AND GPL-3.0-only", "(MIT OR Apache-2.0) AND GPL-3.0-only", "MITRE"] {
        assert!(!is_allowed(licence), "{licence}");
    }
}

/// Major and minor number of a compiler version.
fn compiler(version: &str) -> (u32, u32) {
    let mut numbers = version.split('.').map(|number| number.parse().expect("a version is made of numbers"));
    (numbers.next().expect("a version has a first number"), numbers.next().unwrap_or(0))
}

/// Both commands of the README are built by the compiler that it names: the tests may not ask for a newer one than the program.
#[test]
fn the_compiler_that_the_readme_names_builds_all_dependencies() {
    let stated = env!("CARGO_PKG_RUST_VERSION");
    assert!(
        read("README.md").contains(&format!("With a Rust toolchain ({stated} or later)")),
        "the README names another than {stated}"
    );
    let asked = packages();
    let newer: Vec<String> = asked
        .iter()
        .filter_map(|package| Some((package["name"].as_str()?, package["rust_version"].as_str()?)))
        .filter(|(_, version)| compiler(version) > compiler(stated))
        .map(|(name, version)| format!("{name} needs {version}"))
        .collect();
    assert!(newer.is_empty(), "Cargo.toml states {stated}: {newer:?}");
    let most = asked.iter().filter(|package| !package["source"].is_null()).filter_map(|package| package["rust_version"].as_str());
    assert!(most.map(compiler).max() >= Some((1, 85)), "versions were read");
}

#[test]
fn the_gate_says_which_cases_it_tries_and_every_sampled_test_exists() {
    assert!(read(".ci/run").lines().any(|line| line == "export HARNESS_TESTS=everyday"), "the gate says which cases it tries");
    let mut sources = String::new();
    let mut folders = vec![top().join("tests/tests")];
    while let Some(folder) = folders.pop() {
        for path in fs::read_dir(&folder).expect("a folder can be listed").map(|entry| entry.expect("an entry").path()) {
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                sources.push_str(&fs::read_to_string(path).expect("a source can be read"));
            }
        }
    }
    for (test, share) in SAMPLED {
        assert!(sources.contains(&format!("#[test]\nfn {test}() {{")), "there is no test `{test}`");
        assert!(share > 1, "`{test}` is not sampled");
    }
    // A test that is marked so is run by nobody.
    assert!(!sources.contains(concat!("#[", "ignore")), "a test is left out of every run");
}

#[test]
fn every_file_of_the_tests_of_the_program_is_part_of_them() {
    let folder = top().join("harness-cli/tests/process");
    let main = fs::read_to_string(folder.join("main.rs")).expect("the tests have a top");
    for path in fs::read_dir(folder).expect("the folder can be listed").map(|entry| entry.expect("an entry").path()) {
        let name = path.file_stem().and_then(|name| name.to_str()).expect("a plain name");
        assert!(name == "main" || main.lines().any(|line| line == format!("mod {name};")), "{name} is not compiled");
    }
}

/// All findings by fixture: where, what, and the things concerned.
fn findings() -> String {
    let mut text =
        String::from("# Every finding of every fixture. `BLESS=1 cargo test -p harness-tests repository::` writes it anew.\n");
    for Fixture { path, checked, .. } in checked_files() {
        let report = &checked.report;
        let name = path.strip_prefix(fixtures()).expect("a fixture is one of the fixtures");
        let _ = writeln!(text, "\n{}", name.display());
        let mut findings: Vec<_> = report.findings.iter().collect();
        findings.sort_by(|a, b| a.order(b));
        for finding in findings {
            let file = report.sources.file(finding.primary.span.file);
            let line = file.map_or(0, |file| file.line_column(finding.primary.span.start).0);
            let elsewhere = file.map(|file| file.name()).filter(|file| !name.ends_with(file)).map(|file| format!("{file}:"));
            let concerns = finding.concerns.join(" ");
            let said = format!("  {}{line} {} {} {concerns}", elsewhere.unwrap_or_default(), finding.level, finding.rule);
            let _ = writeln!(text, "{}", said.trim_end());
        }
    }
    text
}

#[test]
fn the_list_of_findings_is_the_current_one() {
    let path = top().join("tests/findings/current.txt");
    let current = findings();
    if std::env::var_os("BLESS").is_some() {
        fs::create_dir_all(path.parent().expect("a folder")).expect("the folder can be made");
        fs::write(&path, &current).expect("the list can be written");
    }
    let kept = fs::read_to_string(&path).unwrap_or_default();
    let (kept_lines, lines): (BTreeSet<&str>, BTreeSet<&str>) = (kept.lines().collect(), current.lines().collect());
    let gone: Vec<&&str> = kept_lines.difference(&lines).collect();
    let new: Vec<&&str> = lines.difference(&kept_lines).collect();
    assert!(
        kept == current,
        "tests/findings/current.txt is not the current list; read what changed, then run the tests once with BLESS=1\ngone {gone:#?}\nnew {new:#?}"
    );
}
