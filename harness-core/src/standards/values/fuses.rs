//! Values of fuses.

use super::{List, milliohm};
use crate::{
    quantity::Ampere,
    standards::{
        contact,
        data::fuse as fuses,
        fuse::{FuseType, Gate},
        fuse_choice::{self, ConductorRule, Lead},
        fuse_standard::{FuseStandard, plain_is_alternating},
        fuse_time, rated,
    },
};

const GATES: &str = "`gates` on the fuse kind";

pub(super) fn add(list: &mut List) {
    list.subject = "fuses";
    for (kinds, kind) in [
        ("type C or F blade", FuseType::C),
        ("type E blade", FuseType::E),
        ("strip fuse SF 30 or SF 51", FuseType::Strip30),
        ("type N or P blade", FuseType::N),
        ("gG or gR fuse from 16 A", FuseType::General),
        ("gPV fuse", FuseType::Solar),
        ("motor back-up fuse, category aM,", FuseType::MotorBackUp),
        ("circuit breaker B up to 32 A", FuseType::BreakerB),
        ("circuit breaker C up to 32 A", FuseType::BreakerC),
        ("circuit breaker D up to 32 A", FuseType::BreakerD),
    ] {
        for gate in kind.gates() {
            list.add(format!("operating time of a {kinds} at {}", gate.current), times(&gate), gate.source, GATES);
        }
    }
    for gate in FuseType::Semiconductor.gates_of(Ampere::new(100.0)) {
        list.add(format!("operating time of a gR fuse of 100 A at {}", gate.current), times(&gate), gate.source, GATES);
    }
    for rating in [4.0, 10.0, 16.0, 35.0, 63.0, 100.0, 250.0].map(Ampere::new) {
        for gate in FuseType::General.gates_of(rating) {
            list.add(format!("operating time of a gG fuse of {rating} at {}", gate.current), times(&gate), gate.source, GATES);
        }
    }
    let own = "`lowest-break` on the fuse kind";
    for kind in [FuseType::MotorBackUp, FuseType::SemiconductorBackUp] {
        if let Some(share) = kind.overload() {
            list.one(format!("smallest current that a fuse of {kind} breaks, of its rating"), share, own);
        }
    }
    list.one(
        "fusing current of a full-range fuse, of its rating, that satisfies the 1.45 rule",
        fuse_choice::conventional_share(),
        GATES,
    );
    if let Some(share) = FuseType::General.overload() {
        list.one("overload current of a gG, gR or gPV fuse, of its rating", share, own);
    }
    list.one("current from which a fuse of unknown operating times opens, of its rating", fuse_choice::opens_from(), GATES);
    list.one("current that no fuse carries for long, of its rating", fuse_choice::carries_never(), GATES);
    list.one(
        "largest fusing current over the capacity of the conductor",
        fuse_choice::overload_share(),
        "`capacity` in the policy",
    );
    list.add(
        "operating time beyond the last gate",
        "the heat `I2 t` of the last gate",
        fuse_time::beyond_gates(),
        "`gates` or `melting` on the fuse kind",
    );
    for standard in FuseStandard::all() {
        let own = "`breaking` on the fuse kind";
        if let Some(breaking) = standard.breaking_capacity() {
            list.one(format!("breaking capacity, {}", standard.number), breaking, own);
        }
        list.one(format!("rated voltage, {}", standard.number), standard.rated_voltage(), "`voltage` on the fuse kind");
    }
    list.add(
        "direct voltage that a fuse breaks with an AC rating alone",
        "none",
        rated::no_direct_breaking(),
        "`voltage` on the fuse kind",
    );
    let plain = "not known where it does not say DC";
    list.add(
        "direct voltage that a fuse of IEC 60269 or IEC 60947-2 breaks",
        plain,
        plain_is_alternating(),
        "`voltage` on the fuse kind",
    );
    let own = "`resistance` on the fuse kind";
    list.table("cold resistance of a fuse", fuses::COLD_RESISTANCE, Ampere::new, milliohm, own);
    for amps in [30.0, 100.0, 300.0] {
        let rating = Ampere::new(amps);
        if let Some(cold) = contact::fuse_resistance(rating) {
            list.one(format!("cold resistance of a fuse, {rating}"), cold, own);
        }
    }
    for (name, rule) in [
        ("largest rating over the capacity of the conductor", ConductorRule::NotAbove),
        ("largest rating over the capacity of the conductor, boats under 50 V", ConductorRule::MarineBelow50V),
    ] {
        let share = fuse_choice::largest_rating(rule, Ampere::new(100.0));
        list.add(name, format!("{} %", share.value.get()), share.source, "`capacity` in the policy");
    }
    let own = "`unfused-length` in the policy";
    list.one("longest run from a source to its first fuse", fuse_choice::unfused_length(Lead::Bare), own);
    list.one("longest run from the mains to its first fuse", fuse_choice::unfused_length(Lead::Mains), own);
}

fn times(gate: &Gate) -> String {
    match (gate.least, gate.most) {
        (Some(least), Some(most)) => format!("{least} to {most}"),
        (Some(least), None) => format!("{least} or more, or never"),
        (None, Some(most)) => format!("{most} or less"),
        (None, None) => "not given".to_owned(),
    }
}
