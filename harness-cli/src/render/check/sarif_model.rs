//! The part of SARIF 2.1.0 (OASIS) that we write, as structs. Names and meanings are the standard's.

use serde::Serialize;
use std::collections::BTreeMap;

/// The version of the standard.
pub(super) const VERSION: &str = "2.1.0";

/// Where OASIS publishes its schema (from memory; nothing is read from there).
pub(super) const SCHEMA: &str = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

#[derive(Debug, Serialize)]
pub(super) struct Log<'a> {
    #[serde(rename = "$schema")]
    pub schema: &'a str,
    pub version: &'a str,
    pub runs: [RunOf<'a>; 1],
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct RunOf<'a> {
    pub tool: Tool,
    pub invocations: [Invocation<'a>; 1],
    pub original_uri_base_ids: BTreeMap<&'a str, Base<'a>>,
    pub artifacts: Vec<Artifact>,
    pub results: Vec<ResultOf<'a>>,
    pub column_kind: &'a str,
    pub properties: RunProperties<'a>,
}

#[derive(Debug, Serialize)]
pub(super) struct RunProperties<'a> {
    pub caution: &'a [&'a str],
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub untouched: Vec<&'a str>,
}

#[derive(Debug, Serialize)]
pub(super) struct Tool {
    pub driver: Driver,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Driver {
    pub name: &'static str,
    pub version: &'static str,
    pub semantic_version: &'static str,
    pub language: &'static str,
    pub rules: Vec<Descriptor>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Descriptor {
    pub id: &'static str,
    pub short_description: Text,
    pub full_description: Text,
    pub help: Text,
    pub default_configuration: Configuration,
    pub properties: DescriptorProperties,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct DescriptorProperties {
    pub harness_level: &'static str,
    pub since: &'static str,
    pub tags: [&'static str; 1],
}

#[derive(Debug, Serialize)]
pub(super) struct Configuration {
    pub level: &'static str,
}

/// A message, or a text in two forms.
#[derive(Debug, Serialize)]
pub(super) struct Text {
    pub text: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub markdown: Option<&'static str>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Invocation<'a> {
    pub execution_successful: bool,
    pub exit_code: u8,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub tool_execution_notifications: Vec<Notification<'a>>,
}

#[derive(Debug, Serialize)]
pub(super) struct Notification<'a> {
    pub level: &'a str,
    pub message: Text,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub locations: Vec<Location<'a>>,
}

#[derive(Debug, Serialize)]
pub(super) struct Base<'a> {
    pub description: BaseText<'a>,
}

#[derive(Debug, Serialize)]
pub(super) struct BaseText<'a> {
    pub text: &'a str,
}

#[derive(Debug, Serialize)]
pub(super) struct Artifact {
    pub location: ArtifactLocation,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub roles: Option<[&'static str; 1]>,
}

#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct ArtifactLocation {
    pub uri: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub uri_base_id: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub index: Option<usize>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct ResultOf<'a> {
    pub rule_id: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rule_index: Option<usize>,
    pub level: &'static str,
    pub message: Text,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub analysis_target: Option<ArtifactLocation>,
    pub locations: [Location<'a>; 1],
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub related_locations: Vec<Location<'a>>,
    pub partial_fingerprints: BTreeMap<&'static str, String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub suppressions: Option<Vec<Suppression<'a>>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub baseline_state: Option<&'static str>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub fixes: Vec<Fix<'a>>,
    pub properties: ResultProperties<'a>,
}

/// A change of files that removes the result (OASIS SARIF 2.1.0, 3.55).
#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Fix<'a> {
    pub description: Text,
    pub artifact_changes: Vec<ArtifactChange<'a>>,
    pub properties: FixProperties,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct FixProperties {
    pub kind: &'static str,
    pub safe: bool,
}

/// What changes in one file (3.56).
#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct ArtifactChange<'a> {
    pub artifact_location: ArtifactLocation,
    pub replacements: Vec<Replacement<'a>>,
}

/// One place and its new text (3.57).
#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Replacement<'a> {
    pub deleted_region: Region,
    pub inserted_content: BaseText<'a>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct ResultProperties<'a> {
    pub harness_level: &'a str,
    pub concerns: &'a [String],
    /// Results of one design with the same number are likely to be put right by one change.
    pub cause: usize,
    /// Whether it may only follow from a reading mistake of the same design.
    pub held_back: bool,
    /// Whether it follows from the first finding of its cause.
    pub follows: bool,
    /// For a danger or an error, the weakest status of its figures; absent where all were read or computed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rests_on: Option<&'static str>,
    /// The rows of lists from which what it shows was made, that of its place first; absent where there is none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub rows: Vec<RowOf<'a>>,
}

#[derive(Debug, Serialize)]
pub(super) struct RowOf<'a> {
    pub list: &'a str,
    pub row: u32,
}

#[derive(Debug, Serialize)]
pub(super) struct Suppression<'a> {
    pub kind: &'static str,
    pub status: &'static str,
    pub justification: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub location: Option<Location<'a>>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Location<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub id: Option<usize>,
    pub physical_location: PhysicalLocation,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub logical_locations: Vec<LogicalLocation<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub message: Option<Text>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct LogicalLocation<'a> {
    pub fully_qualified_name: &'a str,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct PhysicalLocation {
    pub artifact_location: ArtifactLocation,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub region: Option<Region>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Region {
    pub start_line: usize,
    pub start_column: usize,
    pub end_line: usize,
    pub end_column: usize,
}
