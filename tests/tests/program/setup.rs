//! What helps to begin: a starter, a folder as a design, completions and man pages, a word where something else was named.

use super::{folder, harness};
use clap::{CommandFactory, ValueEnum};
use harness_cli::{
    args::{Cli, Starter},
    exit,
};
use std::{fs, path::Path};

fn begun(name: &str, kind: &str) -> (std::path::PathBuf, String) {
    let folder = folder(name, &[]).join("lift");
    let done = harness(&["new", "Orchard \"lift\": 2 #b", "--kind", kind, "--out", folder.to_str().unwrap()]);
    assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""), "{kind}");
    (folder, done.out)
}

#[test]
fn each_starter_is_whole_and_clean_and_has_the_name_asked_for() {
    for kind in Starter::value_variants() {
        let kind = kind.to_possible_value().unwrap();
        let (folder, said) = begun(&format!("setup/{}", kind.get_name()), kind.get_name());
        let done = harness(&["check", folder.to_str().unwrap(), "--fail-on", "note"]);
        assert_eq!(done.code, exit::CLEAN, "{}\n{}", kind.get_name(), done.out);
        let summary = &done.out[done.out.find("  design:").unwrap()..];
        assert!(summary.contains("Orchard \"lift\": 2 #b, revision A"), "{summary}");
        assert!(summary.contains("found:") && summary.contains("nothing"), "{summary}");
        assert!(!summary.contains("given, not checked"), "no key that nothing reads: {summary}");
        for entry in fs::read_dir(&folder).unwrap() {
            let name = entry.unwrap().file_name().into_string().unwrap();
            assert!(said.contains(&format!("/{name}\n")), "{name}: {said}");
            let text = fs::read_to_string(folder.join(&name)).unwrap();
            assert!(!text.contains("DESIGN.yaml") && !text.contains("design: Starter"), "{name}");
        }
        for part in ["parts.yaml", "devices.yaml", "looms.yaml", "README.md", "check.sh", "orchard-lift-2-b.yaml"] {
            assert!(folder.join(part).is_file(), "{part}");
        }
    }
}

#[test]
fn a_starter_is_written_over_nothing() {
    let (folder, _) = begun("setup/twice", "loom-12v");
    let path = folder.to_str().unwrap();
    let again = harness(&["new", "Lift", "--out", path]);
    assert_eq!(again.code, exit::FAILED);
    assert_eq!(again.err, format!("error: failed to write `{path}`: it is there already; name another folder\n"));
    let beside: Vec<_> = fs::read_dir(folder.parent().unwrap()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert_eq!(beside, ["lift"], "nothing is left beside it");
    for (name, why) in [("", "without a name"), ("..", "no letter or digit"), ("a\nb", "without a name")] {
        let done = harness(&["new", name]);
        assert_eq!(done.code, exit::FAILED);
        assert!(done.err.contains(why), "{}", done.err);
    }
}

#[test]
fn a_folder_means_the_design_in_it() {
    let folder = begun("setup/folder", "loom-12v").0;
    let (path, own) = (folder.to_str().unwrap(), folder.join("orchard-lift-2-b.yaml"));
    let own = own.to_str().unwrap();
    for args in [&["check"][..], &["loads"], &["live"], &["swaps"]] {
        let (by_folder, by_file) = (harness(&[args, &[path]].concat()), harness(&[args, &[own]].concat()));
        assert_eq!((by_folder.code, by_folder.out), (by_file.code, by_file.out), "{args:?}");
    }
    assert_eq!(harness(&["diff", path, own]).code, exit::CLEAN);
}

#[test]
fn what_is_no_design_is_named_with_what_may_be_meant() {
    let folder = begun("setup/other", "loom-12v").0;
    let path = |name: &str| folder.join(name).to_str().unwrap().to_owned();
    let own = path("orchard-lift-2-b.yaml");
    fs::create_dir(folder.join("lists")).unwrap();
    fs::write(folder.join("lists/wires.csv"), "Wire,From,To\n1,P1.1,P2.1\n").unwrap();
    fs::write(folder.join("lists/book.bin"), b"PK\x03\x04rest").unwrap();
    fs::create_dir(folder.join("empty")).unwrap();
    fs::create_dir(folder.join("two")).unwrap();
    fs::write(folder.join("two/a.yaml"), "format: 1\ndesign: A\n").unwrap();
    fs::write(folder.join("two/b.yml"), "format: 1\ndesign: B\n").unwrap();
    let above = folder.parent().unwrap().to_str().unwrap().to_owned();
    for (name, why) in [
        (path("looms.yaml"), format!("it is a part of the design `{own}`, which includes it; name that")),
        (
            path("lists"),
            format!(
                "there is no design in this folder; `harness import {} --out DIR` makes one of a list",
                path("lists/wires.csv")
            ),
        ),
        (
            path("lists/wires.csv"),
            format!("it is a list, not a netlist; `harness import {} --out DIR` makes a netlist of it", path("lists/wires.csv")),
        ),
        (
            path("lists/book.bin"),
            format!("it is a list, not a netlist; `harness import {} --out DIR` makes a netlist of it", path("lists/book.bin")),
        ),
        (path("empty"), "there is no design in this folder; `harness new NAME` begins one".to_owned()),
        (
            path("two"),
            format!("there are 2 designs in this folder; name one of `{}` and `{}`", path("two/a.yaml"), path("two/b.yml")),
        ),
        (above, format!("there is no design in this folder; there is one in `{}`", folder.to_str().unwrap())),
    ] {
        let done = harness(&["check", &name]);
        assert_eq!((done.code, done.err), (exit::FAILED, format!("error: failed to read `{name}`: {why}\n")));
    }
}

#[test]
fn every_command_and_option_has_completions_and_a_page() {
    let mut command = Cli::command();
    command.build();
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let script = harness(&["completions", shell]).out;
        for sub in command.get_subcommands().filter(|sub| sub.get_name() != "help") {
            assert!(script.contains(sub.get_name()), "{shell}: {}", sub.get_name());
            for option in sub.get_arguments().filter_map(clap::Arg::get_long) {
                assert!(script.contains(option), "{shell}: --{option}");
            }
        }
    }
    let folder = folder("setup/pages", &[]);
    let path = folder.to_str().unwrap();
    assert_eq!(harness(&["manual", "--out", path]).code, exit::CLEAN);
    assert_eq!(harness(&["manual", "--out", path]).code, exit::FAILED, "pages are there already");
    assert_eq!(harness(&["manual", "--out", path, "--force"]).code, exit::CLEAN);
    for sub in command.get_subcommands().filter(|sub| sub.get_name() != "help") {
        let page = fs::read_to_string(folder.join(format!("harness-{}.1", sub.get_name()))).unwrap();
        assert_eq!(harness(&["manual", sub.get_name()]).out, page);
        for option in sub.get_arguments().filter_map(clap::Arg::get_long) {
            assert!(page.replace("\\-", "-").contains(&format!("--{option}")), "{}: --{option}", sub.get_name());
        }
    }
    assert!(harness(&["manual"]).out.contains("no safety certificate"));
    assert!(!Path::new(path).join("harness-help.1").exists());
    let wrong = harness(&["manual", "chek"]);
    assert!(wrong.code == exit::FAILED && wrong.err.contains("no such command; write one of `check`"), "{}", wrong.err);
}

#[test]
fn tidy_writes_the_files_of_a_design_and_check_only_asks() {
    let lift = "design: Lift\nformat: 1   # of the orchard\ninclude: [zones.yaml]\n\n\n\ndevices:\n    horn: {zone: grill}\n";
    let folder = folder(
        "setup/tidy",
        &[("lift.yaml", lift), ("zones.yaml", "zones: {grill: {wet: true}}\n"), ("bad.yaml", "format: 1\n a: [\n")],
    );
    let design = folder.join("lift.yaml");
    let path = design.to_str().unwrap();
    let asked = harness(&["tidy", "--check", path]);
    assert_eq!(asked.code, exit::FINDINGS, "{}", asked.out);
    assert!(asked.out.contains("lift.yaml: is not tidy, 8 lines to 6 lines"), "{}", asked.out);
    assert_eq!(fs::read_to_string(&design).unwrap(), lift, "asking writes nothing");
    let done = harness(&["tidy", path]);
    assert_eq!(done.code, exit::CLEAN, "{}", done.err);
    assert_eq!(
        fs::read_to_string(&design).unwrap(),
        "format: 1  # of the orchard\ndesign: Lift\ninclude: [zones.yaml]\n\ndevices:\n  horn: { zone: grill }\n"
    );
    assert_eq!(fs::read_to_string(folder.join("zones.yaml")).unwrap(), "zones: { grill: { wet: true } }\n");
    let again = harness(&["tidy", "--check", path]);
    assert_eq!((again.code, again.out), (exit::CLEAN, format!("{path}: nothing to tidy\n")));
    let bad = harness(&["tidy", folder.join("bad.yaml").to_str().unwrap()]);
    assert!(bad.out.contains("it is left as it is: it has mistakes of reading, which `harness check` shows"), "{}", bad.out);
    assert_eq!(harness(&["tidy", "-"]).code, exit::FAILED);
}
