//! Any bytes through a whole check: no panic, and every place that a finding names can be shown.

#![no_main]

use harness_core::{Checker, MemoryFiles, check, internals::text::Span};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    // The file may include itself and a sound neighbour, so that joining of files is reached too.
    let files = MemoryFiles::one("design.yaml", bytes).and("parts.yaml", PARTS);
    let report = check(&files, "design.yaml", &Checker::new());
    for finding in &report.findings {
        let labels = finding.labels.iter().map(|label| label.span);
        for span in labels.chain([finding.primary.span]) {
            assert!(can_be_shown(&report.sources, span), "{}: {span:?}", finding.rule);
        }
        assert!(!finding.headline.contains(['\n', '\r']), "{}: {:?}", finding.rule, finding.headline);
    }
});

const PARTS: &[u8] = b"parts:\n  housings:\n    QL-2: { family: QL, positions: 2, contacts: pin }\n";

/// Whether the span is in its file, on character boundaries.
fn can_be_shown(sources: &harness_core::internals::text::Sources, span: Span) -> bool {
    let text = sources.file(span.file).map(harness_core::internals::text::SourceFile::text);
    text.is_some_and(|text| text.get(span.start as usize..span.end as usize).is_some())
}
