//! All networks of few resistors, each once.
//!
//! A network is a single resistor, or several blocks in series or in parallel; a block of one in series is a single resistor or in
//! parallel, and the other way round. Its blocks stand in the order in which they were listed, so that each network is listed once:
//! the first block, and with it the network of all others.

use crate::bench::derating::Body;
use crate::bench::networks::{MOST_LISTED, MOST_RESISTORS, Margin};
use crate::parts::{Drawer, MadeOf};

/// Resistors that are alike in what counts here.
#[derive(Debug, Clone)]
pub(super) struct Alike {
    pub(super) ohms: f64,
    /// The highest volts across one (V), its margin kept.
    pub(super) volts: f64,
    tolerance: f64,
    /// How many there are, as far as they can be used.
    pub(super) count: u8,
    /// The entries of the drawer, each with how many it has.
    entries: Vec<(usize, u8)>,
}

/// What there is.
pub(super) struct Stock {
    pub(super) alike: Vec<Alike>,
}

/// No resistor.
const NONE: u8 = u8::MAX;

/// Which resistors a network uses, by their place in the stock, in order; the rest is [`NONE`].
pub(super) type Used = [u8; MOST_RESISTORS];

/// How what is below it is wired.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Wiring {
    One,
    Series,
    Parallel,
}

/// A network in the list.
#[derive(Debug, Clone, Copy)]
pub(super) struct Net {
    pub(super) ohms: f64,
    /// The highest volts across it at which every resistor keeps its margin (V).
    pub(super) volts: f64,
    pub(super) wiring: Wiring,
    pub(super) used: Used,
    /// Its first block, by its place in the list; the network itself if it is one resistor.
    first: u32,
    /// All others of its blocks, as a network in the list.
    rest: u32,
}

/// How a network is wired, of resistors by their place in the stock.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Plan {
    One(u8),
    Series(Vec<Self>),
    Parallel(Vec<Self>),
}

impl Stock {
    /// Those of a drawer. What is alike in ohms, tolerance and what it bears is one.
    pub(super) fn of(drawer: &Drawer, margin: Margin) -> Self {
        let mut alike: Vec<Alike> = Vec::new();
        for (entry, owned) in drawer.resistors.iter().enumerate() {
            let body = Body::from(&owned.resistor);
            let by_watts = (body.for_long()).map_or(f64::INFINITY, |long| {
                (margin.watts * long.watts * body.ohms).sqrt()
            });
            let by_size = body
                .size_volts()
                .map_or(f64::INFINITY, |volts| margin.volts * volts);
            let volts = by_watts.min(by_size);
            let tolerance = owned.resistor.tolerance.0;
            let same = |one: &&mut Alike| {
                [one.ohms, one.volts, one.tolerance].map(f64::to_bits)
                    == [body.ohms, volts, tolerance].map(f64::to_bits)
            };
            let there_is_room = alike.len() < usize::from(NONE);
            match alike.iter_mut().find(same) {
                Some(one) => {
                    one.count = one.count.saturating_add(owned.count);
                    one.entries.push((entry, owned.count));
                }
                None if there_is_room => alike.push(Alike {
                    ohms: body.ohms,
                    volts,
                    tolerance,
                    count: owned.count,
                    entries: vec![(entry, owned.count)],
                }),
                // More different ones than a drawer may have.
                None => {}
            }
        }
        Self { alike }
    }

    /// The resistors of both networks, if there are so many.
    pub(super) fn together(&self, a: Used, b: Used) -> Option<Used> {
        let mut all = [NONE; MOST_RESISTORS];
        let (mut left, mut right) = (a.iter().peekable(), b.iter().peekable());
        let mut run = 0;
        let mut before = NONE;
        for place in &mut all {
            let next = match (left.peek(), right.peek()) {
                (Some(l), Some(r)) if l <= r => left.next(),
                (_, Some(_)) => right.next(),
                (_, None) => left.next(),
            };
            let next = *next?;
            if next == NONE {
                break;
            }
            run = if next == before { run + 1 } else { 1 };
            before = next;
            if self.alike.get(usize::from(next))?.count < run {
                return None;
            }
            *place = next;
        }
        let many = |used: &Used| used.iter().filter(|one| **one != NONE).count();
        (many(&all) == many(&a) + many(&b)).then_some(all)
    }

    /// A plan with the resistors of the drawer in it: of those that are alike the first entry goes first.
    pub(super) fn made_of(&self, drawer: &Drawer, plan: &Plan) -> MadeOf {
        let mut taken = vec![0_u8; self.alike.len()];
        self.filled(drawer, plan, &mut taken)
    }

    fn filled(&self, drawer: &Drawer, plan: &Plan, taken: &mut [u8]) -> MadeOf {
        let mut all = |parts: &[Plan]| {
            let filled = parts.iter().map(|part| self.filled(drawer, part, taken));
            filled.collect::<Vec<_>>()
        };
        match plan {
            Plan::Series(parts) => MadeOf::Series(all(parts)),
            Plan::Parallel(parts) => MadeOf::Parallel(all(parts)),
            Plan::One(place) => {
                let place = usize::from(*place);
                let mut before = taken.get(place).copied().unwrap_or_default();
                if let Some(taken) = taken.get_mut(place) {
                    *taken += 1;
                }
                let entries = self.alike.get(place).map_or(&[][..], |one| &one.entries);
                let entry = entries.iter().find(|(_, count)| {
                    let is_it = before < *count;
                    before = before.saturating_sub(*count);
                    is_it
                });
                let owned = entry.and_then(|(entry, _)| drawer.resistors.get(*entry));
                // A place of the stock always has its entry.
                owned.map_or(MadeOf::Series(Vec::new()), |owned| {
                    MadeOf::One(owned.resistor.clone())
                })
            }
        }
    }
}

/// How much of a size is listed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Extent {
    /// All networks.
    All,
    /// Those of equal resistors.
    OfEqual,
}

/// Networks by their size.
pub(super) struct Lists {
    nets: Vec<Net>,
    /// Where the networks of each size begin, from 1 resistor on, and where the last end.
    begins: Vec<usize>,
    extents: Vec<Extent>,
    /// Of each size the places of its networks by rising ohms.
    by_ohms: Vec<Vec<u32>>,
}

impl Lists {
    /// Those of a stock.
    pub(super) fn of(stock: &Stock) -> Self {
        Self::up_to(stock, MOST_LISTED)
    }

    /// The same with at most so many of a size.
    pub(super) fn up_to(stock: &Stock, most: usize) -> Self {
        let mut lists = Self {
            nets: Vec::new(),
            begins: vec![0],
            extents: Vec::new(),
            by_ohms: Vec::new(),
        };
        for (place, one) in (0_u8..).zip(&stock.alike) {
            let mut used = [NONE; MOST_RESISTORS];
            used[0] = place;
            lists.nets.push(Net {
                ohms: one.ohms,
                volts: one.volts,
                wiring: Wiring::One,
                used,
                first: u32::from(place),
                rest: u32::from(place),
            });
        }
        lists.close(Extent::All);
        for size in 2..=MOST_RESISTORS {
            let smaller_are_whole = lists.extents.iter().all(|extent| *extent == Extent::All);
            let whole = smaller_are_whole && lists.grow(stock, size, (Extent::All, most));
            if !whole {
                let begin = lists.begins.last().copied().unwrap_or_default();
                lists.nets.truncate(begin);
                // Some dozens of each kind of resistor: there are never too many.
                lists.grow(stock, size, (Extent::OfEqual, usize::MAX));
            }
            lists.close(if whole { Extent::All } else { Extent::OfEqual });
        }
        lists
    }

    /// Ends the list of a size.
    fn close(&mut self, extent: Extent) {
        let begin = self.begins.last().copied().unwrap_or_default();
        let end = self.nets.len();
        let mut places: Vec<u32> = (begin..end)
            .filter_map(|place| u32::try_from(place).ok())
            .collect();
        let nets = &self.nets;
        let ohms = |place: &u32| nets.get(*place as usize).map_or(0.0, |net| net.ohms);
        places.sort_by(|a, b| ohms(a).total_cmp(&ohms(b)).then(a.cmp(b)));
        self.by_ohms.push(places);
        self.begins.push(end);
        self.extents.push(extent);
    }

    /// Lists the networks of a size; false if there are too many.
    fn grow(&mut self, stock: &Stock, size: usize, (extent, most): (Extent, usize)) -> bool {
        let begin = self.nets.len();
        let of_size = |lists: &Self, size: usize| -> Vec<usize> {
            let is_of_equal = |place: &usize| {
                let net = lists.nets.get(*place);
                extent == Extent::All || net.is_some_and(|net| of_equal(net.used))
            };
            lists.range(size).filter(is_of_equal).collect()
        };
        for first_size in 1..size {
            let (firsts, rests) = (of_size(self, first_size), of_size(self, size - first_size));
            for first in firsts {
                for rest in &rests {
                    for wiring in [Wiring::Series, Wiring::Parallel] {
                        let net = self.joined(stock, (first, *rest), wiring);
                        let net = net.filter(|net| extent == Extent::All || of_equal(net.used));
                        self.nets.extend(net);
                    }
                }
                if self.nets.len() - begin > most {
                    return false;
                }
            }
        }
        true
    }

    /// Where the networks of a size stand.
    fn range(&self, size: usize) -> std::ops::Range<usize> {
        let at = |place: usize| self.begins.get(place).copied().unwrap_or_default();
        at(size - 1)..at(size)
    }

    /// A first block with all others, where that is a network that is not listed otherwise and there are so many resistors.
    fn joined(&self, stock: &Stock, (first, rest): (usize, usize), wiring: Wiring) -> Option<Net> {
        let (a, b) = (self.nets.get(first)?, self.nets.get(rest)?);
        // A block in series of a network in series is no block of its own.
        let next = if b.wiring == wiring {
            b.first as usize
        } else {
            rest
        };
        if a.wiring == wiring || first > next {
            return None;
        }
        let used = stock.together(a.used, b.used)?;
        let joint = joint(a, b, wiring);
        Some(Net {
            ohms: joint[0],
            volts: joint[1],
            wiring,
            used,
            first: u32::try_from(first).ok()?,
            rest: u32::try_from(rest).ok()?,
        })
    }

    /// The networks of a size by rising ohms, and whether they are all.
    pub(super) fn of_size(&self, size: usize) -> (&[u32], Extent) {
        let place = size.saturating_sub(1);
        (
            self.by_ohms.get(place).map_or(&[], Vec::as_slice),
            self.extents.get(place).copied().unwrap_or(Extent::OfEqual),
        )
    }

    /// A network of the list.
    pub(super) fn net(&self, place: u32) -> Option<&Net> {
        self.nets.get(place as usize)
    }

    /// How a network of the list is wired.
    pub(super) fn plan(&self, place: u32) -> Option<Plan> {
        let net = self.net(place)?;
        if net.wiring == Wiring::One {
            return Some(Plan::One(net.used[0]));
        }
        Some(wired(
            net.wiring,
            self.plan(net.first)?,
            self.plan(net.rest)?,
        ))
    }
}

/// Ohms, and the highest volts at which both keep their margins.
pub(super) fn joint(a: &Net, b: &Net, wiring: Wiring) -> [f64; 2] {
    if wiring == Wiring::Series {
        let ohms = a.ohms + b.ohms;
        [ohms, ohms * (a.volts / a.ohms).min(b.volts / b.ohms)]
    } else {
        [1.0 / (1.0 / a.ohms + 1.0 / b.ohms), a.volts.min(b.volts)]
    }
}

/// Two plans wired together, blocks of the same wiring taken in, all in one order.
pub(super) fn wired(wiring: Wiring, a: Plan, b: Plan) -> Plan {
    let blocks = |plan: Plan| match (wiring, plan) {
        (Wiring::Series, Plan::Series(parts)) | (Wiring::Parallel, Plan::Parallel(parts)) => parts,
        (_, other) => vec![other],
    };
    let mut all = blocks(a);
    all.extend(blocks(b));
    all.sort();
    match wiring {
        Wiring::Parallel => Plan::Parallel(all),
        Wiring::Series | Wiring::One => Plan::Series(all),
    }
}

fn of_equal(used: Used) -> bool {
    used.iter().all(|one| *one == NONE || *one == used[0])
}
