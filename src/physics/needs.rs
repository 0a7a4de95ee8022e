//! What would have to be known before something can be said. The words for it are elsewhere.

/// What is missing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Needs {
    /// The regulator: it is not described.
    Regulator,
    /// Several things about the regulator: its tubes' curves, its references, the ties of its heaters.
    MoreOfRegulator,
    /// The rating that the limit is judged by.
    Rating,
    /// The screen's share of the current of a triode-connected pass tube.
    ScreenShare,
    /// The pass tube's curve at this current.
    PassCurve,
    /// The pass tube's curves below zero bias.
    PassCurvesBelowZeroBias,
    /// To what the pass tubes' heaters are tied.
    PassHeaterTie,
    /// Enough published points of the control tube.
    ControlPoints,
    /// An operating point of the control tube, a pentode.
    ControlOperatingPoint,
    /// The control tube's curves below zero bias.
    ControlCurvesBelowZeroBias,
    /// Least plate volts of the control tube: a pentode's knee.
    ControlKnee,
    /// The control tube's screen volts.
    ControlScreenVolts,
    /// The control tube's screen volts and current.
    ControlScreen,
    /// To what the control tube's heater is tied.
    ControlHeaterTie,
    /// To what the rectifier's heater is tied.
    RectifierHeaterTie,
    /// To what the heater of the negative rail's rectifier is tied.
    RailHeaterTie,
    /// A positive reference.
    PositiveReference,
    /// A negative rail that gives voltage.
    NegativeRail,
    /// A negative rail that gives voltage, and its reference.
    NegativeReference,
    /// The starting volts of the gas tubes.
    StartingVolts,
    /// The range of current of the gas tubes.
    ReferenceRange,
    /// What the output does while its own reference is dark.
    OutputWhileDark,
    /// A current that the supply can give.
    SustainedCurrent,
}
