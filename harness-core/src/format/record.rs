//! The macros by which the format is defined once: a record's struct, its reading and its shape come from one text.

/// Defines records of the format. Each field names its key; `required` behind it makes its absence a mistake,
/// `above_zero` a quantity of zero, and `share` one that is not above zero and at most the whole.
macro_rules! record {
    ($($(#[doc = $doc:literal])+ $name:ident { $($(#[doc = $field_doc:literal])+ $field:ident: $type:ty = $key:literal $($mark:ident)*;)* })+) => {$(
        $(#[doc = $doc])+
        #[derive(Debug, Default, Clone)]
        pub struct $name {
            /// Where the record stands.
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
                    key: $key,
                    doc: concat!($($field_doc),+),
                    required: $crate::format::record::record!(@required $($mark)*),
                    limit: $crate::format::record::record!(@limit $($mark)*),
                    shape: <$type as $crate::format::reader::Field>::shape,
                }),*],
            };

            fn place(&mut self, span: $crate::text::Span, is_faulty: bool) {
                (self.span, self.is_faulty) = (span, is_faulty);
            }

            fn set(&mut self, key: &str, reader: &mut $crate::format::reader::Reader<'_>, node: $crate::text::NodeId) -> bool {
                match key {
                    $($key => {
                        $crate::format::reader::Field::read(&mut self.$field, reader, node);
                        $($crate::format::record::record!(@keep $mark self.$field, reader, node);)*
                    })*
                    _ => return false,
                }
                true
            }

            fn tell(&self, names: &$crate::text::Names) -> $crate::format::Content {
                $crate::format::Content::record([$(($key, $crate::format::reader::Field::tell(&self.$field, names))),*])
            }
        }
    )+};
    (@required required $($mark:ident)*) => { true };
    (@required $($mark:ident)*) => { false };
    (@limit required $($mark:ident)*) => { $crate::format::record::record!(@limit $($mark)*) };
    (@limit above_zero) => { Some($crate::format::shape::Limit::AboveZero) };
    (@limit share) => { Some($crate::format::shape::Limit::Share) };
    (@limit) => { None };
    (@keep required $place:expr, $reader:ident, $node:ident) => {};
    (@keep above_zero $place:expr, $reader:ident, $node:ident) => {
        $reader.keep(&mut $place, $node, $crate::format::shape::Limit::AboveZero)
    };
    (@keep share $place:expr, $reader:ident, $node:ident) => {
        $reader.keep(&mut $place, $node, $crate::format::shape::Limit::Share)
    };
}

/// Defines a choice of records that are told apart by one key each.
macro_rules! variants {
    ($(#[doc = $doc:literal])+ $name:ident { $($variant:ident($record:ident) = $key:literal;)+ }) => {
        $(#[doc = $doc])+
        #[derive(Debug, Clone)]
        pub enum $name {
            $(#[doc = concat!("Told by the key `", $key, "`.")] $variant($record),)+
        }

        impl $crate::format::reader::Variants for $name {
            const SHAPE: &'static $crate::format::shape::VariantsShape = &$crate::format::shape::VariantsShape {
                name: stringify!($name),
                doc: concat!($($doc),+),
                variants: &[$(($key, <$record as $crate::format::reader::Record>::SHAPE)),+],
            };

            fn read_variant(key: &str, reader: &mut $crate::format::reader::Reader<'_>, node: $crate::text::NodeId) -> Option<Self> {
                match key {
                    $($key => reader.record::<$record>(node).map(Self::$variant),)+
                    _ => None,
                }
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
