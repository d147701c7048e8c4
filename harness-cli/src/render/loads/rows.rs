//! Rows of the tables, the same in CSV and in JSON. A heading ends with the unit of its figure.

#![allow(non_snake_case, reason = "the key names the unit as it is written")]

use crate::render::{
    Checked,
    kit::figures::{figure, outcome, rounded},
};
use harness_core::inspect::{ConductorLoad, FuseLoad, Margin, Short};
use serde::Serialize;
use std::borrow::Cow;

/// Defines a row: its own cells, then those that both tables end with.
macro_rules! row {
    ($(#[$about:meta])* $name:ident { $($cell:ident: $kind:ty,)* }) => {
        $(#[$about])*
        #[derive(Debug, Default, Serialize)]
        #[cfg_attr(test, derive(schemars::JsonSchema))]
        pub(super) struct $name<'a> {
            $(pub $cell: $kind,)*
            short_wire: Option<Cow<'a, str>>,
            short_A: Option<f64>,
            short_mode: Option<Cow<'a, str>>,
            short_at: Option<Cow<'a, str>>,
            short_to: Option<Cow<'a, str>>,
            short_fuse: Option<Cow<'a, str>>,
            fuse_opens_s: Option<f64>,
            short_ends_s: Option<f64>,
            conductor_stands_s: Option<f64>,
            reached_degC: Option<f64>,
            short_limit_degC: Option<f64>,
            short_outcome: Option<&'static str>,
            margin: Option<f64>,
            margin_to: Option<&'static str>,
        }
    };
}

/// The row with the cells that both tables end with: the worst short of a conductor, or of those behind a fuse; the least margin.
macro_rules! with_short {
    ($name:ident, $short:expr, $least:expr, $text:ident, { $($cell:ident: $value:expr,)* }) => {{
        let (short, least): (Option<&Short>, Option<&Margin>) = ($short, $least);
        $name {
            $($cell: $value,)*
            short_wire: short.map(|short| $text(&short.wire)),
            short_A: short.map(|short| figure(short.amps)),
            short_mode: short.map(|short| $text(&short.mode)),
            short_at: short.map(|short| $text(&short.points[0])),
            short_to: short.map(|short| $text(&short.points[1])),
            short_fuse: short.and_then(|short| short.fuse.as_deref()).map($text),
            fuse_opens_s: short.and_then(|short| short.opens).map(|opens| figure(opens.value)),
            short_ends_s: short.and_then(|short| short.ends).map(figure),
            conductor_stands_s: short.and_then(|short| short.stands).map(figure),
            reached_degC: short.map(|short| figure(short.reached)),
            short_limit_degC: short.map(|short| figure(short.limit.value)),
            short_outcome: short.map(|short| outcome(&short.outcome)),
            margin: least.map(|margin| rounded(margin.ratio)),
            margin_to: least.map(|margin| margin.against.word()),
        }
    }};
}

row! {
    /// One fuse.
    FuseRow {
        fuse: Cow<'a, str>,
        place: String,
        rating_A: Option<f64>,
        ambient_degC: Option<f64>,
        load_A: f64,
        mode: Option<Cow<'a, str>>,
        limit_A: Option<f64>,
        share: Option<f64>,
        conductors: usize,
        thinnest: Option<Cow<'a, str>>,
        thinnest_size: Option<String>,
        thinnest_size_mm2: Option<f64>,
        thinnest_capacity_A: Option<f64>,
        largest_short_A: Option<f64>,
        breaking_A: Option<f64>,
    }
}

row! {
    /// One conductor.
    ConductorRow {
        conductor: Cow<'a, str>,
        place: String,
        size: Option<String>,
        size_mm2: Option<f64>,
        load_A: f64,
        mode: Option<Cow<'a, str>>,
        capacity_A: Option<f64>,
        share: Option<f64>,
        temperature_degC: Option<f64>,
        drop_V: f64,
        fuses: String,
        more_fuses: usize,
        is_return: bool,
        is_lead_in: bool,
        is_bare: bool,
    }
}

impl<'a> FuseRow<'a> {
    /// The row of a fuse, with each text of the design as `text` makes it.
    pub fn new(checked: &Checked, row: &'a FuseLoad, text: for<'b> fn(&'b str) -> Cow<'b, str>) -> Self {
        let thinnest = row.thinnest.as_ref();
        with_short!(FuseRow, row.short.as_ref(), row.least(), text, {
            fuse: text(&row.name),
            place: text(&checked.place(row.span)).into_owned(),
            rating_A: row.rating.map(figure),
            ambient_degC: row.ambient.map(figure),
            load_A: figure(row.amps),
            mode: row.mode.as_deref().map(text),
            limit_A: row.limit.map(figure),
            share: row.share.map(figure),
            conductors: row.conductors,
            thinnest: thinnest.map(|thinnest| text(&thinnest.name)),
            thinnest_size: thinnest.map(|thinnest| thinnest.size.to_string()),
            thinnest_size_mm2: thinnest.map(|thinnest| figure(thinnest.size)),
            thinnest_capacity_A: thinnest.map(|thinnest| figure(thinnest.capacity)),
            largest_short_A: row.duty.as_ref().map(|duty| figure(duty.amps)),
            breaking_A: row.duty.as_ref().and_then(|duty| duty.breaks).map(|breaks| figure(breaks.value)),
        })
    }
}

impl<'a> ConductorRow<'a> {
    /// The row of a conductor, with each text of the design as `text` makes it.
    pub fn new(checked: &Checked, row: &'a ConductorLoad, text: for<'b> fn(&'b str) -> Cow<'b, str>) -> Self {
        with_short!(ConductorRow, row.short.as_ref(), row.least(), text, {
            conductor: text(&row.name),
            place: text(&checked.place(row.span)).into_owned(),
            size: row.size.map(|size| size.to_string()),
            size_mm2: row.size.map(figure),
            load_A: figure(row.amps),
            mode: row.mode.as_deref().map(text),
            capacity_A: row.capacity.map(figure),
            share: row.share.map(figure),
            temperature_degC: row.temperature.map(figure),
            drop_V: figure(row.drop),
            fuses: text(&row.fuses.join(" ")).into_owned(),
            more_fuses: row.more_fuses,
            is_return: row.is_return,
            is_lead_in: row.is_lead_in,
            is_bare: row.is_bare,
        })
    }
}
