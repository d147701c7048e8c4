//! Many designs in one call: side by side, and only those that changed.

use harness_cli::{Terminal, exit};
use harness_tests::{Done, fixtures, harness_at, netlists, repository::Repository, tier::sample};
use std::{fs, path::Path};

const DESIGN: &str = "format: 1\ndesign: Orchard lift\n";
const WITH_PARTS: &str = "format: 1\ndesign: Orchard lift\ninclude: [parts/fuses.yaml]\n";
const FUSES: &str = "parts:\n  fuses:\n    blade-30: { standard: ISO 8820-3, rating: 30 A }\n";

fn check(input: &str, options: &[&str], files: &[String]) -> Done {
    let args: Vec<&str> = ["check"].into_iter().chain(options.iter().copied()).chain(files.iter().map(String::as_str)).collect();
    harness_at(Terminal::PIPE, input, &args)
}

#[test]
fn designs_side_by_side_give_the_bytes_of_one_after_the_other() {
    let files: Vec<String> = netlists(&fixtures().join("rules")).iter().map(|path| path.display().to_string()).collect();
    assert!(files.len() > 30, "{}", files.len());
    let mut files = sample("designs_side_by_side_give_the_bytes_of_one_after_the_other", files);
    files.insert(7, "-".to_owned());
    files.insert(3, "no-such-design.yaml".to_owned());
    let backwards: Vec<String> = files.iter().rev().cloned().collect();
    // Remedies are tried for JSON and `full`, which makes these dear: `short` has every number of jobs, of the others each has one.
    let jobs: [(_, &str, &[&[&str]]); 3] = [
        (&files, "json", &[&["--jobs", "9"]]),
        (&files, "short", &[&["--jobs", "2"], &["--jobs", "9"], &[]]),
        (&backwards, "full", &[&["--jobs", "2"]]),
    ];
    for (files, format, several) in jobs {
        let alone = check(DESIGN, &["--format", format, "--jobs", "1"], files);
        assert_eq!(alone.code, exit::FAILED);
        for &jobs in several {
            let options = [&["--format", format][..], jobs].concat();
            let together = check(DESIGN, &options, files);
            assert!((together.code, &together.err) == (alone.code, &alone.err) && together.out == alone.out, "{options:?}");
        }
    }
}

#[test]
fn the_gravest_of_all_designs_decides() {
    let clean = fixtures().join("terrace-tractor/tractor.yaml").display().to_string();
    let draft = fixtures().join("terrace-tractor-draft/draft.yaml").display().to_string();
    let code = |files: &[&String]| check("", &[], &files.iter().map(|file| (*file).clone()).collect::<Vec<_>>()).code;
    assert_eq!(code(&[&clean, &clean]), exit::CLEAN);
    assert_eq!(code(&[&clean, &draft, &clean]), exit::FINDINGS);
    assert_eq!(code(&[&draft, &"none.yaml".to_owned(), &clean]), exit::FAILED);
}

/// Three designs in one repository: one alone, two that share an include.
fn workshop(name: &str) -> (Repository, Vec<String>) {
    let repository = Repository::new(name);
    repository.write("alone.yaml", DESIGN);
    repository.write("lifts/a.yaml", WITH_PARTS);
    repository.write("lifts/b.yaml", WITH_PARTS);
    repository.write("lifts/parts/fuses.yaml", FUSES);
    repository.commit("first");
    let files = ["alone.yaml", "lifts/a.yaml", "lifts/b.yaml"].map(|name| repository.path(name).display().to_string());
    (repository, files.to_vec())
}

/// The file names of the designs that were checked, and of those that were left out.
fn checked(files: &[String], revision: &str) -> (Vec<String>, Vec<String>) {
    let done = check("", &["--changed-since", revision, "--format", "json"], files);
    assert_eq!(done.err, "");
    let report: serde_json::Value = serde_json::from_str(&done.out).unwrap();
    let name = |path: &serde_json::Value| path.as_str().unwrap().rsplit('/').next().unwrap().to_owned();
    let checked = report["designs"].as_array().unwrap().iter().map(|design| name(&design["file"])).collect();
    assert_eq!(report["untouched"]["since"], revision);
    (checked, report["untouched"]["designs"].as_array().unwrap().iter().map(name).collect())
}

fn names(checked: &[&str], left_out: &[&str]) -> (Vec<String>, Vec<String>) {
    let owned = |names: &[&str]| names.iter().map(|name| (*name).to_owned()).collect();
    (owned(checked), owned(left_out))
}

#[test]
fn only_designs_of_which_a_file_changed_are_checked() {
    let (repository, files) = workshop("since");
    let all = ["alone.yaml", "a.yaml", "b.yaml"];
    assert_eq!(checked(&files, "HEAD"), names(&[], &all));
    repository.write("alone.yaml", DESIGN.replace("lift", "hoist"));
    assert_eq!(checked(&files, "HEAD"), names(&["alone.yaml"], &["a.yaml", "b.yaml"]));
    repository.git(&["add", "alone.yaml"]);
    assert_eq!(checked(&files, "HEAD"), names(&["alone.yaml"], &["a.yaml", "b.yaml"]), "what is staged counts");
    repository.commit("second");
    assert_eq!(checked(&files, "HEAD"), names(&[], &all));
    assert_eq!(checked(&files, "HEAD~1"), names(&["alone.yaml"], &["a.yaml", "b.yaml"]));
    repository.write("lifts/parts/fuses.yaml", FUSES.replace("30 A", "25 A"));
    assert_eq!(checked(&files, "HEAD"), names(&["a.yaml", "b.yaml"], &["alone.yaml"]), "an include counts");
    repository.git(&["checkout", "--quiet", "lifts/parts/fuses.yaml"]);
    repository.write("lifts/b.yaml", DESIGN);
    assert_eq!(checked(&files, "HEAD"), names(&["b.yaml"], &["alone.yaml", "a.yaml"]), "an include that is named no more");
}

#[test]
fn includes_that_are_gone_new_ignored_or_behind_a_link_count() {
    let (repository, mut files) = workshop("includes");
    repository.delete("lifts/parts/fuses.yaml");
    assert_eq!(checked(&files, "HEAD"), names(&["a.yaml", "b.yaml"], &["alone.yaml"]), "gone");
    repository.commit("the include is gone and still asked for");
    assert_eq!(checked(&files, "HEAD"), names(&[], &["alone.yaml", "a.yaml", "b.yaml"]), "gone then as now");
    assert_eq!(checked(&files, "HEAD~1"), names(&["a.yaml", "b.yaml"], &["alone.yaml"]), "there then");
    repository.write("lifts/parts/fuses.yaml", FUSES);
    assert_eq!(checked(&files, "HEAD"), names(&["a.yaml", "b.yaml"], &["alone.yaml"]), "new");
    repository.write(".gitignore", "fuses.yaml\n");
    assert_eq!(checked(&files, "HEAD"), names(&["a.yaml", "b.yaml"], &["alone.yaml"]), "new and ignored");
    repository.write("lifts/new.yaml", DESIGN);
    files.push(repository.path("lifts/new.yaml").display().to_string());
    assert_eq!(checked(&files, "HEAD"), names(&["a.yaml", "b.yaml", "new.yaml"], &["alone.yaml"]));
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink("../alone.yaml", repository.path("lifts/linked.yaml")).unwrap();
        repository.commit("a link");
        let linked = [repository.path("lifts/linked.yaml").display().to_string()];
        assert_eq!(checked(&linked, "HEAD"), names(&[], &["linked.yaml"]));
        repository.write("alone.yaml", DESIGN.replace("lift", "hoist"));
        assert_eq!(checked(&linked, "HEAD"), names(&["linked.yaml"], &[]), "what the link leads to");
    }
}

#[test]
fn what_is_left_out_is_named_and_fails_nothing() {
    let (repository, files) = workshop("named");
    for format in ["full", "short"] {
        let done = check("", &["--changed-since", "main", "--format", format], &files);
        assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""));
        let line = format!("nothing to check: 3 designs untouched since main, not checked again: {}\n", files.join(", "));
        assert!(done.out.starts_with(&line) && done.out.contains("no safety certificate"), "{}", done.out);
    }
    repository.write("lifts/b.yaml", "format: 1\n");
    let done = check("", &["--changed-since", "main", "--format", "short"], &files);
    assert_eq!(done.code, exit::FINDINGS, "{}", done.out);
    let line = format!("\n2 designs untouched since main, not checked again: {}, {}\n", files[0], files[1]);
    assert!(done.out.contains(&line), "{}", done.out);
    // Standard input has no revision: it is always checked.
    let done = check(DESIGN, &["--changed-since", "main", "--format", "short"], &["-".to_owned()]);
    assert!(done.out.contains("checked <standard input>\n") && done.out.contains("every design was touched"), "{}", done.out);
}

#[test]
fn what_cannot_be_known_is_a_failure() {
    let (repository, mut files) = workshop("failures");
    let done = check("", &["--changed-since", "mian"], &files);
    assert_eq!((done.code, done.out.as_str()), (exit::FAILED, ""));
    let expected = format!(
        "error: failed to find out whether `{}` changed since `mian`: there is no such revision; did you mean `main`?\n",
        files[0]
    );
    assert_eq!(done.err, expected);
    let outside = std::env::temp_dir().join(format!("harness-outside-{}.yaml", std::process::id()));
    fs::write(&outside, DESIGN).unwrap();
    let done = check("", &["--changed-since", "main"], &[outside.display().to_string()]);
    assert_eq!((done.code, done.err.contains("it is not in a git repository")), (exit::FAILED, true), "{}", done.err);
    fs::remove_file(&outside).unwrap();
    // A design that can't be read is reported, not left out.
    files.push(repository.path("lifts/c.yaml").display().to_string());
    let done = check("", &["--changed-since", "main", "--format", "short"], &files);
    assert!(done.code == exit::FAILED && done.err.contains("no such file; did you mean"), "{}", done.err);
    assert!(Path::new(&files[0]).exists());
}
