//! The fields of a group as they are taken out, and the other shapes that a value can have.

use std::collections::BTreeMap;
use std::str::FromStr;

use crate::parts::escape::shortened;
use crate::parts::file::fault::{Fault, choice, example};
use crate::parts::file::notation::{Notation, Reading};
use crate::parts::file::tree::{Group, Item, Kind, Value};

const A_GROUP: &str = "a group of fields in round brackets, (name: value, …)";
const A_NAME: &str = "a name without quotes";

/// No supply and no catalogue has a longer list: reading and computing are to end.
pub(super) const MOST_IN_LIST: usize = 1000;

/// The fields of a group while they are taken out.
pub(super) struct Fields<'v, 't> {
    group: &'v Group<'t>,
    /// Where the group ends (bytes).
    end: usize,
    /// The first field that there is not, or that stands there twice.
    stranger: Option<Fault>,
}

impl<'v, 't> Fields<'v, 't> {
    /// Those of a group that knows these names.
    pub(super) fn of(value: &'v Value<'t>, name: &str, known: &[&str]) -> Result<Self, Fault> {
        let group = value.in_brackets('(', A_GROUP)?;
        if !["", name].contains(&group.name) {
            return Err(Fault::at(
                value.start,
                shortened(group.name),
                format!("a group of fields in round brackets, with {name} or nothing before it"),
            ));
        }
        let mut seen = Vec::new();
        let stranger = group.items.iter().find_map(|item| {
            let Some(name) = item.name.as_deref().or(item.value.as_name()) else {
                let fault = item.value.fault("the name of a field before it");
                return Some(fault.there());
            };
            let (found, expected) = if !known.contains(&name) {
                let known = known.iter().copied();
                ("a field that there is not", choice(name, known))
            } else if item.name.is_none() {
                let colon = "a colon and a value after the name of a field";
                return Some(item.value.fault(colon).there());
            } else if seen.contains(&name) {
                ("this field twice", "it once".to_owned())
            } else {
                seen.push(name);
                return None;
            };
            Some(Fault::at(item.start, found, expected).below(&shortened(name), item.start))
        });
        Ok(Self {
            group,
            end: value.start + value.text.len(),
            stranger,
        })
    }

    /// The value of a field; what `default` says, or what its kind means then, if it is left out.
    pub(super) fn get<T: Notation>(
        &self,
        name: &str,
        context: &Reading<'_>,
        default: Option<T>,
    ) -> Result<T, Fault> {
        self.get_by(name, default.or_else(T::left_out), |value| {
            T::read(value, context)
        })
    }

    /// The value of a field as `read` reads it; `default`, if it is left out.
    pub(super) fn get_by<T>(
        &self,
        name: &str,
        default: Option<T>,
        read: impl FnOnce(&Value<'t>) -> Result<T, Fault>,
    ) -> Result<T, Fault> {
        let named = |item: &&Item<'_>| item.name.as_deref() == Some(name);
        let value = match self.group.items.iter().find(named) {
            Some(item) => read(&item.value).map_err(|mut fault| {
                if let (true, A_NAME, Some(example)) = (
                    fault.field.is_empty(),
                    fault.expected.as_str(),
                    example(name),
                ) {
                    fault.expected = format!("{A_NAME}, for example {name}: {example}");
                }
                fault.below(name, item.start)
            }),
            None => default.ok_or_else(|| self.missing(name)),
        };
        value.map_err(|fault| fault.or_earlier(self.stranger.as_ref()))
    }

    /// Where it shows that something is missing: where the group is not closed, it may stand behind what is wrong there.
    fn missing_at(&self) -> usize {
        if self.group.is_closed {
            self.end
        } else {
            usize::MAX
        }
    }

    /// The fields that there are do not go together.
    pub(super) fn others(&self, expected: &str) -> Fault {
        Fault::at(self.missing_at(), "another set of fields", expected)
            .or_earlier(self.stranger.as_ref())
    }

    fn missing(&self, name: &str) -> Fault {
        let expected = example(name).map_or_else(
            || "this field: it cannot be left out".to_owned(),
            |value| format!("this field, for example {name}: {value}"),
        );
        Fault {
            field: name.to_owned(),
            ..Fault::at(self.missing_at(), "nothing", expected)
        }
    }

    /// What was taken out, if nothing else stands there.
    pub(super) fn end<T>(&self, read: T) -> Result<T, Fault> {
        self.stranger.clone().map_or(Ok(read), Err)
    }
}

impl<'t> Value<'t> {
    /// What such a bracket holds, if it is one.
    fn in_brackets(&self, open: char, expected: &str) -> Result<&Group<'t>, Fault> {
        match &self.kind {
            Kind::Group(group) if group.open == open => Ok(group),
            _ => Err(self.fault(expected)),
        }
    }

    /// The name of a variant that it can be.
    fn variant_name(&self) -> Option<&'t str> {
        match &self.kind {
            Kind::Word(name) => Some(name),
            Kind::Group(group) => Some(group.name).filter(|name| !name.is_empty()),
            Kind::Text(_) => None,
        }
    }

    /// True for a variant of one of these names.
    pub(super) fn is_one_of(&self, names: &[&str]) -> bool {
        self.variant_name()
            .is_some_and(|name| names.contains(&name))
    }

    /// The name of the variant that it is, one of these.
    pub(super) fn variant(&self, names: &[&str]) -> Result<&'t str, Fault> {
        let name = self.variant_name().ok_or_else(|| self.fault(A_NAME))?;
        if names.contains(&name) {
            return Ok(name);
        }
        let expected = choice(name, names.iter().copied());
        Err(Fault::at(self.start, shortened(name), expected))
    }

    /// It as the name of a field that lacks its value.
    fn as_name(&self) -> Option<&str> {
        match self.kind {
            Kind::Word(word) if word.starts_with(char::is_alphabetic) => Some(word),
            Kind::Word(_) | Kind::Text(_) | Kind::Group(_) => None,
        }
    }

    /// For a variant that holds nothing.
    pub(super) fn alone(&self) -> Result<(), Fault> {
        match &self.kind {
            Kind::Group(group) => Err(self.fault(format!("{} alone", shortened(group.name)))),
            Kind::Word(_) | Kind::Text(_) => Ok(()),
        }
    }

    /// The one value in a variant.
    pub(super) fn only(&self) -> Result<&Self, Fault> {
        match self.items() {
            [item] if item.name.is_none() => Ok(&item.value),
            _ => Err(self.unlike("one value in round brackets behind the name")),
        }
    }

    /// What is said of a value that does not hold what it should; if it is not closed, that is the fault.
    pub(super) fn unlike(&self, expected: &str) -> Fault {
        let mut fault = self.fault(expected);
        if matches!(&self.kind, Kind::Group(group) if !group.is_closed) {
            fault.at = usize::MAX;
        }
        fault
    }

    /// The values of a group without names.
    pub(super) fn elements<'v>(&'v self, expected: &str) -> Result<Vec<&'v Self>, Fault> {
        let group = self.in_brackets('(', expected)?;
        if !group.name.is_empty() {
            return Err(self.fault(expected));
        }
        let unnamed = |item: &'v Item<'t>| match &item.name {
            None => Ok(&item.value),
            Some(name) => {
                let found = format!("the field {}", shortened(name));
                let expected = "the bracket ) that closes the group before it";
                Err(Fault::at(item.start, found, expected).there())
            }
        };
        group.items.iter().map(unnamed).collect()
    }

    /// What `read` makes of each element of a list.
    pub(super) fn elements_of_list<T>(
        &self,
        read: impl Fn(&Self) -> Result<T, Fault>,
    ) -> Result<Vec<T>, Fault> {
        let items = &(self.in_brackets('[', "a list in square brackets, [ … ]")?).items;
        if items.len() > MOST_IN_LIST {
            let found = format!("a list of {}", items.len());
            return Err(Fault::at(
                self.start,
                found,
                format!("at most {MOST_IN_LIST}"),
            ));
        }
        let element = |(index, item): (usize, &Item<'t>)| {
            read(&item.value).map_err(|fault| fault.below(&format!("[{index}]"), item.start))
        };
        items.iter().enumerate().map(element).collect()
    }

    /// The names and values of a map.
    pub(super) fn map<T>(
        &self,
        read: impl Fn(&Self) -> Result<T, Fault>,
    ) -> Result<BTreeMap<String, T>, Fault> {
        let items = &(self.in_brackets('{', "a map in curly brackets, { … }")?).items;
        let entry = |item: &Item<'t>| {
            let name = item.name.clone().unwrap_or_default();
            let value =
                read(&item.value).map_err(|fault| fault.below(&shortened(&name), item.start))?;
            Ok((name, value))
        };
        items.iter().map(entry).collect()
    }

    /// A number without a unit.
    pub(super) fn number<T: FromStr>(&self, expected: &str) -> Result<T, Fault> {
        let Kind::Word(word) = self.kind else {
            return Err(self.fault(expected));
        };
        // 1_000 is a thousand.
        let digits = word.replace(|c| c == '_' && !word.starts_with('_'), "");
        digits.parse().map_err(|_no_number| self.fault(expected))
    }
}
