//! Names that are written to harm: in no output do they steer a terminal, give a command to whoever reads the log, become a formula
//! of a table, or break a document.

use harness_cli::{Io, Terminal, run};
use harness_tests::fixtures;
use std::{
    fs,
    path::{Path, PathBuf},
};

/// What is written as a name in the design, as YAML writes it, with what must not be seen of it.
const NAMES: [&str; 8] = [
    "::error file=x::",
    "##[group]a",
    "##vso[task.setvariable]",
    "=cmd|calc",
    "\\u202Epmup\\u2066",
    "pu\\u200Bmp\\uFEFF",
    "a\\uFFFE\\uFFFF<b>&\\\"'",
    "\\e[31mred\\a\\u009B1m",
];

/// A folder with both revisions of the lift, in which `name` takes the place of many names.
fn lift(number: usize, name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("harness-hostile-{}-{number}", std::process::id()));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    for revision in ["a", "b"] {
        let text = fs::read_to_string(fixtures().join(format!("orchard-lift/revision-{revision}.yaml"))).unwrap();
        let plain = [
            ("Orchard lift", format!("\"{name}\"")),
            ("revision: ", format!("revision: \"{name}\" #")),
            ("parked: {}", format!("\"{name}\": {{}}")),
            ("pump supply", format!("\"{name}\"")),
            ("F1: {", format!("\"{name}\": {{")),
            ("blade-15", format!("\"15{name}\"")),
            ("\n      1: {", format!("\n      \"{name} 1\": {{ note: \"{name}\",")),
            ("\n      2: {", format!("\n      \"{name}\": {{")),
            ("pump.J1", format!("\"{name}.J1\"")),
        ];
        let text = plain.iter().fold(text, |text, (from, to)| text.replace(from, to));
        fs::write(folder.join(format!("{revision}.yaml")), text).unwrap();
    }
    folder
}

fn program(folder: &Path, args: &[&str]) -> String {
    let mut out = Vec::new();
    let mut err = Vec::new();
    let args: Vec<String> = args
        .iter()
        .map(|arg| {
            if arg.ends_with(".yaml") || arg.ends_with(".svg") {
                folder.join(arg).display().to_string()
            } else {
                (*arg).to_owned()
            }
        })
        .collect();
    let io = Io { input: &mut std::io::empty(), out: &mut out, err: &mut err, terminal: Terminal::PIPE };
    run(std::iter::once("harness".to_owned()).chain(args), io);
    String::from_utf8(out).unwrap() + &String::from_utf8(err).unwrap()
}

/// What no text may hold: controls, marks of direction, what has no width.
fn is_unseen(ch: char) -> bool {
    (ch.is_control() && ch != '\n')
        || matches!(ch, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}')
        || matches!(ch, '\u{fffe}' | '\u{ffff}')
}

#[test]
fn texts_for_people_and_logs_hold_no_command() {
    let texts: [&[&str]; 17] = [
        &["check", "b.yaml"],
        &["check", "b.yaml", "--width", "40"],
        &["check", "b.yaml", "--ascii", "--format", "short"],
        &["check", "b.yaml", "--format", "annotations"],
        &["check", "b.yaml", "--format", "junit"],
        &["check", "b.yaml", "--mode", "::stop-commands::x"],
        &["loads", "b.yaml"],
        &["loads", "b.yaml", "--width", "40"],
        &["loads", "b.yaml", "--format", "csv"],
        &["trace", "b.yaml", "battery.cells"],
        &["trace", "b.yaml", "mast.4"],
        &["trace", "b.yaml", "::stop-commands::x"],
        &["diff", "a.yaml", "b.yaml"],
        &["diff", "a.yaml", "b.yaml", "--format", "short"],
        &["diff", "a.yaml", "b.yaml", "--format", "markdown"],
        &["diff", "a.yaml", "b.yaml", "--rework", "--width", "40"],
        &["diff", "a.yaml", "b.yaml", "--three", "a.yaml"],
    ];
    for (number, name) in NAMES.into_iter().enumerate() {
        let folder = lift(number, name);
        for args in texts {
            let text = program(&folder, args);
            assert!(text.len() > 60, "{args:?}: {text}");
            assert!(!text.contains(is_unseen), "{args:?}: {text:?}");
            assert!(
                args != ["check", "b.yaml"] || text.contains("<U+") || text.contains(['␛', '=']),
                "the name is there: {text}"
            );
            assert!(!text.contains("##[") && !text.contains("##vso["), "{args:?}: {text}");
            for line in text.lines().filter(|line| line.trim_start().starts_with("::")) {
                let own = ["::error file=", "::warning file=", "::notice file="];
                assert!(args.contains(&"annotations") && own.iter().any(|own| line.starts_with(own)), "{args:?}: {line}");
            }
        }
        fs::remove_dir_all(&folder).unwrap();
    }
}

#[test]
fn no_cell_of_a_table_is_a_formula() {
    let folder = lift(100, "=cmd|calc");
    for by in ["fuse", "conductor"] {
        let text = program(&folder, &["loads", "b.yaml", "--format", "csv", "--by", by]);
        let mut rows = csv::Reader::from_reader(text.as_bytes());
        let mut cells = 0;
        for row in rows.records() {
            for cell in &row.unwrap() {
                assert!(!cell.starts_with(['=', '+', '@']) && (!cell.starts_with('-') || cell.parse::<f64>().is_ok()), "{cell}");
                cells += 1;
            }
        }
        assert!(cells > 20);
        assert!(text.contains("=cmd|calc"), "the name is still there: {text}");
    }
    fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn pictures_are_well_formed_whatever_is_called_in_them() {
    for (number, name) in NAMES.into_iter().enumerate() {
        let folder = lift(200 + number, name);
        program(&folder, &["diff", "a.yaml", "b.yaml", "--svg", "diff.svg"]);
        let mut pictures = vec![fs::read_to_string(folder.join("diff.svg")).unwrap()];
        // The fuse bears the name; its end is enough to name it.
        let listed = program(&folder, &["loads", "b.yaml", "--format", "json"]);
        let listed: serde_json::Value = serde_json::from_str(&listed).unwrap();
        let fuse = listed["fuses"][0]["fuse"].as_str().unwrap().to_owned();
        program(&folder, &["trace", "b.yaml", &fuse, "--svg", "fuse.svg"]);
        pictures.push(fs::read_to_string(folder.join("fuse.svg")).unwrap());
        for picture in pictures {
            assert!(!picture.contains(is_unseen), "{picture:?}");
            let mut reader = quick_xml::Reader::from_str(&picture);
            let mut depth = 0;
            loop {
                match reader.read_event().unwrap() {
                    quick_xml::events::Event::Eof => break,
                    quick_xml::events::Event::Start(start) => {
                        depth += 1;
                        assert_ne!(start.name().as_ref(), "b", "a name is not a tag");
                    }
                    quick_xml::events::Event::End(_) => depth -= 1,
                    _ => {}
                }
            }
            assert_eq!(depth, 0);
        }
        fs::remove_dir_all(&folder).unwrap();
    }
}
