//! A finding in plain lines, for formats that leave the drawing to whoever reads them.

use super::printable;
use crate::{phrase::counted, render::Checked};
use harness_core::{
    finding::{Judged, Label, Level},
    values::Status,
};

/// The headline with the words at its place, in one line.
pub(crate) fn headline(finding: &Judged) -> String {
    match finding.primary.text.as_str() {
        "" => printable(&finding.headline).into_owned(),
        label => format!("{}; {}", printable(&finding.headline), printable(label)),
    }
}

/// The other places, a line each.
pub(crate) fn places(checked: &Checked, finding: &Judged) -> Vec<String> {
    let line = |label: &Label| printable(&format!("{}: {}", checked.place(label.span), label.text)).into_owned();
    finding.labels.iter().map(line).collect()
}

/// The rows of lists from which what a finding shows was made, in words; `None` if none was.
pub(crate) fn rows(checked: &Checked, finding: &Judged) -> Option<String> {
    /// Rows that one line names.
    const MOST: usize = 6;
    let rows = checked.rows(finding);
    let shown: Vec<String> = rows.iter().take(MOST).map(|row| printable(&row.to_string()).into_owned()).collect();
    let more = rows.len().saturating_sub(MOST);
    let more = if more == 0 { String::new() } else { format!(" and {more} more") };
    (!shown.is_empty()).then(|| format!("{}{more}", shown.join("; ")))
}

/// The same as a line.
pub(crate) fn row_line(checked: &Checked, finding: &Judged) -> Option<String> {
    rows(checked, finding).map(|rows| format!("list: {rows}"))
}

/// What is printed below the headline, a line each: the path, the figures, what to do.
pub(crate) fn facts(finding: &Judged) -> Vec<String> {
    let path = (!finding.path.is_empty()).then(|| format!("path: {}", finding.path.join(" > ")));
    let figures = finding.figures.iter().map(|figure| format!("{}: {}", figure.name, figure.value));
    let help = (!finding.help.is_empty()).then(|| format!("help: {}", finding.help));
    let tried = tried(finding).map(|tried| format!("tried: {tried}"));
    let trust = trust(finding).map(|trust| format!("rests on: {trust}"));
    path.into_iter().chain(figures).chain(trust).chain(help).chain(tried).map(|line| printable(&line).into_owned()).collect()
}

/// The weakest status of the figures that a verdict of danger or error rests on, where nobody read them on a page.
pub(crate) fn rests_on(finding: &Judged) -> Option<Status> {
    let holds = |status: &Status| finding.figures.iter().any(|figure| figure.value.contains(&format!("({status})")));
    [Status::Memory, Status::Practice].into_iter().filter(|_| finding.level >= Level::Error).find(holds)
}

/// The same as one word, for programs.
pub(crate) fn rests_on_word(finding: &Judged) -> Option<&'static str> {
    rests_on(finding).map(|status| if status == Status::Memory { "memory" } else { "practice" })
}

/// The same in words, with where to look.
pub(crate) fn trust(finding: &Judged) -> Option<String> {
    let what = match rests_on(finding)? {
        Status::Memory => "a value from memory",
        _ => "a value of common practice",
    };
    Some(format!("{what}: give that of the part in your hand; `harness rules --values` names the key"))
}

/// The step that was tried and removes the finding, in one line.
pub(crate) fn tried(finding: &Judged) -> Option<String> {
    let offer = finding.offer.as_ref().filter(|offer| offer.tried)?;
    let left = match offer.others {
        0 => "leaves no finding here".to_owned(),
        others => format!("removes this finding and leaves {} about the same things", counted(others, "other")),
    };
    Some(format!("{}: {left}", offer.remedy.words))
}

/// Why a finding was accepted, in one line; `None` if it was not.
pub(crate) fn accepted(finding: &Judged) -> Option<String> {
    let waived = finding.waived.as_ref()?;
    let by = waived.by.as_ref().map(|by| format!(" by {by}")).unwrap_or_default();
    let until = waived.until.as_ref().map(|until| format!(" until {until}")).unwrap_or_default();
    Some(printable(&format!("accepted{by}{until}: {}", waived.reason)).into_owned())
}
