//! `harness review`: one page that holds the whole design, leads to all of it, and lets nothing in or out.

use super::{folder, harness};
use crate::browser::Browser;
use harness_cli::exit;
use harness_core::{Analysis, Design, MemoryFiles, inspect};
use harness_tests::{fixtures, netlists};
use serde_json::{Value, json};
use std::{
    collections::{BTreeMap, BTreeSet},
    fs,
    path::{Path, PathBuf},
};

const DEMO: &str = "../fixtures/terrace-tractor";
const DRAFT: &str = "../fixtures/terrace-tractor-draft/draft.yaml";

/// The page of a design.
fn page_of(design: &str) -> String {
    let done = harness(&["review", design]);
    assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""), "{design}");
    done.out
}

/// The same as a file, for a browser.
fn written(name: &str, design: &str) -> PathBuf {
    let place = folder(&format!("review-page-{name}"), &[]).join("review.html");
    let done = harness(&["review", design, "--output", &place.display().to_string(), "--force"]);
    assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""), "{design}");
    place
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
    assert!(page.len() < 2_600_000, "{} bytes", page.len());
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

/// What is wrong with a page in a window: things beyond it, but for what scrolls in its own box; cells that run into each other.
const FAULTS: &str = r#"
const found = [];
const name = element => element.tagName + ' ' + element.textContent.trim().slice(0, 60);
const width = document.documentElement.clientWidth;
for (const element of document.querySelectorAll('body *')) {
  if (element.closest('.box, .pic, svg') && !element.matches('.box, .pic')) continue;
  const box = element.getBoundingClientRect();
  if (box.width > 0 && box.right > width + 1) found.push('beyond the window by ' + (box.right - width) + ': ' + name(element));
}
for (const row of [...document.querySelectorAll('tr')].slice(0, 400)) {
  let right = -1e9;
  for (const cell of row.children) {
    const range = document.createRange();
    range.selectNodeContents(cell);
    const box = range.getBoundingClientRect();
    if (box.width === 0) continue;
    if (box.left < right - 0.5) found.push('runs into its neighbour: ' + name(cell));
    right = Math.max(right, box.right);
  }
}
return [...new Set(found)].slice(0, 20);
"#;

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
        let faults = browser.run(FAULTS);
        assert!(none(&faults), "at {width}: {faults:#}");
    }
    browser.on_paper(true);
    browser.resize(718, 980);
    browser.show(&page);
    let faults = browser.run(FAULTS);
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
    let hostile = r##"format: 1
design: "<img src=x onerror=alert(1)><script>document.title='no'</script>"
revision: "\"'&<b>"
parts:
  housings:
    "Q</script>": { family: Q, face: [["1", "<i>"], ["a&b", "\u202Egnorw"]], seen-from: mating side, contacts: socket, latch-at: top, sealed: yes }
devices:
  "</style><script>alert(2)</script>":
    ports: { J: { stud: M8 } }
looms:
  "front":
    ends:
      "P<1>": { housing: "Q</script>" }
      R1: { ring: M8, mates: "</style><script>alert(2)</script>.J" }
    wires:
      "1\"onclick=\"x": { from: "P<1>.1", to: R1, size: 1 mm2, colour: RD, length: 1 m }
      aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa: { from: "P<1>.<i>", to: R1, size: 1 mm2, colour: RD, length: 1 m }
      "\u202Egnorw]]>": { from: "P<1>.a&b", to: R1, size: 1 mm2, colour: RD, length: 1 m }
"##;
    let place = folder("review-hostile", &[]);
    let design = place.join("hostile.yaml");
    fs::write(&design, hostile).expect("a design");
    is_sound(&page_of(&design.display().to_string()), "hostile names");
    let page = written("hostile", &design.display().to_string());
    for width in [1280, 320] {
        browser.resize(width, 800);
        browser.show(&page);
        let faults = browser.run(FAULTS);
        assert!(none(&faults), "at {width}: {faults:#}");
    }
    let made = browser.run("return [document.querySelectorAll('img, iframe, object').length, document.querySelectorAll('script').length, document.title.includes('<img'), document.body.textContent.includes('\\u202e')]");
    assert_eq!(made, json!([0, 1, true, false]));
    assert_eq!(browser.complaints(), [""; 0]);
    assert_eq!(browser.requests(), [""; 0]);
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
        let behind = behind.split("</p>").next().expect("a paragraph");
        let shown: BTreeSet<String> =
            values(behind, "href").into_iter().filter_map(|href| href.strip_prefix("#w-")).map(str::to_owned).collect();
        assert_eq!(&shown, wires, "{fuse}");
        compared += shown.len();
    }
    assert!(compared > 20, "{compared}");
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
