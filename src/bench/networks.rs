//! What of the drawer makes a load: resistors in series and parallel, each inside its own watts and volts.
//!
//! All networks of few resistors are listed (`listed`); larger ones are put together of two listed ones that meet at the ohms that
//! are wanted (`search`). Where a drawer has so few different resistors that all networks of up to six can be listed, nothing is
//! left out. Else lists end at [`MOST_LISTED`] of a size, and of blocks beyond that only those of equal resistors are tried.

mod listed;
mod search;

use crate::bench::derating::{Body, bodies_of, most_by_volts, most_by_watts};
use crate::parts::{Drawer, MadeOf, Resistor};

/// Resistors that are wired together at most.
pub const MOST_RESISTORS: usize = 6;
/// Networks that are answered at most.
pub const MOST_ANSWERS: usize = 12;
/// How far the resistance may be off (ratio).
pub const FARTHEST: f64 = 0.1;
/// Networks of one size that are listed at most.
pub const MOST_LISTED: usize = 120_000;

/// How much of what it bears an element of a network may use (common practice, no source).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Margin {
    /// Share of the watts that it bears for long.
    pub watts: f64,
    /// Share of the volts that its size bears.
    pub volts: f64,
}

/// What is left free where nobody says otherwise.
pub const USUAL_MARGIN: Margin = Margin {
    watts: 0.8,
    volts: 0.9,
};

/// What is wanted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wanted {
    /// Its resistance (Ω), above zero.
    pub ohms: f64,
    /// The volts across it (V); `None` leaves out what it then takes.
    pub volts: Option<f64>,
}

impl Wanted {
    /// A load for a point (A, V); `None` where no load leads there.
    pub fn at([amps, volts]: [f64; 2]) -> Option<Self> {
        let ohms = volts / amps;
        let is_one = amps > 0.0 && volts > 0.0 && ohms.is_finite();
        is_one.then_some(Self {
            ohms,
            volts: Some(volts),
        })
    }
}

/// An element of a network at the volts that are wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct Element {
    /// Which resistor.
    pub resistor: Resistor,
    /// Volts across it (V), where the volts across the whole are known.
    pub volts: Option<f64>,
    /// Watts in it (W), likewise.
    pub watts: Option<f64>,
    /// What it bears for long where it is mounted (W).
    pub bears_watts: f64,
}

/// A network of resistors.
#[derive(Debug, Clone, PartialEq)]
pub struct Network {
    /// How it is wired.
    pub made_of: MadeOf,
    /// Its resistance (Ω).
    pub ohms: f64,
    /// How far that is off what is wanted (ratio less one).
    pub off: f64,
    /// Its lowest and highest resistance (Ω), every resistor at the same end of its tolerance.
    pub between_ohms: [f64; 2],
    /// Its resistors, in the order in which they stand in it.
    pub elements: Vec<Element>,
    /// The highest volts across it for long (V), with no margin; `None` where nothing is known that ends it.
    pub most_volts: Option<f64>,
}

impl Network {
    /// A network at these volts.
    pub fn of(made_of: MadeOf, wanted: Wanted) -> Self {
        let ohms = made_of.ohms();
        let elements = made_of.shares().into_iter().map(|(resistor, share)| {
            let volts = wanted.volts.map(|volts| volts * share);
            Element {
                volts,
                watts: volts.map(|volts| volts * volts / resistor.resistance.0),
                bears_watts: Body::from(resistor)
                    .for_long()
                    .map_or(resistor.power.0, |long| long.watts),
                resistor: resistor.clone(),
            }
        });
        let bodies = bodies_of(&made_of);
        Self {
            ohms,
            off: ohms / wanted.ohms - 1.0,
            between_ohms: between_ohms(&made_of),
            elements: elements.collect(),
            most_volts: [most_by_watts(&bodies), most_by_volts(&bodies)]
                .into_iter()
                .flatten()
                .reduce(f64::min),
            made_of,
        }
    }

    /// The largest share of its own watts that one of its resistors takes; `None` where the volts are not known.
    pub fn largest_share(&self) -> Option<f64> {
        let shares = self.elements.iter();
        shares
            .map(|element| Some(element.watts? / element.bears_watts))
            .collect::<Option<Vec<f64>>>()?
            .into_iter()
            .reduce(f64::max)
    }

    /// The watts that it bears as a whole for long (W).
    pub fn most_watts(&self) -> Option<f64> {
        let volts = self.most_volts?;
        Some(volts * volts / self.ohms)
    }
}

/// Lowest and highest resistance (Ω): more of any resistor is more of the whole, so that the ends are those of all at once.
pub fn between_ohms(made_of: &MadeOf) -> [f64; 2] {
    let at = |sign: f64| shifted(made_of, sign).ohms();
    [at(-1.0), at(1.0)]
}

/// All resistors at one end of their tolerance.
fn shifted(made_of: &MadeOf, sign: f64) -> MadeOf {
    let all = |parts: &[MadeOf]| parts.iter().map(|part| shifted(part, sign)).collect();
    match made_of {
        MadeOf::One(resistor) => {
            let mut at_end = resistor.clone();
            at_end.resistance.0 *= 1.0 + sign * resistor.tolerance.0;
            MadeOf::One(at_end)
        }
        MadeOf::Series(parts) => MadeOf::Series(all(parts)),
        MadeOf::Parallel(parts) => MadeOf::Parallel(all(parts)),
    }
}

/// What was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// The networks, the best first: by how far they are off (steps of 1, 2, 5 and 10 %, for finer ones are lost in the tolerances),
    /// then by how few resistors they take, then by how little of its watts the hottest takes.
    pub networks: Vec<Network>,
    /// Where there is none: the best of those whose resistors would not bear it.
    pub would_be: Option<Network>,
}

/// The best networks of what is in the drawer.
pub fn networks(drawer: &Drawer, wanted: Wanted, margin: Margin) -> Found {
    let is_sound = wanted.ohms.is_finite()
        && wanted.ohms > 0.0
        && wanted
            .volts
            .is_none_or(|volts| volts.is_finite() && volts > 0.0);
    if !is_sound {
        return Found {
            networks: Vec::new(),
            would_be: None,
        };
    }
    let stock = listed::Stock::of(drawer, margin);
    let lists = listed::Lists::of(&stock);
    let found = |asked: Wanted, most: usize| {
        let best = search::best(&stock, &lists, asked, most);
        let made = best
            .iter()
            .map(|plan| Network::of(stock.made_of(drawer, plan), wanted));
        made.collect::<Vec<Network>>()
    };
    let networks = found(wanted, MOST_ANSWERS);
    let would_be = if networks.is_empty() {
        let whatever_it_takes = Wanted {
            volts: None,
            ..wanted
        };
        found(whatever_it_takes, 1).pop()
    } else {
        None
    };
    Found { networks, would_be }
}

#[cfg(test)]
mod tests;
