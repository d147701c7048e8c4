//! What a baseline knows of one design and of several, and how it is written.

use super::{
    document, folder,
    review::{lift, overfused, run},
};
use harness_cli::exit;
use serde_json::Value;
use std::{fs, path::Path};

#[test]
fn with_a_baseline_only_what_is_new_fails() {
    let folder = folder("review/new", &[("lift.yaml", &overfused(&[]))]);
    let path = |name: &str| folder.join(name).to_str().unwrap().to_owned();
    let (design, known) = (path("lift.yaml"), path("lift.baseline"));
    let wrote = run("", &["baseline", &design, "--output", &known]);
    assert_eq!((wrote.code, wrote.err.as_str()), (exit::CLEAN, ""));
    assert!(wrote.out.contains("3 findings known") && wrote.out.contains("2 dangers among them"), "{}", wrote.out);
    let text = fs::read_to_string(&known).unwrap();
    assert!(
        text.contains("\ndesign Orchard lift\nconductor/thin-for-handling deck.3 | warning | wire `deck.3` is 0.22 mm2"),
        "{text}"
    );

    // The file has another name and other lines by now.
    let moved: String = overfused(&[]).lines().map(|line| format!("# moved\n{line}\n")).collect();
    fs::rename(&design, path("deck.yaml")).unwrap();
    fs::write(path("deck.yaml"), moved).unwrap();
    let with = |name: &str, more: &[&str]| {
        run("", &[&["check", &path(name), "--fail-on", "note", "--baseline", &known][..], more].concat())
    };
    let same = with("deck.yaml", &[]);
    assert_eq!((same.code, same.err.as_str()), (exit::CLEAN, ""), "{}", same.out);
    assert!(same.out.contains("found:    nothing else; 3 known (2 dangers)\n"), "{}", same.out);
    // A known danger is drawn, with its figures; the warning has its line.
    assert!(same.out.contains("known:    in the baseline, so it fails no check; still a danger"), "{}", same.out);
    let brief = same.out.find("known from the baseline:\n  warning[conductor/thin-for-handling]").unwrap();
    assert!(same.out.find("danger[protection/fuse-over-conductor]").unwrap() < brief);
    let report = document("report", &with("deck.yaml", &["--format", "json"]));
    let design = &report["designs"][0];
    assert!(design["findings"].as_array().unwrap().iter().all(|finding| finding["known"] == true && finding["waived"].is_null()));
    assert_eq!((design["summary"]["known"].as_u64(), design["summary"]["gone"].as_u64()), (Some(3), Some(0)));
    let short = with("deck.yaml", &["--format", "short"]);
    assert_eq!(short.out.matches("; known\n").count(), 3, "{}", short.out);

    // One finding more fails; it is the only one that counts.
    fs::write(
        path("more.yaml"),
        overfused(&[]).replace("2: { from: R3, to: R4, size: 1 mm2", "2: { from: R3, to: R4, size: 0.3 mm2"),
    )
    .unwrap();
    let more = document("report", &with("more.yaml", &["--format", "json"]));
    let new: Vec<&Value> =
        more["designs"][0]["findings"].as_array().unwrap().iter().filter(|finding| finding["known"] == false).collect();
    assert_eq!(
        new.iter().map(|finding| finding["fingerprint"].as_str().unwrap()).collect::<Vec<_>>(),
        // The short lasts longer than the other wire withstands: that figure is worse too.
        ["protection/uncleared-fault deck.2 deck.3 fuse-box.F1", "conductor/thin-for-handling deck.2"]
    );
    assert_eq!(with("more.yaml", &[]).code, exit::FINDINGS);

    // What is gone is reported, and only where all modes were computed.
    fs::write(path("less.yaml"), lift(&[])).unwrap();
    let less = with("less.yaml", &[]);
    assert_eq!(less.code, exit::CLEAN);
    let words = less.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("2 of its findings are gone: write it again with `harness baseline`"), "{}", less.out);
    assert!(!with("less.yaml", &["--mode", "lift"]).out.contains("gone"));

    // More severe than it was, by its level or by a figure: new. Less severe: known.
    let raised = lift(&[]) + "policy: { levels: { conductor/thin-for-handling: error } }\n";
    for (name, text, code) in [
        ("raised.yaml", raised, exit::FINDINGS),
        ("thinner.yaml", lift(&[]).replace("size: 0.22 mm2", "size: 0.13 mm2"), exit::FINDINGS),
        ("thicker.yaml", lift(&[]).replace("size: 0.22 mm2", "size: 0.3 mm2"), exit::CLEAN),
    ] {
        fs::write(path(name), text).unwrap();
        let done = with(name, &[]);
        assert_eq!(done.code, code, "{name}: {}", done.out);
        let words = done.out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(
            words.contains("1 finding is more severe than it says, and counts as new"),
            code == exit::FINDINGS,
            "{name}: {words}"
        );
        assert_eq!(words.contains("since the baseline: 0.13 mm2, was 0.22 mm2"), name == "thinner.yaml", "{name}: {words}");
    }

    // Another design is not known.
    fs::write(path("cart.yaml"), overfused(&[]).replace("Orchard lift", "Orchard cart")).unwrap();
    let cart = with("cart.yaml", &[]);
    assert_eq!(cart.code, exit::FINDINGS);
    assert!(cart.out.contains("it does not name this design"), "{}", cart.out);
}

#[test]
fn several_designs_share_a_baseline_in_any_order() {
    let cart = overfused(&[]).replace("Orchard lift", "Orchard cart");
    let folder = folder("review/shared", &[("lift.yaml", &lift(&[])), ("cart.yaml", &cart)]);
    let path = |name: &str| folder.join(name).to_str().unwrap().to_owned();
    let (lift, cart, one, other) = (path("lift.yaml"), path("cart.yaml"), path("one"), path("other"));
    assert_eq!(run("", &["baseline", &lift, &cart, "--output", &one]).code, exit::CLEAN);
    assert_eq!(run("", &["baseline", &cart, &lift, "--output", &other]).code, exit::CLEAN);
    assert_eq!(fs::read(&one).unwrap(), fs::read(&other).unwrap());
    let both = run("", &["check", &lift, &cart, "--baseline", &one, "--fail-on", "note"]);
    assert_eq!(both.code, exit::CLEAN, "{}", both.out);
    // The finding of one is not known in the other.
    let text = fs::read_to_string(&one).unwrap();
    let (_, lift_alone) = text.split_once("design Orchard lift\n").unwrap();
    fs::write(&other, format!("baseline 1\ndesign Orchard cart\n{lift_alone}")).unwrap();
    assert_eq!(run("", &["check", &cart, "--baseline", &other]).code, exit::FINDINGS);
}

#[test]
fn a_baseline_is_written_whole_or_not_at_all() {
    let nameless = lift(&[]).replace("design: Orchard lift\n", "");
    let folder = folder(
        "review/whole",
        &[("lift.yaml", &lift(&[])), ("copy.yaml", &lift(&[])), ("nameless.yaml", &nameless), ("there", "x")],
    );
    let path = |name: &str| folder.join(name).to_str().unwrap().to_owned();
    let lift = path("lift.yaml");
    assert_eq!(run("", &["baseline", &lift]).code, exit::FAILED);
    for (output, why) in [("there", "there is a file already; `--force` replaces it"), ("none/out", "there is no such folder")] {
        let done = run("", &["baseline", &lift, "--output", &path(output)]);
        assert_eq!((done.code, done.out.as_str()), (exit::FAILED, ""), "{output}");
        assert!(done.err.contains(why), "{}", done.err);
    }
    let out = path("out");
    for (other, why) in [
        ("nope.yaml", "no such file"),
        ("copy.yaml", "it has the name `Orchard lift`, and so has"),
        ("nameless.yaml", "has no name"),
    ] {
        let done = run("", &["baseline", &lift, &path(other), "--output", &out]);
        assert_eq!((done.code, done.out.as_str()), (exit::FAILED, ""), "{other}");
        assert!(done.err.contains(why), "{}", done.err);
        assert!(!Path::new(&out).exists(), "{other}");
    }
    assert_eq!(fs::read_to_string(path("there")).unwrap(), "x");
    assert_eq!(run("", &["baseline", &lift, "--output", &path("there"), "--force"]).code, exit::CLEAN);
    assert_eq!(run("", &["check", &lift, "--baseline", &path("there"), "--fail-on", "note"]).code, exit::CLEAN);
}

#[test]
fn a_baseline_that_cannot_be_read_fails_before_anything_is_checked() {
    let good = "baseline 1\ndesign Orchard lift\n";
    let files = [
        ("lift.yaml", lift(&[])),
        ("design.baseline", lift(&[])),
        ("merge.baseline", format!("{good}<<<<<<< ours\n")),
        ("level.baseline", format!("# c\n{good}conductor/thin-for-handling deck.3 | severe | words\n")),
        ("line.baseline", format!("{good}\nconductor/thin-for-handling deck.3\n")),
        ("empty.baseline", String::new()),
    ];
    let files: Vec<(&str, &str)> = files.iter().map(|(name, text)| (*name, text.as_str())).collect();
    let folder = folder("review/unread", &files);
    fs::write(folder.join("bytes.baseline"), b"baseline 1\n\xff\n").unwrap();
    let cases = [
        ("none.baseline", "no such file; `harness baseline` writes one"),
        ("design.baseline", "line 1: this is not a baseline: one begins with the line `baseline 1`"),
        ("merge.baseline", "line 3: a merge was left open here"),
        ("level.baseline", "line 4: `severe` is not a level"),
        ("line.baseline", "line 4: a finding reads `group/fault name | level | words`"),
        ("empty.baseline", "line 1: there is nothing in it"),
        ("bytes.baseline", "line 2: bytes that are not UTF-8"),
        (".", "it is a folder"),
    ];
    for (name, why) in cases {
        let baseline = folder.join(name);
        let done = run("", &["check", folder.join("lift.yaml").to_str().unwrap(), "--baseline", baseline.to_str().unwrap()]);
        assert_eq!((done.code, done.out.as_str()), (exit::FAILED, ""), "{name}");
        let start = format!("error: failed to read the baseline `{}`: {why}", baseline.display());
        assert!(done.err.starts_with(&start), "{}", done.err);
    }
}
