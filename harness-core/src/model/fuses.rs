//! Fuse kinds and insulation, resolved: the words of the format become the types of the standards.

use super::{
    build::Builder,
    kinds::{FuseGate, FuseKind},
};
use crate::{
    finding::Finding,
    format::{parts as document, rules, values::Choice},
    quantity::Ratio,
    standards::{
        fuse::FuseType,
        fuse_standard::{FuseStandard, breaker_standard},
        insulation::Insulation,
    },
    text::{At, Name, Span},
    vocabulary::{self, FuseBody},
};

impl Builder {
    pub(super) fn fuse_kind(&mut self, name: Name, span: Span, fuse: &document::FuseKind) -> FuseKind {
        let text = self.model.names.text(name);
        let standard = fuse.standard.map(|standard| self.model.names.text(standard.value));
        let mut findings = Vec::new();
        let fuse_type = |body| fuse_type(body, standard.is_some_and(breaker_standard));
        let body = fuse.body.filter(|body| match standard.and_then(FuseStandard::named) {
            Some(standard) if !standard.types.contains(&fuse_type(body.value)) => {
                findings.push(other_type(standard, *body));
                false
            }
            _ => true,
        });
        let gates = gates(text, &fuse.gates, &mut findings);
        self.findings.extend(findings);
        FuseKind {
            name,
            span,
            standard: fuse.standard,
            body: body.map(|body| At { value: fuse_type(body.value), span: body.span }),
            rating: fuse.rating,
            voltage: fuse.voltage,
            breaking: fuse.breaking,
            resistance: fuse.resistance,
            gates,
            melting: fuse.melting,
            lowest_break: fuse.lowest_break,
            torque: fuse.torque,
        }
    }
}

/// What the word for an insulation means.
pub(super) fn insulation(word: Choice<vocabulary::Insulation>) -> At<Insulation> {
    let value = match word.value {
        vocabulary::Insulation::Pvc => Insulation::Pvc,
        vocabulary::Insulation::Xlpe => Insulation::Xlpe,
        vocabulary::Insulation::Epr => Insulation::Epr,
        vocabulary::Insulation::Rubber => Insulation::Rubber,
        vocabulary::Insulation::Silicone => Insulation::Silicone,
    };
    At { value, span: word.span }
}

/// The type that a word means; B and C are other things in a standard of circuit breakers.
fn fuse_type(body: FuseBody, is_breaker: bool) -> FuseType {
    match body {
        FuseBody::B if is_breaker => FuseType::BreakerB,
        FuseBody::C if is_breaker => FuseType::BreakerC,
        FuseBody::D => FuseType::BreakerD,
        FuseBody::A => FuseType::A,
        FuseBody::B => FuseType::B,
        FuseBody::C => FuseType::C,
        FuseBody::E => FuseType::E,
        FuseBody::F => FuseType::F,
        FuseBody::Strip30 => FuseType::Strip30,
        FuseBody::Strip51 => FuseType::Strip51,
        FuseBody::SingleBolt => FuseType::SingleBolt,
        FuseBody::H => FuseType::H,
        FuseBody::J => FuseType::J,
        FuseBody::L => FuseType::L,
        FuseBody::N => FuseType::N,
        FuseBody::P => FuseType::P,
        FuseBody::General => FuseType::General,
        FuseBody::Semiconductor => FuseType::Semiconductor,
        FuseBody::Solar => FuseType::Solar,
        FuseBody::MotorBackUp => FuseType::MotorBackUp,
        FuseBody::SemiconductorBackUp => FuseType::SemiconductorBackUp,
    }
}

fn other_type(standard: &FuseStandard, body: Choice<FuseBody>) -> Finding {
    let types: Vec<String> = standard.types.iter().map(ToString::to_string).collect();
    rules::UNEXPECTED_VALUE
        .finding(body.span, format!("{} has no fuse of type {}", standard.number, body.value.word()))
        .label("a type of another standard")
        .help(format!("{} has {}; correct `type` or `standard`", standard.number, types.join("; ")))
}

/// The gates that say something and agree with each other; others are reported.
fn gates(name: &str, written: &[document::FuseGate], findings: &mut Vec<Finding>) -> Vec<FuseGate> {
    let mut gates = Vec::new();
    for gate in written {
        let Some(at) = gate.at else { continue };
        let (holds, opens_within) = (gate.holds.map(|time| time.value), gate.opens_within.map(|time| time.value));
        match (holds, opens_within) {
            (None, None) if gate.is_faulty => {}
            (None, None) => findings.push(
                rules::MISSING_KEY
                    .finding(gate.span, format!("the gate of `{name}` at {} has no time", at.value))
                    .label("neither `holds` nor `opens-within`")
                    .help("add `opens-within`, the longest time of the datasheet at this current, or `holds`, the shortest"),
            ),
            (Some(holds), Some(opens)) if holds > opens => findings.push(
                rules::UNEXPECTED_VALUE
                    .finding(
                        gate.span,
                        format!("the gate of `{name}` at {} holds for {holds} and opens within {opens}", at.value),
                    )
                    .label("holds longer than it may take to open")
                    .help("swap `holds` and `opens-within`, or correct them by the datasheet"),
            ),
            _ => gates.push(FuseGate { span: gate.span, at: at.value, holds, opens_within }),
        }
    }
    gates.sort_by(|a, b| a.at.get().total_cmp(&b.at.get()));
    let mut slower: Vec<(Ratio, FuseGate)> = Vec::new();
    for pair in gates.windows(2) {
        if let [lower, upper] = pair {
            let later = |a: Option<_>, b: Option<_>| a.zip(b).is_some_and(|(a, b)| b > a);
            if later(lower.opens_within, upper.opens_within) || later(lower.holds, upper.holds) {
                slower.push((lower.at, *upper));
            }
        }
    }
    findings.extend(slower.into_iter().map(|(lower, upper)| {
        rules::UNEXPECTED_VALUE
            .finding(upper.span, format!("the gate of `{name}` at {} is slower than the one at {lower}", upper.at))
            .label("more current, and later")
            .help("correct the two gates by the datasheet: a fuse opens sooner at a larger current")
    }));
    gates
}
