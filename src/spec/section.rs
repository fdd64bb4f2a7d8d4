//! One definition a section: the macro that turns it into the struct, the reader and the schema.

/// Defines sections of the format. Each field is `must` (required), `may` (optional), `many` (a list, empty when absent) or
/// `with` (the keys of another section, in the same table). The key in TOML is the field's name with hyphens. The
/// documentation of a field is also its description in the schema.
macro_rules! sections {
    ($(#[doc = $doc:literal] $name:ident = $key:literal {
        $(#[doc = $field_doc:literal] $presence:ident $field:ident: $type:ty,)*
    })*) => {$(
        #[doc = $doc]
        #[derive(Debug, Clone)]
        pub struct $name {
            $(#[doc = $field_doc] pub $field: sections!(@type $presence $type),)*
            /// Where it is written.
            pub written: $crate::spec::diagnostic::Place,
            /// For one of several alike parts: the id as written.
            pub group: Option<String>,
        }

        impl $crate::spec::reader::Section for $name {
            const NAME: &'static str = $key;
            const DESCRIPTION: &'static str = $doc;

            fn keys() -> Vec<$crate::spec::reader::KeyInfo> {
                [$(sections!(@keys $presence $field $field_doc $type)),*].concat()
            }

            fn take(table: &mut $crate::spec::reader::TableReader<'_, '_, '_>) -> Self {
                Self {
                    $($field: sections!(@read table $presence $field $type),)*
                    written: table.place(),
                    group: table.group(),
                }
            }
        }

        impl $crate::spec::reader::FromNode for $name {
            fn read(
                node: &$crate::spec::tree::Node,
                reader: &mut $crate::spec::reader::Reader<'_>,
            ) -> Option<Self> {
                let $crate::spec::tree::Value::Table(table) = &node.value else {
                    reader.wrong_type(concat!("a table `", $key, "`"), node);
                    return None;
                };
                Some($crate::spec::reader::TableReader::section(table, node.place, reader))
            }

            fn placeholder() -> Self {
                let sources = $crate::spec::sources::Sources::new();
                let mut reader = $crate::spec::reader::Reader::new(&sources);
                let table = $crate::spec::tree::Table::default();
                $crate::spec::reader::TableReader::section(&table, Default::default(), &mut reader)
            }

            fn schema() -> serde_json::Value {
                $crate::spec::schema::of_section::<Self>()
            }
        }
    )*};
    (@type must $type:ty) => { $type };
    (@type with $type:ty) => { $type };
    (@type may $type:ty) => { Option<$type> };
    (@type many $type:ty) => { Vec<$type> };
    (@read $table:ident must $field:ident $type:ty) => { $table.required::<$type>(stringify!($field)) };
    (@read $table:ident may $field:ident $type:ty) => { $table.optional::<$type>(stringify!($field)) };
    (@read $table:ident many $field:ident $type:ty) => {
        $table.optional::<Vec<$type>>(stringify!($field)).unwrap_or_default()
    };
    (@read $table:ident with $field:ident $type:ty) => { <$type as $crate::spec::reader::Section>::take($table) };
    (@keys must $field:ident $doc:literal $type:ty) => { vec![sections!(@key true $field $doc $type)] };
    (@keys may $field:ident $doc:literal $type:ty) => { vec![sections!(@key false $field $doc $type)] };
    (@keys many $field:ident $doc:literal $type:ty) => { vec![sections!(@key false $field $doc Vec<$type>)] };
    (@keys with $field:ident $doc:literal $type:ty) => { <$type as $crate::spec::reader::Section>::keys() };
    (@key $required:literal $field:ident $doc:literal $type:ty) => {
        $crate::spec::reader::KeyInfo {
            name: stringify!($field).replace('_', "-"),
            description: $doc.trim().to_string(),
            required: $required,
            schema: <$type as $crate::spec::reader::FromNode>::schema(),
        }
    };
}

/// Defines values that are one of a few words: the enumeration, its reader and its schema.
macro_rules! words {
    ($(#[doc = $doc:literal] $name:ident { $(#[doc = $word_doc:literal] $variant:ident = $word:literal,)* })*) => {$(
        #[doc = $doc]
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum $name {
            $(#[doc = $word_doc] $variant,)*
        }

        impl $name {
            /// All of them, in the order of the definition.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];

            /// As it is written.
            #[must_use]
            pub fn word(self) -> &'static str {
                match self { $(Self::$variant => $word,)* }
            }
        }

        impl $crate::spec::reader::FromNode for $name {
            fn read(
                node: &$crate::spec::tree::Node,
                reader: &mut $crate::spec::reader::Reader<'_>,
            ) -> Option<Self> {
                let text = $crate::spec::values::text(node, reader)?;
                let known = Self::ALL.iter().copied().find(|known| known.word() == text);
                if known.is_none() {
                    let choices: &[&str] = &[$($word),*];
                    let nearest = $crate::spec::reader::nearest(&text, choices.iter().copied());
                    reader.error($crate::spec::kind::Kind::NotOneOf { found: text, choices, nearest }, node.place);
                }
                known
            }

            fn placeholder() -> Self {
                Self::ALL[0]
            }

            fn schema() -> serde_json::Value {
                serde_json::json!({ "type": "string", "enum": [$($word),*] })
            }
        }
    )*};
}

pub(super) use {sections, words};
