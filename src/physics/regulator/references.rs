//! The gas references at work in one case: their current, their volts, and whether they strike.

use crate::parts::{ReferenceFeed, Tap};
use crate::physics::operation::Operation;
use crate::physics::regulator::feedback::working;
use crate::physics::regulator::reference::{Carried, Stack};
use crate::physics::regulator::{Load, Stand};

/// A gas reference at one load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReferenceAt {
    /// Volts of the whole stack (V).
    pub volts: f64,
    /// Current of the tube that has least, and the least allowed (A).
    pub least_amps: [f64; 2],
    /// Current of the tube that has most, and the most allowed (A).
    pub most_amps: [f64; 2],
    /// Volts before the feed resistor while the tubes are still out (V).
    pub available_volts: f64,
    /// Volts with which every tube strikes (V), where published.
    pub strike_volts: Option<f64>,
    /// False when the feed is below the running volts: the tubes are out.
    pub lit: bool,
    /// True where the feed reaches the strike volts; `None` where they are not published.
    pub struck: Option<bool>,
    /// How much the volts change for a volt of the feed (V/V); `None` where the tubes' regulation is not published.
    pub share_of_feed: Option<f64>,
}

/// Volts before the positive reference's resistor while its tubes are dark (V); `None` where the pass tubes' curve is needed and not
/// known. Fed from the output: the control tube that stands on a dark reference carries nothing, and the output rises as far as the
/// pass tubes let it.
pub fn dark_feed_volts(stand: &Stand, operation: &Operation) -> Option<f64> {
    match stand.regulator.reference.as_ref().map(|r| r.fed_from) {
        Some(ReferenceFeed::Output) if stand.regulator.cathode == Tap::Reference => {
            operation.lost_regulation_volts()
        }
        Some(ReferenceFeed::Output) => None,
        _ => Some(operation.bus.mean_volts),
    }
}

/// Positive and negative reference at `volts` of output with the bus of `operation`; `None` for one that is not there, or
/// whose rail gives no voltage.
pub fn references(stand: &Stand, operation: &Operation, volts: f64) -> [Option<ReferenceAt>; 2] {
    let load = Load {
        bus_volts: operation.bus.mean_volts,
        amps: operation.output_amps,
        volts,
    };
    // Where the control tube is not known, its current is left out: it is small beside those of gas tubes.
    let cathode_amps = working(stand, load).map_or(0.0, |w| w.control.amps + w.control.screen_amps);
    let feed = stand.positive_feed_volts(load);
    let positive = stand
        .positive
        .as_ref()
        .zip(stand.positive_carried(feed, cathode_amps))
        .map(|(stack, carried)| {
            let dark = dark_feed_volts(stand, operation).unwrap_or(feed);
            at(stack, carried, (dark, 0.0))
        });
    let negative = stand
        .negative
        .as_ref()
        .zip(stand.negative_carried(volts, cathode_amps))
        .zip(stand.rail.as_ref().and_then(|r| r.as_ref().ok()))
        .map(|((stack, carried), rail)| at(stack, carried, (rail.unstruck_volts, rail.line.ohms)));
    [positive, negative]
}

fn at(stack: &Stack, carried: Carried, (available_volts, feed_ohms): (f64, f64)) -> ReferenceAt {
    ReferenceAt {
        volts: carried.whole_volts(),
        least_amps: [carried.least_amps, stack.least_amps],
        most_amps: [carried.most_amps, stack.most_amps],
        available_volts,
        strike_volts: stack.strike_volts,
        lit: carried.lit,
        struck: stack.strike_volts.map(|needed| available_volts >= needed),
        share_of_feed: stack
            .slope_is_known
            .then(|| stack.share_of_feed(usize::MAX, feed_ohms)),
    }
}
