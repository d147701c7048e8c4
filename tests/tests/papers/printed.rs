//! The papers in a browser: on a desk, on a phone, on A4 and Letter, in black and white, with hostile names.

use crate::browser::Browser;
use harness_tests::{HOSTILE, harness_at, scratch};
use std::{fs, path::PathBuf};

/// Paper in centimetres.
const A4: (f64, f64) = (21.0, 29.7);
const LETTER: (f64, f64) = (21.59, 27.94);

/// What is wrong with the layout of a page: text that is cut off or runs into other text, things beyond the window.
const FAULTS: &str = r#"
for (const cell of document.querySelectorAll('th, td, p, li, h1, h2, h3, caption')) {
  if (cell.scrollWidth > cell.clientWidth + 1 && cell.clientWidth > 0) found.push('cut off: ' + name(cell));
}
neighbours(document.querySelectorAll('tr'));
for (const svg of document.querySelectorAll('svg')) {
  const frame = svg.getBoundingClientRect();
  const boxes = [...svg.querySelectorAll('text')].map(text => [text.textContent, text.getBoundingClientRect()]);
  boxes.forEach(([text, box], at) => {
    if (box.left < frame.left - 1 || box.right > frame.right + 1 || box.top < frame.top - 1 || box.bottom > frame.bottom + 1)
      found.push('beyond its picture: ' + text);
    for (const [other, beside] of boxes.slice(at + 1)) {
      const across = Math.min(box.right, beside.right) - Math.max(box.left, beside.left);
      const down = Math.min(box.bottom, beside.bottom) - Math.max(box.top, beside.top);
      if (across > 1 && down > 3) found.push('two texts of a picture on each other: ' + text + ' and ' + other);
    }
  });
}
beyond('.box, figure');
"#;

/// The same on paper, where nothing scrolls: whatever is wider than the sheet is lost.
const LOST: &str = r#"
beyond('');
for (const element of document.querySelectorAll('table')) {
  if (getComputedStyle(element.tHead).display !== 'table-header-group') found.push('the head of a table is not repeated');
}
"#;

/// The papers of a design as pages.
fn pages(name: &str, design: &str) -> PathBuf {
    let folder = scratch(env!("CARGO_TARGET_TMPDIR")).join(format!("papers-{name}"));
    let _ = fs::remove_dir_all(&folder);
    let done = harness_at(harness_cli::Terminal::PIPE, "", &["papers", design, "--out", &folder.display().to_string()]);
    assert_eq!(done.code, 0, "{}", done.err);
    folder
}

fn looked_at(browser: &Browser, page: &std::path::Path) {
    browser.on_paper(false);
    // A desk and a phone; then 190 mm, which both papers leave between their margins.
    for (width, height) in [(1280, 800), (390, 844), (320, 700)] {
        browser.resize(width, height);
        browser.show(page);
        let faults = browser.faults(FAULTS);
        assert_eq!(faults.as_array().map(Vec::len), Some(0), "{} at {width}: {faults:#}", page.display());
    }
    browser.on_paper(true);
    browser.resize(718, 980);
    browser.show(page);
    for script in [FAULTS, LOST] {
        let faults = browser.faults(script);
        assert_eq!(faults.as_array().map(Vec::len), Some(0), "{} on paper: {faults:#}", page.display());
    }
    browser.on_paper(false);
}

#[test]
fn every_page_of_the_demo_is_whole_on_a_desk_a_phone_and_on_paper() {
    let Some(browser) = Browser::open() else { return };
    let folder = pages("demo", "../fixtures/terrace-tractor");
    let mut pages: Vec<PathBuf> = fs::read_dir(&folder).expect("a folder").map(|entry| entry.expect("a file").path()).collect();
    pages.sort();
    pages.retain(|page| page.extension().is_some_and(|extension| extension == "html") && !page.ends_with("papers.html"));
    assert!(pages.len() > 10, "{pages:?}");
    for page in &pages {
        looked_at(&browser, page);
        let text = fs::read_to_string(page).expect("a page");
        // Nothing but the page itself was asked for, and the browser has nothing to complain of: its policy holds.
        assert_eq!(browser.requests(), [""; 0], "{}", page.display());
        assert_eq!(browser.complaints(), [""; 0], "{}", page.display());
        assert!(!text.contains("<script") && !text.contains(" style=") && !text.contains("/work"), "{}", page.display());
        let (a4, letter) = (browser.print(A4), browser.print(LETTER));
        assert!(a4.len() > 2000 && letter.len() > 2000, "{} prints", page.display());
    }
}

#[test]
fn names_that_would_act_on_a_reader_are_shown_as_text() {
    let Some(browser) = Browser::open() else { return };
    let folder = scratch(env!("CARGO_TARGET_TMPDIR")).join("papers-hostile-design");
    fs::create_dir_all(&folder).expect("a folder");
    let design = folder.join("hostile.yaml");
    fs::write(&design, HOSTILE).expect("a design");
    let pages = pages("hostile", &design.display().to_string());
    let page = pages.join("papers.html");
    looked_at(&browser, &page);
    let made = browser.run("return [document.querySelectorAll('img, script, i, b').length, document.title.includes('<img')]");
    assert_eq!(made, serde_json::json!([0, true]));
    assert_eq!(browser.complaints(), [""; 0]);
}
