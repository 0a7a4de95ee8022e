//! A text of one's own brought up to a changed work: what differs is written anew, in its place. Comments, order and spelling of
//! all else stay.
//!
//! The text as it was read (`tree`) is gone through beside what this program would write for the work that it holds and for the
//! work that it is to hold. Where those two are alike the text stays, however it is spelled.

mod matching;
mod place;
#[cfg(test)]
mod tests;

use std::ops::Range;

use crate::parts::catalogue::{Catalogue, Listed};
use crate::parts::file::layout::{Lines, Text};
use crate::parts::file::notation::{Notation as _, Reading, Sources};
use crate::parts::file::scan::Scan;
use crate::parts::file::supply;
use crate::parts::file::tree::{Group, Item, Kind, Tree, Value};
use crate::parts::file::update::matching::{Element, matched};
use crate::parts::file::update::place::{Place, indentation, newline, step};
use crate::parts::{ControlTubeType, GasTubeType, PassTubeType, RectifierType, Work};

/// How often the text is gone over: where a value is left out, a change of another may change what is then meant, and that shows
/// only when the new text is read.
const MOST_ROUNDS: usize = 5;

/// What is done about a value that is left out and is to mean something else.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum LeftOut {
    /// Nothing yet: it may follow from another.
    Waits,
    /// It is written.
    IsWritten,
}

/// See [`crate::parts::file::updated`].
pub(super) fn updated(text: &str, work: &Work, catalogue: &Catalogue) -> Option<String> {
    // Of two types of one name in a supply a file can hold one: then it is to read as a file written anew would.
    let whole = supply::write(work, catalogue).lines();
    let aim = supply::read(&Tree::of(&whole), catalogue).ok()?;
    let mut text = text.to_owned();
    for round in 0..MOST_ROUNDS {
        let tree = Tree::of(&text);
        let held = supply::read(&tree, catalogue).ok()?;
        if held == aim {
            return Some(text);
        }
        let root = tree.value.as_ref()?;
        let (was, now) = both(root, (&held, &aim), catalogue)?;
        let mut update = Update {
            text: &text,
            step: step(&text),
            left_out: if round == 0 {
                LeftOut::Waits
            } else {
                LeftOut::IsWritten
            },
            edits: Vec::new(),
        };
        let owner = Owner {
            start: root.start,
            depth: 0,
        };
        update.value(root, (&was, &now), owner);
        text = applied(&text, update.edits)?;
    }
    let read = supply::read(&Tree::of(&text), catalogue).ok()?;
    (read == aim).then_some(text)
}

/// What this program would write for the work that a text holds and for the one that it is to hold. Types that stand in the
/// text stay, in use or not, unless another of their name is in use now.
fn both(
    root: &Value<'_>,
    (held, aim): (&Work, &Work),
    catalogue: &Catalogue,
) -> Option<(Text, Text)> {
    let used = supply::types_of(&aim.supply);
    let Some(own_there) = root.find(supply::OWN_TYPES) else {
        let mut own = used;
        own.keep_those_to_write(catalogue);
        let own = (own != Catalogue::default()).then(|| Text::group("", own.lists()));
        return Some((supply::write_with(held, None), supply::write_with(aim, own)));
    };
    let (sources, none) = (Sources::new(), Catalogue::default());
    let there = Catalogue::read(own_there, &Reading::of(&sources, &none)).ok()?;
    let mut own = Catalogue::default();
    let known = [&there, &used, catalogue];
    stay_or_come::<RectifierType>(&mut own, known);
    stay_or_come::<PassTubeType>(&mut own, known);
    stay_or_come::<ControlTubeType>(&mut own, known);
    stay_or_come::<GasTubeType>(&mut own, known);
    // A list that is not there is none that was left out: what it is to hold is written at once.
    let lists = |types: &Catalogue| {
        let mut lists = types.all_lists();
        lists.retain(|list| match list {
            Text::Field { name, value } => {
                own_there.find(name).is_some() || !value.items().is_empty()
            }
            Text::Plain(_) | Text::Group { .. } => false,
        });
        Some(Text::group("", lists))
    };
    Some((
        supply::write_with(held, lists(&there)),
        supply::write_with(aim, lists(&own)),
    ))
}

/// Adds the types of a kind that are to stand in a text; given are those that stand there, those in use and the catalogue.
fn stay_or_come<T: Listed>(own: &mut Catalogue, [there, used, catalogue]: [&Catalogue; 3]) {
    let is_known = |kind: &T| catalogue.is_known(kind);
    let stay = T::list(there)
        .iter()
        .filter_map(|old| match used.find::<T>(old.name()) {
            Some(new) if new != old => Some(new).filter(|new| !is_known(new)),
            _ => Some(old),
        });
    let come = T::list(used)
        .iter()
        .filter(|new| there.find::<T>(new.name()).is_none() && !is_known(new));
    *T::list_mut(own) = stay.chain(come).cloned().collect();
}

/// Where the comments of a text stand (bytes).
pub(super) fn comments(text: &str) -> Vec<Range<usize>> {
    let mut scan = Scan::of(text);
    let mut found = Vec::new();
    loop {
        let start = scan.at;
        if scan.rest().starts_with("//") || scan.rest().starts_with("/*") {
            scan.skip_comment();
            if scan.at == start {
                return found;
            }
            let comment = scan.since(start).trim_end();
            found.push(start..start + comment.len());
        } else if scan.is_quote() {
            // A quote that nothing closes: the rest is no text to speak of.
            if scan.quoted().is_err() && scan.at == start {
                return found;
            }
        } else if scan.word().is_empty() && scan.next().is_none() {
            return found;
        }
    }
}

/// The field or element that a value belongs to.
#[derive(Debug, Clone, Copy)]
struct Owner {
    /// Where it begins (bytes), with its name.
    start: usize,
    /// How many groups it is in.
    depth: usize,
}

/// What is to be done to a text.
struct Update<'t> {
    text: &'t str,
    step: String,
    left_out: LeftOut,
    edits: Vec<(Range<usize>, String)>,
}

impl<'t> Update<'t> {
    fn put(&mut self, range: Range<usize>, new: String) {
        self.edits.push((range, new));
    }

    /// A value that stood there as `was` and is to be `now`.
    fn value(&mut self, old: &Value<'t>, (was, now): (&Text, &Text), owner: Owner) {
        if was == now {
            return;
        }
        let Kind::Group(group) = &old.kind else {
            // A value alone, where this program would say more about it: what is said goes on being meant.
            let alone = match (words(was), words(now)) {
                ([_, was @ ..], [first, now @ ..]) if was == now => first,
                _ => now,
            };
            return self.replace(old, alone, owner);
        };
        if let ("Some", [only]) = (group.name, group.items.as_slice())
            && !is_named(was, "Some")
        {
            return self.value(&only.value, (was, now), owner);
        }
        let is_done = match (was, now) {
            (
                Text::Group {
                    name: was_name,
                    open: was_open,
                    items: was_items,
                    ..
                },
                Text::Group {
                    name: now_name,
                    open: now_open,
                    items: now_items,
                    ..
                },
            ) if was_name == now_name && [was_open, now_open] == [&group.open; 2] => {
                let both = (was_items.as_slice(), now_items.as_slice());
                if group.items.is_empty() && comments(old.text).is_empty() {
                    false
                } else if group.open == '[' {
                    self.list(group, both, owner)
                } else if was_items
                    .iter()
                    .chain(now_items)
                    .all(|item| item.field_name().is_some())
                {
                    self.fields(group, both, owner)
                } else {
                    self.words(group, both, owner)
                }
            }
            // A value alone, where the text says more about it: ("450 V", DesignMaximum).
            _ if group.open == '(' && group.name.is_empty() => {
                self.words(group, (words(was), words(now)), owner)
            }
            _ => false,
        };
        if !is_done {
            self.replace(old, now, owner);
        }
    }

    /// Values without names, one behind the other.
    fn words(&mut self, group: &Group<'t>, (was, now): (&[Text], &[Text]), owner: Owner) -> bool {
        let items = group.items.as_slice();
        if items.iter().any(|item| item.name.is_some()) {
            return false;
        }
        if let ([first, ..], [was, was_rest @ ..], [now, now_rest @ ..]) = (items, was, now)
            && was_rest == now_rest
        {
            self.value(&first.value, (was, now), owner);
            return true;
        }
        if items.len() != was.len() || items.len() != now.len() {
            return false;
        }
        for (item, both) in items.iter().zip(was.iter().zip(now)) {
            self.value(&item.value, both, owner);
        }
        true
    }

    /// The fields of a group.
    fn fields(&mut self, group: &Group<'t>, (was, now): (&[Text], &[Text]), owner: Owner) -> bool {
        let find = |name: &str| {
            let named = |item: &Item<'_>| item.name.as_deref() == Some(name);
            group.items.iter().position(named)
        };
        let is_known = |item: &Item<'_>| {
            let name = item.name.as_deref().unwrap_or_default();
            let is_there = |of: &[Text]| Text::find(of, name).is_some();
            // What says that there is nothing is not written.
            let is_nothing = item.value.text == "None" || is_empty(&item.value);
            is_there(was) || is_there(now) || is_nothing || name == "source"
        };
        if !group.items.iter().all(is_known) {
            // Another way to say the same, such as the supply volts of a self-biased point.
            return false;
        }
        let mut place = Place::of(self.text, group, owner);
        let mut neighbour = None;
        for field in now {
            let Text::Field { name, value } = field else {
                return false;
            };
            let before = Text::find(was, name);
            let Some((index, item)) = find(name).and_then(|i| Some((i, group.items.get(i)?)))
            else {
                let is_new = before.is_none() || self.left_out == LeftOut::IsWritten;
                if before != Some(value) && is_new {
                    place.insert(neighbour, Element::New(field));
                }
                continue;
            };
            neighbour = Some(index);
            let owner = owner.inside(item);
            match before {
                Some(before) => self.value(&item.value, (before, value), owner),
                None => self.replace(&item.value, value, owner),
            }
        }
        for (index, item) in group.items.iter().enumerate() {
            let name = item.name.as_deref().unwrap_or_default();
            if Text::find(was, name).is_some() && Text::find(now, name).is_none() {
                place.remove(index);
            }
        }
        self.edits.extend(place.edits(&self.step));
        true
    }

    /// The elements of a list.
    fn list(&mut self, group: &Group<'t>, (was, now): (&[Text], &[Text]), owner: Owner) -> bool {
        if group.items.len() != was.len() {
            return false;
        }
        let mut place = Place::of(self.text, group, owner);
        let mut neighbour = None;
        let mut stays = vec![false; was.len()];
        for element in matched(was, now) {
            match element {
                Element::Kept(index, value) => {
                    neighbour = Some(index);
                    if let Some(stays) = stays.get_mut(index) {
                        *stays = true;
                    }
                    if let (Some(item), Some(was)) = (group.items.get(index), was.get(index)) {
                        self.value(&item.value, (was, value), owner.inside(item));
                    }
                }
                new => place.insert(neighbour, new),
            }
        }
        for (index, _) in stays.iter().enumerate().filter(|(_, stays)| !**stays) {
            place.remove(index);
        }
        self.edits.extend(place.edits(&self.step));
        true
    }

    /// A value written anew. Comments in it stay, before it.
    fn replace(&mut self, old: &Value<'t>, now: &Text, owner: Owner) {
        let range = old.start..old.start + old.text.len();
        let margin = indentation(self.text, owner.start);
        let kept: Vec<&str> = (comments(old.text).into_iter())
            .filter_map(|comment| old.text.get(comment))
            .collect();
        let end = newline(self.text);
        let Some((line, margin)) = margin else {
            // Somewhere in a line: there it stays.
            let mut line = String::new();
            for comment in kept {
                line.push_str(comment);
                line.push_str(if comment.starts_with("//") { end } else { " " });
            }
            return self.put(range, line + &now.line());
        };
        if !kept.is_empty() {
            let above: Vec<String> = (kept.iter())
                .map(|comment| format!("{margin}{comment}{end}"))
                .collect();
            self.put(line..line, above.concat());
        }
        // What stands before it in the line counts for what fits.
        let before = self.text.get(line..old.start).unwrap_or_default();
        let mut out = before.to_owned();
        let lines = Lines {
            margin: (owner.depth, margin),
            step: &self.step,
            end,
        };
        now.render(lines, owner.depth, &mut out);
        self.put(
            range,
            out.get(before.len()..).unwrap_or_default().to_owned(),
        );
    }
}

impl Owner {
    /// The owner of what stands in an item of a group.
    fn inside(self, item: &Item<'_>) -> Self {
        Self {
            start: item.start,
            depth: self.depth + 1,
        }
    }
}

fn is_empty(value: &Value<'_>) -> bool {
    matches!(&value.kind, Kind::Group(group) if group.items.is_empty())
}

fn is_named(text: &Text, wanted: &str) -> bool {
    matches!(text, Text::Group { name, .. } if name == wanted)
}

/// The values in a group without names, or the value that stands alone.
fn words(text: &Text) -> &[Text] {
    match text {
        Text::Group {
            name,
            open: '(',
            items,
            ..
        } if name.is_empty() => items,
        _ => std::slice::from_ref(text),
    }
}

/// The text with all that done to it; none where two things would be done to one place.
fn applied(text: &str, mut edits: Vec<(Range<usize>, String)>) -> Option<String> {
    // Stable: what is put into one place stays in its order.
    edits.sort_by_key(|(range, _)| (range.start, range.end));
    let mut out = String::with_capacity(text.len());
    let mut at = 0;
    for (range, new) in edits {
        if range.start < at {
            // What goes may go twice.
            if !new.is_empty() {
                return None;
            }
        } else {
            out.push_str(text.get(at..range.start)?);
        }
        out.push_str(&new);
        at = at.max(range.end);
    }
    out.push_str(text.get(at..)?);
    Some(out)
}
