//! What is live as JSON, as structs. `live.schema.json` describes the same for readers.

#![allow(non_snake_case, reason = "the key names the unit as it is written")]

use crate::render::{
    Checked,
    kit::{
        caution::CAUTION,
        document,
        figures::{PlaceJson, figure},
    },
};
use harness_core::inspect::{ChargedPart, Live, LiveContact, LiveMode, LiveUnmated, OpenEffect};
use serde::Serialize;
use std::io::{self, Write};

/// The version of the JSON: raised when a reader of the one before would misread it.
pub const VERSION: u32 = 1;

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(crate) struct LiveJson<'a> {
    version: u32,
    file: String,
    altered: &'a [String],
    modes: Vec<ModeJson<'a>>,
    assumed: &'a [String],
    unknown: &'a [String],
    caution: &'a [&'a str],
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct ModeJson<'a> {
    mode: &'a str,
    touch_safe: bool,
    touchable: Vec<ContactJson<'a>>,
    openings_tried: usize,
    openings: Vec<OpeningJson<'a>>,
    inside: Vec<ContactJson<'a>>,
    charged: Vec<ChargedJson<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    effect: Option<EffectJson<'a>>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct OpeningJson<'a> {
    opened: &'a str,
    done: &'a str,
    touchable: Vec<ContactJson<'a>>,
    charged: Vec<ChargedJson<'a>>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct ContactJson<'a> {
    contact: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    against: Option<&'a str>,
    against_chassis: bool,
    volts_V: f64,
    limit_V: f64,
    alternating: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    source: Option<&'a str>,
    path: &'a [String],
    written: PlaceJson,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct ChargedJson<'a> {
    capacitor: &'a str,
    volts_V: f64,
    from_mode: &'a str,
    capacitance_F: f64,
    through: &'a [String],
    by_own_means: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    below_60_V_after_s: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    touched_at: Option<&'a [String; 2]>,
    written: PlaceJson,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct EffectJson<'a> {
    has_loop: bool,
    loop_opened_at: &'a [String],
    dropped: &'a [String],
    stay_closed: &'a [String],
    #[serde(skip_serializing_if = "Option::is_none")]
    controller: Option<&'a str>,
    once_let_go: Vec<ContactJson<'a>>,
}

/// Writes what is live as JSON.
///
/// # Errors
/// If `out` can't be written.
pub fn write(checked: &Checked, live: &Live, out: &mut dyn Write) -> io::Result<()> {
    let value = LiveJson {
        version: VERSION,
        file: checked.shown(&checked.root),
        altered: &live.altered,
        modes: live.modes.iter().map(|mode| mode_json(checked, mode)).collect(),
        assumed: &live.assumed,
        unknown: &live.unknown,
        caution: &CAUTION,
    };
    document(&value, out)
}

fn mode_json<'a>(checked: &Checked, mode: &'a LiveMode) -> ModeJson<'a> {
    ModeJson {
        mode: &mode.name,
        touch_safe: mode.is_touch_safe,
        touchable: contacts(checked, &mode.standing),
        openings_tried: mode.tried,
        openings: mode.steps.iter().map(|step| opening_json(checked, step)).collect(),
        inside: contacts(checked, &mode.inside),
        charged: charged(checked, &mode.charged),
        effect: mode.effect.as_ref().map(|effect| effect_json(checked, effect)),
    }
}

fn opening_json<'a>(checked: &Checked, step: &'a LiveUnmated) -> OpeningJson<'a> {
    OpeningJson {
        opened: &step.opened,
        done: step.done,
        touchable: contacts(checked, &step.contacts),
        charged: charged(checked, &step.charged),
    }
}

fn contacts<'a>(checked: &Checked, contacts: &'a [LiveContact]) -> Vec<ContactJson<'a>> {
    let json = |contact: &'a LiveContact| ContactJson {
        contact: &contact.contact,
        against: contact.against.as_deref(),
        against_chassis: contact.against.is_none(),
        volts_V: figure(contact.volts),
        limit_V: figure(contact.limit),
        alternating: contact.is_ac,
        source: contact.source.as_deref(),
        path: &contact.path,
        written: PlaceJson::of(checked, contact.span),
    };
    contacts.iter().map(json).collect()
}

fn charged<'a>(checked: &Checked, parts: &'a [ChargedPart]) -> Vec<ChargedJson<'a>> {
    let json = |part: &'a ChargedPart| ChargedJson {
        capacitor: &part.capacitor,
        volts_V: figure(part.volts),
        from_mode: &part.from_mode,
        capacitance_F: figure(part.farad),
        through: &part.through,
        by_own_means: part.by_own_means,
        below_60_V_after_s: part.time.map(figure),
        touched_at: part.touched.as_ref(),
        written: PlaceJson::of(checked, part.span),
    };
    parts.iter().map(json).collect()
}

fn effect_json<'a>(checked: &Checked, effect: &'a OpenEffect) -> EffectJson<'a> {
    EffectJson {
        has_loop: effect.has_loop,
        loop_opened_at: &effect.loop_opened,
        dropped: &effect.dropped,
        stay_closed: &effect.stay,
        controller: effect.controller.as_deref(),
        once_let_go: contacts(checked, &effect.once_let_go),
    }
}
