//! Draws 10,000 findings over designs of three sizes and says what one costs: it must not grow with the design.

#![expect(clippy::print_stdout, reason = "an example prints its figures")]

use harness_cli::{
    Look,
    render::{Checked, check::full},
};
use harness_core::{
    Report,
    finding::{Finding, Level},
    source::{FileId, SourceFile, Sources, Span},
};
use std::time::Instant;

const FINDINGS: u32 = 10_000;

fn main() -> std::io::Result<()> {
    let line = "      101: { from: P1.1, to: P9.4, size: 0.75 mm2, colour: RD/WH, length: 1450 mm }\n";
    for lines in [12_000_u32, 120_000, 240_000] {
        let text = line.repeat(lines as usize);
        let bytes = text.len();
        let mut sources = Sources::new();
        sources.add(SourceFile::new("large.yaml".to_owned(), text));
        let findings = (0..FINDINGS)
            .map(|number| {
                let start = number * (lines / FINDINGS) * line.len() as u32 + 42;
                Finding::new("conductor/undersized", Level::Error, Span::new(FileId(0), start, start + 8), "headline")
                    .label("the size of the wire")
                    .help("use another")
                    .into()
            })
            .collect();
        let report = Report { sources: sources.into(), findings, ..Report::default() };
        let checked = Checked::new(String::new(), "large.yaml".to_owned(), report);
        let look = Look { width: 80, colour: true, unicode: true };
        let begin = Instant::now();
        full::write(&checked, look, FINDINGS as usize, true, &mut std::io::sink())?;
        println!("{:5.1} MB: {:.1} us a finding", bytes as f64 / 1e6, begin.elapsed().as_secs_f64() * 1e6 / f64::from(FINDINGS));
    }
    Ok(())
}
