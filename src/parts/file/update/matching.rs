//! Which element of a list becomes which.

use crate::parts::file::layout::Text;

/// Longer lists are not searched for the best match (pairs of elements).
const MOST_PAIRS: usize = 250_000;

/// An element of the new list.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Element<'a> {
    /// The old one in this place, which becomes this.
    Kept(usize, &'a Text),
    /// The old one in this place, unchanged but elsewhere.
    Moved(usize),
    /// One that was not there.
    New(&'a Text),
}

/// The elements of the new list, in its order. Those that are kept stand in the order of the old list.
pub(super) fn matched<'a>(was: &[Text], now: &'a [Text]) -> Vec<Element<'a>> {
    let begins = was.iter().zip(now).take_while(|(a, b)| a == b).count();
    let rest = was.len().min(now.len()) - begins;
    let same_end = was.iter().rev().zip(now.iter().rev()).take(rest);
    let ends = same_end.take_while(|(a, b)| a == b).count();
    let (old_end, new_end) = (was.len() - ends, now.len() - ends);
    let olds = was.get(begins..old_end).unwrap_or_default();
    let news = now.get(begins..new_end).unwrap_or_default();
    let pairs = best(olds, news);
    let mut elements: Vec<Element<'a>> = (now.iter().take(begins).enumerate())
        .map(|(index, text)| Element::Kept(index, text))
        .collect();
    let mut is_free = vec![true; olds.len()];
    for old in pairs.iter().flatten() {
        if let Some(free) = is_free.get_mut(*old) {
            *free = false;
        }
    }
    for (new, pair) in news.iter().zip(pairs) {
        let moved = || {
            (0..olds.len()).find(|i| is_free.get(*i) == Some(&true) && olds.get(*i) == Some(new))
        };
        elements.push(match pair {
            Some(old) => Element::Kept(begins + old, new),
            None => match moved() {
                Some(old) => {
                    if let Some(free) = is_free.get_mut(old) {
                        *free = false;
                    }
                    Element::Moved(begins + old)
                }
                None => Element::New(new),
            },
        });
    }
    let end = now.iter().skip(new_end).enumerate();
    elements.extend(end.map(|(index, text)| Element::Kept(old_end + index, text)));
    elements
}

/// For each new element the old one that it is made of: those that are alike before those that have much in common.
fn best(olds: &[Text], news: &[Text]) -> Vec<Option<usize>> {
    let width = news.len() + 1;
    if olds.len().saturating_mul(news.len()) > MOST_PAIRS {
        return (0..news.len())
            .map(|i| (i < olds.len()).then_some(i))
            .collect();
    }
    // What the best match of the first so many is worth: the usual alignment of two sequences (Needleman and Wunsch, J. Mol. Biol.
    // 48, 1970).
    let mut worth = vec![0_usize; (olds.len() + 1) * width];
    let at = |i: usize, j: usize| i * width + j;
    let value = |of: &[usize], place: usize| of.get(place).copied().unwrap_or_default();
    for (i, old) in olds.iter().enumerate() {
        for (j, new) in news.iter().enumerate() {
            let pair = value(&worth, at(i, j)) + likeness(old, new);
            let most = pair
                .max(value(&worth, at(i, j + 1)))
                .max(value(&worth, at(i + 1, j)));
            if let Some(worth) = worth.get_mut(at(i + 1, j + 1)) {
                *worth = most;
            }
        }
    }
    let mut pairs = vec![None; news.len()];
    let (mut i, mut j) = (olds.len(), news.len());
    while i > 0 && j > 0 {
        let here = value(&worth, at(i, j));
        if here == value(&worth, at(i - 1, j)) {
            i -= 1;
        } else if here == value(&worth, at(i, j - 1)) {
            j -= 1;
        } else {
            (i, j) = (i - 1, j - 1);
            if let Some(pair) = pairs.get_mut(j) {
                *pair = Some(i);
            }
        }
    }
    pairs
}

/// How much two elements have in common. Two of one name are one thing, whatever else changed about it.
fn likeness(old: &Text, new: &Text) -> usize {
    if old == new {
        return 10_000;
    }
    let (olds, news) = (old.items(), new.items());
    if olds.is_empty() || news.is_empty() {
        return 1;
    }
    let same = olds.iter().filter(|item| news.contains(item)).count();
    let name = |of: &[Text]| {
        Text::find(of, "name")
            .map(Text::line)
            .filter(|n| n != "\"\"")
    };
    let is_namesake = name(olds).is_some() && name(olds) == name(news);
    1 + same + if is_namesake { 100 } else { 0 }
}
