//! In one duct every conductor is insulated for the highest voltage there.

use crate::{
    analysis::Analysis,
    electrical::conductors::bundle::Bundle,
    evidence::{domain_figure, names_in_words, other_kinds},
    facts::mixed_bundles::MixedBundle,
    finding::{Finding, Level, Weighed},
    rules::{Rule, RulePage},
    standards::insulation::common_duct,
    vocabulary::Reference,
    wording::agree,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/mixed-bundle",
        level: Level::Error,
        since: "0.1.0",
        finds: "a wire insulated for less than the class B voltage that runs beside it in the same segment",
        docs: include_str!("mixed_bundle.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    analysis.facts().mixed_bundles().iter().filter_map(|mixed| finding(analysis, mixed)).collect()
}

fn finding(analysis: &Analysis, mixed: &MixedBundle) -> Option<Finding> {
    // How wires without a route run is not known: `review/missing-fact` says so.
    let Bundle::Segment(segment) = mixed.bundle else { return None };
    let (facts, model) = (analysis.facts(), analysis.model());
    let (first, domain) = (mixed.weak.first()?, &model[mixed.domain]);
    let names: Vec<String> = mixed.weak.iter().map(|weak| model.wire_name(weak.wire)).collect();
    let (high, place) = (model.wire_name(mixed.high), model.text(model[segment].name));
    let is = agree(names.len(), "is", "are");
    let needed = first.short.needed;
    let mut finding = RULE
        .finding(
            model[first.wire].span,
            format!(
                "{} {is} rated {} and {} beside wire `{high}` of `{}` ({needed}) in segment `{place}`",
                names_in_words(&names),
                first.rated,
                agree(names.len(), "runs", "run"),
                model.text(domain.name)
            ),
            [Weighed::smaller(first.rated), Weighed::larger(needed)],
        )
        .label(format!("rated {}", first.rated))
        .context(first.place, format!("says {}", first.rated))
        .context(model[mixed.high].span, if mixed.is_sheathed { "class B, a core of a cable" } else { "class B" })
        .context(model[segment].span, "where they run side by side")
        .figure("domain", domain_figure(model, domain))
        .figure("limit", common_duct())
        .help(format!(
            "lead them through different segments; or use wire that is rated for {needed} at least; or, if a partition keeps them apart, write \
             `barrier: true` at `{place}`"
        ))
        .concerns(&high);
    // The sheath of its cable is a second insulation of the class B conductor; of a floating circuit the first fault drives no current.
    if mixed.is_sheathed || domain.reference == Reference::Floating {
        finding.stated = Level::Warning;
    }
    if names.len() == 1 {
        finding = other_kinds::better_insulated(facts, first.wire).into_iter().fold(finding, Finding::remedy);
    }
    Some(names.into_iter().fold(finding, Finding::concerns))
}
