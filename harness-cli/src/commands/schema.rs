//! `harness schema`: the JSON Schemas of what we read and of what we write.

use crate::render::kit::document;
use crate::{
    args::{Schema, SchemaOf},
    exit,
    failure::Failure,
};
use std::io::Write;

/// The JSON Schema (draft 2020-12) of the report of `harness check --format json`.
pub const REPORT_SCHEMA: &str = include_str!("../../report.schema.json");

/// The JSON Schema (draft 2020-12) of `harness trace --format json`.
pub const TRACE_SCHEMA: &str = include_str!("../../trace.schema.json");

/// The JSON Schema (draft 2020-12) of `harness loads --format json`.
pub const LOADS_SCHEMA: &str = include_str!("../../loads.schema.json");

/// The JSON Schema (draft 2020-12) of `harness swaps --format json`.
pub const SWAPS_SCHEMA: &str = include_str!("../../swaps.schema.json");
/// The JSON Schema (draft 2020-12) of `harness whatif --format json`.
pub const WHATIF_SCHEMA: &str = include_str!("../../whatif.schema.json");
/// The JSON Schema (draft 2020-12) of `harness live --format json`.
pub const LIVE_SCHEMA: &str = include_str!("../../live.schema.json");

/// The JSON Schema (draft 2020-12) of `harness diff --format json`.
pub const DIFF_SCHEMA: &str = include_str!("../../diff.schema.json");

/// The JSON Schema (draft 2020-12) of `harness diff --rework --format json`.
pub const REWORK_SCHEMA: &str = include_str!("../../rework.schema.json");

/// The JSON Schema (draft 2020-12) of `harness diff --three --format json`.
pub const COLLISIONS_SCHEMA: &str = include_str!("../../collisions.schema.json");

/// The JSON Schema (draft 2020-12) of `harness import --format json`.
pub const IMPORT_SCHEMA: &str = include_str!("../../import.schema.json");

/// The JSON Schema (draft 2020-12) of `harness papers --format json`.
pub const PAPERS_SCHEMA: &str = include_str!("../../papers.schema.json");

/// Prints the schema asked for.
///
/// # Errors
/// If `out` can't be written.
pub fn run(args: &Schema, out: &mut dyn Write) -> Result<u8, Failure> {
    match args.of {
        SchemaOf::Netlist => document(&harness_core::schema(), out)?,
        SchemaOf::Report => out.write_all(REPORT_SCHEMA.as_bytes())?,
        SchemaOf::Trace => out.write_all(TRACE_SCHEMA.as_bytes())?,
        SchemaOf::Loads => out.write_all(LOADS_SCHEMA.as_bytes())?,
        SchemaOf::Swaps => out.write_all(SWAPS_SCHEMA.as_bytes())?,
        SchemaOf::Whatif => out.write_all(WHATIF_SCHEMA.as_bytes())?,
        SchemaOf::Live => out.write_all(LIVE_SCHEMA.as_bytes())?,
        SchemaOf::Papers => out.write_all(PAPERS_SCHEMA.as_bytes())?,
        SchemaOf::Diff => out.write_all(DIFF_SCHEMA.as_bytes())?,
        SchemaOf::Rework => out.write_all(REWORK_SCHEMA.as_bytes())?,
        SchemaOf::Import => out.write_all(IMPORT_SCHEMA.as_bytes())?,
        SchemaOf::Collisions => out.write_all(COLLISIONS_SCHEMA.as_bytes())?,
    }
    out.flush()?;
    Ok(exit::CLEAN)
}
