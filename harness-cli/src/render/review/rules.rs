//! The pages of the rules that found something.

use super::{Page, Section, link::Kind};
use harness_core::{finding::RulePage, rule_pages};
use maud::{Markup, html};
use std::collections::BTreeSet;

pub(super) fn section(page: &Page<'_>) -> Section {
    let named: BTreeSet<&str> = page.review.checked.report.findings.iter().map(|finding| finding.rule).collect();
    let pages = rule_pages();
    let own: Vec<&&RulePage> = pages.iter().filter(|rule| named.contains(rule.name)).collect();
    let body = html! {
        @if own.is_empty() { p { "No rule found anything." } }
        @for rule in own {
            article id=(page.links.define(Kind::Rule, rule.name)) data-k="rule" {
                h3 { (rule.name) }
                p.s { (super::sentence(rule.finds)) "." }
                (documentation(page, rule.docs))
            }
        }
        p { code { "harness explain RULE" } " has its example and remedy; " code { "harness rules" } " lists all." }
    };
    Section { id: "rules", title: "Rules that found something", body }
}

/// What a rule checks, why, what it cannot see, its source: without example and remedy, which are whole designs.
fn documentation(page: &Page<'_>, docs: &str) -> Markup {
    let sections =
        docs.split("\n## ").map(|section| section.trim_start_matches("## ")).filter_map(|section| section.split_once('\n'));
    html! {
        @for (heading, text) in sections.filter(|(heading, _)| !["Example", "Remedy"].contains(heading)) {
            h4 { (heading) }
            @for paragraph in text.split("\n\n").map(str::trim).filter(|paragraph| !paragraph.is_empty()) { (block(page, paragraph)) }
        }
    }
}

fn block(page: &Page<'_>, paragraph: &str) -> Markup {
    let is_list = paragraph.starts_with("- ");
    let is_code = paragraph.starts_with("```") || paragraph.starts_with("| ");
    html! {
        @if is_code {
            pre.line { (paragraph.trim_start_matches("```yaml").trim_matches('`')) }
        } @else if is_list {
            ul { @for item in paragraph.trim_start_matches("- ").split("\n- ") { li { (page.links.shown(&item.replace('\n', " "))) } } }
        } @else {
            p { (page.links.shown(&paragraph.replace('\n', " "))) }
        }
    }
}
