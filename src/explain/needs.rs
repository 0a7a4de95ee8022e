//! What would have to be known, in the words that follow "without" or "needs".

use crate::physics::limit::{Limit, Whose};
use crate::physics::needs::Needs;

/// `the pass tube's curve at this current`.
pub fn needs(needs: Needs) -> &'static str {
    match needs {
        Needs::Regulator => "the regulator: control tube, divider and references",
        Needs::MoreOfRegulator => {
            "more of the regulator: its tubes' curves, its references, the ties of its heaters"
        }
        Needs::Rating(limit) => rating(limit),
        Needs::ScreenShare => "the screen's share of the pass tube's current",
        Needs::PassCurve => "the pass tube's curve at this current",
        Needs::PassCurvesBelowZeroBias => "the pass tube's curves below zero bias",
        Needs::PassHeaterTie => "to what the pass tubes' heaters are tied",
        Needs::ControlPoints => "enough published points of the control tube",
        Needs::ControlOperatingPoint => "an operating point of the control tube",
        Needs::ControlCurvesBelowZeroBias => "the control tube's curves below zero bias",
        Needs::ControlKnee => "the least plate volts of the control tube (a pentode's knee)",
        Needs::ControlScreenVolts => "the control tube's screen volts",
        Needs::ControlScreen => "the control tube's screen volts and current",
        Needs::ControlHeaterTie => "to what the control tube's heater is tied",
        Needs::PositiveReference => "a positive reference",
        Needs::NegativeRail => "a negative rail that gives voltage",
        Needs::NegativeReference => "a negative rail that gives voltage, and its reference",
        Needs::StartingVolts => "the starting volts of the gas tubes",
        Needs::ReferenceRange => "the range of current of the gas tubes",
        Needs::OutputWhileDark => "what the output does while its own reference is dark",
        Needs::SustainedCurrent => "a current that the supply can give",
    }
}

fn rating(limit: Limit) -> &'static str {
    match limit {
        Limit::PlateDissipation => "the pass tube's plate dissipation",
        Limit::ScreenDissipation => "the pass tube's screen dissipation",
        Limit::EnvelopeDissipation => "the dissipation of a whole pass tube",
        Limit::PlateCurrent => "the pass tube's highest plate current",
        Limit::PlateVolts => "the pass tube's highest plate volts",
        Limit::HeaterCathode | Limit::HeaterAboveCathode => "the pass tube's heater–cathode volts",
        Limit::GridResistor(Whose::Pass) => "the pass tube's largest grid resistor",
        Limit::ControlPlateVolts => "the control tube's highest plate volts",
        Limit::ControlPlateDissipation => "the control tube's plate dissipation",
        Limit::ControlScreenVolts => "the control tube's highest screen volts",
        Limit::ControlScreenDissipation => "the control tube's screen dissipation",
        Limit::ControlHeaterCathode => "the control tube's heater–cathode volts",
        Limit::GridResistor(Whose::Control) => "the control tube's largest grid resistor",
        Limit::WindingRms => "the winding's rms current rating",
        Limit::ChokeCurrent(_) => "the choke's current rating",
        Limit::RectifierDc => "the rectifier's DC output rating",
        Limit::RectifierPeak => "the rectifier's peak current rating",
        Limit::RectifierPeakInverse => "the rectifier's peak inverse rating",
        Limit::CapacitorRipple(_) => "the capacitor's ripple current rating",
        Limit::CapacitorVolts(_) => "the capacitor's working volts",
        Limit::CapacitorSurge(_) => "the capacitor's surge volts",
        Limit::Dropout
        | Limit::SetRangeHigh
        | Limit::SetRangeLow
        | Limit::GridFloor
        | Limit::ControlGridCeiling
        | Limit::ReferenceLeast(_)
        | Limit::ReferenceMost(_)
        | Limit::ReferenceStrike(_) => "what it is judged by",
    }
}
