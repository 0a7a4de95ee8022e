//! How each thing stands in a text: one description of it serves for reading and for writing.
//!
//! `record!` describes a group of named fields, `variants!` the choices of an enum; both name the fields of the data
//! as they stand in the text, in the order in which they are written. What may be left out says what is then meant.

use std::collections::BTreeMap;

use crate::parts::catalogue::Catalogue;
use crate::parts::file::fault::Fault;
use crate::parts::file::fields::Fields;
use crate::parts::file::layout::Text;
use crate::parts::file::tree::Value;
use crate::parts::quantity::Volts;
use crate::parts::rating::RatingSystem;
use crate::parts::regulator::ReferenceFeed;

/// Long names of documents by the short ones that entries use.
pub(super) type Sources = BTreeMap<String, String>;

/// What has to be known to read a value.
#[derive(Clone, Copy)]
pub(super) struct Reading<'a> {
    /// System of a rating that does not say its own.
    pub(super) usual: RatingSystem,
    /// Names of documents.
    pub(super) sources: &'a Sources,
    /// Types that stand in the file itself.
    pub(super) own_types: &'a Catalogue,
    /// Types that are known beside them.
    pub(super) catalogue: &'a Catalogue,
    /// Nominal volts of the mains.
    pub(super) nominal: Volts,
    /// From where a gas reference is fed that does not say it.
    pub(super) feed: ReferenceFeed,
    /// True where the text stops making sense somewhere: what is not there may stand behind that place.
    pub(super) is_broken: bool,
}

impl<'a> Reading<'a> {
    /// Nothing known but the documents.
    pub(super) fn of(sources: &'a Sources, own_types: &'a Catalogue) -> Self {
        Self {
            usual: RatingSystem::default(),
            sources,
            own_types,
            catalogue: own_types,
            nominal: Volts(0.0),
            feed: ReferenceFeed::Bus,
            is_broken: false,
        }
    }
}

/// What stands in a text.
pub(super) trait Notation: Sized {
    /// Reads it.
    fn read(value: &Value<'_>, context: &Reading<'_>) -> Result<Self, Fault>;

    /// Writes it; `usual` is the system of ratings that need not say theirs.
    fn write(&self, usual: Option<RatingSystem>) -> Text;

    /// What is meant where it is left out; none if it may not be.
    fn left_out() -> Option<Self> {
        None
    }

    /// True if it is written by leaving it out.
    fn is_left_out(&self) -> bool {
        false
    }
}

/// A group of named fields.
pub(super) trait Record: Sized {
    /// The fields, in the order in which they are written.
    fn names() -> Vec<&'static str>;

    /// Takes the fields out of a group.
    fn take(fields: &Fields<'_, '_>, context: &Reading<'_>) -> Result<Self, Fault>;

    /// Puts the fields into a group.
    fn put(&self, usual: Option<RatingSystem>, group: &mut Vec<Text>);
}

/// Reads a record; `name` may stand before its bracket.
pub(super) fn read_record<T: Record>(
    value: &Value<'_>,
    name: &str,
    context: &Reading<'_>,
) -> Result<T, Fault> {
    let fields = Fields::of(value, name, &T::names())?;
    fields.end(T::take(&fields, context)?)
}

/// Writes a record, with the name of a variant before it, or none.
pub(super) fn write_record<T: Record>(record: &T, name: &str, usual: Option<RatingSystem>) -> Text {
    let mut group = Vec::new();
    record.put(usual, &mut group);
    Text::group(name, group)
}

/// Writes a field unless it is left out.
pub(super) fn put<T: Notation>(
    group: &mut Vec<Text>,
    name: &str,
    value: &T,
    usual: Option<RatingSystem>,
) {
    if !value.is_left_out() {
        group.push(value.write(usual).field(name));
    }
}

// These macros expand where `Fault`, `Fields`, `Notation`, `RatingSystem`, `Reading`, `Record`, `Text`, `Value` and `put`
// are imported.

/// Describes a record: `record!(Type, "name before the bracket", context, { field, other or DEFAULT, … })`.
///
/// A default may use `context` and the fields before it. `kind by type_name` reads and writes with the functions of
/// that module, `context = …` is what the fields are read with. Behind `@system of` stands the rating whose
/// system all ratings after it have if they say none: it is written there as `rating_system`.
/// `@with field: Type` are the fields of another record, in the same brackets.
macro_rules! record {
    (@get $fields:ident $field:ident $context:ident) => {
        $fields.get(stringify!($field), $context, None)?
    };
    (@get $fields:ident $field:ident $context:ident or $default:expr) => {
        $fields.get(stringify!($field), $context, Some($default))?
    };
    (@get $fields:ident $field:ident $context:ident by $how:ident) => {
        $fields.get_by(stringify!($field), None, |value| $how::read(value, $context))?
    };
    (@put $group:ident $field:ident $value:expr, $usual:ident) => {
        put($group, stringify!($field), $value, $usual)
    };
    (@put $group:ident $field:ident $value:expr, $usual:ident by $how:ident) => {
        $group.push($how::write($value).field(stringify!($field)))
    };
    (@write $record:ident $usual:ident $($field:ident)*) => {{
        let mut group = Vec::new();
        $(put(&mut group, stringify!($field), &$record.$field, $usual);)*
        Text::group("", group)
    }};
    ($type:ident, $name:literal, $context:ident $(= $change:expr)?, {
        $($field:ident $(by $how:ident)? $(or $default:expr)?,)*
        $(@system of $($rating:ident).+, $($rated:ident $(or $rated_default:expr)?,)*)?
        $(@with $joined:ident: $joined_type:ident,)?
    }) => {
        impl Record for $type {
            fn names() -> Vec<&'static str> {
                [
                    vec![$(stringify!($field)),*],
                    $(vec!["rating_system", $(stringify!($rated)),*],)?
                    $($joined_type::names(),)?
                ]
                .concat()
            }

            fn take(fields: &Fields<'_, '_>, $context: &Reading<'_>) -> Result<Self, Fault> {
                $(let $context = &$change;)?
                $(let $field = record!(@get fields $field $context $(by $how)? $(or $default)?);)*
                $(
                    let usual = fields.get("rating_system", $context, Some(Default::default()))?;
                    let $context = &Reading { usual, ..*$context };
                    $(let $rated = record!(@get fields $rated $context $(or $rated_default)?);)*
                )?
                $(let $joined = $joined_type::take(fields, $context)?;)?
                Ok(Self { $($field,)* $($($rated,)*)? $($joined,)? })
            }

            fn put(&self, usual: Option<RatingSystem>, group: &mut Vec<Text>) {
                $(record!(@put group $field &self.$field, usual $(by $how)?);)*
                $(
                    let system = Rated::system(&self.$($rating).+);
                    let usual = Some(system);
                    record!(@put group rating_system &system, usual);
                    $(record!(@put group $rated &self.$rated, usual);)*
                )?
                $(self.$joined.put(usual, group);)?
            }
        }

        impl Notation for $type {
            fn read(value: &Value<'_>, context: &Reading<'_>) -> Result<Self, Fault> {
                read_record(value, $name, context)
            }

            fn write(&self, usual: Option<RatingSystem>) -> Text {
                write_record(self, "", usual)
            }
        }
    };
}

/// Describes an enum: `variants!(Type { Alone(), Holding(value), Fields { field, other or DEFAULT, }, Record[record] })`.
/// The last has the fields of the record in its own brackets.
macro_rules! variants {
    (@read $type:ident $variant:ident () $value:ident $context:ident) => {
        $value.alone().map(|()| $type::$variant)
    };
    (@read $type:ident $variant:ident ($inner:ident) $value:ident $context:ident) => {
        $value
            .only()
            .and_then(|inner| Notation::read(inner, $context))
            .map($type::$variant)
    };
    (@read $type:ident $variant:ident [$record:ident] $value:ident $context:ident) => {
        read_record($value, stringify!($variant), $context).map($type::$variant)
    };
    (@read $type:ident $variant:ident { $($field:ident $(or $default:expr)?,)* } $value:ident $context:ident) => {{
        let known = [$(stringify!($field)),*];
        let fields = Fields::of($value, stringify!($variant), &known)?;
        fields.end($type::$variant {
            $($field: record!(@get fields $field $context $(or $default)?),)*
        })
    }};
    (@pattern $type:ident $variant:ident ()) => { $type::$variant };
    (@pattern $type:ident $variant:ident ($inner:ident)) => { $type::$variant($inner) };
    (@pattern $type:ident $variant:ident [$record:ident]) => { $type::$variant($record) };
    (@pattern $type:ident $variant:ident { $($field:ident $(or $default:expr)?,)* }) => {
        $type::$variant { $($field,)* }
    };
    (@write $variant:ident () $usual:ident) => {
        Text::Plain(stringify!($variant).to_owned())
    };
    (@write $variant:ident ($inner:ident) $usual:ident) => {
        Text::group(stringify!($variant), vec![$inner.write($usual)])
    };
    (@write $variant:ident [$record:ident] $usual:ident) => {
        write_record($record, stringify!($variant), $usual)
    };
    (@write $variant:ident { $($field:ident $(or $default:expr)?,)* } $usual:ident) => {{
        let mut fields = Vec::new();
        let group = &mut fields;
        $(record!(@put group $field $field, $usual);)*
        Text::group(stringify!($variant), fields)
    }};
    ($type:ident { $($variant:ident $shape:tt,)* }) => {
        impl $type {
            /// The names of its variants, as they stand in a text.
            pub(in crate::parts::file) const NAMES: &'static [&'static str] =
                &[$(stringify!($variant)),*];
        }

        impl Notation for $type {
            fn read(value: &Value<'_>, context: &Reading<'_>) -> Result<Self, Fault> {
                let name = value.variant(Self::NAMES)?;
                $(if name == stringify!($variant) {
                    return variants!(@read $type $variant $shape value context);
                })*
                // Names that hold nothing need no context.
                let _ = context;
                Err(value.fault(Self::NAMES.join(", ")))
            }

            fn write(&self, usual: Option<RatingSystem>) -> Text {
                let _ = usual;
                match self {
                    $(variants!(@pattern $type $variant $shape) => {
                        variants!(@write $variant $shape usual)
                    })*
                }
            }
        }
    };
}

pub(super) use {record, variants};
