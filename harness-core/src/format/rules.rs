//! The rules of reading: what can be at fault in the text of a netlist, before anything is checked.
//!
//! One record each; the documentation is in `rules/`, one page a rule.

use crate::{
    finding::{Level, RulePage},
    text::ProblemKind,
};

macro_rules! faults {
    ($($id:ident = $name:literal, $page:literal, $finds:literal;)+) => {
        $(#[doc = $finds] pub static $id: RulePage = RulePage {
            name: $name,
            level: Level::Error,
            since: "0.1.0",
            finds: $finds,
            docs: include_str!($page),
        };)+

        /// All rules of reading, sorted by name.
        pub static FAULTS: &[&RulePage] = &[$(&$id),+];
    };
}

faults! {
    ALIAS = "format/alias", "rules/alias.md", "an alias without an anchor, or one that would grow without bound";
    ASTRAY_NAME = "format/astray-name", "rules/astray_name.md", "a name in one file that lacks what makes it a thing: probably that of another file, misspelt";
    COMMENT_FOR_VALUE = "format/comment-for-value", "rules/comment_for_value.md", "a value that YAML takes for a comment";
    COMPLEX_KEY = "format/complex-key", "rules/complex_key.md", "a list or a map used as a key";
    EMPTY_FILE = "format/empty-file", "rules/empty_file.md", "a file without content";
    ENCODING = "format/encoding", "rules/encoding.md", "bytes that are not UTF-8, or characters that a netlist must not contain";
    EXTRA_DOCUMENT = "format/extra-document", "rules/extra_document.md", "a second document in one file";
    INCLUDE = "format/include", "rules/include.md", "an include that can't be read, leaves the project or includes itself";
    LABEL = "format/label", "rules/label.md", "a name that can't be referred to";
    LIMIT = "format/limit", "rules/limit.md", "a file, a nesting or a count beyond what the reader takes";
    LOOKALIKE_NAME = "format/lookalike-name", "rules/lookalike_name.md", "a name that looks the same as another";
    MISSING_KEY = "format/missing-key", "rules/missing_key.md", "a key without which the item means nothing";
    QUANTITY = "format/quantity", "rules/quantity.md", "a quantity without its unit, of another unit, or out of any sensible range";
    RANGE = "format/range", "rules/range.md", "a word for several cavities that means none, or the same twice";
    REPEATED_KEY = "format/repeated-key", "rules/repeated_key.md", "the same key twice";
    REPEATED_NAME = "format/repeated-name", "rules/repeated_name.md", "a key of one thing in two files, or one name for two things";
    SYNTAX = "format/syntax", "rules/syntax.md", "text that is not YAML";
    TAB = "format/tab", "rules/tab.md", "a tab where YAML takes only spaces";
    TAG = "format/tag", "rules/tag.md", "a YAML tag";
    UNEXPECTED_VALUE = "format/unexpected-value", "rules/unexpected_value.md", "a value of another kind, or none of the words that belong there";
    UNKNOWN_KEY = "format/unknown-key", "rules/unknown_key.md", "a key that the format does not have";
    UNKNOWN_NAME = "format/unknown-name", "rules/unknown_name.md", "a name that nothing has";
    UNSPACED_COLON = "format/unspaced-colon", "rules/unspaced_colon.md", "a colon without the blank that makes it a separator";
    UNUSED_DEFAULT = "format/unused-default", "rules/unused_default.md", "what is written once for many and falls on none";
    VERSION = "format/version", "rules/version.md", "a format version that this program does not read";
}

/// The rule that reports a fault of the text.
#[must_use]
pub fn rule_of(kind: ProblemKind) -> &'static RulePage {
    match kind {
        ProblemKind::Syntax => &SYNTAX,
        ProblemKind::Encoding => &ENCODING,
        ProblemKind::Tab => &TAB,
        ProblemKind::RepeatedKey => &REPEATED_KEY,
        ProblemKind::ExtraDocument => &EXTRA_DOCUMENT,
        ProblemKind::CommentForValue => &COMMENT_FOR_VALUE,
        ProblemKind::UnspacedColon => &UNSPACED_COLON,
        ProblemKind::EmptyFile => &EMPTY_FILE,
        ProblemKind::Limit => &LIMIT,
        ProblemKind::Alias => &ALIAS,
        ProblemKind::Tag => &TAG,
        ProblemKind::ComplexKey => &COMPLEX_KEY,
    }
}
