//! The published JSON Schema says the same as the reader, and the format reference in the repository is the current one.

use harness_core::{Design, MemoryFiles, reference, schema};
use harness_tests::{
    corpus::{checked_examples, checked_files},
    report,
    tier::sample,
};
use jsonschema::Validator;
use serde_json::{Map, Value};
use std::{path::Path, sync::OnceLock};

fn validator() -> Validator {
    jsonschema::draft202012::new(&schema()).expect("the schema is one")
}

/// The netlist as an editor with a YAML reader sees it: types resolved, keys as texts.
fn as_json(netlist: &str) -> Value {
    converted(serde_yaml::from_str(netlist).expect("a second reader reads the netlist"))
}

fn converted(value: serde_yaml::Value) -> Value {
    use serde_yaml::Value as Yaml;
    match value {
        Yaml::Null => Value::Null,
        Yaml::Bool(flag) => Value::Bool(flag),
        Yaml::Number(number) => serde_json::to_value(number).expect("a finite number"),
        Yaml::String(text) => Value::String(text),
        Yaml::Sequence(items) => Value::Array(items.into_iter().map(converted).collect()),
        Yaml::Mapping(entries) => {
            let text = |key: Yaml| match converted(key) {
                Value::String(text) => text,
                other => other.to_string(),
            };
            Value::Object(entries.into_iter().map(|(key, value)| (text(key), converted(value))).collect::<Map<_, _>>())
        }
        Yaml::Tagged(_) => panic!("no fixture has a tag"),
    }
}

/// Netlists that are read without a mistake; an included file alone lacks `format` and `design`, which is none of it.
fn sound_netlists() -> &'static [(String, String)] {
    static SOUND: OnceLock<Vec<(String, String)>> = OnceLock::new();
    SOUND.get_or_init(|| {
        let fixtures = checked_files().iter().map(|fixture| (fixture.path.display().to_string(), fixture.netlist.clone()));
        let examples = checked_examples().iter().map(|(text, _)| (text.name.clone(), text.netlist.clone()));
        let is_sound = |(_, netlist): &(String, String)| {
            let is_whole = netlist.contains("\ndesign:");
            let whole = if is_whole { netlist.clone() } else { format!("format: 1\ndesign: whole\n{netlist}") };
            let of_the_whole = ["format/include", "format/unknown-name"];
            // What is said of a text alone, no fact or figure is asked for.
            let design = Design::load(&MemoryFiles::one("design.yaml", whole), "design.yaml");
            let is_of_the_whole = |rule: &str| !rule.starts_with("format/") || of_the_whole.contains(&rule);
            design.mistakes().iter().all(|mistake| is_of_the_whole(mistake.rule))
        };
        fixtures.chain(examples).filter(is_sound).collect()
    })
}

#[test]
fn the_schema_is_one_of_its_draft() {
    assert!(jsonschema::draft202012::meta::is_valid(&schema()));
}

#[test]
fn what_is_read_without_a_mistake_validates() {
    let validator = validator();
    let netlists = sound_netlists();
    assert!(netlists.len() > 20, "only {} netlists", netlists.len());
    for (name, netlist) in sample("what_is_read_without_a_mistake_validates", netlists) {
        let json = as_json(netlist);
        let errors: Vec<String> =
            validator.iter_errors(&json).map(|error| format!("{}: {error}", error.instance_path())).collect();
        assert!(errors.is_empty(), "{name}: {errors:#?}");
    }
}

/// One slip each: what it replaces, by what. Both the reader and the schema must see it.
const SLIPS: [(&str, &str); 12] = [
    ("from: ", "form: "),
    ("housing: ", "houssing: "),
    ("domains:", "domain:"),
    ("nominal: 12 V", "nominal: 12"),
    ("nominal: 12 V", "nominal: 0 V"),
    ("nominal: 12 V", "nominal: 12 A"),
    ("role: supply", "role: suply"),
    ("contacts: pin", "contacts: pins"),
    (" mm2, colour", ", colour"),
    ("reference: chassis", "kind: dc"),
    ("positions: 2", "positions: two"),
    ("colour: RD", "colour: red"),
];

#[test]
fn a_slip_fails_with_the_schema_as_it_does_with_the_reader() {
    let validator = validator();
    let netlists = sound_netlists();
    for (right, slip) in SLIPS {
        let mut tried = 0;
        for (name, netlist) in netlists {
            // Only the first place, in a line of its own or a map of one line.
            let Some(at) = netlist.find(right) else { continue };
            if netlist[..at].rsplit('\n').next().is_some_and(|line| line.contains('#')) {
                continue;
            }
            let mut slipped = netlist.clone();
            slipped.replace_range(at..at + right.len(), slip);
            let Ok(value) = serde_yaml::from_str::<serde_yaml::Value>(&slipped) else { continue };
            assert!(!validator.is_valid(&converted(value)), "{name}: `{slip}` validates\n{slipped}");
            let report = report(&slipped);
            assert!(report.findings.iter().any(|finding| finding.rule.starts_with("format/")), "{name}: `{slip}` is read");
            tried += 1;
            // A slip is a slip in any netlist; a few of them show it.
            if tried == 6 {
                break;
            }
        }
        assert!(tried > 0, "no netlist has `{right}`");
    }
}

#[test]
fn what_the_reader_takes_for_a_quantity_the_schema_takes_too() {
    let validator = validator();
    let wire = |size: &str| format!("looms: {{ a: {{ wires: {{ 1: {{ from: A, to: B, size: {size} }} }} }} }}\n");
    for (size, is_taken) in [
        ("0.5 mm2", true),
        ("0.5mm2", true),
        (".5  mm²", true),
        ("20 AWG", true),
        ("AWG 20", true),
        ("2/0 AWG", true),
        ("5e-1 mm2", true),
        ("0.5", false),
        ("0.5 A", false),
        ("mm2", false),
        ("20 awg", false),
    ] {
        assert_eq!(validator.is_valid(&as_json(&wire(size))), is_taken, "{size}");
        let report = report(&format!("format: 1\ndesign: x\n{}", wire(size)));
        let refused = report.findings.iter().any(|finding| finding.rule == "format/quantity");
        assert_eq!(!refused, is_taken, "{size}");
    }
}

#[test]
fn the_reference_in_the_repository_is_the_current_one() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../harness-core/FORMAT.md");
    if std::env::var_os("BLESS").is_some() {
        std::fs::write(&path, reference()).expect("the reference can be written");
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(kept == reference(), "harness-core/FORMAT.md is not the current reference; run the tests once with BLESS=1");
}
