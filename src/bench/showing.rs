//! Which few loads show an envelope best: one at its dropout line, one where the pass tubes get hottest, one in the middle, a light one;
//! of what is in the drawer, and so that as little as possible is wired anew from one to the next.

use crate::bench::networks::{Found, Margin, Network, Wanted, networks};
use crate::parts::{Drawer, MadeOf, Resistor};
use crate::physics::envelope::{Curve, Envelope};
use crate::physics::limit::Limit;

/// What a load is to show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// Little current at the highest volts.
    LightLoad,
    /// The middle of what is allowed.
    MidRange,
    /// Where the bus is no longer enough.
    Dropout,
    /// Much current at low volts, where the pass tubes get hottest.
    Dissipation,
}

impl Purpose {
    /// All of them, in the order in which they are tried: the light load first, the hardest last.
    pub const ALL: [Self; 4] = [
        Self::LightLoad,
        Self::MidRange,
        Self::Dropout,
        Self::Dissipation,
    ];
}

/// A load and what it shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Shows {
    /// What.
    pub purpose: Purpose,
    /// Where (A, V).
    pub at: [f64; 2],
    /// The load; `None` where the drawer has none for it.
    pub network: Option<Network>,
    /// Resistors that are put in or taken out, coming from the load before.
    pub changes: usize,
}

/// Share of the highest current at which a load is light (common practice, no source).
const LIGHT: f64 = 0.1;

/// The place that shows it (A, V); `None` where this envelope has none.
pub fn place(envelope: &Envelope, purpose: Purpose) -> Option<[f64; 2]> {
    let rows = if envelope.region.is_empty() {
        &envelope.reach
    } else {
        &envelope.region
    };
    let most = rows.last()?[0];
    let top = rows.iter().map(|row| row[2]).fold(0.0, f64::max);
    let nearest = |amps: f64| {
        let far = |row: &&[f64; 3]| (row[0] - amps).abs();
        rows.iter().min_by(|a, b| far(a).total_cmp(&far(b)))
    };
    let found = match purpose {
        Purpose::LightLoad => nearest(LIGHT * most).map(|row| [row[0], row[2]]),
        Purpose::MidRange => nearest(0.5 * most).map(|row| [row[0], 0.5 * (row[1] + row[2])]),
        Purpose::Dropout => dropout(envelope, rows),
        Purpose::Dissipation => hottest(envelope, rows).or_else(|| {
            // Where that rating is nowhere met: as much current as there is, at low volts.
            let row = rows.last()?;
            Some([row[0], row[1].max(0.2 * top)])
        }),
    };
    found.filter(|[amps, volts]| *amps > 0.0 && *volts > 0.0)
}

/// The middle of that part of the dropout line which bounds what is allowed.
fn dropout(envelope: &Envelope, rows: &[[f64; 3]]) -> Option<[f64; 2]> {
    let line = envelope.limits.iter().find(|line| line.limit == Limit::Dropout)?;
    let on_line = |row: &&[f64; 3]| {
        let volts = line.curve.volts_at(row[0]);
        volts.is_some_and(|volts| row[2] >= 0.99 * volts && row[0] > 0.0)
    };
    let along: Vec<&[f64; 3]> = rows.iter().filter(on_line).collect();
    let row = along.get(along.len() / 2)?;
    Some([row[0], row[2]])
}

/// The place on the lower edge of what is allowed at which plate dissipation holds it up, at the highest current.
fn hottest(envelope: &Envelope, rows: &[[f64; 3]]) -> Option<[f64; 2]> {
    let floor = |limit: &Limit| matches!(limit, Limit::PlateDissipation | Limit::EnvelopeDissipation);
    let lines = envelope.limits.iter().filter(|line| floor(&line.limit));
    let ends = lines.filter_map(|line| {
        let Curve::Floor(_) = &line.curve else {
            return None;
        };
        let held_up = |row: &&[f64; 3]| {
            let least = line.curve.volts_at(row[0]);
            least.is_some_and(|least| least > 0.0 && row[1] <= 1.01 * least && row[1] > 0.0)
        };
        rows.iter().rfind(held_up).map(|row| [row[0], row[1]])
    });
    ends.max_by(|a, b| a[0].total_cmp(&b[0]))
}

/// Loads for all purposes that this envelope has a place for.
pub fn showing(envelope: &Envelope, drawer: &Drawer, margin: Margin) -> Vec<Shows> {
    let wanted = Purpose::ALL.into_iter().filter_map(|purpose| {
        let at = place(envelope, purpose)?;
        Some((purpose, at, Wanted::at(at)?))
    });
    let asked: Vec<(Purpose, [f64; 2], Found)> = wanted
        .map(|(purpose, at, wanted)| (purpose, at, networks(drawer, wanted, margin)))
        .collect();
    let choice = fewest_changes(&asked);
    let mut before: Option<&MadeOf> = None;
    let mut shows = Vec::new();
    for ((purpose, at, found), chosen) in asked.iter().zip(choice) {
        let network = chosen.and_then(|chosen| found.networks.get(chosen));
        let changes = network.map_or(0, |network| changes(before, &network.made_of));
        if let Some(network) = network {
            before = Some(&network.made_of);
        }
        shows.push(Shows {
            purpose: *purpose,
            at: *at,
            network: network.cloned(),
            changes,
        });
    }
    shows
}

/// Of each list of networks the one with which, all in all, the fewest resistors change hands; of equal choices that of the better
/// networks. The best way to each network of one list follows from those to the networks of the list before.
fn fewest_changes(asked: &[(Purpose, [f64; 2], Found)]) -> Vec<Option<usize>> {
    // Of each network of the last list: what it costs to come there, and the choices on the way.
    let mut ways: Vec<(usize, Vec<Option<usize>>, Option<&MadeOf>)> = vec![(0, Vec::new(), None)];
    for (.., found) in asked {
        if found.networks.is_empty() {
            for (_, way, _) in &mut ways {
                way.push(None);
            }
            continue;
        }
        let next = found.networks.iter().enumerate().filter_map(|(place, network)| {
            // A tenth of a change for each place down the list.
            let cost = |(cost, _, before): &(usize, Vec<Option<usize>>, Option<&MadeOf>)| {
                cost + 10 * changes(*before, &network.made_of) + place
            };
            let best = ways.iter().min_by_key(|way| cost(way))?;
            let mut way = best.1.clone();
            way.push(Some(place));
            Some((cost(best), way, Some(&network.made_of)))
        });
        ways = next.collect();
    }
    let best = ways.into_iter().min_by_key(|(cost, ..)| *cost);
    best.map_or_else(Vec::new, |(_, way, _)| way)
}

/// Resistors put in or taken out between two loads; with another wiring of the same ones, one.
pub fn changes(before: Option<&MadeOf>, after: &MadeOf) -> usize {
    let Some(before) = before else {
        return after.resistors().len();
    };
    if before == after {
        return 0;
    }
    let mut left: Vec<&Resistor> = before.resistors();
    let mut put_in = 0;
    for resistor in after.resistors() {
        match left.iter().position(|other| *other == resistor) {
            Some(place) => {
                left.swap_remove(place);
            }
            None => put_in += 1,
        }
    }
    (put_in + left.len()).max(1)
}
