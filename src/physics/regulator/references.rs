//! The gas references at work in one case: their current, their volts, and whether they strike.

use crate::parts::{ReferenceFeed, Tap};
use crate::physics::device::gas_stack::{GasStack, LinearSource, StackState};
use crate::physics::model::RegulatorModel;
use crate::physics::operation::Operation;
use crate::physics::regulator::Load;
use crate::physics::regulator::feedback::working_point;

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
    /// Current through the feed resistor (A).
    pub feed_amps: f64,
    /// Most current through one of the shunt resistors (A); zero without any.
    pub shunt_amps: f64,
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
pub fn dark_feed_volts(model: &RegulatorModel, operation: &Operation) -> Option<f64> {
    match model.regulator.reference.as_ref().map(|r| r.fed_from) {
        Some(ReferenceFeed::Output) if model.regulator.cathode == Tap::Reference => {
            model.lost_regulation_volts(operation)
        }
        Some(ReferenceFeed::Output) => None,
        _ => Some(operation.bus.mean_volts),
    }
}

/// Positive and negative reference at `volts` of output with the bus of `operation`; `None` for one that is not there, or
/// whose rail gives no voltage.
pub fn references(
    model: &RegulatorModel,
    operation: &Operation,
    volts: f64,
) -> [Option<ReferenceAt>; 2] {
    let load = Load {
        bus_volts: operation.bus.mean_volts,
        amps: operation.output_amps,
        volts,
    };
    // Where the control tube is not known, its current is left out: it is small beside those of gas tubes.
    let cathode_amps = working_point(model, load).map_or(0.0, |w| w.cathode_amps());
    let feed = model.positive_feed_volts(load);
    let positive = model
        .positive
        .as_ref()
        .zip(model.positive_carried(load, cathode_amps))
        .map(|(stack, carried)| {
            let dark = dark_feed_volts(model, operation).unwrap_or(feed);
            at(stack, carried, LinearSource::stiff(dark))
        });
    let negative = model
        .negative
        .as_ref()
        .zip(model.negative_carried(load, cathode_amps))
        .zip(model.working_rail())
        .map(|((stack, carried), rail)| {
            let dark = LinearSource {
                volts: rail.unstruck_volts,
                ..rail.source
            };
            at(stack, carried, dark)
        });
    [positive, negative]
}

/// `dark` is what feeds it before it has struck.
fn at(stack: &GasStack, carried: StackState, dark: LinearSource) -> ReferenceAt {
    ReferenceAt {
        volts: carried.whole_volts(),
        least_amps: [carried.least_amps, stack.least_amps],
        most_amps: [carried.most_amps, stack.most_amps],
        available_volts: dark.volts,
        strike_volts: stack.strike_volts,
        feed_amps: carried.feed_amps,
        shunt_amps: carried.shunt_amps,
        lit: carried.lit,
        struck: stack.strike_volts.map(|needed| dark.volts >= needed),
        share_of_feed: stack
            .slope_is_known
            .then(|| stack.share_of_feed(usize::MAX, dark.ohms)),
    }
}
