//! What would have to be known, in the words that follow "without" or "needs".

use crate::explain::limits::words::words;
use crate::physics::limit::Limit;
use crate::physics::needs::Needs;

/// What a limit cannot be judged without: of a rating, which.
pub fn of_limit(limit: Limit, missing: Needs) -> &'static str {
    match missing {
        Needs::Rating => words(limit).rating,
        _ => needs(missing),
    }
}

/// `the pass tube's curve at this current`.
pub fn needs(needs: Needs) -> &'static str {
    match needs {
        Needs::Regulator => "the regulator: control tube, divider and references",
        Needs::MoreOfRegulator => {
            "more of the regulator: its tubes' curves, its references, the ties of its heaters"
        }
        Needs::Rating => "the rating that the limit is judged by",
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
        Needs::RectifierHeaterTie => "to what the rectifier's heater is tied",
        Needs::RailHeaterTie => "to what the heater of the rail's rectifier is tied",
        Needs::PositiveReference => "a positive reference",
        Needs::NegativeRail => "a negative rail that gives voltage",
        Needs::NegativeReference => "a negative rail that gives voltage, and its reference",
        Needs::StartingVolts => "the starting volts of the gas tubes",
        Needs::ReferenceRange => "the range of current of the gas tubes",
        Needs::OutputWhileDark => "what the output does while its own reference is dark",
        Needs::SustainedCurrent => "a current that the supply can give",
    }
}
