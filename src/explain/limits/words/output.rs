//! The ends of the voltage control.

use super::{BASE, Change, Outside, Text, Words};
use crate::explain::number;

const SET_RANGE: Words = Words {
    formula: |said, _| {
        let asked = number::volts(said.volts);
        format!("asked for {asked}; range ends at {}", said.allowed)
    },
    term: "output range",
    owner: "the reach of the control",
    change: Change::Allowed,
    moved_by_mains: false,
    unmoved: "Only the voltage control's own range moves it",
    ..BASE
};

pub(super) static SET_RANGE_HIGH: Words = Words {
    name: Text::Fixed("output range"),
    sentence: |said| {
        let here = number::volts(said.volts);
        let most = &said.allowed;
        format!("The control can ask for {most} at most; this point is at {here}")
    },
    outside: Outside::Point("above the output range"),
    ..SET_RANGE
};

pub(super) static SET_RANGE_LOW: Words = Words {
    name: Text::Fixed("output range, low end"),
    sentence: |said| {
        let here = number::volts(said.volts);
        let least = number::volts(said.supply.output.set_low.0);
        format!("The control can ask for {least} at least; this point is at {here}")
    },
    outside: Outside::Point("below the output range"),
    ..SET_RANGE
};
