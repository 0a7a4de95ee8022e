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
    let line = envelope
        .limits
        .iter()
        .find(|line| line.limit == Limit::Dropout)?;
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
    let floor =
        |limit: &Limit| matches!(limit, Limit::PlateDissipation | Limit::EnvelopeDissipation);
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

/// A way through the lists of networks, one of each.
struct Way<'a> {
    /// Ten for each resistor that changes hands, one for each place down a list.
    cost: usize,
    choices: Vec<Option<usize>>,
    last: Option<&'a MadeOf>,
}

/// Of each list of networks the one with which, all in all, the fewest resistors change hands; of equal choices that of the better
/// networks. The best way to each network of one list follows from those to the networks of the list before.
fn fewest_changes(asked: &[(Purpose, [f64; 2], Found)]) -> Vec<Option<usize>> {
    let mut ways = vec![Way {
        cost: 0,
        choices: Vec::new(),
        last: None,
    }];
    for (.., found) in asked {
        if found.networks.is_empty() {
            for way in &mut ways {
                way.choices.push(None);
            }
            continue;
        }
        let on_to = |(place, network): (usize, &'_ Network)| {
            let cost = |way: &Way<'_>| way.cost + 10 * changes(way.last, &network.made_of) + place;
            let best = ways.iter().min_by_key(|way| cost(way))?;
            let mut choices = best.choices.clone();
            choices.push(Some(place));
            Some((cost(best), choices))
        };
        let all = found.networks.iter().enumerate();
        let next = all.filter_map(|(place, network)| {
            let (cost, choices) = on_to((place, network))?;
            Some(Way {
                cost,
                choices,
                last: Some(&network.made_of),
            })
        });
        ways = next.collect();
    }
    let best = ways.into_iter().min_by_key(|way| way.cost);
    best.map_or_else(Vec::new, |way| way.choices)
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::networks::USUAL_MARGIN;
    use crate::parts::drawer::read_lines;
    use crate::physics::envelope::LimitCurve;
    use crate::physics::operation::Case;

    fn line(limit: Limit, curve: Curve) -> LimitCurve {
        LimitCurve {
            limit,
            system: None,
            case: Case::Present,
            at_low_present_high: [curve.clone(), curve.clone(), curve.clone()],
            published: None,
            curve,
        }
    }

    /// 300 V up to 50 mA, then falling by 2 V per mA to 200 V at 100 mA; from 60 mA on held up by plate dissipation, to 80 V.
    fn envelope() -> Envelope {
        let falling = |amps: f64| 400.0 - 2e3 * amps;
        let floor = |amps: f64| 2e3 * (amps - 0.06).max(0.0);
        let amps: Vec<f64> = (0..=20).map(|step| 0.005 * f64::from(step)).collect();
        let region = amps
            .iter()
            .map(|amps| [*amps, floor(*amps), falling(*amps).min(300.0)]);
        let along = |of: fn(f64) -> f64| amps.iter().map(|amps| [*amps, of(*amps)]).collect();
        Envelope {
            region: region.collect(),
            limits: vec![
                line(Limit::Dropout, Curve::Ceiling(along(falling))),
                line(Limit::PlateDissipation, Curve::Floor(along(floor))),
            ],
            reach: Vec::new(),
            columns: Vec::new(),
            lost_regulation: Vec::new(),
            broken_everywhere: Vec::new(),
            kept: None,
            amps,
        }
    }

    #[test]
    fn each_purpose_has_its_place() {
        let envelope = envelope();
        let at = |purpose| place(&envelope, purpose).unwrap_or_default();
        for (purpose, wanted) in [
            (Purpose::LightLoad, [0.01, 300.0]),
            (Purpose::MidRange, [0.05, 150.0]),
            (Purpose::Dropout, [0.075, 250.0]),
            (Purpose::Dissipation, [0.1, 80.0]),
        ] {
            let found = at(purpose);
            assert!((found[0] - wanted[0]).abs() < 1e-9, "{purpose:?} {found:?}");
            assert!((found[1] - wanted[1]).abs() < 1e-6, "{purpose:?} {found:?}");
        }
        let nowhere = Envelope {
            region: Vec::new(),
            ..envelope.clone()
        };
        assert_eq!(place(&nowhere, Purpose::MidRange), None);
    }

    /// Of all choices of networks none changes fewer resistors, each choice tried.
    #[test]
    fn no_other_choice_is_rewired_less() {
        let mut drawer = Drawer::default();
        for (_, owned) in
            read_lines("3 x 1k 100W ww\n2 x 3k3 50W ww\n2 x 15k 25W ww\n1 x 6k8 50W ww").read
        {
            drawer.put(owned);
        }
        let envelope = envelope();
        let shows = showing(&envelope, &drawer, USUAL_MARGIN);
        assert_eq!(shows.len(), 4);
        assert!(shows.iter().all(|one| one.network.is_some()), "{shows:#?}");
        let cost = |chosen: &[&Network], places: &[usize]| -> usize {
            let mut before = None;
            let mut cost: usize = places.iter().sum();
            for network in chosen {
                cost += 10 * changes(before, &network.made_of);
                before = Some(&network.made_of);
            }
            cost
        };
        let lists: Vec<Vec<Network>> = (shows.iter())
            .filter_map(|one| Some(networks(&drawer, Wanted::at(one.at)?, USUAL_MARGIN).networks))
            .collect();
        let mut least = usize::MAX;
        let [a, b, c, d] = lists.as_slice() else {
            panic!("four lists");
        };
        for (i, a) in a.iter().enumerate() {
            for (j, b) in b.iter().enumerate() {
                for (k, c) in c.iter().enumerate() {
                    for (l, d) in d.iter().enumerate() {
                        least = least.min(cost(&[a, b, c, d], &[i, j, k, l]));
                    }
                }
            }
        }
        let chosen: Vec<&Network> = shows
            .iter()
            .filter_map(|one| one.network.as_ref())
            .collect();
        let places: Vec<usize> = chosen
            .iter()
            .zip(&lists)
            .filter_map(|(network, list)| list.iter().position(|one| one == *network))
            .collect();
        assert_eq!(cost(&chosen, &places), least);
        let said: Vec<usize> = shows.iter().map(|one| one.changes).collect();
        let sum: usize = said.iter().sum();
        assert_eq!(10 * sum + places.iter().sum::<usize>(), least);
    }

    #[test]
    fn changes_are_counted_by_resistor() {
        let mut drawer = Drawer::default();
        for (_, owned) in read_lines("3 x 1k 100W ww\n2 x 3k3 50W ww").read {
            drawer.put(owned);
        }
        let one = |place: usize| MadeOf::One(drawer.resistors[place].resistor.clone());
        let two = MadeOf::Series(vec![one(0), one(0)]);
        let other = MadeOf::Parallel(vec![one(0), one(1)]);
        assert_eq!(changes(None, &two), 2);
        assert_eq!(changes(Some(&two), &two), 0);
        assert_eq!(
            changes(Some(&two), &MadeOf::Parallel(vec![one(0), one(0)])),
            1
        );
        assert_eq!(changes(Some(&two), &other), 2);
    }
}
