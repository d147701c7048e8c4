//! `harness review`: one page that holds the whole design, leads to all of it, and lets nothing in or out.

mod in_browser;
mod shown;

use super::{folder, harness};
use harness_cli::exit;
use harness_core::{Analysis, Design, MemoryFiles, inspect};
use harness_tests::{HOSTILE, fixtures, netlists};
use serde_json::Value;
use std::{
    collections::{BTreeMap, BTreeSet},
    fs,
    path::Path,
};

const DEMO: &str = "../fixtures/terrace-tractor";
const DRAFT: &str = "../fixtures/terrace-tractor-draft/draft.yaml";

/// The page of a design.
fn page_of(design: &str) -> String {
    let done = harness(&["review", design]);
    assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""), "{design}");
    done.out
}

/// The values of an attribute of all elements.
fn values<'a>(page: &'a str, attribute: &str) -> Vec<&'a str> {
    let begins = format!(" {attribute}=\"");
    page.split(begins.as_str()).skip(1).filter_map(|rest| rest.split('"').next()).collect()
}

/// What any page has to be: nothing acts, nothing leads elsewhere, every link has its place, every table says what it is.
fn is_sound(page: &str, of: &str) {
    assert!(
        page.starts_with(
            "<!DOCTYPE html><html lang=\"en\"><head><meta charset=\"utf-8\"><meta http-equiv=\"Content-Security-Policy\""
        ),
        "{of}"
    );
    assert_eq!(page.matches("<h1").count(), 1, "{of}");
    assert_eq!(page.matches("<script").count(), 1, "{of}");
    assert_eq!(page.matches("<style").count(), 1, "{of}");
    let body = page.split("</style>").nth(1).and_then(|rest| rest.split("<script>").next()).expect("a body");
    let tags: String = body.split('<').skip(1).filter_map(|rest| rest.split('>').next()).collect();
    for outside in ["http:", "https:", " style=", " src=", "javascript:", "@import", "url("] {
        // What is between quotes is a value: names may say anything there.
        let found: String = tags.split('"').step_by(2).collect();
        let found = found.replace("xmlns=\"http://www.w3.org/2000/svg\"", "");
        assert!(!found.contains(outside), "{of}: {outside}");
    }
    assert!(!values(body, "href").iter().any(|href| !href.starts_with('#')), "{of}");
    let ids = values(body, "id");
    let known: BTreeSet<&str> = ids.iter().copied().collect();
    assert_eq!(known.len(), ids.len(), "{of}: an id is given twice");
    let dead: BTreeSet<&str> =
        values(body, "href").into_iter().filter_map(|href| href.strip_prefix('#')).filter(|id| !known.contains(id)).collect();
    assert!(dead.is_empty(), "{of}: links that lead nowhere: {dead:?}");
    for table in body.split("<table").skip(1).filter_map(|rest| rest.split("</table>").next()) {
        assert!(table.contains("<caption>") && table.contains("scope=\"col\""), "{of}: {}", table.get(..200).unwrap_or(table));
    }
    for level in ["<h2", "<h3", "<h4"] {
        assert!(body.contains(level), "{of}: {level}");
    }
    assert!(!body.contains("<h5") && !body.contains(">NaN") && !body.contains("inf "), "{of}");
    assert!(!page.contains(&std::env::current_dir().expect("a folder").display().to_string()), "{of}: a path of this disk");
}

#[test]
fn every_sound_design_has_a_page_without_a_dead_link_that_names_all_it_has() {
    for design in netlists(&fixtures().join("sound")).into_iter().chain([fixtures().join("cart-48v"), DRAFT.into(), DEMO.into()])
    {
        let of = design.display().to_string();
        let page = page_of(&of);
        is_sound(&page, &of);
    }
}

#[test]
fn the_page_of_the_demo_has_each_thing_once_and_its_figures_are_those_of_the_lists() {
    let page = page_of(DEMO);
    assert!(page == page_of(DEMO), "the same design gives another page");
    assert!(page.len() < 2_000_000, "{} bytes", page.len());
    let ids: BTreeSet<&str> = values(&page, "id").into_iter().collect();
    let loads: Value = serde_json::from_str(&harness(&["loads", DEMO, "--format", "json"]).out).expect("JSON");
    let mut named = 0;
    for (list, prefix) in [("fuses", "f"), ("conductors", "w")] {
        for row in loads[list].as_array().expect("rows") {
            let name = row[list.trim_end_matches('s')].as_str().expect("a name");
            assert!(ids.contains(format!("{prefix}-{name}").as_str()), "{name} has no block");
            named += 1;
        }
    }
    assert!(named > 250, "{named}");
    // The margins in the order of the tables, to the figure.
    for (section, list) in [("fuses", "fuses"), ("conductors", "conductors")] {
        let part = page.split(&format!("<section id=\"{section}\"")).nth(1).and_then(|rest| rest.split("</section>").next());
        let part = part.expect("a section");
        let shown: Vec<&str> =
            part.split("<span class=\"mg\">").skip(1).filter_map(|rest| rest.split(['<', '>']).nth(2)).collect();
        let known = loads[list].as_array().expect("rows").iter().filter_map(|row| row["margin"].as_f64());
        for (shown, known) in shown.iter().zip(known) {
            let shown = shown.trim_end_matches('*');
            let read: f64 = shown.trim_start_matches("over ").parse().unwrap_or_else(|_| panic!("{shown}"));
            assert!(known >= read && (known < read + 0.01 || known >= 10.0), "{shown} for {known}");
        }
        assert!(shown.len() > 30, "{section}");
    }
}

#[test]
fn a_page_is_written_whole_and_over_no_other() {
    let place = folder("review-written", &[]).join("review.html");
    let to = place.display().to_string();
    let done = harness(&["review", DRAFT, "--output", &to]);
    assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""));
    assert!(done.out.ends_with("review.html: 36 conductors, 22 ends, 19 findings\n"), "{}", done.out);
    let refused = harness(&["review", DRAFT, "--output", &to]);
    assert!(refused.code == exit::FAILED && refused.err.contains("`--force` replaces it"), "{}", refused.err);
    let page = fs::read_to_string(place).expect("a page");
    // What a phone shows first: what it is, the verdict, the worst with its remedy, the caution; sections after it.
    let places: Vec<usize> = [
        "Review of Terrace tractor, front loom, first draft",
        "5 dangers and 9 errors: do not build",
        "What to do: ",
        "A clean result is no safety certificate",
        "<nav",
    ]
    .iter()
    .map(|words| page.find(words).unwrap_or_else(|| panic!("{words}")))
    .collect();
    assert!(places.is_sorted(), "{places:?}");
}

#[test]
fn every_finding_of_the_draft_is_on_its_page_with_its_line_and_its_rule() {
    let page = page_of(DRAFT);
    let report: Value = serde_json::from_str(&harness(&["check", DRAFT, "--format", "json"]).out).expect("JSON");
    let findings = report["designs"][0]["findings"].as_array().expect("findings");
    assert_eq!(findings.len(), 19);
    for finding in findings {
        let rule = finding["rule"].as_str().expect("a rule");
        assert!(page.contains(&format!("id=\"r-{}\"", rule.replace('/', "~2f"))), "{rule}");
        let line = finding["primary"]["start"]["line"].as_u64().expect("a line");
        assert!(page.contains(&format!("id=\"L-draft.yaml-{line}\"")), "{line}");
        assert!(page.contains(&format!("href=\"#L-draft.yaml-{line}\"")), "{line}");
    }
    assert_eq!(page.matches(" id=\"i-").count(), findings.len());
}

#[test]
fn the_page_of_two_revisions_says_first_what_changed_and_names_no_folder() {
    let at = |name: &str| fs::canonicalize(format!("../fixtures/orchard-lift/{name}")).expect("a design").display().to_string();
    let done = harness(&["review", &at("revision-a.yaml"), &at("revision-b.yaml")]);
    assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""));
    is_sound(&done.out, "two revisions");
    let folder = fs::canonicalize("..").expect("a folder").display().to_string();
    assert!(!done.out.contains(&folder), "a folder of this disk");
    let changes: Value =
        serde_json::from_str(&harness(&["diff", &at("revision-a.yaml"), &at("revision-b.yaml"), "--format", "json"]).out)
            .expect("JSON");
    let number = changes["changes"].as_array().expect("changes").len();
    assert!(done.out.contains(&format!("<p>{number} changes; findings that came: 1 danger;")), "{number}");
    let [changed, findings] =
        ["<section id=\"changed\"", "<section id=\"findings\""].map(|part| done.out.find(part).expect(part));
    assert!(changed < findings && done.out.contains("Order of rework"));
}

/// A design of more wires than a table holds.
fn large(wires: usize) -> String {
    let mut text = String::from(
        "format: 1\ndesign: Long board\nparts:\n  housings:\n    A-2: { family: A, positions: 2, contacts: socket }\nlooms:\n  board:\n    ends:\n",
    );
    for number in 0..wires {
        text += &format!("      P{number}: {{ housing: A-2 }}\n      Q{number}: {{ housing: A-2 }}\n");
    }
    text += "    wires:\n";
    for number in 0..wires {
        text += &format!("      {number}: {{ from: P{number}.1, to: Q{number}.1, size: 1 mm2, colour: RD, length: 1 m }}\n");
    }
    text
}

#[test]
fn a_large_design_is_written_in_lines_and_none_is_left_out() {
    let place = folder("review-large", &[]);
    let design = place.join("board.yaml");
    fs::write(&design, large(450)).expect("a design");
    let page = page_of(&design.display().to_string());
    is_sound(&page, "a large design");
    let ids: BTreeSet<&str> = values(&page, "id").into_iter().collect();
    for number in 0..450 {
        for id in [format!("w-board.{number}"), format!("x-board.P{number}"), format!("x-board.Q{number}")] {
            assert!(ids.contains(id.as_str()), "{id}");
        }
    }
    assert!(page.len() < 1_600_000, "{}", page.len());
}

/// The conductors behind each fuse of the page are those of the library.
#[test]
fn the_conductors_behind_a_fuse_are_those_of_the_library() {
    let text = fs::read_to_string(Path::new(DRAFT)).expect("a design");
    let analysis = Analysis::of_all(&Design::load(&MemoryFiles::one("draft.yaml", text), "draft.yaml"));
    let guards = inspect::Guards::new(&analysis);
    let model = analysis.model();
    let mut known: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for feed in analysis.electrical().protection().feeds() {
        let behind = guards.behind(feed).into_iter().map(|wire| model.wire_name(wire));
        known.entry(model.element_name(feed.fuse)).or_default().extend(behind);
    }
    let page = page_of(DRAFT);
    let mut compared = 0;
    for (fuse, wires) in &known {
        let block = page.split(&format!("<article id=\"f-{fuse}\"")).nth(1).and_then(|rest| rest.split("</article>").next());
        let behind = block.and_then(|block| block.split("<p class=\"behind\">").nth(1)).unwrap_or_else(|| panic!("{fuse}"));
        // A paragraph ends by its tag or by what follows it.
        let behind = ["</p>", "<p", "<ul", "<dl"].iter().fold(behind, |text, end| text.split(end).next().unwrap_or(text));
        let shown: BTreeSet<String> =
            values(behind, "href").into_iter().filter_map(|href| href.strip_prefix("#w-")).map(str::to_owned).collect();
        assert_eq!(&shown, wires, "{fuse}");
        compared += shown.len();
    }
    assert!(compared > 20, "{compared}");
}

#[test]
fn the_page_of_a_hostile_design_is_sound() {
    let design = folder("review-hostile-text", &[("hostile.yaml", HOSTILE)]).join("hostile.yaml");
    is_sound(&page_of(&design.display().to_string()), "hostile names");
}
