//! The macros by which the format is defined once: a record's struct, its reading and its shape come from one text.

/// Defines records of the format. Each field names its key, an [`Attribute`](super::Attribute); `required` behind it makes its
/// absence a mistake, `or_mated` behind that only where the partner of a housing does not give it, `above_zero` a quantity of zero, and `share` one that is not above zero and at most the whole. Behind `=>`
/// is the [`Class`](super::Class) of the field: what it means for a comparison and at the bench. A key that no rule, figure or paper
/// reads yet says so by `unread`: where a design gives it, the report says that it was not checked. A test holds that each key without
/// the mark is read, and none with it.
macro_rules! record {
    ($($(#[doc = $doc:literal])+ $name:ident { $($(#[doc = $field_doc:literal])+ $field:ident: $type:ty = $key:ident $($mark:ident)* => $class:expr;)* })+) => {$(
        $(#[doc = $doc])+
        #[derive(Debug, Default, Clone)]
        pub struct $name {
            /// Where the record is.
            pub span: $crate::text::Span,
            /// Something in it was reported: what is absent may have been meant to be there.
            pub is_faulty: bool,
            $($(#[doc = $field_doc])+ pub $field: $type,)*
        }

        impl $crate::format::reader::Record for $name {
            const SHAPE: &'static $crate::format::shape::RecordShape = &$crate::format::shape::RecordShape {
                name: stringify!($name),
                doc: concat!($($doc),+),
                fields: &[$($crate::format::shape::FieldShape {
                    key: $crate::format::Attribute::$key,
                    class: {
                        #[allow(unused_imports, clippy::wildcard_imports, reason = "no record uses all the words of the classes")]
                        use $crate::format::{class::*, kind::Kind};
                        $class
                    },
                    doc: concat!($($field_doc),+),
                    required: $crate::format::record::record!(@required $($mark)*),
                    unless: $crate::format::record::record!(@unless $($mark)*),
                    limit: $crate::format::record::record!(@limit $($mark)*),
                    is_read: $crate::format::record::record!(@read $($mark)*),
                    shape: <$type as $crate::format::reader::Field>::shape,
                }),*],
                has_unread: false $(|| !$crate::format::record::record!(@read $($mark)*))*,
            };

            fn place(&mut self, span: $crate::text::Span, is_faulty: bool) {
                (self.span, self.is_faulty) = (span, is_faulty);
            }

            fn set(&mut self, key: &str, reader: &mut $crate::format::reader::Reader<'_>, node: $crate::text::NodeId) -> bool {
                $(if key == const { $crate::format::Attribute::$key.word() } {
                    $crate::format::reader::Field::read(&mut self.$field, reader, node);
                    $($crate::format::record::record!(@keep $mark self.$field, reader, node);)*
                    return true;
                })*
                false
            }

            fn tell(&self, names: &$crate::text::Names) -> $crate::format::Content {
                let told = [$($crate::format::reader::Field::tell(&self.$field, names)),*];
                $crate::format::Content::record(Self::SHAPE, told)
            }
        }
    )+};
    (@required required $($mark:ident)*) => { true };
    (@required unread $($mark:ident)*) => { $crate::format::record::record!(@required $($mark)*) };
    (@required $($mark:ident)*) => { false };
    (@unless required or_mated $($mark:ident)*) => { Some($crate::format::Attribute::MatesWith) };
    (@unless $($mark:ident)*) => { None };
    (@read unread $($mark:ident)*) => { false };
    (@read $($mark:ident)*) => { true };
    (@limit unread $($mark:ident)*) => { $crate::format::record::record!(@limit $($mark)*) };
    (@limit required $($mark:ident)*) => { $crate::format::record::record!(@limit $($mark)*) };
    (@limit or_mated $($mark:ident)*) => { $crate::format::record::record!(@limit $($mark)*) };
    (@limit above_zero) => { Some($crate::format::shape::Limit::AboveZero) };
    (@limit share) => { Some($crate::format::shape::Limit::Share) };
    (@limit) => { None };
    (@keep unread $place:expr, $reader:ident, $node:ident) => {};
    (@keep or_mated $place:expr, $reader:ident, $node:ident) => {};
    (@keep required $place:expr, $reader:ident, $node:ident) => {};
    (@keep above_zero $place:expr, $reader:ident, $node:ident) => {
        $reader.keep(&mut $place, $node, $crate::format::shape::Limit::AboveZero)
    };
    (@keep share $place:expr, $reader:ident, $node:ident) => {
        $reader.keep(&mut $place, $node, $crate::format::shape::Limit::Share)
    };
}

/// Defines a choice of records that are distinguished by one key each.
macro_rules! variants {
    ($(#[doc = $doc:literal])+ $name:ident { $($variant:ident($record:ident) = $key:ident;)+ }) => {
        $(#[doc = $doc])+
        #[derive(Debug, Clone)]
        pub enum $name {
            $(#[doc = concat!("Given by its key: ", stringify!($key), ".")] $variant($record),)+
        }

        impl $crate::format::reader::Variants for $name {
            const SHAPE: &'static $crate::format::shape::VariantsShape = &$crate::format::shape::VariantsShape {
                name: stringify!($name),
                doc: concat!($($doc),+),
                variants: &[$(($crate::format::Attribute::$key.word(), <$record as $crate::format::reader::Record>::SHAPE)),+],
            };

            fn read_variant(key: &str, reader: &mut $crate::format::reader::Reader<'_>, node: $crate::text::NodeId) -> Option<Self> {
                $(if key == const { $crate::format::Attribute::$key.word() } {
                    return reader.record::<$record>(node).map(Self::$variant);
                })+
                None
            }

            fn tell(&self, names: &$crate::text::Names) -> $crate::format::Content {
                match self {
                    $(Self::$variant(record) => $crate::format::reader::Record::tell(record, names),)+
                }
            }
        }
    };
}

pub(super) use {record, variants};
