//! The page in a browser: on a desk, on a phone and on paper, found in, explored, noted in, with hostile names.

use super::DRAFT;
use crate::{
    browser::Browser,
    program::{folder, harness},
};
use harness_cli::exit;
use harness_core::{Analysis, Design, MemoryFiles, inspect};
use harness_tests::HOSTILE;
use serde_json::{Value, json};
use std::{
    collections::BTreeSet,
    fs,
    path::{Path, PathBuf},
};

/// The page of a design as a file.
fn written(name: &str, design: &str) -> PathBuf {
    let place = folder(&format!("review-page-{name}"), &[]).join("review.html");
    let done = harness(&["review", design, "--output", &place.display().to_string(), "--force"]);
    assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""), "{design}");
    place
}

/// What is wrong with a page in a window: things beyond it, but for what scrolls in its own box; cells that run into each other.
const FAULTS: &str = "beyond('.box, .pic'); neighbours([...document.querySelectorAll('tr')].slice(0, 400));";

fn none(faults: &Value) -> bool {
    faults.as_array().is_some_and(Vec::is_empty)
}

/// The engine of axe-core (MPL-2.0, tests only), with the rules of WCAG 2.2 A and AA and its own best practice, over the page of the
/// draft, which has findings, tables and pictures. `HARNESS_AXE` names its file; the gate fetches it.
#[test]
fn the_page_has_no_fault_of_accessibility() {
    let Some(engine) = std::env::var_os("HARNESS_AXE") else {
        use std::io::Write;
        writeln!(std::io::stderr(), "HARNESS_AXE names no file: pages were not tried for accessibility").expect("it is said");
        return;
    };
    let engine = fs::read_to_string(engine).expect("the engine is there");
    let Some(browser) = Browser::open() else { return };
    browser.resize(1280, 800);
    browser.show(&written("axe", DRAFT));
    // What is not near the window has the size that was estimated for it until it is: a reader never sees it so.
    browser.act("document.styleSheets[0].insertRule('* { content-visibility: visible !important }')");
    browser.act(&format!("{engine}; window.axe = axe;"));
    let faults = browser.run(
        "return axe.run(document, { resultTypes: ['violations'], \
         runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] }).then(found => \
         found.violations.map(fault => [fault.id, fault.help, fault.nodes.slice(0, 3).map(node => node.html.slice(0, 200))]))",
    );
    assert!(none(&faults), "{faults:#}");
}

#[test]
fn the_page_fits_a_desk_a_phone_and_paper_and_asks_for_nothing() {
    let Some(browser) = Browser::open() else { return };
    let page = written("draft", DRAFT);
    for (width, height) in [(1280, 800), (390, 844), (320, 700)] {
        browser.resize(width, height);
        browser.show(&page);
        let faults = browser.faults(FAULTS);
        assert!(none(&faults), "at {width}: {faults:#}");
    }
    browser.on_paper(true);
    browser.resize(718, 980);
    browser.show(&page);
    let faults = browser.faults(FAULTS);
    assert!(none(&faults), "on paper: {faults:#}");
    // Nothing that only a screen shows is on paper, and what is on a screen is there too.
    assert_eq!(
        browser.run("return [getComputedStyle(document.querySelector('nav')).display, getComputedStyle(document.querySelector('#find')).display, getComputedStyle(document.querySelector('thead tr.id')).display]"),
        json!(["none", "none", "table-row"])
    );
    browser.on_paper(false);
    assert_eq!(browser.requests(), [""; 0]);
    assert_eq!(browser.complaints(), [""; 0]);
}

#[test]
fn names_are_found_by_their_parts_and_the_search_is_in_the_address() {
    let Some(browser) = Browser::open() else { return };
    let page = written("found", DRAFT);
    browser.resize(1280, 800);
    browser.show(&page);
    let search = |text: &str| {
        browser.act(&format!(
            "const q = document.querySelector('#q'); q.value = {}; q.dispatchEvent(new Event('input')); \
             q.dispatchEvent(new KeyboardEvent('keydown', {{ key: 'x' }}));",
            json!(text)
        ));
        std::thread::sleep(std::time::Duration::from_millis(150));
        browser.run("return [document.querySelector('#count').textContent, [...document.querySelectorAll('#found a')].map(a => a.getAttribute('href')), location.hash]")
    };
    let wire = search("FRONT 117");
    assert!(wire[1].as_array().is_some_and(|links| links.contains(&json!("#w-front.117"))), "{wire}");
    assert_eq!(wire[2], json!("#?find=FRONT+117"));
    let by_place = search("draft.yaml:298");
    assert!(by_place[1].as_array().is_some_and(|links| links.contains(&json!("#w-front.142"))), "{by_place}");
    let by_size = search("0.75 mm2 front.142");
    assert!(by_size[1].as_array().is_some_and(|links| links.contains(&json!("#w-front.142"))), "{by_size}");
    let nothing = search("xyzzy");
    assert!(nothing[0].as_str().is_some_and(|said| said.starts_with("nothing in this design is named xyzzy")), "{nothing}");
    // What is in the address is searched when the page opens.
    browser.act("location.hash = '#?find=pump&findings=sockets'");
    std::thread::sleep(std::time::Duration::from_millis(200));
    let shown = browser.run("return [document.querySelector('#q').value, [...document.querySelectorAll('#findings .finding')].filter(f => !f.hidden).length]");
    assert_eq!(shown[0], json!("pump"));
    assert_eq!(shown[1], json!(1));
    assert_eq!(browser.complaints(), [""; 0]);
}

#[test]
fn hostile_names_are_shown_as_text() {
    let Some(browser) = Browser::open() else { return };
    let place = folder("review-hostile", &[]);
    let design = place.join("hostile.yaml");
    fs::write(&design, HOSTILE).expect("a design");
    let page = written("hostile", &design.display().to_string());
    for width in [1280, 320] {
        browser.resize(width, 800);
        browser.show(&page);
        let faults = browser.faults(FAULTS);
        assert!(none(&faults), "at {width}: {faults:#}");
    }
    let made = browser.run("return [document.querySelectorAll('img, iframe, object').length, document.querySelectorAll('script').length, document.title.includes('<img'), document.body.textContent.includes('\\u202e')]");
    assert_eq!(made, json!([0, 1, true, false]));
    assert_eq!(browser.complaints(), [""; 0]);
    assert_eq!(browser.requests(), [""; 0]);
}

/// What is lit on a page: the ids of what a thing of `kind` is marked by.
fn marked(browser: &Browser, kind: &str) -> BTreeSet<String> {
    let found = browser.run(&format!("return [...document.querySelectorAll('article.{kind}[id]')].map(block => block.id)"));
    found.as_array().expect("ids").iter().filter_map(Value::as_str).map(str::to_owned).collect()
}

fn press(browser: &Browser, words: &str) {
    let script = format!(
        "const found = [...document.querySelectorAll('button')].find(button => button.textContent.startsWith({})); found.click();",
        json!(words)
    );
    browser.act(&script);
}

#[test]
fn exploring_lights_up_what_the_library_says() {
    let Some(browser) = Browser::open() else { return };
    let page = written("explored", DRAFT);
    browser.resize(1280, 800);
    browser.show(&page);
    // What is behind a fuse, as the library has it; which the page says too is another test.
    let text = fs::read_to_string(Path::new(DRAFT)).expect("a design");
    let analysis = Analysis::of_all(&Design::load(&MemoryFiles::one("draft.yaml", text), "draft.yaml"));
    let guards = inspect::Guards::new(&analysis);
    let model = analysis.model();
    let mut lit = 0;
    for feed in analysis.electrical().protection().feeds() {
        browser.act(&format!("location.hash = '#f-{}'", model.element_name(feed.fuse)));
        std::thread::sleep(std::time::Duration::from_millis(120));
        let behind: BTreeSet<String> =
            guards.behind(feed).into_iter().map(|wire| format!("w-{}", model.wire_name(wire))).collect();
        assert_eq!(marked(&browser, "lit"), behind, "{}", model.element_name(feed.fuse));
        lit += behind.len();
    }
    assert!(lit > 20, "{lit}");
    // What stops when it is pulled, in the mode that was picked.
    let faults: Value = serde_json::from_str(
        &harness(&["whatif", DRAFT, "--blow", "fusebox.F2", "--mode", "drive", "--level", "note", "--format", "json"]).out,
    )
    .expect("JSON");
    browser.act("location.hash = '#f-fusebox.F2'");
    std::thread::sleep(std::time::Duration::from_millis(120));
    press(&browser, "Pull it");
    let out = marked(&browser, "out");
    let outcomes = faults["faults"][0]["states"][0]["outcomes"].as_array().expect("outcomes");
    let stops = outcomes.iter().filter(|outcome| outcome["what"] == "stops").filter_map(|outcome| outcome["name"].as_str());
    let stops: BTreeSet<String> = stops.map(|name| format!("e-{name}")).collect();
    assert!(!stops.is_empty() && stops.is_subset(&out), "{stops:?} of {out:?}");
    press(&browser, "Clear");
    assert!(marked(&browser, "out").is_empty());
    // A mode puts its own currents into the tables, and the worst of all come back.
    let load = "return document.querySelector('#fuses tbody tr').cells[2].textContent";
    let before = browser.run(load);
    browser.act("const mode = document.querySelector('#mode'); mode.value = 'service'; mode.dispatchEvent(new Event('change'));");
    assert_eq!(browser.run(load), json!("0"));
    browser.act("const mode = document.querySelector('#mode'); mode.value = ''; mode.dispatchEvent(new Event('change'));");
    assert_eq!(browser.run(load), before);
    // Two things side by side, and no id twice because of it.
    for block in ["f-fusebox.F2", "w-front.117"] {
        browser.act(&format!("location.hash = '#{block}'"));
        std::thread::sleep(std::time::Duration::from_millis(120));
        press(&browser, "Keep beside");
    }
    let beside = browser.run("const ids = [...document.querySelectorAll('[id]')].map(e => e.id); return [document.querySelectorAll('.beside > *').length, ids.length - new Set(ids).size]");
    assert_eq!(beside, json!([2, 0]));
    assert_eq!(browser.complaints(), [""; 0]);
    assert_eq!(browser.requests(), [""; 0]);
}

#[test]
fn a_note_that_accepts_a_finding_is_a_waiver_that_the_check_takes() {
    let Some(browser) = Browser::open() else { return };
    let page = written("noted", DRAFT);
    browser.resize(1280, 800);
    browser.show(&page);
    // The first error that is about a thing; two such.
    let ids = browser.run("return [...document.querySelectorAll('.finding.error[data-at]')].slice(0, 2).map(finding => [finding.id, finding.dataset.rule])");
    for (at, finding) in ids.as_array().expect("findings").iter().enumerate() {
        browser.act(&format!("location.hash = '#' + {}", finding[0]));
        std::thread::sleep(std::time::Duration::from_millis(120));
        press(&browser, "Note");
        browser.act(&format!(
            "const note = document.querySelector('.tools .note'); const put = (field, value) => {{ field.value = value; field.dispatchEvent(new Event('input')); }}; \
             put(note.querySelector('textarea'), 'runs in a \"tube\": {at} # not a comment'); \
             const accept = note.querySelector('[type=checkbox]'); accept.checked = true; accept.dispatchEvent(new Event('input')); \
             put(note.querySelector('[type=text]'), 'A. Fitter'); put(note.querySelector('[type=date]'), '2099-01-31');"
        ));
    }
    press(&browser, "Notes as waivers");
    let waivers = browser.run("return document.querySelector('#given').value");
    press(&browser, "Notes as Markdown");
    let markdown = browser.run("return document.querySelector('#given').value");
    assert!(markdown.as_str().is_some_and(|text| text.contains("Accepted by A. Fitter until 2099-01-31.")), "{markdown}");
    assert_eq!(browser.complaints(), [""; 0]);
    let waivers = waivers.as_str().expect("a text");
    let design = fs::read_to_string(DRAFT).expect("a design") + "\n" + waivers;
    let place = folder("review-waived", &[]).join("draft.yaml");
    fs::write(&place, design).expect("a design");
    let done = harness(&["check", &place.display().to_string(), "--format", "json"]);
    let report: Value = serde_json::from_str(&done.out).expect("JSON");
    let findings = report["designs"][0]["findings"].as_array().expect("findings");
    let accepted = findings.iter().filter(|finding| finding["waived"]["by"] == "A. Fitter").count();
    assert_eq!(accepted, 2, "{waivers}\n{}", harness(&["check", &place.display().to_string(), "--format", "short"]).out);
}
