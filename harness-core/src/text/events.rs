//! The one place that knows the YAML library: its events, offsets and faults in our own words.

use granit_parser::{ErrorKind, Event as Yaml, Parser, ScalarStyle, StrInput, StructureStyle};
use std::borrow::Cow;

/// Nesting that the library and the tree accept.
pub(super) const DEPTH: usize = 255;

/// One step through a document.
#[derive(Debug)]
pub(super) enum Event<'a> {
    Document,
    Scalar { text: Cow<'a, str>, plain: bool },
    Missing,
    Start { map: bool, flow: bool },
    End { flow: bool },
    Anchor,
    Alias,
}

/// An event and where it is, in bytes of the whole file.
#[derive(Debug)]
pub(super) struct Item<'a> {
    pub event: Event<'a>,
    pub start: u32,
    pub end: u32,
    /// Column from 0, in characters.
    pub column: u32,
    pub tag: Option<(u32, u32)>,
}

/// Why reading stopped.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum YamlError {
    Tab,
    OpenBracket,
    BracketSeparator,
    MismatchedBracket { open: char, close: char },
    StrayBracket,
    OpenQuote,
    AfterQuote,
    Escape,
    NoColon,
    Indentation,
    SecondColon,
    Dash,
    Character(char),
    UnspacedColon,
    CommentPlace,
    AliasName,
    Tag,
    Directive,
    Nesting,
    ByteOrderMark,
    BlockHeader,
    Other(String),
}

/// Where and why reading stopped.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Stop {
    pub at: u32,
    pub fault: YamlError,
}

/// The events of one stretch of a file, ended by the first fault.
pub(super) struct Events<'a> {
    parser: Parser<'a, StrInput<'a>>,
    base: u32,
    ended: bool,
}

impl<'a> Events<'a> {
    /// Reads `text`, which is `base` bytes into its file.
    pub(super) fn new(text: &'a str, base: u32) -> Self {
        let options = granit_parser::options! {
            emit_anchor_events: true,
            emit_unresolved_aliases: true,
            emit_comments: false,
            flow_nesting_limit: DEPTH,
            block_nesting_limit: DEPTH,
        };
        Self { parser: Parser::new_from_str_with_options(text, options), base, ended: false }
    }

    fn offset(&self, offset: Option<usize>) -> u32 {
        // Files are capped far below 4 GB.
        self.base.saturating_add(u32::try_from(offset.unwrap_or(0)).unwrap_or(u32::MAX))
    }
}

impl<'a> Iterator for Events<'a> {
    type Item = Result<Item<'a>, Stop>;

    fn next(&mut self) -> Option<Self::Item> {
        while !self.ended {
            let (yaml, span) = match self.parser.next_event()? {
                Ok(event) => event,
                Err(error) => {
                    self.ended = true;
                    let at = self.offset(error.marker().byte_offset());
                    return Some(Err(Stop { at, fault: fault(error.kind(), || error.info()) }));
                }
            };
            let start = self.offset(span.start.byte_offset());
            let end = self.offset(span.end.byte_offset()).max(start);
            let mut tagged = false;
            let event = match yaml {
                Yaml::Scalar(text, style, _, tag) => {
                    tagged = tag.is_some();
                    let plain = style == ScalarStyle::Plain;
                    // A value that was not written comes as `~` of no length; a written `~` has a byte.
                    if plain && start == end { Event::Missing } else { Event::Scalar { text, plain } }
                }
                Yaml::MappingStart(style, _, tag) => {
                    tagged = tag.is_some();
                    Event::Start { map: true, flow: style == StructureStyle::Flow }
                }
                Yaml::SequenceStart(style, _, tag) => {
                    tagged = tag.is_some();
                    Event::Start { map: false, flow: style == StructureStyle::Flow }
                }
                // The end of a block has no text of its own.
                Yaml::MappingEnd | Yaml::SequenceEnd => Event::End { flow: start < end },
                Yaml::Alias(_) | Yaml::UnresolvedAlias(_) => Event::Alias,
                Yaml::Anchor(..) => Event::Anchor,
                Yaml::DocumentStart(..) => Event::Document,
                _ => continue,
            };
            let tag = if tagged {
                let tag = span.tag_span();
                tag.map(|tag| (self.offset(tag.start.byte_offset()), self.offset(tag.end.byte_offset())))
            } else {
                None
            };
            let column = u32::try_from(span.start.col()).unwrap_or(u32::MAX);
            return Some(Ok(Item { event, start, end, column, tag }));
        }
        None
    }
}

fn fault(kind: &ErrorKind, info: impl FnOnce() -> String) -> YamlError {
    use ErrorKind as E;
    match kind {
        E::TabNotAllowed | E::TabInBlockIndentation | E::TabInIndentation | E::TabInPlainScalar | E::TabAtBlockScalarStart => {
            YamlError::Tab
        }
        E::UnexpectedEofFlowSequence | E::UnexpectedEofFlowMapping | E::UnclosedFlowCollection { .. } => YamlError::OpenBracket,
        E::ExpectedFlowMappingSeparator
        | E::ExpectedFlowSequenceSeparator
        | E::UnexpectedEofImplicitFlowMapping
        | E::InvalidColonPlacement
        | E::InvalidFlowScalarIndent => YamlError::BracketSeparator,
        E::MismatchedFlowCollectionEnd { open, close } => YamlError::MismatchedBracket { open: *open, close: *close },
        E::MisplacedFlowCollectionEnd => YamlError::StrayBracket,
        E::UnclosedQuotedScalar | E::DocumentIndicatorInQuotedScalar | E::InvalidQuotedScalarIndent => YamlError::OpenQuote,
        E::InvalidTrailingSingleQuotedScalar | E::InvalidTrailingDoubleQuotedScalar => YamlError::AfterQuote,
        E::UnknownQuotedScalarEscape
        | E::InvalidQuotedScalarHexEscape
        | E::InvalidLowSurrogateHexEscape
        | E::InvalidLowSurrogate
        | E::MissingLowSurrogate
        | E::UnpairedLowSurrogate
        | E::InvalidUnicodeEscape => YamlError::Escape,
        E::SimpleKeyExpected | E::InvalidSimpleKey => YamlError::NoColon,
        E::ExpectedBlockMappingKey
        | E::ExpectedBlockSequenceEntry
        | E::InvalidIndentation
        | E::ExpectedDocumentStart
        | E::InvalidBlockScalarIndent
        | E::UnexpectedEofBlockMapping
        | E::UnexpectedEofBlockSequence => YamlError::Indentation,
        E::MappingValueNotAllowed | E::MappingKeyNotAllowed => YamlError::SecondColon,
        E::BlockSequenceEntryNotAllowed
        | E::BlockEntryInFlowCollection
        | E::InvalidBlockEntryWhitespace
        | E::PlainScalarStartsWithDashFlowIndicator => YamlError::Dash,
        E::UnexpectedCharacter { character } => YamlError::Character(*character),
        E::FlowMappingValueAdjacentCollection | E::InvalidMappingValueWhitespace => YamlError::UnspacedColon,
        E::CommentNotSeparated | E::CommentInterceptedScalar => YamlError::CommentPlace,
        E::MissingAnchorOrAliasName | E::UnknownAnchor | E::AnchorCountOverflow => YamlError::AliasName,
        E::UndeclaredTagHandle
        | E::ExpectedTagBang
        | E::InvalidGlobalTagCharacter
        | E::InvalidTagTerminator
        | E::MissingTagUri
        | E::UnclosedVerbatimTag
        | E::InvalidTagEscape
        | E::InvalidTagUtf8LeadingByte
        | E::InvalidTagUtf8TrailingByte
        | E::InvalidTagUtf8 => YamlError::Tag,
        E::DuplicateVersionDirective
        | E::UnsupportedYamlMajorVersion
        | E::DuplicateTagDirective
        | E::MissingDocumentEndBeforeDirective
        | E::ExpectedTagDirectiveBang
        | E::InvalidDirectiveTerminator
        | E::DirectiveDisallowed
        | E::MissingYamlVersionSeparator
        | E::MissingDirectiveName
        | E::InvalidDirectiveName
        | E::DirectiveByteLimitExceeded { .. }
        | E::TooManyReservedDirectiveParams { .. }
        | E::YamlVersionTooLong
        | E::MissingYamlVersion
        | E::InvalidTagDirectiveTerminator => YamlError::Directive,
        E::RecursionLimitExceeded => YamlError::Nesting,
        E::BomInsideDocument => YamlError::ByteOrderMark,
        E::ZeroBlockScalarIndent | E::InvalidBlockScalarHeader => YamlError::BlockHeader,
        _ => YamlError::Other(info()),
    }
}
