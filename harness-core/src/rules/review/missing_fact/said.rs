//! What the design itself says is open: facts marked `unsure`, and waivers.

use super::note;
use crate::{analysis::Analysis, finding::Finding};

pub(super) fn missing(analysis: &Analysis<'_>) -> Vec<Finding> {
    let model = analysis.model;
    let unsure = model.unsure.iter().map(|(thing, fact, span)| {
        let fact = model.text(*fact);
        note(
            *span,
            format!("`{fact}` of `{thing}` is still to be found out; verdicts that rest on it are open"),
            "marked `unsure`",
            format!("measure it, and take `{fact}` out of `unsure`"),
            thing.clone(),
        )
    });
    let waivers = model.waivers.iter().map(|(rule, thing, span)| {
        let (rule, thing) = (model.text(*rule), model.text(*thing));
        note(
            *span,
            format!("the waiver of `{rule}` at `{thing}` was not applied: this version shows every finding"),
            "not applied",
            "judge the finding by hand until waivers are applied".to_owned(),
            thing.to_owned(),
        )
    });
    unsure.chain(waivers).collect()
}
